"""Layer 1, tables: cuts, ingredients, salts, limits and properties from `data/`. May know ground."""
