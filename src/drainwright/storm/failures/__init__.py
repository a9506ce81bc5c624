"""Failures: what they change in the plant, when they are worst, what comes into the house, what would prevent it."""
