"""What the surveyed site says of the causes of moisture."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from drainwright.field.places import resolve_place
from drainwright.field.wall_slopes import FALL_AWAY
from drainwright.water.moisture_model import HouseFacts
from drainwright.water.soil import SOILS

if TYPE_CHECKING:
    from drainwright.field.model import Plan, Site
    from drainwright.water.model import Inflows

LEAST = 0.0127  # a fall to the wall, or water at it, of less than half an inch is let pass; common practice [m]
BESIDE = 2.0  # a downspout that ends so near to the house wets its wall; common practice, no source [m]
COMES_IN = 3.0  # a shorter stretch of boundary over which water comes is let pass, as the ground's checks do [m]


def house_facts(site: Site, inflows: Inflows) -> HouseFacts:
    """Read off the site what bears on the cause of moisture.

    Parameters
    ----------
    site : Site
        The reduced survey.
    inflows : Inflows
        For the capillary rise of the ground lines.

    Returns
    -------
    HouseFacts
        ``None`` where nobody measured it. Gutters count as there where the job says of every downspout how it ends, and
        leads none of them by these works: how those ended when the house was wet, nobody told. The job cannot say that
        there are none.
    """
    job, house = site.job, site.job.house
    underside = site.floor - (0.0 if house.floor_kind == "crawl space" else house.floor_thickness)
    lines, texture = inflows.ground_lines, job.ground.texture.value
    lot = {item.kind for item in job.utilities}
    water, spouts = job.ground.open_water, {spout.name for spout in job.downspouts}
    told = bool(spouts) and all(spout.ends is not None for spout in job.downspouts)
    return HouseFacts(
        floor_kind=house.floor_kind,
        texture=texture,
        ground_falls_to_wall=_falls_to_wall(site),
        ground_falls_enough=_falls_enough(site),
        water_stands_at_wall=_stands_at_wall(site),
        soil_above_floor=any(wall.ground_highest > site.floor for wall in site.walls) if site.walls else None,
        downspouts_at_wall=_at_wall(site),
        gutters=None if not told or spouts & {run.from_ for run in job.works.runs} else True,
        irrigation=(
            True
            if lot & {"irrigation", "reclaimed", "irrigation control"}
            else False if "irrigation" in job.utilities_absent else None
        ),
        table_below_floor=None if site.water_table is None else underside - site.water_table,
        capillary_rise=lines[0].capillary_rise if lines else SOILS[texture].capillary_rise,
        open_water=water is not None,
        tidal=water is not None and (water.kind == "tide" or water.tidal_range > 0.0),
        run_on=_run_on(site),
    )  # fmt: skip


def _falls_to_wall(site: Site) -> bool | None:
    """Whether the measured ground falls towards the house somewhere within the reach of the wall slopes."""
    falls = _falls(site)
    return any(fall < -LEAST for fall, _ in falls) if falls else None


def _falls_enough(site: Site) -> bool | None:
    """Whether the measured ground falls away from the house everywhere as the code asks."""
    falls = _falls(site)
    return all(fall / run >= FALL_AWAY - 1e-6 for fall, run in falls) if falls else None


def _falls(site: Site) -> list[tuple[float, float]]:
    """Falls of the known ground away from the walls, each with the run that it is told over. [m]"""
    slopes = site.terrain.wall_slopes if site.terrain is not None else ()
    return [item for slope in slopes for item in zip(slope.fall, slope.run, strict=True) if item[1] > 0.0]


def _stands_at_wall(site: Site) -> bool | None:
    if site.terrain is None or not site.walls:
        return None
    return any(spot.walls and spot.depth > LEAST for spot in site.terrain.low_spots)


def _run_on(site: Site) -> bool | None:
    if site.terrain is None or not site.terrain.bounded:
        return None
    return any(item.length >= COMES_IN and not item.only_spills for item in site.terrain.run_on)


def _at_wall(site: Site) -> int:
    """Downspouts that end on the ground beside the house."""
    ends = (resolve_place(site, spout.at) for spout in site.job.downspouts if spout.ends == "splash")
    return sum(not site.outline or _off(at, site.outline) <= BESIDE for at in ends)


def _off(at: Plan, ring: Sequence[Plan]) -> float:
    """Distance from a place to the nearest side of a closed ring. [m]"""
    nearest = math.inf
    for start, end in zip(ring, (*ring[1:], *ring[:1]), strict=True):
        east, north = end[0] - start[0], end[1] - start[1]
        along = ((at[0] - start[0]) * east + (at[1] - start[1]) * north) / max(east * east + north * north, 1e-12)
        share = min(1.0, max(0.0, along))
        nearest = min(nearest, math.dist(at, (start[0] + share * east, start[1] + share * north)))
    return nearest


__all__ = ["house_facts"]
