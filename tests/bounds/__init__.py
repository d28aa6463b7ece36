"""Work held against the size of what causes it, in pages and sites made to be the worst."""
