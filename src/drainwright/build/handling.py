"""Digging and carrying: hours of the soil's whole way, by the rates of a book."""

from __future__ import annotations

import math

from drainwright.build.book import Book
from drainwright.build.crossings import hand_dug
from drainwright.build.earth import SOILS
from drainwright.build.model import Crossing, DigPlan, Trench
from drainwright.build.units import CUBIC_YARD, FOOT, SQUARE_FOOT
from drainwright.field.model import Site
from drainwright.system.model import System

DEEP = 5.0 * FOOT  # from here the slower digging rate holds
PIT = 2.0  # holes under this area in plan dig as pits [m²]
_SI = {"yd³": ("m³", CUBIC_YARD), "ft²": ("m²", SQUARE_FOOT), "ft": ("m", FOOT)}


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


def dig_hours(trench: Trench, careful: float, site: Site, rates: Rates) -> float:
    """Person-hours to dig one trench: by soil and depth, slower through roots, in tolerance zones, under a deck.

    Parameters
    ----------
    trench : Trench
        The digging.
    careful : float
        Part of it that lies in a tolerance zone, from ``careful_shares``. [-]
    site : Site
        Soil, roots, deck, excavator.
    rates : Rates
        The book's.

    Returns
    -------
    float
        Hours. [h]
    """
    volume = trench.bank_volume / CUBIC_YARD
    if volume <= 0:
        return 0.0
    soil = SOILS[site.job.ground.texture.value].digs
    if trench.kind == "basin" and math.pi / 4 * trench.width**2 < PIT:
        hours = volume / rates(f"dig-pit.{soil}")
    else:
        deep = max(0.0, trench.depth_mean - DEEP) / trench.depth_mean
        hours = volume * ((1 - deep) / rates(f"dig.{soil}") + deep / rates(f"dig-deep.{soil}"))
    slow = hours * careful * rates("tolerance-zone")
    rest = volume * (1 - careful) / rates("dig.machine") if site.job.equipment.excavator else hours * (1 - careful)
    total = (slow + rest) * rates(f"roots.{site.job.ground.roots}")
    return total * rates("overhead") if site.job.house.deck_overhead and trench.kind == "wall" else total


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


__all__ = ["Rates", "barrow_rate", "careful_shares", "dig_hours"]
