"""Claims: one row a claim, one file a family."""
