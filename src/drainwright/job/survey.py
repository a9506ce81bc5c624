"""What was measured: corners, points, the level book, shots."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from drainwright.job.ground_files import Backdrop, Breakline, ShotSet
from drainwright.job.values import (
    Accuracy,
    Angle,
    Basis,
    Distance,
    Length,
    Name,
    Place,
    Position,
    PositiveLength,
    Reading,
    Record,
    ShortText,
    TurnAccuracy,
    si,
)


class Benchmark(Record):
    """The fixed mark that all levels hang from."""

    name: Name = "BM"
    elevation: Position = si(30.48)
    description: ShortText = ""


class Leg(Record):
    """One side of the perimeter walk: tape to the next corner, then turn."""

    to: Name
    length: PositiveLength
    turn: Angle | None = Field(
        default=None, description="turn at the far corner before the next side: right positive, left negative"
    )


class Perimeter(Record):
    """A walk round the house: from a corner, side by side, back to the start."""

    start: Name
    at: Place = Field(default=Place(east=0.0, north=0.0))
    bearing: Angle = Field(default=si(0.0), description="direction of the first side, clockwise from north")
    legs: tuple[Leg, ...] = Field(min_length=3)
    adjust: bool = True


class Tie(Record):
    """A tape distance from a known point."""

    from_: Name = Field(alias="from")
    distance: PositiveLength


class Tape(Record):
    """A further tape distance between two points that are fixed in other ways: a diagonal, a check."""

    from_: Name = Field(alias="from")
    to: Name
    distance: PositiveLength


class Point(Record):
    """A named point, fixed in one of three ways: coordinates, ties, or along a wall and out from it."""

    name: Name
    east: Position | None = None
    north: Position | None = None
    ties: tuple[Tie, ...] = ()
    side: Place | None = Field(default=None, description="a place on the same side, where two ties leave a choice")
    along: tuple[Name, Name] | None = None
    distance: Distance | None = Field(default=None, description="from the first of 'along' towards the second")
    offset: Distance | None = Field(default=None, description="to the left of 'along' positive, right negative")
    level: Position | None = Field(default=None, description="elevation, where no level book gives it")
    basis: Basis = Basis.MEASURED
    note: ShortText = ""

    @model_validator(mode="after")
    def _one_way(self) -> Point:
        ways = [self.east is not None or self.north is not None, bool(self.ties), self.along is not None]
        if sum(ways) != 1:
            raise ValueError(
                "expected one way to fix the point: 'east' and 'north', or 'ties', or 'along' with 'distance'"
            )
        if ways[0] and (self.east is None or self.north is None):
            raise ValueError("expected both 'east' and 'north'")
        if self.ties and len(self.ties) < 2:
            raise ValueError("expected two ties or more")
        if self.along is not None and self.distance is None:
            raise ValueError("expected 'distance' with 'along'")
        return self


class LevelRow(Record):
    """One line of the level book: a rod reading on a point.

    A row may hold a backsight and a foresight (a turning point), or one intermediate sight.
    """

    point: Name
    backsight: Reading | None = None
    intermediate: Reading | None = None
    foresight: Reading | None = None
    distance: Length | None = Field(default=None, description="sight length, for the allowable misclosure")
    note: ShortText = ""

    @model_validator(mode="after")
    def _reads(self) -> LevelRow:
        if self.backsight is None and self.intermediate is None and self.foresight is None:
            raise ValueError("expected a 'backsight', 'intermediate' or 'foresight' reading")
        if self.intermediate is not None and (self.backsight is not None or self.foresight is not None):
            raise ValueError("expected an 'intermediate' sight alone in its row")
        return self


class Survey(Record):
    """All measurements of the visit."""

    benchmark: Benchmark = Benchmark()
    closing_benchmark: Benchmark | None = None
    perimeter: Perimeter | None = None
    points: tuple[Point, ...] = ()
    tapes: tuple[Tape, ...] = Field(default=(), description="diagonals and checks between points")
    level_book: tuple[LevelRow, ...] = ()
    breaklines: tuple[Breakline, ...] = ()
    shot_sets: tuple[ShotSet, ...] = Field(default=(), max_length=20)
    backdrop: Backdrop | None = None
    tape_accuracy: Accuracy = Field(default=si(0.01), description="standard error of one tape distance")
    turn_accuracy: TurnAccuracy = Field(
        default=si(0.017453292519943295), description="standard error of one turn of the walk"
    )
    rod_accuracy: Accuracy = Field(default=si(0.001524), description="standard error of one rod reading")
    instrument: Literal["laser", "optical", "water level"] = "laser"
    note: ShortText = ""


__all__ = ["Benchmark", "Leg", "LevelRow", "Perimeter", "Point", "Survey", "Tape", "Tie"]
