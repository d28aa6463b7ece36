"""Pages: a folder of Markdown taken apart and put together as a site."""
