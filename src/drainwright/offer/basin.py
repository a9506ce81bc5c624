"""A basin of another size where the job names none: which makes the whole job cheaper than the one the design chose."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from drainwright.build.takeoff import sold_size
from drainwright.build.takeoff.bodies import BASINS
from drainwright.design import Design
from drainwright.errors import DrainError
from drainwright.findings.model import Severity
from drainwright.job.works import Basin
from drainwright.offer.model import Difference
from drainwright.offer.what_if import what_if
from drainwright.quantities import Kind, write
from drainwright.storm.failures.as_change import basin_key
from drainwright.system.lift.choice import DEPTHS
from drainwright.system.model import LiftStation
from drainwright.system.trade import size_words


@dataclass(frozen=True, slots=True, kw_only=True)
class CheaperBasin:
    """A sold size with which the whole job costs less, all else designed anew."""

    where: str  # name of the basin
    size: str  # in the job's units: ``48 in``
    changes: Mapping[str, Any]  # by dotted key of the job document
    saves: Decimal  # with tax
    key: str  # of the order's line in whose place it stands
    difference: Difference
    against: str = ""  # why it is not put forward, though it costs less; empty: it is


def cheaper_basins(base: Design, told: Callable[[int, int], None] | None = None) -> tuple[CheaperBasin, ...]:
    """Of each basin that the design sized the sold size with which the job is cheapest, where that is another.

    The design ranks basins by what basin, hole, pump and line cost by proxies, before anything is built; the price
    asked knows shields, hire, sticks and days. So each size is designed as a whole job, one basin at a time.

    Parameters
    ----------
    base : Design
        The job as written, designed.
    told : callable, optional
        Called with how many designs are done of how many.

    Returns
    -------
    tuple of CheaperBasin
        In the order of the water: the one with which the job is cheapest, and where one that costs still less was
        passed over, that one with the reason: a basin deeper than common ones, or a new caution of the digging. None of
        a basin whose diameter or depth the job gives, or that the job document does not hold; none that cannot be
        designed, or with which a check fails that held before.
    """
    asked = [(station, place) for station in base.system.stations if (place := _left_open(base, station)) is not None]
    most, done = len(asked) * (len(BASINS) - 1), 0
    found: list[CheaperBasin] = []
    for station, place in asked:
        mine = sold_size(station.inside_diameter, BASINS)
        tried = []
        for other in (size for size in BASINS if size != mine):
            one = _tried(base, station, place, other)
            done += 1
            if told is not None:
                told(done, most)
            if one is not None:
                tried.append(one)
        found += _told(tried)
    return tuple(found)


def _told(tried: Sequence[CheaperBasin]) -> list[CheaperBasin]:
    """Of one basin's sizes the cheapest, and the cheapest of those passed over where that costs still less."""
    cheaper = sorted((one for one in tried if one.saves > 0), key=lambda one: -one.saves)
    best = next((one for one in cheaper if not one.against), None)
    told = [] if best is None else [best]
    return told + cheaper[:1] if cheaper and cheaper[0] is not best else told


def unpriced_sizes(base: Design) -> dict[str, tuple[str, tuple[str, ...]]]:
    """Basins that the job leaves open: the size sold that the design took, and those that nobody has priced.

    Parameters
    ----------
    base : Design
        The job as written, designed.

    Returns
    -------
    dict of str to (str, tuple of str)
        By name. Which of the sizes makes the whole job cheaper only ``cheaper_basins`` tells, a second or more a size.
    """
    found = {}
    for station in base.system.stations:
        if _left_open(base, station) is not None:
            mine = sold_size(station.inside_diameter, BASINS)
            words = {size: size_words(f"{size:.0f} in", base.job.units) for size in BASINS}
            found[station.name] = words[mine], tuple(said for size, said in words.items() if size != mine)
    return found


def unpriced_words(base: Design) -> dict[str, str]:
    """The same in a sentence for each basin: what the price of its size is not."""
    return {
        name: f"{name}: {mine} is the design's choice, by what basin, hole, pump and line cost by and large, made "
        f"before this price was known. With {', '.join(others[:-1])} or {others[-1]} the whole job may cost less: "
        "'drainwright options' designs and prices it with each, and names the cheapest."
        for name, (mine, others) in unpriced_sizes(base).items()
    }


def _left_open(base: Design, station: LiftStation) -> str | None:
    """Where the basin stands in the job document, if that leaves its width and depth to the design."""
    works = base.job.works
    place = basin_key(base.site, station.name)
    basins = [*([works.basin] if isinstance(works.basin, Basin) else []), *works.more_basins]
    basin = next((one for one in basins if one.name == station.name), None)
    return place if basin is not None and basin.diameter is None and basin.depth is None else None


def _tried(base: Design, station: LiftStation, place: str, size: float) -> CheaperBasin | None:
    changes = {f"{place}.diameter": f"{size:.0f} in"}
    try:
        other, changed = what_if(base, changes)
    except DrainError:
        return None  # a size in which no station can be made is none to take
    made = next(one for one in other.system.stations if one.name == station.name)
    if any(item.severity is Severity.FAILS for item in changed.arisen):
        return None
    words = [f"it brings {item.id}: {item.message[:1].lower()}{item.message[1:]}" for item in changed.dug_worse]
    if made.depth > max(DEPTHS[-1], station.depth) + 1e-9:
        tall, common = (write(depth, Kind.LENGTH, base.job.units) for depth in (made.depth, DEPTHS[-1]))
        words.insert(0, f"it is {tall} deep, where common ones are {common} at most")
    return CheaperBasin(
        where=station.name,
        size=size_words(f"{size:.0f} in", base.job.units),
        changes=changes,
        saves=-changed.price.change,
        key=f"basin.{sold_size(station.inside_diameter, BASINS):.0f}in",
        difference=changed,
        against="; ".join(word.rstrip(".") for word in words),
    )


__all__ = ["CheaperBasin", "cheaper_basins", "unpriced_sizes", "unpriced_words"]
