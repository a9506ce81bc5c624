"""Failures of the storm test in plain words, the same wherever they are told."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from drainwright.findings.places import listed
from drainwright.quantities import write
from drainwright.storm.failures.prevention import SPILT
from drainwright.storm.model import Storm, StormCase

ALL = 0.995  # of a volume is all of it
LONGER = 3600.0  # a case that ended so much after the others was run on [s]
FILM = 0.0015  # water on a floor less deep than this is told as a film [m]
SHOWS = 0.0127  # water standing this deep is told: half an inch [m]
MANY = 4  # grates of which each is told; more are told together

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

    @property
    def under(self) -> str:
        """What water must stay below."""
        return "crawl-space soil" if self.crawl else "underside of the floor"

    @property
    def wet(self) -> str:
        """When it counts as wet."""
        return f"The {self.floor} counts as wet as soon as water reaches {'it' if self.crawl else f'the {self.under}'}"

    @property
    def dry(self) -> str:
        """What staying dry means, and what the storm test does not reckon."""
        return (
            f"Dry means that free water stays below the {self.floor}. Damp in the walls is not in it, nor how the house "
            "fares today, without these works: that was not reckoned."
        )

    def hours(self, seconds: float) -> str:
        """A time in minutes or hours."""
        if seconds < 90:
            return f"{seconds:.0f} s"
        return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"

    def volume(self, value: float) -> str:
        """A volume of water."""
        return write(value, "volume", self.units, "gal" if self.units == "US" else "L", 0)

    def level(self, value: float) -> str:
        """A level above the job's datum."""
        return write(value, "length", self.units, *(("ft", 2) if self.units == "US" else ("m", 3)))

    def storm(self, storm: Storm) -> str:
        """A storm by its name and its rain."""
        unit, digits = ("in", 2) if self.units == "US" else ("mm", 0)
        return f"{storm.name} ({write(storm.depth, 'length', self.units, unit, digits)} of rain)"

    def depth(self, value: float) -> str:
        """How deep water stands on a floor or over a grate."""
        return write(value, "length", self.units, "in" if self.units == "US" else "mm")


def inside(case: StormCase, words: Words) -> str:
    """What comes of the floor."""
    if case.highest_at_house is None and not case.house_dry:
        return "no drain or basin at the house"
    if case.undecided:
        return f"not wet within {words.hours(case.ended)}, but the water still rises"
    if case.time_to_slab is None:
        return f"the {words.floor} stays dry"
    return f"water at the {words.under} {since(case, case.time_to_slab, words)}"


def wet_words(case: StormCase, words: Words) -> str:
    """What comes of the floor, for a column whose head says from when it counts."""
    if case.undecided:
        return f"not by {words.hours(case.ended)}, rising"
    if case.time_to_slab is None:
        return "stays dry"
    return "at once" if case.time_to_slab == 0.0 else f"after {words.hours(case.time_to_slab)}"


def longer_words(cases: Sequence[StormCase], words: Words) -> str:
    """That cases whose starts are told were run on after the others; empty: none."""
    sound = next((case for case in cases if case.key == "sound"), None)
    more = [] if sound is None else [case for case in cases if case.pump_starts and case.ended > sound.ended + LONGER]
    if sound is None or not more:
        return ""
    ended = words.hours(max(case.ended for case in more))
    return (
        f"Where water at the house still rose, cases were run on without rain, to {ended} (everything working: "
        f"{words.hours(sound.ended)}): starts after the rain are from water in the ground."
    )


def ran_off_words(cases: Sequence[StormCase], words: Words, *, basin: bool) -> str:
    """Where the water of the case ran off in which the most did; empty: none did anywhere."""
    worst = max(cases, key=lambda case: case.volume_lost, default=None)
    if worst is None or worst.volume_lost <= 0.0:
        return ""
    found: dict[str, float] = {}
    for one in worst.spilled:
        if one.to not in ("inlet", "place"):
            found[one.place] = found.get(one.place, 0.0) + one.volume
    if not found:
        return ""
    where = listed([f"{words.volume(volume)} over the ground at {place}" for place, volume in found.items()])
    alone = "; the peak inflow above is of the basin alone" if basin else ""
    return f"Ran off, at the most: {where}{alone}."


def since(case: StormCase, seconds: float, words: Words) -> str:
    """A time of a case with the moment from which it counts: its failure, or the start of the rain. [s]"""
    if seconds == 0.0:
        return "at once"
    return f"{words.hours(seconds)} after the {'failure' if case.failure_at else 'rain begins'}"


def came_in(case: StormCase, words: Words) -> str:
    """The most water that could come in, and how deep; empty: none."""
    if case.entering is None:
        return ""
    text = words.volume(case.entering.volume)
    depth = case.entering.depth
    if depth is None:
        return text
    return f"{text}, {words.depth(depth)} deep" if depth >= FILM else f"{text}, a film"


def over_grates(ponds: Sequence[tuple[str, float]], depth: Callable[[float], str], word: str = "") -> list[str]:
    """How deep water stands over each grate; of many from the least to the most, and over which it is deepest. [m]"""
    if len(ponds) <= MANY:
        return [f"{depth(deep)}{word} over {name}" for name, deep in ponds]
    low, (most, high) = min(deep for _, deep in ponds), max(ponds, key=lambda pond: pond[1])
    span = depth(high) if depth(low) == depth(high) else f"{depth(low)} to {depth(high)}"
    return [f"{span}{word} over {len(ponds)} grates (most over {most})"]


def in_the_yard(case: StormCase, inlets: Collection[str], words: Words) -> str:
    """Water that stands over grates, and that runs off over the ground; empty: none worth telling."""
    ponds = [node for node in case.nodes.values() if node.node in inlets and node.pond_depth >= SHOWS]
    ponds.sort(key=lambda node: -node.pond_depth)
    parts = over_grates([(node.node, node.pond_depth) for node in ponds], words.depth)
    house = case.over_ground.get("house", 0.0)
    if case.volume_lost >= SPILT:
        share = "all" if house >= ALL * case.volume_lost else words.volume(house)
        to = f", {share} of it to the house" if house >= SPILT else ""
        parts.append(f"{words.volume(case.volume_lost)} run off{to}")
    return "; ".join(parts)


__all__ = [
    "FILM", "GROUPS", "SHOWS", "Words", "came_in", "in_the_yard", "inside", "longer_words", "over_grates", "ran_off_words",
    "since", "wet_words",
]  # fmt: skip
