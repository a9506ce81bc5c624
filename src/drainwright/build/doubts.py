"""What may make the hours of each work more or less: its rate's range, and causes that hit several works at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from drainwright.build.book import Book, Rate
from drainwright.build.earth import dig_key
from drainwright.build.handling import HandShares
from drainwright.build.model import DigPlan
from drainwright.build.parts import task_key
from drainwright.build.protection import DOUBT, UNSURE
from drainwright.build.schedule import Doubt, Work
from drainwright.field.model import Site
from drainwright.job.values import Basis

#: Slow and fast rates of the trade, in the unit of the rate: the ranges that the book's notes tell. Common practice, no
#: source. Where a task rests on several rates, the one that makes most of its hours stands for all.
RANGES: Mapping[str, tuple[str, float, float]] = MappingProxyType(
    {  # work: rate, slow, fast
        "clean": ("clean", 25.0, 60.0),
        "parge": ("parge", 30.0, 60.0),
        "coat": ("coat", 60.0, 120.0),
        "board": ("board", 80.0, 150.0),
        "bed": ("stone", 1.0, 1.8),
        "stone": ("stone", 1.0, 1.8),
        "round": ("stone", 1.0, 1.8),
        "pipe": ("pipe.rigid", 15.0, 30.0),
        "inlets": ("catch-basin", 2.5, 1.0),
        "basin": ("basin", 6.0, 3.0),
        "pump": ("pump", 4.0, 2.0),
        "haul": ("load", 1.5, 2.0),
    }
)
#: Of works whose range nobody has told: common practice, no source.
OWN = (0.8, 1.4)
#: Of digging at its rate: two accounts of the trade stand 30 % above and below the tables. Common practice, no source.
DIGGING = (0.8, 1.3)
#: How the whole crew's pace differs from day to day and crew to crew. Common practice, no source.
PACE = Doubt("the crew's pace", 0.9, 1.15)
#: Soil that is harder or softer than its kind: dry hard clay takes 1.5 to 2 times as long. Common practice, no source.
SOIL_KNOWN, SOIL_ASSUMED = (0.9, 1.25), (0.75, 1.6)
#: Roots by what was seen of them, over the factor that is counted. Common practice, no source.
ROOTS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"none": (1.0, 1.1), "few": (1 / 1.1, 1.2), "many": (1.3 / 1.4, 1.5 / 1.4), "heavy": (1.6 / 1.8, 2.0 / 1.8)}
)
ROOTS_NEAR = 1.4  # times with bad luck, where no roots were seen but the dig runs through a tree's root zone
ZONE = (1.5, 2.0)  # times in a tolerance zone, with good and with bad luck
NINE_OF_TEN = 1.645  # standard deviations of a normal law from the middle to the 5th and 95th of a hundred
DIGS = ("open", "trench")
EARTH = (*DIGS, "haul", "backfill")


def with_doubts(
    works: Sequence[Work], site: Site, dig: DigPlan, shares: Mapping[str, HandShares], book: Book
) -> tuple[Work, ...]:
    """The works with what may make their hours more or less.

    Parameters
    ----------
    works : Sequence of Work
        From ``labour.works``.
    site : Site
        How sure soil, roots and depths are.
    dig : DigPlan
        Diggings and what is in their way.
    shares : mapping of str to HandShares
        What lies in tolerance zones.
    book : Book
        Rates; one of the firm's own is surer than the trade's.

    Returns
    -------
    tuple of Work
        In the same order, all else unchanged.
    """
    common = _common(site, dig, shares, book)
    found = []
    for work in works:
        key = task_key(work.key)
        key = "coat" if key.startswith("coat-") else key
        low, high = _own(key, site, book)
        doubt = [Doubt("", low, high), PACE, *(common[name] for name in common if key in _HIT[name])]
        found.append(replace(work, doubt=tuple(item for item in doubt if item.low < 1 or item.high > 1)))
    return tuple(found)


_HIT: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"hardness of the soil": DIGS, "roots": DIGS, "buried lines": DIGS, "depth of the footings": EARTH}
)


def _own(key: str, site: Site, book: Book) -> tuple[float, float]:
    """Hours over the likely ones, by the range of the rate."""
    if key in DIGS:
        return _by_rate(book.rates[dig_key(site.job.ground)], DIGGING)
    if key not in RANGES:
        return OWN
    name, slow, fast = RANGES[key]
    rate = book.rates[name]
    if rate.unit.startswith("h/"):
        hours = fast / rate.value, slow / rate.value
    else:
        hours = rate.value / fast, rate.value / slow
    return _by_rate(rate, (min(1.0, hours[0]), max(1.0, hours[1])))


def _by_rate(rate: Rate, trade: tuple[float, float]) -> tuple[float, float]:
    """The trade's range; of a rate that the firm has measured, as far as its jobs differ."""
    if rate.spread is None:
        return trade
    reach = math.exp(NINE_OF_TEN * math.hypot(rate.spread, rate.unsure or 0.0))
    return 1 / reach, reach


def _common(site: Site, dig: DigPlan, shares: Mapping[str, HandShares], book: Book) -> dict[str, Doubt]:
    ground = site.job.ground
    sure = ground.texture.basis is Basis.MEASURED
    roots = ROOTS[ground.roots]
    if ground.roots == "none" and dig.roots:
        roots = (1.0, ROOTS_NEAR)
    found = {
        "hardness of the soil": Doubt("hardness of the soil", *(SOIL_KNOWN if sure else SOIL_ASSUMED)),
        "roots": Doubt("roots", *roots),
    }
    bank = math.fsum(item.bank_volume for item in dig.trenches)
    if bank <= 0:
        return found
    careful = math.fsum(item.bank_volume * shares[item.name].careful for item in dig.trenches) / bank
    if careful > 0:
        counted = careful * book.rate("tolerance-zone") + 1 - careful
        times = [(careful * factor + 1 - careful) / counted for factor in ZONE]
        found["buried lines"] = Doubt("buried lines", min(1.0, times[0]), max(1.0, times[1]))
    doubtful = [item for item in dig.trenches if item.basis in UNSURE and item.depth_mean > 0]
    more = math.fsum(item.bank_volume * min(1.0, DOUBT / item.depth_mean) for item in doubtful) / bank
    if more > 0:
        found["depth of the footings"] = Doubt("depth of the footings", max(0.5, 1 - more), 1 + more)
    return found


__all__ = ["RANGES", "with_doubts"]
