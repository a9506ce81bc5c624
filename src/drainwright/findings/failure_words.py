"""Failures of the storm test in plain words, the same wherever they are told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drainwright.quantities import write
from drainwright.storm.model import StormCase

GROUPS = {
    "": "Nothing broken",
    "pump": "Something is wrong with a pump",
    "power": "The power is out",
    "way out": "The way out is closed",
    "leaves and roots": "Leaves and roots",
    "more water": "More water than was designed for",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """How figures are written in a job."""

    units: Literal["US", "SI"]
    crawl: bool  # the lowest floor is a crawl space's soil

    @property
    def floor(self) -> str:
        """What water wets first."""
        return "crawl-space soil" if self.crawl else "floor"

    def hours(self, seconds: float) -> str:
        """A time in minutes or hours."""
        if seconds < 90:
            return f"{seconds:.0f} s"
        return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"

    def volume(self, value: float) -> str:
        """A volume of water."""
        return write(value, "volume", self.units, "gal" if self.units == "US" else "L", 0)

    def depth(self, value: float) -> str:
        """How deep water stands on a floor."""
        return write(value, "length", self.units, "in" if self.units == "US" else "mm")


def inside(case: StormCase, words: Words) -> str:
    """What comes of the floor."""
    if case.highest_at_house is None and not case.house_dry:
        return "no drain or basin at the house"
    if case.undecided:
        return f"not wet within {words.hours(case.ended)}, but the water still rises"
    if case.time_to_slab is None:
        return f"the {words.floor} stays dry"
    after = "at once" if case.time_to_slab == 0.0 else f"after {words.hours(case.time_to_slab)}"
    return f"water at the {words.floor} {after}"


def came_in(case: StormCase, words: Words) -> str:
    """The most water that could come in, and how deep; empty: none."""
    if case.entering is None:
        return ""
    text = words.volume(case.entering.volume)
    depth = case.entering.depth
    if depth is None:
        return text
    return f"{text}, {words.depth(depth)} deep" if depth >= 0.0015 else f"{text}, a film"


__all__ = ["GROUPS", "Words", "came_in", "inside"]
