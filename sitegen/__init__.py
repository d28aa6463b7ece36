"""sitegen: tutorial sites for big cubes whose pictures are checked against their moves."""

__version__ = "0.1.0"
