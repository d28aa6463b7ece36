"""Laws that hold of any cube and any moves, tried on what chance picks."""
