"""Points in text, as surveyors hand them over: point, north, east, level, code, in that order or under headings."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import numpy as np

from drainwright.exchange.shots import (
    METRES,
    FileError,
    LengthUnit,
    Shots,
    counted,
    read_text,
    said_unit,
    short,
)

MOST_BYTES = 40_000_000
MOST_ROWS = 400_000
ORDER = ("P", "N", "E", "Z", "D")  # of a file without headings
HEADINGS: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(
            ("p", "point", "pt", "no", "nr", "id", "name", "number", "point no", "point id", "point name",
             "point number", "pt no", "pt id", "pnt", "pno"), "P"),
        **dict.fromkeys(("n", "north", "northing", "northings", "y", "y north"), "N"),
        **dict.fromkeys(("e", "east", "easting", "eastings", "x", "x east"), "E"),
        **dict.fromkeys(
            ("z", "elev", "elevation", "level", "reduced level", "height", "h", "alt", "altitude", "rl"), "Z"),
        **dict.fromkeys(
            ("d", "desc", "description", "code", "feature", "feature code", "descriptor", "remark", "note"), "D"),
    }
)  # fmt: skip
_WORDS = {"P": "point", "N": "north", "E": "east", "Z": "level", "D": "code"}
_NUMBER = re.compile(r"[-+]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,2})?")
_UNIT = re.compile(r"(?P<head>.*?)\s*(?:[(\[](?P<bracket>[^)\]]*)[)\]]|,\s*(?P<comma>.+)|[_ ](?P<tail>m|ft|usft))")
_SAID = re.compile(r"\bunits?\b\s*[:=]?\s*(?:in\s+)?(?P<unit>[A-Za-z][A-Za-z \-]*)", re.IGNORECASE)
_COMMENT = ("#", "//", "!", "'")


@dataclass(frozen=True, slots=True)
class _Row:
    line: int  # of the file, from 1
    cells: tuple[str, ...]


@dataclass(slots=True)
class _Layout:
    """Where each column stands."""

    at: dict[str, int]
    unit: LengthUnit | None = None
    level_unit: LengthUnit | None = None
    headed: bool = False
    wide: int = 0  # columns that the file should have


def read_points(
    path: str | Path,
    unit: LengthUnit | None = None,
    level_unit: LengthUnit | None = None,
    columns: Sequence[str] = (),
) -> Shots:
    """Read a points file.

    Parameters
    ----------
    path : str | Path
        Text: commas, semicolons (then with decimal commas, too), tabs or blanks. Lines that begin with ``#``,
        ``//`` or ``!`` are comments.
    unit : {"m", "ft", "US survey ft"}, optional
        Of the plan; left out, a heading (``N (ft)``) or a comment (``# unit: ft``) must say it.
    level_unit : same, optional
        Of the levels; left out: said by the heading, else as the plan.
    columns : sequence of str
        Letters of ``P N E Z D``, ``-`` for one to pass over, of a file without headings; left out: P, N, E, Z, D.

    Returns
    -------
    Shots
        Every row of the file.

    Raises
    ------
    FileError
        If a row cannot be read, a column is missing, or nobody says the unit; names the line. No row is dropped.
    """
    path = Path(path)
    text = read_text(path, MOST_BYTES)
    lines, comments = _lines(text)
    if not lines:
        raise FileError("no rows", "rows of point, north, east, level, code", file=path.name)
    if len(lines) > MOST_ROWS:
        raise FileError(f"{len(lines):,} rows", f"at most {MOST_ROWS:,}", "thin the points before", path.name)
    mark = _delimiter([line for _, line in lines[:20]])
    rows = [_Row(number, _cells_of(path.name, number, line, mark)) for number, line in lines]
    comma = mark in (";", "\t") and _decimal_comma(rows)
    layout, first, notes = _layout(rows, tuple(columns), path.name, comma)
    said = _said(comments)
    plan_unit = _one_unit("the plan", unit, layout.unit or said, path.name)
    if plan_unit is None:
        raise FileError(
            "no unit", "a unit that is given, or said by a heading such as 'N (ft)'",
            "say m, ft or US survey ft", path.name,
        )  # fmt: skip
    height_unit = _one_unit("the levels", level_unit, layout.level_unit, path.name) or plan_unit
    body = rows[first:]
    if not body:
        raise FileError("a heading and no rows", "rows of points under it", file=path.name)
    names, codes, values = _values(body, layout, comma, path.name)
    notes += _told_twice(names, values, body)
    if not layout.headed:
        notes += _doubts(values, columns)
    return Shots(
        source=path.name,
        east=values[:, 0] * METRES[plan_unit],
        north=values[:, 1] * METRES[plan_unit],
        level=values[:, 2] * METRES[height_unit],
        names=tuple(names),
        codes=tuple(codes),
        unit=plan_unit,
        level_unit=height_unit,
        notes=tuple(notes),
    )


def _lines(text: str) -> tuple[list[tuple[int, str]], list[str]]:
    """Numbered lines with something on them, and the comments."""
    lines, comments = [], []
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        bare = line.strip(" \t\ufeff\x1a")
        if bare.startswith(_COMMENT):
            comments.append(bare)
        elif bare:
            lines.append((number, line.strip("\ufeff\x1a")))
    return lines, comments


def _delimiter(sample: Sequence[str]) -> str:
    """Semicolon, tab or comma where half of the sample's lines have two of them outside quotes, else blanks."""
    bare = [re.sub(r'"[^"]*"', "", line) for line in sample]
    often = (mark for mark in ";\t," if 2 * sum(line.count(mark) >= 2 for line in bare) >= len(bare))
    once = (mark for mark in ";\t," if mark in bare[0] and " " not in bare[0])
    return next(often, None) or next(once, " ")


def _cells_of(name: str, number: int, line: str, mark: str) -> tuple[str, ...]:
    try:
        return _cells(line, mark)
    except csv.Error as error:  # a cell of more than 131,072 characters
        raise FileError(
            f"a row that cannot be read ({error})", "a row of a few cells", file=name, line=number
        ) from None


def _cells(line: str, mark: str) -> tuple[str, ...]:
    if mark == " ":
        line = " ".join(line.split())
    return tuple(cell.strip() for cell in next(csv.reader([line], delimiter=mark, skipinitialspace=True)))


def _decimal_comma(rows: Sequence[_Row]) -> bool:
    cells = [cell for row in rows[:50] for cell in row.cells]
    return any(re.fullmatch(r"[-+]?[0-9]+,[0-9]+", cell) for cell in cells) and not any(
        re.fullmatch(r"[-+]?[0-9]+\.[0-9]+", cell) for cell in cells
    )


def _number(cell: str, comma: bool) -> float | None:
    text = cell.replace(",", ".") if comma else cell
    return float(text) if _NUMBER.fullmatch(text) else None


def _layout(rows: Sequence[_Row], columns: tuple[str, ...], file: str, comma: bool) -> tuple[_Layout, int, list[str]]:
    """Where the columns stand, the first row of points, and notes."""
    head = rows[0]
    is_heading = all(_number(cell, comma) is None for cell in head.cells)
    if columns:
        _check_columns(columns, file)
        note = [f"The heading is passed over, since columns are given: {short(' '.join(head.cells))}."]
        at = {c: n for n, c in enumerate(columns) if c != "-"}
        return _Layout(at, wide=len(columns)), int(is_heading), note if is_heading else []
    if is_heading:
        layout, notes = _headed(head, file)
        return layout, 1, notes
    wide = max(len(row.cells) for row in rows[:50])
    if wide < 4:
        raise FileError(
            f"{wide} columns without headings", "point, north, east, level (and code) in that order",
            "write headings, or say the 'columns', such as N, E, Z", file, head.line,
        )  # fmt: skip
    wide = min(wide, len(ORDER))
    return _Layout({c: n for n, c in enumerate(ORDER[:wide])}, wide=wide), 0, []


def _check_columns(columns: tuple[str, ...], file: str) -> None:
    known = [c for c in columns if c != "-"]
    if set(known) - set(ORDER) or len(set(known)) < len(known) or not {"N", "E", "Z"} <= set(known):
        raise FileError(f"columns {', '.join(columns)}", "N, E and Z once each, P, D or - beside them", file=file)


def _headed(head: _Row, file: str) -> tuple[_Layout, list[str]]:
    at: dict[str, int] = {}
    units: dict[str, LengthUnit] = {}
    others = []
    for number, cell in enumerate(head.cells):
        name, unit = _heading(cell)
        letter = HEADINGS.get(name)
        if name in ("lat", "latitude", "lon", "long", "longitude"):
            raise FileError(
                f"a column {short(cell)}", "east and north in metres or feet",
                "a file of longitude and latitude: hand it over as GeoJSON", file, head.line,
            )  # fmt: skip
        if letter is None:
            others.append(cell)
            continue
        if letter in at:
            raise FileError(
                f"two columns for the {_WORDS[letter]}: {short(head.cells[at[letter]])} and {short(cell)}", "one",
                "rename the one that is not meant", file, head.line,
            )  # fmt: skip
        at[letter] = number
        if unit is not None:
            units[letter] = unit
    missing = [_WORDS[letter] for letter in "NEZ" if letter not in at]
    if missing:
        raise FileError(
            f"headings {short(', '.join(head.cells), 80)}, without {' and '.join(missing)}",
            "headings such as point, north, east, level, code", file=file, line=head.line,
        )  # fmt: skip
    if units.get("N") != units.get("E"):
        raise FileError("north and east in unlike units", "one unit for both", file=file, line=head.line)
    notes = [f"Columns passed over: {counted(others)}."] if any(others) else []
    return _Layout(at, units.get("N"), units.get("Z"), headed=True, wide=len(head.cells)), notes


def _heading(cell: str) -> tuple[str, LengthUnit | None]:
    """The heading's bare words, and the unit that it says."""
    text = " ".join(cell.lower().replace(".", " ").split()).strip("#* ")
    match = _UNIT.fullmatch(text)
    if match is not None:
        unit = said_unit(match["bracket"] or match["comma"] or match["tail"] or "")
        if unit is not None:
            return match["head"].replace("_", " ").strip(), unit
    return text.replace("_", " ").strip(), None


def _said(comments: Sequence[str]) -> LengthUnit | None:
    found = {unit for line in comments for match in _SAID.finditer(line) if (unit := said_unit(match["unit"]))}
    return found.pop() if len(found) == 1 else None


def _one_unit(what: str, given: LengthUnit | None, said: LengthUnit | None, file: str) -> LengthUnit | None:
    if given is not None and said is not None and given != said:
        raise FileError(f"{said} as the unit of {what} in the file, and {given} given", "one of them", file=file)
    return given or said


def _values(
    rows: Sequence[_Row], layout: _Layout, comma: bool, file: str
) -> tuple[list[str], list[str], np.ndarray[tuple[int, int], np.dtype[np.float64]]]:
    at = layout.at
    code_at, name_at = at.get("D"), at.get("P")
    needed = max(at[letter] for letter in "NEZ") + 1
    wide = layout.wide
    names, codes = [], []
    values = np.empty((len(rows), 3))
    for number, row in enumerate(rows):
        cells = row.cells
        if len(cells) < needed:
            raise FileError(
                f"{len(cells)} fields, {short(' | '.join(cells))}", f"{needed} or more", file=file, line=row.line
            )
        if len(cells) > wide and any(cells[wide:]):  # the rest of a code that holds the delimiter, or a slip
            if (
                code_at is None
                or code_at != wide - 1
                or all(_number(cell, comma) is not None for cell in cells[code_at:] if cell)
            ):
                raise FileError(
                    f"{len(cells)} fields, {short(' | '.join(cells))}", f"{wide}, {' '.join(at)}",
                    "decimal commas want semicolons between the fields; or say the 'columns'", file, row.line,
                )  # fmt: skip
            cells = (*cells[:code_at], " ".join(cell for cell in cells[code_at:] if cell))
        for place, letter in enumerate("ENZ"):
            value = _number(cells[at[letter]], comma)
            if value is None or not -1e9 < value < 1e9:
                found = short(cells[at[letter]]) if cells[at[letter]] else "nothing"
                raise FileError(
                    f"{found} as the {_WORDS[letter]}", "a plain number such as 1023.45", file=file, line=row.line
                )
            values[number, place] = value
        names.append(cells[name_at] if name_at is not None and name_at < len(cells) else "")
        codes.append(cells[code_at] if code_at is not None and code_at < len(cells) else "")
    return names, codes, values


def _told_twice(
    names: Sequence[str], values: np.ndarray[tuple[int, int], np.dtype[np.float64]], rows: Sequence[_Row]
) -> list[str]:
    """A note of names that several rows bear."""
    first: dict[str, int] = {}
    again = []
    for number, name in enumerate(names):
        if name and name in first:
            same = bool(np.all(np.abs(values[number] - values[first[name]]) < 1e-3))
            how = "the same shot" if same else "another shot"
            again.append(f"{name} (lines {rows[first[name]].line} and {rows[number].line}, {how})")
        first.setdefault(name, number)
    return [f"Point names borne twice, both kept: {counted(again)}."] if again else []


def _doubts(values: np.ndarray[tuple[int, int], np.dtype[np.float64]], columns: Sequence[str]) -> list[str]:
    """Without headings nobody says which column is north."""
    east, north = np.median(values[:, 0]), np.median(values[:, 1])
    read = ", ".join(_WORDS.get(letter, "passed over") for letter in columns or ORDER)
    note = f"Without headings the columns are taken as {read}"
    if not columns and abs(east) > 3.0 * abs(north) > 3000.0:
        note += "; the second column is much the smaller, as eastings often are: NORTH AND EAST MAY BE SWAPPED"
    return [f"{note}. If the ground comes out as in a mirror, north and east are swapped."]


def points_text(shots: Shots, unit: LengthUnit = "m", title: str = "points", decimals: int | None = None) -> str:
    """Points as CSV in the order P, N, E, Z, D.

    Parameters
    ----------
    shots : Shots
        The points; without names they are numbered from 1.
    unit : {"m", "ft", "US survey ft"}
        Of the numbers; a comment at the head says it, and so does the heading.
    title : str
        What the comment calls them.
    decimals : int, optional
        Left out: 5, so that a tenth of a millimetre lasts in feet and metres.

    Returns
    -------
    str
        The text; ``read_points`` reads it back.
    """
    places = 5 if decimals is None else decimals
    return "".join(_written(shots, unit, title, places))


def _written(shots: Shots, unit: LengthUnit, title: str, places: int) -> Iterator[str]:
    yield f"# {' '.join(title.split())}: point, north, east, level, code; unit: {unit}\n"
    yield f"P,N ({unit}),E ({unit}),Z ({unit}),D\n"
    factor = METRES[unit]
    for number in range(len(shots)):
        name = shots.names[number] if shots.names and shots.names[number] else str(number + 1)
        code = shots.codes[number] if shots.codes else ""
        figures = (shots.north[number], shots.east[number], shots.level[number])
        yield ",".join([_quoted(name), *(f"{value / factor:.{places}f}" for value in figures), _quoted(code)]) + "\n"


def _quoted(text: str) -> str:
    plain = " ".join(text.split())
    doubled = plain.replace('"', '""')
    return f'"{doubled}"' if set(plain) & set(',"') or plain.startswith(_COMMENT) else plain


__all__ = ["HEADINGS", "ORDER", "points_text", "read_points"]
