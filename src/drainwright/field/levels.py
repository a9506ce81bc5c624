"""The level book: rod readings reduced by height of instrument, closed and adjusted.

A book is one or more *sections*. A section opens with a backsight on a mark of known level (a benchmark, or a
point whose level the job states), goes on by turning points, and closes where a foresight returns to a benchmark
or to the mark it opened on. Misclosures are those of sections; levels come from all readings adjusted together,
which for one closed line is the same as sharing its misclosure.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from drainwright.field.blunders import long_sights
from drainwright.field.level_network import ASSUMED_SIGHT, LevelFit, RodReading, adjust_levels
from drainwright.field.level_sections import Section, closes, complete, readings_of, sections_of, sights_of
from drainwright.field.model import BookLine, LevelBook
from drainwright.field.words import Units, fine
from drainwright.job.survey import LevelRow
from drainwright.worksheet import Card, catalogued, place, quiet

ROD_ACCURACY = 0.001524  # standard error of a reading where none is given: 0.005 ft, common practice, no source [m]
DECENT = 10  # redundancy from which the readings tell their own error, to some 20 % [-]
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


@dataclass(frozen=True, slots=True, kw_only=True)
class ReducedBook:
    """The level book, and what hangs from it."""

    book: LevelBook
    levels: Mapping[str, float]  # adjusted, of each point in the book [m]
    errors: Mapping[str, float]  # their standard errors, from the benchmark [m]
    readings: tuple[RodReading, ...]
    fit: LevelFit  # of the readings
    fixed: Mapping[str, float]  # marks whose level was held [m]
    notes: tuple[str, ...]  # what was assumed or found amiss


@dataclass(slots=True)
class _Found:
    """What the reduction has gathered."""

    lines: dict[int, BookLine] = field(default_factory=dict)
    turned: dict[str, list[float]] = field(default_factory=dict)
    seen: dict[str, list[float]] = field(default_factory=dict)
    closures: list[tuple[float, float]] = field(default_factory=list)  # misclosure, allowable
    arithmetic: float = 0.0
    notes: list[str] = field(default_factory=list)


def _reduce(
    rows: Sequence[LevelRow],
    section: Section,
    benchmarks: Mapping[str, float],
    found: _Found,
    units: Units,
    alone: bool,
) -> None:
    """Reduce and close one section. Where sections do not stand alone, the network's shares are no proportions."""
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
    whole = complete(section)
    shares = [float(number + 1) for number in range(len(whole))]
    sights = sights_of(rows, section)
    lengths = [length for length in sights if length is not None]
    if lengths and len(lengths) == len(sights):
        shares = [math.fsum(lengths[: 2 * number + 2]) for number in range(len(whole))]
    length = math.fsum(lengths) + ASSUMED_SIGHT * (len(sights) - len(lengths))

    last = rows[whole[-1].fore or 0].point if whole else ""
    marks = {section.opened_on: section.start, **benchmarks}
    corrections = [0.0] * len(whole)
    if whole:
        back, fore = 0.0, 0.0
        for set_up in whole:
            back += rows[set_up.back].backsight or 0.0
            fore += rows[set_up.fore or 0].foresight or 0.0
        found.arithmetic += (back - fore) - (arrived[len(whole) - 1] - section.start)
    if closes(rows, section, benchmarks):
        misclosure = arrived[-1] - marks[last]
        with place("survey.level_book", f"section {section.opened_on} to {last}"):
            found.closures.append((misclosure, allowable_misclosure(length)))
        for number, set_up in enumerate(whole):
            told = place(f"survey.level_book[{set_up.fore}]", rows[set_up.fore or 0].point) if alone else quiet()
            with told:
                corrections[number] = level_correction(misclosure, shares[number], shares[-1])
        if abs(misclosure) > found.closures[-1][1]:
            found.notes.append(
                f"The levels from {section.opened_on} to {last} miss by {fine(misclosure, units)}; "
                f"{fine(found.closures[-1][1], units)} is allowable."
            )
    else:
        found.notes.append(
            f"The levels that open on {section.opened_on} do not return to a benchmark: "
            + ("nothing checks them." if alone else "only points that are read twice check them.")
        )
    _write_lines(rows, section, instruments, arrived, [0.0, *corrections], found)


def _write_lines(
    rows: Sequence[LevelRow],
    section: Section,
    instruments: Sequence[float],
    arrived: Sequence[float],
    corrections: Sequence[float],
    found: _Found,
) -> None:
    """Lines of the section, row by row."""

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
    rod_accuracy: float = ROD_ACCURACY,
) -> ReducedBook:
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
    rod_accuracy : float
        Standard error of one rod reading. [m]

    Returns
    -------
    ReducedBook
        Where several sections close, the book's misclosure is that of the worst, by its allowable.

    Raises
    ------
    JobError
        If the book cannot be followed; names each row at fault.

    Notes
    -----
    All readings are adjusted together; benchmarks, and marks that a section opens on, are held. Where all that
    checks the book is the closing of its sections, least squares shares each misclosure in proportion to sight
    lengths where all are given, otherwise to set-ups. The book then is written as it is by hand: an intermediate
    sight takes the correction of its set-up's backsight, up to half a set-up's share from where least squares puts it.
    Standard errors rest on ``rod_accuracy``; from a redundancy of ``DECENT`` on the readings tell their own.
    """
    found = _Found()
    sections = sections_of(rows, benchmarks, known)
    fixed = {section.opened_on: section.start for section in sections} | dict(benchmarks)
    readings = readings_of(rows, sections, rod_accuracy)
    fit = adjust_levels(readings, fixed)
    alone = fit.redundancy == sum(closes(rows, section, benchmarks) for section in sections)
    for section in sections:
        _reduce(rows, section, benchmarks, found, units, alone)
    given = [rows[one.row].distance or None for one in readings if one.column != "intermediate"]
    missing = sum(length is None for length in given)
    if missing:
        found.notes.append(
            f"{missing} of {len(given)} sights have no length: taken as {fine(ASSUMED_SIGHT, units)} each (assumed), "
            "for the allowable misclosure only."
        )
    found.notes += long_sights(rows, units)
    for group in (found.seen, found.turned):
        for name, several in group.items():
            if max(several) - min(several) > SPREAD_TOLD and name not in fixed:
                spread = fine(max(several) - min(several), units)
                found.notes.append(f"{name} was read {len(several)} times, {spread} apart: adjusted together.")
    found.notes += [
        f"The check sight on {name} differs from its known level by {fine(several[-1] - fixed[name], units)}."
        for name, several in found.seen.items()
        if name in fixed and abs(several[-1] - fixed[name]) > SPREAD_TOLD
    ]
    worst = max(found.closures, key=lambda closure: abs(closure[0]) / closure[1], default=(None, None))
    checked = fit.variance_factor is not None and fit.redundancy >= DECENT
    scale = math.sqrt(fit.variance_factor or 0.0) if checked else 1.0
    lines = [line for _, line in sorted(found.lines.items())]
    if not alone:
        lines = [replace(line, adjusted=fit.levels[line.point]) for line in lines]
    book = LevelBook(
        lines=tuple(lines),
        set_ups=len(fit.instruments),
        misclosure=worst[0],
        allowable=worst[1],
        distance=None if missing else math.fsum(length for length in given if length is not None),
        arithmetic=found.arithmetic,
        redundancy=fit.redundancy,
        reading_error=rod_accuracy * scale if checked else None,
        method="proportional" if alone else "least squares",
    )
    return ReducedBook(
        book=book,
        levels={line.point: line.adjusted for line in lines} | fixed,
        errors={name: error * scale for name, error in fit.errors.items()},
        readings=readings,
        fit=fit,
        fixed=fixed,
        notes=tuple(found.notes),
    )


__all__ = [
    "ReducedBook", "allowable_misclosure", "height_of_instrument", "level_correction", "reduce_book", "sighted_level",
]  # fmt: skip
