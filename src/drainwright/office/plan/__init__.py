"""The plan: what stands on the lot and what is built there, to be drawn and changed."""
