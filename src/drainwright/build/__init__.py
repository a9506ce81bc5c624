"""How it is built: trench, safe digging, takeoff, loads, crew days, price."""
