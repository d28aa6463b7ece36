"""What a build keeps for the next one, and how the next one goes on from there."""
