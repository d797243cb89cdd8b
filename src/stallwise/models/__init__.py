"""Layer 2, models: pure physics, mixes and statistics; no files, no clock, no global state. May know ground and tables."""
