"""Side-by-sides: planned, served, read, told."""
