"""What the proposal assumes, as far as it bears on this job: in a customer's words, the dearest first."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Paragraph, Row, Table, lines
from drainwright.paper.documents.marks import Marked, leaned_on
from drainwright.paper.documents.say import BASIS_WORDS, joined
from drainwright.quantities import write
from drainwright.water.check import usual_groundwater
from drainwright.water.model import Cause


def _always(design: Design, name: str) -> bool:
    return True


def _dug(design: Design, name: str) -> bool:
    """Whether a wall is opened, or has a drain beside it."""
    beside = {wall for run in design.system.runs for wall in run.walls}
    return any(wall.name == name and (wall.wall.open_and_coat or name in beside) for wall in design.site.walls)


def _drained(design: Design, name: str) -> bool:
    return any(run.duty == "footing drain" for run in design.system.runs)


def _soaks(design: Design, name: str) -> bool:
    return bool(design.system.soaks)


def _trees(design: Design, name: str) -> bool:
    return bool(design.job.trees)


def _wet_lines(design: Design, name: str) -> bool:
    return {"water", "sewer"} <= {utility.kind for utility in design.job.utilities}


def _told_elsewhere(design: Design, name: str) -> bool:
    return False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """How a value of the job document is told to a customer."""

    of: str  # pattern of its name; the wall, yard or line before it is the group "name"
    told: str
    otherwise: str  # what comes of it if it is otherwise; empty: a rule of the place
    bears: Callable[[Design, str], bool] = _always


RULES = "A rule of the place"
READINGS = (  # the dearest first; what costs more was weighed by hand: common practice, no source
    _Reading(of=r"wall (?P<name>.+): footing bottom", told="Depth of a wall's footing",
             otherwise="The dig changes; the price by the prices of surprises.", bears=_dug),
    _Reading(of=r"rain table", told="Rain of the place", otherwise="More rain may take a larger pump or larger pipes."),
    _Reading(of=r"how fast the soil lets water through", told="How fast the soil drains",
             otherwise="More water may come to the drain."),
    _Reading(of=r"ground: water table|ground: open water.*", told="Height of the ground water",
             otherwise="More water may come to the drain.", bears=_drained),
    _Reading(of=r"kind of soil", told="Kind of soil", otherwise="Digging and the amount of water change."),
    _Reading(of=r"soil type for trench safety", told="How firm the soil stands in a trench",
             otherwise="The trench may need more shoring."),
    _Reading(of=r"bottom of the water-bearing soil", told="Level down to which the soil carries water",
             otherwise="More or less ground water comes.", bears=_drained),
    _Reading(of=r"ground: drainable porosity", told="Room for water in the soil",
             otherwise="The ground drains sooner or later.", bears=_drained),
    _Reading(of=r"rain that soaks in all season", told="Rain that soaks in", otherwise="More ground water may come.",
             bears=_drained),
    _Reading(of=r"wall (?P<name>.+): footing thickness", told="Thickness of a wall's footing",
             otherwise="The drain lies a little higher or lower.", bears=_dug),
    _Reading(of=r"wall (?P<name>.+): footing projection", told="How far a wall's footing stands out",
             otherwise="The trench moves a little.", bears=_dug),
    _Reading(of=r"(?P<name>.+): depth", told="Depth of a buried line",
             otherwise="It is found by hand first; our pipe may have to move."),
    _Reading(of=r"yard (?P<name>.+): (?:slope|flow length)", told="How the lawn sheds its rain",
             otherwise="Rain comes to the grates sooner or later."),
    _Reading(of=r"place of point (?P<name>.+)", told="Place of a point", otherwise="We measure it before digging."),
    _Reading(of=r"outlet's distance from the house", told=RULES, otherwise=""),
    _Reading(of=r"outlet's distance from the boundary", told=RULES, otherwise=""),
    _Reading(of=r"rules: soak .+", told=RULES, otherwise="", bears=_soaks),
    _Reading(of=r"reach of a tree's roots, in trunk diameters", told=RULES, otherwise="", bears=_trees),
    _Reading(of=r"gap between water and sewer lines", told=RULES, otherwise="", bears=_wet_lines),
    _Reading(of=r"rules: open trench inspection", told=RULES, otherwise=""),
    _Reading(of=r"whether drawings need .+", told=RULES, otherwise=""),
    _Reading(of=r"edition of the building code|depth of frost|working days .+|width dug by hand .+", told=RULES,
             otherwise=""),
    # Told where they bear: with the payments, with the terms, in the crew's papers.
    _Reading(of=r"rules: payments follow work|largest deposit.*|business days to cancel in|OSHA.+", told="",
             otherwise="", bears=_told_elsewhere),
)  # fmt: skip
UNREAD = _Reading(of="", told="", otherwise="Design and price may change.")
_RULE_WORDS = {
    "rules: soak house setback": "soakaway's distance from the house",
    "rules: soak boundary setback": "soakaway's distance from the boundary",
    "rules: soak above water": "soakaway's height above ground water",
    "rules: open trench inspection": "open trench is inspected",
}


def assumed_blocks(design: Design) -> tuple[Block, ...]:
    """What nobody measured and this job hangs on, the dearest first; then the notes of the visit.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of Block
        A table; what does not bear on this job is left to the worksheet, and counted.
    """
    marked = leaned_on(design.job)
    rows = assumed_rows(design)
    left = sum(not _reading(item).bears(design, _name(item)) for item in marked)
    blocks: list[Block] = [Heading(text="What this proposal assumes")]
    columns = (
        Column(head="What nobody measured", width=2.7), Column(head="Taken as", width=4.3),
        Column(head="How known", width=1.4), Column(head="If it is otherwise", width=4.2),
    )  # fmt: skip
    if rows:
        blocks.append(Table(columns=columns, rows=rows, size=0.84, tight=True))
    else:
        blocks.append(Paragraph(text="Nothing that bears on this job: all of it was measured or looked up."))
    if left:
        are = "value that bears" if left == 1 else "values that bear"
        blocks.append(
            Paragraph(text=f"{left} more {are} little on this price stand in the worksheet.", style="soft")
        )  # fmt: skip
    own = lines(design.job.notes)
    if own:
        blocks += [Heading(text="Notes of the visit", level=2), Bullets(items=own)]
    return tuple(blocks)


def assumed_rows(design: Design) -> tuple[Row, ...]:
    """The table's rows: what, taken as what, how known, what comes of it if it is otherwise."""
    groups: dict[tuple[int, str, str], list[Marked]] = {}
    for item in leaned_on(design.job):
        reading = _reading(item)
        if reading.bears(design, _name(item)):
            rank = READINGS.index(reading) if reading in READINGS else len(READINGS)
            value = "" if reading.told == RULES else item.value
            key = (rank if reading.told != RULES else len(READINGS) - 1, value, f"{item.basis}{item.source}")
            groups.setdefault(key, []).append(item)
    told = [(key[0], _row(items, design)) for key, items in sorted(groups.items(), key=lambda pair: pair[0][0])]
    water = [(1, row) for row in _ground_water(design)]
    return tuple(row for _, row in sorted([*told, *water], key=lambda pair: pair[0]))


def _row(items: list[Marked], design: Design) -> Row:
    first = items[0]
    reading = _reading(first)
    known, source = BASIS_WORDS[first.basis], f" ({first.source})" if first.source else ""
    if reading.told == RULES:
        what = "Rules of the place that nobody has looked up" if len(items) > 1 else RULES
        values = "; ".join(f"{_RULE_WORDS.get(item.what, item.what)}: {item.value}" for item in items)
        return (
            Cell(text=what, weight="semibold"),
            values + source,
            known,
            "The place decides; works or dates may change.",
        )
    names = list(dict.fromkeys(name for name in map(_name, items) if name))
    what = (reading.told or first.what) + (f": {joined(names)}" if names else "")
    value = "a rain table" if first.what == "rain table" else first.value
    otherwise = reading.otherwise if design.system.stations else reading.otherwise.replace("a larger pump or ", "")
    return (Cell(text=what, weight="semibold"), f"{value}{source}".strip() or "–", known, otherwise)


def _ground_water(design: Design) -> list[Row]:
    """What the amount of ground water hangs on: an unknown height, and a rule of thumb that says more."""
    rows = list[Row]()
    if not _drained(design, ""):
        return rows
    if design.site.water_table is None:
        rows.append((
            Cell(text="Height of the ground water in the wet season", weight="semibold"),
            "Nobody has found it.", BASIS_WORDS[design.job.rain.basis.ASSUMED],
            "More water may come: look in a test hole first.",
        ))  # fmt: skip
    flow = sum(item.flow for item in design.inflows.contributions if item.cause is Cause.GROUND)
    usual = usual_groundwater(design.site)
    if usual > flow:
        rows.append((
            Cell(text="Water that comes out of the ground", weight="semibold"),
            f"{_both(flow, design)}; a rule of thumb for such houses says {_both(usual, design)}. Pumping down a pit "
            "and timing its rise would settle it.", "worked out",
            f"{_if_usual(flow, usual, design)} Rain that runs down loose fill comes on top.",
        ))  # fmt: skip
    return rows


def _both(flow: float, design: Design) -> str:
    """A flow in the one unit in which two are set beside each other."""
    units = design.job.units
    return write(flow, "flow", units, "gpm" if units == "US" else "L/min")


def _if_usual(flow: float, usual: float, design: Design) -> str:
    """What it would mean for pump and drains if the rule of thumb were right."""
    parts = []
    for station in design.system.by_house:
        more = station.inflow + (usual - flow) * (station.inflow_ground / flow if flow > 0.0 else 1.0)
        enough = more <= station.operating_flow
        whole = f"{_both(more, design)} in the design rain; it lifts {_both(station.operating_flow, design)}"
        parts.append(
            f"If that were right, {station.name}'s pump would get {whole}: {'enough' if enough else 'too little'}."
        )
    if not parts:
        least = min((run.capacity for run in design.system.runs if run.duty == "footing drain"), default=0.0)
        enough = usual <= least
        parts.append(
            f"If that were right, the footing drain would get {_both(usual, design)}; its pipe carries "
            f"{_both(least, design)} when full: {'enough' if enough else 'too little'}."
        )
    return " ".join(parts)


def _reading(item: Marked) -> _Reading:
    return next((reading for reading in READINGS if re.fullmatch(reading.of, item.what)), UNREAD)


def _name(item: Marked) -> str:
    match = re.fullmatch(_reading(item).of, item.what)
    return "" if match is None else match.groupdict().get("name") or ""


__all__ = ["assumed_blocks", "assumed_rows"]
