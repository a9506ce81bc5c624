"""Ground water in the digging: the days on which a trench pump runs, and the hours to set, watch and move it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from drainwright.build.crew_model import CrewPlan, Task
from drainwright.build.guarded import GuardedPlace
from drainwright.build.handling import Rates
from drainwright.build.hire import days_of, days_words, stay_in
from drainwright.build.hire_terms import HireTerms
from drainwright.build.model import TakeoffLine
from drainwright.build.parts import YARD
from drainwright.build.schedule import Doubt, Placed, Work
from drainwright.build.working_days import WorkingDays, clock_hours
from drainwright.errors import InputError
from drainwright.job.values import Basis

KEY = "dewater"
TITLE = "Set, run and move the trench pump"
HOLD = (
    "it is written down where its water may lawfully go: muddy water through the filter bag, none to street, drain, "
    "ditch or neighbour without leave"
)
NIGHTS = (
    "while coat or concrete sets below the water it runs on by its float through nights and days off, on ground-fault "
    "protected power, looked at each evening and morning; drowned, the wait begins anew"
)
RATE = "extra.dewater"
FIRST = 99  # rank: nobody digs on while the water rises
OWN = Doubt("", 0.8, 1.4)  # water that nobody saw: common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Pumping:
    """On which days a trench pump runs, and the works with it."""

    days: tuple[int, ...]  # working days, from 1
    each: float  # person-hours a day [h]
    hours: float  # person-hours in all [h]
    placed: tuple[Placed, ...]  # the plan, a piece of pumping on each day
    spread: tuple[Work, ...]  # the same hours, laid on the works that stand in the water


def wet_stays(
    places: Sequence[GuardedPlace], placed: Sequence[Placed], day_length: float, pit_hours: float
) -> tuple[dict[int, float], tuple[str, ...]]:
    """Working days on which people may stand in ground water, with the first hour of each; and the works that do.

    Parameters
    ----------
    places : Sequence of GuardedPlace
        From ``wet_places``.
    placed : Sequence of Placed
        From ``schedule.arrange``.
    day_length : float
        Working hours a day. [h]
    pit_hours : float
        Person-hours of digging the basins' holes, which are dug last. [h]

    Returns
    -------
    dict of int to float, tuple of str
        By day, from 1, the working hour from the first morning; keys of the works.
    """
    first: dict[int, float] = {}
    keys: dict[str, None] = {}
    for item in places:
        for spell in stay_in(item, 1, placed, pit_hours).spells:
            keys[spell[0]] = None
            for day in days_of(spell, day_length):
                start = max(spell[1], (day - 1) * day_length)
                first[day] = min(first.get(day, math.inf), start)
    return dict(sorted(first.items())), tuple(keys)


def with_pump(
    works: Sequence[Work], first: dict[int, float], each: float, day_length: float, calendar: WorkingDays
) -> tuple[Work, ...]:
    """The works with a piece of pumping on each of some days, before all others on that day.

    Parameters
    ----------
    works : Sequence of Work
        Without any.
    first : dict of int to float
        From ``wet_stays``.
    each : float
        Person-hours a day. [h]
    day_length : float
        Working hours a day. [h]
    calendar : WorkingDays
        The crew's.

    Returns
    -------
    tuple of Work
        Pieces that hold nothing up: each waits, through nights and days off, for its own hour of the plan.
    """
    hands = max(1, math.ceil(each / day_length))
    lasts = each / hands
    starts = [min(start, day * day_length - lasts) for day, start in first.items()]
    offsets = calendar.offsets(max(first) + 2)
    moments = [clock_hours(start, day_length, offsets) for start in starts]
    ends = [clock_hours(start + lasts, day_length, offsets) for start in starts]
    waits = [moments[0], *(max(0.0, after - end) for end, after in zip(ends, moments[1:], strict=False)), 0.0]
    keys = [f"{KEY}-{number}" for number in range(len(waits))]
    pieces = [
        Work(
            key=key, title=TITLE, hours=each if number else 0.0, quantity="", most=hands, wait=wait, rank=FIRST,
            after=(keys[number - 1],) if number else (), doubt=(OWN,), aside=True,
        )
        for number, (key, wait) in enumerate(zip(keys, waits, strict=True))
    ]  # fmt: skip
    return (*works, *pieces)


def pumped(
    works: Sequence[Work],
    places: Sequence[GuardedPlace],
    arranged: Callable[[Sequence[Work]], tuple[Placed, ...]],
    *,
    people: int,
    day_length: float,
    calendar: WorkingDays,
    pit_hours: float,
    rates: Rates,
) -> Pumping | None:
    """The plan with the trench pump on every day on which people may stand in ground water.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers.
    places : Sequence of GuardedPlace
        From ``wet_places``.
    arranged : function of Sequence of Work to tuple of Placed
        ``schedule.arrange`` with the crew and its calendar.
    people : int
        Size of the crew.
    day_length : float
        Working hours a day. [h]
    calendar : WorkingDays
        The crew's.
    pit_hours : float
        Person-hours of digging the basins' holes. [h]
    rates : Rates
        The hours of a day of pumping.

    Returns
    -------
    Pumping or None
        None where no dig stands in water. Hours of pumping lengthen the works, which may then stand
        in water on one more day: days are added until none is without its pump.

    Raises
    ------
    InputError
        If the pump takes all hours of the crew.
    """
    each = rates(RATE)
    placed = arranged(works)
    first, keys = wet_stays(places, placed, day_length, pit_hours)
    if not first:
        return None
    if each >= people * day_length:
        raise InputError(f"{RATE} = {each:g} h/day: expected less than the crew's {people * day_length:g} h a day")
    while True:
        placed = arranged(with_pump(works, first, each, day_length, calendar))
        after, _ = wet_stays(places, [one for one in placed if not one.work.aside], day_length, pit_hours)
        if not set(after) - set(first):
            break
        first = dict(sorted({**first, **after}.items()))
    hours = round(each * len(first), 2)
    whole = math.fsum(work.hours for work in works if work.key in keys)
    spread = tuple(
        replace(work, hours=work.hours * (1.0 + hours / whole)) if work.key in keys else work for work in works
    )
    return Pumping(days=tuple(first), each=each, hours=hours, placed=placed, spread=spread)


def as_one_task(plan: CrewPlan, pumping: Pumping) -> CrewPlan:
    """The plan with all pieces of pumping as one task, after the digging in the list."""
    pieces = [task for task in plan.tasks if task.key.startswith(f"{KEY}-") and task.hours > 0.0]
    many = len(pumping.days)
    task = Task(
        key=KEY,
        title=TITLE,
        hours=pumping.hours,
        day=pieces[0].day,
        quantity=f"{many} day{'' if many == 1 else 's'} at {pumping.each:g} h/day",
        start=pieces[0].start,
        end=pieces[-1].end,
        cured=pieces[-1].end,
        spells=tuple(spell for piece in pieces for spell in piece.spells),
        by_day=tuple(hands for piece in pieces for hands in piece.by_day),
        earliest=pieces[0].start,
        latest=pieces[0].start,
        hold=f"{HOLD}; {NIGHTS}" if any(one.wait > 0.0 and one.hold for one in plan.tasks) else HOLD,
        low=math.fsum(piece.low for piece in pieces),
        high=math.fsum(piece.high for piece in pieces),
    )
    others = [one for one in plan.tasks if not one.key.startswith(f"{KEY}-")]
    digs = ("open", "trench", f"trench{YARD}")
    at = 1 + max((number for number, one in enumerate(others) if one.key in digs), default=-1)
    return replace(plan, tasks=(*others[:at], task, *others[at:]))


def days_pumped(plan: CrewPlan) -> int:
    """Days on which a trench pump runs by the plan."""
    return sum(len(task.by_day) for task in plan.tasks if task.key == KEY)


def pump_line(pumping: Pumping, terms: HireTerms) -> TakeoffLine:
    """The hire of the trench pump, from the first to the last day on which it runs."""
    days = terms.charged(pumping.days[0], pumping.days[-1])
    return TakeoffLine(
        key="hire.trench-pump",
        category="hire",
        description="trench pump, hose and filter bag",
        net=days,
        quantity=days,
        unit="day",
        where="",
        waste=0.0,
        basis=Basis.ASSUMED,
        note=f"by the crew's plan: it runs on day {days_words(pumping.days)}",
        source="hire",
        task=KEY,
    )


__all__ = ["KEY", "RATE", "Pumping", "as_one_task", "days_pumped", "pump_line", "pumped", "wet_stays", "with_pump"]
