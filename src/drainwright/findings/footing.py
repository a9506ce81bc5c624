"""Checks at the wall and the footing: depth of the drain, bearing wedge, coating, ground slope."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.field.model import SiteWall
from drainwright.findings.outlet import to_segment
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.system.model import SizedRun

FOOT = 0.3048


def _drains(case: Case) -> Iterator[SizedRun]:
    return (run for run in case.system.runs if run.duty == "footing drain")


def _walls(case: Case, run: SizedRun) -> tuple[SiteWall, ...]:
    return tuple(wall for wall in case.site.walls if wall.name in run.walls)


@rule("FTG-01", "Drain below the floor", "irc_r405")
def below_floor(case: Case) -> Iterator[Outcome]:
    """A footing drain lies below what it keeps dry, at every point."""
    house = case.job.house
    wanted = case.site.floor - house.floor_thickness - case.job.criteria.drain_below_floor
    thing = "crawl-space soil" if house.floor_kind == "crawl space" else "underside of the floor"
    for run in _drains(case):
        top = max(run.invert_upper, run.invert_lower)
        below = case.site.floor - house.floor_thickness - top
        figure = f"{case.small(abs(below))} {'below' if below >= 0 else 'above'} the {thing}"
        limit = f"{case.small(case.job.criteria.drain_below_floor)} or more below"
        where = f"works.runs.{run.name}"
        if top <= wanted + 1e-6:
            yield ok(
                where, f"{run.name} lies below the {thing}.", figure=figure, limit=limit, basis=case.site.floor_basis
            )
        else:
            yield fails(
                where,
                f"The high end of {run.name} lies {figure}: it cannot keep the floor dry.",
                figure=figure,
                limit=limit,
                advice="Lower it; if the footing's bottom is in the way, the floor needs another remedy.",
                basis=case.site.floor_basis,
            )


@rule("FTG-02", "Drain not below the footing", "osha_651")
def not_below_footing(case: Case) -> Iterator[Outcome]:
    """The trench beside a footing stops at the footing's bottom."""
    for run in _drains(case):
        for wall in _walls(case, run):
            near = [station for station in run.stations if to_segment(station.at, wall.start, wall.end) <= 0.75]
            if not near:
                continue
            trench = min(station.ground - station.cut for station in near)
            figure, limit = case.level(trench), f"{case.level(wall.footing_bottom)} or higher"
            where, basis = f"works.runs.{run.name}", wall.wall.footing_bottom.basis
            if trench >= wall.footing_bottom - 0.003:
                text = f"The trench of {run.name} stays above the bottom of the {wall.name} footing."
                yield ok(where, text, figure=figure, limit=limit, basis=basis)
            else:
                yield fails(
                    where,
                    f"The trench of {run.name} goes {case.small(wall.footing_bottom - trench)} below the {wall.name} footing: the "
                    "wall can settle, and people below it are in danger.",
                    figure=figure,
                    limit=limit,
                    advice="Raise the drain. Digging below a footing needs underpinning designed by a licensed engineer.",
                    basis=basis,
                )


@rule("FTG-03", "Drain beside the footing", "common_practice")
def beside(case: Case) -> Iterator[Outcome]:
    """A footing drain lies beside the footing, not on top of it."""
    chosen = {run.name: run for run in case.job.works.runs}
    for run in _drains(case):
        walls = _walls(case, run)
        if not walls or run.name not in chosen:
            continue
        projection = max(wall.wall.footing_projection.value for wall in walls)
        gap = chosen[run.name].beside_offset - projection - max(run.pipe.outside, run.pipe.envelope) / 2
        figure = (
            f"{case.small(chosen[run.name].beside_offset)} from the wall, footing {case.small(projection)} wide there"
        )
        where = f"works.runs.{run.name}"
        if gap >= -1e-6:
            yield ok(where, f"{run.name} lies beside the footing.", figure=figure, limit="clear of the footing")
        else:
            yield fails(
                where,
                f"{run.name} would lie on top of the footing: too high to hold water below the floor.",
                figure=figure,
                limit="clear of the footing",
                advice=f"Move it out by {case.small(-gap)}.",
            )


@rule("FTG-04", "Footing's bearing wedge", "bearing_wedge")
def wedge(case: Case) -> Iterator[Outcome]:
    """No digging inside the 45-degree wedge below a footing."""
    slope = case.job.criteria.bearing_slope
    for item in case.build.dig.wedges:
        if item.below_footing <= 0:
            continue
        is_basin = case.system.station is not None and item.item == case.system.station.name
        where = "works.basin" if is_basin else f"works.runs.{item.item}"
        figure = f"{case.length(item.below_footing)} below the footing, {case.length(item.offset)} away"
        limit = f"{case.length(item.allowed_below)} below at that distance"
        if item.inside:
            thing = "The basin's hole" if is_basin else f"The trench of {item.item}"
            yield fails(
                where,
                f"{thing} enters the ground that carries the footing of the {item.wall} wall.",
                figure=figure,
                limit=limit,
                advice=f"Move it {case.length(item.below_footing * slope)} or more from the footing, make it shallower, or ask "
                "a licensed engineer.",
            )
        else:
            yield ok(where, f"{item.item} stays out of the {item.wall} footing's wedge.", figure=figure, limit=limit)


@rule("FTG-05", "Damp-proofing where water stands", "irc_r406")
def water_against_wall(case: Case) -> Iterator[Outcome]:
    """Damp-proofing resists no standing water; high ground water asks for waterproofing."""
    table = case.site.water_table
    fact = case.job.ground.water_table
    for wall in case.site.walls:
        if not wall.wall.open_and_coat or wall.wall.coating.kind == "none":
            continue
        where, kind = f"house.walls.{wall.name}", wall.wall.coating.kind
        if table is None or fact is None:
            if kind == "damp-proofing":
                yield caution(
                    where,
                    f"Nobody knows how high ground water stands at the {wall.name} wall; damp-proofing resists none.",
                    figure=kind,
                    limit="waterproofing where water stands above the floor",
                    advice="Look for mottles and standing water in a test pit, in the wet season.",
                    basis=Basis.ASSUMED,
                )
            continue
        figure = f"{kind}; water at {case.level(table)}"
        limit = f"waterproofing where water stands above the floor, {case.level(case.site.floor)}"
        if kind == "waterproofing":
            yield ok(where, f"The {wall.name} wall is waterproofed.", figure=figure, limit=limit, basis=fact.basis)
        elif table > case.site.floor:
            yield fails(
                where,
                f"Ground water stands above the floor at the {wall.name} wall, and only damp-proofing is planned.",
                figure=figure,
                limit=limit,
                advice="Waterproof the wall (R406.2), and never call a damp-proofing coat waterproof.",
                basis=fact.basis,
            )
        elif table > wall.footing_bottom:
            yield caution(
                where,
                f"Without the drain, ground water stands against the foot of the {wall.name} wall, below the floor. The coat "
                "alone does nothing lasting: the drain must work.",
                figure=figure,
                limit=limit,
                advice="Keep the drain maintained; offer waterproofing as the better choice.",
                basis=fact.basis,
            )
        else:
            yield ok(
                where, f"No water stands against the {wall.name} wall.", figure=figure, limit=limit, basis=fact.basis
            )


@rule("FTG-06", "Top of the coating", "common_practice")
def coating_top(case: Case) -> Iterator[Outcome]:
    """A wall coat ends 1 to 2 in above the final grade."""
    for wall in case.site.walls:
        if not wall.wall.open_and_coat or wall.wall.coating.kind == "none":
            continue
        top = wall.wall.coating.top_above_grade
        figure, limit = case.small(top), "1 to 2 in above the final grade"
        where = f"house.walls.{wall.name}"
        if 0.0253 <= top <= 0.0509:
            yield ok(where, f"The coat of the {wall.name} wall ends above the ground.", figure=figure, limit=limit)
        else:
            yield caution(
                where,
                f"The coat of the {wall.name} wall ends {figure} above the final grade.",
                figure=figure,
                limit=limit,
                advice="Higher shows and weathers; lower lets water behind it.",
            )


@rule("FTG-07", "Coating without a drain", "common_practice")
def coat_needs_drain(case: Case) -> Iterator[Outcome]:
    """A coat does nothing lasting without a drain to take the water away."""
    drained = {name for run in _drains(case) for name in run.walls}
    for wall in case.site.walls:
        if not wall.wall.open_and_coat:
            continue
        where = f"house.walls.{wall.name}"
        if wall.name in drained:
            yield ok(where, f"A drain lies along the coated {wall.name} wall.", figure="drain", limit="drain")
        else:
            yield fails(
                where,
                f"The {wall.name} wall is opened and coated, but no drain lies along it.",
                figure="none",
                limit="a footing drain",
                advice="Lay a footing drain along it while it is open.",
            )


@rule("FTG-08", "State of the wall", "common_practice")
def wall_state(case: Case) -> Iterator[Outcome]:
    """A wall that bows or cracks is looked at by an engineer before the soil is taken from it."""
    for wall in case.site.walls:
        if not wall.wall.open_and_coat:
            continue
        where, state = f"house.walls.{wall.name}", wall.wall.condition
        if state == "bowed" or wall.wall.material == "stone":
            why = "bows" if state == "bowed" else "is of stone"
            yield fails(
                where,
                f"The {wall.name} wall {why}: taking the soil from it may bring it down.",
                figure=state,
                limit="sound",
                advice="Have a licensed engineer look at it and say how to shore it before anyone digs.",
            )
        elif state in ("cracked", "unknown"):
            yield caution(
                where,
                f"The {wall.name} wall is {'cracked' if state == 'cracked' else 'not looked at yet'}.",
                figure=state,
                limit="sound",
                advice="Look at it from inside and outside; stepped or wide cracks go to an engineer first.",
                basis=Basis.MEASURED if state == "cracked" else Basis.ASSUMED,
            )
        else:
            yield ok(where, f"The {wall.name} wall is sound.", figure=state, limit="sound")


@rule("FTG-09", "Wall opened in short lengths", "common_practice")
def panels(case: Case) -> Iterator[Outcome]:
    """A long block wall is never opened whole at once."""
    panel = case.build.dig.wall_panel
    for wall in case.site.walls:
        if wall.wall.open_and_coat and wall.length > panel > 0:
            yield caution(
                f"house.walls.{wall.name}",
                f"The {wall.name} wall is {case.length(wall.length)} long: open it {case.length(panel)} at a time, alternate "
                "lengths, and close each before the next.",
                figure=case.length(wall.length),
                limit=f"{case.length(panel)} open at once",
                advice="Never with wet soil or a load on the other side; stop if the wall moves.",
            )


@rule("FTG-10", "Ground slope away from the house", "irc_r401")
def ground_slope(case: Case) -> Iterator[Outcome]:
    """The ground falls 6 in in the first 10 ft from the wall."""
    reach, needed = 10 * FOOT, 6 * 0.0254
    for wall in case.site.walls:
        east = (wall.start[0] + wall.end[0]) / 2
        north = (wall.start[1] + wall.end[1]) / 2
        far = (east + wall.outward[0] * reach, north + wall.outward[1] * reach)
        near = (east + wall.outward[0] * 0.05, north + wall.outward[1] * 0.05)
        if not case.site.surface.supported(*far):
            continue
        fall = case.site.surface.level(*near) - case.site.surface.level(*far)
        figure = f"{case.small(abs(fall))} {'down' if fall >= 0 else 'UP'} in {case.length(reach)}"
        limit = f"{case.small(needed)} down"
        where = f"house.walls.{wall.name}"
        if fall >= needed - 1e-6:
            yield ok(where, f"The ground falls away from the {wall.name} wall.", figure=figure, limit=limit)
        else:
            way = "falls toward" if fall < 0 else "hardly falls away from"
            yield caution(
                where,
                f"The ground {way} the {wall.name} wall: surface water goes to the footing.",
                figure=figure,
                limit=limit,
                advice="Grade the ground to fall 6 in in 10 ft, or lead the water to a swale or inlet at 2 % or more.",
            )


@rule("FTG-11", "Stone round the drain", "irc_r405")
def stone(case: Case) -> Iterator[Outcome]:
    """Two inches under the pipe and six over it; a new house's code asks for more beside the footing."""
    for run in _drains(case):
        if run.stone_width <= 0 or run.pipe.envelope > 0:
            continue
        figure = f"{case.small(run.stone_under)} under, {case.small(run.stone_over)} over"
        limit = f"{case.small(0.0508)} under, {case.small(0.1524)} over"
        where = f"works.runs.{run.name}"
        if run.stone_under >= 0.0508 - 1e-6 and run.stone_over >= 0.1524 - 1e-6:
            yield ok(where, f"{run.name} has its stone.", figure=figure, limit=limit)
        else:
            yield caution(
                where,
                f"{run.name} has less stone round it than the code's {limit}.",
                figure=figure,
                limit=limit,
                advice="Say in the contract that this is a repair and not the new-house section, and ask the inspector first.",
            )
