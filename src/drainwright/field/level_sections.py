"""The level book split into sections and set-ups, and the books that cannot be followed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from drainwright.errors import JobError, Problem
from drainwright.field.level_network import Column, RodReading, sight_error
from drainwright.field.words import nearest
from drainwright.job.survey import LevelRow


@dataclass(slots=True)
class SetUp:
    """One stand of the instrument: rows by their number in the book."""

    back: int
    between: list[int] = field(default_factory=list)
    fore: int | None = None


@dataclass(slots=True)
class Section:
    """From a mark of known level to where the book leaves off or closes."""

    start: float  # known level of the first backsight [m]
    opened_on: str
    set_ups: list[SetUp] = field(default_factory=list)


def sections_of(rows: Sequence[LevelRow], benchmarks: Mapping[str, float], known: Mapping[str, float]) -> list[Section]:
    """Split the book, and refuse one that cannot be followed."""
    problems: list[Problem] = []
    sections: list[Section] = []
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
            sections[-1].set_ups.append(SetUp(number))
        elif row.point in marks and (row.foresight is None or waiting == row.point):
            sections.append(Section(marks[row.point], row.point, [SetUp(number)]))
        elif not sections and row.foresight is not None:
            sections.append(Section(0.0, row.point, [SetUp(number)]))  # its foresight has been told already
        elif not sections:
            wrong(number, f"a first backsight on {row.point}, whose level is not known",
                  "a backsight on the benchmark or on a point with a 'level'",
                  nearest(row.point, marks) or f"Known: {', '.join(sorted(marks))}.")  # fmt: skip
            sections.append(Section(0.0, row.point, [SetUp(number)]))
        elif row.foresight is None:
            hint = f"The last foresight was on {waiting}." if waiting else "There was no foresight before it."
            if row.point in seen_between:
                hint = f"{row.point} was read as an 'intermediate' sight: write that one as a 'foresight'."
            wrong(number, f"a backsight on {row.point}", "a backsight on the point that was just foresighted", hint)
            sections[-1].set_ups.append(SetUp(number))
        waiting = None
    if problems:
        raise JobError(tuple(problems))
    return sections


def complete(section: Section) -> list[SetUp]:
    """The set-ups that end with a foresight."""
    return [set_up for set_up in section.set_ups if set_up.fore is not None]


def closes(rows: Sequence[LevelRow], section: Section, benchmarks: Mapping[str, float]) -> bool:
    """Whether the last set-up's foresight is on a benchmark or on the mark that the section opened on."""
    fore = section.set_ups[-1].fore
    return fore is not None and (rows[fore].point == section.opened_on or rows[fore].point in benchmarks)


def sights_of(rows: Sequence[LevelRow], section: Section) -> list[float | None]:
    """Lengths of the section's backsights and foresights."""
    return [rows[number].distance for set_up in complete(section) for number in (set_up.back, set_up.fore or 0)]


def readings_of(rows: Sequence[LevelRow], sections: Sequence[Section], rod_accuracy: float) -> tuple[RodReading, ...]:
    """Every reading with its set-up. Sight lengths weigh in a section that gives one for each turning sight."""
    found: list[RodReading] = []
    number = 0
    for section in sections:
        sights = sights_of(rows, section)
        by_length = bool(sights) and None not in sights
        for set_up in section.set_ups:
            turns: list[tuple[int, Column, float | None]] = [(set_up.back, "backsight", rows[set_up.back].backsight)]
            turns += [(row, "intermediate", rows[row].intermediate) for row in set_up.between]
            if set_up.fore is not None:
                turns.append((set_up.fore, "foresight", rows[set_up.fore].foresight))
            for row, column, value in turns:
                assert value is not None
                length = rows[row].distance if by_length else None
                found.append(RodReading(row=row, column=column, set_up=number, point=rows[row].point, value=value,
                                        error=sight_error(rod_accuracy, length)))  # fmt: skip
            number += 1
    return tuple(found)


__all__ = ["Section", "SetUp", "closes", "complete", "readings_of", "sections_of", "sights_of"]
