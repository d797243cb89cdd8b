"""Layer 5, surfaces: notebook panels, journal, re-runs. May know ground to pictures."""
