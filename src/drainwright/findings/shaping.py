"""Checks of shaped ground: what must stay clear of earth, how it runs out, whose water it sends where, coat, roots."""

from __future__ import annotations

import math
from collections.abc import Iterator

from drainwright.field.model import SiteTree
from drainwright.field.shaping import BANK, ShapedSection, ShapedStrip
from drainwright.field.terrain_model import WayOn
from drainwright.field.words import least_sure
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.job.works import MOST_FALL

HAIR = 0.003  # levels are set out no better [m]
NEAR, FAR = (
    0.6096,
    2.0,
)  # finished ground off today's at a wall: to 2 ft is usual, beyond 2 m is a slip; common practice
DEEP_OVER_ROOTS = 0.0508  # 2 in of fill over roots is let pass; common practice, no source [m]


def _where(strip: ShapedStrip) -> str:
    return f"works.shaping.{strip.name}"


def _called(strip: ShapedStrip) -> str:
    return f"the shaped ground at the {strip.wall.name} wall"


@rule("GRD-08", "Earth clear of siding, framing and openings", "irc_r317")
def clearance(case: Case) -> Iterator[Outcome]:
    """Finished ground stays below siding, framing, weep screed, vents and window wells by what the code asks."""
    for strip in case.site.shaped:
        where, told = _where(strip), [item for item in strip.sections if item.highest is not None]
        basis = least_sure(strip.basis, *(item.level.basis for item in strip.wall.wall.keep_clear))
        if not told:
            yield caution(
                where,
                f"Nobody measured what {_called(strip)} must stay below: siding, framing, weep screed, vents, window wells.",
                figure="not measured",
                limit="siding 6 in, framing 8 in clear of earth" if case.job.units == "US" else
                "siding 150 mm, framing 200 mm clear of earth",
                advice="Read the level of the lowest of them at each end of the wall, and enter it (keep_clear) before "
                "any fill is ordered.",
                basis=Basis.ASSUMED,
            )  # fmt: skip
            continue
        worst = min(told, key=lambda item: (item.highest or 0.0) - item.wall_level)
        room = (worst.highest or 0.0) - worst.wall_level
        figure = f"{case.level(worst.wall_level)} at {case.length(worst.station)} along it"
        limit = f"{case.level(worst.highest or 0.0)} at most there, for the {worst.clear_of}"
        if room < -HAIR:
            yield fails(
                where,
                f"The start level of {_called(strip)} stands {case.small(-room)} too high against the {worst.clear_of}.",
                figure=figure,
                limit=limit,
                advice="Lower 'start_level', or leave it out and let it be designed; lead the water off by a swale or a "
                "drain where the fall is then wanting.",
                basis=basis,
            )
        else:
            message = f"{_called(strip).capitalize()} stays clear of the {worst.clear_of}."
            yield ok(where, message, figure=figure, limit=limit, basis=basis)


@rule("GRD-09", "Shaped ground runs out within its width", "irc_r401")
def runs_out(case: Case) -> Iterator[Outcome]:
    """The finished ground meets today's at the strip's edge; where it lies lower there, a swale must lead water off."""
    for strip in case.site.shaped:
        where = _where(strip)
        worst = max(strip.sections, key=lambda item: item.ground_edge - item.edge_level)
        low = worst.ground_edge - worst.edge_level
        limit = f"meets the ground {case.length(worst.run)} out"
        figure = f"{case.small(max(low, 0.0))} below the ground at the edge"
        steep = max((item.fall / item.run for item in strip.sections if item.run > 0.0), default=0.0)
        if steep > MOST_FALL + 1e-9:
            yield fails(
                where,
                f"{_called(strip).capitalize()} falls at {case.grade(steep)}: fill so steep slips and washes off.",
                figure=case.grade(steep),
                limit=f"1 in {1 / MOST_FALL:g} at most",
                advice="Lower 'start_level', or make the strip wider.",
                basis=strip.basis,
            )
        elif any(item.bank is None for item in strip.sections):
            yield fails(
                where,
                f"{_called(strip).capitalize()} does not run out: its edge lies {case.small(low)} below the ground, and no "
                f"bank of 1 in {BANK:g} reaches the ground there.",
                figure=figure,
                limit=limit,
                advice="Make the strip wider, start it higher where that keeps clear of the siding, or set a drain along it.",
                basis=strip.basis,
            )
        elif not worst.runs_out:
            yield caution(
                where,
                f"The ground beyond rises: the edge of {_called(strip)} is a swale, with a bank "
                f"{case.length(worst.bank or 0.0)} wide at 1 in {BANK:g}. How the swale falls along the wall is not designed.",
                figure=figure,
                limit=limit,
                advice="Give the swale 2 % along its bottom to an inlet or off the lot, or make the strip wider.",
                basis=strip.basis,
            )
        else:
            message = f"{_called(strip).capitalize()} runs out on to the ground within its width."
            yield ok(where, message, figure=figure, limit=limit, basis=strip.basis)


@rule("GRD-10", "Where water goes from shaped ground", "d_infinity")
def sent_on(case: Case) -> Iterator[Outcome]:
    """Water is not sent to a neighbour or to another wall unsaid; it is followed over today's ground from the edge."""
    terrain = case.site.terrain
    limit = "to an inlet, or off without reaching a wall or the neighbour"
    for strip in case.site.shaped if terrain is not None else ():
        ways = [way for way in terrain.shaped_ways if way.name == strip.name] if terrain is not None else []
        where = _where(strip)
        bad = [words for way in ways if (words := _bad(way))]
        if not ways or any(way.kind == "beyond the shots" for way in ways):
            bad.append("beyond the last shots, where nobody measured")
        if bad:
            yield caution(
                where,
                f"Water from {_called(strip)} goes {listed(list(dict.fromkeys(bad)))}.",
                figure=f"{len(bad)} of {max(len(ways), len(bad))} ways",
                limit=limit,
                advice="Lead it off by a swale or an inlet; ask before more water than now goes over a boundary. The storm "
                "test knows yard areas only as they are entered.",
                basis=Basis.ASSUMED,
            )
        else:
            goes = listed(list(dict.fromkeys(way.to for way in ways)))
            message = f"Water from {_called(strip)} goes to {goes}."
            yield ok(where, message, figure=f"to {goes}", limit=limit, basis=strip.basis)


@rule("GRD-11", "Start level near today's ground", "common_practice")
def near_the_ground(case: Case) -> Iterator[Outcome]:
    """A start level that stands feet over or under the surveyed ground is mostly a figure read wrong."""
    for strip in case.site.shaped:
        worst = max(strip.sections, key=lambda item: abs(item.wall_level - item.ground_wall))
        off = worst.wall_level - worst.ground_wall
        where, usual = _where(strip), case.length(NEAR)
        figure = f"{case.length(abs(off))} {'over' if off >= 0 else 'under'} today's ground"
        limit = f"within {usual} (common practice)"
        if abs(off) > NEAR:
            words = (
                f"At the wall {_called(strip)} stands {case.length(abs(off))} {'over' if off >= 0 else 'under'} the "
                f"surveyed ground, {case.length(worst.station)} along it"
            )
            told = caution if abs(off) <= FAR else fails
            yield told(
                where,
                f"{words}." if abs(off) <= FAR else f"{words}: no such strip is built by hand.",
                figure=figure,
                limit=limit,
                advice="Read 'start_level' again, its benchmark too, and shoot the ground at that wall before any fill is "
                "ordered.",
                basis=strip.basis,
            )
        else:
            message = f"{_called(strip).capitalize()} starts near today's ground."
            yield ok(where, message, figure=figure, limit=limit, basis=strip.basis)


def _bad(way: WayOn) -> str:
    if way.walls or way.kind == "wall":
        return f"to the {listed(list(way.walls) or [way.to])} wall"
    if way.kind == "boundary":
        return f"over the {way.to}"
    return f"to a low spot that keeps it ({way.to})" if way.kind == "low spot" else ""


@rule("FTG-13", "Coat up to the finished ground", "irc_r406")
def coat_to_grade(case: Case) -> Iterator[Outcome]:
    """Earth that is raised against a wall lies on a coat: it is carried up to the finished ground."""
    for strip in case.site.shaped:
        top = max(strip.sections, key=lambda item: item.wall_level - item.ground_wall)
        rise = top.wall_level - top.ground_wall
        if rise <= HAIR:
            continue
        where, figure = f"house.walls.{strip.wall.name}", f"raised by {case.small(rise)}"
        limit = "coated to the finished ground"
        if strip.wall.wall.open_and_coat and strip.wall.wall.coating.kind != "none":
            message = f"The coat of the {strip.wall.name} wall is counted up to the shaped ground."
            yield ok(where, message, figure=figure, limit=limit, basis=strip.basis)
        else:
            yield caution(
                where,
                f"Fill is raised against the {strip.wall.name} wall, which is not coated in this job: rain in it wets the wall.",
                figure=figure,
                limit=limit,
                advice="Bare the wall a hand's breadth below today's ground, clean it, and coat it to "
                f"{case.small(0.0254)} over the finished ground before the fill comes.",
                basis=strip.basis,
            )


@rule("DIG-21", "Buried lines under shaped ground", "common_practice")
def lines_under(case: Case) -> Iterator[Outcome]:
    """Cover changes over lines under a strip: less where it is cut, and their boxes and shutoffs must stay reachable."""
    for strip in case.site.shaped:
        for name, change, top, basis in _under(case, strip):
            figure = f"{case.small(abs(change))} {'more' if change >= 0 else 'LESS'} cover at its worst place"
            limit = "no less cover than today"
            thin = change < -HAIR
            advice = (
                "Have it marked and found by hand before topsoil is stripped: " + ("keep its cover. " if thin else "")
                + "bring valve boxes, meters and cleanouts up to the finished ground; bury none."
            )  # fmt: skip
            deep = "at an unknown depth" if top is None else f"{case.length(max(top, 0.0))} deep after it"
            words = f"The {name} lies under {_called(strip)}, {deep}."
            yield caution(_where(strip), words, figure=figure, limit=limit, advice=advice, basis=basis)


def _under(case: Case, strip: ShapedStrip) -> Iterator[tuple[str, float, float | None, Basis]]:
    """Lines under a strip: name, least change of cover, least cover after it (None: unknown). [m]"""
    import shapely

    shape = shapely.Polygon(strip.outline)
    for line in case.site.utilities:
        route = shapely.LineString(line.route)
        inside = route.intersection(shape)
        if inside.is_empty:
            continue
        changes: list[float] = []
        for along in (0.5 * n for n in range(int(route.length / 0.5) + 1)):
            at = route.interpolate(along)
            level = strip.level_at((at.x, at.y))
            if level is not None:
                changes.append(level - case.site.surface.level(at.x, at.y))
        if changes:
            depth, change = line.utility.depth, min(changes)
            yield (
                line.utility.name, change, None if depth is None else depth.value + change, line.utility.depth_basis
            )  # fmt: skip


@rule("DIG-22", "Fill over roots", "common_practice")
def over_roots(case: Case) -> Iterator[Outcome]:
    """Fill over a root zone shuts the air off: roots die, and in years the tree."""
    for tree in case.site.trees:
        over = [(strip, deep) for strip in case.site.shaped if (deep := _over_roots(case, strip, tree)) is not None]
        if not over or not tree.tree.keep:
            continue
        deepest = max(deep for _, deep in over)
        bad = [strip for strip, deep in over if deep > DEEP_OVER_ROOTS]
        where = f"trees.{tree.tree.name}"
        figure, limit = f"{case.small(max(deepest, 0.0))} of fill", f"{case.small(DEEP_OVER_ROOTS)} at most"
        basis = least_sure(*(strip.basis for strip in bad or [strip for strip, _ in over]))
        if bad:
            walls = list(dict.fromkeys(strip.wall.name for strip in bad))
            yield caution(
                where,
                f"Fill at the {listed(walls)} wall{'s' * (len(walls) > 1)} covers roots of {tree.tree.name}: it shuts the air "
                "off, and they die.",
                figure=figure,
                limit=limit,
                advice="Keep the strip out of the root zone, or ask an arborist; never pile fill against a trunk.",
                basis=basis,
            )
        else:
            message = f"Little fill comes over the roots of {tree.tree.name}."
            yield ok(where, message, figure=figure, limit=limit, basis=basis)


def _over_roots(case: Case, strip: ShapedStrip, tree: SiteTree) -> float | None:
    """Deepest fill of a strip within a tree's root zone; None where the strip keeps off it. [m]"""
    import shapely

    if not shapely.Point(tree.at).buffer(tree.root_radius).intersects(shapely.Polygon(strip.outline)):
        return None
    return max(
        (
            level - case.site.surface.level(east, north)
            for east, north in _grid(strip)
            if math.dist((east, north), tree.at) <= tree.root_radius
            and (level := strip.level_at((east, north))) is not None
        ),
        default=0.0,
    )


def _grid(strip: ShapedStrip) -> Iterator[tuple[float, float]]:
    out = strip.wall.outward
    for item in strip.sections:
        for share in (0.02, 0.25, 0.5, 0.75, 0.98):
            yield (item.foot[0] + share * item.run * out[0], item.foot[1] + share * item.run * out[1])


def shaped_at(case: Case, wall: str, station: float) -> ShapedSection | None:
    """The nearest section of the strip that covers a place along a wall; None where it stays as it is."""
    for strip in case.site.shaped:
        if strip.wall.name == wall and strip.covers(station):
            return min(strip.sections, key=lambda item: abs(item.station - station))
    return None


__all__ = [
    "clearance",
    "coat_to_grade",
    "lines_under",
    "near_the_ground",
    "over_roots",
    "runs_out",
    "sent_on",
    "shaped_at",
]
