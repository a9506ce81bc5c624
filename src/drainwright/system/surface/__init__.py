"""The water surface at the design flow: grates, nodes, lines, the stone beside the drains."""
