"""A site served while it is written: watched, rebuilt, refreshed."""
