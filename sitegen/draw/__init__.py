"""Pictures of a position."""
