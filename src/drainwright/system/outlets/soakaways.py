"""Every soakaway of a job: what comes to it, how large it must be, how high it fills, how it lifts the water below."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from drainwright.field.model import Plan, Site
from drainwright.field.places import resolve_level
from drainwright.field.words import fail, least_sure, nearest
from drainwright.hydraulics.mounding import mound_rise
from drainwright.hydraulics.soakage import side_outflow, trench_area, well_intake
from drainwright.job.values import Basis
from drainwright.job.works import Discharge, Soak
from drainwright.quantities import write
from drainwright.system.model import SizedRun, System
from drainwright.system.network import Line
from drainwright.system.outlets.soak_model import Ring, Soakaway, SoakStorm
from drainwright.system.outlets.soak_routing import Block, SoakBody, half_time, route, standing, time_to_empty, worst
from drainwright.system.outlets.soak_sizing import SoakKind, SoakNeed, SoakSize, good_depth, sized
from drainwright.system.outlets.soak_turn import EAST, bearing_of, outlines_of
from drainwright.water.ground import ASSUMED_LAYER, ground_of
from drainwright.water.model import Cause, Contribution, Inflows
from drainwright.water.rain import RainTable
from drainwright.water.storms import design_storm
from drainwright.worksheet import place, quiet

KINDS: tuple[SoakKind, ...] = ("dry well", "infiltration trench")
MINUTE, HOUR = 60.0, 3600.0
DURATIONS = tuple(
    [time * MINUTE for time in (5, 10, 15, 20, 30, 45)]
    + [time * HOUR for time in (1, 1.5, 2, 3, 4, 6, 8, 10, 12, 18, 24, 36, 48)]
)  # [s]
NESTED, NESTED_STEP = 24 * HOUR, 5 * MINUTE  # [s]
FILLING = 2 * HOUR  # of a trench, in the area rule [s]
STONE_OVER = 0.0508  # above the pipe [m]
AROUND = 1.5  # beside a soakaway, where the ground's slope counts too [m]
GRASS_SLOPE = 0.3048  # over which a slope of the ground is read [m]


def soakaways(site: Site, inflows: Inflows, system: System) -> tuple[Soakaway, ...]:
    """The soakaways of a designed system.

    Parameters
    ----------
    site : Site
        The site.
    inflows : Inflows
        What comes, with the rain of the place.
    system : System
        As laid out; its runs tell what comes to which discharge point.

    Returns
    -------
    tuple of Soakaway
        One for each dry well or infiltration trench that a run ends at, in the order of the job.

    Raises
    ------
    JobError
        If an overflow names no other discharge point.
    """
    return tuple(
        _soakaway(site, inflows, system, point, point.kind, index)
        for index, point in enumerate(site.job.works.discharge)
        if (point.kind == "dry well" or point.kind == "infiltration trench")
        and any(run.lower == point.name for run in system.runs)
    )


def ends_at(runs: Sequence[SizedRun] | Sequence[Line], start: str) -> str:
    """The place where the water of an entry (a node, or a run by its name) ends up; overflows carry none."""
    main = [run for run in runs if run.duty != "overflow"]
    below = {run.upper: run.lower for run in main}
    here = next((run.lower for run in main if run.name == start), start)
    for _ in main:
        if here not in below:
            break
        here = below[here]
    return here


def steady_ground(system: System, inflows: Inflows, name: str) -> float:
    """Ground water that comes to a discharge point all the time, proposed footing drains with it [m³/s]."""
    parts = [item for item in inflows.contributions if item.cause is Cause.GROUND]
    return sum(item.flow for item in parts if ends_at(system.runs, item.entry) == name)


def block_storms(table: RainTable, return_period: float, area: float) -> tuple[tuple[float, float, float], ...]:
    """Even rains of all usual durations that the table covers: duration [s], depth [m], inflow [m³/s]."""
    found = []
    times = [time for time in DURATIONS if table.covers(time, return_period)] or list(table.durations)
    for duration in times:
        depth = table.depth(duration, return_period)
        found.append((duration, depth, area * depth / duration))
    return tuple(found)


def _soakaway(site: Site, inflows: Inflows, system: System, point: Discharge, kind: SoakKind, index: int) -> Soakaway:
    job, where = site.job, f"works.discharge[{index}]"
    soak = point.soak or Soak()
    others = [other.name for other in job.works.discharge if other.name != point.name]
    if soak.overflow is not None and soak.overflow not in others:
        raise fail(
            f"{where}.soak.overflow", repr(soak.overflow), "another discharge point", nearest(soak.overflow, others)
        )
    at = system.nodes[point.name].at
    invert = resolve_level(site, point.invert, at, f"{where}.invert")
    rains = _rains(inflows, system.runs, point.name)
    area = sum(item.area * item.coefficient for item in rains)
    period, notes = _period(site, inflows.rain, point.name)
    soil_rate, rate, told = _rate(inflows, soak)
    measured = soak.rate is not None and soak.rate.basis is Basis.MEASURED
    with quiet():
        blocks = block_storms(inflows.rain, period, area)
        base = steady_ground(system, inflows, point.name)
        need, size, fits = _sized(site, inflows, point, kind, at, invert, blocks, base)
    given = soak.depth is not None and soak.width is not None and (soak.length is not None or kind == "dry well")
    bearing = bearing_of(site, soak, size, at)
    outlines = outlines_of(size, at, bearing)
    pipe = max((run.pipe.outside for run in system.runs if run.lower == point.name), default=0.1)
    tall = size.depth + pipe + STONE_OVER
    body, silted = size.body(soak.voids, rate), size.body(soak.voids, rate, silted=True)
    with place(f"works.discharge.{point.name}", "the storm that fills it most"):
        number, routed = worst(body, need.storms, need.base)
        fullest = routed[number].fullest
        half = half_time(body, min(fullest, body.depth), need.base)
    with quiet():
        shut = worst(silted, need.storms, need.base)[1] if rate > 0.0 else routed
        sides = max(
            time * (flow + need.base) - float(side_outflow(size.perimeter, size.depth, rate, time))
            for time, flow in need.storms
        )
    ground = [float(site.surface.level(*corner)) for ring in outlines for corner in ring]
    supported = all(bool(site.surface.supported(*corner)) for ring in outlines for corner in ring)
    mound, at_house, away = _mound(site, inflows, size, outlines, need, where=point.name)
    bases = [inflows.rain.basis, *(item.basis for item in rains), _rate_basis(inflows, soak)]
    return Soakaway(
        name=point.name, kind=kind, at=at, outlines=outlines, count=size.count, length=size.length, width=size.width,
        depth=size.depth, invert=invert, bottom=invert - size.depth, top=invert + pipe + STONE_OVER,
        ground=min(ground), ground_slope=_slope(site, outlines),
        ground_basis=Basis.MEASURED if supported else Basis.ASSUMED,
        voids=soak.voids, soil_rate=soil_rate, safety=soak.safety, rate=rate,
        rate_from="measured where it goes" if measured
        else "told for its place, not measured" if told else "half the ground's conductivity",
        storage=body.storage, stone=size.area * tall, fabric=2.0 * size.area + size.perimeter * tall,
        effective_area=area, base_flow=need.base, return_period=period,
        storms=tuple(
            SoakStorm(duration=time, depth=rain, came=one.came, fullest=one.fullest, spilled=one.spilled)
            for (time, rain, _), one in zip(blocks, routed, strict=True)
        ),
        critical=need.storms[number][0], fullest=fullest, spilled=max(one.spilled for one in routed),
        half_empty=half, half_empty_limit=need.half_empty,
        silted=max(one.fullest for one in shut), nested=_nested(inflows.rain, period, area, need, size),
        side_storage=max(sides, 0.0), mound=mound, mound_at_house=at_house, house_distance=away,
        water_table=site.water_table, overflow=soak.overflow, chosen_by="job" if given else "design", fits=fits,
        basis=least_sure(*bases),
        notes=(
            *notes, *_turned(point.name, soak, size, bearing), *_notes(site, point.name, soak, told),
            *_beside(site, point.name, size, body, need),
        ),
    )  # fmt: skip


def planned_ground(
    site: Site, inflows: Inflows, lines: Sequence[Line], point: Discharge, at: Plan, base: float
) -> tuple[Ring, ...]:
    """The ground that a soakaway will take, before anything is graded.

    Parameters
    ----------
    site : Site
        The site.
    inflows : Inflows
        What comes, with the rain of the place.
    lines : sequence of Line
        They tell what comes to the soakaway.
    point : Discharge
        A dry well or an infiltration trench.
    at : Plan
        Where it lies. [m]
    base : float
        Ground water that comes all the time. [m³/s]

    Returns
    -------
    tuple of Ring
        Its outlines in plan, of the size that ``soakaways`` finds for the same water. [m]
    """
    kind: SoakKind = "dry well" if point.kind == "dry well" else "infiltration trench"
    with quiet():
        area = sum(item.area * item.coefficient for item in _rains(inflows, lines, point.name))
        blocks = block_storms(inflows.rain, _period(site, inflows.rain, point.name)[0], area)
        where = f"works.discharge[{site.job.works.discharge.index(point)}].invert"
        invert = resolve_level(site, point.invert, at, where)
        _, size, _ = _sized(site, inflows, point, kind, at, invert, blocks, base)
    return outlines_of(size, at, bearing_of(site, point.soak or Soak(), size, at))


def _rains(inflows: Inflows, runs: Sequence[SizedRun] | Sequence[Line], name: str) -> list[Contribution]:
    """What comes to a discharge point from roofs and yards."""
    return [
        item
        for item in inflows.contributions
        if item.cause is not Cause.GROUND and item.area > 0.0 and ends_at(runs, item.entry) == name
    ]


def _sized(
    site: Site, inflows: Inflows, point: Discharge, kind: SoakKind, at: Plan, invert: float,
    blocks: Sequence[tuple[float, float, float]], base: float,
) -> tuple[SoakNeed, SoakSize, bool]:  # fmt: skip
    """What a soakaway must do, the size that the job or the design gives it, and whether that does it."""
    soak, job = point.soak or Soak(), site.job
    need = SoakNeed(
        storms=tuple((time, flow) for time, _, flow in blocks), base=base,
        voids=soak.voids, rate=_rate(inflows, soak)[1], half_empty=job.criteria.soak_empty,
    )  # fmt: skip
    level = float(site.surface.level(*at))
    above = job.rules.soak_above_water.value
    depth = soak.depth if soak.depth is not None else good_depth(invert, level, site.water_table, above)
    return need, *sized(need, kind, depth, soak.length, soak.width, job.units)


def _period(site: Site, table: RainTable, name: str) -> tuple[float, list[str]]:
    """The return period for which it is sized, and what is said where the rain table does not reach so far."""
    asked = site.job.criteria.soak_return_period
    period = min(max(asked, table.return_periods[0]), table.return_periods[-1])
    if math.isclose(period, asked, rel_tol=1e-9):
        return asked, []
    years = 31557600.0
    return period, [
        f"{name}: the rain table has no {asked / years:g}-year rain; it is sized for that of {period / years:g} years."
    ]


def _rate(inflows: Inflows, soak: Soak) -> tuple[float, float, bool]:
    """Infiltration of the soil, that with the safety taken off, and whether the job tells it for its place."""
    if soak.rate is not None:
        return soak.rate.value, soak.rate.value / soak.safety, True
    half = inflows.conductivity / 2.0  # soil under a soakaway is not quite full of water: half is usual
    return half, half / soak.safety, False


def _rate_basis(inflows: Inflows, soak: Soak) -> Basis:
    return inflows.conductivity_basis if soak.rate is None else soak.rate.basis


def _slope(site: Site, outlines: Sequence[Ring]) -> float:
    """Greatest slope of the ground over a soakaway and a little around it [-]."""
    from shapely import Polygon

    greatest = 0.0
    for ring in outlines:
        wide = np.asarray(Polygon(ring).buffer(AROUND, join_style="mitre").exterior.coords[:-1])
        places = np.concatenate([np.asarray(ring), wide, np.asarray(ring).mean(axis=0)[None]])
        east, north = places.T
        step = GRASS_SLOPE / 2.0
        by_east = site.surface.level(east + step, north) - site.surface.level(east - step, north)
        by_north = site.surface.level(east, north + step) - site.surface.level(east, north - step)
        greatest = max(greatest, float(np.max(np.hypot(by_east, by_north))) / GRASS_SLOPE)
    return greatest


def _mound(
    site: Site, inflows: Inflows, size: SoakSize, outlines: Sequence[Ring], need: SoakNeed, *, where: str
) -> tuple[float, float, float]:
    """Rise of the ground water under its middle and at the house, in the storm that lifts it most, and how far off."""
    from shapely import MultiPolygon, Point, Polygon
    from shapely.ops import nearest_points

    ground = ground_of(site)
    table = site.water_table
    thick = ASSUMED_LAYER
    if site.barrier is not None and table is not None and table > site.barrier:
        thick = table - site.barrier
    shape = MultiPolygon([Polygon(ring) for ring in outlines])
    middle = shape.centroid
    house = Polygon(site.outline)
    away = float(shape.distance(house))
    side = nearest_points(middle, house)[1] if not house.contains(middle) else middle
    corner = outlines[0]
    if size.kind == "infiltration trench":
        half_l, half_w = size.length / 2.0, size.width / 2.0
        way = (np.array(corner[1]) - np.array(corner[0])) / size.length
    else:  # a square of the same area, once for all wells
        half_l = half_w = math.sqrt(size.area) / 2.0
        way = np.array([1.0, 0.0])
    to_house = np.array([side.x - middle.x, side.y - middle.y])
    along, across = abs(float(to_house @ way)), abs(float(to_house @ np.array([-way[1], way[0]])))
    full = size.body(need.voids, need.rate)
    start = standing(full, need.base)
    times, seeps = [], []
    porosity = max(ground.drainable_porosity, 0.01)
    with quiet():  # the storms' steps are told where the storm that fills it most is found
        for time, flow in need.storms:
            one = route(full, [Block(duration=time, inflow=flow + need.base)], start)
            lasts = time + time_to_empty(full, min(one.fullest, full.depth), need.base)
            times.append(lasts)
            seeps.append(max(one.came - one.spilled, 0.0) / (size.area * lasts))
        rises = np.asarray(
            mound_rise(
                np.array(seeps), np.array(times), half_l, half_w, inflows.conductivity, porosity, thick,
                np.array([[0.0], [along]]), np.array([[0.0], [across]]),
            )
        )  # fmt: skip
    number = int(np.argmax(rises[0]))
    with place(f"works.discharge.{where}", "rise of the ground water under it"):
        mound_rise(seeps[number], times[number], half_l, half_w, inflows.conductivity, porosity, thick)
    near = Point(middle).distance(house)
    return float(rises[0].max()), float(rises[1].max()) if near > 0 else float(rises[0].max()), away


def _nested(table: RainTable, period: float, area: float, need: SoakNeed, size: SoakSize) -> float | None:
    """Depth of water in the nested storm of a day, which holds the rain of every duration at once [m]."""
    if not table.covers(NESTED, period):
        return None
    with quiet():
        storm = design_storm(table, period, NESTED, "nested", NESTED_STEP)
        body = size.body(need.voids, need.rate)
        steps = (Block(duration=storm.step, inflow=area * float(rain) + need.base) for rain in storm.intensity)
        return route(body, steps, standing(body, need.base)).fullest


def _notes(site: Site, name: str, soak: Soak, told: bool) -> list[str]:
    notes = []
    if not told:
        notes.append(
            f"{name}: nobody measured how fast water soaks in at its bottom: half of the soil's conductivity is taken, "
            f"divided by {soak.safety:g}. Fill a test hole there, at the depth of its bottom, before it is bought."
        )
    if site.water_table is None:
        notes.append(
            f"{name}: the seasonal high ground water is not known; whether it stands in the stone cannot be told."
        )
    return notes


def _turned(name: str, soak: Soak, size: SoakSize, bearing: float) -> list[str]:
    """What is said of a soakaway that the design turns away from due east."""
    row = size.kind == "infiltration trench" or size.count > 1
    if soak.bearing is not None or not row or math.isclose(bearing, EAST):
        return []
    return [
        f"{name}: turned to {math.degrees(bearing):.0f} degrees from the drawing's up, for boundary, house and buried "
        "lines; the job says no 'bearing'."
    ]


def _beside(site: Site, name: str, size: SoakSize, body: SoakBody, need: SoakNeed) -> list[str]:
    """What simpler published rules say beside the routing, so that nobody leans on one method alone."""
    units = site.job.units
    with quiet():
        number, routed = worst(body, need.storms, need.base)
        if size.kind == "dry well":
            each = size.depth, size.width / 2.0
            hole = size.count * float(well_intake(need.rate, *each)) if size.depth > 0.0 else 0.0
            ours, theirs = write(body.out(body.depth), "flow", units), write(hole, "flow", units)
            return [
                f"{name}: full to the pipe it takes in {ours} as reckoned; the steady formula for a hole with water in "
                f"it gives {theirs}."
            ]
        wanted = float(trench_area(routed[number].came, need.voids, size.depth, need.rate, FILLING))
    return [
        f"{name}: by the area rule of stormwater manuals (bottom only, two hours to fill) its bottom would be "
        f"{write(wanted, 'area', units)}; routed, it is {write(size.area, 'area', units)}."
    ]


def entering(system: System, contributions: Sequence[Contribution], name: str) -> tuple[Contribution, ...]:
    """What comes to a discharge point, cause by cause."""
    return tuple(item for item in contributions if ends_at(system.runs, item.entry) == name)


def last_run(system: System, name: str) -> SizedRun | None:
    """The run that ends at a discharge point; of several the one with the greatest flow."""
    ending = [run for run in system.runs if run.lower == name and run.duty != "overflow"]
    return max(ending, key=lambda run: run.flow, default=None)


__all__ = ["KINDS", "block_storms", "ends_at", "entering", "last_run", "planned_ground", "soakaways", "steady_ground"]
