"""The network of the job: places where water enters, meets and leaves, and the lines between them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from drainwright.errors import JobError, Problem
from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.places import resolve_level, resolve_place
from drainwright.field.words import fail, nearest
from drainwright.job.works import Basin, Duty, Run
from drainwright.system.firm_pipes import shelf_of
from drainwright.system.model import NodeKind, Pipe
from drainwright.system.ways import (
    MOST_VERTICES,
    Finder,
    RoundHouse,
    beside_walls,
    distance,
    route_length,
    tidy_route,
)

DESIGNED_BASIN = "SUMP"  # name of a basin that the job leaves to be designed
CORNER_NEAR = 1.0  # a run's upper end nearer than this to the start of its wall is that start [m]
STONE_UNDER = 0.0508  # under a drain: IRC R405.1, 2 in [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place of the network before it is graded."""

    name: str
    kind: NodeKind
    at: Plan
    ground: float  # [m]
    rim: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of the network before it is sized and graded."""

    name: str
    duty: Duty
    upper: str
    lower: str
    route: tuple[Plan, ...]
    pipe: Pipe | None = None  # chosen by the job
    invert_upper: float | None = None  # chosen by the job [m]
    invert_lower: float | None = None  # chosen by the job [m]
    grade: float | None = None  # chosen by the job [-]
    fabric: bool = True
    stone_width: float | None = None  # [m]
    stone_over: float | None = None  # [m]
    walls: tuple[str, ...] = ()
    proposed: bool = False

    @property
    def length(self) -> float:
        """Length in plan [m]."""
        return route_length(self.route)


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Spots and lines, upstream first, with what was proposed."""

    spots: Mapping[str, Spot]
    lines: tuple[Line, ...]
    notes: tuple[str, ...] = ()
    onward: Mapping[str, Line] = field(init=False, repr=False, compare=False)  # what leaves each spot, overflows apart

    def __post_init__(self) -> None:
        """Look the lines up once: a lot of many inlets asks for them a million times."""
        lines = {line.upper: line for line in reversed(self.lines) if line.duty != "overflow"}
        object.__setattr__(self, "onward", lines)

    def leaving(self, name: str) -> Line | None:
        """The line that carries the water of a spot on; an overflow does not count."""
        return self.onward.get(name)

    def chain(self, name: str) -> tuple[Line, ...]:
        """The lines from a spot down, as far as they go."""
        found: dict[str, Line] = {}
        line = self.leaving(name)
        while line is not None and line.upper not in found:
            found[line.upper] = line
            line = self.leaving(line.lower)
        return tuple(found.values())

    def end(self, name: str) -> str:
        """The spot where the water of a spot ends up."""
        chain = self.chain(name)
        return chain[-1].lower if chain else name


def spot_at(site: Site, name: str, kind: NodeKind, at: Plan, rim: float | None = None) -> Spot:
    """A spot with the ground at its place; the rim is the ground where nothing else is said."""
    ground = site.surface.level(*at)
    return Spot(name=name, kind=kind, at=at, ground=ground, rim=ground if rim is None else rim)


def named_spots(site: Site) -> dict[str, Spot]:
    """Downspouts, inlets, basin and discharge points of the job, by name.

    Raises
    ------
    JobError
        If two of them have one name.
    """
    job, works = site.job, site.job.works
    found: dict[str, Spot] = {}

    def put(spot: Spot, where: str) -> None:
        if spot.name in found:
            raise fail(where, f"{spot.name!r}, which is also a {found[spot.name].kind}", "a name of its own")
        found[spot.name] = spot

    for index, downspout in enumerate(job.downspouts):
        where = f"downspouts[{index}]"
        put(spot_at(site, downspout.name, "downspout", resolve_place(site, downspout.at, f"{where}.at")), where)
    for index, inlet in enumerate(works.inlets):
        where = f"works.inlets[{index}]"
        at = resolve_place(site, inlet.at, f"{where}.at")
        rim = None if inlet.rim is None else resolve_level(site, inlet.rim, at, f"{where}.rim")
        put(spot_at(site, inlet.name, "inlet", at, rim), where)
    for index, discharge in enumerate(works.discharge):
        where = f"works.discharge[{index}]"
        put(spot_at(site, discharge.name, "discharge", resolve_place(site, discharge.at, f"{where}.at")), where)
    for index, basin in enumerate(works.basins):
        where = f"works.more_basins[{index - 1}]" if index else "works.basin"
        put(spot_at(site, basin.name, "basin", resolve_place(site, basin.at, f"{where}.at")), where)
    return found


def _wall_named(site: Site, name: str, where: str) -> SiteWall:
    for wall in site.walls:
        if wall.name == name:
            return wall
    names = [wall.name for wall in site.walls]
    raise fail(where, repr(name), "the name of a wall line", nearest(name, names))


def drain_route(
    walls: Sequence[SiteWall], offset: float, upper: Plan | None, lower: Plan, house: Finder, *, ordered: bool
) -> tuple[Plan, ...]:
    """Route of a footing drain: beside its walls, then on to its lower end.

    Parameters
    ----------
    walls : sequence of SiteWall
        The walls it lies beside, in order.
    offset : float
        Pipe centre out from the walls' outer face. [m]
    upper : Plan, optional
        Upper end; one that is only the corner where the walls start adds nothing to the route. [m]
    lower : Plan
        Lower end. [m]
    house : Finder
        To go round the house where the walls end.
    ordered : bool
        Keep the order given, though its other end is nearer.

    Returns
    -------
    tuple of Plan
        The route; it runs in the direction that ends nearest to the lower end.
    """
    beside = beside_walls(walls, offset)
    if not ordered and distance(beside[0], lower) < distance(beside[-1], lower):
        beside = beside[::-1]
    route = [*beside, *house.way(beside[-1], lower)[1:]] if distance(beside[-1], lower) > 1e-6 else list(beside)
    if upper is not None and distance(upper, beside[0]) > CORNER_NEAR:
        route = [*house.way(upper, beside[0])[:-1], *route]
    return tidy_route(route)


def _line_of(site: Site, run: Run, index: int, spots: Mapping[str, Spot], house: RoundHouse) -> Line:
    where = f"works.runs[{index}]"
    upper, lower = spots[run.from_].at, spots[run.to].at
    via = [resolve_place(site, place, f"{where}.via[{number}]") for number, place in enumerate(run.via)]
    if run.beside:
        walls = [_wall_named(site, name, f"{where}.beside[{number}]") for number, name in enumerate(run.beside)]
        first = via[0] if via else lower
        route = drain_route(walls, run.beside_offset, upper, first, house, ordered=False)
        if via:
            route = tidy_route((*route, *via[1:], lower))
    else:
        route = tidy_route((upper, *via, lower))
    if len(route) < 2:
        raise fail(where, f"a run from {run.from_} to {run.to} at one place", "two places apart")
    if len(route) > MOST_VERTICES:
        raise fail(where, f"a route of {len(route)} places", f"at most {MOST_VERTICES}")
    shelf = shelf_of(site.job.pipes, site.job.units)
    try:
        pipe = None if run.pipe is None else shelf.named(run.pipe)
    except ValueError as problem:
        raise fail(f"{where}.pipe", repr(run.pipe), str(problem).partition("expected ")[2]) from None
    high, low = run.invert_from, run.invert_to
    return Line(
        name=run.name,
        duty=run.duty,
        upper=run.from_,
        lower=run.to,
        route=route,
        pipe=pipe,
        invert_upper=None if high is None else resolve_level(site, high, route[0], f"{where}.invert_from"),
        invert_lower=None if low is None else resolve_level(site, low, route[-1], f"{where}.invert_to"),
        grade=run.grade,
        fabric=run.fabric,
        stone_width=run.stone_width,
        stone_over=run.stone_over,
        walls=run.beside,
    )


def given_network(site: Site, house: RoundHouse, basin_at: Plan) -> Network:
    """The network as the job gives it; lines that it leaves out are missing still.

    Parameters
    ----------
    site : Site
        The reduced site.
    house : RoundHouse
        Ways round the house.
    basin_at : Plan
        Where a basin would go that the job leaves to be designed. [m]

    Returns
    -------
    Network
        Lines upstream first.

    Raises
    ------
    JobError
        Every run that names an unknown place, two runs that leave one place, or a loop.
    """
    runs = site.job.works.runs
    spots = named_spots(site)
    problems: list[Problem] = []
    for index, run in enumerate(runs):
        for end, name in (("from", run.from_), ("to", run.to)):
            where = f"works.runs[{index}].{end}"
            if name in spots:
                continue
            if name in site.points:
                point = site.points[name]
                if point.way == "level only":
                    found = f"{name}, which has a level but no place in plan"
                    problems.append(Problem(where=where, found=found, expected="a point that is fixed in plan"))
                    continue
                spots[name] = spot_at(site, name, "junction", (point.east, point.north))
            elif name == DESIGNED_BASIN and not isinstance(site.job.works.basin, Basin):
                spots[name] = spot_at(site, name, "junction", basin_at)
            else:
                hint = nearest(name, [*spots, *site.points])
                expected = "a downspout, inlet, point, basin or discharge point"
                problems.append(Problem(where=where, found=repr(name), expected=expected, hint=hint))
    if problems:
        raise JobError(tuple(problems))
    lines = [_line_of(site, run, index, spots, house) for index, run in enumerate(runs)]
    return Network(spots=spots, lines=upstream_first(lines, spots))


def upstream_first(lines: Sequence[Line], spots: Mapping[str, Spot]) -> tuple[Line, ...]:
    """The lines in an order in which each comes after all that drain into it.

    Raises
    ------
    JobError
        If two lines carry the water of one place away, a line leaves a discharge point, or lines run in a loop.
    """
    names = [line.name for line in lines]
    for line in lines:
        if names.count(line.name) > 1:
            raise fail("works.runs", f"two runs named {line.name!r}", "a name of its own for each")
        if spots[line.upper].kind == "discharge":
            raise fail(
                "works.runs", f"{line.name}, which leaves the discharge point {line.upper}", "a run that ends there"
            )
    main = [line for line in lines if line.duty != "overflow"]
    for line in main:
        rivals = [other.name for other in main if other.upper == line.upper]
        if len(rivals) > 1:
            expected = "one run that carries its water on (give a second the duty 'overflow')"
            raise fail("works.runs", f"{' and '.join(rivals)}, which all leave {line.upper}", expected)
    waiting = list(main)
    done: list[Line] = []
    while waiting:
        ready = [line for line in waiting if all(other.lower != line.upper for other in waiting)]
        if not ready:
            raise fail("works.runs", f"a loop: {_loop(waiting)}", "runs that lead down to a basin or discharge point")
        done += ready
        waiting = [line for line in waiting if line not in ready]
    return (*done, *(line for line in lines if line.duty == "overflow"))


def _loop(lines: Sequence[Line]) -> str:
    """The names of places round a loop of lines, in words."""
    before = {line.lower: line.upper for line in lines}  # each has one, or it would not be waiting
    here = lines[0].upper
    for _ in lines:
        here = before[here]
    path = [here]
    while len(path) < 2 or path[-1] != here:
        path.append(before[path[-1]])
    path.reverse()
    return " to ".join(path)


_LISTS = {"inlet": "works.inlets", "downspout": "downspouts", "discharge": "works.discharge"}  # of the job, by kind


def with_lines(network: Network, lines: Iterable[Line], spots: Mapping[str, Spot], notes: Iterable[str]) -> Network:
    """The network with more lines, spots and notes.

    Raises
    ------
    JobError
        If both ends of a line are at one place; as ``upstream_first``.
    """
    every = {**network.spots, **spots}
    lines = list(lines)
    for line in lines:
        if len(line.route) < 2:
            ends = (every[line.upper], every[line.lower])
            where = next((f"{_LISTS[spot.kind]}.{spot.name}.at" for spot in ends if spot.kind in _LISTS), "works.runs")
            raise fail(
                where, f"{line.upper} and {line.lower} at one place", "two places apart, for a pipe between them"
            )
    return replace(
        network,
        spots=every,
        lines=upstream_first([*network.lines, *lines], every),
        notes=(*network.notes, *notes),
    )


__all__ = [
    "DESIGNED_BASIN", "STONE_UNDER", "Line", "Network", "Spot", "drain_route", "given_network", "spot_at",
    "upstream_first", "with_lines",
]  # fmt: skip
