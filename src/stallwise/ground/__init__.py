"""Layer 0, ground: errors, units, assets, references, seeded draws. May know the standard library and numpy."""
