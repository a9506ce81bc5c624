"""What the hole tests of a site say of the soil's conductivity, each reduced by its own published method."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.field.words import Units, fail
from drainwright.hydraulics.hole_tests import (
    AUGER_LOWERING,
    AUGER_RADIUS,
    AUGER_RECOVERY,
    AUGER_WATER,
    auger_hole_deep,
    auger_hole_on_barrier,
    sinking_hole,
)
from drainwright.job.ground_tests import HoleTest
from drainwright.quantities import percent, write
from drainwright.worksheet import Card, catalogued, place

SCATTER = 0.10  # root mean square about the line over the whole rise or fall: read again [-]
SLOWING = 1.5  # first half's conductivity over the second half's: the soil was still drinking [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleResult:
    """One test, reduced."""

    name: str
    kind: str
    conductivity: float  # [m/s]
    residual: float  # root mean square of the readings about the fitted line [m]
    readings: int  # that count
    cautions: tuple[str, ...]  # where the method's limits were left, in words


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilFromTests:
    """All tests of a site together."""

    conductivity: float  # geometric mean [m/s]
    lowest: float  # [m/s]
    highest: float  # [m/s]
    spread: float  # factor of one standard deviation; 1 for a single test [-]
    results: tuple[HoleResult, ...]


@catalogued(
    Card(
        title="Conductivity from several tests",
        symbol="K",
        expression="the geometric mean of the tests, since conductivity spreads by factors",
        expression_kind="procedure",
        units={"conductivities": "m/s", "result": "m/s"},
        source="ernst_auger_hole",
    )
)
def mean_conductivity(conductivities: Sequence[float]) -> float:
    """Geometric mean of conductivities above zero. [m/s]"""
    return math.exp(sum(math.log(value) for value in conductivities) / len(conductivities))


def soil_from_tests(tests: Sequence[HoleTest], units: Units) -> SoilFromTests | None:
    """Reduce every hole test of a job.

    Parameters
    ----------
    tests : sequence of HoleTest
        ``job.ground.hole_tests``.
    units : {"US", "SI"}
        In which the cautions are written.

    Returns
    -------
    SoilFromTests or None
        None where there is no test.

    Raises
    ------
    JobError
        If the water in a test does not move the way its method needs.
    """
    if not tests:
        return None
    results = tuple(reduce_test(test, units) for test in tests)
    values = [result.conductivity for result in results]
    logs = [math.log(value) for value in values]
    if len(values) == 1:
        mean, spread = values[0], 1.0
    else:
        with place("ground", "all hole tests"):
            mean = mean_conductivity(values)
        middle = sum(logs) / len(logs)
        spread = math.exp(math.sqrt(sum((log - middle) ** 2 for log in logs) / (len(logs) - 1)))
    return SoilFromTests(
        conductivity=mean, lowest=min(values), highest=max(values), spread=spread, results=results
    )  # fmt: skip


def reduce_test(test: HoleTest, units: Units) -> HoleResult:
    """Conductivity from one hole test.

    Parameters
    ----------
    test : HoleTest
        As the job carries it.
    units : {"US", "SI"}
        In which the cautions are written.

    Returns
    -------
    HoleResult
        By a straight line through all readings that count: of the water's level for an auger hole, of
        ln(h + r/2) for water that sinks.

    Raises
    ------
    JobError
        If the water rises where it must sink, sinks where it must rise, or stands on the wrong side of its rest.
    """
    with place("ground", f"hole test {test.name}"):
        return _auger(test, units) if test.kind == "auger hole" else _sinking(test)


def _auger(test: HoleTest, units: Units) -> HoleResult:
    where = f"ground.hole_tests.{test.name}"
    rest = test.water_depth or 0.0
    radius, water = test.diameter / 2.0, test.hole_depth - rest
    times = [reading.time for reading in test.readings]
    lowerings = [reading.depth - rest for reading in test.readings]
    if water <= 0.0:
        raise fail(f"{where}.water_depth", "water at rest below the hole", "a hole that reaches below the water table")
    if min(lowerings) <= 0.0 or max(lowerings) > water + 1e-9:
        raise fail(f"{where}.readings", "a reading above the water at rest", "readings of water that was bailed down")
    counts = sum(1 for value in lowerings if value >= (1.0 - AUGER_RECOVERY) * lowerings[0])
    used = max(counts, 2)
    slope, residual = _line(times[:used], lowerings[:used])
    if slope >= 0.0:
        raise fail(f"{where}.readings", "water that does not rise", "depths that grow less from reading to reading")
    lowering = 0.5 * (lowerings[0] + lowerings[used - 1])
    conductivity, cautions = _ernst(test, radius, water, lowering, -slope)
    limits = [("The hole's radius", radius, AUGER_RADIUS), ("The water in the hole at rest", water, AUGER_WATER)]
    for what, value, (low, high) in limits:
        if not low - 1e-9 <= value <= high + 1e-9:
            cautions.append(
                f"{what}, {_size(value, units)}, is outside {_size(low, units)} to {_size(high, units)},"
                " for which the formula was made."
            )
    cautions += _scatter(residual, lowerings[0] - lowerings[used - 1])
    if lowering < AUGER_LOWERING * water:
        cautions.append(f"The water was bailed down by less than {percent(AUGER_LOWERING)} of its depth: bail deeper.")
    if counts < 2:
        cautions.append(
            f"The second reading came after {percent(AUGER_RECOVERY)} of the lowering had risen back: read sooner."
        )
    return HoleResult(
        name=test.name, kind=test.kind, conductivity=conductivity, residual=residual, readings=used,
        cautions=tuple(cautions),
    )  # fmt: skip


def _ernst(test: HoleTest, radius: float, water: float, lowering: float, rate: float) -> tuple[float, list[str]]:
    if test.barrier_depth is None:
        deep = float(auger_hole_deep(radius, water, lowering, rate))
        return deep, ["Nobody knows how deep the tight layer lies: it is taken as deep."]
    below = test.barrier_depth - test.hole_depth
    if below >= 0.5 * water:
        return float(auger_hole_deep(radius, water, lowering, rate)), []
    tight = float(auger_hole_on_barrier(radius, water, lowering, rate))
    if below <= 0.0:
        return tight, []
    deep = float(auger_hole_deep(radius, water, lowering, rate))
    share = below / (0.5 * water)
    return tight + share * (deep - tight), [
        "The tight layer lies a little under the hole: the figure is read between the two published formulas."
    ]


def _sinking(test: HoleTest) -> HoleResult:
    where = f"ground.hole_tests.{test.name}"
    half = test.diameter / 4.0  # half of the radius
    times = [reading.time for reading in test.readings]
    heads = [max(test.hole_depth - reading.depth, 0.0) for reading in test.readings]
    slope, _ = _line(times, [math.log(head + half) for head in heads])
    if slope >= 0.0:
        raise fail(f"{where}.readings", "water that does not sink", "depths that grow from reading to reading")
    middle_time = sum(times) / len(times)
    middle = sum(math.log(head + half) for head in heads) / len(heads)
    fitted = [math.exp(middle + slope * (time - middle_time)) - half for time in times]
    residual = math.sqrt(sum((head - fit) ** 2 for head, fit in zip(heads, fitted, strict=True)) / len(heads))
    conductivity = float(
        sinking_hole(test.diameter / 2.0, max(fitted[0], 0.0), max(fitted[-1], 0.0), times[-1] - times[0])
        if fitted[-1] > 0.0
        else -half * slope
    )
    slowing = _slowing(times, [math.log(head + half) for head in heads])
    cautions = []
    if not test.soaked:
        cautions.append(
            "Nobody soaked the hole first: dry soil sucks water in, and the figure is too great, by several times in"
            " fine soil."
        )
    if slowing is not None and slowing > SLOWING:
        cautions.append(
            f"The water sank {slowing:.1f} times as readily in the first half of the readings as in the second: go on"
            " until it no longer slows."
        )
    cautions += _scatter(residual, heads[0] - heads[-1])
    if test.kind == "percolation":
        cautions.append(
            "A percolation rate is not a conductivity: the pit's size and the water in it are taken out of it here, by"
            " Porchet's method."
        )
    return HoleResult(
        name=test.name, kind=test.kind, conductivity=conductivity, residual=residual, readings=len(times),
        cautions=tuple(cautions),
    )  # fmt: skip


def _scatter(residual: float, moved: float) -> list[str]:
    if residual <= SCATTER * abs(moved):
        return []
    share = residual / max(abs(moved), 1e-9)
    return [f"The readings lie {percent(share)} of the whole movement off the line that the method expects: take more."]


def _slowing(times: Sequence[float], logs: Sequence[float]) -> float | None:
    if len(times) < 4:
        return None
    half = (len(times) + 1) // 2
    first, _ = _line(times[:half], logs[:half])
    second, _ = _line(times[half - 1 :], logs[half - 1 :])
    return first / second if second < 0.0 else None


def _line(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Slope of the straight line through points by least squares, and the root mean square about it."""
    mean_x, mean_y = sum(x) / len(x), sum(y) / len(y)
    width = sum((one - mean_x) ** 2 for one in x)
    slope = sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True)) / width
    rest = sum((b - mean_y - slope * (a - mean_x)) ** 2 for a, b in zip(x, y, strict=True))
    return slope, math.sqrt(rest / len(x))


def _size(value: float, units: Units) -> str:
    return write(value, "length", units, "in", 1) if units == "US" else write(value, "length", units, "mm", 0)


__all__ = ["SCATTER", "SLOWING", "HoleResult", "SoilFromTests", "mean_conductivity", "reduce_test", "soil_from_tests"]
