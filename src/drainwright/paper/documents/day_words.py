"""Days in words: a date, how long it may take, with and without weather."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from drainwright.build.model import CrewPlan, DaysDoubt, RockDays, Visit
from drainwright.build.short_days import ShortDay
from drainwright.paper.documents.say import BASIS_WORDS, day


def date_words(date: datetime.date) -> str:
    """``Mon 13 Apr``."""
    return f"{date:%a} {date.day} {date:%b}"


def visits_words(visits: Iterable[Visit]) -> str:
    """Who comes, each with what for and once; empty where nobody does."""
    return "; ".join(dict.fromkeys(f"{visit.who} ({visit.what})" for visit in visits))


def start_words(plan: CrewPlan, asked: datetime.date | None, unset: str) -> str:
    """The first day of work, and the one that was set where that is not worked."""
    if plan.moved is None:
        return unset if asked is None else day(asked)
    return f"{day(plan.moved.first)} (set for {day(plan.moved.asked)}, {plan.moved.why})"


def short_words(short: ShortDay) -> str:
    """Why so little goes on: ``The rest waits until “Second coat” has cured``."""
    if short.why == "cure":
        return f"The rest waits until “{short.title}” has cured"
    if short.why == "visit":
        return f"The rest waits for “{short.title}”"
    return f"Only “{short.title}” can go on"


def days_words(doubt: DaysDoubt | RockDays) -> str:
    """``likely 6 working days, 8 with bad luck``."""
    unit = "working day" if doubt.days_likely == 1 else "working days"
    if doubt.days_bad == doubt.days_likely:
        return f"likely {doubt.days_likely} {unit}, with bad luck as well"
    return f"likely {doubt.days_likely} {unit}, {doubt.days_bad} with bad luck"


def weather_words(doubt: DaysDoubt) -> str:
    """Where the share of days lost to weather is from, and the last day where a start is set."""
    text = f"The share of days lost to weather is {BASIS_WORDS[doubt.weather_basis]}"
    if doubt.end_likely is not None and doubt.end_bad is not None:
        text += f"; with it done by {day(doubt.end_likely)}"
        if doubt.end_bad != doubt.end_likely:
            text += f", or by {day(doubt.end_bad)} with bad luck"
    return f"{text}."


def work_words(plan: CrewPlan) -> str:
    """``Likely 6 working days, 8 with bad luck, for a crew of 4; 7 and 9 with days lost to weather.``

    Whoever is told how long it takes is told it with the weather too: days of work alone are not when it is done.
    """
    if plan.doubt is None:
        days = "1 working day" if plan.days == 1 else f"{plan.days} working days"
        text = f"{days} for a crew of {plan.crew}."
    else:
        likely, bad = plan.doubt.booked_likely, plan.doubt.booked_bad
        booked = f"{likely}" if likely == bad else f"{likely} and {bad}"
        text = f"{days_words(plan.doubt)}, for a crew of {plan.crew}; {booked} with days lost to weather."
    rock = "" if plan.rock is None else f" With the rock allowed for: {days_words(plan.rock)}."
    return f"{text[0].upper()}{text[1:]}{rock}"


__all__ = ["date_words", "days_words", "short_words", "start_words", "visits_words", "weather_words", "work_words"]
