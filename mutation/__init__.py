"""Mutation testing: how many small faults, planted one at a time, the tests find. ``python -m mutation --help``."""
