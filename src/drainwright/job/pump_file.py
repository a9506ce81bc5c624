"""The firm's own pumps in a CSV file beside the job: a row for each point of a sheet, or a row for each pump."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from pydantic import ValidationError

from drainwright.errors import JobError, Problem
from drainwright.job.catalogue_file import Catalogue, Heading
from drainwright.job.loading import short
from drainwright.job.model import Job
from drainwright.job.pump_sheet import sheet_problems
from drainwright.job.works import Pump

#: Headings besides name, flow and head: the key of the job document, and whether the heading must name a unit.
_COLUMNS = {
    "power": ("label_power", True),
    "port": ("discharge_size", False),
    "float": ("float_kind", False),
    "band": ("float_band", True),
    "off": ("minimum_depth", True),
    "starts": ("starts_limit", True),
    "switch": ("switch_starts", False),
    "current": ("current", True),
    "solids": ("solids", True),
    "weight": ("weight", True),
    "input": ("input_power", True),
    "price": ("price", False),
    "battery": ("direct_current", False),
}
_EXAMPLES = {"name": "", "flow": "flow (gpm)", "head": "head (ft)"}
PUMPS = Catalogue(
    part="pumps", rows="a row for each pump, or for each of its points", most=200,
    units=_EXAMPLES | {word: f"{word} with its unit in brackets" if one[1] else "" for word, one in _COLUMNS.items()},
    numbered=frozenset({"flow", "head"}),
)  # fmt: skip
_NUMBER = re.compile(r"[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}")
_YES = {"yes": True, "no": False, "": False}


@dataclass(slots=True)
class _Sheet:
    """A pump as the rows give it."""

    line: int
    values: dict[str, Any]
    points: list[tuple[int, dict[str, str]]] = field(default_factory=list)  # with their lines
    amiss: bool = False  # a cell of its points is no number, which is told


def fill_pumps(job: Job, folder: Path | None) -> Job:
    """The job with the pumps of its file among its own: those written in the job come first.

    Raises
    ------
    JobError
        If the file is missing, lies elsewhere, or is no table of pumps; each problem with its line.
    """
    return PUMPS.fill(job, folder, lambda text, name: read_pumps(text, name, job.units))


def read_pumps(text: str, name: str = "pumps.csv", units: Literal["US", "SI"] = "US") -> tuple[Pump, ...]:
    r"""Read a table of pumps.

    Parameters
    ----------
    text : str
        Comma-separated values. The first line names the columns, with units: ``name, flow (gpm), head (ft)`` for one
        row a point (rows of one pump follow each other), or ``name, flow 1 (gpm), head 1 (ft), flow 2 (gpm) ...`` for
        one row a pump, where the cells after its last point stay empty. Further columns, in any order: power (hp),
        port, float, band (in), off (in), starts (/h), switch, current (A), solids (in), weight (lb), input (W), price,
        battery (yes or no). Empty lines, and lines that begin with #, are skipped.
    name : str
        What the errors call the file.
    units : str
        That errors are written in.

    Returns
    -------
    tuple of Pump
        In the file's order.

    Raises
    ------
    JobError
        Lists every problem that was found, with its line.

    Examples
    --------
    >>> pump, = read_pumps("name,flow (gpm),head (ft)\nA,0,20\nA,30,5\n")
    >>> pump.name, len(pump.curve)
    ('A', 2)
    """
    line, columns, rows = PUMPS.opened(text, name)
    flows, heads = ({column.number for column in columns if column.word == word} for word in ("flow", "head"))
    named = any(column.word == "name" for column in columns)
    if not named or not flows or flows != heads or (0 in flows and len(flows) > 1):
        wanted = "name, then flow and head, or flow 1, head 1, flow 2, head 2 and so on"
        raise JobError((PUMPS.problem(name, line, "headings without name, flow and head in pairs", wanted),))
    problems: list[Problem] = []
    sheets: list[_Sheet] = []
    for line, cells in PUMPS.filled_rows(rows, columns, problems, name):
        _row(columns, cells, sheets, problems, name, line)
    pumps = [pump for sheet in sheets for pump in _pump(sheet, problems, name, units)]
    PUMPS.told(problems, name, line, rows=bool(sheets))
    return tuple(pumps)


def _row(
    columns: list[Heading], cells: list[str], sheets: list[_Sheet], problems: list[Problem], name: str, line: int
) -> None:
    """Add one row: a point to the pump that it names, or a pump."""
    values: dict[str, Any] = {}
    points: dict[int, dict[str, str]] = {}
    amiss = False
    for column, cell in zip(columns, cells, strict=True):
        if not cell:
            continue
        if column.word in ("flow", "head"):
            if not _NUMBER.fullmatch(cell):
                said = f"{short(cell)} as {column.word}"
                problems.append(
                    PUMPS.problem(name, line, said, "a number, zero or more; its unit stands in the heading")
                )
                amiss = True
            points.setdefault(column.number, {})[column.word] = f"{cell} {column.unit}"
        elif column.word == "name":
            values["name"] = cell
        elif column.word == "battery":
            if cell.lower() not in _YES:
                problems.append(PUMPS.problem(name, line, f"{short(cell)} as battery", "yes or no"))
            values["direct_current"] = _YES.get(cell.lower(), False)
        elif column.word == "price":
            if not _NUMBER.fullmatch(cell):
                expected = "a number, zero or more, without a sign of the currency"
                problems.append(PUMPS.problem(name, line, f"{short(cell)} as price", expected))
            else:
                values["price"] = float(cell)
        else:
            values[_COLUMNS[column.word][0]] = f"{cell} {column.unit}".strip()
    if "name" not in values:
        problems.append(PUMPS.problem(name, line, "a row without a name", "the pump's name in each row"))
        return
    problems += [
        PUMPS.problem(name, line, f"a {next(iter(point))} without its {'head' if 'flow' in point else 'flow'}", "both")
        for point in points.values()
        if len(point) == 1
    ]
    whole = [(line, point) for _, point in sorted(points.items()) if len(point) == 2]
    if 0 in points and sheets and sheets[-1].values["name"] == values["name"]:
        sheet = sheets[-1]
        for key, value in values.items():
            if sheet.values.setdefault(key, value) != value:
                problems.append(
                    PUMPS.problem(name, line, f"another {key.replace('_', ' ')} of {short(values['name'])}", "one")
                )
        sheet.points += whole
        sheet.amiss |= amiss
        return
    if any(sheet.values["name"] == values["name"] for sheet in sheets):
        problems.append(
            PUMPS.problem(
                name, line, f"the pump {short(values['name'])} again", "the rows of one pump after each other"
            )
        )
        return
    sheets.append(_Sheet(line, values, whole, amiss))


def _pump(sheet: _Sheet, problems: list[Problem], name: str, units: Literal["US", "SI"]) -> Iterator[Pump]:
    """The pump that a sheet makes; nothing where it makes none, which is told."""
    said = sheet.values["name"]
    if sheet.amiss:
        return
    if len(sheet.points) < 2:
        found = f"{len(sheet.points)} points of {short(said)}" if sheet.points else f"no point of {short(said)}"
        problems.append(PUMPS.problem(name, sheet.line, found.replace("1 points", "1 point"), "two points or more"))
        return
    try:
        pump = Pump.model_validate(sheet.values | {"curve": [point for _, point in sheet.points]})
    except ValidationError as error:
        for item in error.errors():
            place = item["loc"]
            if place == ("curve",) and len(error.errors()) > 1:
                continue  # it follows from what is wrong with the points
            index = place[1] if len(place) > 1 and place[0] == "curve" and isinstance(place[1], int) else None
            line = sheet.line if index is None else sheet.points[index][0]
            word = next((key for key, (target, _) in _COLUMNS.items() if target == place[0]), str(place[-1]))
            given = short(item["input"])
            problems.append(PUMPS.problem(name, line, f"{given} as {word} of {short(said)}", _wanted(item["msg"])))
        return
    for problem in sheet_problems(pump, said, units):
        index = int(problem.where.rpartition("curve[")[2].partition("]")[0])
        problems.append(PUMPS.problem(name, sheet.points[index][0], f"{said}: {problem.found}", problem.expected))
    yield pump


def _wanted(message: str) -> str:
    """What the schema wants, without what it found: that is told already."""
    wanted = message.removeprefix("Value error, ").removeprefix("Input should be ").removeprefix("String should have ")
    return wanted.partition("expected ")[2] or wanted


__all__ = ["fill_pumps", "read_pumps"]
