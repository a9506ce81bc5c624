"""Where on the lot a soakaway could lie, or why nowhere: soil, high water, set-backs, room."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from drainwright.field.places import plan_of
from drainwright.findings.soak_places import SOIL_OVER, USUAL_DISTANCES
from drainwright.findings.soaks import USUAL
from drainwright.job.site import Protected
from drainwright.quantities import write
from drainwright.schemes.base import Base, Place
from drainwright.system.gravity import PIPE_HEIGHT
from drainwright.system.outlets.soak_sizing import LEAST_DEPTH, SoakKind
from drainwright.system.sized import STONE_OVER
from drainwright.water.check import IMPERVIOUS
from drainwright.water.ground import ground_of
from drainwright.worksheet import quiet

if TYPE_CHECKING:
    from numpy.typing import NDArray

WIDE: Mapping[SoakKind, float] = {
    "infiltration trench": 0.6096,
    "dry well": 0.9144,
}  # half of the widest, 2 and 3 ft [m]
CROOKED = 1.15  # length of a way over its straight distance, while a place is looked for [-]
CELL = 1.0  # spacing of the places that are tried [m]
MOST = 20_000  # places that are tried, at most
BEARINGS = tuple(turn * math.pi / 4.0 for turn in range(8))  # clockwise from the drawing's up [rad]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakPlace:
    """A place for an infiltration trench, or for dry wells in a row."""

    kind: SoakKind
    at: tuple[float, float]  # where the pipe enters, at its one end or in the first well [m]
    bearing: float  # along it, clockwise from the drawing's up [rad]
    invert: float  # at which the pipes arrive [m]
    over_water: float | None  # of the least stone's bottom over the high water; None: it is not known [m]


def soil_speaks_against(base: Base) -> str:
    """Why the soil takes no water in, with the number; empty where it does."""
    units = base.job.units
    with quiet():
        rate, basis = ground_of(base.site).conductivity, ground_of(base.site).conductivity_basis
    if rate >= USUAL:
        return ""
    return (
        f"the soil ({base.job.ground.texture.value}) takes in {_rate(rate, units)} ({basis.value}), and less than"
        f" {_rate(USUAL, units)} is not counted on"
    )


def _rate(value: float, units: Any) -> str:
    """A rate of infiltration."""
    if units == "US":
        return write(value, "speed", "US", "in/h")
    return f"{value * 3.6e6:.3g} mm/h"


def soak_place(base: Base, places: Sequence[Place], kind: SoakKind) -> SoakPlace | str:
    """The nearest place that keeps every distance, or why there is none.

    Parameters
    ----------
    base : Base
        The lot.
    places : sequence of Place
        Whose water is to soak away.
    kind : {"infiltration trench", "dry well"}
        What it is to be.

    Returns
    -------
    SoakPlace or str
        The place; or in words, with the number, what stands against all of them.
    """
    site, rules, units = base.site, base.job.rules, base.job.units
    at, step, wide = _grid(base)
    long = base.trench if kind == "infiltration trench" else base.wells
    fine, lowest = _room(base, at, step, wide, long, WIDE[kind])
    if not fine.any():
        setbacks = (rules.soak_house_setback, rules.soak_boundary_setback)
        house, edge = (write(rule.value, "length", units) for rule in setbacks)
        return (
            f"nowhere on the surveyed lot is there room for {_what(base, kind)} that keeps {house} from the house,"
            f" {edge} from the boundary, and clear of buried lines, roots, paving and what is protected"
        )
    grade, cover = base.job.criteria.minimum_grade, base.job.criteria.minimum_cover
    far = np.array([np.hypot(*(at - np.array(place.at)).T) for place in places])
    starts = np.array([[place.invert] for place in places])
    arriving = (starts - CROOKED * far * grade).min(axis=0)
    invert = np.minimum(arriving, lowest - max(cover, STONE_OVER + SOIL_OVER) - PIPE_HEIGHT)  # by bearing and place
    water = site.water_table
    if water is not None:
        over = invert - LEAST_DEPTH - water
        enough = over >= rules.soak_above_water.value
        if not (fine & enough).any():
            best = float(over[fine].max())
            side = "over" if best >= 0 else "below"
            return (
                f"at best its stone would end {write(abs(best), 'length', units)} {side} the high ground water"
                f" ({write(water, 'length', units, 'ft' if units == 'US' else 'm')}), and"
                f" {write(rules.soak_above_water.value, 'length', units)} or more over it is wanted"
            )
        fine = fine & enough
    cost = np.where(fine, far.sum(axis=0), np.inf)
    row, best_cell = divmod(int(np.argmin(cost)), len(at))
    return SoakPlace(
        kind=kind,
        at=(float(at[best_cell, 0]), float(at[best_cell, 1])),
        bearing=BEARINGS[row],
        invert=float(invert[row, best_cell]),
        over_water=None if water is None else float(over[row, best_cell]),
    )


def _what(base: Base, kind: SoakKind) -> str:
    """What is looked for, in words."""
    units = base.job.units
    if kind == "infiltration trench":
        return f"{write(base.trench, 'length', units)} of trench"
    across = write(2.0 * WIDE[kind], "length", units)
    if base.wells <= 0.0:
        return f"a dry well of up to {across} across"
    return f"a row of dry wells {write(base.wells, 'length', units)} long and up to {across} across"


def _room(
    base: Base, at: NDArray[np.float64], step: float, wide: int, long: float, half: float
) -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
    """Whether a soakaway of a length that begins at each place and runs on each bearing keeps clear, and its ground.

    Looked up on the grid: a place counts as clear where all within half a step of it is. Ground is the lowest along
    it. [m]
    """
    clear = _keeps(base, at, half + math.sqrt(0.5) * step)
    ground = np.asarray(base.site.surface.level(at[:, 0], at[:, 1]), dtype=float)
    high = len(at) // wide
    column, row = np.arange(len(at)) % wide, np.arange(len(at)) // wide
    fine = np.zeros((len(BEARINGS), len(at)), dtype=bool)
    lowest = np.full(fine.shape, np.inf)
    for number, bearing in enumerate(BEARINGS):
        good = clear.copy()
        low = ground.copy()
        for part in np.linspace(0.0, long, math.ceil(long / step) + 1)[1:]:
            east = column + round(part * math.sin(bearing) / step)
            north = row + round(part * math.cos(bearing) / step)
            inside = (east >= 0) & (east < wide) & (north >= 0) & (north < high)
            there = np.where(inside, north * wide + east, 0)
            good &= inside & clear[there]
            low = np.minimum(low, ground[there])
        fine[number], lowest[number] = good, low
    return fine, lowest


def _grid(base: Base) -> tuple[NDArray[np.float64], float, int]:
    """Places over the lot, or where there is no boundary over the survey; their spacing, and how many in a row. [m]"""
    site = base.site
    known = [(p.east, p.north) for p in site.points.values() if math.isfinite(p.east) and p.level is not None]
    edge = np.array(site.boundary if len(site.boundary) >= 3 else [*known, *site.outline])
    low, high = edge.min(axis=0), edge.max(axis=0)
    step = max(CELL, math.sqrt(float(np.prod(np.maximum(high - low, CELL))) / MOST))
    east, north = np.meshgrid(np.arange(low[0], high[0], step), np.arange(low[1], high[1], step))
    return np.column_stack([east.ravel(), north.ravel()]), step, east.shape[1]


def _keeps(base: Base, at: NDArray[np.float64], room: float) -> NDArray[np.bool_]:
    """Whether each place, with that much room round it, keeps every distance."""
    import shapely

    site, job, rules = base.site, base.job, base.job.rules
    away: list[tuple[Any, float]] = [(shapely.Polygon(site.outline), rules.soak_house_setback.value)]
    zone = rules.tolerance_zone.value
    away += [(shapely.LineString(line.route), zone + line.utility.diameter / 2) for line in site.utilities]
    away += [(shapely.Point(tree.at), tree.root_radius) for tree in site.trees if tree.tree.keep]
    away += [(_shape(base, item), _distance(item)) for item in job.property.protected]
    away += [
        (shapely.Polygon([plan_of(place, site.points) for place in yard.outline]).buffer(0), 0.0)
        for yard in job.yards
        if yard.outline and yard.surface in IMPERVIOUS
    ]
    spots = shapely.points(at)
    good = np.asarray(site.surface.supported(at[:, 0], at[:, 1]), dtype=bool)
    if len(site.boundary) >= 3:
        lot = shapely.Polygon(site.boundary).buffer(0)
        good &= shapely.contains(lot.buffer(-(rules.soak_boundary_setback.value + room)), spots)
    for shape, least in away:
        good &= shapely.distance(shape, spots) >= least + room
    return good


def _shape(base: Base, item: Protected) -> Any:
    import shapely

    at = [plan_of(place, base.site.points) for place in item.at]
    if len(at) >= 3 and item.kind != "fence":
        return shapely.Polygon(at).buffer(0)
    return shapely.LineString(at) if len(at) >= 2 else shapely.Point(at[0])


def _distance(item: Protected) -> float:
    return USUAL_DISTANCES[item.kind] if item.setback is None else item.setback.value


__all__ = ["SoakPlace", "soak_place", "soil_speaks_against"]
