"""Paper, scale, title block, tables: what every sheet has."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeAlias

from drainwright.errors import InputError
from drainwright.job.model import Job
from drainwright.paper.label import Frame
from drainwright.paper.measure import ASCENT, LEADING, READ, fit, text_width, wrap, wrap_figures
from drainwright.paper.sheet import Anchor, Mark, Picture, Point, Polyline, ScaledPart, Sheet, TextMark, Weight
from drainwright.paper.symbols import box, line
from drainwright.paper.tongue import as_said
from drainwright.quantities import System

MARGIN = 8.0  # paper's edge to border [mm]
STRIP = 15.0  # height of the title block [mm]
LOGO = 11.0  # side of the square that holds the firm's logo [mm]
GAP = 4.0  # border to drawing [mm]


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper size, landscape."""

    name: str
    width: float  # [mm]
    height: float  # [mm]

    @property
    def inner(self) -> Frame:
        """The room for drawing, above the title block. [mm]"""
        edge = MARGIN + GAP
        return (edge, MARGIN + STRIP + GAP, self.width - edge, self.height - edge)


@dataclass(frozen=True, slots=True)
class Leaf(Paper):
    """The room of a page within a document: no border and no title block."""

    @property
    def inner(self) -> Frame:
        """All of it. [mm]"""
        return (0.0, 0.0, self.width, self.height)


LEAF = Leaf("leaf", 190.0, 130.0)  # printed 1.37 times as large on a flat page, so that 2.1 mm print as 8 pt
LETTER, TABLOID = Paper("letter", 279.4, 215.9), Paper("tabloid", 431.8, 279.4)
A4, A3 = Paper("A4", 297.0, 210.0), Paper("A3", 420.0, 297.0)


def papers(units: System) -> tuple[Paper, Paper]:
    """The small and the large paper of the place."""
    return (LETTER, TABLOID) if units == "US" else (A4, A3)


@dataclass(frozen=True, slots=True)
class Scale:
    """A standard drawing scale."""

    ratio: float  # of the true size over that on paper
    words: str

    def on_paper(self, length: float) -> float:
        """Millimetres on paper of a length in metres."""
        return 1000.0 * length / self.ratio


def _us_plan(feet: int) -> Scale:
    return Scale(12.0 * feet, f"1 in = {feet} ft (1:{12 * feet})")


def _us_detail(inches: str) -> Scale:
    number = sum(map(Fraction, inches.split()), Fraction(0))
    ratio = 12 / number
    return Scale(float(ratio), f"{inches} in = 1 ft (1:{ratio})")


def _metric(ratio: int) -> Scale:
    return Scale(float(ratio), f"1:{ratio}")


_LONG: dict[System, tuple[Scale, ...]] = {
    "US": tuple(_us_plan(feet) for feet in (1, 2, 4, 5, 8, 10, 20, 30, 40, 50, 60, 100, 200, 400, 1000)),
    "SI": tuple(_metric(ratio) for ratio in (10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10000)),
}
_DETAIL: dict[System, tuple[Scale, ...]] = {
    "US": (*(_us_detail(text) for text in ("3", "1 1/2", "1", "3/4", "1/2", "3/8", "1/4", "1/8")), *_LONG["US"][5:]),
    "SI": tuple(_metric(ratio) for ratio in (5, 10, 20, 25, 50, 100, 200, 500, 1000)),
}


def plan_scale(units: System, width: float, height: float, room: tuple[float, float]) -> Scale:
    """The largest standard scale at which ``width`` by ``height`` metres fits the room. [m, mm]"""
    return _first_fit(_LONG[units], width, height, room)


def detail_scale(units: System, width: float, height: float, room: tuple[float, float]) -> Scale:
    """The same among the scales of sections and profiles' heights."""
    return _first_fit(_DETAIL[units], width, height, room)


def _first_fit(scales: Sequence[Scale], width: float, height: float, room: tuple[float, float]) -> Scale:
    for scale in scales:
        if scale.on_paper(width) <= room[0] and scale.on_paper(height) <= room[1]:
            return scale
    raise InputError(
        f"width, height = {width!r}, {height!r} m: expected at most what {scales[-1].words} fits on the paper"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """From the ground to the paper."""

    across: Scale
    up: Scale
    origin: Point  # on the ground [m]
    at: Point  # of the origin, on paper [mm]

    def __call__(self, place: Point) -> Point:
        """A place on paper. [mm]"""
        return (
            self.at[0] + self.across.on_paper(place[0] - self.origin[0]),
            self.at[1] + self.up.on_paper(place[1] - self.origin[1]),
        )

    def ring(self, left: float, low: float, right: float, high: float) -> tuple[Point, ...]:
        """An upright rectangle on paper, of sides on the ground. [mm]"""
        return tuple(self(place) for place in ((left, low), (right, low), (right, high), (left, high)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A sheet before it knows its number."""

    name: str
    title: str
    scale: str
    paper: Paper
    description: str
    marks: tuple[Mark, ...]
    scaled: tuple[ScaledPart, ...] = ()  # what may be measured in it


def on_leaf(draft: Draft) -> Sheet:
    """A draft on a leaf as the drawing of a page."""
    return Sheet(
        name=f"{draft.name}-page", title=draft.title, scale=draft.scale, width=draft.paper.width,
        height=draft.paper.height, description=draft.description, marks=draft.marks,
    )  # fmt: skip


def finish(draft: Draft, job: Job, number: int, count: int) -> Sheet:
    """Add border and title block."""
    paper = draft.paper
    return Sheet(
        name=draft.name,
        title=f"{draft.title}: {job.title}",
        scale=draft.scale,
        width=paper.width,
        height=paper.height,
        description=draft.description,
        marks=(*draft.marks, *_title_block(draft, job, number, count)),
        accent=job.firm.colour,
        number=number,
        scaled=tuple(part if part.end is not None else replace(part, end=len(draft.marks)) for part in draft.scaled),
    )


def _title_block(draft: Draft, job: Job, number: int, count: int) -> list[Mark]:
    paper = draft.paper
    left, right, bottom = MARGIN, paper.width - MARGIN, MARGIN
    top = bottom + STRIP
    marks: list[Mark] = [
        box("frame", left, bottom, right, paper.height - MARGIN),
        line("frame", (left, top), (right, top)),
    ]
    day = job.date.isoformat() if job.date else "not given"
    place = ", ".join(text for text in (job.property.address, job.property.town) if text)
    shares = (0.33, 0.25, 0.18, 0.13, 0.11)
    cells: tuple[tuple[str, str, str], ...] = (
        ("Job", job.title, " · ".join(text for text in (place, job.firm.name) if text)),
        ("Sheet", draft.title, "INVENTED DEMONSTRATION, not a real place" if job.demonstration else ""),
        ("Scale", draft.scale, f"printed on {paper.name}, not resized"),
        ("Job number", job.number or "none", f"visit {day}"),
        ("Sheet no.", f"{number} of {count}", as_said(draft.name)),
    )
    marks.append(line("accent", (left, top), (right, top)))
    x = left
    for share, (head, strong, soft) in zip(shares, cells, strict=True):
        begin, end = x + 2.2, x + share * (right - left)
        if x > left:
            marks.append(line("rule", (x, bottom), (x, top)))
        elif job.firm.logo:
            marks.append(_logo(job, begin, bottom + (STRIP - LOGO) / 2))
            begin += LOGO + 2.0
        marks += _cell(head, strong, soft, begin, end - begin - 2.2, top)
        x = end
    return marks


def _logo(job: Job, left: float, bottom: float) -> Picture:
    right, top = left + LOGO, bottom + LOGO
    return Picture(
        layer="logo", corner=(left, top), width=LOGO, height=LOGO, turn=0.0, window=(left, bottom, right, top),
        data=job.firm.logo, in_shape=True,
    )  # fmt: skip


def _cell(head: str, strong: str, soft: str, left: float, room: float, top: float) -> list[Mark]:
    """A cell of the title block: its name, what it says in one line or two, what is beside it: four lines in all."""
    size = max(READ, min(3.4, 3.4 * room / max(text_width(strong, 3.4, "semibold"), 1e-9)))
    rows = _few_rows(strong, room, size, "semibold")
    marks: list[Mark] = [TextMark(layer="text soft", at=(left, top - 3.2), text=head, size=READ)]
    beside = _few_rows(soft, room, READ, most=4 - len(rows))
    crowded = len(rows) + len(beside) > 3
    first, pitch = (6.0, 2.8) if crowded else (8.2 if max(len(rows), len(beside)) < 2 else 6.6, 3.0)
    marks += [
        TextMark(layer="text", at=(left, top - first - pitch * number), text=row, size=size, weight="semibold")
        for number, row in enumerate(rows)
    ]
    layer = "text warning" if soft.startswith("INVENTED") else "text soft"
    last = 14.2 if crowded else 13.0 if len(beside) < 2 else 13.8
    marks += [
        TextMark(layer=layer, at=(left, top - last + 2.7 * (len(beside) - 1 - number)), text=row, size=READ)
        for number, row in enumerate(beside)
    ]
    return marks


def _few_rows(text: str, room: float, size: float, weight: Weight = "regular", most: int = 2) -> tuple[str, ...]:
    """The text in a few rows; what is longer still is cut."""
    rows = wrap(text, room, size, weight)
    if len(rows) <= most:
        return rows
    return (*rows[: most - 1], fit(" ".join(rows[most - 1 :]), room, size, weight))


# -- blocks of a panel: each is drawn from a top left corner down, and says where it ends -------------------

Block: TypeAlias = Callable[[float, float, float], tuple[list[Mark], float]]  # left, top, width -> marks, bottom


def words(
    layer: str, at: Point, text: str, size: float = 2.0, anchor: Anchor = "start", weight: Weight = "regular"
) -> TextMark:
    """A text mark, said shortly; no type is smaller than can be read."""
    return TextMark(layer=layer, at=at, text=text, size=max(size, READ), anchor=anchor, weight=weight)


def heading(left: float, top: float, width: float, text: str) -> tuple[list[Mark], float]:
    """A block's heading with a rule under it."""
    marks: list[Mark] = [
        words("text", (left, top - 2.6), fit(text, width, 2.7, "semibold"), 2.7, weight="semibold"),
        line("rule", (left, top - 3.8), (left + width, top - 3.8)),
    ]
    return marks, top - 4.6


def paragraph(text: str, size: float = 2.3, layer: str = "text", bullet: str = "") -> Block:
    """Wrapped text."""
    size = max(size, READ)

    def draw(left: float, top: float, width: float) -> tuple[list[Mark], float]:
        indent = max(2.6, text_width(bullet, size) + 1.0) if bullet else 0.0
        marks: list[Mark] = []
        y = top - ASCENT * size
        if bullet:
            marks.append(words(layer, (left, y), bullet, size))
        for row in wrap_figures(text, width - indent, size):
            marks.append(words(layer, (left + indent, y), row, size))
            y -= LEADING * size
        return marks, y + ASCENT * size - 0.5

    return draw


def stacked(title: str, parts: Sequence[Block]) -> Block:
    """A heading and blocks below each other."""

    def draw(left: float, top: float, width: float) -> tuple[list[Mark], float]:
        marks, y = heading(left, top, width, title)
        for part in parts:
            more, y = part(left, y, width)
            marks += more
        return marks, y

    return draw


def notes(texts: Sequence[str]) -> Block:
    """Numbered notes under their heading."""
    return stacked("Notes", [paragraph(text, 2.2, bullet=str(number)) for number, text in enumerate(texts, start=1)])


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    head: str
    share: float  # of the width
    anchor: Anchor = "start"


def table(title: str, columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float = 2.2) -> Block:
    """A table with a heading; each cell is wrapped in its column."""
    size = max(size, READ)
    pitch = 1.65 * size

    def draw(left: float, top: float, width: float) -> tuple[list[Mark], float]:
        marks, y = heading(left, top, width, title)
        total = sum(column.share for column in columns)
        heads = [column.head for column in columns]
        for number, row in enumerate([heads, *rows] if any(heads) else rows, start=0 if any(heads) else 1):
            x, tall = left, 1
            weight: Weight = "semibold" if number == 0 else "regular"
            layer = "text soft" if number == 0 else "text"
            for column, text in zip(columns, row, strict=True):
                room = width * column.share / total
                at = {"start": x + 0.4, "middle": x + room / 2, "end": x + room - 0.8}[column.anchor]
                shown = wrap(text, room - 1.2, size, weight)
                marks += [
                    words(layer, (at, y - 0.68 * pitch - below * LEADING * size), part, size, column.anchor, weight)
                    for below, part in enumerate(shown)
                ]
                x, tall = x + room, max(tall, len(shown))
            y -= pitch + (tall - 1) * LEADING * size
            marks.append(Polyline(layer="rule faint", points=((left, y - 0.15), (left + width, y - 0.15))))
        return marks, y - 0.6

    return draw


def in_pieces(
    title: str, columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float = 2.0, most: int = 30
) -> list[Block]:
    """A table, in several where it has more than ``most`` rows."""
    starts = range(0, max(len(rows), 1), most)
    return [
        table(title if start == 0 else f"{title}, continued", columns, rows[start : start + most], size)
        for start in starts
    ]


def stack(
    blocks: Sequence[Block], left: float, top: float, width: float, bottom: float, gap: float = 2.6
) -> tuple[list[Mark], list[Block]]:
    """Draw blocks down a column while they fit; hand back those that do not."""
    marks: list[Mark] = []
    rest: list[Block] = []
    y = top
    for block in blocks:
        drawn, end = block(left, y, width)
        if end < bottom:
            rest.append(block)
            continue
        marks += drawn
        y = end - gap
    return marks, rest


def further_tables(rest: Sequence[Block], units: System, name: str, title: str) -> list[Draft]:
    """Sheets for the blocks of a panel that found no room beside its drawing: ``<name>-tables-1`` and so on.

    A block taller than a column of the first paper gets the larger paper; one that is taller even there is drawn over
    its edge, where it is seen: nothing is left out.
    """
    drafts: list[Draft] = []
    waiting = list(rest)
    while waiting:
        for sheet in papers(units):
            left, bottom, right, top = sheet.inner
            pitch = (right - left + 6.0) / 2
            more, after = stack(waiting, left, top, pitch - 6.0, bottom)
            if more:
                drawn, after = stack(after, left + pitch, top, pitch - 6.0, bottom)
                more += drawn
                break
        else:
            more, after = waiting[0](left, top, right - left)[0], waiting[1:]
        waiting = after
        drafts.append(
            Draft(
                name=f"{name}-tables-{len(drafts) + 1}", title=f"{title}: tables", scale="none", paper=sheet,
                marks=tuple(more), description=f"Tables and notes that belong to the {name}.",
            )
        )  # fmt: skip
    return drafts


__all__ = [
    "Block", "Column", "Draft", "Paper", "Scale", "View", "detail_scale", "finish", "further_tables", "heading",
    "in_pieces", "notes", "papers", "paragraph", "plan_scale", "stack", "stacked", "table", "words",
]  # fmt: skip
