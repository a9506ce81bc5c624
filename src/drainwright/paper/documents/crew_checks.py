"""Quality checkpoints: what is measured and photographed before it is covered up, with the design's limits."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from drainwright.build.backfill import backfills
from drainwright.build.coating import CoatedWall, coated_walls
from drainwright.build.exposure import Exposure, exposures
from drainwright.build.laying import hose_head
from drainwright.build.levels import STEP
from drainwright.build.trench import Cut, cuts
from drainwright.design import Design
from drainwright.job.site import Wall
from drainwright.paper.basin_notes import collar_size
from drainwright.paper.documents.blocks import Block, Heading, Notice, Slot, Slots
from drainwright.paper.documents.hazards import test_holes_of
from drainwright.paper.documents.say import Say, joined
from drainwright.system.freeze_relief import freeze_reliefs
from drainwright.system.model import SizedRun
from drainwright.system.outlets.end_model import PipeEnd
from drainwright.worksheet import quiet

#: Of a pressure line, before its outlet is made and its cover comes.
JOINTS, DRY = "joints, a plug at each end", "pumped: joints dry for 15 min, before the outlet is made"
SAME = 0.003  # levels nearer than this are one by rod [m]

Check = tuple[str, str, str]  # at what, measure, wanted


def check_blocks(design: Design) -> tuple[Block, ...]:
    """The checkpoints, each with room for value, initials and time, and with a numbered photo slot."""
    slots = tuple(
        Slot(number=f"{number}", what=what, measure=measure, wanted=wanted)
        for number, (what, measure, wanted) in enumerate(checkpoints(design), start=1)
    )
    return (
        Heading(text="Quality checkpoints", new_page=True),
        Notice(
            tone="plain", title="What is covered up cannot be shown later",
            text="Measure, write and photograph each before it is covered: tape or rod in the picture. Out of the "
            "limit: stop, mend it, measure again. Name the picture by its number.",
        ),
        Slots(
            heads=("Before it is covered", "Wanted", "Value · initials · time", "Photo"), items=slots,
        ),
    )  # fmt: skip


def to_photograph(design: Design) -> tuple[str, ...]:
    """The checkpoints in words, in the order of their numbers: what the proof of a finished job asks pictures of."""
    return tuple(f"{what}: {measure}" for what, measure, _ in checkpoints(design))


def checkpoints(design: Design) -> tuple[Check, ...]:
    """All checkpoints of this job's own works, in the order of the building.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of (str, str, str)
        At what, what to measure, and the design's limit in the job's units.
    """
    say = Say(design.job.units)
    with quiet():
        coats = coated_walls(design.site)
        opened = {cut.name: cut for cut in cuts(design.site, design.system) if cut.kind == "wall"}
    found: list[Check] = [
        (f"Test hole at {corner}", "footing's bottom by rod, before any trench is dug", f"{say.level(level)} or lower")
        for corner, level in test_holes_of(design).items()
    ]
    for coat in coats:
        found += _wall(design, coat, opened, say)
    found += _layers([coat.wall.wall for coat in coats])
    for run in design.system.runs:
        found += _run(design, run, say)
    found += _basins(design, say)
    found += [
        (
            f"Soakaway {soak.name}", "levels of bottom and stone, before the fabric is closed",
            f"bottom {say.level(soak.bottom)}, level and loose; stone to {say.level(soak.top)}",
        )
        for soak in design.system.soaks
    ]  # fmt: skip
    found += [
        (
            f"Outlet {fall.name}: stone apron", "length, width at its far end, fabric below",
            f"{say.small(fall.apron_built)} long, {say.small(fall.apron_width)} wide"
            + (f"; stone {say.small(fall.stone)} or larger" if fall.stone > 0 else ""),
        )
        for fall in design.system.outfalls
        if fall.apron_built > 0
    ]  # fmt: skip
    found += [_end(end, say) for end in design.system.ends]
    lifts = [item for item in backfills(design.site, design.system, design.build.dig.trenches) if item.lifts]
    if lifts:
        deepest = max(item.lift for item in lifts)
        found.append(("Backfill", "loose lift before it is tamped, in two places", f"{say.small(deepest)} at most"))
    found.append(
        (
            "Hose test", "water at each inlet, one after the other; ground at the house by rod, before and after",
            _hose_seen(design),
        )
    )  # fmt: skip
    return tuple(found)


def _hose_seen(design: Design) -> str:
    """What the hose test shows: nothing runs out at a soakaway, which is closed all round."""
    closed = {soak.name for soak in design.system.soaks}
    ways = design.system.ways_out
    if closed.issuperset(ways):
        return f"goes away into {joined(ways)}, none stands under a grate; ground falls away, no pond stays"
    if closed.intersection(ways):
        return "seen running at the outlet or going away into the soakaway; ground falls away, no pond stays"
    return "seen running at the outlet; ground falls away, no pond stays"


def _end(end: PipeEnd, say: Say) -> Check:
    """What is measured at a pipe's end before anybody leaves."""
    if end.form == "air gap":
        return (
            f"Outlet {end.name}: air gap", "clear air by tape, before it is closed",
            f"{say.small(end.gap_least)} or more above the receiver's rim",
        )  # fmt: skip
    if end.form == "kerb hole":
        return (
            f"Outlet {end.name}: kerb hole", "invert above the gutter; concrete over the hole",
            f"{say.small(end.height)}; {say.small(max(end.over_core, 0.0))} ({end.kerb_basis.value})",
        )  # fmt: skip
    if end.form == "pop-up emitter":
        return (
            f"Outlet {end.name}: pop-up emitter",
            "lid's level by rod; it lifts",
            say.level(end.ground + end.height),
        )
    return (f"Outlet {end.name}: open end", "invert by rod; guard on", say.level(end.invert))


def _along_face(coat: CoatedWall, digs: Mapping[str, Cut]) -> tuple[float, float]:
    """Lowest and highest level of the dig's bottom along an opened wall's face; where two digs meet, the lower [m].

    Past its corners nobody holds a rod to a wall's own bottom: there the next one's dig goes on.
    """
    from shapely import Point

    cut, long = digs[coat.wall.name], coat.wall.length
    start, end = np.array(coat.wall.start), np.array(coat.wall.end)
    others = [other for other in digs.values() if other is not cut]
    levels = []
    for at, own in zip(cut.points, cut.bottom.tolist(), strict=True):
        along = float((at - start) @ (end - start)) / long
        if not 0.0 <= along <= long:
            continue
        met = [other.bottom_at(at) for other in others if other.area.intersects(Point(at))]
        if met or STEP <= along <= long - STEP:  # nearer to its end the drain's line may stop short of a sample
            levels.append(min([own, *met]))
    levels = levels or cut.bottom.tolist()
    return min(levels), max(levels)


def _bottom(coat: CoatedWall, digs: Mapping[str, Cut], say: Say) -> tuple[str, str]:
    """What of an opened wall's bottom can be measured, and what is wanted: the footing's where all is bared."""
    footing = coat.wall.footing_bottom
    low, high = _along_face(coat, digs)
    if high <= footing + SAME:
        return "footing bottom by rod; cracks", f"{say.level(footing)}, nothing dug below it"
    ends = list(dict.fromkeys((say.level(low), say.level(high))))
    return (
        "the dig's bottom by rod, lowest and highest; cracks",
        f"{' to '.join(ends)}, nothing dug below the footing's bottom, {say.level(footing)}",
    )


def _wall(design: Design, coat: CoatedWall, digs: Mapping[str, Cut], say: Say) -> list[Check]:
    wall, coating = coat.wall.wall, coat.wall.wall.coating
    panel = design.build.dig.wall_panel
    opened = f"odd lengths first, {say.length(panel)} at most each" if panel > 0 else "no crack, no bow"
    measure, wanted = _bottom(coat, digs, say)
    found = [(f"Wall {wall.name}: opened, clean", measure, f"{wanted}; {opened}")]
    if coating.kind != "none" and coat.area > 0:
        found.append(
            (
                f"Wall {wall.name}: {coating.kind}",
                f"wet film by gauge, each coat; height of its top{'; each length by itself' if panel > 0 else ''}",
                f"{coating.coats} coats, {say.film(coat.volume / coat.area)} wet in all (assumed: the can's sheet "
                f"rules), no gaps; {say.small(coating.top_above_grade)} above the ground",
            )
        )  # fmt: skip
    return found


def _layers(walls: list[Wall]) -> list[Check]:
    """Parging below the coats and board over them, of all walls that have them."""
    parged = [wall.name for wall in walls if wall.coating.parge]
    boarded = [wall.name for wall in walls if wall.coating.board]
    found: list[Check] = []
    if parged:
        found.append((f"Parging: {joined(parged)}", "cover of block and joints", "two coats, cove at the footing, set"))
    if boarded:
        found.append((f"Board: {joined(boarded)}", "laps, foot on the footing", "no gap, whole before the stone"))
    return found


def _gap_seen(one: Exposure) -> str:
    """How the gap from a pipe to a buried line is checked."""
    if one.covered:
        return "line left covered, dug no deeper than the bed: gap from pipe to line by its depth on the sheet"
    if one.footing is not None:
        return "gap from pipe to line, its depth measured away from the footing"
    return "gap from pipe to line, both bare"


def _run(design: Design, run: SizedRun, say: Say) -> list[Check]:
    lines = [item for item in design.build.dig.crossings if item.run == run.name and item.crossing]
    how = {one.meeting.mark: _gap_seen(one) for one in exposures(design.site, design.build.dig)}
    found: list[Check] = [
        (
            f"Run {run.name} at {item.utility}",
            how[item.mark],
            "depth unknown before: level it, then lay"
            if item.clearance is None
            else f"{say.small(max(item.clearance, 0.0))} by design",
        )
        for item in lines
    ]
    knots = [one.start for one in run.stretches[1:]]
    breaks = [say.level_number(place.invert) for place in run.stations if place.distance in knots]
    ends = " to ".join((say.level_number(run.invert_upper), *breaks, say.level(run.invert_lower)))
    where = "start, grade break and end" if breaks else "both inverts"
    head = f"water in the hose {say.length(hose_head(design.system))} over its highest joint"
    fall = f"{DRY}; {head}" if run.pressure else f"fall {say.laid(run)}"
    many = sum(place.fitted and place.run == run.name for place in design.system.cleanouts)
    plugs = f"; {many} {'cleanout' if many == 1 else 'cleanouts'}" if many else ""
    found.append(
        (
            f"Run {run.name}: bed and pipe", f"rod on {where}; {JOINTS if run.pressure else 'fall of each stick'}",
            f"inverts {ends}; {fall}{plugs}",
        )
    )  # fmt: skip
    found += [
        (
            f"Run {run.name}: freeze relief",
            f"by tape from {run.upper} along the line; open to the air, nothing over it",
            f"{say.length(relief.along)}; squirting there means the line beyond is frozen or blocked",
        )
        for relief in freeze_reliefs(design.system) if relief.run == run.name
    ]  # fmt: skip
    if run.stone_width > 0:
        wrap = "fabric lapped over" if run.fabric else "no fabric"
        found.append((f"Run {run.name}: stone", "stone over the pipe", f"{say.small(run.stone_over)}, {wrap}"))
    return found


def _basins(design: Design, say: Say) -> list[Check]:
    found: list[Check] = []
    for station in design.system.by_house:
        floats = "; ".join(
            f"{say.small(station.float_levels[name] - station.floor)} {word}"
            for name, word in (("off", "stops"), ("on", "starts"), ("second on", "second pump"), ("alarm", "alarm"))
            if name in station.float_levels
        )
        found.append(
            (f"Basin {station.name} set", "inside floor by rod; bubble both ways", say.level(station.floor)),
        )
        if station.collar > 0:
            wide, tall = collar_size(station)
            found.append(
                (f"Basin {station.name}: collar", "width and height all round", f"{say.small(wide)}, {say.small(tall)}")
            )
        holes = sum(hole.node == station.name for hole in design.build.takeoff.holes)
        if holes:
            found.append((f"Basin {station.name}: holes", "gaskets seated, lid fits", f"{holes} holes, tight"))
        if station.uplift > 0:
            found.append(
                (f"Basin {station.name}: start-up", "backfill round it", "in and tamped before it is first pumped down")
            )
        found.append((f"Basin {station.name}: pump", "float heights over the floor, water in", floats))
    return found


__all__ = ["check_blocks", "checkpoints", "to_photograph"]
