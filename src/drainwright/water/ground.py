"""Groundwater into each footing drain: a slot beside the footing, fed from both sides."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.places import plan_of
from drainwright.field.words import fail, fine, least_sure, nearest
from drainwright.hydraulics.seepage import sichardt_influence, slot_inflow
from drainwright.hydraulics.watertable import head_between
from drainwright.job.values import Basis, Place
from drainwright.job.works import Run
from drainwright.quantities import write
from drainwright.water.holes import holes
from drainwright.water.model import Seepage
from drainwright.water.open_water import OpenLevel, open_level, open_water_notes
from drainwright.water.soil import SOILS, conductivity_by_texture
from drainwright.water.soil_tests import SoilFromTests, soil_from_tests
from drainwright.worksheet import Card, catalogued, place, quiet

PIPE_BED = 0.0508  # stone under the pipe, 2 in (IRC R405.1): the drain holds water at the pipe's invert [m]
LEAST_INFLUENCE = 3.0  # nearer than this the ground between drain and undisturbed water is trench and backfill [m]
ASSUMED_LAYER = 3.048  # depth of soil that carries water below the drain, where nobody found its bottom: 10 ft [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the ground holds, with what was known and what had to be assumed."""

    conductivity: float  # saturated [m/s]
    conductivity_basis: Basis
    far_level: float  # water table beyond the influence [m]
    far_basis: Basis
    barrier: float | None  # bottom of the water-bearing layer; None: assumed below each drain [m]
    barrier_basis: Basis
    recharge: float  # [m/s]
    drainable_porosity: float  # [-]
    porosity_basis: Basis
    notes: tuple[str, ...]
    open_water: OpenLevel | None = None


def ground_of(site: Site) -> Ground:
    """The ground of a site, the gaps filled by stated assumptions.

    Conductivity is what the job gives, or else the geometric mean of its hole tests, or else the texture's. A water
    table that nobody observed is taken at the level of open water nearby, or else at the underside of the lowest
    floor, where it must stand at times if the floor is wet from below.

    Parameters
    ----------
    site : Site
        The surveyed site.

    Returns
    -------
    Ground
        With a note for each assumption.
    """
    job, given = site.job, site.job.ground
    notes = []
    tests = soil_from_tests(given.hole_tests, job.units)
    if given.conductivity is not None:
        conductivity, conductivity_basis = given.conductivity.value, given.conductivity.basis
    elif tests is not None:
        conductivity, conductivity_basis = tests.conductivity, Basis.MEASURED
    else:
        with place("ground"):
            conductivity = conductivity_by_texture(given.texture.value)
        conductivity_basis = Basis.ASSUMED
        notes.append(
            f"The soil's conductivity, {_speed(conductivity, site)}, is the greater of two published means for"
            f" {given.texture.value}; one texture spans ten times more and ten times less. A test hole tells."
        )
    if tests is not None:
        notes += _test_notes(tests, site, given.conductivity is not None)
    notes += [
        f"H{hole.words(job.units)[1:]}, stayed dry {hole.on}: the water stood lower then; how high it stands in the wet"
        " season that hole does not tell."
        for hole in holes(site)
        if hole.dry and not hole.timed
    ]
    if given.taken_out is not None:
        out = given.taken_out
        notes.append(
            f"{write(out.flow.value, 'flow', job.units)} of water is taken out of the house today"
            f" ({out.flow.basis.value}): no figure here leans on it; GWT-07 sets it beside the ground water that is"
            " reckoned."
        )
    if given.drainable_porosity is not None:
        porosity, porosity_basis = given.drainable_porosity.value, given.drainable_porosity.basis
    else:
        porosity, porosity_basis = SOILS[given.texture.value].drainable_porosity, Basis.ASSUMED
    lowest = min((wall.footing_bottom for wall in site.walls), default=floor_underside(site))
    bottom = site.barrier if site.barrier is not None else lowest - ASSUMED_LAYER
    water = open_level(site, conductivity, porosity, bottom) if porosity > 0.0 else None
    if water is not None:
        notes += open_water_notes(site, water, site.water_table)
    if site.water_table is not None and given.water_table is not None:
        far_level, far_basis = site.water_table, given.water_table.basis
    elif water is not None:
        far_level, far_basis = water.high, least_sure(water.basis, Basis.STATED)
    else:
        far_level, far_basis = floor_underside(site), Basis.ASSUMED
        notes.append(
            "Nobody has found the seasonal high water table: it is assumed at the underside of the lowest floor,"
            f" {fine(far_level, job.units)}. Look in a test hole in the wet season before relying on the groundwater"
            " figures."
        )
    if site.barrier is None:
        notes.append(
            "Nobody has found the bottom of the water-bearing soil: it is assumed"
            f" {write(ASSUMED_LAYER, 'length', job.units)} below each drain."
        )
    return Ground(
        conductivity=conductivity,
        conductivity_basis=conductivity_basis,
        far_level=far_level,
        far_basis=far_basis,
        barrier=site.barrier,
        barrier_basis=given.barrier.basis if site.barrier is not None and given.barrier else Basis.ASSUMED,
        recharge=given.recharge.value if given.recharge is not None else 0.0,
        drainable_porosity=porosity,
        porosity_basis=porosity_basis,
        notes=tuple(notes),
        open_water=water,
    )


def _test_notes(tests: SoilFromTests, site: Site, given: bool) -> list[str]:
    count = len(tests.results)
    found = f"{_speed(tests.conductivity, site)} by {count} hole test{'s' if count > 1 else ''}"
    if count > 1:
        found += (
            f", geometric mean of {_speed(tests.lowest, site)} to {_speed(tests.highest, site)}"
            f" (one standard deviation: a factor of {tests.spread:.1f})"
        )
    deep = [hole.words(site.job.units) for hole in holes(site) if hole.timed]
    found += f" ({'; '.join(deep)}), taken for the whole lot"
    notes = [f"The soil's conductivity is {found}." if not given else f"Beside the conductivity given stands {found}."]
    return [*notes, *(f"Test {result.name}: {caution}" for result in tests.results for caution in result.cautions)]


def far_water(ground: Ground, drain_level: float, bottom: float) -> tuple[float, float, str]:
    """Level of the undisturbed water that a drain draws on, how far off it is, and what holds it there.

    Parameters
    ----------
    ground : Ground
        As ``ground_of`` gives it.
    drain_level, bottom : float
        Of the water in the drain, and of the layer's bottom. [m]

    Returns
    -------
    tuple of float, float, str
        Level [m], distance from the drain [m], and "" (the water table) or the kind of open water.

    Notes
    -----
    Sichardt's reach for lines, at least 3 m. Open water that stands higher than the water table cuts the reach off at
    its bank; where the reach ends before, the level is read from Dupuit's curve between the house and the bank.
    """
    water = ground.open_water
    if water is None or water.high < ground.far_level:
        return ground.far_level, _reach(ground, ground.far_level, drain_level, bottom), ""
    reach = min(_reach(ground, water.high, drain_level, bottom), water.distance)
    near, high = max(ground.far_level - bottom, 0.0), max(water.high - bottom, 0.0)
    with quiet():
        level = bottom + float(head_between(reach, near, high, water.distance, ground.conductivity))
    return level, reach, water.kind


def _reach(ground: Ground, level: float, drain_level: float, bottom: float) -> float:
    drawdown = max(min(level - drain_level, level - bottom), 0.0)
    return max(float(sichardt_influence(drawdown, ground.conductivity)), LEAST_INFLUENCE)


def floor_underside(site: Site) -> float:
    """Underside of the lowest floor; the soil itself in a crawl space [m]."""
    thickness = 0.0 if site.job.house.floor_kind == "crawl space" else site.job.house.floor_thickness
    return site.floor - thickness


@catalogued(
    Card(
        title="Rain that seeps down within the reach of a drain, and comes to it",
        symbol="q_r",
        expression="sides * recharge * influence / 2",
        units={"recharge": "m/s", "influence": "m", "sides": "-", "result": "m²/s"},
        source="dupuit",
    )
)
def recharge_inflow(recharge: float, influence: float, sides: float = 2.0) -> float:
    """Share of an even recharge that a slot draws beside what comes from the undisturbed water.

    Parameters
    ----------
    recharge : float
        Zero or more. [m/s]
    influence : float
        Distance to the undisturbed head. [m]
    sides : float
        1 or 2. [-]

    Returns
    -------
    float
        Inflow for each metre of slot. [m²/s]

    Notes
    -----
    Between two fixed heads K (H² - h²)/2L + N L/2 runs out at the low end: half of the recharge goes each way
    beside the flow without recharge (Dupuit's differential equation with recharge, integrated).
    """
    return sides * recharge * influence / 2.0


@catalogued(
    Card(
        title="Groundwater into a footing drain",
        symbol="Q",
        expression="per_length * length",
        units={"per_length": "m²/s", "length": "m", "result": "m³/s"},
        source="ufc_3_220_05",
    )
)
def drain_inflow(per_length: float, length: float) -> float:
    """Groundwater into a whole drain, from its inflow for each metre [m²/s] and its length [m]. [m³/s]"""
    return per_length * length


def seepage_into(site: Site, ground: Ground, run: Run) -> tuple[Seepage, tuple[str, ...]]:
    """Groundwater into one footing drain.

    The drain is a slot that holds its water at the pipe's invert. Both sides feed it, as if the water under the
    house stood as high as outside, which is the greater figure; the reach of the lowering is Sichardt's for
    lines (1,750 s^0.5/m^0.5, the middle of 1,500 to 2,000), at least 3 m, or the distance to open water that stands
    higher.

    Parameters
    ----------
    site : Site
        The surveyed site.
    ground : Ground
        As ``ground_of`` gives it.
    run : Run
        With the duty of a footing drain.

    Returns
    -------
    Seepage, tuple of str
        The figures, and notes on what was assumed for this run.

    Raises
    ------
    JobError
        If the run names a wall or place that does not exist.
    """
    notes: list[str] = []
    walls = [_wall(site, run, name) for name in run.beside]
    length = sum(wall.length for wall in walls) if walls else _route_length(site, run)
    basis = least_sure(ground.conductivity_basis, ground.far_basis, ground.barrier_basis)
    if ground.open_water is not None:
        basis = least_sure(basis, ground.open_water.basis)
    if walls or site.walls:
        lowest = min(walls or site.walls, key=lambda wall: wall.footing_bottom)
        drain_level = lowest.footing_bottom + PIPE_BED
        basis = least_sure(basis, lowest.wall.footing_bottom.basis)
        if not walls:
            notes.append(
                f"Run {run.name} names no wall beside it: the lowest footing of the house, at {lowest.name}, counts."
            )
    else:
        drain_level = floor_underside(site) - site.job.criteria.drain_below_floor
        basis = Basis.ASSUMED
        notes.append(f"No footing is known beside run {run.name}: its level comes from the floor and the criteria.")
    with place(f"runs.{run.name}", "groundwater"):
        bottom = ground.barrier if ground.barrier is not None else drain_level - ASSUMED_LAYER
        far_level, influence, bound = far_water(ground, drain_level, bottom)
        head, held = max(far_level - bottom, 0.0), max(drain_level - bottom, 0.0)
        drawdown = max(min(far_level - drain_level, head), 0.0)
        per_length = 0.0
        if drawdown > 0.0:
            per_length = float(slot_inflow(ground.conductivity, head, held, influence))
            if ground.recharge > 0.0:
                per_length += recharge_inflow(ground.recharge, influence)
        else:
            notes.append(
                f"The water table ({fine(far_level, site.job.units)}) stands no higher than drain {run.name}"
                f" ({fine(drain_level, site.job.units)}), or the soil above it is dry: no groundwater comes to it."
            )
    return Seepage(
        run=run.name,
        per_length=per_length,
        length=length,
        conductivity=ground.conductivity,
        drain_level=drain_level,
        far_level=far_level,
        influence=influence,
        basis=basis,
        bound=bound if drawdown > 0.0 else "",
    ), tuple(notes)


def _wall(site: Site, run: Run, name: str) -> SiteWall:
    for wall in site.walls:
        if wall.name == name:
            return wall
    raise fail(f"works.runs.{run.name}.beside", repr(name), "the name of a wall", nearest(name, _names(site)))


def _names(site: Site) -> list[str]:
    return [wall.name for wall in site.walls]


def _route_length(site: Site, run: Run) -> float:
    where = f"works.runs.{run.name}"
    named = _named_places(site)
    ends = [named.get(name, Place(name=name)) for name in (run.from_, run.to)]
    route: list[Plan] = [plan_of(at, site.points, where) for at in (ends[0], *run.via, ends[1])]
    return sum(math.dist(route[index], route[index + 1]) for index in range(len(route) - 1))


def _named_places(site: Site) -> dict[str, Place]:
    works = site.job.works
    named = {downspout.name: downspout.at for downspout in site.job.downspouts}
    named |= {inlet.name: inlet.at for inlet in works.inlets}
    named |= {discharge.name: discharge.at for discharge in works.discharge}
    named |= {basin.name: basin.at for basin in works.basins}
    if not works.basins and works.basin_place is not None:
        named["SUMP"] = works.basin_place
    return named


def _speed(value: float, site: Site) -> str:
    return write(value, "speed", site.job.units, "ft/day" if site.job.units == "US" else "m/day")


__all__ = [
    "ASSUMED_LAYER", "LEAST_INFLUENCE", "PIPE_BED", "Ground", "drain_inflow", "far_water", "floor_underside",
    "ground_of", "recharge_inflow", "seepage_into",
]  # fmt: skip
