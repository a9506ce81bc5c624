"""Digging and carrying: hours of the soil's whole way, by the rates of a book."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from drainwright.build.book import Book
from drainwright.build.crossings import hand_dug
from drainwright.build.earth import SOILS, dig_key, in_rock
from drainwright.build.model import Crossing, DigPlan, Trench
from drainwright.build.reach import reach_shares
from drainwright.build.units import CUBIC_YARD, FOOT, SQUARE_FOOT
from drainwright.field.model import Site
from drainwright.system.model import System

DEEP = 5.0 * FOOT  # from here the slower digging rate holds
PIT = 2.0  # holes under this area in plan dig as pits [m²]
FACE = 1.5 * FOOT  # of soil left by a machine at a wall, and dug by hand: 1 to 2 ft, common practice [m]
_SI = {"yd³": ("m³", CUBIC_YARD), "ft²": ("m²", SQUARE_FOOT), "ft": ("m", FOOT)}


@dataclass(frozen=True, slots=True)
class Kit:
    """The machines that a plan counts on."""

    excavator: bool = False
    carrier: bool = False


BY_HAND = Kit()


class HandShares(NamedTuple):
    """Parts of one digging that no machine may dig."""

    careful: float  # in a tolerance zone [-]
    by_hand: float  # that, in root zones, at the face of a wall, or out of the machine's reach [-]


class Rates:
    """Rates of a book, and the words that say how they were used."""

    def __init__(self, book: Book, units: str) -> None:
        self.book = book
        self.units = units

    def __call__(self, key: str) -> float:
        """The rate's value in its own unit."""
        return self.book.rate(key)

    def amount(self, value: float, unit: str) -> str:
        """An amount of trade units in words, in the job's units."""
        if self.units == "SI" and unit in _SI:
            name, factor = _SI[unit]
            return f"{value * factor:.1f} {name}"
        return f"{value:.1f} {unit}" if unit in _SI else f"{value:g} {unit}"

    def at(self, value: float, key: str, extra: str = "") -> str:
        """``11.3 yd³ at 0.35 yd³/h``."""
        unit = self.book.rates[key].unit
        if unit.startswith("h/"):
            return f"{value:g} at {self(key):g} {unit}{extra}"
        one = unit.removesuffix("/h")
        return f"{self.amount(value, one)} at {self.speed(self(key), one)}/h{extra}"

    def speed(self, value: float, unit: str) -> str:
        """A rate's amount with two significant digits."""
        if self.units == "SI" and unit in _SI:
            name, factor = _SI[unit]
            return f"{value * factor:.2g} {name}"
        return f"{value:.3g} {unit}"


class DigHours(NamedTuple):
    """Person-hours of one digging."""

    dig: float  # as if no deeper than one throw [h]
    lift: float  # more, for what is lifted out from below that [h]

    @property
    def all(self) -> float:
        """Both. [h]"""
        return self.dig + self.lift


def dig_hours(trench: Trench, shares: HandShares, site: Site, rates: Rates, kit: Kit = BY_HAND) -> DigHours:
    """Person-hours to dig one trench: by soil and depth, slower through roots, in tolerance zones, under a deck.

    Parameters
    ----------
    trench : Trench
        The digging.
    shares : HandShares
        Parts of it that are dug by hand, from ``hand_shares``.
    site : Site
        Soil, roots, deck.
    rates : Rates
        The book's.
    kit : Kit
        With an excavator, what need not be dug by hand is dug by it, and lifted out with it. Stable rock is broken and
        lifted by hand, whatever machine there is, at the rate of ``extra.rock``: a small excavator breaks none.

    Returns
    -------
    DigHours
        Hours. [h]
    """
    volume = trench.bank_volume / CUBIC_YARD
    if volume <= 0:
        return DigHours(0.0, 0.0)
    plain = open_hours(trench, site, rates)
    rock = in_rock(site.job.ground)
    deep = 0.0 if rock or _is_pit(trench) else max(0.0, trench.depth_mean - DEEP) / trench.depth_mean
    soil = SOILS[site.job.ground.texture.value].digs
    lift = volume * deep * (1 / rates(f"dig-deep.{soil}") - 1 / rates(f"dig.{soil}"))
    slow = shares.careful * rates("tolerance-zone")
    times = rates(f"roots.{site.job.ground.roots}")
    if site.job.house.deck_overhead and trench.kind == "wall":
        times *= rates("overhead")
    if rock or not kit.excavator:
        by_hand = (slow + 1 - shares.careful) * times
        return DigHours(plain * by_hand, lift * by_hand)
    by_hand = (slow + shares.by_hand - shares.careful) * times
    by_machine = volume * (1 - shares.by_hand) / rates("dig.machine") * times
    return DigHours(plain * by_hand + by_machine, lift * by_hand)


def open_hours(trench: Trench, site: Site, rates: Rates) -> float:
    """Hours by hand in open ground, without roots, lines or depth. [h]"""
    key = dig_key(site.job.ground)
    if _is_pit(trench) and not in_rock(site.job.ground):
        key = key.replace("dig.", "dig-pit.")
    return trench.bank_volume / CUBIC_YARD / rates(key)


def _is_pit(trench: Trench) -> bool:
    return (
        trench.kind in ("basin", "inlet")
        and (math.pi / 4 if trench.round else 1.0) * (trench.width - trench.panels) ** 2 < PIT
    )


def hand_shares(dig: DigPlan, site: Site, system: System) -> dict[str, HandShares]:
    """What is dug by hand of each digging, whatever machine there is.

    Parameters
    ----------
    dig : DigPlan
        Digging, and the lengths of it that are dug by hand round buried lines.
    site : Site
        Trees that stay, with their root zones; what the machine does not reach.
    system : System
        The drains' ways.

    Returns
    -------
    dict of str to HandShares
        By name of the digging. Where a length lies in two zones, both are counted: the share is at most so large.
    """
    careful = careful_shares(dig, system)
    rooty = root_shares(dig, site, system)
    beyond = reach_shares(dig, site, system)
    found = {}
    for trench in dig.trenches:
        at_face = min(1.0, FACE / trench.width) if trench.kind == "wall" and trench.width > 0 else 0.0
        kept = min(1.0, careful[trench.name] + rooty[trench.name])
        found[trench.name] = HandShares(
            careful[trench.name], 1 - (1 - kept) * (1 - at_face) * (1 - beyond[trench.name])
        )
    return found


def root_shares(dig: DigPlan, site: Site, system: System) -> dict[str, float]:
    """Part of each digging within the critical root zone of trees that stay, by length. [-]"""
    from shapely import LineString, Point, union_all

    zones = [Point(tree.at).buffer(tree.root_radius) for tree in site.trees if tree.tree.keep]
    if not zones:
        return {trench.name: 0.0 for trench in dig.trenches}
    zone = union_all(zones)
    lines = {wall.name: LineString([wall.start, wall.end]) for wall in site.walls}
    lines |= {run.name: LineString(run.route) for run in system.runs}
    cut = {item.item for item in dig.roots}
    found = {}
    for trench in dig.trenches:
        line = lines.get(trench.name)
        share = float(trench.name in cut)  # a hole: in the zone or not
        if line is not None and line.length > 0:
            share = line.intersection(zone).length / line.length
        found[trench.name] = min(1.0, share)
    return found


def careful_shares(dig: DigPlan, system: System) -> dict[str, float]:
    """Part of each digging that lies in a tolerance zone, by length.

    Parameters
    ----------
    dig : DigPlan
        Digging, and the lengths of it that are dug by hand round buried lines.
    system : System
        Which drains lie along which walls.

    Returns
    -------
    dict of str to float
        By name of the digging, 0 to 1. A drain that lies in walls' digs meets lines for them: its share is theirs, and
        what a wall meets by itself comes on top.
    """
    met: dict[str, list[Crossing]] = {}
    for item in dig.crossings:
        met.setdefault(item.run, []).append(item)
    shares: dict[str, float] = {}
    along: dict[str, list[tuple[float, float]]] = {}  # by wall: what its drains meet, and their length
    for run in system.runs:
        near = hand_dug(met.get(run.name, ()))
        if run.length > 0:
            shares[run.name] = min(1.0, near / run.length)
        for wall in run.walls:
            along.setdefault(wall, []).append((near, run.length))
    for trench in dig.trenches:
        if trench.kind != "run":
            own = hand_dug(met.get(trench.name, ())) / trench.length if trench.length > 0 else 0.0
            length = math.fsum(part for _, part in along.get(trench.name, ()))
            drains = math.fsum(near for near, _ in along.get(trench.name, ())) / length if length > 0 else 0.0
            shares[trench.name] = min(1.0, own + drains)
    return {trench.name: shares.get(trench.name, 0.0) for trench in dig.trenches}


def barrow_rate(distance: float, rates: Rates) -> float:
    """Loose volume that one person wheels away in an hour [yd³/h]."""
    if distance <= 10.0:
        return rates("barrow.10m")
    if distance <= 20.0:
        return rates("barrow.20m")
    return rates("barrow.50m") * min(1.0, 50.0 / distance)


def carry_rate(distance: float, rates: Rates, kit: Kit) -> float:
    """Loose volume that one person carries away in an hour, with the faster of what the kit has [yd³/h]."""
    by_hand = barrow_rate(distance, rates)
    if not kit.carrier:
        return by_hand
    return max(by_hand, rates("carrier") * min(1.0, 50.0 / max(distance, 1.0)))


__all__ = [
    "BY_HAND", "DEEP", "DigHours", "HandShares", "Kit", "Rates", "barrow_rate", "careful_shares", "carry_rate",
    "dig_hours", "hand_shares", "open_hours", "root_shares",
]  # fmt: skip
