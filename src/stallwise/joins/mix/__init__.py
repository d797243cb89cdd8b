"""Mixes and what they come to: salt counted once, shopping, prices, plates, labels."""
