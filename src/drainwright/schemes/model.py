"""What the comparison of schemes tells: each scheme a job of its own, its figures, and what is missing and why."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from drainwright.design import Design
from drainwright.job.model import Job
from drainwright.job.site import UtilityKind
from drainwright.schemes.draft import Draft

Key = Literal["as-drawn", "gravity", "pumped", "split", "apart", "soak", "wells"]

TITLES: dict[Key, str] = {
    "as-drawn": "As drawn",
    "gravity": "All by gravity",
    "pumped": "All pumped",
    "split": "Rain by gravity, ground water pumped",
    "apart": "Ground water and rain by basins of their own",
    "soak": "Rain soaks away on the lot",
    "wells": "Rain soaks away in dry wells",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """One thing that fails in the design storm, and what comes of it."""

    key: str  # of the storm case
    title: str
    hours: float | None  # from the failure until water reaches the floor; None: never in this storm [h]
    head_room: float | None  # the floor less the highest water at the house, below zero where it is wet [m]
    rising: bool = False  # not there when the record ends, but the water still rises
    ended: float = math.inf  # from the start of the storm until the record ends [h]

    @property
    def dry(self) -> bool:
        """Whether no water reaches the floor, nor may yet."""
        return self.hours is None and not self.rising


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The figures of one scheme that are set beside those of the others."""

    price: Decimal  # with tax
    price_low: Decimal
    price_high: Decimal
    currency: str
    days: int
    hours: float  # person-hours
    pipe: float  # length of all runs [m]
    earth: float  # dug, in place [m³]
    hand_dig: float  # length dug by hand beside buried lines [m]
    crossings: int  # buried lines met
    met: tuple[tuple[UtilityKind, int], ...]  # of each kind, the most first
    deep: float  # length of run or wall dug deeper than 5 ft [m]
    deepest: float  # of any dig, the basin's hole too [m]
    in_wedge: int  # digs that enter a footing's bearing wedge
    roots: int  # digs through the critical roots of a tree
    head_room: float | None  # all working: the floor less the highest water at the house; None: no water there [m]
    house_dry: bool  # all working: there is a drain at the house, and no water stands in it
    pump_margin: float | None  # the least of pump flow over the inflow at the design rain; None: no pump [-]
    pumps: int
    energy: float | None  # in a year; None: no pump, or not reckoned [J]
    failures: tuple[Failure, ...]
    grates: int  # to keep clean
    outlets: tuple[str, ...]  # discharge points used
    fails: tuple[str, ...]  # findings that fail, by number
    warns: tuple[str, ...]  # findings that warn, by number
    conflicts: tuple[str, ...]
    water_known: bool = True  # how high ground water stands, or nothing at the house leans on it
    at_wet_walls: tuple[
        str, ...
    ] = ()  # water let into the ground beside a wet wall, ground water unknown: each in words
    deepest_at: str = ""  # what is dug deepest: "basin SUMP", "trench of FD1"

    @property
    def wet(self) -> int:
        """How many single failures let water reach the floor in the design storm."""
        return sum(failure.hours is not None for failure in self.failures)

    @property
    def rising(self) -> tuple[Failure, ...]:
        """The single failures in which the water has not reached the floor when the record ends, but still rises."""
        return tuple(failure for failure in self.failures if failure.rising)

    @property
    def soonest(self) -> float | None:
        """Hours from the worst single failure until water reaches the floor; None: none does [h]."""
        return min((failure.hours for failure in self.failures if failure.hours is not None), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheme:
    """One way to drain the lot: a job that anyone may take and go on with."""

    key: Key
    title: str
    summary: str  # what goes where, in a sentence
    job: Job
    draft: Draft  # what it adds to the job as given, in the words of the document
    design: Design
    comparison: Comparison
    pros: tuple[str, ...]  # why one would take it
    cons: tuple[str, ...]  # what speaks against it
    asks: tuple[str, ...]  # what must be found out first
    notes: tuple[str, ...] = ()
    fault: str = ""  # why it does not work yet, without a full stop; empty where it works
    helps: tuple[str, ...] = ()  # what would make it work

    @property
    def works(self) -> bool:
        """Whether it works as it is laid out."""
        return not self.fault

    @property
    def headline(self) -> str:
        """The title, and that it does not work yet where it does not."""
        return self.title if self.works else f"{self.title}: does not work yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A scheme laid out, before it is designed."""

    key: Key
    draft: Draft
    summary: str
    asks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A kind of scheme that is not offered, and why."""

    key: Key
    title: str
    why: str  # with the number


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """The schemes in the order of one stated criterion; equal ones share a place."""

    criterion: str  # "least price"
    places: tuple[tuple[Key, ...], ...]  # keys, the best first
    figures: tuple[tuple[Key, str], ...]  # key and its figure in words


@dataclass(frozen=True, slots=True, kw_only=True)
class SchemeSet:
    """The schemes of a job, side by side."""

    job: Job
    redraw: bool  # the schemes beside "as drawn" are laid out anew, as asked or because nothing is left open
    schemes: tuple[Scheme, ...]
    missing: tuple[Missing, ...]
    rankings: tuple[Ranking, ...]
    verdict: str  # which is better or equal in all, or that they trade off
    common: tuple[str, ...] = ()  # what is true of all of them
    notes: tuple[str, ...] = ()
    refused: tuple[Scheme, ...] = ()  # laid out, and not offered since they do not work; each is among the missing

    @property
    def how(self) -> str:
        """What of the job's own works the schemes keep, in a sentence; empty where it has none."""
        if not self.job.works.runs:
            return ""
        if self.redraw:
            return (
                "'As drawn' stands first, for reference. The others are laid out anew: of the job they keep walls,"
                " inlets, discharge points and the basin's place."
            )
        return "The job's own runs stay as they are drawn in every scheme; only what they leave open varies."

    def scheme(self, key: str) -> Scheme | None:
        """The scheme of that key, if it is offered."""
        return next((scheme for scheme in self.schemes if scheme.key == key), None)

    def laid_out(self, key: str) -> Scheme | None:
        """The scheme of that key, offered or refused, if it could be laid out."""
        return next((scheme for scheme in (*self.schemes, *self.refused) if scheme.key == key), None)


__all__ = ["TITLES", "Comparison", "Failure", "Key", "Laid", "Missing", "Ranking", "Scheme", "SchemeSet"]
