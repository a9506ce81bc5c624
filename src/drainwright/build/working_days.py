"""Which days are worked: the crew's week without holidays and days of rain, and clock hours between them."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.job.firm import Crew

Offsets = NDArray[np.int64]
INSTANT = 1e-9  # [h]
WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
LONGEST_REST = 366  # days without work after which a calendar counts as never worked


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedStart:
    """A start that falls on a day that is not worked."""

    asked: datetime.date
    first: datetime.date  # on which work begins
    why: str  # "a Sunday, which the crew does not work"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingDays:
    """The days of the crew. Without a start each day is worked, for nobody knows where the weekends fall."""

    start: datetime.date | None = None
    week: frozenset[int] = frozenset(range(5))  # Monday is 0
    off: frozenset[datetime.date] = frozenset()
    rain: frozenset[datetime.date] = frozenset()  # those of ``off`` for which rain is forecast

    def works_on(self, day: datetime.date) -> bool:
        """Whether a date is worked."""
        return day.weekday() in self.week and day not in self.off

    @property
    def moved(self) -> MovedStart | None:
        """The start that is set, where work cannot begin on it; None where it does, or none is set."""
        if self.start is None or self.works_on(self.start):
            return None
        if self.start.weekday() not in self.week:
            why = f"a {DAY_NAMES[self.start.weekday()]}, which the crew does not work"
        else:
            why = "a day with rain in the forecast" if self.start in self.rain else "a holiday of the crew"
        return MovedStart(asked=self.start, first=self.dates(1)[0], why=why)

    def offsets(self, count: int) -> Offsets:
        """Days from the first working day to each of ``count`` working days, the first being 0. [days]"""
        return _offsets(self, count)

    def dates(self, count: int) -> tuple[datetime.date, ...]:
        """The first ``count`` working days; none where no start is set.

        Raises
        ------
        InputError
            If a year goes by without a working day.

        Examples
        --------
        >>> days = WorkingDays(start=datetime.date(2026, 4, 17))
        >>> [day.isoformat() for day in days.dates(2)]
        ['2026-04-17', '2026-04-20']
        """
        if self.start is None:
            return ()
        found: list[datetime.date] = []
        day, rest = self.start, 0
        while len(found) < count:
            if self.works_on(day):
                found.append(day)
                rest = 0
            else:
                rest += 1
            if rest > LONGEST_REST:
                raise InputError(f"week = {sorted(self.week)}: expected a working day within a year of {self.start}")
            day += datetime.timedelta(days=1)
        return tuple(found)


@lru_cache(maxsize=64)
def _offsets(days: WorkingDays, count: int) -> Offsets:
    dates = days.dates(count)
    found = np.array([(date - dates[0]).days for date in dates], dtype=np.int64) if dates else np.arange(count)
    found.setflags(write=False)
    return found


def working_days(crew: Crew) -> WorkingDays:
    """The days of a job's crew: its week, without holidays and without days that have rain in the forecast."""
    return WorkingDays(
        start=crew.start,
        week=frozenset(WEEK.index(day) for day in crew.week),
        off=frozenset((*crew.holidays, *crew.rain_days)),
        rain=frozenset(crew.rain_days) - frozenset(crew.holidays),
    )


def clock_hours(working: float, day_length: float, offsets: Sequence[int] | Offsets) -> float:
    """Hours on the clock since the first morning, nights and days off counted, for working hours."""
    day = int(working / day_length + INSTANT)
    return 24.0 * float(offsets[day]) + (working - day * day_length)


def working_hours(clock: float, day_length: float, offsets: Sequence[int] | Offsets) -> float:
    """The first working moment at or after a moment on the clock."""
    date = int(clock / 24.0 + INSTANT)
    day = int(np.searchsorted(offsets, date))
    if offsets[day] > date:
        return day * day_length
    return day * day_length + min(clock - 24.0 * date, day_length)


def last_working_hours(clock: float, day_length: float, offsets: Sequence[int] | Offsets) -> float:
    """The last working moment at or before a moment on the clock; below zero where there is none."""
    if clock < 0.0:
        return clock
    date = int(clock / 24.0 + INSTANT)
    day = int(np.searchsorted(offsets, date, side="right")) - 1
    if offsets[day] < date:
        return (day + 1) * day_length
    return day * day_length + min(clock - 24.0 * date, day_length)


__all__ = ["MovedStart", "WorkingDays", "clock_hours", "last_working_hours", "working_days", "working_hours"]
