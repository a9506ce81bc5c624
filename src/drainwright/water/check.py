"""A second opinion on the inflows by other published methods, said in notes and used nowhere else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

from drainwright.field.model import Plan, Site
from drainwright.job.site import Surface
from drainwright.quantities import write
from drainwright.water.model import Cause, Contribution
from drainwright.water.paths import checking_times
from drainwright.water.rain import SECONDS_A_YEAR, RainTable
from drainwright.water.runoff import (
    IMPERVIOUS_CURVE_NUMBER,
    SANDY,
    WETNESS,
    composite,
    curve_number,
    curve_number_runoff,
    graphical_peak,
    retention,
    unconnected_curve_number,
)
from drainwright.water.soil import SOILS, green_ampt_excess
from drainwright.water.storms import DAY, NRCS_CURVES, design_storm
from drainwright.water.travel import sheet_length
from drainwright.worksheet import place

if TYPE_CHECKING:
    from drainwright.water.yards import YardGround

IMPERVIOUS: tuple[Surface, ...] = ("paving", "concrete", "asphalt")
QUARTER_HOUR = 900.0  # steps of the storm in which the soil's share is reckoned [s]
SHORTEST_GRAPHICAL_TIME = 360.0  # 0.1 h, the least time of the graphical method [s]
SAND_RULE, CLAY_RULE = 14.0, 8.0  # gpm for 1,000 ft² of house: University of Illinois Extension, seen
_GPM, _THOUSAND_SQUARE_FEET = 231 * 0.0254**3 / 60, 1000 * 0.3048**2
_UNCONNECTED_LIMIT = 0.3  # impervious share up to which TR-55's figure for unconnected roofs holds [-]
_SHORT_ROOF = 0.9  # roofs named over house outline, below which a roof was probably forgotten [-]


def cross_checks(
    site: Site, rain: RainTable, yards: Mapping[str, YardGround], contributions: Sequence[Contribution]
) -> list[str]:
    """Notes that set other methods beside the design figures.

    Parameters
    ----------
    site : Site
        The surveyed site.
    rain : RainTable
        Rain of the place.
    yards : mapping
        The ground of each yard by its name.
    contributions : sequence
        The design figures.

    Returns
    -------
    list of str
        One sentence or two each.
    """
    return [
        *_roofs(site),
        *_times(site, rain, yards, contributions),
        *_curve_number(site, rain, contributions),
        *ground_check(site, contributions),
    ]


def outline_area(outline: Sequence[Plan]) -> float:
    """Area of a closed outline by the shoelace formula [m²]."""
    turned = [*outline[1:], outline[0]]
    return 0.5 * abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, turned, strict=True)))


def _roofs(site: Site) -> list[str]:
    house, roofs = outline_area(site.outline), sum(roof.area.value for roof in site.job.roofs)
    if roofs >= _SHORT_ROOF * house:
        return []
    units = site.job.units
    return [
        f"The roof areas named add up to {write(roofs, 'area', units)}, the house covers {write(house, 'area', units)}:"
        " see where the rest of the roof sheds its water."
    ]


def _times(
    site: Site, rain: RainTable, grounds: Mapping[str, YardGround], contributions: Sequence[Contribution]
) -> list[str]:
    yards = {yard.name: yard for yard in site.job.yards}
    notes = []
    for part in contributions:
        if part.cause is not Cause.YARD:
            continue
        yard, ground = yards[part.source], grounds[part.source]
        number = curve_number(yard.surface, site.job.ground.texture.value)
        with place(f"yards.{yard.name}", "cross-check of the time"):
            segments, lag, handbook = checking_times(rain, ground.reaches, number)
        name = "Kerby" if len(ground.reaches) == 1 and ground.sheet > 0.0 else "Kerby and Kirpich"
        others = f"{lag / 60:.2g} min by the NRCS lag method, {handbook / 60:.2g} min by {name}"
        if segments is not None:
            way = "sheet flow" if len(ground.reaches) == 1 else "segments"
            others = f"{segments / 60:.2g} min by NRCS {way}, {others}"
        notes.append(f"Yard {yard.name}: time of concentration {part.time / 60:.2g} min; {others}.")
        first = ground.reaches[0]
        if first.kind != "sheet":
            continue
        with place(f"yards.{yard.name}", "cross-check of the time"):
            gathers = sheet_length(first.fall, first.sheet_roughness)
        if ground.sheet > gathers:
            notes.append(
                f"Yard {yard.name}: by McCuen and Spiess its sheet flow gathers into rills after"
                f" {span(gathers, site.job.units)}, not {span(ground.sheet, site.job.units)};"
                " where it does, the water comes sooner."
            )
    return notes


def _curve_number(site: Site, rain: RainTable, contributions: Sequence[Contribution]) -> list[str]:
    surface_water = [part for part in contributions if part.cause is not Cause.GROUND and part.area > 0.0]
    if not surface_water:
        return []
    job = site.job
    yards = {yard.name: yard for yard in job.yards}
    texture = job.ground.texture.value
    hard = {yard.name for yard in job.yards if yard.surface in IMPERVIOUS}
    splash = {spout.name for spout in job.downspouts if spout.ends == "splash"}
    over_ground = {roof.name for roof in job.roofs if roof.to in splash}
    soft = [part for part in surface_water if part.cause is Cause.YARD and part.source not in hard]
    sealed = [part for part in surface_water if part not in soft]
    duration = DAY if rain.covers(DAY, job.criteria.storm_return_period) else job.criteria.storm_duration
    with place("", "cross-check by curve number"):
        area = sum(part.area for part in surface_water)
        sealed_area = sum(part.area for part in sealed)
        number = IMPERVIOUS_CURVE_NUMBER
        if soft:
            pervious = composite(
                [curve_number(yards[part.source].surface, texture) for part in soft],
                [part.area for part in soft],
            )
            share = sealed_area / area
            if 0.0 < share <= _UNCONNECTED_LIMIT:
                loose = sum(part.area for part in sealed if part.source in over_ground) / sealed_area
                number = unconnected_curve_number(pervious, share, loose)
            else:
                number = composite([pervious, IMPERVIOUS_CURVE_NUMBER], [area - sealed_area, sealed_area])
        depth = rain.depth(duration, job.criteria.storm_return_period)
        runoff = curve_number_runoff(depth, retention(number))
        rational = composite([part.coefficient for part in surface_water], [part.area for part in surface_water])
        small = "in" if job.units == "US" else "mm"
        years = job.criteria.storm_return_period / SECONDS_A_YEAR
        notes = [
            f"Curve number {number:.0f} for all that drains to the works: in the {years:g}-year rain of"
            f" {duration / 3600:g} h ({_depth(depth, small)}) {_depth(runoff, small)} would run off, a share of"
            f" {runoff / depth:.2f}; the Rational coefficients together are {rational:.2f}."
        ]
        if soft:
            steps = max(1, round(duration / QUARTER_HOUR))
            storm = design_storm(
                rain, job.criteria.storm_return_period, duration, job.rain.distribution, duration / steps
            )  # fmt: skip
            soil = SOILS[texture]
            excess = green_ampt_excess(
                storm.intensity * storm.step, storm.step, soil.infiltration_conductivity, soil.suction,
                soil.deficit(WETNESS),
            )  # fmt: skip
            left = composite([float(excess.sum()), storm.depth], [area - sealed_area, sealed_area])
            notes.append(
                f"By Green and Ampt, on wet soil as in the storm test, {_depth(left, small)} of the {storm.name}"
                f" ({_depth(storm.depth, small)}) would run off, a share of {left / storm.depth:.2f}."
            )
        if job.rain.distribution in NRCS_CURVES and duration == DAY:
            time = max(SHORTEST_GRAPHICAL_TIME, job.criteria.minimum_time)
            peak = graphical_peak(job.rain.distribution, depth, number, time, area)
            ours = sum(part.flow for part in surface_water)
            notes.append(
                f"The NRCS graphical peak of that storm for a time of {time / 60:g} min is"
                f" {write(peak, 'flow', job.units)}; the design flows add up to {write(ours, 'flow', job.units)}"
                " at their own return periods."
            )
    return notes


def ground_check(site: Site, contributions: Sequence[Contribution]) -> list[str]:
    """A note that sets an extension's rule beside the groundwater of all footing drains; none without a drain."""
    flow = sum(part.flow for part in contributions if part.cause is Cause.GROUND)
    if not any(part.cause is Cause.GROUND for part in contributions):
        return []
    usual = usual_groundwater(site)
    units = site.job.units
    sand, clay = f"{SAND_RULE:g} gpm for 1,000 ft²", f"{CLAY_RULE:g}"
    if units == "SI":
        each = _GPM / _THOUSAND_SQUARE_FEET * 100.0  # the same rule, of 100 m²
        sand, clay = f"{write(SAND_RULE * each, 'flow', 'SI')} for 100 m²", write(CLAY_RULE * each, "flow", "SI")
    return [
        f"Groundwater by the slot formula {write(flow, 'flow', units)}; an extension rule for sump pumps"
        f" ({sand} of house on sand, {clay} on clay) would give"
        f" {write(usual, 'flow', units)}. The slot formula is steady flow from the water table: rain that runs down"
        " loose backfill comes on top. Pump down an existing pit and time its rise to settle it."
    ]


def usual_groundwater(site: Site) -> float:
    """Groundwater of the house by the extension rule for sump pumps: by its soil and its area. [m³/s]"""
    rule = SAND_RULE if site.job.ground.texture.value in SANDY else CLAY_RULE
    return rule * _GPM * outline_area(site.outline) / _THOUSAND_SQUARE_FEET


def span(length: float, units: Literal["US", "SI"]) -> str:
    """A length of ground: to the foot, or the decimetre."""
    return write(length, "length", units, "ft", 0) if units == "US" else write(length, "length", units, "m", 1)


def _depth(value: float, unit: str) -> str:
    return f"{value / 0.0254:.2f} in" if unit == "in" else f"{value * 1000:.0f} mm"


__all__ = ["cross_checks", "ground_check", "outline_area", "span", "usual_groundwater"]
