"""The preview: what it serves while a site is written, and what it withstands."""
