"""Pipes and inverts of the gravity lines at least cost, proven, and what stands in the way where nothing fits."""
