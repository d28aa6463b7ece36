"""Everything that is said to readers, in a translation."""
