"""Decades of rain through the plant, and what they say."""
