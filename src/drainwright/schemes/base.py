"""What all schemes of a job share: the survey, what is drawn already, what has to be led away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.places import resolve_level
from drainwright.job.model import Job
from drainwright.job.values import Place as At
from drainwright.job.works import Basin, Discharge, Inlet
from drainwright.quantities import write
from drainwright.schemes.draft import Draft, Words, place_text
from drainwright.system.gravity import PIPE_HEIGHT, Lawful, drained_chains, lawfulness
from drainwright.system.network import DESIGNED_BASIN, Network, Spot, given_network
from drainwright.system.propose import basin_place, free_name, loose_ends
from drainwright.system.ways import RoundHouse, distance
from drainwright.system.yard.basin_hole import Hole
from drainwright.system.yard.basin_spot import first_hole, in_wedge
from drainwright.system.yard.yard_map import YardMap, yard_map

NEAR_HOUSE = 6.096  # a low spot nearer than this to the house wants an inlet, 20 ft, common practice, no source [m]
PONDS = 0.0254  # deeper than this it counts as ponding, 1 in, common practice, no source [m]
BESIDE_LINE = 0.15  # of a basin's hole from a line that is laid [m]
BESIDE_BASIN = 1.2  # and from the middle of another basin [m]
SOAKS = ("dry well", "infiltration trench")
_ORDER: tuple[Lawful, ...] = ("permit granted", "allowed", "permit needed", "unknown")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place whose water has to be led away."""

    name: str
    at: Plan
    invert: float  # highest invert of a pipe there [m]
    roof: bool = False  # a downspout
    ground: bool = False  # a footing drain's end: its water joins no rain


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A discharge point that water may be led to."""

    point: Discharge
    at: Plan
    level: float  # water must arrive no lower: the invert, or the tailwater over it [m]
    lawful: Lawful


@dataclass(frozen=True, slots=True, kw_only=True)
class Base:
    """The lot before a scheme is laid."""

    job: Job  # with its proposed inlets; on a redraw without its own runs
    draft: Draft  # what was added so far
    site: Site
    house: RoundHouse  # the shortest ways round it
    yard: YardMap  # the ways of least cost
    network: Network  # what is drawn already
    chains: tuple[tuple[SiteWall, ...], ...]  # neighbouring walls that want a footing drain
    spots: tuple[Spot, ...]  # inlets, downspouts and ends of drawn lines that lead nowhere yet
    ways: tuple[Way, ...]  # the lawful ones
    forbidden: tuple[Discharge, ...]
    basin: str  # the name of the basin, there or to be
    basin_at: Plan
    basin_free: bool  # its place was chosen here
    notes: tuple[str, ...]
    trench: float = 6.096  # length of a soakaway's trench while its place is looked for, 20 ft [m]
    wells: float = 0.0  # from the first dry well to the last while their place is looked for [m]
    rain_hole: Hole | None = None  # of a basin for rain alone; None: a first guess
    spills: bool = True  # a soakaway gets an overflow where there is a second way out; False: laid, it did not work
    drains_fall: bool = True  # the footing drains by gravity; False: laid so, they did not work
    closed: frozenset[str] = frozenset()  # drawn places at which nothing may come in: a drawn pipe is too small
    known: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)  # found once for all kinds

    @property
    def outs(self) -> tuple[Way, ...]:
        """The ways out that are none into the ground, and not for an overflow alone."""
        return tuple(way for way in self.spilling if not way.point.overflow_only)

    @property
    def spilling(self) -> tuple[Way, ...]:
        """The ways out that an overflow may take: those that are none into the ground."""
        return tuple(way for way in self.ways if way.point.kind not in SOAKS)

    @property
    def complete(self) -> bool:
        """Whether the job leaves nothing to lay."""
        return not self.chains and not self.spots


def base_of(job: Job, *, redraw: bool) -> Base:
    """Survey the job with its proposed inlets, and list what has to be led away.

    Parameters
    ----------
    job : Job
        A validated job.
    redraw : bool
        Leave the job's own runs and basins out: all but discharge points, inlets and walls is laid out anew.

    Returns
    -------
    Base
        The same for all schemes of the job.

    Raises
    ------
    JobError
        As ``survey`` and ``given_network`` do.
    """
    from drainwright.field import survey

    start = Draft(redraw=redraw)
    bare = start.applied(job)
    site = survey(bare)
    inlets, yards, notes = _low_spot_inlets(site)
    if inlets:
        start = Draft(redraw=redraw, inlets=inlets, yards=yards)
        bare = start.applied(job)
        site = survey(bare)
    house = RoundHouse(site.outline)
    yard = yard_map(site)
    given = given_network(site, house, basin_place(site, (), lambda: yard))
    chains = drained_chains(site, given)
    at = basin_place(site, chains, lambda: yard)
    works = bare.works
    free = not isinstance(works.basin, Basin) and works.basin_place is None
    if redraw and not free and in_wedge(site, at, first_hole(site, [wall for chain in chains for wall in chain])):
        free, drawn = True, at
        at = placed_basin(site, chains, yard, None)
        notes.append(_moved(job, works.basin, drawn, at))
    name = works.basin.name if isinstance(works.basin, Basin) else DESIGNED_BASIN
    ways, forbidden = [], []
    for index, point in enumerate(works.discharge):
        spot = given.spots[point.name]
        lawful, _ = lawfulness(point, bare.rules)
        if lawful == "forbidden":
            forbidden.append(point)
            continue
        level = resolve_level(site, point.invert, spot.at, f"works.discharge[{index}].invert")
        if point.tailwater is not None:
            level = max(level, resolve_level(site, point.tailwater, spot.at, f"works.discharge[{index}].tailwater"))
        ways.append(Way(point=point, at=spot.at, level=level, lawful=lawful))
    ways.sort(key=lambda way: (_ORDER.index(way.lawful), way.point.name))
    return Base(
        job=bare,
        draft=start,
        site=site,
        house=house,
        yard=yard,
        network=given,
        chains=tuple(chains),
        spots=loose_ends(site, given),
        ways=tuple(ways),
        forbidden=tuple(forbidden),
        basin=name,
        basin_at=at,
        basin_free=free,
        notes=tuple(notes),
    )


def placed_basin(site: Site, chains: Sequence[Sequence[SiteWall]], yard: YardMap, hole: Hole | None) -> Plan:
    """Where a basin goes when the job's own place for it is left aside. [m]"""
    works = site.job.works.model_copy(update={"basin": "if needed", "basin_place": None, "more_basins": ()})
    open_site = replace(site, job=site.job.model_copy(update={"works": works}))
    return basin_place(open_site, chains, lambda: yard, hole)


def rain_basin_place(base: Base, network: Network, places: Sequence[Place]) -> Plan:
    """Where a basin for roof and yard water goes: off the lines that are laid, and off the other basins. [m]"""
    inlets = tuple(Inlet(name=item.name, at=At(east=item.at[0], north=item.at[1])) for item in places)
    works = base.job.works.model_copy(
        update={
            "basin": "if needed", "basin_place": None, "more_basins": (), "runs": (), "inlets": inlets,
            "discharge": tuple(way.point for way in base.outs),
        }
    )  # fmt: skip
    open_site = replace(base.site, job=base.job.model_copy(update={"works": works}))
    off = [(line.route, BESIDE_LINE) for line in network.lines]
    off += [((spot.at, spot.at), BESIDE_BASIN) for spot in network.spots.values() if spot.kind == "basin"]
    return basin_place(open_site, (), lambda: base.yard, base.rain_hole, off)


def _moved(job: Job, basin: Basin | str, drawn: Plan, at: Plan) -> str:
    name = basin.name if isinstance(basin, Basin) else "the basin"
    off = write(distance(drawn, at), "length", job.units)
    return f"The place of {name} as drawn lies in the ground that carries a footing: it is put {off} away from it."


def _low_spot_inlets(site: Site) -> tuple[tuple[Words, ...], tuple[Words, ...], list[str]]:
    """Catch basins for low spots that have none, the ground that drains to them, and what is said of it."""
    job = site.job
    if site.terrain is None:
        return (), (), []
    units = job.units
    inlets: list[Words] = []
    yards: list[Words] = []
    notes: list[str] = []
    taken = [*site.points, *(inlet.name for inlet in job.works.inlets), *(spout.name for spout in job.downspouts)]
    labels = {yard.name for yard in job.yards}
    by_ground = all(yard.from_ground or yard.to == "away" for yard in job.yards)
    for spot in site.terrain.low_spots:
        if spot.inlet is not None or not (spot.walls or (spot.depth >= PONDS and _off(site, spot.at) <= NEAR_HOUSE)):
            continue
        if not spot.sure:
            notes.append(f"The low spot at {spot.name} gets no inlet: {spot.why_unsure or 'it is not sure'}.")
            continue
        name = free_name("CB", taken)
        taken.append(name)
        inlets.append({"name": name, "at": place_text(spot.at, units)})
        said = f"Proposed: catch basin {name} in the low spot at {spot.name}, which has no inlet."
        if by_ground and f"ground to {name}" not in labels:
            yards.append({"name": f"ground to {name}", "from_ground": True, "to": name})
        else:
            said += " No yard of the job drains to it, so its water is not counted: say which ground does."
        notes.append(said)
    return tuple(inlets), tuple(yards), notes


def _off(site: Site, at: Plan) -> float:
    """Distance of a place from the house [m]."""
    from shapely import Point, Polygon

    return float(Polygon(site.outline).distance(Point(at)))


def start_level(base: Base, spot: Spot) -> float:
    """Highest invert at which a pipe can leave a place under its cover [m]."""
    return min(spot.rim, spot.ground) - base.job.criteria.minimum_cover - PIPE_HEIGHT


def nearest_way(ways: Sequence[Way], at: Plan, house: RoundHouse) -> Way:
    """Of ways out those that stand best with the law, and of these the nearest."""
    from drainwright.system.ways import route_length

    best = min(_ORDER.index(way.lawful) for way in ways)
    return min(
        (way for way in ways if _ORDER.index(way.lawful) == best),
        key=lambda way: (route_length(house.way(at, way.at)) if distance(at, way.at) > 0 else 0.0, way.point.name),
    )


__all__ = ["SOAKS", "Base", "Place", "Way", "base_of", "nearest_way", "placed_basin", "rain_basin_place", "start_level"]
