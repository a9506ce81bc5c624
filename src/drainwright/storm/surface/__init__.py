"""Rain on roofs and yards: what runs off, through one storm or through decades."""
