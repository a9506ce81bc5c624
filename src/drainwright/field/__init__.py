"""What was measured becomes a site: points, levels, ground surface, walls, utilities, trees."""

from drainwright.field.places import resolve_level, resolve_place
from drainwright.field.survey import survey
from drainwright.field.surveyed import surveyed

__all__ = ["resolve_level", "resolve_place", "survey", "surveyed"]
