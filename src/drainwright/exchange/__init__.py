"""What comes in from files and goes out to them: shots, grids, clouds, pictures, rain records. Knows no job."""
