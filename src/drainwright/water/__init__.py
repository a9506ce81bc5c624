"""How much water, from which cause, to which inlet: rain tables, roofs, yards, groundwater."""
