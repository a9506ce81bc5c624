"""Pumps written as a table: the same that ``pump_file`` reads, a row for each point of a sheet."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import Any, Literal

from pydantic import ValidationError

from drainwright.errors import JobError, Problem
from drainwright.job.explain import problems_of
from drainwright.job.pump_sheet import sheet_problems
from drainwright.job.works import Pump
from drainwright.quantities import Kind, convert, write

Units = Literal["US", "SI"]
#: Heading, field of ``Pump``, kind, and the styles it is written in for US and SI units.
COLUMNS: tuple[tuple[str, str, Kind | None, tuple[str, str]], ...] = (
    ("power", "label_power", Kind.POWER, ("hp", "W")),
    ("port", "discharge_size", None, ("", "")),
    ("float", "float_kind", None, ("", "")),
    ("band", "float_band", Kind.LENGTH, ("in", "mm")),
    ("off", "minimum_depth", Kind.LENGTH, ("in", "mm")),
    ("starts", "starts_limit", Kind.RATE, ("/h", "/h")),
    ("switch", "switch_starts", None, ("", "")),
    ("current", "current", Kind.CURRENT, ("A", "A")),
    ("solids", "solids", Kind.LENGTH, ("in", "mm")),
    ("weight", "weight", Kind.MASS, ("lb", "kg")),
    ("input", "input_power", Kind.POWER, ("W", "W")),
    ("price", "price", None, ("", "")),
    ("battery", "direct_current", None, ("", "")),
)
POINT = {"US": (("flow", Kind.FLOW, "gpm"), ("head", Kind.LENGTH, "ft")),
         "SI": (("flow", Kind.FLOW, "L/s"), ("head", Kind.LENGTH, "m"))}  # fmt: skip

_FLOW = re.compile(r"\bflow\s*\d*\s*\(\s*(?P<unit>[^)]*)\)")


def pumps_csv(pumps: Sequence[Pump], units: Units = "US") -> str:
    """A table of pumps that reads back as these.

    Parameters
    ----------
    pumps : sequence of Pump
        In the order to be kept.
    units : str
        That the table is written in.

    Returns
    -------
    str
        Comma-separated values for ``read_pumps``; what a pump does not say is left empty. A name that a spreadsheet
        would take for a formula begins with a space, which is read as if it were not there.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    system = 0 if units == "US" else 1
    heads = [f"{word} ({style[system]})" if kind else word for word, _, kind, style in COLUMNS]
    writer.writerow(["name", *(f"{word} ({unit})" for word, _, unit in POINT[units]), *heads])
    for pump in pumps:
        name = f" {pump.name}" if pump.name[:1] in "=+-@" else pump.name
        said = cells_of(pump, units)
        told = [said[word] for word, *_ in COLUMNS]
        for point, rest in zip_longest(points_of(pump, units), [told], fillvalue=[""] * len(COLUMNS)):
            writer.writerow([name, *point, *rest])
    return stream.getvalue()


def points_of(pump: Pump, units: Units = "US") -> Iterator[list[str]]:
    """Flow and head of each point as bare numbers."""
    for point in pump.curve:
        yield [_bare(getattr(point, word), kind, units, style) for word, kind, style in POINT[units]]


def cells_of(pump: Pump, units: Units = "US") -> dict[str, str]:
    """What a pump says besides its name and points, by heading, as bare numbers and words."""
    found = {}
    for word, field, kind, styles in COLUMNS:
        value = getattr(pump, field)
        if value is None or (kind and value == Pump.model_fields[field].default):
            found[word] = ""  # what no sheet says stays unsaid
        elif field == "direct_current":
            found[word] = "yes" if value else "no"
        elif kind is None:
            found[word] = f"{value:g}" if isinstance(value, float) else str(value)
        else:
            found[word] = _bare(value, kind, units, styles[0 if units == "US" else 1])
    return found


def _bare(value: float, kind: Kind, units: Units, style: str) -> str:
    return f"{convert(value, kind, units, style):.6g}"


def pump_of(values: Mapping[str, Any], units: Units = "US") -> Pump:
    """A pump from what was typed.

    Parameters
    ----------
    values : mapping
        As in a job document: ``{"name": ..., "curve": [{"flow": "20 gpm", "head": "18 ft"}, ...]}``.
    units : str
        That errors are written in.

    Returns
    -------
    Pump
        Whole, with a curve that falls.

    Raises
    ------
    JobError
        Lists every fault by the field where it stands.
    """
    record = {name: value for name, value in values.items() if value not in (None, "")}
    try:
        pump = Pump.model_validate(record, context={"document": True})
    except ValidationError as error:
        raise JobError(problems_of(error, Pump, record, "", {})) from None
    problems = [
        Problem(where=one.where.removeprefix("pump."), found=one.found, expected=one.expected)
        for one in sheet_problems(pump, "pump", units)
    ]
    if pump.name != " ".join(pump.name.split()) or not pump.name or pump.name.startswith("#"):
        wanted = "a name in one line that begins with no space and no #, which marks a remark in a table"
        problems.append(Problem(where="name", found=repr(pump.name), expected=wanted))
    if problems:
        raise JobError(tuple(problems))
    return pump


def with_pump(pumps: Sequence[Pump], pump: Pump, was: str = "") -> tuple[Pump, ...]:
    """Pumps with one more, or with one in the place of that of the name it had.

    Raises
    ------
    JobError
        If another pump has its name, or there is none of the name it had.
    """
    names = [one.name for one in pumps]
    if was and was not in names:
        wanted = f"one of: {', '.join(names[:20])}" if names else "the name of a pump that is there"
        raise JobError((Problem(where="was", found=repr(was), expected=wanted),))
    if pump.name in names and pump.name != was:
        found = f"{pump.name!r}, which another pump has"
        raise JobError((Problem(where="name", found=found, expected="a name of its own"),))
    return tuple(pump if one.name == was else one for one in pumps) if was else (*pumps, pump)


def merged(pumps: Sequence[Pump], others: Sequence[Pump]) -> tuple[Pump, ...]:
    """Pumps with others put in the place of those of the same names, and after them."""
    new = {one.name: one for one in others}
    return (*(new.pop(one.name, one) for one in pumps), *new.values())


def units_of(text: str) -> Units:
    """The units that a table of pumps is written in, by the unit of its flows."""
    unit = _FLOW.search(text.partition("\n")[0].lower())
    return "SI" if unit and unit["unit"][:1] in "lm" else "US"


def pump_words(pump: Pump, units: Units = "US") -> str:
    """The ends of a pump's curve for people."""
    style, digits = ("ft", 0) if units == "US" else ("m", 1)
    told = [
        f"{write(point.flow, 'flow', units)} at {write(point.head, 'length', units, style, digits)}" if point.flow
        else f"{write(point.head, 'length', units, style, digits)} shut off"
        for point in (pump.curve[0], pump.curve[-1])
    ]  # fmt: skip
    return ", ".join(told)


__all__ = [
    "COLUMNS",
    "POINT",
    "Units",
    "cells_of",
    "merged",
    "points_of",
    "pump_of",
    "pump_words",
    "pumps_csv",
    "units_of",
    "with_pump",
]
