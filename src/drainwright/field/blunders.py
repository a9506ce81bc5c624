"""What looks like a slip of the rod, the pen or the tape: shots that their neighbours contradict, sights too long."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import median

from drainwright.field.model import SitePoint
from drainwright.field.words import Units
from drainwright.job.survey import LevelRow
from drainwright.quantities import write

# Common practice, no source: a yard with a step higher than this has a wall, and the surveyor knows of it.
STEP = 3.048  # 10 ft [m]
AROUND = 15.24  # 50 ft [m]
LONGEST_SIGHT: Mapping[Units, float] = {"US": 91.44, "SI": 100.0}  # 300 ft; common practice, no source [m]
FEWEST = 3  # neighbours, so that one wrong neighbour does not move their median


def odd_shots(shots: Sequence[SitePoint], rows: Sequence[LevelRow], units: Units) -> list[str]:
    """Name the ground shots that lie far above or below the shots round them.

    Parameters
    ----------
    shots : sequence of SitePoint
        Ground shots, each with a place in plan and a level.
    rows : sequence of LevelRow
        The level book, to name the row of each.
    units : {"US", "SI"}
        Of the notes.

    Returns
    -------
    list of str
        One note for each shot more than ``STEP`` above or below the median of the shots within ``AROUND``;
        a shot with fewer than ``FEWEST`` of those cannot be judged.
    """
    notes = []
    for shot in shots:
        around = [
            other.level for other in shots
            if other is not shot and other.level is not None
            and math.dist((shot.east, shot.north), (other.east, other.north)) <= AROUND
        ]  # fmt: skip
        if shot.level is None or len(around) < FEWEST:
            continue
        off = shot.level - median(around)
        if abs(off) > STEP:
            unit = "ft" if units == "US" else "m"
            height, reach = (write(value, "length", units, unit, 1) for value in (abs(off), AROUND))
            notes.append(
                f"{shot.name} lies {height} {'above' if off > 0 else 'below'} the middle of the {len(around)} shots "
                f"within {reach} of it: likely a slip. Look at {_read_at(shot.name, rows)} and at its place in plan."
            )
    return notes


def _read_at(name: str, rows: Sequence[LevelRow]) -> str:
    numbers = [str(number) for number, row in enumerate(rows, start=1) if row.point == name]
    if not numbers:
        return "its 'level'"
    return f"row{'s' if len(numbers) > 1 else ''} {' and '.join(numbers)} of the level book"


def long_sights(rows: Sequence[LevelRow], units: Units) -> list[str]:
    """One note for the sights that are longer than ``LONGEST_SIGHT``, if there are any.

    Parameters
    ----------
    rows : sequence of LevelRow
        The level book.
    units : {"US", "SI"}
        Of the note.

    Returns
    -------
    list of str
        The note, or nothing.
    """
    most = LONGEST_SIGHT[units]
    long = [f"{row.point} (row {n})" for n, row in enumerate(rows, start=1) if (row.distance or 0.0) > most + 1e-9]
    limit = write(most, "length", units, "ft" if units == "US" else "m", 0)
    return [f"Sights longer than {limit} read a rod poorly: {', '.join(long)}."] if long else []


__all__ = ["long_sights", "odd_shots"]
