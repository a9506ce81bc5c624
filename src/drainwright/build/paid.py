"""What is paid and not worked: the way to the job and back on each day, and short days up to the least that is paid."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from drainwright.build.book import Book
from drainwright.build.crew_model import PaidDay
from drainwright.errors import require
from drainwright.worksheet import Card, catalogued, quiet

CLOSE = 1e-6  # of a day or an hour [-]
Spells = Iterable[tuple[float, float, int]]  # from, to, people; working hours from the first morning [h]


@catalogued(
    Card(
        title="Hours paid to one person on one day",
        symbol="h",
        expression="max(worked + travel, least)",
        units={"worked": "h", "travel": "h", "least": "h", "result": "h"},
        source="common_practice",
    )
)
def paid_hours(worked: float, travel: float, least: float) -> float:
    """Hours for which a person who was sent is paid.

    Parameters
    ----------
    worked : float
        On that day, zero or more. [h]
    travel : float
        To the job and back, zero or more. [h]
    least : float
        Paid at least to whoever comes, zero or more. [h]

    Returns
    -------
    float
        Hours. [h]

    Raises
    ------
    InputError
        If a value is not finite or is negative.

    Examples
    --------
    >>> paid_hours(3.0, 0.5, 4.0)
    4.0
    """
    require("zero or more", np.greater_equal, worked=worked, travel=travel, least=least)
    return max(worked + travel, least)


def hours_by_person(spells: Sequence[tuple[float, float, int]]) -> tuple[float, ...]:
    """Hours of each person, the first for as long as anybody is at work, the next while two are, and so on.

    Parameters
    ----------
    spells : Sequence of tuple
        From, to and people of each work. [h]

    Returns
    -------
    tuple of float
        Falling; so many people must come, and no sharing of the work sends fewer. [h]
    """
    moments = sorted({moment for start, end, _ in spells for moment in (start, end)})
    found: list[float] = []
    for at, until in pairwise(moments):
        people = sum(hands for start, end, hands in spells if start <= at and until <= end)
        found += [0.0] * (people - len(found))
        for person in range(people):
            found[person] += until - at
    return tuple(hours for hours in found if hours > CLOSE)


def paid_days(spells: Spells, day_length: float, book: Book) -> tuple[PaidDay, ...]:
    """Each day on which people are sent, with what is paid beside their work.

    Parameters
    ----------
    spells : iterable of tuple
        Of all works of the plan: from, to, people. [h]
    day_length : float
        Working hours a day. [h]
    book : Book
        The least that is paid and the way, for each person and day.

    Returns
    -------
    tuple of PaidDay
        Days without work are left out: nobody is sent. Nobody is paid for waiting between two works of a day.
    """
    by_day: dict[int, list[tuple[float, float, int]]] = {}
    for start, end, people in spells:
        for day in range(math.floor(start / day_length + CLOSE), math.ceil(end / day_length - CLOSE)):
            piece = max(start, day * day_length), min(end, (day + 1) * day_length), people
            by_day.setdefault(day + 1, []).append(piece)
    found = []
    with quiet():
        for day, pieces in sorted(by_day.items()):
            hours = hours_by_person(pieces)
            paid = math.fsum(paid_hours(one, book.travel_hours, book.least_paid_hours) for one in hours)
            travel = len(hours) * book.travel_hours
            worked = math.fsum(hours)
            found.append(
                PaidDay(
                    day=day,
                    people=len(hours),
                    worked=worked,
                    travel=travel,
                    unworked=max(0.0, paid - travel - worked),
                )
            )
    return tuple(found)


__all__ = ["hours_by_person", "paid_days", "paid_hours"]
