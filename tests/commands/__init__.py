"""The commands as a shell runs them: what they write, where, and what they end with."""
