"""The commands: thin doors to the same functions that everything else calls."""
