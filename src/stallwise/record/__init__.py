"""Layer 2, record: a cookbook's files on disk. May know ground and tables, never a model, never numpy."""
