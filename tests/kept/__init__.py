"""Builds upon the last one, held against builds from nothing."""
