"""The published sites as a browser shows them, and as judges of published pages judge them."""
