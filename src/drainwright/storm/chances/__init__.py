"""The chance a year of water above the slab, which input matters to it, and what one more measurement is worth."""
