"""How sure the flows are: each cause with its band, what makes it wide, and the range of every input."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from drainwright.design import Design
from drainwright.paper.axes import Axes
from drainwright.paper.frame import Block, Column, Draft, Leaf, Paper, heading, papers, paragraph, table, words
from drainwright.paper.measure import CAP, READ, fit
from drainwright.paper.sheet import Circle, Mark, TextMark
from drainwright.paper.symbols import box, line
from drainwright.paper.wording import Wording
from drainwright.quantities import Kind, convert, percent, write
from drainwright.water.model import Band, Cause, InputRange
from drainwright.water.uncertainty import ranges_by_cause

NAMES = 34.0  # room for the causes' names [mm]
SAYS = 92.0  # room for what makes each wide [mm]
ROW = 14.5  # height of a row [mm]
HIGHEST = 28.0  # on a leaf [mm]
BELOW_BARS = 26.0  # kept on a leaf for the axis and the words under it [mm]
LEAST_SHARE = 0.02  # an input of less is not named beside a cause
MOST_NAMED = 3
MOST_ROWS = 16  # of the table of inputs
LABEL: Mapping[Cause, str] = {Cause.ROOF: "roofs", Cause.YARD: "yards", Cause.GROUND: "groundwater"}
LEVELS = ("water table", "open water", "level of the drain")


def band_draft(design: Design, paper: Paper | None = None) -> Draft | None:
    """The bands of the inflows, and what they rest on.

    Parameters
    ----------
    design : Design
        The designed job.
    paper : Paper, optional
        To draw on; left out, the small paper of the place. A leaf has the bars alone, as high as they go: the
        document around it has the table.

    Returns
    -------
    Draft or None
        None where no water comes, or no band was reckoned.
    """
    water, units = design.inflows, design.job.units
    if water.total is None or water.total.high <= 0.0:
        return None
    paper = paper or papers(units)[0]
    alone = isinstance(paper, Leaf)
    left, bottom, right, top = paper.inner
    word = Wording(units)
    marks, y = heading(left, top, right - left, "Design flow of each cause: nine times of ten it lies within its bar")
    rows = _rows(design)
    height = min(HIGHEST, (y - 2.0 - bottom - BELOW_BARS) / len(rows)) if alone else ROW
    drawn, y = _bars(rows, word, left, right, y - 2.0, height)
    marks += drawn
    if not alone:
        drawn, y = _inputs(water.ranges, word)(left, y - 5.0, right - left)
        marks += drawn
    drawn, _ = paragraph(
        "Each input lies between low and high nine times of ten. 2,048 cases were drawn from all of them together and"
        " put through the design's own formulas. The share tells how much of the spread of all flows together an input"
        f" makes by itself.{_left_out(design)}",
        2.1,
        "text soft",
    )(left, y - 1.5, right - left)
    marks += drawn
    return Draft(
        name="bands", title="How sure the flows are", scale="flows on a logarithmic scale", paper=paper,
        marks=tuple(marks),
        description="A bar for roofs, yards, groundwater and all together from the low to the high flow, with the"
        " inputs that make it wide.",
    )  # fmt: skip


def _left_out(design: Design) -> str:
    """What no bar holds, of the works and the water that this job has."""
    found = []
    if any(run.duty == "footing drain" for run in design.system.runs):
        found += ["that the drain is counted with water from both sides", "that rain runs down loose backfill"]
    if Cause.ROOF in design.inflows.bands:
        found.append("that roofs are counted to shed all that falls")
    return f" Not in the bars: {', '.join(found)}." if found else ""


_Row = tuple[str, Band, float, Sequence[InputRange]]  # name, band, design figure, what makes it wide


def _rows(design: Design) -> list[_Row]:
    water = design.inflows
    flows, wide = water.by_cause(), ranges_by_cause(design.site, water)
    rows: list[_Row] = [
        (LABEL[cause], water.bands[cause], flows[cause], wide[cause])
        for cause in Cause
        if cause in water.bands and water.bands[cause].high > 0.0
    ]
    if len(rows) > 1 and water.total is not None:
        rows.append(("all together", water.total, sum(flows.values()), water.ranges))
    return rows


def _bars(
    rows: Sequence[_Row], word: Wording, left: float, right: float, top: float, height: float
) -> tuple[list[Mark], float]:
    """A bar a row on a logarithmic axis; what makes it wide at the right."""
    flows = [word.flow_number(value) for _, band, design, _ in rows for value in (band.low, band.high, design)]
    most = max(flows)
    least = max(min((value for value in flows if value > 0.0), default=most), most * 1e-4)
    low, high = math.log10(least) - 0.12, math.log10(most) + 0.12
    axes = Axes(
        left=left + NAMES, bottom=top - height * len(rows), width=right - left - NAMES - SAYS,
        height=height * len(rows),
        x_low=low, x_high=high, y_low=0.0, y_high=float(len(rows)),
    )  # fmt: skip
    marks: list[Mark] = []
    for value in _log_ticks(least, most, low, high):
        x, _ = axes(math.log10(value), 0.0)
        marks.append(line("grid", (x, axes.bottom), (x, axes.top)))
        marks.append(line("axis", (x, axes.bottom), (x, axes.bottom - 0.9)))
        marks.append(words("text soft", (x, axes.bottom - 3.4), f"{value:,g}", 2.2, "middle"))
    centre = axes.left + axes.width / 2
    marks.append(words("text", (centre, axes.bottom - 7.2), f"design flow, {word.flow_unit}", 2.4, "middle"))

    def place(flow: float) -> float:
        return axes(math.log10(max(word.flow_number(flow), 10.0**low)), 0.0)[0]

    for number, (name, band, figure, wide) in enumerate(rows):
        middle = axes.top - height * (number + 0.5)
        bar = "bar dark" if name == "all together" else "bar"
        marks.append(box(bar, place(band.low), middle - 2.0, place(band.high), middle + 2.0))
        if figure > 0.0:
            marks.append(Circle(layer="operating", centre=(place(figure), middle), radius=1.3))
        at = (left + NAMES - 3.0, middle - CAP * 2.6 / 2)
        marks.append(words("text", at, name, 2.6, "end", "semibold"))
        marks += _says(band, figure, wide, word, axes.right + 4.0, right, middle)
        if number:
            edge = axes.top - height * number
            marks.append(line("rule faint", (left, edge), (right, edge)))
    marks += axes.frame()
    return marks, axes.bottom - 7.8


def _says(
    band: Band, figure: float, wide: Sequence[InputRange], word: Wording, left: float, right: float, middle: float
) -> list[Mark]:
    named = [item for item in wide if item.share >= LEAST_SHARE][:MOST_NAMED]
    texts = [f"{item.name} ({item.basis.value}) {percent(item.share)}" for item in named]
    room = right - left
    size = READ
    low, high, taken = (_number(flow, word) for flow in (band.low, band.high, figure))
    flows = f"{low} to {high} {word.flow_unit}, designed for {taken}"
    rows = [flows, *(_fitted(texts, room, size) or ["no input stands out"])]
    start = middle + (len(rows) - 1) * 1.5 - CAP * size / 2
    return [
        TextMark(
            layer="text" if number == 0 else "text soft", at=(left, start - 3.0 * number),
            text=fit(row, room, size, "semibold" if number == 0 else "regular"), size=size,
            weight="semibold" if number == 0 else "regular",
        )
        for number, row in enumerate(rows)
    ]  # fmt: skip


def _fitted(texts: Sequence[str], room: float, size: float) -> list[str]:
    """The texts in as few lines as they need, never cut where a line may end."""
    lines: list[str] = []
    for text in texts:
        joined = f"{lines[-1]}, {text}" if lines else text
        if lines and fit(joined, room, size) == joined:
            lines[-1] = joined
        else:
            lines.append(text)
    return lines


def _number(flow: float, word: Wording) -> str:
    """A flow with two figures, without its unit."""
    value = word.flow_number(flow)
    if value <= 0.0:
        return "0"
    digits = max(0, 1 - math.floor(math.log10(value)))
    return f"{value:,.{digits}f}"


def _log_ticks(least: float, most: float, low: float, high: float) -> list[float]:
    """1, 2 and 5 of each power of ten within the axis; the powers alone where it is long."""
    parts = (1.0, 2.0, 5.0) if high - low < 3.0 else (1.0,)
    powers = range(math.floor(math.log10(least)) - 1, math.ceil(math.log10(most)) + 1)
    found = [round(part * 10.0**power, 9) for power in powers for part in parts]
    return [value for value in found if 10.0**low <= value <= 10.0**high]


def _inputs(ranges: Sequence[InputRange], word: Wording) -> Block:
    """The table of the inputs, those that matter most first."""
    shown = ranges[:MOST_ROWS]
    columns = (
        Column("", 2.6), Column("low", 0.9, "end"), Column("taken", 0.9, "end"), Column("high", 0.9, "end"),
        Column("known as", 0.9, "middle"), Column("share", 0.6, "middle"), Column("where the range comes from", 4.4),
    )  # fmt: skip
    rows = [
        (
            item.name, *(input_value(item, value, word) for value in (item.low, item.middle, item.high)),
            item.basis.value,
            percent(item.share) if item.share >= 0.005 else "under 1 %", item.why,
        )
        for item in shown
    ]  # fmt: skip
    left = len(ranges) - len(shown)
    title = "What the flows rest on" + (f": the first {len(shown)} of {len(ranges)}" if left else "")
    return table(title, columns, rows, 2.1)


def input_value(item: InputRange, value: float, word: Wording) -> str:
    """A value of an input as its kind is written."""
    if item.name in LEVELS:
        return word.level(value)
    if item.name == "rain depth":
        return f"{value / 0.0254:.2f} in" if word.us else f"{value * 1000:.1f} mm"
    match item.kind:
        case "fraction":
            return f"{value:.2f}"
        case "speed":
            per_day = convert(value, Kind.SPEED, word.units, "ft/day" if word.us else "m/day")
            return f"{per_day:.3g} {'ft' if word.us else 'm'}/day"
        case "area":
            return word.area(value)
        case "length":
            return write(value, Kind.LENGTH, word.units, "ft" if word.us else "m", 1)
        case _:
            return write(value, item.kind, word.units)


__all__ = ["LABEL", "band_draft", "input_value"]
