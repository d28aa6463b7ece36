"""What a site is written as: one file an output format."""
