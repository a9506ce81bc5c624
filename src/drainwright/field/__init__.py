"""What was measured becomes a site: points, levels, ground surface, walls, utilities, trees."""
