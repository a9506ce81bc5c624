"""How the water leaves: the line's end in the open with its apron, or its joint with a line that is there already."""

from __future__ import annotations

import math

import numpy as np

from drainwright.design import Design
from drainwright.paper.frame import Draft, View, detail_scale, further_tables, heading, notes, papers, stack, words
from drainwright.paper.measure import READ, text_width
from drainwright.paper.outlet_ends import HEAD, NAMES, PANEL, end_drafts, sizes_block
from drainwright.paper.outlet_joint import joint_drafts
from drainwright.paper.sheet import Circle, Mark, Polygon, ScaledPart
from drainwright.paper.symbols import arrow, dimension, earth, hatch, line, stone
from drainwright.paper.tags import Tag, tags_at
from drainwright.paper.wording import Wording
from drainwright.system.fittings import discharge_of
from drainwright.system.model import SizedRun
from drainwright.system.outlets.ends import bare_length
from drainwright.system.outlets.outfall_model import Outfall
from drainwright.system.trade import pipe_words

LEAST, MOST = 0.8, 4.0  # of the line, shown before its end [m]
AFTER = 0.5  # ground shown after the end or the apron [m]
BELOW = 0.3  # and below it [m]
SIDE = 0.3  # each side of the end, seen from the front [m]
UNDER = 0.2  # ground shown below it there [m]
EDGE = 0.1  # each side of the apron, seen from above [m]


def outlet_drafts(design: Design) -> list[Draft]:
    """The detail of each end of pipe, and of the joint with an existing line.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``outlet``, then ``outlet-2`` and so on. Soakaways have sections of their own.
    """
    sheets: list[list[Draft]] = []  # those of each way out together
    runs = {run.name: run for run in design.system.runs}
    for fall in design.system.outfalls:
        if fall.run in runs and fall.kind == "daylight":
            sheets.append(_open_end(design, fall, runs[fall.run], _name(len(sheets) + 1)))
    for end in design.system.ends:
        if end.form != "open end":
            sheets.append(end_drafts(design, end, _name(len(sheets) + 1)))
    for outlet in (design.system.discharge, *design.system.joints):
        joined = design.system.joined_at(outlet)
        coming = [run for run in design.system.runs if run.lower == outlet]
        point = discharge_of(design.system.nodes[outlet], design.job) if coming else None
        if joined is None or (point is not None and point.air_gap):
            continue
        for run in coming:
            sheets.append(joint_drafts(design, joined, run, _name(len(sheets) + 1), alone=len(coming) == 1))
    return [draft for each in sheets for draft in each]


def guarded(design: Design, fall: Outfall) -> bool:
    """Whether an open end has an animal guard: the job may leave it out."""
    return next((end.guard for end in design.system.ends if end.name == fall.name), True)


def _name(number: int) -> str:
    return "outlet" if number == 1 else f"outlet-{number}"


def _ground_at(design: Design, run: SizedRun, along: float) -> float:
    """Level of the ground along a run, and straight on after its end. [m]"""
    if along <= 0.0:
        s = [station.distance for station in run.stations]
        return float(np.interp(run.length + along, s, [station.ground for station in run.stations]))
    (x0, y0), (x1, y1) = run.route[-2:]
    long = math.dist((x0, y0), (x1, y1))
    return design.site.surface.level(x1 + (x1 - x0) / long * along, y1 + (y1 - y0) / long * along)


def _open_end(design: Design, fall: Outfall, run: SizedRun, name: str) -> list[Draft]:
    """Cut along the pipe: its last stretch, the ground it meets, the apron; below it from above, or from the front."""
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    bare, apron = bare_length(run), fall.apron_built
    shown = min(max(bare + 0.4, LEAST), MOST, run.length)
    after = apron + AFTER
    low = min(run.invert_lower, _ground_at(design, run, after)) - max(BELOW, fall.apron_thickness + 0.15)
    high = max(_ground_at(design, run, -shown), run.invert_lower + run.pipe.outside) + 0.15
    wide = fall.apron_width + 2 * EDGE if apron > 0 else run.pipe.outside + 2 * UNDER
    room = (right - left - NAMES - 22.0, (top - bottom - 2 * HEAD - 20.0))
    scale = detail_scale(design.job.units, shown + after, high - low + wide, room)
    stub = min(shown, LEAST)
    if apron > 0:  # from above it stands beside the panel
        beside = detail_scale(
            design.job.units, stub + apron, high - low + wide, (right - left - PANEL - NAMES - 32.0, room[1])
        )
        scale = max(scale, beside, key=lambda one: one.ratio)
    spare = max(0.0, room[1] - scale.on_paper(high - low + wide)) / 4 if apron > 0 else 0.0  # above and between
    at = (left + 8.0, top - HEAD - 6.0 - spare - scale.on_paper(high - low))
    view = View(across=scale, up=scale, origin=(-shown, low), at=at)
    ends = (left, right)
    marks, _ = heading(left, top, right - left, f"Cut along {run.name}")
    marks += _along(design, fall, run, view, (-shown, after, low), (at[1], top - HEAD - 4.0 - spare), ends)
    parts = [ScaledPart(title=f"Outlet {fall.name}, cut along {run.name}", ratio=scale.ratio, end=len(marks))]
    first, foot = len(marks), at[1] - 12.0 - spare
    if apron > 0:
        more, _ = heading(left, foot, right - left - PANEL - 8.0, "From above")
        middle = foot - HEAD - scale.on_paper(wide / 2)
        above = View(across=scale, up=scale, origin=(-stub, 0.0), at=(at[0], middle))
        marks += more + _apron_above(design, fall, run, above, stub)
    else:
        size = (run.pipe.outside + 2 * SIDE, run.pipe.outside + 2 * UNDER)
        near = detail_scale(design.job.units, *size, (right - left - PANEL - NAMES - 40.0, foot - HEAD - 6.0 - bottom))
        more, _ = heading(left, foot, right - left - PANEL - 8.0, f"From the front, {near.words}")
        front = View(
            across=near, up=near, origin=(0.0, run.invert_lower - run.pipe.wall - UNDER),
            at=(left + 8.0 + near.on_paper(size[0] / 2), foot - HEAD - near.on_paper(size[1])),
        )  # fmt: skip
        marks += more + _front(design, run, front, guard=guarded(design, fall))
    ratio = scale.ratio if apron > 0 else near.ratio
    side = "from above" if apron > 0 else "from the front"
    parts.append(ScaledPart(title=f"Outlet {fall.name}, {side}", ratio=ratio, first=first, end=len(marks)))
    blocks = [sizes_block(design, end) for end in design.system.ends if end.name == fall.name]
    blocks.append(notes(_open_texts(design, fall, run, bare)))
    panel, rest = stack(blocks, right - PANEL, foot, PANEL, bottom)
    title = f"Outlet {fall.name}: {fall.kind}"
    draft = Draft(
        name=name, title=title, scale=scale.words, paper=paper, marks=(*marks, *panel), scaled=tuple(parts),
        description=f"The end of {run.name} at {fall.name}, cut along the pipe.",
    )  # fmt: skip
    return [draft, *further_tables(rest, design.job.units, name, title)]


def _along(
    design: Design, fall: Outfall, run: SizedRun, view: View, span: tuple[float, float, float],
    heights: tuple[float, float], ends: tuple[float, float],
) -> list[Mark]:  # fmt: skip
    word, pipe, invert = Wording(design.job.units), run.pipe, run.invert_lower
    start, after, low = span
    long, thick = fall.apron_built, fall.apron_thickness

    s_of, inverts = [station.distance - run.length for station in run.stations], [x.invert for x in run.stations]
    steps = sorted({start, *(s for s in s_of if s > start)})
    inside = [(s, float(np.interp(s, s_of, inverts))) for s in steps]  # bottom of the bore
    before = [(float(s), _ground_at(design, run, float(s))) for s in np.linspace(start, 0.0, 25)]
    beyond = [(float(s), _ground_at(design, run, float(s))) for s in np.linspace(0.0, after, 13)]
    path = tuple(view(place) for place in (*before, *beyond[1:]))
    marks: list[Mark] = [Polygon(layer="soil", points=(view((start, low)), *path, view((after, low))))]
    marks += earth(path, 1.8, 7.0)
    if long > 0:
        top_of = [(float(s), min(_ground_at(design, run, float(s)), invert)) for s in np.linspace(0.0, long, 9)]
        under = [(s, level - thick) for s, level in top_of]
        marks += stone(tuple(view(place) for place in (*under, *reversed(top_of))), 2.2)
        marks.append(line("fabric", *(view(place) for place in (top_of[0], *under, top_of[-1]))))
        marks += dimension(view(under[0]), view((long, under[0][1])), f"{word.small(long)} apron", -6.0)
    for layer, foot, head in (("pipe", -pipe.wall, pipe.outside - pipe.wall), ("pipe void", 0.0, pipe.inside)):
        lower, upper = ([view((s, level + rise)) for s, level in inside] for rise in (foot, head))
        marks.append(Polygon(layer=layer, points=(*lower, *reversed(upper))))
    (x, y0), (_, y1) = view((0.0, invert)), view((0.0, invert + pipe.inside))
    if guarded(design, fall):
        marks += [line("curve strong", (x + 0.6, y0 - 0.6), (x + 0.6, y1 + 0.6))]
    if y1 - y0 > 3.0:
        marks += arrow("curve", (x - 14.0, (y0 + y1) / 2), (x - 4.0, (y0 + y1) / 2))
    crown = (start + 0.06, float(np.interp(start + 0.06, s_of, inverts)) + pipe.outside - pipe.wall)
    cover = _ground_at(design, run, crown[0]) - crown[1]
    if cover > 0.02:
        said, (x_crown, y_ground) = f"{word.small(cover)} cover", view((crown[0], crown[1] + cover))
        fits = view.up.on_paper(cover) > text_width(said, READ)
        marks += dimension(view(crown), (x_crown, y_ground), said if fits else "", -3.0)
        if not fits:
            marks.append(words("text", (x_crown, y_ground + 2.0), said, 2.0))
    bare = bare_length(run)
    if 0.05 < bare <= -start:
        high = (
            view(
                (0.0, max(*(level for _, level in before), inside[0][1] + pipe.outside, inside[-1][1] + pipe.outside))
            )[1]
            + 4.0
        )
        (a, _), (b, _) = view((-bare, 0.0)), view((0.0, 0.0))
        marks += dimension((a, high), (b, high), f"{word.small(bare)} with the crown above the ground", 0.5)
    tags: list[Tag] = [((x + 0.6, y1 + 0.4), "animal guard", "comes off to clean", "text")]
    tags = tags if guarded(design, fall) else []
    tags += [
        ((x, y0), f"invert {word.level(invert)}", pipe_words(pipe, word.units), "text water"),
        (view(beyond[-1]), f"ground {word.level(beyond[-1][1])}", f"{word.small(after)} on", "text"),
    ]
    if long > 0:
        size = f", {word.small(fall.stone)} or larger" if fall.stone > 0 else ""
        deep = min(_ground_at(design, run, 0.9 * long), invert) - thick / 2
        tags.append((view((0.9 * long, deep)), "apron: stone on fabric", f"{word.small(thick)} thick{size}", "text"))
    x_mark = view((after, 0.0))[0] + 1.0
    return marks + tags_at(tags, x_mark, min(x_mark + 16.0, ends[1] - NAMES), *heights)


def _apron_above(design: Design, fall: Outfall, run: SizedRun, view: View, shown: float) -> list[Mark]:
    word, half, far = Wording(design.job.units), run.pipe.outside / 2, fall.apron_width / 2
    long, near = fall.apron_built, min(1.5 * fall.diameter, far)
    ring = tuple(view(place) for place in ((0.0, -near), (long, -far), (long, far), (0.0, near)))
    marks = stone(ring, 2.2)
    marks.append(line("fabric", *ring, ring[0]))
    marks.append(Polygon(layer="pipe", points=view.ring(-shown, -half, 0.0, half)))
    marks += dimension(view((long, -far)), view((long, far)), word.small(fall.apron_width), -4.0)
    tags: list[Tag] = [
        (view((long / 2, 0.7 * near)), "apron", "stone on fabric, widening", "text"),
        (view((0.0, -near)), f"{word.small(2 * near)} wide at the pipe", "three times its bore", "text"),
    ]
    x_mark = view((long, 0.0))[0] + 6.0
    return marks + tags_at(tags, x_mark, x_mark + 16.0, view((0.0, -far))[1], view((0.0, far))[1])


def _front(design: Design, run: SizedRun, view: View, *, guard: bool) -> list[Mark]:
    """The end seen by one who stands before it, with the bars of its guard."""
    word, pipe = Wording(design.job.units), run.pipe
    foot, half = run.invert_lower - pipe.wall, pipe.outside / 2 + SIDE
    ground = _ground_at(design, run, 0.0)
    marks: list[Mark] = [Polygon(layer="soil", points=view.ring(-half, foot - UNDER, half, ground))]
    marks += earth((view((-half, ground)), view((half, ground))), 1.8, 7.0)
    centre = view((0.0, run.invert_lower + pipe.inside / 2))
    inner = view.up.on_paper(pipe.inside / 2)
    marks += [
        Circle(layer="pipe", centre=centre, radius=view.up.on_paper(pipe.outside / 2)),
        Circle(layer="pipe void", centre=centre, radius=inner),
    ]
    circle = tuple(
        (centre[0] + inner * math.cos(turn), centre[1] + inner * math.sin(turn))
        for turn in np.linspace(0.0, 2 * math.pi, 48, endpoint=False)
    )
    if guard:
        marks += hatch("axis", circle, max(view.up.on_paper(0.015), 0.8), math.pi / 2)
    marks += dimension(view((-pipe.outside / 2, foot)), view((pipe.outside / 2, foot)), word.true(pipe.outside), -5.0)
    tags: list[Tag] = [(view((half, ground)), f"ground {word.level(ground)}", "at the end", "text")]
    if guard:
        at = (centre[0] + 0.6 * inner, centre[1] + 0.6 * inner)
        tags.append((at, "bars of the guard", "no wider apart than a finger", "text"))
    low, high = view((0.0, foot - UNDER))[1], centre[1] + inner + 10.0
    x_mark = view((half, 0.0))[0] + 1.0
    return marks + tags_at(tags, x_mark, x_mark + 16.0, low, high)


def _open_texts(design: Design, fall: Outfall, run: SizedRun, bare: float) -> list[str]:
    word = Wording(design.job.units)
    surface = f"{fall.surface} ({fall.surface_basis.value})"
    texts = [
        f"At the design rain {word.flow(fall.flow)} leaves here at {word.speed(fall.velocity)}, on {surface}"
        + ("." if math.isinf(fall.allowed) else f", which bears {word.speed(fall.allowed)}."),
        "The design storm may bring more: the storm's sheet says how much.",
        f"Apron: {word.small(fall.apron_built)} long, {word.small(fall.apron_width)} wide at its far end, its top "
        "level with the ground there." if fall.apron_built > 0 else "No apron is asked for here.",
    ]  # fmt: skip
    if bare > 0.05:
        texts.append(
            f"Over its last {word.small(bare)} the crown of {run.name} lies above the measured ground. Keep wheels, "
            "mower and sun from it, or settle with the office where it should end."
        )
    if guarded(design, fall):
        texts.append("Animal guard: its bars no wider apart than a finger; common practice, no source.")
    texts.append(
        "The end stays clear of snow, leaves and mulch; look at it twice a year. What runs on must not harm others."
    )
    return texts


__all__ = ["outlet_drafts"]
