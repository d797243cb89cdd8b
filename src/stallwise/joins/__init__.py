"""Layer 3, joins: where a Cook becomes a Plan and a Plan a Result. May know ground, tables, models and record."""
