"""What was found of the soil by hand: its feel, and how fast water goes through it."""

from __future__ import annotations

import itertools
from typing import Annotated, Literal

from pydantic import Field, model_validator

from drainwright.job.moisture import When
from drainwright.job.or_word import or_word
from drainwright.job.values import (
    Day,
    Duration,
    Elapsed,
    Fact,
    Flow,
    Label,
    Level,
    Place,
    PositiveLength,
    PositiveSize,
    Record,
    ShortText,
    Size,
    si,
)

LEAST_BORE, WIDEST = 0.01, 3.0  # of a hole that somebody digs or bores [m]


Stood = Annotated[Size | None, *or_word("dry", "the depth from the ground down to the water, like '3 ft 2 in'")]


class HandTexture(Record):
    """A moist handful of soil, worked between the fingers."""

    ball: bool = Field(description="whether a squeezed handful holds together")
    ribbon: Size = Field(default=si(0.0), description="length at which a pressed ribbon breaks; 0 where none forms")
    feel: Literal["gritty", "smooth", "neither"] = Field(
        default="neither", description="a wetted pinch, rubbed: mostly gritty, mostly smooth, or neither"
    )
    date: Day | None = None
    note: ShortText = ""


class Drop(Record):
    """The water level in a test hole at a time after the start."""

    time: Elapsed
    depth: Size = Field(description="from the top of the hole down to the water")


class HoleTest(Record):
    """A conductivity test in a hole; each kind is reduced by its own published method.

    ``auger hole``: water bailed from a hole below the water table, its rise read. ``inverse auger hole``: water poured
    into a hole above the water table, its fall read. ``percolation``: the same in a pre-soaked pit, as health
    departments run it.
    """

    name: Label
    kind: Literal["auger hole", "inverse auger hole", "percolation"]
    at: Place | None = None
    diameter: PositiveSize
    hole_depth: PositiveSize
    water_depth: Size | None = Field(
        default=None, description="auger hole: from the top of the hole down to the water at rest"
    )
    barrier_depth: Size | None = Field(
        default=None, description="auger hole: from the top down to the tight layer; left out: deep, assumed"
    )
    soaked: bool = Field(default=False, description="whether the hole was kept full for hours before the readings")
    readings: tuple[Drop, ...] = Field(min_length=2, max_length=100)
    date: Day | None = None
    note: ShortText = ""

    @model_validator(mode="after")
    def _readable(self) -> HoleTest:
        if self.kind == "auger hole" and self.water_depth is None:
            raise ValueError("expected 'water_depth', the water at rest, for an auger-hole test")
        if not LEAST_BORE <= self.diameter <= WIDEST:
            raise ValueError("found a hole of no such width: expected a 'diameter' of 1 cm to 3 m (0.4 in to 10 ft)")
        times = [reading.time for reading in self.readings]
        if any(later <= earlier for earlier, later in itertools.pairwise(times)):
            raise ValueError("expected readings in the order of their times, each later than the one before")
        if any(reading.depth > self.hole_depth + 1e-9 for reading in self.readings):
            raise ValueError("found a reading deeper than the hole: expected depths to the water, from the hole's top")
        return self


class DugHole(Record):
    """A hole dug or bored to look for ground water: what stood in it once it had come to rest."""

    name: Label
    at: Place | None = None
    depth: PositiveSize
    water: Stood
    date: Day | None = None
    note: ShortText = ""

    @model_validator(mode="after")
    def _inside(self) -> DugHole:
        if self.water is not None and self.water > self.depth + 1e-9:
            raise ValueError("found water deeper than the hole: expected the depth down to it, or 'dry'")
        return self


class TakenOut(Record):
    """Water that somebody bails or pumps out of the house today: how much comes in, as it was seen."""

    flow: Fact[Flow]
    when: When = "unknown"
    how: ShortText = ""
    date: Day | None = None
    note: ShortText = ""


class OpenWater(Record):
    """Water that stands open near the house and holds the ground water at its level."""

    kind: Literal["tide", "canal", "pond", "stream"]
    distance: PositiveLength = Field(description="from the house to its bank")
    level: Fact[Level] = Field(description="of its surface: mean, or the ordinary high level")
    tidal_range: Size = Field(default=si(0.0), description="from low to high water")
    period: Duration = Field(default=si(44714.0), description="from one high water to the next")
    note: ShortText = ""


__all__ = ["Drop", "DugHole", "HandTexture", "HoleTest", "OpenWater", "TakenOut"]
