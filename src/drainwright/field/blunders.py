"""What looks like a slip of the rod, the pen or the tape: shots that their neighbours contradict, sights too long."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from statistics import median

from drainwright.field.model import Plan, SitePoint
from drainwright.field.words import Units
from drainwright.job.survey import LevelRow
from drainwright.quantities import write

# Common practice, no source: a yard with a step higher than this has a wall, and the surveyor knows of it.
STEP = 3.048  # 10 ft [m]
AROUND = 15.24  # 50 ft [m]
LONGEST_SIGHT: Mapping[Units, float] = {"US": 91.44, "SI": 100.0}  # 300 ft; common practice, no source [m]
BACKFILL = 2.0  # from the wall, ground may have settled on its own [m]
SETTLED = 0.03  # standard deviation of that [m]
FEATURE = 0.15  # standard deviation of a feature that a note tells of [m]
FEATURES = (
    "low spot hollow dip ditch swale gutter puddle pond sump drain inlet grate rim culvert manhole rut hole pit well "
    "high mound bank berm heap step terrace wall curb kerb bed rock stump root"
)
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


def apart_from_yard(
    ground: Mapping[str, Plan], outline: Sequence[Plan], notes: Mapping[str, str] | None = None
) -> dict[str, float]:
    """By how much ground shots may lie apart from the yard round them.

    Parameters
    ----------
    ground : mapping
        Places by name. [m]
    outline : sequence of Plan
        Of the house, not closed. [m]
    notes : mapping, optional
        What the surveyor wrote of a shot.

    Returns
    -------
    dict
        Standard deviations by name: ``FEATURE`` where the note bears one of the words of ``FEATURES``, ``SETTLED``
        within ``BACKFILL`` of a wall. Common practice, no source. [m]
    """
    found = {}
    for name, at in ground.items():
        for start, end in zip(outline, [*outline[1:], outline[0]], strict=True):
            along = (end[0] - start[0], end[1] - start[1])
            part = ((at[0] - start[0]) * along[0] + (at[1] - start[1]) * along[1]) / (along[0] ** 2 + along[1] ** 2)
            part = min(max(part, 0.0), 1.0)
            if math.dist(at, (start[0] + part * along[0], start[1] + part * along[1])) <= BACKFILL:
                found[name] = SETTLED
        if set(FEATURES.split()) & set(re.findall("[a-z]+", (notes or {}).get(name, "").lower())):
            found[name] = FEATURE
    return found


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


__all__ = ["apart_from_yard", "long_sights", "odd_shots"]
