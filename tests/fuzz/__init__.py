"""Readers given any bytes at all: what is fuzzed, a run by hand, and a short one as a test."""
