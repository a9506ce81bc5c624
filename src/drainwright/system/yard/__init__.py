"""The yard as a map of what it costs to lay pipe, and ways and trees of least cost over it."""
