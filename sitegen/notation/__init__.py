"""Written moves: read, spelt out on a cube, counted, written."""
