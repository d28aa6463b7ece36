"""Pictures of positions, held against the positions that they show."""
