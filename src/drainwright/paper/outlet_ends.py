"""The end of a pipe drawn with its sizes: through a kerb, in a pop-up emitter, or over an air gap."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.job.values import Basis
from drainwright.paper.frame import (
    Block,
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
from drainwright.paper.sheet import Mark, Polygon, ScaledPart
from drainwright.paper.symbols import arrow, concrete, dimension, earth, line, stone
from drainwright.paper.tags import Tag, tags_at
from drainwright.paper.wording import Wording
from drainwright.system.outlets.end_model import POCKET, PipeEnd
from drainwright.system.trade import nominal_words

PANEL = 78.0  # width of the notes [mm]
NAMES = 46.0  # width for the names right of a drawing [mm]
HEAD = 7.0  # height of a view's heading [mm]
BEHIND, BEFORE, BELOW = 0.7, 0.45, 0.25  # shown along the pipe before and after its end, and below [m]
KERB_WIDTH, PAVING = 0.15, 0.12  # drawn, assumed [m]
SLIM = 0.004  # drawn thickness of a wall that no sheet gives [m]


def sizes_block(design: Design, end: PipeEnd) -> Block:
    """The sizes to build and inspect by, each with its mark.

    Parameters
    ----------
    design : Design
        For its units.
    end : PipeEnd
        One of its ends.

    Returns
    -------
    Block
        A table for the side of a sheet.
    """
    columns = (Column("to build and inspect", 2.5), Column("size", 2.4), Column("mark", 1.3))
    return table("Sizes of the end", columns, end_rows(Wording(design.job.units), end), 2.1)


def end_rows(word: Wording, end: PipeEnd) -> list[tuple[str, str, str]]:
    """What is measured at an end, its size, and how it is known.

    Parameters
    ----------
    word : Wording
        For the units.
    end : PipeEnd
        Of a pipe.

    Returns
    -------
    list of tuple of str
        Name, size, mark: ``job`` for what the job gives, else its basis.
    """

    def mark(basis: Basis) -> str:
        return "job" if basis is Basis.STATED else basis.value

    rows = [("pipe", f"{nominal_words(end.nominal, word.units)}, {word.true(end.outside)} outside", "sheet")]
    if end.form == "pop-up emitter":
        rows.append(("emitter", nominal_words(end.fitting, word.units), "assumed"))
        high = word.small(end.height) if end.height > 0.0 else "flush"
        rows.append(("lid above the lawn", high, mark(end.height_basis)))
    if end.form == "kerb hole":
        rows += [
            ("kerb above the gutter", word.small(end.kerb), mark(end.kerb_basis)),
            ("hole cored", word.small(end.core), "assumed"),
            ("invert above the gutter", word.small(end.height), mark(end.height_basis)),
            ("concrete left over it", word.small(max(end.over_core, 0.0)), mark(end.kerb_basis)),
        ]
    if end.form == "air gap":
        rows += [
            ("clear air", word.small(end.gap), mark(end.gap_basis)),
            ("clear air, at least", word.small(end.gap_least), "code"),
            ("receiver's mouth", word.small(end.receiver), mark(end.receiver_basis)),
            ("its rim, no higher", word.level(end.rim), "code"),
        ]
    else:
        by_pipe = end.opening_basis is Basis.MEASURED
        rows.append(("clear opening", word.true(end.opening), "sheet" if by_pipe else mark(end.opening_basis)))
    if end.form == "open end":
        rows.append(("animal guard", "fitted" if end.guard else "none", "job"))
    rows.append(("invert", word.level(end.invert), "job"))
    if end.form in ("open end", "air gap"):
        side = "above" if end.height >= 0 else "below"
        rows.append((f"invert {side} the ground", word.small(abs(end.height)), mark(end.height_basis)))
    rows.append(("from the house", word.length(end.from_house), "plan"))
    rows.append(
        ("from the boundary", "not known" if end.from_boundary is None else word.length(end.from_boundary), "plan")
    )
    return rows


def end_drafts(design: Design, end: PipeEnd, name: str) -> list[Draft]:
    """One end, cut along its pipe, with its sizes beside it.

    Parameters
    ----------
    design : Design
        The designed job.
    end : PipeEnd
        In a kerb, an emitter or over an air gap.
    name : str
        Of the sheet.

    Returns
    -------
    Draft
        To scale; bodies of fittings are drawn as assumed.
    """
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    low, high = _heights(end)
    room = (right - left - PANEL - NAMES - 24.0, top - bottom - HEAD - 16.0)
    scale = detail_scale(design.job.units, BEHIND + BEFORE, high - low, room)
    spare = max(0.0, room[1] - scale.on_paper(high - low)) / 2  # in the middle of what is left of the sheet
    at = (left + 8.0, top - HEAD - 6.0 - spare - scale.on_paper(high - low))
    view = View(across=scale, up=scale, origin=(-BEHIND, low), at=at)
    draw = {"kerb hole": _kerb, "pop-up emitter": _emitter, "air gap": _gap}[end.form]
    marks, _ = heading(left, top, right - left - PANEL - 8.0, f"Cut along {end.run}")
    drawn, tags = draw(design, end, view, low)
    marks += drawn
    x_mark = view((BEFORE, 0.0))[0] + 1.0
    marks += tags_at(tags, x_mark, x_mark + 16.0, at[1], top - HEAD - 4.0 - spare)
    title = f"Outlet {end.name}, {end.form}"
    part = ScaledPart(title=title, ratio=scale.ratio, end=len(marks))
    panel, rest = stack([sizes_block(design, end), notes(_texts(design, end))], right - PANEL, top, PANEL, bottom)
    called = f"Outlet {end.name}: {end.kind if end.form == 'pop-up emitter' else end.form}"
    draft = Draft(
        name=name, title=called, scale=scale.words, paper=paper, marks=(*marks, *panel), scaled=(part,),
        description=f"The end of {end.run} at {end.name}: {end.form}, with its sizes.",
    )  # fmt: skip
    return [draft, *further_tables(rest, design.job.units, name, called)]


def _heights(end: PipeEnd) -> tuple[float, float]:
    """Lowest and highest of the drawing: above the gutter, else in the job's datum. [m]"""
    if end.form == "kerb hole":
        return -BELOW, end.kerb + 0.12
    low = end.invert - max(BELOW, end.gap + 0.2, POCKET + 0.08 if end.form == "pop-up emitter" else 0.0)
    return low, max(end.ground + max(end.height, 0.0), end.invert + end.outside) + 0.12


def _pipe(end: PipeEnd, view: View, start: float, stop: float, invert: float) -> list[Mark]:
    wall = (end.outside - end.bore) / 2.0
    return [
        Polygon(layer="pipe", points=view.ring(start, invert - wall, stop, invert + end.bore + wall)),
        Polygon(layer="pipe void", points=view.ring(start, invert, stop, invert + end.bore)),
    ]


def _into(end: PipeEnd, view: View, invert: float) -> tuple[Mark, ...]:
    y = invert + end.bore / 2.0
    return arrow("curve", view((-BEHIND + 0.05, y)), view((-BEHIND + 0.25, y)))


def _kerb(design: Design, end: PipeEnd, view: View, low: float) -> tuple[list[Mark], list[Tag]]:
    word, kerb, invert = Wording(design.job.units), end.kerb, end.height
    middle = invert + end.opening / 2.0
    hole = (middle - end.core / 2.0, middle + end.core / 2.0)
    marks: list[Mark] = [Polygon(layer="soil", points=view.ring(-BEHIND, low, BEFORE, 0.0 - PAVING))]
    marks.append(Polygon(layer="soil", points=view.ring(-BEHIND, -PAVING, -KERB_WIDTH, kerb)))
    marks += concrete(view.ring(0.0, -PAVING, BEFORE, 0.0))
    marks += concrete(view.ring(-KERB_WIDTH, low + 0.06, 0.0, kerb))
    marks += earth((view((-BEHIND, kerb)), view((-KERB_WIDTH, kerb))), 1.8, 7.0)
    marks.append(Polygon(layer="pipe void", points=view.ring(-KERB_WIDTH, hole[0], 0.0, hole[1])))
    marks += _pipe(end, view, -BEHIND, 0.0, invert)
    marks += _into(end, view, invert)
    marks += dimension(view((BEFORE, 0.0)), view((BEFORE, kerb)), word.small(kerb), 4.0)
    if end.over_core > 0.0:
        marks += dimension(view((0.0, hole[1])), view((0.0, kerb)), word.small(end.over_core), -4.0)
    tags: list[Tag] = [
        (view((0.0, kerb)), "top of the kerb", f"{word.small(kerb)} above the gutter", "text"),
        (view((0.0, hole[1])), f"hole {word.small(end.core)}", "grouted all round", "text"),
        (view((0.0, invert)), f"invert {word.small(invert)} above it", "flush with the face", "text water"),
        (view((0.8 * BEFORE, 0.0)), "gutter", f"{word.level(end.invert - invert)} by the invert", "text"),
    ]
    return marks, tags


def _emitter(design: Design, end: PipeEnd, view: View, low: float) -> tuple[list[Mark], list[Tag]]:
    word, half = Wording(design.job.units), end.opening / 2.0
    lid, foot = end.ground + end.height, end.invert
    out = half + (end.outside - end.bore) / 2.0
    marks: list[Mark] = [Polygon(layer="soil", points=view.ring(-BEHIND, low, BEFORE, end.ground))]
    marks += earth((view((-BEHIND, end.ground)), view((BEFORE, end.ground))), 1.8, 7.0)
    marks += stone(view.ring(-POCKET / 2, foot - POCKET, POCKET / 2, foot), 2.2)
    marks += _pipe(end, view, -BEHIND, 0.0, foot)
    if lid > foot:
        marks.append(Polygon(layer="pipe", points=view.ring(-out, foot - out + half, out, lid)))
        marks.append(Polygon(layer="pipe void", points=view.ring(-half, foot, half, lid)))
    marks.append(Polygon(layer="fitting", points=view.ring(-1.25 * out, lid - 0.01, 1.25 * out, lid)))
    marks += _into(end, view, foot)
    if end.ground > foot + 0.02:
        x = BEFORE - 0.1
        marks += dimension(view((x, foot)), view((x, end.ground)), word.small(end.ground - foot), 4.0)
    tags: list[Tag] = [
        (view((1.25 * out, lid)), f"lid {word.level(lid)}", "lifts by itself when water comes", "text water"),
        (view((out, foot + 0.6 * max(lid - foot, 0.0))), f"emitter {nominal_words(end.fitting, word.units)}",
         "on its elbow", "text"),
        (view((out, foot)), f"invert {word.level(foot)}", "weep hole in the elbow's foot", "text water"),
        (view((POCKET / 2, foot - POCKET / 2)), "pocket of stone", f"{word.small(POCKET)} each way", "text"),
    ]  # fmt: skip
    return marks, tags


def _gap(design: Design, end: PipeEnd, view: View, low: float) -> tuple[list[Mark], list[Tag]]:
    word, half, rim = Wording(design.job.units), end.receiver / 2.0, end.invert - end.gap
    buried = end.ground > end.invert
    marks: list[Mark] = []
    if buried:
        marks.append(line("ground", view((-BEHIND, end.ground)), view((BEFORE, end.ground))))
        out = end.box / 2.0
        corners = ((-out, end.ground), (-out, end.box_floor), (out, end.box_floor), (out, end.ground))
        marks.append(line("fitting", *(view(corner) for corner in corners)))
    else:
        marks += earth((view((-BEHIND, end.ground)), view((BEFORE, end.ground))), 1.8, 7.0)
    marks.append(Polygon(layer="pipe", points=view.ring(-half - SLIM, low, half + SLIM, rim)))
    marks.append(Polygon(layer="pipe void", points=view.ring(-half, low, half, rim)))
    marks += _pipe(end, view, -BEHIND, 0.0, end.invert)
    marks += _into(end, view, end.invert)
    marks += arrow("curve", view((0.0, end.invert)), view((0.0, rim - 0.08)))
    marks += dimension(view((half + 0.06, rim)), view((half + 0.06, end.invert)), word.small(end.gap), -3.0)
    tags: list[Tag] = [
        (view((0.0, end.invert)), f"invert {word.level(end.invert)}", f"end of {end.run}", "text water"),
        (view((half, rim)), f"rim {word.level(rim)}", f"no higher than {word.level(end.rim)}", "text"),
        (view((half, low + 0.04)), "receiver", f"{word.small(end.receiver)} wide at its mouth", "text"),
    ]
    if buried:
        tags.append((view((BEFORE, end.ground)), f"ground {word.level(end.ground)}", "above: in an open box", "text"))
    return marks, tags


def _texts(design: Design, end: PipeEnd) -> list[str]:
    word = Wording(design.job.units)
    if end.form == "kerb hole":
        texts = [
            "Kerb, gutter and the hole's height are drawn by their marks in the table: measure the kerb before it is "
            "cored, and the gutter's level by rod. Grout the hole all round; nothing stands out into the gutter.",
            "The street's owner says whether the kerb may be cored, by whom, and what adapter it wants. Buried lines "
            "run behind kerbs: locate them and dig there by hand.",
        ]  # fmt: skip
    elif end.form == "pop-up emitter":
        texts = [
            "Set the elbow on a pocket of stone and open a weep hole in its foot, so that the riser empties and does "
            "not freeze (common practice, no source). Body and lid are drawn as "
            "assumed: the maker's sheet has them.",
            "Keep the lid clear of grass, leaves and mulch; lift it twice a year.",
        ]  # fmt: skip
        if end.lid - end.invert < end.elbow:
            texts.insert(
                0,
                f"No room for the elbow: the invert lies {word.small(max(end.ground - end.invert, 0.0))} below the "
                "lawn. Lay the pipe deeper, or end it in the open.",
            )
    else:
        texts = [
            f"Clear air between the end of {end.run} and the receiver's flood rim: twice the bore, and never under "
            f"{word.small(0.0254)}; the place's plumbing code rules. Measure it before the ground is closed.",
            "The receiver stays open to the air, screened, and carries what the pump brings below its rim.",
        ]  # fmt: skip
        if end.ground > end.invert:
            texts.append("The gap lies below the ground: it stands in an open box with a grate that drains itself.")
            texts.append(
                f"The box: a catch basin's body, {word.small(end.box)} inside, its floor at "
                f"{word.level(end.box_floor)}, cut to the ground at {word.level(end.ground)}; the receiver's pipe goes "
                "down through its floor. That pipe and its joint are not in the order: the storm line's owner says "
                "where and how."
            )
    return texts


__all__ = ["HEAD", "NAMES", "PANEL", "end_drafts", "end_rows", "sizes_block"]
