"""The reference pages held against the program's own tables."""
