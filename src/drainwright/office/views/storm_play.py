"""The storm to be played over the plan: where things lie, and the water at each moment."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import TypeAlias

import numpy as np

from drainwright.design import Design
from drainwright.office.views.storm import words_of
from drainwright.paper.storm_levels import LIFTING
from drainwright.quantities import convert, unit_label
from drainwright.storm.model import Series, StormCase

FRAMES = 288  # moments that are shown; the test itself steps finer
Line: TypeAlias = tuple[tuple[float, float], ...]  # east, north [m]
Moments: TypeAlias = Callable[[Series], Series]  # from a case's times to the moments that are shown
Levels: TypeAlias = Callable[[Series], tuple[float, ...]]  # the same, in the job's unit


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayedRun:
    """A run on the plan, with the water at its ends over its own invert, as a share of the pipe's depth."""

    name: str
    line: Line
    pressure: bool
    station: str  # whose pump drives it; empty: none
    upper: tuple[float, ...]
    lower: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayedPond:
    """Water over a grate."""

    name: str
    at: tuple[float, float]
    depth: tuple[float, ...]  # over the rim [m]
    told: str  # the greatest depth, in words


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayedBasin:
    """A basin: its level, the levels that matter, and whether a pump runs."""

    name: str
    at: tuple[float, float]
    level: tuple[float, ...]  # in the job's unit
    marks: tuple[tuple[str, float], ...]  # in the job's unit
    pumping: tuple[bool, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """One case of the storm test, moment by moment."""

    key: str
    title: str
    seconds: tuple[float, ...]
    rain: tuple[float, ...]  # in the job's unit
    rain_unit: str
    level_unit: str
    outline: Line  # of the house
    boundary: Line
    runs: tuple[PlayedRun, ...]
    ponds: tuple[PlayedPond, ...]
    basins: tuple[PlayedBasin, ...]
    house: tuple[float, ...]  # highest water in the drains or basin at the house, in the job's unit; empty: none
    floor: float  # level at which the floor is wet, in the job's unit
    failure: float | None  # [s]
    wet: float | None  # when water is at the floor, from the storm's start [s]


def played(key: str) -> partial[Played | None]:
    """The view that gives a case to play; None where the storm test has no such case."""
    return partial(_played, key=key)


def _played(design: Design, *, key: str) -> Played | None:
    case = design.storm.case(key)
    if case is None or len(case.times) < 2:
        return None
    units = design.job.units
    unit = "ft" if units == "US" else "m"
    seconds = np.linspace(case.times[0], case.times[-1], FRAMES + 1)

    def at(values: Series) -> Series:
        return np.interp(seconds, case.times, values)

    def levels(values: Series) -> tuple[float, ...]:
        return tuple(round(convert(float(value), "length", units, unit), 3) for value in at(values))

    rain = design.storm.storm
    place = np.searchsorted(rain.times, seconds, side="right") - 1
    style = "in/h" if units == "US" else "mm/h"
    ends = rain.times[-1] + rain.step
    falls = [float(rain.intensity[n]) if t < ends else 0.0 for n, t in zip(place, seconds, strict=True)]
    since = None if case.time_to_slab is None else (case.failure_at or 0.0) + case.time_to_slab
    return Played(
        key=case.key, title=case.title, seconds=tuple(float(second) for second in seconds),
        rain=tuple(round(convert(fall, "intensity", units, style), 3) for fall in falls),
        rain_unit=unit_label("intensity", units, style), level_unit=unit,
        outline=_line(design.site.outline), boundary=_line(design.site.boundary),
        runs=tuple(_runs(design, case, at)), ponds=tuple(_ponds(design, case, at)),
        basins=tuple(_basins(design, case, at, levels)),
        house=levels(case.basin_level) if len(case.basin_level) == len(case.times) else (),
        floor=round(convert(case.slab_level, "length", units, unit), 3), failure=case.failure_at, wet=since,
    )  # fmt: skip


def _line(places: tuple[tuple[float, float], ...]) -> Line:
    return tuple((round(east, 3), round(north, 3)) for east, north in places)


def _runs(design: Design, case: StormCase, at: Moments) -> Iterator[PlayedRun]:
    for run in design.system.runs:
        station = design.system.station_of_run(run.name)
        ends = ((run.upper, run.invert_upper), (run.lower, run.invert_lower))
        upper, lower = (_filled(case.levels(node), invert, run.pipe.inside, at) for node, invert in ends)
        yield PlayedRun(
            name=run.name, line=_line(run.route), pressure=run.pressure,
            station="" if station is None else station.name, upper=upper, lower=lower,
        )  # fmt: skip


def _filled(levels: Series, invert: float, inside: float, at: Moments) -> tuple[float, ...]:
    """Water at a run's end as a share of the pipe's depth, nothing to full; empty where no level is kept."""
    if not len(levels):
        return ()
    return tuple(round(float(share), 2) for share in np.clip((at(levels) - invert) / inside, 0.0, 1.0))


def _ponds(design: Design, case: StormCase, at: Moments) -> Iterator[PlayedPond]:
    words = words_of(design)
    for node in design.system.nodes.values():
        levels, told = case.levels(f"{node.name} pond"), case.nodes.get(node.name)
        if len(levels) and told is not None:
            depth = np.maximum(at(levels) - node.rim, 0.0)
            yield PlayedPond(
                name=node.name, at=_line((node.at,))[0], depth=tuple(round(float(one), 4) for one in depth),
                told=words.depth(told.pond_depth),
            )  # fmt: skip


def _basins(design: Design, case: StormCase, at: Moments, levels: Levels) -> Iterator[PlayedBasin]:
    units = design.job.units
    unit = "ft" if units == "US" else "m"
    for station in design.system.by_house:
        ran = case.station(station.name)
        if ran is None or len(ran.level) != len(case.times):
            continue
        yield PlayedBasin(
            name=station.name, at=_line((station.at,))[0], level=levels(ran.level),
            marks=tuple(
                (name, round(convert(level, "length", units, unit), 3)) for name, level in station.float_levels.items()
            ),
            pumping=tuple(bool(one > LIFTING) for one in at(ran.lifted)),
        )  # fmt: skip


__all__ = ["Played", "PlayedBasin", "PlayedPond", "PlayedRun", "played"]
