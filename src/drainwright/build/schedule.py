"""The days: work in its order, with waits for cure, by a crew that shares itself among what can be done."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from drainwright.build.working_days import INSTANT, Offsets, WorkingDays, clock_hours, working_hours
from drainwright.errors import InputError, require


@dataclass(frozen=True, slots=True)
class Doubt:
    """One cause of fewer or more hours than likely."""

    cause: str  # shared by all works that name it; empty: of this work alone
    low: float  # over the likely hours, when it goes well; above 0, at most 1 [-]
    high: float  # the same with bad luck; 1 or more [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One piece of work before it has its day."""

    key: str
    title: str
    hours: float  # person-hours
    quantity: str
    loads: int = 0  # of a trailer, told after the quantity
    after: tuple[str, ...] = ()
    most: int = 99  # people who can work at it at once
    least: int = 1  # people without whom nobody works at it; all there are, in a smaller crew
    wait: float = 0.0  # before the work named in ``held`` may start [h]
    held: tuple[str, ...] = ()  # empty: the wait holds everything that comes after
    hold: str = ""  # what must be seen or dry before the work goes on, in words
    doubt: tuple[Doubt, ...] = ()  # what may make its hours more or less
    rank: int = 0  # has its people before works of a lower rank, whatever hangs on them
    watch: float = 0.0  # of the hours, those of standing by at live lines [h]
    aside: bool = False  # goes along with others: nothing waits for it, and it sets no end
    rests: bool = False  # where its first day would be the last before a weekend, it begins after that


class Spell(NamedTuple):
    """A while in which as many people work at one thing, in working hours from the start of the first day."""

    start: float  # [h]
    end: float  # [h]
    people: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Work with its working hours, counted from the start of the first day."""

    work: Work
    start: float  # [h]
    end: float  # [h]
    spells: tuple[Spell, ...] = ()  # when how many work at it; others may come between


def horizon(works: Sequence[Work], day_length: float) -> int:
    """Working days within which any crew is done, one after the other with all waits."""
    hours = math.fsum(work.hours for work in works)
    return int(hours / day_length + math.fsum(work.wait for work in works) / 24.0) + len(works) + 2


def arrange(
    works: Sequence[Work], people: int, day_length: float, calendar: WorkingDays | None = None
) -> tuple[Placed, ...]:
    """List scheduling: whoever is free takes the work with the longest chain behind it.

    Parameters
    ----------
    works : Sequence of Work
        Each with what must be done before; names that are not in the list are left out.
    people : int
        Size of the crew, one or more.
    day_length : float
        Working hours a day, above zero and at most 24.
    calendar : WorkingDays, optional
        The days that are worked; left out, one after the other.

    Returns
    -------
    tuple of Placed
        In the order of ``works``. Equal lists give equal days.

    Raises
    ------
    InputError
        If a value is out of range, two works share a key, or works wait for each other in a ring.

    Notes
    -----
    Waits run through the night and through days off: a coat put on at ten may be followed at ten the next day. The
    order of choice is that of ranks, then the critical path's: the longest remaining chain of shortest possible
    durations and waits, then the list. While someone is free, all that can be done is done by as many as it takes, so
    that the end comes no later than the work shared out by all and the longest chain one after the other: within twice
    the least, where no work wants several at once (``least``). A work that ``rests`` begins on no day that has more
    days off behind it than the next working day has.
    """
    require("above zero", np.greater, people=people, day_length=day_length, spare=24.001 - day_length)
    if len({work.key for work in works}) != len(works):
        raise InputError(f"works = {len(works)}: expected each key once")
    state = _Progress(works, people, day_length, (calendar or WorkingDays()).offsets(horizon(works, day_length)))
    while len(state.end) < len(works):
        state.step()
    return state.placed()


class _Progress:
    """What is done of all works at a moment, and who works at what."""

    def __init__(self, works: Sequence[Work], people: int, day_length: float, offsets: Offsets) -> None:
        self.by_key = {work.key: work for work in works}
        self.before, self.followers, tails = _chains(tuple(map(_Chained.of, works)), people, day_length)
        self.turn = {work.key: number for number, work in enumerate(sorted(works, key=_given(tails)))}
        self.undone = {key: len(names) for key, names in self.before.items()}  # works before each
        self.people, self.day_length, self.offsets = people, day_length, offsets
        self.left = {work.key: work.hours for work in works}
        self.spells: dict[str, list[Spell]] = {key: [] for key in self.by_key}
        self.start: dict[str, float] = {}
        self.end: dict[str, float] = {}
        self.now = 0.0
        # when those may start before which nothing is left to do, the first choice first [h]
        self.free = {key: 0.0 for key in self.turn if not self.undone[key]}

    def step(self) -> None:
        """On to the next moment at which a work ends or may start."""
        left, soon = self.left, self.now + INSTANT
        hands, spare = {}, self.people  # people for each that may start, as many as it takes while some are left
        for key, free in self.free.items():
            if free > soon or (left[key] > INSTANT and spare < min(self.by_key[key].least, self.people)):
                continue
            if self.by_key[key].rests and key not in self.start and self._before_rest():
                self.free[key] = self._next_day()
                continue
            hands[key] = count = min(self.by_key[key].most, spare)
            if left[key] > INSTANT:
                spare -= count
            if key not in self.start:
                self.start[key] = self.now
        ended = [key for key in hands if left[key] <= INSTANT]
        if not ended:
            self._work(hands, [free for free in self.free.values() if free > soon])  # others' cures still run
            ended = [key for key in hands if left[key] <= INSTANT]
        if ended:
            self._end(ended)

    def _before_rest(self) -> bool:
        """Whether more days off come after today than after the next working day."""
        today = int(self.now / self.day_length + INSTANT)
        gaps = np.diff(self.offsets[today : today + 3])
        return len(gaps) == 2 and bool(gaps[0] > gaps[1])

    def _next_day(self) -> float:
        return (int(self.now / self.day_length + INSTANT) + 1) * self.day_length

    def _end(self, ended: Sequence[str]) -> None:
        """Note works as done, and when those may start that waited for them."""
        more = False
        for key in ended:
            self.end[key] = self.now
            del self.free[key]
            for follower in self.followers[key]:
                self.undone[follower] -= 1
                if not self.undone[follower]:
                    more = True
                    self.free[follower] = max([self._released(name, follower) for name in self.before[follower]])
        if more:
            self.free = {key: self.free[key] for key in sorted(self.free, key=self.turn.__getitem__)}

    def _released(self, name: str, follower: str) -> float:
        work = self.by_key[name]
        if not work.wait:
            return self.end[name]
        return released(work, follower, self.end[name], self.day_length, self.offsets)

    def _work(self, hands: Mapping[str, int], wakes: Sequence[float]) -> None:
        """Work until the first of them ends, or another may start."""
        left, now = self.left, self.now
        events = [left[key] / count for key, count in hands.items()] + [wake - now for wake in wakes]
        if not events:
            undone = sorted(set(self.by_key) - set(self.end))
            raise InputError(f"after = {undone}: expected no works that wait in a ring")
        step = min(events)
        for key, count in hands.items():
            if count and step > INSTANT:
                _add(self.spells[key], Spell(now, now + step, count))
            left[key] = max(0.0, left[key] - step * count)
        self.now += step

    def placed(self) -> tuple[Placed, ...]:
        """All works with their hours, in their order."""
        return tuple(
            Placed(work=work, start=self.start[key], end=self.end[key], spells=tuple(self.spells[key]))
            for key, work in self.by_key.items()
        )


def _add(spells: list[Spell], spell: Spell) -> None:
    """Join a spell to the one before where the same people simply go on."""
    if spells and spells[-1].people == spell.people and spells[-1].end >= spell.start - INSTANT:
        spells[-1] = Spell(spells[-1].start, spell.end, spell.people)
    else:
        spells.append(spell)


def released(work: Work, follower: str, end: float, day_length: float, offsets: Offsets) -> float:
    """When a follower may start after a work, its cure counted [h]."""
    if not holds(work, follower):
        return end
    return working_hours(clock_hours(end, day_length, offsets) + work.wait, day_length, offsets)


def holds(work: Work | _Chained, follower: str) -> bool:
    """Whether a follower waits for the work's cure."""
    return work.wait > 0 and (not work.held or follower in work.held)


class _Chained(NamedTuple):
    """What of a work its chains hang on: not its rank."""

    key: str
    hours: float
    after: tuple[str, ...]
    most: int
    wait: float
    held: tuple[str, ...]

    @classmethod
    def of(cls, work: Work) -> _Chained:
        return cls(work.key, work.hours, work.after, work.most, work.wait, work.held)


class _Chains(NamedTuple):
    """Works of a list before each, those after each, and the longest chain behind each [h]."""

    before: dict[str, list[str]]
    followers: dict[str, list[str]]
    tails: dict[str, float]


@lru_cache(maxsize=8)  # one list of works is arranged with many ranks, one after the other
def _chains(works: tuple[_Chained, ...], people: int, day_length: float) -> _Chains:
    """Nobody changes what it gives."""
    by_key = {work.key: work for work in works}
    followers: dict[str, list[str]] = {work.key: [] for work in works}
    before = {work.key: [name for name in dict.fromkeys(work.after) if name in followers] for work in works}
    for key, names in before.items():
        for name in names:
            followers[name].append(key)
    share = day_length / 24.0  # of a wait in working hours
    tails: dict[str, float] = {}
    open_ = {key: len(others) for key, others in followers.items()}  # followers whose chains are not known yet
    last = [key for key, count in open_.items() if count == 0]
    while last:
        key = last.pop()
        work = by_key[key]
        behind = (tails[other] + (work.wait * share if holds(work, other) else 0.0) for other in followers[key])
        tails[key] = work.hours / min(work.most, people) + max(behind, default=0.0)
        for name in before[key]:
            open_[name] -= 1
            if open_[name] == 0:
                last.append(name)
    if len(tails) < len(by_key):
        raise InputError(f"after = {sorted(by_key.keys() - tails.keys())}: expected no works that wait in a ring")
    return _Chains(before, followers, tails)


def chains_behind(works: Sequence[Work], people: int, day_length: float) -> dict[str, float]:
    """Longest chain from the start of each work to the end of all. [h]"""
    return dict(_chains(tuple(map(_Chained.of, works)), people, day_length).tails)


def _given(tails: Mapping[str, float]) -> Callable[[Work], tuple[float, float]]:
    return lambda work: (-work.rank, -tails[work.key])


def choice(works: Sequence[Work], people: int, day_length: float) -> list[str]:
    """Keys in the order in which people are given: by rank, by the longest chain behind, then as listed."""
    return [work.key for work in sorted(works, key=_given(chains_behind(works, people, day_length)))]


def days_from_to(
    placed: Sequence[Placed], day_length: float, opened: Sequence[str], closed: Sequence[str]
) -> tuple[int, int]:
    """The working days, from 1, on which one work starts and others end.

    Parameters
    ----------
    placed : Sequence of Placed
        From ``arrange``.
    day_length : float
        Working hours a day.
    opened : Sequence of str
        The works that open, the earliest of those in the list; where none is, the first morning.
    closed : Sequence of str
        The works that close, the latest of those in the list; where none is, the end of all.

    Returns
    -------
    tuple of int
        The first and the last.
    """
    start = min((item.start for item in placed if item.work.key in opened), default=0.0)
    ends = [item.end for item in placed if item.work.key in closed] or [item.end for item in placed]
    first = math.floor(start / day_length + 1e-6) + 1
    return first, max(first, math.ceil(max(ends, default=0.0) / day_length - 1e-6))


def days_open(placed: Sequence[Placed], day_length: float, opened: Sequence[str], closed: Sequence[str]) -> int:
    """Working days from the start of one work to the end of others, both days counted: as ``days_from_to``."""
    first, last = days_from_to(placed, day_length, opened, closed)
    return last - first + 1


__all__ = [
    "Doubt", "Placed", "Spell", "Work", "arrange", "chains_behind", "choice", "days_from_to", "days_open", "holds",
    "horizon", "released",
]  # fmt: skip
