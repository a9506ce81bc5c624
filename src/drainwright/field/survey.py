"""From the visit's measurements to the site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.errors import InputError, JobError, Problem
from drainwright.field.blunders import apart_from_yard, odd_shots
from drainwright.field.joined import joined_lines
from drainwright.field.level_slips import find_level_slips
from drainwright.field.levels import ReducedBook, reduce_book
from drainwright.field.model import Plan, Site, SitePoint, SiteTree, SiteUtility, SiteWall, Slip
from drainwright.field.places import level_at, plan_of
from drainwright.field.points import fix_points
from drainwright.field.set_levels import SetChecks, check_sets
from drainwright.field.shaping import shaped_strips
from drainwright.field.shot_sets import Row, picture_in_place, shots_in_place
from drainwright.field.surface import Surface, stations, triangulate
from drainwright.field.terrain import lie_of_the_land
from drainwright.field.walls import ground_around, outline_of, set_wall
from drainwright.field.words import fail, least_sure
from drainwright.job.model import Job
from drainwright.job.site import Tree, Utility
from drainwright.job.values import Basis, Fact, Level
from drainwright.worksheet import Card, catalogued, place

NOT_GROUND = "not ground"  # in the note of a point or of a level-book row: its level is not the ground's
LEG = 2.0  # straights of a buried line are divided, so that its top follows the ground [m]


@dataclass(slots=True)
class _Draft:
    """What is known of the site so far."""

    points: Mapping[str, SitePoint]
    surface: Surface
    floor: float | None = None
    walls: Sequence[SiteWall] = ()


@catalogued(
    Card(
        title="Critical root radius",
        symbol="r",
        expression="trunk_diameter * per_diameter",
        units={"trunk_diameter": "m", "per_diameter": "-", "result": "m"},
        source="root_zone",
    )
)
def root_radius(trunk_diameter: float, per_diameter: float) -> float:
    """Radius round a trunk within which roots matter: a multiple of the trunk's diameter.

    Parameters
    ----------
    trunk_diameter : float
        At breast height. [m]
    per_diameter : float
        The place's rule. [-]

    Returns
    -------
    float
        Radius. [m]
    """
    return trunk_diameter * per_diameter


def _levels(job: Job) -> tuple[ReducedBook | None, dict[str, float], dict[str, float]]:
    """Level book, adjusted levels, benchmarks."""
    survey = job.survey
    marks = [survey.benchmark] + ([survey.closing_benchmark] if survey.closing_benchmark else [])
    benchmarks = {mark.name: mark.elevation for mark in marks}
    if len(benchmarks) < len(marks):
        raise fail("survey.closing_benchmark.name", f"{survey.benchmark.name} again", "a name of its own",
                   "A book that closes on the mark it opened on needs no closing benchmark.")  # fmt: skip
    stated = {point.name: point.level for point in survey.points if point.level is not None}
    if not survey.level_book:
        return None, benchmarks | stated, benchmarks
    reduced = reduce_book(survey.level_book, benchmarks, stated, job.units, survey.rod_accuracy)
    return reduced, {**benchmarks, **stated, **reduced.levels}, benchmarks


def _book_slips(
    reduced: ReducedBook | None,
    shots: Sequence[SitePoint],
    sets: SetChecks,
    surface: Surface,
    outline: Sequence[Plan],
    job: Job,
) -> tuple[Slip, ...]:
    """Rod readings that the others, or the ground round them, contradict."""
    if reduced is None:
        return ()
    ground = {shot.name: (shot.east, shot.north) for shot in shots if shot.name in set(surface.names)}
    ground |= sets.places
    told = {point.name: point.note for point in job.survey.points}
    for row in job.survey.level_book:
        told[row.point] = f"{told.get(row.point, '')} {row.note}"
    apart = apart_from_yard(ground, outline, told)
    readings = (*reduced.readings, *sets.neighbours)
    return find_level_slips(readings, reduced.fit.instruments, reduced.fixed, ground, apart, job.units)


def _shots(job: Job, points: Mapping[str, SitePoint], benchmarks: Mapping[str, float]) -> list[SitePoint]:
    """Ground shots: every point in plan with a level, but for benchmarks and those whose note, or a row of theirs
    in the level book, says 'not ground'.
    """  # fmt: skip
    apart = {point.name for point in job.survey.points if NOT_GROUND in point.note.lower()}
    apart |= {row.point for row in job.survey.level_book if NOT_GROUND in row.note.lower()}
    return [
        point for name, point in points.items()
        if point.level is not None and point.way != "level only" and name not in benchmarks and name not in apart
    ]  # fmt: skip


def _ground(job: Job, shots: Sequence[SitePoint], others: Sequence[Row], outline: Sequence[Plan]) -> Surface:
    """Triangulate the ground shots and those of shot sets; those inside the house are left out."""
    rows = [(shot.name, (shot.east, shot.north), shot.level) for shot in shots if shot.level is not None]
    rows += others
    try:
        return triangulate(
            [name for name, _, _ in rows],
            [at for _, at, _ in rows],
            [level for _, _, level in rows],
            outline,
            job.survey.breaklines,
        )
    except InputError as error:
        raise fail(
            "survey.points", f"ground shots that span no surface ({error})",
            "three points or more on the ground, in plan and with a level, not all in one line",
            "Read the rod at the corners of the house and out in the yard.",
        ) from None  # fmt: skip


def _floor(job: Job, draft: _Draft, lowest: float) -> float:
    level = job.house.floor.value
    name = level.reference
    if name is not None and name not in draft.points:
        if name == "floor":
            raise fail("house.floor", "a floor that hangs from itself", "an elevation, or a level from a point")
        if name == "ground":
            return lowest + level.offset
        if name == "footing" and draft.walls:
            return min(wall.footing_bottom for wall in draft.walls) + level.offset
    return level_at(level, draft, None, "house.floor")


def _set_walls(job: Job, draft: _Draft, outline: Sequence[Plan]) -> list[str]:
    walls: list[SiteWall] = []
    notes: list[str] = []
    problems: list[Problem] = []
    for number, wall in enumerate(job.house.walls):
        try:
            one, more = set_wall(wall, f"house.walls[{number}]", draft, outline, job.units)
            walls.append(one)
            notes += more
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(tuple(problems))
    draft.walls = tuple(walls)
    return notes


def _set_utility(utility: Utility, number: int, draft: _Draft) -> SiteUtility:
    corners = [plan_of(spot, draft.points, f"utilities[{number}].route[{n}]") for n, spot in enumerate(utility.route)]
    _, route = stations(corners, LEG)
    ground = draft.surface.level(route[:, 0], route[:, 1])
    top = ground if utility.depth is None else ground - utility.depth.value
    return SiteUtility(
        utility=utility,
        route=tuple((float(east), float(north)) for east, north in route),
        top=tuple(float(level) for level in top),
    )


def _unplaced(job: Job, points: Mapping[str, SitePoint]) -> list[str]:
    """Points that were levelled but not fixed in plan, turning points and benchmarks apart: perhaps a slip."""
    names = {row.point for row in job.survey.level_book if row.intermediate is not None}
    loose = [name for name in points if name in names and points[name].way == "level only"]
    return [f"Levelled but not fixed in plan, so no ground shot: {', '.join(loose)}."] if loose else []


def _unsupported(utilities: Sequence[SiteUtility], surface: Surface) -> list[str]:
    unknown = [line.utility.name for line in utilities if line.utility.depth is None]
    deep = [
        f"Nobody knows how deep the {name} lies: it counts as anywhere from the surface to below the dig."
        for name in unknown
    ]
    return deep + [
        f"Ground over {line.utility.name} lies partly beyond the shots or under the house: its level there is a guess."
        for line in utilities
        if not np.all(surface.supported(*np.array(line.route).T))
    ]


def _set_tree(tree: Tree, number: int, job: Job, draft: _Draft) -> SiteTree:
    with place(f"trees.{tree.name}"):
        radius = root_radius(tree.trunk_diameter, job.rules.root_zone_per_diameter.value)
    return SiteTree(tree=tree, at=plan_of(tree.at, draft.points, f"trees[{number}].at"), root_radius=radius)


def _water(fact: Fact[Level] | None, where: str, draft: _Draft, mean: float) -> float | None:
    if fact is None:
        return None
    if fact.value.reference == "ground" and "ground" not in draft.points:
        return mean + fact.value.offset
    if fact.value.reference == "footing" and "footing" not in draft.points and draft.walls:
        return min(wall.footing_bottom for wall in draft.walls) + fact.value.offset
    return level_at(fact.value, draft, None, where)


def survey(job: Job) -> Site:
    """Reduce the visit's measurements.

    Parameters
    ----------
    job : Job
        A validated job document.

    Returns
    -------
    Site
        Points, levels, ground, walls, utilities, trees; ``notes`` say what was assumed or could not be checked.

    Raises
    ------
    JobError
        If measurements contradict each other or do not suffice; names each place in the job.

    Notes
    -----
    ``ground`` as a reference means: for a footing, the lowest ground along its wall; for the floor, the lowest
    along the outline; for water table and barrier, the mean along the outline. ``footing`` for the floor, water
    table and barrier means the lowest footing.
    """
    return with_things(measured(job), job)


def measured(job: Job) -> Site:
    """The site as far as nothing that stands or lies on it, or is planned there, is needed: ``survey`` up to there."""
    reduced, levels, benchmarks = _levels(job)
    plan = fix_points(job.survey, job.house.outline, levels, job.units)
    errors = reduced.errors if reduced else {}
    points = {name: replace(point, level_error=errors.get(name)) for name, point in plan.points.items()}
    outline = outline_of(job.house.outline, points)
    shots = _shots(job, points, benchmarks)
    others, other_notes = shots_in_place(job, points, outline)
    backdrop, picture_notes = picture_in_place(job, points)
    surface = _ground(job, shots, others, outline)
    sets = check_sets(job, shots, others, set(surface.names), job.units)
    slips = _book_slips(reduced, shots, sets, surface, outline, job)
    odd = odd_shots(shots, job.survey.level_book, job.units)
    notes = [
        *odd,
        *(reduced.notes if reduced else ()),
        *(slip.message for slip in slips),
        *plan.notes,
        *_unplaced(job, points),
        *other_notes,
        *sets.notes,
        *picture_notes,
    ]
    draft = _Draft(points, surface)
    lowest, mean = ground_around(outline, surface)

    floor_on_footing = job.house.floor.value.reference == "footing" and "footing" not in points
    if floor_on_footing:
        notes += _set_walls(job, draft, outline)
    draft.floor = floor = _floor(job, draft, lowest)
    if not floor_on_footing:
        notes += _set_walls(job, draft, outline)
    floor_basis = _floor_basis(job, points)
    if floor_basis is Basis.ASSUMED:
        notes.append("The level of the lowest floor is assumed.")

    water_table = _water(job.ground.water_table, "ground.water_table", draft, mean)
    barrier = _water(job.ground.barrier, "ground.barrier", draft, mean)
    if water_table is None:
        notes.append("The seasonal high water table is not known.")
    return Site(
        job=job,
        points=points,
        traverse=plan.traverse,
        level_book=reduced.book if reduced else None,
        surface=surface,
        outline=outline,
        walls=tuple(draft.walls),
        floor=floor,
        floor_basis=floor_basis,
        water_table=water_table,
        barrier=barrier,
        utilities=(),
        trees=(),
        boundary=(),
        network=plan.network,
        slips=tuple(sorted((*plan.slips, *slips), key=lambda slip: -slip.strength)),
        backdrop=backdrop,
        set_levels=sets.levels,
        notes=tuple(notes),
    )


def with_things(site: Site, job: Job) -> Site:
    """What was measured with all that stands or lies on the lot, or is planned there.

    Parameters
    ----------
    site : Site
        From ``measured``.
    job : Job
        The job.

    Returns
    -------
    Site
        As ``survey`` gives it.

    Raises
    ------
    JobError
        As ``survey``.
    """
    points = site.points
    draft = _Draft(points, site.surface, site.floor, site.walls)
    utilities = tuple(_set_utility(utility, n, draft) for n, utility in enumerate(job.utilities))
    site = replace(
        site,
        job=job,
        utilities=utilities,
        joined=joined_lines(job, points),
        trees=tuple(_set_tree(tree, n, job, draft) for n, tree in enumerate(job.trees)),
        boundary=tuple(
            plan_of(spot, points, f"property.boundary[{n}]") for n, spot in enumerate(job.property.boundary)
        ),
        notes=(*site.notes, *_unsupported(utilities, site.surface)),
    )
    strips = shaped_strips(site, job.works.shaping, site.outline, site.boundary, job.units)
    site = replace(site, shaped=strips)
    return replace(site, terrain=lie_of_the_land(site))


def _floor_basis(job: Job, points: Mapping[str, SitePoint]) -> Basis:
    fact = job.house.floor
    bases = [fact.basis]
    name = fact.value.reference
    if name is not None and name in points:
        bases.append(points[name].basis)
    elif name == "footing":
        bases += [wall.footing_bottom.basis for wall in job.house.walls]
    return least_sure(*bases)


__all__ = ["NOT_GROUND", "measured", "root_radius", "survey", "with_things"]
