"""The lift stations: pumps, basin, discharge line, floats, uplift."""
