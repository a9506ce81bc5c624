"""The level book: rod readings reduced by height of instrument, closed and adjusted.

A book is one or more *sections*. A section opens with a backsight on a mark of known level (a benchmark, or a
point whose level the job states), goes on by turning points, and closes where a foresight returns to a benchmark
or to the mark it opened on. Each section is adjusted alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from drainwright.errors import JobError, Problem
from drainwright.field.blunders import long_sights
from drainwright.field.model import BookLine, LevelBook
from drainwright.field.words import Units, fine, nearest
from drainwright.job.survey import LevelRow
from drainwright.worksheet import Card, catalogued, place

ASSUMED_SIGHT = 15.24  # length of a sight that the book leaves out: 50 ft, common practice, no source [m]
SPREAD_TOLD = 0.005  # two levels of one point further apart than this are noted [m]


@catalogued(
    Card(
        title="Height of instrument",
        symbol="HI",
        expression="level + backsight",
        units={"level": "m", "backsight": "m", "result": "m"},
        source="levelling",
    )
)
def height_of_instrument(level: float, backsight: float) -> float:
    """Level of the line of sight: HI = level of the mark + backsight.

    Parameters
    ----------
    level : float
        Level of the mark sighted. [m]
    backsight : float
        Rod reading on it; negative for a rod held upside down above the line of sight. [m]

    Returns
    -------
    float
        Height of instrument. [m]
    """
    return level + backsight


@catalogued(
    Card(
        title="Level of a sighted point",
        symbol="z",
        expression="instrument_height - reading",
        units={"instrument_height": "m", "reading": "m", "result": "m"},
        source="levelling",
    )
)
def sighted_level(instrument_height: float, reading: float) -> float:
    """Level of a point by a foresight or an intermediate sight: z = HI − reading.

    Parameters
    ----------
    instrument_height : float
        Height of instrument. [m]
    reading : float
        Rod reading; negative for a rod held upside down. [m]

    Returns
    -------
    float
        Level of the point. [m]
    """
    return instrument_height - reading


@catalogued(
    Card(
        title="Allowable misclosure of ordinary levelling",
        symbol="allowable",
        expression="0.01524 * sqrt(distance / 1609.344)",
        units={"distance": "m", "result": "m"},
        source="level_allowance",
        trial={"distance": (10.0, 5000.0)},
    )
)
def allowable_misclosure(distance: float) -> float:
    """Allowable misclosure: 0.05 ft × sqrt(miles levelled).

    Parameters
    ----------
    distance : float
        Sum of all sight lengths, zero or more. [m]

    Returns
    -------
    float
        Greatest misclosure that ordinary work may show, either way. [m]
    """
    return 0.01524 * math.sqrt(distance / 1609.344)


@catalogued(
    Card(
        title="Correction of a level, in proportion to the work done so far",
        symbol="c",
        expression="-misclosure * done / total",
        units={"misclosure": "m", "done": "-", "total": "-", "result": "m"},
        source="levelling",
    )
)
def level_correction(misclosure: float, done: float, total: float) -> float:
    """Share of the misclosure taken off at a turning point.

    Parameters
    ----------
    misclosure : float
        Level found for the closing mark minus its known level. [m]
    done, total : float
        Set-ups, or sight lengths, up to this point and in the whole section. [- or m]

    Returns
    -------
    float
        Correction to add. [m]
    """
    return -misclosure * done / total


@dataclass(slots=True)
class _SetUp:
    """One stand of the instrument: rows by their number in the book."""

    back: int
    between: list[int] = field(default_factory=list)
    fore: int | None = None


@dataclass(slots=True)
class _Section:
    start: float  # known level of the first backsight [m]
    opened_on: str
    set_ups: list[_SetUp] = field(default_factory=list)


@dataclass(slots=True)
class _Found:
    """What the reduction has gathered."""

    lines: dict[int, BookLine] = field(default_factory=dict)
    turned: dict[str, list[float]] = field(default_factory=dict)
    seen: dict[str, list[float]] = field(default_factory=dict)
    closures: list[tuple[float, float]] = field(default_factory=list)  # misclosure, allowable
    arithmetic: float = 0.0
    notes: list[str] = field(default_factory=list)


def _sections(rows: Sequence[LevelRow], benchmarks: Mapping[str, float], known: Mapping[str, float]) -> list[_Section]:
    """Split the book, and refuse one that cannot be followed."""
    problems: list[Problem] = []
    sections: list[_Section] = []
    marks = {**known, **benchmarks}
    waiting: str | None = None  # foresighted; the next backsight is due on it
    seen_between: set[str] = set()

    def wrong(number: int, found: str, expected: str, hint: str = "") -> None:
        problems.append(Problem(where=f"survey.level_book[{number}]", found=found, expected=expected, hint=hint))

    for number, row in enumerate(rows):
        current = sections[-1].set_ups[-1] if sections and sections[-1].set_ups else None
        if row.intermediate is not None:
            if current is None:
                wrong(number, f"an intermediate sight on {row.point}", "a backsight on a mark of known level first")
            else:
                current.between.append(number)
                seen_between.add(row.point)
        if row.foresight is not None:
            if current is None:
                wrong(number, f"a foresight on {row.point}", "a backsight on a mark of known level first")
            elif current.fore is not None:
                wrong(number, f"a second foresight in one set-up, on {row.point}", "one foresight a set-up, the last",
                      "Write the other as an 'intermediate' sight, or give the backsight between them.")  # fmt: skip
            else:
                current.fore = number
                waiting = row.point
        if row.backsight is None:
            continue
        if waiting == row.point and row.point not in benchmarks:
            sections[-1].set_ups.append(_SetUp(number))
        elif row.point in marks and (row.foresight is None or waiting == row.point):
            sections.append(_Section(marks[row.point], row.point, [_SetUp(number)]))
        elif not sections and row.foresight is not None:
            sections.append(_Section(0.0, row.point, [_SetUp(number)]))  # its foresight has been told already
        elif not sections:
            wrong(number, f"a first backsight on {row.point}, whose level is not known",
                  "a backsight on the benchmark or on a point with a 'level'",
                  nearest(row.point, marks) or f"Known: {', '.join(sorted(marks))}.")  # fmt: skip
            sections.append(_Section(0.0, row.point, [_SetUp(number)]))
        elif row.foresight is None:
            hint = f"The last foresight was on {waiting}." if waiting else "There was no foresight before it."
            if row.point in seen_between:
                hint = f"{row.point} was read as an 'intermediate' sight: write that one as a 'foresight'."
            wrong(number, f"a backsight on {row.point}", "a backsight on the point that was just foresighted", hint)
            sections[-1].set_ups.append(_SetUp(number))
        waiting = None
    if problems:
        raise JobError(tuple(problems))
    return sections


def _reduce(
    rows: Sequence[LevelRow], section: _Section, benchmarks: Mapping[str, float], found: _Found, units: Units
) -> None:
    """Reduce, close and adjust one section."""
    instruments: list[float] = []
    arrived: list[float] = []  # level at the end of each set-up, before adjustment
    level = section.start
    for set_up in section.set_ups:
        backsight = rows[set_up.back].backsight
        assert backsight is not None
        with place(f"survey.level_book[{set_up.back}]", f"set-up on {rows[set_up.back].point}"):
            instruments.append(height_of_instrument(level, backsight))
        if set_up.fore is not None:
            reading = rows[set_up.fore].foresight
            assert reading is not None
            with place(f"survey.level_book[{set_up.fore}]", rows[set_up.fore].point):
                level = sighted_level(instruments[-1], reading)
        arrived.append(level)
    complete = [set_up for set_up in section.set_ups if set_up.fore is not None]
    shares = [float(number + 1) for number in range(len(complete))]
    sights = [rows[number].distance for set_up in complete for number in (set_up.back, set_up.fore or 0)]
    lengths = [length for length in sights if length is not None]
    if lengths and len(lengths) == len(sights):
        shares = [sum(lengths[: 2 * number + 2]) for number in range(len(complete))]
    length = sum(lengths) + ASSUMED_SIGHT * (len(sights) - len(lengths))

    last = rows[complete[-1].fore or 0].point if complete else ""
    marks = {section.opened_on: section.start, **benchmarks}
    closed = last in marks and complete[-1] is section.set_ups[-1] if complete else False
    corrections = [0.0] * len(complete)
    if complete:
        back, fore = 0.0, 0.0
        for set_up in complete:
            back += rows[set_up.back].backsight or 0.0
            fore += rows[set_up.fore or 0].foresight or 0.0
        found.arithmetic += (back - fore) - (arrived[len(complete) - 1] - section.start)
    if closed:
        misclosure = arrived[-1] - marks[last]
        with place("survey.level_book", f"section {section.opened_on} to {last}"):
            found.closures.append((misclosure, allowable_misclosure(length)))
        for number, set_up in enumerate(complete):
            with place(f"survey.level_book[{set_up.fore}]", rows[set_up.fore or 0].point):
                corrections[number] = level_correction(misclosure, shares[number], shares[-1])
        if abs(misclosure) > found.closures[-1][1]:
            found.notes.append(
                f"The levels from {section.opened_on} to {last} miss by {fine(misclosure, units)}; "
                f"{fine(found.closures[-1][1], units)} is allowable."
            )
    else:
        found.notes.append(
            f"The levels that open on {section.opened_on} do not return to a benchmark: nothing checks them."
        )
    _write_lines(rows, section, instruments, arrived, [0.0, *corrections], found)


def _write_lines(
    rows: Sequence[LevelRow],
    section: _Section,
    instruments: Sequence[float],
    arrived: Sequence[float],
    corrections: Sequence[float],
    found: _Found,
) -> None:
    """Lines of the section, row by row; an intermediate sight is corrected as its set-up's backsight was."""

    def add(number: int, instrument: float, level: float, correction: float) -> None:
        row = rows[number]
        found.lines[number] = BookLine(
            point=row.point,
            backsight=row.backsight,
            intermediate=row.intermediate,
            foresight=row.foresight,
            instrument_height=instrument,
            level=level,
            adjusted=level + correction,
            note=row.note,
        )

    level = section.start
    for number, set_up in enumerate(section.set_ups):
        correction = corrections[min(number, len(corrections) - 1)]
        instrument = instruments[number]
        if set_up.back not in found.lines:
            add(set_up.back, instrument, level, correction)
        else:  # a mark that closed the section before: the row shows the new instrument
            line = found.lines[set_up.back]
            found.lines[set_up.back] = BookLine(
                point=line.point, backsight=line.backsight, intermediate=None, foresight=line.foresight,
                instrument_height=instrument, level=line.level, adjusted=line.adjusted, note=line.note,
            )  # fmt: skip
        for between in set_up.between:
            reading = rows[between].intermediate
            assert reading is not None
            with place(f"survey.level_book[{between}]", rows[between].point):
                sighted = sighted_level(instrument, reading)
            add(between, instrument, sighted, correction)
            found.seen.setdefault(rows[between].point, []).append(sighted + correction)
        level = arrived[number]
        if set_up.fore is not None:
            after = corrections[number + 1]
            add(set_up.fore, instrument, level, after)
            found.turned.setdefault(rows[set_up.fore].point, []).append(level + after)


def reduce_book(
    rows: Sequence[LevelRow],
    benchmarks: Mapping[str, float],
    known: Mapping[str, float],
    units: Units = "US",
) -> tuple[LevelBook, dict[str, float], tuple[str, ...]]:
    """Reduce the level book.

    Parameters
    ----------
    rows : sequence of LevelRow
        The book in the order it was kept. A row's ``distance`` stands for each of its sights.
    benchmarks : mapping
        Levels of the fixed marks, by name; a section closes on any of them. [m]
    known : mapping
        Levels that the job states for other points; a section may open on one. [m]
    units : {"US", "SI"}
        Of the notes.

    Returns
    -------
    tuple
        The book; the adjusted level of each point in it [m]; what was assumed or found amiss. Where
        several sections close, the book's misclosure is that of the worst, by its allowable.

    Raises
    ------
    JobError
        If the book cannot be followed; names each row at fault.

    Notes
    -----
    The misclosure is shared in proportion to sight lengths where all are given, otherwise to set-ups.
    A point read more than once from different set-ups takes the mean; turning points outrank
    intermediate sights; a benchmark keeps its level.
    """
    found = _Found()
    sections = _sections(rows, benchmarks, known)
    for section in sections:
        _reduce(rows, section, benchmarks, found, units)
    set_ups = [set_up for section in sections for set_up in section.set_ups]
    numbers = [number for set_up in set_ups for number in (set_up.back, set_up.fore) if number is not None]
    given = [rows[number].distance or None for number in numbers]
    missing = sum(length is None for length in given)
    if missing:
        found.notes.append(
            f"{missing} of {len(given)} sights have no length: taken as {fine(ASSUMED_SIGHT, units)} each (assumed), "
            "for the allowable misclosure only."
        )
    found.notes += long_sights(rows, units)
    fixed = {section.opened_on: section.start for section in sections} | dict(benchmarks)
    levels: dict[str, float] = {}
    for group in (found.seen, found.turned):
        for name, several in group.items():
            levels[name] = sum(several) / len(several)
            if max(several) - min(several) > SPREAD_TOLD and name not in fixed:
                spread = fine(max(several) - min(several), units)
                found.notes.append(f"{name} was read {len(several)} times, {spread} apart: mean taken.")
    found.notes += [
        f"The check sight on {name} differs from its known level by {fine(several[-1] - fixed[name], units)}."
        for name, several in found.seen.items()
        if name in fixed and abs(several[-1] - fixed[name]) > SPREAD_TOLD
    ]
    levels |= fixed
    worst = max(found.closures, key=lambda closure: abs(closure[0]) / closure[1], default=(None, None))
    book = LevelBook(
        lines=tuple(found.lines[number] for number in sorted(found.lines)),
        set_ups=len(set_ups),
        misclosure=worst[0],
        allowable=worst[1],
        distance=None if missing else sum(length for length in given if length is not None),
        arithmetic=found.arithmetic,
    )
    return book, levels, tuple(found.notes)


__all__ = ["allowable_misclosure", "height_of_instrument", "level_correction", "reduce_book", "sighted_level"]
