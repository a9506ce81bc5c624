"""Where the water leaves: soakaways, open ends, and what becomes of it on the ground."""
