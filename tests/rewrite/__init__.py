"""The commands that write into pages, held against the bytes that they leave."""
