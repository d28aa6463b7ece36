"""What is wrong, told to people and to machines: one file a format, all listed in `table.py`."""
