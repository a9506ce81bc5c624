"""What hire is charged: calendar days from the first to the last day of need, a week at its own price."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from drainwright.build.handling import Rates
from drainwright.build.working_days import Offsets
from drainwright.errors import require
from drainwright.worksheet import Card, catalogued

WEEK = 7.0  # [day]


@catalogued(
    Card(
        title="Days for which a thing stays on hire",
        symbol="d",
        expression="max(last - first + 1, least)",
        units={"first": "day", "last": "day", "least": "day", "result": "day"},
        source="common_practice",
        trial={"first": (1.0, 5.0), "last": (5.0, 20.0), "least": (1.0, 7.0)},
    )
)
def hired_days(first: float, last: float, least: float) -> float:
    """Calendar days from the first to the last on which a thing is needed, both counted, or the least that is charged.

    Parameters
    ----------
    first, last : float
        Days of the calendar, counted from any one. [day]
    least : float
        Days that the hirer charges at least, zero or more. [day]

    Returns
    -------
    float
        Days.

    Raises
    ------
    InputError
        If a value is not finite, or the last day comes before the first.
    """
    require("zero or more", np.greater_equal, first=first, least=least, last_after_first=last - first)
    return max(last - first + 1, least)


@catalogued(
    Card(
        title="Days charged for a hire: each week at the price of fewer days",
        symbol="d",
        expression="week * floor(days / 7) + min(days - 7 * floor(days / 7), week)",
        units={"days": "day", "week": "day", "result": "day"},
        source="common_practice",
        expression_kind="procedure",
    )
)
def charged_days(days: float, week: float) -> float:
    """Days that are paid for so many days on hire.

    Parameters
    ----------
    days : float
        On hire, weekends counted, zero or more. [day]
    week : float
        Daily prices that a week costs, above zero; 7 or more where a week has no price of its own. [day]

    Returns
    -------
    float
        Days; the days beyond whole weeks cost no more than one more week does.

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Examples
    --------
    >>> [charged_days(days, 4.0) for days in (3.0, 6.0, 9.0)]
    [3.0, 4.0, 6.0]
    """
    require("zero or more", np.greater_equal, days=days)
    require("above zero", np.greater, week=week)
    price = min(week, WEEK)
    weeks = math.floor(days / WEEK)
    return price * weeks + min(days - WEEK * weeks, price)


class HireTerms(NamedTuple):
    """The calendar of a plan, and what a week costs."""

    offsets: Offsets  # calendar days from the first working day to each [day]
    week: float  # daily prices that a week costs [day]

    def kept(self, first: int, last: int, least: float = 1.0) -> float:
        """Calendar days from one working day to another, from 1, or the least. [day]"""
        return hired_days(float(self.offsets[first - 1]), float(self.offsets[last - 1]), least)

    def charged(self, first: int, last: int, least: float = 1.0) -> float:
        """Days that are paid for these. [day]"""
        return charged_days(self.kept(first, last, least), self.week)


def hire_terms(offsets: Offsets, rates: Rates) -> HireTerms:
    """The terms of a plan by the book's rate of a week."""
    return HireTerms(offsets, rates("hire.week"))


__all__ = ["HireTerms", "charged_days", "hire_terms", "hired_days"]
