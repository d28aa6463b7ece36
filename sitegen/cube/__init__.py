"""A cube, not what is written about it."""
