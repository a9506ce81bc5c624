"""A size that cannot be had: what could stand in its place, each designed anew and held to every check."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from drainwright.build.model import TakeoffLine
from drainwright.build.stone import stone_key
from drainwright.build.takeoff import pipe_key, pump_key, sold_size
from drainwright.build.takeoff.bodies import BASINS, CATCH_BASINS
from drainwright.design import Design
from drainwright.errors import DrainError, JobError, Problem
from drainwright.offer.model import Difference
from drainwright.offer.what_if import what_if
from drainwright.storm.failures.as_change import basin_key
from drainwright.system.catalogue import PIPES, nominal_size
from drainwright.system.model import Pipe, PumpChoice
from drainwright.system.trade import pipe_words, pump_words, size_words

MOST = 4  # alternatives that are designed
#: Clean stones by grading, the middle of the standard's limits (ASTM D448, from memory): d15, d50, d85 [mm]; for No. 57
#: the design has the limits themselves.
STONES: tuple[tuple[str, tuple[float, ...]], ...] = (
    ("clean stone No. 57", ()), ("clean stone No. 67", (6.5, 11.5, 17.5)), ("clean stone No. 8", (4.0, 6.5, 9.0)),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Swap:
    """One thing in the place of what cannot be had, and what becomes of the job with it."""

    words: str
    changes: Mapping[str, Any]  # by dotted key of the job document; none: the document cannot say it
    design: Design | None
    difference: Difference | None
    why: str = ""  # why it was not designed

    @property
    def sound(self) -> bool | None:
        """Whether no check fails with it; None where it was not designed."""
        return None if self.design is None else self.design.sound


def swaps(base: Design, key: str, told: Callable[[int, int], None] | None = None) -> tuple[Swap, ...]:
    """What could stand in the place of a thing of the order.

    Parameters
    ----------
    base : Design
        The job as written, designed.
    key : str
        Of a line of its order: ``pipe.sch40-3in.20ft``, ``pump.1/2hp.adjustable``, ``basin.30in``, ``stone.57``,
        ``catch-basin.12in``.
    told : callable, optional
        Called with how many of how many are done.

    Returns
    -------
    tuple of Swap
        The four nearest at most, in the order in which they are to be taken: of the sound ones those that bring no new
        caution of the digging, the cheapest first, then the other sound ones, then those in which a check fails, then
        those that cannot be designed, each of which says why. None is passed over in silence.

    Raises
    ------
    JobError
        If the order has no such line, or nothing is known that could stand in its place.
    """
    lines = {line.key: line for line in base.build.takeoff.lines}
    if key not in lines:
        near = difflib.get_close_matches(key, lines, 1)
        raise _refused(key, "the key of a line of this job's order", f"did you mean {near[0]}?" if near else "")
    asked = list(_alternatives(base, lines[key]))[:MOST]
    if not asked:
        raise _refused(key, "a pipe, a pump, a sump basin, a catch basin, an area grate or the drain stone of this job",
                       "for other things the order stands as it is: take what does the same")  # fmt: skip
    found = []
    for number, (words, changes) in enumerate(asked, start=1):
        found.append(_tried(base, words, changes))
        if told is not None:
            told(number, len(asked))
    return tuple(sorted(found, key=_turn))


def _turn(one: Swap) -> tuple[int, Decimal]:
    """Sound ones first, those that make no digging worse before others, by their price; those not designed last."""
    if one.design is None or one.difference is None:
        return 3, Decimal(0)
    worse = bool(one.difference.dug_worse)
    return (2 if not one.sound else 1 if worse else 0), one.design.build.price.total


def _refused(key: str, expected: str, hint: str) -> JobError:
    return JobError((Problem(where="--out-of-stock", found=key, expected=expected, hint=hint),))


def _tried(base: Design, words: str, changes: Mapping[str, Any]) -> Swap:
    if not changes:
        return Swap(
            words=words, changes={}, design=None, difference=None,
            why="the job leaves this to the design: write the run or basin into the job document first",
        )  # fmt: skip
    try:
        other, changed = what_if(base, changes)
    except JobError as error:
        first = error.problems[0]
        why = f"{first.where}: found {first.found}; expected {first.expected}"
        return Swap(words=words, changes=changes, design=None, difference=None, why=why)
    except DrainError as error:
        return Swap(words=words, changes=changes, design=None, difference=None, why=str(error))
    return Swap(words=words, changes=changes, design=other, difference=changed)


_Asked = tuple[str, Mapping[str, Any]]


def _alternatives(base: Design, line: TakeoffLine) -> Iterator[_Asked]:
    if line.category == "pipe":
        yield from _pipes(base, line.key)
    elif line.key.startswith("pump."):
        yield from _pumps(base, line.key)
    elif line.key.startswith("basin."):
        yield from _basins(base, line.key)
    elif line.key.startswith(("catch-basin.", "area-grate.")):
        yield from _inlets(base, line.key)
    elif line.key == stone_key(base.job.works.stone.name):
        for name, sizes in STONES:
            facts = {part: f"{size} mm, assumed" for part, size in zip(("d15", "d50", "d85"), sizes, strict=False)}
            if stone_key(name) != line.key:
                yield name, {"works.stone": {"name": name, **facts}}


def _pipes(base: Design, key: str) -> Iterator[_Asked]:
    """Other lengths of the same pipe, then the next sizes of its family, then other families of its size."""
    pipe = next(run.pipe for run in base.system.runs for stick in run.pipe.sticks if pipe_key(run.pipe, stick) == key)
    runs = [run for run in base.system.runs if run.pipe.key == pipe.key]
    units = base.job.units
    if len(pipe.sticks) > 1:
        gone = [*base.job.works.out_of_stock, key]
        if any(pipe_key(pipe, stick) not in gone for stick in pipe.sticks):
            yield f"the other lengths of {pipe_words(pipe, units)}", {"works.out_of_stock": gone}
    given = {run.name for run in base.job.works.runs}
    for other in _like(pipe, pressure=any(run.pressure for run in runs)):
        known = all(run.name in given for run in runs)
        yield pipe_words(other, units), {f"works.runs.{run.name}.pipe": other.key for run in runs} if known else {}


def _like(pipe: Pipe, *, pressure: bool) -> Iterator[Pipe]:
    size = nominal_size(pipe)
    alike = [one for one in PIPES.values() if one.perforated == pipe.perforated and one.key != pipe.key]
    if pressure:
        alike = [one for one in alike if one.rating is not None]
    family = [one for one in alike if one.family == pipe.family and nominal_size(one) != size]
    larger = sorted((one for one in family if nominal_size(one) > size), key=nominal_size)
    smaller = sorted((one for one in family if nominal_size(one) < size), key=nominal_size, reverse=True)
    yield from larger[:1]
    yield from (one for one in alike if nominal_size(one) == size and one.family != pipe.family)
    yield from smaller[:1]
    yield from larger[1:2]


def _pumps(base: Design, key: str) -> Iterator[_Asked]:
    """The next pumps of the design's own ranking."""
    units = base.job.units
    for station in base.system.stations:
        if pump_key(station.pump.label_power, station.pump.float_kind) != key:
            continue
        place = basin_key(base.site, station.name)
        seen = {key}
        for ranked in station.ranking:
            pump = ranked.pump
            own = pump_key(pump.label_power, pump.float_kind)
            if own not in seen:
                seen.add(own)
                words = f"{pump_words(pump, units)} at {station.name}"
                yield words, {f"{place}.pump": _sheet(pump)} if place else {}


def _sheet(pump: PumpChoice) -> dict[str, Any]:
    """A pump as the job document takes it."""
    sheet: dict[str, Any] = {
        "name": pump.name,
        "curve": [
            {"flow": f"{flow * 60000:.6f} L/min", "head": f"{head:.6f} m"}
            for flow, head in zip(pump.curve.flows, pump.curve.heads, strict=True)
        ],
        "float_kind": pump.float_kind,
        "minimum_depth": f"{pump.minimum_depth:.6f} m",
        "discharge_size": pump.discharge_size,
    }
    if pump.label_power is not None:
        sheet["label_power"] = f"{pump.label_power:.4f} W"
    if pump.float_band is not None:
        sheet["float_band"] = f"{pump.float_band:.6f} m"
    if pump.price is not None:
        sheet["price"] = pump.price
    return sheet


def _basins(base: Design, key: str) -> Iterator[_Asked]:
    for station in base.system.stations:
        size = sold_size(station.inside_diameter, BASINS)
        if key != f"basin.{size:.0f}in":
            continue
        place = basin_key(base.site, station.name)
        for other in sorted((one for one in BASINS if one != size), key=lambda one: abs(one - size)):
            words = f"{size_words(f'{other:.0f} in', base.job.units)} sump basin at {station.name}"
            yield words, {f"{place}.diameter": f"{other:.0f} in"} if place else {}


def _inlets(base: Design, key: str) -> Iterator[_Asked]:
    kind, size = key.removesuffix("in").split(".")
    mine = [
        inlet.name
        for inlet in base.job.works.inlets
        if inlet.kind == kind.replace("-", " ") and f"{sold_size(inlet.size, CATCH_BASINS):.0f}" == size
    ]
    for other in _next(float(size), CATCH_BASINS):
        words = f"{size_words(f'{other:.0f} in', base.job.units)} {kind.replace('-', ' ')}"
        yield words, {f"works.inlets.{name}.size": f"{other:.0f} in" for name in mine}


def _next(size: float, sold: tuple[float, ...]) -> list[float]:
    """The next larger, the next smaller, then the one after the larger."""
    larger, smaller = [one for one in sold if one > size], [one for one in sold if one < size][::-1]
    return [*larger[:1], *smaller[:1], *larger[1:2]]


__all__ = ["MOST", "STONES", "Swap", "swaps"]
