"""Where on the lot a soakaway could lie, or why nowhere: soil, high water, set-backs, room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from drainwright.field.places import plan_of
from drainwright.findings.soak_places import USUAL_DISTANCES
from drainwright.findings.soaks import USUAL
from drainwright.job.site import Protected
from drainwright.quantities import write
from drainwright.schemes.base import Base
from drainwright.schemes.trees import Place
from drainwright.system.gravity import PIPE_HEIGHT
from drainwright.system.soak_sizing import LEAST_DEPTH
from drainwright.water.ground import ground_of
from drainwright.worksheet import quiet

if TYPE_CHECKING:
    from numpy.typing import NDArray

WIDE = 0.6096  # half of a trench's width, with room to dig, 2 ft [m]
CROOKED = 1.15  # length of a way over its straight distance, while a place is looked for [-]
CELL = 1.0  # spacing of the places that are tried [m]
MOST = 20_000  # places that are tried, at most
BEARINGS = tuple(turn * math.pi / 4.0 for turn in range(8))  # clockwise from the drawing's up [rad]
HARD = ("paving", "concrete", "asphalt")


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakPlace:
    """A place for an infiltration trench."""

    at: tuple[float, float]  # where the pipe enters, at its one end [m]
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


def soak_place(base: Base, places: Sequence[Place]) -> SoakPlace | str:
    """The nearest place that keeps every distance, or why there is none.

    Parameters
    ----------
    base : Base
        The lot.
    places : sequence of Place
        Whose water is to soak away.

    Returns
    -------
    SoakPlace or str
        The place; or in words, with the number, what stands against all of them.
    """
    at = _grid(base)
    site, rules, units = base.site, base.job.rules, base.job.units
    fine = np.zeros((len(BEARINGS), len(at)), dtype=bool)
    keeps = _keeps(base)
    for row, bearing in enumerate(BEARINGS):
        along = np.array([math.sin(bearing), math.cos(bearing)])
        fine[row] = np.logical_and.reduce(
            [keeps(at + share * base.trench * along) for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
        )
    if not fine.any():
        house, edge = (
            write(rule.value, "length", units) for rule in (rules.soak_house_setback, rules.soak_boundary_setback)
        )
        return (
            f"nowhere on the surveyed lot is there room for {write(base.trench, 'length', units)} of trench that keeps"
            f" {house} from the house, {edge} from the boundary, and clear of buried lines, roots, paving and what is"
            " protected"
        )
    grade, cover = base.job.criteria.minimum_grade, base.job.criteria.minimum_cover
    far = np.array([np.hypot(*(at - np.array(place.at)).T) for place in places])
    ground = np.asarray(site.surface.level(at[:, 0], at[:, 1]), dtype=float)
    starts = np.array([[place.invert] for place in places])
    invert = np.minimum(
        (starts - 1.15 * far * grade).min(axis=0), ground - cover - PIPE_HEIGHT
    )  # ways are not straight
    with quiet():
        water = site.water_table
    good = fine.any(axis=0)
    over: NDArray[np.float64] | None = None
    if water is not None:
        over = invert - LEAST_DEPTH - water
        enough = over >= rules.soak_above_water.value
        if not (good & enough).any():
            best = float(over[good].max())
            side = "over" if best >= 0 else "below"
            return (
                f"at best its stone would end {write(abs(best), 'length', units)} {side} the high ground water"
                f" ({write(water, 'length', units, 'ft' if units == 'US' else 'm')}), and"
                f" {write(rules.soak_above_water.value, 'length', units)} or more over it is wanted"
            )
        good &= enough
    cost = np.where(good, far.sum(axis=0), np.inf)
    best_cell = int(np.argmin(cost))
    row = int(np.argmax(fine[:, best_cell]))
    return SoakPlace(
        at=(float(at[best_cell, 0]), float(at[best_cell, 1])),
        bearing=BEARINGS[row],
        invert=float(invert[best_cell]),
        over_water=None if over is None else float(over[best_cell]),
    )


def _grid(base: Base) -> NDArray[np.float64]:
    """Places over the lot, or where there is no boundary over the survey. [m]"""
    site = base.site
    known = [(p.east, p.north) for p in site.points.values() if math.isfinite(p.east) and p.level is not None]
    edge = np.array(site.boundary if len(site.boundary) >= 3 else [*known, *site.outline])
    low, high = edge.min(axis=0), edge.max(axis=0)
    step = max(CELL, math.sqrt(float(np.prod(np.maximum(high - low, CELL))) / MOST))
    east, north = np.meshgrid(np.arange(low[0], high[0], step), np.arange(low[1], high[1], step))
    return np.column_stack([east.ravel(), north.ravel()])


def _keeps(base: Base) -> Any:
    """A test of places: whether each keeps every distance."""
    import shapely

    site, job, rules = base.site, base.job, base.job.rules
    away: list[tuple[Any, float]] = [(shapely.Polygon(site.outline), rules.soak_house_setback.value + WIDE)]
    zone = rules.tolerance_zone.value + WIDE
    away += [(shapely.LineString(line.route), zone + line.utility.diameter / 2) for line in site.utilities]
    away += [(shapely.Point(tree.at), tree.root_radius + WIDE) for tree in site.trees if tree.tree.keep]
    away += [(_shape(base, item), _distance(item) + WIDE) for item in job.property.protected]
    for yard in job.yards:
        if yard.outline and yard.surface in HARD:
            away.append((shapely.Polygon([plan_of(place, site.points) for place in yard.outline]).buffer(0), WIDE))
    lot = shapely.Polygon(site.boundary).buffer(0) if len(site.boundary) >= 3 else None
    inside = None if lot is None else lot.buffer(-(rules.soak_boundary_setback.value + WIDE))

    def keeps(at: NDArray[np.float64]) -> NDArray[np.bool_]:
        spots = shapely.points(at)
        good = np.asarray(site.surface.supported(at[:, 0], at[:, 1]), dtype=bool)
        if inside is not None:
            good = good & shapely.contains(inside, spots)
        for shape, least in away:
            good = good & (shapely.distance(shape, spots) >= least)
        return good

    return keeps


def _shape(base: Base, item: Protected) -> Any:
    import shapely

    at = [plan_of(place, base.site.points) for place in item.at]
    if len(at) >= 3:
        return shapely.Polygon(at).buffer(0)
    return shapely.LineString(at) if len(at) == 2 else shapely.Point(at[0])


def _distance(item: Protected) -> float:
    return USUAL_DISTANCES[item.kind] if item.setback is None else item.setback.value


__all__ = ["SoakPlace", "soak_place", "soil_speaks_against"]
