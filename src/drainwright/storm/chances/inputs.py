"""Which inputs of the chance are uncertain, and within what range.

What the inflows rest on has the ranges of ``water.input_ranges``; the rest is of the plant's own life.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from drainwright.field.model import Site
from drainwright.job.values import Basis
from drainwright.sources import cite
from drainwright.storm.chances.model import Uncertain
from drainwright.storm.chances.yearly import NO_EVENTS, Events
from drainwright.system.model import System
from drainwright.water.ground import ground_of
from drainwright.water.input_ranges import (
    CONDUCTIVITY,
    NINE_OF_TEN,
    RAIN,
    REACH,
    WATER_TABLE,
    Spread,
    area_spread,
    by_factor,
    conductivity_spread,
    level_spread,
)
from drainwright.water.model import Cause, Contribution, Inflows
from drainwright.worksheet import quiet

Values = Mapping[str, float]

PRACTICE = "assumed; common practice, no source"
POROSITY: Mapping[Basis, float] = {Basis.MEASURED: 1.3, Basis.MAPPED: 2.0, Basis.STATED: 1.5, Basis.ASSUMED: 2.0}
BAND = 0.0127  # half an inch, by which a float may stand off its mark [m]
HOUR, DAY = 3600.0, 86400.0
POWER_SOURCE, LIFE_SOURCE = "eia_interruptions", "sump_life"
POWER = f"averages of customers, with and without major events; {cite(POWER_SOURCE)}"


def uncertain_inputs(site: Site, inflows: Inflows, system: System) -> tuple[Uncertain, ...]:
    """What is uncertain of a job: only what the job has.

    Parameters
    ----------
    site, inflows, system
        As designed.

    Returns
    -------
    tuple of Uncertain
        Factors of the design's value for conductivities, areas, reach, porosity and rain; metres by which a level
        stands higher for levels; shares, rates a year and seconds for the rest.
    """
    with quiet():
        found = [*_ground(site, inflows), *_surface(site, inflows)]
    if system.runs:
        found.append(_own("roots", "capacity of gravity runs lost to roots and silt", 0.0, 0.05, 0.5, "-"))
    if system.stations:
        found += _pumps(site)
    return tuple(found)


def middles(uncertain: tuple[Uncertain, ...]) -> dict[str, float]:
    """The middle of each; no for what is yes or no."""
    return {item.key: 0.0 if item.law == "yes or no" else item.middle for item in uncertain}


def events_of(values: Values) -> Events:
    """Power cuts and pump failures of a truth."""
    if "cuts" not in values:
        return NO_EVENTS
    return Events(
        cuts=values["cuts"], cut_length=values["cut length"], cut_with_storm=values["cut with storm"],
        failures=values["failures"], unnoticed=values["unnoticed"], season=values["season"],
    )  # fmt: skip


def _of_spread(key: str, spread: Spread, test: str = "", measured: float = 0.0, name: str = "") -> Uncertain:
    """A range of the inflows: a level as its rise above the middle, all else as a factor."""
    middle = spread.middle
    ends = (
        (spread.low - middle, 0.0, spread.high - middle)
        if spread.level else (spread.low / middle, 1.0, spread.high / middle)
    )  # fmt: skip
    error = (measured if spread.level else math.log(measured)) / NINE_OF_TEN if test else 0.0
    return Uncertain(
        key=key, name=name or spread.name, law="normal" if spread.level else "lognormal", low=ends[0], middle=ends[1],
        high=ends[2], unit="m" if spread.level else "x", basis=spread.basis, why=spread.why, test=test,
        test_spread=error,
    )  # fmt: skip


def _own(
    key: str, name: str, low: float, middle: float, high: float, unit: str, why: str = PRACTICE,
    basis: Basis = Basis.ASSUMED,
) -> Uncertain:  # fmt: skip
    return Uncertain(
        key=key, name=name, law="triangular", low=low, middle=middle, high=high, unit=unit, basis=basis, why=why
    )


def _ground(site: Site, inflows: Inflows) -> Iterator[Uncertain]:
    if not inflows.seepage:
        return
    soil = conductivity_spread(site, inflows)
    known = soil.basis is Basis.MEASURED
    yield _of_spread(
        "conductivity", soil, "" if known else "a percolation or hole test at the drain's depth",
        CONDUCTIVITY[Basis.MEASURED],
    )  # fmt: skip
    lowest = min(inflows.seepage, key=lambda item: item.drain_level)
    ground = site.job.ground
    if lowest.bound:
        fact = ground.open_water.level if ground.open_water is not None else None
    else:
        fact = ground.water_table if site.water_table is not None else None
    water = level_spread("open water" if lowest.bound else "water table", fact, lowest.far_level, WATER_TABLE)
    standing = "a standpipe read through a wet season"
    yield _of_spread(
        "water table", water, "" if water.basis is Basis.MEASURED else standing, WATER_TABLE[Basis.MEASURED]
    )
    if not lowest.bound:
        why = "as for the band of the inflow; common practice, no source"
        yield _of_spread(
            "reach", by_factor("how far the drains lower ground water", 1.0, REACH, "length", Basis.ASSUMED, why)
        )
    basis = ground_of(site).porosity_basis
    spread = by_factor("drainable porosity of the soil", 1.0, POROSITY[basis], "fraction", basis, PRACTICE)
    yield _of_spread("porosity", spread)


def _surface(site: Site, inflows: Inflows) -> Iterator[Uncertain]:
    roofs = {roof.name: roof for roof in site.job.roofs}
    yards = {yard.name: yard for yard in site.job.yards}
    for key, cause, known in (("roof areas", Cause.ROOF, roofs), ("yard areas", Cause.YARD, yards)):
        parts = [part for part in inflows.contributions if part.cause is cause and part.area > 0.0]
        if not parts:
            continue
        biggest: Contribution = max(parts, key=lambda part: part.area)
        source = known.get(biggest.source)
        if source is None:
            continue
        spread = area_spread(site, source, biggest)
        tests = "" if spread.basis is Basis.MEASURED else "taping them"
        name = f"{key}, all alike as {biggest.source}"
        yield _of_spread(key, spread, tests, 1.03, name)
        if cause is Cause.YARD:
            basis = site.job.ground.texture.basis
            soak = by_factor(
                "rain that the yards' soil takes", 1.0, CONDUCTIVITY[basis], "speed", basis,
                "as the soil's conductivity by how its texture is known, apart from that at the drain",
            )  # fmt: skip
            ring = "" if basis is Basis.MEASURED else "a ring test on the lawn"
            yield _of_spread("yard soil", soak, ring, CONDUCTIVITY[Basis.MEASURED])
    if any(part.area > 0.0 for part in inflows.contributions):
        criteria, table = site.job.criteria, inflows.rain
        depth = table.depth(criteria.storm_duration, criteria.storm_return_period)
        given = table.bounds(criteria.storm_duration, criteria.storm_return_period)
        low, high = RAIN[table.basis] if given is None else (given[0] / depth, given[1] / depth)
        why = (
            "as a published table's 90 % bounds, wider where only stated or assumed" if given is None
            else "bounds of the rain table at the design storm, the same share at every return period"
        )  # fmt: skip
        yield Uncertain(
            key="rain", name="rain depths of the table", law="lognormal", low=low, middle=1.0, high=high, unit="x",
            basis=table.basis, why=why,
        )  # fmt: skip
    if site.job.works.inlets:
        usual = site.job.criteria.grate_clogging
        yield _own("clogging", "grates closed by leaves", 0.0, usual, 0.5 * (1.0 + usual), "-")


def _pumps(site: Site) -> Iterator[Uncertain]:
    wear = site.job.criteria.pump_wear
    yield _own("wear", "head that the pump has lost by wear", 0.0, wear, max(2.0 * wear, 0.05), "-")
    yield Uncertain(
        key="float", name="where the float starts the pump", law="normal", low=-BAND, middle=0.0, high=BAND, unit="m",
        basis=Basis.ASSUMED, why=PRACTICE,
    )  # fmt: skip
    yield Uncertain(
        key="check valve", name="the check valve leaks", law="yes or no", low=0.0, middle=0.1, high=1.0, unit="-",
        basis=Basis.ASSUMED, why=PRACTICE,
    )  # fmt: skip
    yield _own("cuts", "power cuts a year", 0.5, 1.2, 3.0, "1/year", POWER, Basis.STATED)
    yield _own("cut length", "mean length of a power cut", 1.5 * HOUR, 4.0 * HOUR, 6.0 * HOUR, "s", POWER, Basis.STATED)
    yield _own("cut with storm", "chance that a storm of the table brings a power cut", 0.02, 0.1, 0.3, "-")
    yield _own(
        "failures", "pump failures a year", 1.0 / 15.0, 0.1, 0.2, "1/year",
        f"a life of some ten years ({cite(LIFE_SOURCE)}); the range is assumed",
    )  # fmt: skip
    yield _own("unnoticed", "time until someone notices a dead pump", 0.5 * DAY, 3.0 * DAY, 21.0 * DAY, "s")
    yield _own("season", "part of the year in which ground water stands high", 0.1, 0.25, 0.6, "-")


__all__ = ["Values", "events_of", "middles", "uncertain_inputs"]
