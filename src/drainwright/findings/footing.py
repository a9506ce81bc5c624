"""Checks at the wall and the footing: depth of the drain, bearing wedge, state of the wall, ground slope, stone."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.build.panels import UNBALANCED, soil_against
from drainwright.build.protection import UNSURE
from drainwright.build.wording import lengths_rule
from drainwright.field.model import SiteWall
from drainwright.field.wall_slopes import FALL_AWAY
from drainwright.field.words import least_sure
from drainwright.findings.footing_room import BESIDE, SETTING_OUT, TIGHT, footing_margins, room_below
from drainwright.findings.grading import choose, in_conflict
from drainwright.findings.places import to_segment
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.shaping import shaped_at
from drainwright.findings.trenches import trench_name, trench_place
from drainwright.job.values import Basis
from drainwright.quantities import height_beside
from drainwright.system.model import SizedRun

FOOT = 0.3048
UNMEASURED = "not measured"  # figure of a wall where no shot tells the fall
UNDER, OVER, BEYOND = 2 * FOOT / 12, FOOT / 2, FOOT  # stone under and over a pipe, and beyond a footing: R405.1 [m]


def _drains(case: Case) -> Iterator[SizedRun]:
    return (run for run in case.system.runs if run.duty == "footing drain")


def _walls(case: Case, run: SizedRun) -> tuple[SiteWall, ...]:
    return tuple(wall for wall in case.site.walls if wall.name in run.walls)


@rule("FTG-01", "Drain below the floor", "irc_r405")
def below_floor(case: Case) -> Iterator[Outcome]:
    """A footing drain lies below what it keeps dry, at every point."""
    wanted, thing = case.floor_underside - case.job.criteria.drain_below_floor, case.floor_name
    for run in _drains(case):
        top = max(run.invert_upper, run.invert_lower)
        below = case.floor_underside - top
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
                f"The high end of {run.name} lies {figure}: it cannot keep the {thing} dry.",
                figure=figure,
                limit=limit,
                advice=choose(run.name)
                if in_conflict(case, run.name, {"clearance"})
                else f"Lower it by {case.small(top - wanted)}."
                if room_below(case.site, run) >= top - wanted
                else "It cannot go so low: the footing's bottom is in the way (FTG-02). The floor needs another remedy.",
                basis=case.site.floor_basis,
            )


@rule("FTG-02", "Drain not below the footing", "osha_651")
def not_below_footing(case: Case) -> Iterator[Outcome]:
    """The trench beside a footing stops at the footing's bottom."""
    for run in _drains(case):
        for item in footing_margins(case.site, run):
            wall, trench = item.wall, item.trench
            figure, limit = case.level(trench), f"{case.level(wall.footing_bottom)} or higher"
            where, basis = f"works.runs.{run.name}", wall.wall.footing_bottom.basis
            over = height_beside(max(item.margin, 0.0), case.small)
            if item.tight and item.margin >= -SETTING_OUT and basis in UNSURE:
                yield caution(
                    where,
                    f"The trench of {run.name} ends {over} the bottom of the {wall.name} footing at {item.corner}: no room "
                    "for a footing that lies higher, or for a spade too deep.",
                    figure=f"{figure}, {over} it",
                    limit=f"{case.small(TIGHT)} over {case.level(wall.footing_bottom)}",
                    advice=f"Dig a test hole at {item.corner} and measure the footing's bottom before the trench comes near "
                    "it; raise the drain if it lies higher. Dig the last of it by hand, by rod, never below the footing.",
                    basis=basis,
                )
            elif item.tight and item.margin >= -SETTING_OUT:
                text = (
                    f"The trench of {run.name} ends {over} the bottom of the {wall.name} footing, where it was measured, at "
                    f"{item.corner}: the last of it is dug by hand, by rod, never below the footing."
                )
                yield ok(where, text, figure=f"{figure}, {over} it", limit=limit, basis=basis)
            elif trench >= wall.footing_bottom - SETTING_OUT:
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
        widest = max(walls, key=lambda wall: wall.wall.footing_projection.value).wall.footing_projection
        offset = chosen[run.name].beside_offset
        needed = widest.value + max(run.pipe.outside, run.pipe.envelope) / 2
        figure = f"{case.small(offset)} from the wall; the footing stands out {case.small(widest.value)}"
        limit = f"{case.small(needed)} or more from the wall"
        where = f"works.runs.{run.name}"
        if offset >= needed - 1e-6:
            yield ok(where, f"{run.name} lies beside the footing.", figure=figure, limit=limit, basis=widest.basis)
        else:
            yield fails(
                where,
                f"{run.name} would lie on top of the footing: too high to hold water below the floor.",
                figure=figure,
                limit=limit,
                advice=f"Move it out by {case.small(needed - offset)}.",
                basis=widest.basis,
            )


@rule("FTG-12", "Drain no higher than the footing's top", "common_practice")
def not_above_footing(case: Case) -> Iterator[Outcome]:
    """A drain that climbs above its footing takes the water only when it has risen past the footing."""
    for run in _drains(case):
        where = f"works.runs.{run.name}"
        for wall in _walls(case, run):
            near = [item for item in run.stations if to_segment(item.at, wall.start, wall.end) <= BESIDE]
            if not near:
                continue
            above = max(item.invert for item in near) - wall.footing_top
            basis = wall.wall.footing_bottom.basis
            figure = f"{case.small(abs(above))} {'above' if above > 0 else 'below'} it"
            limit = "at or below the footing's top"
            if above <= SETTING_OUT:
                text = f"{run.name} lies beside the {wall.name} footing all along."
                yield ok(where, text, figure=figure, limit=limit, basis=basis)
            else:
                yield caution(
                    where,
                    f"{run.name} climbs {case.small(above)} above the top of the {wall.name} footing at its upper end: "
                    "it holds the water there no lower than that.",
                    figure=figure,
                    limit=limit,
                    advice="Split the drain so that it falls both ways, give it less fall under a laser, or accept it "
                    "where the floor lies well above.",
                    basis=basis,
                )


@rule("FTG-04", "Footing's bearing wedge", "bearing_wedge")
def wedge(case: Case) -> Iterator[Outcome]:
    """No digging inside the 45-degree wedge below a footing."""
    slope = case.job.criteria.bearing_slope
    walls = {wall.name: wall for wall in case.site.walls}
    runs = {run.name for run in case.system.runs}
    digs = {trench.name: trench for trench in case.build.dig.trenches}
    for item in case.build.dig.wedges:
        if item.below_footing <= SETTING_OUT:
            continue
        away = f"{case.length(item.below_footing * slope)} or more"
        remedy = f"Keep its edge {away} from the footing's edge"
        if item.item in runs:
            where, thing = f"works.runs.{item.item}", f"The trench of {item.item}"
        elif item.item in walls:
            where, thing = f"house.walls.{item.item}", f"The digging along the {item.item} wall"
            remedy = (
                f"End the opened wall {away} short of that footing, with a point on it that parts it into two walls"
            )
        else:
            where, thing = trench_place(case, digs[item.item]), trench_name(digs[item.item])
        basis = walls[item.wall].wall.footing_bottom.basis
        figure = f"{case.length(item.below_footing)} below the {item.wall} footing, {case.length(item.offset)} away"
        limit = f"{case.length(item.allowed_below)} below at that distance"
        if item.inside:
            yield fails(
                where,
                f"{thing} enters the ground that carries the footing of the {item.wall} wall.",
                figure=figure,
                limit=limit,
                advice=f"{remedy}, make it shallower, or ask a licensed engineer.",
                basis=basis,
            )
        else:
            text = f"{thing} stays out of the ground that carries the {item.wall} footing."
            yield ok(where, text, figure=figure, limit=limit, basis=basis)


@rule("FTG-08", "State of the wall", "common_practice")
def wall_state(case: Case) -> Iterator[Outcome]:
    """A wall that bows or cracks is looked at by an engineer before the soil is taken from it."""
    for wall in case.site.walls:
        if not wall.wall.open_and_coat:
            continue
        where, state = f"house.walls.{wall.name}", wall.wall.condition
        if state == "bowed" or wall.wall.material == "stone":
            why = "bows" if state == "bowed" else "is of stone"
            seen = state if state == "bowed" else f"stone, {state}"
            yield fails(
                where,
                f"The {wall.name} wall {why}: taking the soil from it may bring it down.",
                figure=seen,
                limit="sound, and not of stone",
                advice="Have a licensed engineer look at it and say how to shore it before anyone digs.",
            )
        elif wall.wall.material == "brick":
            seen = {"sound": "", "cracked": " and cracked", "unknown": ", and nobody has looked at it"}[state]
            parged = "" if wall.wall.coating.parge or wall.wall.coating.kind == "none" else ", the face parged (R406.1)"
            yield caution(
                where,
                f"The {wall.name} wall is of brick{seen}: it has no steel in it, and its joints may be soft.",
                figure=f"brick, {state}",
                limit=f"sound, with its joints pointed{parged}, before a coat",
                advice="Try the joints with a key from outside; soft or open ones are raked out and pointed with a mortar no "
                f"harder than the brick's own{parged} before any coat. Where a joint crumbles deep, or the wall is cracked, "
                "a licensed engineer looks first. Pointing is not in the price: give it an allowance (offer.allowances).",
                basis=Basis.ASSUMED if state == "unknown" else Basis.MEASURED,
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
    """A wall with 4 ft of soil against it or more, or one that is not sound, is never bared whole."""
    panel = case.build.dig.wall_panel
    dug = {trench.name for trench in case.build.dig.trenches if trench.kind == "wall"}
    dug |= {name for run in _drains(case) for name in run.walls}
    for wall in case.site.walls:
        if wall.name not in dug:
            continue
        where, basis = f"house.walls.{wall.name}", wall.wall.footing_bottom.basis
        soil = f"{case.length(soil_against(wall, case.site))} of soil against it"
        if wall.length > panel > 0:
            yield caution(
                where,
                f"The {wall.name} wall is {case.length(wall.length)} long: {lengths_rule(case.length(panel))}.",
                figure=f"{case.length(wall.length)}, {soil}",
                limit=f"{case.length(panel)} open in one piece",
                advice="Never with wet soil or a load on the other side; stop if the wall moves.",
                basis=basis,
            )
        elif panel == 0:
            yield ok(
                where,
                f"The {wall.name} wall is sound and may be opened whole, to its footing and no deeper.",
                figure=soil,
                limit=f"less than {case.length(UNBALANCED)}",
                basis=basis,
            )


@rule("FTG-10", "Ground slope away from the house", "irc_r401")
def ground_slope(case: Case) -> Iterator[Outcome]:
    """The ground falls 6 in in the first 10 ft from the wall, all along it; nearer to a lot line, at that slope."""
    terrain = case.site.terrain
    for wall in terrain.wall_slopes if terrain is not None else ():
        where, needed = f"house.walls.{wall.wall}", FALL_AWAY * wall.reach
        limit = f"{case.small(needed)} down in {case.length(wall.reach)}"
        sections = [shaped_at(case, wall.wall, along) for along in wall.station]
        shaped = [item for item in sections if item is not None]
        known = [
            item
            for item, section in zip(zip(wall.fall, wall.run, wall.station, strict=True), sections, strict=True)
            if item[1] > 0.0 and section is None
        ] + [(item.fall, item.run, item.station) for item in shaped if item.run > 0.0]
        part = "" if not shaped else "as shaped" if len(shaped) == len(sections) else "in part as shaped"
        if not known:
            yield caution(
                where,
                f"Nobody measured how the ground falls away from the {wall.wall} wall.",
                figure=UNMEASURED,
                limit=limit,
                advice=f"Take shots at the wall and {case.length(wall.reach)} out from it.",
                basis=Basis.ASSUMED,
            )
            continue
        fall, run, along = min(known, key=lambda item: item[0] / item[1])
        amount, way = case.small(abs(fall)), "down" if fall >= 0 else "UP"
        flat = amount.startswith("0 ")
        figure = f"level for {case.length(run)}" if flat else f"{amount} {way} in {case.length(run)}"
        if part:
            least = min((fell / far for fell, far in zip(wall.fall, wall.run, strict=True) if far > 0.0), default=0.0)
            figure += f", {part}; today {case.grade(abs(least))} {'down' if least >= 0.0 else 'UP'} at the least"
        if fall / run >= FALL_AWAY - 1e-6:
            message = f"The ground falls away from the {wall.wall} wall{f', {part}' if part else ''}."
            yield ok(where, message, figure=figure, limit=limit, basis=wall.basis)
        else:
            way = "falls toward" if fall < 0 and not flat else "hardly falls away from"
            yield caution(
                where,
                f"The ground {way} the {wall.wall} wall, most of all {case.length(along)} along it: surface water goes "
                "to the footing.",
                figure=figure,
                limit=limit,
                advice=f"Grade the ground to fall {case.small(needed)} in {case.length(wall.reach)}, or lead the water to "
                "a swale or inlet at 2 % or more.",
                basis=wall.basis,
            )


@rule("FTG-11", "Stone round the drain", "irc_r405")
def stone(case: Case) -> Iterator[Outcome]:
    """The code's section of stone: under and over the pipe, above the footing's top and out beyond its edge.

    Stone over the footing is judged at the drain's mean height, for its top is brought up level while the pipe falls.
    """
    offsets = {run.name: run.beside_offset for run in case.job.works.runs}
    limit = (
        f"{case.small(UNDER)} under the pipe, {case.small(OVER)} over it and over the footing's top, "
        f"{case.small(BEYOND)} beyond the footing"
    )
    for run in _drains(case):
        if run.stone_width <= 0 or run.pipe.envelope > 0:
            continue
        parts = [f"{case.small(run.stone_under)} under", f"{case.small(run.stone_over)} over"]
        enough = run.stone_under >= UNDER - 1e-6 and run.stone_over >= OVER - 1e-6
        walls = _walls(case, run)
        basis = Basis.MEASURED
        if walls:
            middle = (run.invert_upper + run.invert_lower) / 2
            top = middle + run.pipe.inside + run.pipe.wall + run.stone_over - max(wall.footing_top for wall in walls)
            parts.append(f"{case.small(abs(top))} {'above' if top >= 0 else 'below'} the footing's top")
            enough = enough and top >= OVER - SETTING_OUT
            basis = least_sure(*(wall.wall.footing_thickness.basis for wall in walls))
            if run.name in offsets:
                edge = max(wall.wall.footing_projection.value for wall in walls)
                out = offsets[run.name] + run.stone_width / 2 - edge
                parts.append(f"{case.small(max(0.0, out))} beyond it")
                enough = enough and out >= BEYOND - SETTING_OUT
        where, figure = f"works.runs.{run.name}", ", ".join(parts)
        if enough:
            yield ok(where, f"{run.name} has the code's stone round it.", figure=figure, limit=limit, basis=basis)
        else:
            yield caution(
                where,
                f"{run.name} has less stone round it than a new house's code asks for.",
                figure=figure,
                limit=limit,
                advice="Bring the stone up and out to the limit, or say in the contract that this is a repair and not the "
                "new-house section, and ask the inspector first.",
                basis=basis,
            )
