"""Pits and fires: numbers and where they are read, room, heat, fuel, what a mishap does."""
