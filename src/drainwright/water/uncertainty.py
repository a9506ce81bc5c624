"""How wide the inflows may be off: the ranges of what they rest on, sampled through the same formulas.

Each input has a low, middle and high value: nine times of ten the truth lies between. Flows follow by stratified
sampling (Latin hypercube, McKay and others 1979) with a fixed seed, so the same job gives the same digits. The inputs
count as independent; the middle of each is the design's own value, so the bands lie about the design figures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import Site
from drainwright.hydraulics.influence import sichardt_influence
from drainwright.hydraulics.seepage import slot_inflow
from drainwright.job.site import YardArea
from drainwright.job.values import Basis, Fact, Level
from drainwright.water.ground import ASSUMED_LAYER, LEAST_INFLUENCE, recharge_inflow
from drainwright.water.input_ranges import (
    FOOTING,
    NINE_OF_TEN,
    RAIN,
    REACH,
    RECHARGE,
    WATER_TABLE,
    Spread,
    area_spread,
    by_factor,
    coefficient_spread,
    conductivity_spread,
    fact_spread,
    layer_spread,
    level_spread,
)
from drainwright.water.model import Band, Cause, Contribution, GroundLine, Inflows, InputRange, Seepage
from drainwright.worksheet import quiet

COUNT = 2048  # samples
LEAST_PART = 1e-3  # of the middle: where a range reaches down to nothing [-]
SEED = 1979

Sample = NDArray[np.float64]


@dataclass(slots=True)
class Draws:
    """Draws the inputs one after the other and keeps what was drawn."""

    generator: np.random.Generator = field(default_factory=lambda: np.random.default_rng(SEED))
    spreads: list[Spread] = field(default_factory=list)
    numbers: list[Sample] = field(default_factory=list)

    def take(self, spread: Spread) -> Sample:
        """Standard normal numbers for an input, one from each of ``COUNT`` equal strata, in random order. [-]"""
        drawn = _quantiles()[self.generator.permutation(COUNT)]
        self.spreads.append(spread)
        self.numbers.append(drawn)
        return drawn

    def value(self, spread: Spread) -> Sample:
        """The same as the input's value over its middle, or less its middle where it is a level."""
        return value_of(self.take(spread), spread)


@lru_cache(maxsize=1)
def _quantiles() -> Sample:
    normal = NormalDist()
    return np.array([normal.inv_cdf((number + 0.5) / COUNT) for number in range(COUNT)])


def factor_of(numbers: Sample, low: float, middle: float, high: float) -> Sample:
    """Values over the middle: lognormal on each side of it, so that 5 and 95 of a hundred are ``low`` and ``high``.

    Parameters
    ----------
    numbers : ndarray
        Standard normal. [-]
    low, middle, high : float
        In order, ``high`` above zero; a ``low`` of nothing has no logarithm and counts as a thousandth of the middle.

    Returns
    -------
    ndarray
        Factors, 1 at the middle. [-]
    """
    if middle <= 0.0:  # nothing runs off, whatever falls
        return np.ones_like(numbers)
    low = max(low, LEAST_PART * middle)
    side = np.where(numbers < 0.0, math.log(middle / low), math.log(high / middle))
    return np.exp(numbers * side / NINE_OF_TEN)


def shift_of(numbers: Sample, low: float, middle: float, high: float) -> Sample:
    """Values less the middle: normal on each side of it, for levels."""
    return numbers * np.where(numbers < 0.0, middle - low, high - middle) / NINE_OF_TEN


def with_bands(site: Site, inflows: Inflows) -> Inflows:
    """The inflows with their bands, and the ranges of the inputs that make them.

    Parameters
    ----------
    site : Site
        The surveyed site.
    inflows : Inflows
        The design flows.

    Returns
    -------
    Inflows
        The same flows; contributions with ``low`` and ``high``, ``bands`` by cause, ``total``, the ``band`` of each
        ground line, and ``ranges`` by their share of the total's variance (first order, by the sample's correlation;
        they need not add up to 1).

    Notes
    -----
    What a formula leaves out is not in the bands: that the drain is counted with water from both sides, that rain runs
    down loose backfill, that roofs are counted to run off in full.
    """
    if not inflows.contributions:
        return inflows
    draws, parts = _sampled(site, inflows)
    low, _, high = np.quantile(parts, (0.05, 0.5, 0.95), axis=1)
    contributions = tuple(
        replace(c, low=float(low[number]), high=float(high[number])) for number, c in enumerate(inflows.contributions)
    )
    sums = {
        cause: parts[[number for number, c in enumerate(inflows.contributions) if c.cause is cause]].sum(axis=0)
        for cause in Cause
        if any(c.cause is cause for c in inflows.contributions)
    }
    total = parts.sum(axis=0)
    return replace(
        inflows,
        contributions=contributions,
        bands={cause: _band(sample) for cause, sample in sums.items()},
        total=_band(total),
        ranges=_ranges(draws, total),
        ground_lines=tuple(replace(item, band=_line_band(inflows, draws, item)) for item in inflows.ground_lines),
    )


def _line_band(inflows: Inflows, draws: Draws, item: GroundLine) -> Band | None:
    """Band of the water under mid-house: it keeps its share of the way from the drain's level to the far water's."""
    seepage = next((found for found in inflows.seepage if found.run == item.run), None)
    drawn = {
        spread.name: value_of(numbers, spread) for spread, numbers in zip(draws.spreads, draws.numbers, strict=True)
    }
    if seepage is None or seepage.far_level <= seepage.drain_level:
        return None
    far = seepage.far_level + drawn["open water" if seepage.bound else "water table"]
    drain = seepage.drain_level + drawn["level of the drain"]
    share = (item.level_with - seepage.drain_level) / (seepage.far_level - seepage.drain_level)
    return _band(np.where(far > drain, drain + share * (far - drain), far))


def ranges_by_cause(site: Site, inflows: Inflows) -> Mapping[Cause, tuple[InputRange, ...]]:
    """The inputs that make each cause's band wide, with their share of that cause's variance, the greatest first.

    Parameters
    ----------
    site, inflows
        As for ``with_bands``; sampled again, to the same digits.

    Returns
    -------
    Mapping
        By cause, only the causes that are there.
    """
    draws, parts = _sampled(site, inflows)
    causes = [c.cause for c in inflows.contributions]
    return {
        cause: _ranges(draws, parts[[number for number, own in enumerate(causes) if own is cause]].sum(axis=0))
        for cause in Cause
        if cause in causes
    }


def _sampled(site: Site, inflows: Inflows) -> tuple[Draws, Sample]:
    """The inputs drawn, and the flows of each contribution, (contributions, samples). [m³/s]"""
    draws = Draws()
    flows: dict[int, Sample] = {}
    with quiet():
        surface = [c for c in inflows.contributions if c.cause is not Cause.GROUND]
        if surface:
            flows |= _surface(site, inflows, surface, draws)
        if inflows.seepage:
            seeped = _seepage(site, inflows, draws)
            flows |= {
                id(c): seeped[c.source] for c in inflows.contributions if c.cause is Cause.GROUND and c.source in seeped
            }
    rows = [flows.get(id(c), np.full(COUNT, c.flow)) for c in inflows.contributions]
    return draws, np.array(rows).reshape(-1, COUNT)


def _band(sample: Sample) -> Band:
    low, middle, high = (float(value) for value in np.quantile(sample, (0.05, 0.5, 0.95)))
    return Band(low=low, middle=middle, high=high)


def _ranges(draws: Draws, total: Sample) -> tuple[InputRange, ...]:
    found = [
        InputRange(
            name=spread.name, low=spread.low, middle=spread.middle, high=spread.high, kind=spread.kind,
            basis=spread.basis, why=spread.why, share=share_of(value_of(numbers, spread), total),
        )
        for spread, numbers in zip(draws.spreads, draws.numbers, strict=True)
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda item: (-item.share, item.name)))


def value_of(numbers: Sample, spread: Spread) -> Sample:
    """Standard normal numbers turned to an input's value over its middle, or less its middle where it is a level."""
    turn = shift_of if spread.level else factor_of
    return turn(numbers, spread.low, spread.middle, spread.high)


def share_of(values: Sample, total: Sample) -> float:
    """Share of a flow's variance that one input makes by itself: the square of their correlation. [-]

    Parameters
    ----------
    values : ndarray
        Of the input.
    total : ndarray
        The flow of each sample. [m³/s]

    Returns
    -------
    float
        0 to 1, less what chance would give. Exact where the flow is a straight line in the input, as it is in
        conductivity, area, coefficient and rain depth.
    """
    spread = float(np.std(values) * np.std(total))
    if spread <= 0.0:
        return 0.0
    correlation = float(np.mean((values - values.mean()) * (total - total.mean()))) / spread
    return min(max(correlation**2 - 1.0 / len(total), 0.0), 1.0)


# -- rain on roofs and yards --------------------------------------------------------------------------------


def _surface(site: Site, inflows: Inflows, parts: list[Contribution], draws: Draws) -> dict[int, Sample]:
    table = inflows.rain
    bounds = [_rain_bounds(inflows, part) for part in parts]
    biggest = max(range(len(parts)), key=lambda number: parts[number].flow)
    depth = table.depth(parts[biggest].time, parts[biggest].return_period)
    given = table.bounds(parts[biggest].time, parts[biggest].return_period)
    why = "the job's own spread" if not table.low and given else "the table's own 90 % bounds"
    rain = draws.take(
        Spread(
            name="rain depth", low=depth * bounds[biggest][0], middle=depth, high=depth * bounds[biggest][1],
            kind="length", basis=table.basis,
            why=why if given else "as a published table's 90 % bounds, wider where only stated or assumed",
        )
    )  # fmt: skip
    roofs = {roof.name: roof for roof in site.job.roofs}
    yards = {yard.name: yard for yard in site.job.yards}
    areas: dict[str, Sample] = {}
    shares: dict[str, Sample] = {}
    flows = {}
    for part, (low, high) in zip(parts, bounds, strict=True):
        source = roofs.get(part.source) if part.cause is Cause.ROOF else yards.get(part.source)
        factor = factor_of(rain, low, 1.0, high)
        if source is not None:
            key = f"{part.cause.value} {part.source}"
            if key not in areas:
                areas[key] = draws.value(area_spread(site, source, part))
            factor = factor * areas[key]
        if isinstance(source, YardArea):
            if source.name not in shares:
                shares[source.name] = draws.value(coefficient_spread(site, source, part))
            factor = factor * np.minimum(shares[source.name], 1.0 / max(part.coefficient, LEAST_PART))
        flows[id(part)] = part.flow * factor
    return flows


def _rain_bounds(inflows: Inflows, part: Contribution) -> tuple[float, float]:
    """Low and high depth over the table's. [-]"""
    table = inflows.rain
    depth = table.depth(part.time, part.return_period)
    given = table.bounds(part.time, part.return_period)
    return (given[0] / depth, given[1] / depth) if given is not None else RAIN[table.basis]


# -- groundwater --------------------------------------------------------------------------------------------


def _seepage(site: Site, inflows: Inflows, draws: Draws) -> dict[str, Sample]:
    ground = site.job.ground
    lowest = min(inflows.seepage, key=lambda item: item.drain_level)
    speed = draws.value(conductivity_spread(site, inflows))
    table = level_spread(
        "water table" if not lowest.bound else "open water", _far_fact(site, lowest), lowest.far_level, WATER_TABLE
    )
    water = draws.value(table)
    wall = min(site.walls, key=lambda item: item.footing_bottom, default=None)
    footing = level_spread(
        "level of the drain", wall.wall.footing_bottom if wall is not None else None, lowest.drain_level, FOOTING
    )
    drain = draws.value(footing)
    thick = lowest.drain_level - (site.barrier if site.barrier is not None else lowest.drain_level - ASSUMED_LAYER)
    layer = draws.value(layer_spread(site, thick)) if thick > 0.0 else np.ones(COUNT)
    reach = (
        draws.value(by_factor(
            "reach of the lowering", lowest.influence, REACH, "length", Basis.ASSUMED,
            "Sichardt's 1,500 to 2,000 and what other formulas give; common practice, no source",
        ))
        if not lowest.bound else np.ones(COUNT)
    )  # fmt: skip
    rain = np.zeros(COUNT)
    if ground.recharge is not None and ground.recharge.value > 0.0:
        same = dict.fromkeys(Basis, RECHARGE)
        rain = ground.recharge.value * draws.value(
            fact_spread("recharge", ground.recharge, ground.recharge.value, same, "intensity")
        )
    return {
        item.run: item.length * drain_inflow(site, item, item.conductivity * speed, water, drain, layer, reach, rain)
        for item in inflows.seepage
    }


def drain_inflow(
    site: Site, seepage: Seepage, speed: Sample, water: Sample, drain: Sample, layer: Sample, reach: Sample,
    rain: Sample,
) -> Sample:  # fmt: skip
    """Inflow of one drain for each metre, by the formulas of ``ground.seepage_into``. [m²/s]

    Parameters
    ----------
    site : Site
        For the layer's bottom.
    seepage : Seepage
        Of the drain, as designed.
    speed : ndarray
        Conductivity. [m/s]
    water, drain : ndarray
        By how much the far water and the drain stand higher than designed. [m]
    layer, reach : ndarray
        Times the depth of the layer below the drain, and the reach of the lowering, as designed. [-]
    rain : ndarray
        Recharge. [m/s]
    """
    bottom = site.barrier if site.barrier is not None else seepage.drain_level - ASSUMED_LAYER
    floor = seepage.drain_level - (seepage.drain_level - bottom) * layer
    far, held_level = seepage.far_level + water, seepage.drain_level + drain
    head, held = np.maximum(far - floor, 0.0), np.maximum(held_level - floor, 0.0)
    drawdown = np.maximum(np.minimum(far - held_level, head), 0.0)
    wet = drawdown > 0.0
    if seepage.bound:
        influence = np.full_like(speed, seepage.influence)
    else:
        influence = np.maximum(np.asarray(sichardt_influence(drawdown, speed)), LEAST_INFLUENCE) * reach
    slot = np.asarray(slot_inflow(speed, np.maximum(head, held), held, influence))
    recharge = recharge_inflow(1.0, 1.0) * rain * influence
    return np.where(wet, slot + recharge, 0.0)


def _far_fact(site: Site, seepage: Seepage) -> Fact[Level] | None:
    ground = site.job.ground
    if seepage.bound and ground.open_water is not None:
        return ground.open_water.level
    return ground.water_table if site.water_table is not None else None


__all__ = [
    "COUNT", "Draws", "drain_inflow", "factor_of", "ranges_by_cause", "share_of", "shift_of", "value_of", "with_bands",
]  # fmt: skip
