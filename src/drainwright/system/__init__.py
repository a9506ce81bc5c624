"""Where the water goes: network, grades, sizes, water surface, lift station, discharge."""
