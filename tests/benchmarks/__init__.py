"""Speed and size, measured by hand and never a test."""
