"""The joint of the discharge line with a line that is there already: a wye between two flexible couplings."""

from __future__ import annotations

import math
from collections import Counter

from drainwright.build.fittings_count import kind_words
from drainwright.design import Design
from drainwright.paper.frame import (
    Column,
    Draft,
    View,
    detail_scale,
    further_tables,
    heading,
    notes,
    papers,
    stack,
    table,
)
from drainwright.paper.outlet_ends import HEAD, NAMES, PANEL
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, ScaledPart
from drainwright.paper.symbols import arrow, box, dimension, earth
from drainwright.paper.tags import tags_at
from drainwright.paper.wording import Wording
from drainwright.system.fittings import Fitting, cut_in
from drainwright.system.model import JoinedCapacity, SizedRun
from drainwright.system.outlets.ends import end_distances
from drainwright.system.trade import nominal_words, pipe_words

HALF = 0.44  # of the joined line, shown each side of the wye [m]
BED = 0.15  # ground shown below the joined line [m]
SLEEVE = 0.1  # drawn length of a flexible coupling [m]
WYE = math.pi / 4


def joint_drafts(design: Design, joined: JoinedCapacity, run: SizedRun, name: str, *, alone: bool) -> list[Draft]:
    """From above: the line that is there, and ours coming in with the stream; below it, cut across that line.

    Parameters
    ----------
    design : Design
        The designed job.
    joined : JoinedCapacity
        The line that is there.
    run : SizedRun
        Ours, which ends at it.
    name : str
        Of the sheet.
    alone : bool
        Whether it is the only line that joins there; else the title names it.

    Returns
    -------
    Draft
        To scale; the lengths of fittings are assumed.
    """
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    old, ground = joined.pipe, design.system.nodes[run.lower].ground
    low = run.invert_lower - old.wall - BED
    above, deep = HALF + old.outside / 2 + 0.12, max(ground, run.invert_lower + old.outside) + 0.08 - low
    room = (right - left - PANEL - NAMES - 20.0, top - bottom - 2 * HEAD - 12.0)
    scale = detail_scale(design.job.units, 2 * HALF, above + deep, room)
    middle = left + 6.0 + room[0] / 2
    x_text = left + room[0] + 14.0
    width = right - left - PANEL - 8.0
    plan = View(across=scale, up=scale, origin=(0.0, HALF), at=(middle, top - HEAD - 2.0))
    split = plan((0.0, HALF - above))[1] - 3.0
    cut = View(across=scale, up=scale, origin=(0.0, low + deep), at=(middle, split - HEAD - 2.0))
    marks, _ = heading(left, top, width, "From above")
    marks += _joint_above(design, joined, run, plan, x_text)
    name_at = f"Outlet {run.lower}, joint{'' if alone else f' of {run.name}'}"
    first = len(marks)
    parts = [ScaledPart(title=f"{name_at} from above", ratio=scale.ratio, end=first)]
    more, _ = heading(left, split, width, "Cut across the line that is there")
    marks += [*more, *_joint_cut(design, joined, run, cut, x_text)]
    parts.append(ScaledPart(title=f"{name_at} cut across", ratio=scale.ratio, first=first, end=len(marks)))
    word = Wording(design.job.units)
    fits = [*cut_in(run.pipe, old, design.system.nodes[run.lower])]
    counts = Counter((kind_words(fit), _sizes(fit, word)) for fit in fits)
    rows = [(f"{count}", *told) for told, count in counts.items()]
    columns = (Column("", 0.4), Column("kind", 2.6), Column("size", 2.0))
    blocks = [table("Fittings here", columns, rows, 2.1)] if rows else []
    panel, rest = stack([*blocks, notes(_joint_texts(design, joined, run))], right - PANEL, top, PANEL, bottom)
    title = f"Outlet {run.lower}: joint {'' if alone else f'of {run.name} '}with the line there"
    draft = Draft(
        name=name, title=title, scale=scale.words, paper=paper, marks=(*marks, *panel), scaled=tuple(parts),
        description=f"The joint of {run.name} with {joined.name}.",
    )  # fmt: skip
    return [draft, *further_tables(rest, word.units, name, title)]


def _joint_above(design: Design, joined: JoinedCapacity, run: SizedRun, view: View, x_text: float) -> list[Mark]:
    word, old, new = Wording(design.job.units), joined.pipe, run.pipe
    reach = HALF / math.cos(WYE) * 0.95
    way, aside = (-math.cos(WYE), math.sin(WYE)), (math.sin(WYE), math.cos(WYE))

    def across(start: float, end: float, half: float) -> tuple[Point, ...]:
        """A piece of our line, from and to along it, away from the joint."""
        corners = ((start, -half), (end, -half), (end, half), (start, half))
        return tuple(view((out * way[0] + off * aside[0], out * way[1] + off * aside[1])) for out, off in corners)

    marks: list[Mark] = [
        Polygon(layer="pipe", points=across(0.0, reach, new.outside / 2)),
        Polygon(layer="pipe", points=view.ring(-HALF, -old.outside / 2, HALF, old.outside / 2)),
    ]
    half, hub = new.outside / 2, old.outside / math.sin(WYE) + 0.03
    marks.append(Polygon(layer="fitting", points=across(hub, hub + SLEEVE / 2, new.outside / 2 + 0.006)))
    wide = old.outside / 2 + 0.008
    for middle in (-0.3, 0.2):
        a, b = view((middle - SLEEVE / 2, -wide)), view((middle + SLEEVE / 2, wide))
        marks.append(box("bar dark", a[0], a[1], b[0], b[1]))
    inner = 0.2 - SLEEVE / 2
    marks += arrow("curve", view((-0.22, 0.0)), view((inner - 0.03, 0.0)))
    tip, tail = (view((out * way[0], out * way[1])) for out in (hub + SLEEVE / 2 + 0.03, reach - 0.04))
    marks += arrow("curve", tail, tip)
    tags = [
        (
            view((0.75 * reach * way[0] + half * aside[0], 0.75 * reach * way[1] + half * aside[1])),
            f"{run.name} comes in with the stream",
            pipe_words(new, word.units),
            "text water",
        ),
        (view((0.06, old.outside / 2)), "wye, 45°", "its branch points downstream", "text"),
        (view((0.38, 0.0)), "the line that is there", pipe_words(old, word.units), "text"),
        (view((0.2, -old.outside / 2)), "flexible couplings, dark", "one each side of the wye", "text"),
    ]
    low, high = view((0.0, -old.outside / 2 - 0.1))[1], view((0.0, HALF))[1]
    return marks + tags_at(tags, view((HALF, 0.0))[0] + 1.0, x_text, low, high)


def _joint_cut(design: Design, joined: JoinedCapacity, run: SizedRun, view: View, x_text: float) -> list[Mark]:
    """Looking along the line that is there: its depth, and ours behind it."""
    word, old, new = Wording(design.job.units), joined.pipe, run.pipe
    ground, invert = design.system.nodes[run.lower].ground, run.invert_lower
    low = invert - old.wall - BED
    marks: list[Mark] = [Polygon(layer="soil", points=view.ring(-HALF, low, HALF, ground))]
    marks += earth((view((-HALF, ground)), view((HALF, ground))), 1.8, 7.0)
    marks.append(
        Polygon(layer="pipe", points=view.ring(-HALF, invert - new.wall, 0.0, invert - new.wall + new.outside))
    )
    centre = view((0.0, invert + old.inside / 2))
    marks += [
        Circle(layer="pipe", centre=centre, radius=view.up.on_paper(old.outside / 2)),
        Circle(layer="pipe void", centre=centre, radius=view.up.on_paper(old.inside / 2)),
    ]
    foot, crown = invert - old.wall, invert - old.wall + old.outside
    right = old.outside / 2 + 0.06
    if ground > crown + 0.02:
        marks += dimension(view((right, crown)), view((right, ground)), f"{word.small(ground - crown)} cover", -3.0)
    marks += dimension(view((-old.outside / 2, foot)), view((old.outside / 2, foot)), word.true(old.outside), -5.0)
    tags = [
        (view((HALF, ground)), f"ground {word.level(ground)}", "", "text"),
        (view((0.0, crown)), f"crown {word.level(crown)}", "outside, of the line that is there", "text"),
        (view((0.0, invert)), f"invert {word.level(invert)}", f"{run.name} ends at it", "text water"),
    ]
    bounds = (view((0.0, low))[1], view((0.0, ground))[1])
    return marks + tags_at(tags, view((HALF, 0.0))[0] + 1.0, x_text, *bounds)


def _joint_texts(design: Design, joined: JoinedCapacity, run: SizedRun) -> list[str]:
    word = Wording(design.job.units)
    texts = [
        "A wye is cut into the line between two flexible couplings, for neither end can be moved. Its branch points "
        "downstream, 45°. Lengths of the fittings are drawn as assumed: the maker's sheet has them.",
        f"{joined.name[:1].upper()}{joined.name[1:]}: falls {word.grade(joined.grade)}, carries "
        f"{word.flow(joined.capacity)} full; at the design rain {word.flow(joined.load)} comes together in it, "
        f"{word.flow(joined.pumped)} of it {'pumped' if run.pressure else 'from here'} ({joined.basis.value}).",
        f"The invert {word.level(run.invert_lower)} is the job's. Expose the line by hand first and measure its "
        "outside diameter, depth and fall; where they differ, stop and ask.",
    ]  # fmt: skip
    house, boundary = end_distances(design.site, design.system.nodes[run.lower].at)
    side = "the boundary is not known" if boundary is None else f"{word.length(boundary)} from the boundary"
    texts.append(f"{run.lower} lies {word.length(house)} from the house; {side}.")
    checked: dict[bool, list[str]] = {True: [], False: []}
    for station in design.system.stations if run.pressure else ():
        basin = design.job.works.basin_named(station.name)
        checked[basin is None or basin.check_valve].append(station.name)
    if checked[False]:
        texts.append(f"No check valve in {', '.join(checked[False])}: the line drains back into it.")
    if checked[True]:
        texts.append(
            f"Check valve and union stand in the basin ({', '.join(checked[True])}), not here: the sheets of its "
            "section and of its pump taken apart show them, and the relief hole, at their places."
        )
    texts.append("The line's owner and the local code say whether it may be joined, and who may cut it.")
    return texts


def _sizes(fit: Fitting, word: Wording) -> str:
    return " × ".join(nominal_words(pipe.nominal, word.units) for pipe in (fit.pipe, fit.end) if pipe is not None)


__all__ = ["joint_drafts"]
