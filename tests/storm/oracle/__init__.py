"""A second writing of the plant, in plain NumPy, integrated by SciPy: what the stepper is held against."""
