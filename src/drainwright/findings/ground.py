"""Checks of the lie of the land: where water stands, whose ground drains where, and what comes in or comes back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import dist

from drainwright.field.model import Plan
from drainwright.field.points import inside
from drainwright.field.terrain_model import LowSpot, RunOn, Terrain, WayOn
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.quantities import System, percent, write
from drainwright.water.causes import yard_size

STANDS = 0.0254  # water less deep than an inch dries by itself; common practice, no source [m]
AT_BOTTOM = 0.0127  # a grate within half an inch of the lowest ground is at it; common practice, no source [m]
LITTLE = 0.1  # of the yard area entered: an inlet that gets less hardly gets any; common practice, no source [-]
APART = 1.0 / 3.0  # between the area entered and the ground that drains there; common practice, no source [-]
BESIDE = 2.0  # a shot proposed so near to a low spot's bottom is for it [m]
BARE = 0.05  # of the lot beyond the shots: less does not matter; common practice, no source [-]
COMES_IN = 3.0  # a shorter stretch of boundary with no ground measured beyond is let pass [m]


def _where(spot: LowSpot, case: Case) -> str:
    return f"survey.points.{spot.name}" if spot.name in case.site.points else "survey.points"


def _called(spot: LowSpot, case: Case) -> str:
    """A low spot in a sentence."""
    if spot.name in case.site.points:
        return f"the low spot at {spot.name}"
    return f"the low spot at {_told(case, spot.at)}"


def _place(case: Case, at: Plan) -> str:
    """A place as the job document gives it: east, then north."""
    unit = "ft" if case.job.units == "US" else "m"
    return f'"{", ".join(write(value, "length", case.job.units, unit) for value in at)}"'


def _told(case: Case, at: Plan) -> str:
    """A place in a sentence, for whoever goes there: ``52.64 ft east, 3.31 ft north``."""
    east, north = (write(abs(value), "length", case.job.units, "ft" if case.job.units == "US" else "m") for value in at)
    return f"{east} {'east' if at[0] >= 0 else 'west'}, {north} {'north' if at[1] >= 0 else 'south'}"


def _on_the_lot(case: Case, at: Plan) -> bool:
    boundary = case.site.boundary
    return len(boundary) < 3 or inside(boundary, at)


def _about(value: float, units: System) -> str:
    """A length that is known by the cells of the ground: whole feet, or tenths of a metre."""
    us = units == "US"
    return write(value, "length", units, "ft" if us else "m", 0 if us else 1)


def _area(case: Case, value: float) -> str:
    return write(value, "area", case.job.units)


def _basis(spot: LowSpot) -> Basis:
    return Basis.MEASURED if spot.sure else Basis.ASSUMED


@rule("GRD-01", "Water standing against a wall", "common_practice")
def at_the_wall(case: Case) -> Iterator[Outcome]:
    """A low spot that touches a wall stands full against it."""
    terrain = case.site.terrain
    if terrain is None or not case.site.walls:
        return
    limit = "no water against a wall"
    touching = [spot for spot in terrain.low_spots if spot.walls]
    for spot in touching:
        called = _called(spot, case)
        walls = f"the {listed(spot.walls)} wall" + ("s" if len(spot.walls) > 1 else "")
        figure = f"{case.small(spot.depth)} deep when it is full"
        if spot.inlet is None:
            yield fails(
                _where(spot, case),
                f"{called[0].upper()}{called[1:]} touches {walls}: rain stands against the house, and no inlet takes it.",
                figure=figure,
                limit=limit,
                advice="Fill it so that the ground falls away from the wall, or set an inlet at its lowest place.",
                basis=_basis(spot),
            )
        else:
            yield caution(
                _where(spot, case),
                f"{called[0].upper()}{called[1:]} touches {walls}: when {spot.inlet} clogs, water stands against the house.",
                figure=figure,
                limit=limit,
                advice="Fill it so that the ground falls away from the wall, and keep the grate clean until then.",
                basis=_basis(spot),
            )
    if not touching:
        yield ok("survey.points", "No low spot of the measured ground touches a wall.", figure="none does", limit=limit)


@rule("GRD-02", "Low spots with an inlet", "common_practice")
def low_spots(case: Case) -> Iterator[Outcome]:
    """Water stands in a low spot until an inlet or a ditch takes it; one beyond the boundary is not the owner's."""
    terrain = case.site.terrain
    if terrain is None:
        return
    limit = f"an inlet, or less than {case.small(STANDS)} deep"
    standing = [
        spot for spot in terrain.low_spots if spot.inlet is None and spot.depth >= STANDS and _on_the_lot(case, spot.at)
    ]
    for spot in standing:
        called = _called(spot, case)
        yield caution(
            _where(spot, case),
            f"{called[0].upper()}{called[1:]} has no inlet: {case.volume(spot.volume)} stand there before it spills.",
            figure=f"{case.small(spot.depth)} deep, {_area(case, spot.area)}",
            limit=limit,
            advice=f"Set an inlet at {_place(case, spot.at)}, or fill the place.",
            basis=_basis(spot),
        )
    if not standing:
        figure = "none without an inlet"
        yield ok(
            "survey.points", "No low spot of the lot that matters is without an inlet.", figure=figure, limit=limit
        )


@rule("GRD-03", "Inlets where the water comes", "common_practice")
def inlets(case: Case) -> Iterator[Outcome]:
    """An inlet stands at the lowest place, or water runs to it of itself."""
    terrain = case.site.terrain
    if terrain is None:
        return
    for inlet in case.job.works.inlets:
        node = case.system.nodes.get(inlet.name)
        if node is None or inlet.kind == "cleanout" or not case.site.surface.supported(*node.at):
            continue
        where = f"works.inlets.{inlet.name}"
        spot = next((item for item in terrain.low_spots if item.inlet == inlet.name), None)
        above = 0.0 if spot is None else case.site.surface.level(*node.at) - spot.bottom
        drains = terrain.area_to(inlet.name)
        gets = 0.0 if drains is None else drains.area + drains.beyond
        entered = _entered(case, inlet.name)
        if spot is not None and above > AT_BOTTOM:
            yield caution(
                where,
                f"{inlet.name} stands {case.small(above)} above the lowest place of its low spot: so deep water stays.",
                figure=f"{case.small(above)} above, {case.length(dist(node.at, spot.at))} away",
                limit=f"within {case.small(AT_BOTTOM)} of the lowest place",
                advice=f"Move it to {_place(case, spot.at)}.",
                basis=_basis(spot),
            )
        elif gets < LITTLE * entered:
            yield caution(
                where,
                f"Hardly any ground drains to {inlet.name}: the shots show {_area(case, gets)}, {_area(case, entered)} "
                "are entered. It stands on a slope, and water runs past it.",
                figure=f"{_area(case, gets)} drain to it",
                limit=f"at least {percent(LITTLE)} of the area entered",
                advice="Shape a shallow swale across the slope that leads to it, set a channel grate, or move it to where "
                "the ground gathers the water.",
            )
        else:
            yield ok(
                where,
                f"Water runs to {inlet.name} of itself.",
                figure=f"{_area(case, gets)} drain to it",
                limit=f"at least {percent(LITTLE)} of the area entered",
            )


def _entered(case: Case, inlet: str) -> float:
    """Yard areas on the lot that the job leads to an inlet, but for those read off the ground [m²]."""
    return sum(
        yard_size(case.site, yard)
        for yard in case.job.yards
        if yard.to == inlet and not yard.from_ground and not yard.beyond
    )


@rule("GRD-04", "Yard areas against the ground", "d_infinity")
def yard_areas(case: Case) -> Iterator[Outcome]:
    """The yard area that is entered agrees with the ground that drains to its inlet."""
    terrain = case.site.terrain
    if terrain is None:
        return
    for inlet in case.job.works.inlets:
        entered, drains = _entered(case, inlet.name), terrain.area_to(inlet.name)
        if entered <= 0.0 or drains is None or drains.area < LITTLE * entered:
            continue  # what hardly gets any water is GRD-03's
        off = abs(drains.area - entered) / entered
        figure = f"{_area(case, entered)} entered, {_area(case, drains.area)} by the shots"
        limit = f"within {percent(APART)} of each other"
        where = f"works.inlets.{inlet.name}"
        if off <= APART:
            yield ok(where, f"The yard area of {inlet.name} agrees with the ground.", figure=figure, limit=limit)
            continue
        more = drains.area > entered
        yield caution(
            where,
            f"To {inlet.name} drain {_area(case, drains.area)} of the lot by the shots, every low spot full; "
            f"{_area(case, entered)} are entered."
            + (
                " Its inflow is counted too low."
                if more
                else " How much more drains in from beyond the last shots nobody measured."
                if drains.cut_off
                else " Its inflow is counted on the safe side."
            ),
            figure=figure,
            limit=limit,
            advice="Walk it in the rain. Then mend the outline of the yard area, or let it be read off the ground "
            "(from_ground: true).",
        )


@rule("GRD-05", "Water from beyond the boundary", "d_infinity")
def run_on(case: Case) -> Iterator[Outcome]:
    """Water that comes in over the boundary is counted where it reaches the works or the house."""
    terrain = case.site.terrain
    if terrain is None or not terrain.bounded:
        return
    limit = "counted by a yard area beyond the boundary"
    reaching = [item for item in terrain.run_on if _reaches(terrain, item.goes_to) and item.length >= COMES_IN]
    for item, count in _by_side(case, reaching):
        figure = f"{_about(item.length, case.job.units)} of the {item.side}"
        over = figure + (f", in {count} stretches," if count > 1 else "")
        goes = listed([name for name in item.goes_to if _reaches(terrain, [name])])
        if _counted(case, item):
            message = f"Water comes in over {over} and goes to {goes}; a yard area counts ground beyond the boundary."
            yield ok("property.boundary", message, figure=figure, limit=limit)
            continue
        if item.only_spills:
            yield caution(
                "property.boundary",
                f"Over {over} water would come in and go to {goes}, but only when the low spot beyond the boundary is "
                "full and spills.",
                figure=figure,
                limit=limit,
                advice="Look in heavy rain whether it fills: a street's gutter mostly runs on past the last shot. Then "
                "take a shot where it runs on.",
                basis=Basis.ASSUMED,
            )
            continue
        known = (
            f"at least {_area(case, item.area)} of ground beyond drain in" if item.area >= 1.0
            else "how much ground lies above it nobody measured"
        )  # fmt: skip
        yield caution(
            "property.boundary",
            f"Water comes in over {over} and goes to {goes}: {known}, and no yard area counts it.",
            figure=figure,
            limit=limit,
            advice="Look over the fence after rain and take shots there; enter what drains in as a yard area with "
            "'beyond: true'. Water may not be dammed back on to a neighbour without asking.",
            basis=Basis.MEASURED if item.area >= 1.0 else Basis.ASSUMED,
        )
    if not reaching and terrain.bare > BARE * terrain.lot_area:
        yield caution(
            "property.boundary",
            f"Whether water comes in over the boundary is not known: {_area(case, terrain.bare)} of the lot lie beyond the "
            "shots.",
            figure="not measured",
            limit=limit,
            advice="Take shots along the boundary, first on the uphill side, and look over the fence after rain.",
            basis=Basis.ASSUMED,
        )
    elif not reaching:
        message = "By the shots no water comes in over the boundary that reaches an inlet or stands on the lot."
        yield ok("property.boundary", message, figure="none comes in", limit=limit)


def _by_side(case: Case, stretches: Sequence[RunOn]) -> list[tuple[RunOn, int]]:
    """Stretches of one side of which the same is to be said, taken together; and how many each is."""
    alike: dict[tuple[str, bool, bool], list[RunOn]] = {}
    for item in stretches:
        alike.setdefault((item.side, item.only_spills, _counted(case, item)), []).append(item)
    return [(_together(items), len(items)) for items in alike.values()]


def _together(items: Sequence[RunOn]) -> RunOn:
    ends = dict.fromkeys(end for item in items for end in item.goes_to)
    return replace(
        items[0],
        length=sum(item.length for item in items),
        area=sum(item.area for item in items),
        spilled=sum(item.spilled for item in items),
        goes_to={end: sum(item.goes_to.get(end, 0.0) for item in items) for end in ends},
    )


def _counted(case: Case, item: RunOn) -> bool:
    """Whether a yard area takes the ground beyond in: by name, or because it is read off surveyed ground."""
    yards = [yard for yard in case.job.yards if yard.to in item.goes_to]
    return any(yard.beyond or (yard.from_ground and item.area >= 1.0) for yard in yards)


def _reaches(terrain: Terrain, names: Iterable[str]) -> bool:
    """Whether water that ends at one of these ends at an inlet, or at a wall."""
    ends = {area.to for area in terrain.drained if area.kind in ("inlet", "wall")}
    return any(name in ends for name in names)


@rule("GRD-06", "Water let out stays away", "d_infinity")
def let_out(case: Case) -> Iterator[Outcome]:
    """Water that is let out on the ground does not come back to the house or to an inlet."""
    terrain = case.site.terrain
    for way in terrain.ways_on if terrain is not None else ():
        if way.name != case.system.discharge:
            continue
        where, limit = f"works.discharge.{way.name}", "away from the house and the inlets"
        message, length = way_words(way, case.job.units), _about(way.length, case.job.units)
        if way.comes_back:
            yield fails(
                where,
                message,
                figure=f"comes back after {length}",
                limit=limit,
                advice="Let it out where the ground falls away from the house, or shape the ground so that it does.",
            )
        elif way.kind == "low spot":
            yield caution(
                where,
                message,
                figure="stands in a low spot",
                limit=limit,
                advice="Let it out lower down, or open the low spot with a swale.",
            )
        else:
            known = way.kind == "boundary"
            end = "over the boundary" if known else "to where the shots end"
            yield ok(
                where,
                message,
                figure=f"{length} followed, {end}",
                limit=limit,
                basis=Basis.MEASURED if known else Basis.ASSUMED,
            )


def way_words(way: WayOn, units: System) -> str:
    """Where the water goes that is let out on the ground, in a sentence, as far as it was followed.

    Parameters
    ----------
    way : WayOn
        Its way.
    units : {"US", "SI"}
        Of the job.

    Returns
    -------
    str
    """
    run = _about(way.length, units)
    if way.comes_back:
        to = way.to if way.kind == "inlet" else f"the {listed(way.walls)} wall" if way.walls else "the wall"
        return f"Water let out at {way.name} comes back: over {run} of ground it runs to {to}."
    if way.kind == "low spot":
        return f"Water let out at {way.name} runs {run} and stands in the low spot at {way.to}."
    if way.kind == "boundary":
        return f"Water let out at {way.name} runs {run} over the ground and away, over the boundary."
    return (
        f"Water let out at {way.name} was followed for {run}, to where the shots end; beyond that nothing is measured."
    )


@rule("GRD-07", "Low spots that are sure", "delaunay")
def sure(case: Case) -> Iterator[Outcome]:
    """A low spot of one shot may be a slip of the rod, or a gap between shots; one beyond the lot bears on nothing."""
    terrain = case.site.terrain
    if terrain is None:
        return
    for spot in terrain.low_spots:
        if not _on_the_lot(case, spot.at) and not spot.walls:
            continue
        called, figure = _called(spot, case), f"{case.small(spot.depth)} deep"
        if spot.sure:
            message = f"{called[0].upper()}{called[1:]} rests on more than one shot."
            yield ok(_where(spot, case), message, figure=figure, limit="seen by two shots or more")
        else:
            near = (
                item for item in terrain.next_shots if item.bears_on == "survey" and dist(item.at, spot.at) < BESIDE
            )
            shot = next(near, None)
            yield caution(
                _where(spot, case),
                f"{called[0].upper()}{called[1:]} is not sure. {spot.why_unsure}",
                figure=figure,
                limit="seen by two shots or more",
                advice="Read the rod there once more, and "
                + (f"at {_told(case, shot.at)}." if shot is not None else "at a second place beside it."),
                basis=Basis.ASSUMED,
            )


__all__ = ["at_the_wall", "inlets", "let_out", "low_spots", "run_on", "sure", "way_words", "yard_areas"]
