"""Many mouths: what to buy, the room it takes, what a plate of it costs, and what it came to."""
