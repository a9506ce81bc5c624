"""Parts of the plant beside its pipes: ground round the drains, soakaways, water over the ground."""
