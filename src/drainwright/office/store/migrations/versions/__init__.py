"""One module a step, up and down."""
