"""The crew's days: tasks with their people day by day, what hangs on what, and how sure the days are."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from drainwright.build.working_days import MovedStart
from drainwright.job.values import Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class DayHands:
    """Who works at one task on one day."""

    day: int  # working day, from 1
    people: int  # most at once
    hours: float  # person-hours


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece of work."""

    key: str
    title: str
    hours: float  # person-hours
    day: int  # working day on which it starts, from 1
    quantity: str  # "11.3 yd³ at 0.35 yd³/h"
    after: tuple[str, ...] = ()
    wait: float = 0.0  # cure before the tasks in ``held`` [s]
    held: tuple[str, ...] = ()  # tasks that the cure holds
    start: float = 0.0  # working hours from the first morning [h]
    end: float = 0.0  # the same [h]
    cured: float = 0.0  # when what waits for it may begin, nights and days off counted; working hours [h]
    spells: tuple[tuple[float, float, int], ...] = ()  # from, to, people; working hours [h]
    by_day: tuple[DayHands, ...] = ()
    earliest: float = 0.0  # start, were there people for everything at once; working hours [h]
    latest: float = 0.0  # start that still keeps the last hour, people given; working hours [h]
    hold: str = ""  # what must be seen or dry before the work goes on
    low: float = 0.0  # person-hours when all goes well
    high: float = 0.0  # person-hours with bad luck
    watch: float = 0.0  # of the hours, those of standing by at live lines [h]
    visit: str = ""  # on an agreed day that it waits for: "Visit of the place's inspector"
    visit_from: float = 0.0  # when that lets it start; working hours [h]

    @property
    def slack(self) -> float:
        """Working hours by which it may start later, as far as the order of works goes. [h]"""
        return max(0.0, self.latest - self.start)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaidDay:
    """What is paid on one day beside the work."""

    day: int  # working day, from 1
    people: int  # who come
    worked: float  # person-hours [h]
    travel: float  # to the job and back, all people [h]
    unworked: float  # up to the least that is paid to each [h]


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Somebody who is not of the crew and must come."""

    who: str  # "the licensed electrician"
    what: str  # what is done or looked at
    day: int  # working day, from 1, by which at the latest
    before: str  # title of the task that waits for it


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainLink:
    """One task of the critical chain, and what it waited for."""

    key: str
    title: str
    start: float  # working hours [h]
    end: float  # [h]
    waited_for: Literal["start", "order", "cure", "people", "visit"]  # before it could start
    on: str  # key of the task that it waited for; empty at the start


@dataclass(frozen=True, slots=True, kw_only=True)
class EarthLink:
    """One link of the chain from the ground to the tip, or from the street into the trench."""

    name: str  # "dig", "lift out", "move", "load", "haul", "tip"
    hours: float  # person-hours
    amount: str  # "18.9 yd³ loose at 2.8 yd³/h"


@dataclass(frozen=True, slots=True, kw_only=True)
class EarthChain:
    """The soil's whole way out, and what comes back."""

    out: tuple[EarthLink, ...]
    back: tuple[EarthLink, ...]  # stone and backfill
    bank_volume: float  # [m³]
    dig_rate: float  # bank volume over the hours of digging [m³/h]
    open_rate: float  # the same in open ground: no roots, lines or depth [m³/h]
    chain_rate: float  # of soil that leaves, in the bank, over the hours of all links; zero: none leaves [m³/h]
    share: float  # of the last over the rate in open ground [-]
    open_share: float  # the same, were all of it open ground [-]
    told: str  # against common practice, with what makes the difference


@dataclass(frozen=True, slots=True, kw_only=True)
class WayToDig:
    """One choice of machines, with its days and cost."""

    name: str  # "by hand"
    excavator: bool
    carrier: bool
    used: bool  # the one that the plan and the price rest on
    hours: float  # person-hours of all work
    days: int
    labour: Decimal  # with burden, and with what is paid and not worked
    hire: Decimal
    obstacles: tuple[str, ...] = ()  # why it cannot be; empty: nothing known stands in its way
    unsure: tuple[str, ...] = ()  # what nobody measured

    @property
    def cost(self) -> Decimal:
        """Labour and hire."""
        return self.labour + self.hire


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysDoubt:
    """How long it may take, from many trials in which hours and weather differ."""

    trials: int
    days_likely: int  # working days, half of the trials are done by then
    days_bad: int  # eight of ten
    days_mean: float
    hours_mean: float  # person-hours
    hours_likely: float  # half
    hours_bad: float  # eight of ten
    labour_likely: Decimal  # with burden, and with what is paid and not worked: half
    labour_bad: Decimal  # eight of ten
    booked_likely: int  # working days with those lost to weather, half
    booked_bad: int  # eight of ten
    end_likely: datetime.date | None  # last day, with weather; none without a start
    end_bad: datetime.date | None
    weather_basis: Basis  # of the share of days lost
    drivers: tuple[tuple[str, float], ...]  # what makes the hours differ, by its share of their variance


@dataclass(frozen=True, slots=True, kw_only=True)
class RockDays:
    """How long it takes when all rock that the offer allows for is met."""

    hours: float  # person-hours of breaking and hauling it
    days: int
    days_likely: int  # working days, half of the trials are done by then
    days_bad: int  # eight of ten


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewPlan:
    """The days."""

    tasks: tuple[Task, ...]
    hours: float  # person-hours in all
    days: int
    crew: int
    day_length: float = 8.0  # [h]
    dates: tuple[datetime.date, ...] = ()  # of the working days; none where no start is set
    moved: MovedStart | None = None  # the start that is set, where it is not worked
    peak: int = 0  # most people at work at once
    chain: tuple[ChainLink, ...] = ()
    earth: EarthChain | None = None
    ways: tuple[WayToDig, ...] = ()
    careful_share: float = 0.0  # of all soil, in tolerance zones [-]
    hand_share: float = 0.0  # of all soil, that any machine leaves to the spade [-]
    doubt: DaysDoubt | None = None
    rock: RockDays | None = None  # none: no rock is allowed for
    paid: tuple[PaidDay, ...] = ()  # the days on which people are sent
    visits: tuple[Visit, ...] = ()  # of others, in the order of their days

    @property
    def travel(self) -> float:
        """Person-hours on the way to the job and back. [h]"""
        return round(sum(day.travel for day in self.paid), 2)

    @property
    def unworked(self) -> float:
        """Person-hours of short days that are paid and not worked. [h]"""
        return round(sum(day.unworked for day in self.paid), 2)

    def visits_on(self, day: int) -> tuple[Visit, ...]:
        """Who else comes by a day at the latest."""
        return tuple(visit for visit in self.visits if visit.day == day)

    def on_day(self, day: int) -> tuple[tuple[Task, DayHands], ...]:
        """What is worked at on a day, with whom, in the order of its start."""
        found = [(task, hands) for task in self.tasks for hands in task.by_day if hands.day == day]
        return tuple(sorted(found, key=lambda item: item[0].start))


__all__ = [
    "ChainLink",
    "CrewPlan",
    "DayHands",
    "DaysDoubt",
    "EarthChain",
    "EarthLink",
    "PaidDay",
    "RockDays",
    "Task",
    "Visit",
    "WayToDig",
]
