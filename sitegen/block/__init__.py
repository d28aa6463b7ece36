"""The moves block: read, replayed, checked."""
