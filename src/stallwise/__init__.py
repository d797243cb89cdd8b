"""A cook's notebook for live-fire barbecue."""

__version__ = "0.1.0"
