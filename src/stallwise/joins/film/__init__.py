"""The camera beside the fire: what to show and when, what is missing, chapters of a film."""
