"""Trench shields: how many sets stand where on which day of the plan, and the days for which each is hired."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby, pairwise
from typing import NamedTuple

import numpy as np

from drainwright.build.guarded import GuardedPlace
from drainwright.build.handling import Rates
from drainwright.build.hire_terms import hire_terms
from drainwright.build.model import ShieldHire, ShieldPlace, TakeoffLine, Tool
from drainwright.build.parts import WALL_DONE, YARD
from drainwright.build.passes import EVEN, HELD
from drainwright.build.protection import shields_name
from drainwright.build.schedule import Placed
from drainwright.build.sheeting import guard_of
from drainwright.build.trench import PLACES
from drainwright.build.units import FOOT, whole
from drainwright.build.working_days import WorkingDays
from drainwright.errors import require
from drainwright.job.values import Basis
from drainwright.worksheet import Card, catalogued, place

CLOSE = 1e-6  # of a day or an hour [-]
IN_A_HOLE = 2  # people who dig a basin's hole: one below, one above; common practice, no source
#: Works that bring people into a trench: the drain's, the walls', and what is set in a basin's hole before its stone.
LAYING = ("bed", "pipe", "stone", "inspect", "backfill")
AT_WALLS = ("open", "trench", *WALL_DONE)
SET_IN = ("basin", "collar", "round")
STONE = ("bed", "pipe", "stone")


@catalogued(
    Card(
        title="Sets of trench shields along an open length",
        symbol="N",
        expression="length over the length that one set guards, rounded up to whole sets",
        units={"length": "m", "set_length": "m", "result": "-"},
        source="osha_652",
        expression_kind="procedure",
    )
)
def sets_along(length: float, set_length: float) -> int:
    """Whole sets that guard a length from end to end.

    Parameters
    ----------
    length : float
        Open deeper than the protection depth, with people in it; zero or more. [m]
    set_length : float
        That one set guards, above zero. [m]

    Returns
    -------
    int
        Sets.

    Raises
    ------
    InputError
        If a value is not finite, or out of range.

    Examples
    --------
    >>> sets_along(2.5, 2.4384)
    2
    """
    require("zero or more", np.greater_equal, length=length)
    require("above zero", np.greater, set_length=set_length)
    return round(whole(length / set_length))


def shield_hire(
    places: Sequence[GuardedPlace],
    placed: Sequence[Placed],
    day_length: float,
    pit_hours: float,
    rates: Rates,
    calendar: WorkingDays | None = None,
) -> ShieldHire | None:
    """The sets of shields by the crew's plan; nothing where no digging needs any.

    Parameters
    ----------
    places : Sequence of GuardedPlace
        From ``guarded_places``.
    placed : Sequence of Placed
        From ``schedule.arrange``.
    day_length : float
        Working hours a day. [h]
    pit_hours : float
        Person-hours of digging the basins' holes, which are dug last. [h]
    rates : Rates
        The length of a set, the least days of hire, and what a week of it costs.
    calendar : WorkingDays, optional
        Weekends between two days of need are hired too; left out, no day is off.

    Returns
    -------
    ShieldHire or None
        The n-th set is there from the first to the last day on which n are needed at once.
    """
    if not places:
        return None
    set_length, least = rates("shield.length") * FOOT, rates("shield.days-least")
    found, stays, sheeted = [], [], []
    for item in places:
        guard = guard_of(item, set_length, rates("sheeting.length") * FOOT)
        with place(f"{PLACES[item.kind]}.{item.trench}", "shields"):
            if not guard.bays:
                sets_along(item.length, set_length)
        stay = stay_in(item, guard.sets, placed, pit_hours)
        stays.append(stay)
        sheeted.append(Stay(guard.bays, stay.spells))
        found.append(
            ShieldPlace(
                where=item.name,
                trench=item.trench,
                kind=item.kind,
                work=item.work,
                length=item.length,
                sets=guard.sets,
                sheeted=guard.sheeted,
                bays=guard.bays,
                days=tuple(sorted({day for spell in stay.spells for day in days_of(spell, day_length)})),
                stands=_stands(stay, day_length),
                lines=item.lines,
            )
        )
    needed, by_hand = (standing_by_day(each, day_length) for each in (stays, sheeted))
    terms = hire_terms((calendar or WorkingDays()).offsets(max(len(needed), len(by_hand)) + 1), rates)

    def charged(counts: Sequence[int], what: str) -> tuple[float, ...]:
        days = []
        for number in range(1, max(counts, default=0) + 1):
            on = [day for day, count in enumerate(counts, 1) if count >= number]
            with place("equipment", f"{what} {number}"):
                days.append(terms.charged(on[0], on[-1], least))
        return tuple(days)

    return ShieldHire(
        set_length=set_length, least=least, places=tuple(found), needed=needed,
        days=charged(needed, "shields, set"), bays=charged(by_hand, "sheeting, bay"),
        hours=math.fsum((stay.sets + bays.sets) * _length(stay) for stay, bays in zip(stays, sheeted, strict=True)),
    )  # fmt: skip


def _stands(stay: Stay, day_length: float) -> tuple[int, int]:
    """The first and the last working day on which what guards a place stands in it; zeros where nobody goes in."""
    days = [day for spell in stay.spells for day in days_of(spell, day_length)]
    return (min(days), max(days)) if days else (0, 0)


def _length(stay: Stay) -> float:
    """From the first to the last moment at which people may be in a place. [h]"""
    return max((end for _, _, end, _ in stay.spells), default=0.0) - min(
        (at for _, at, _, _ in stay.spells), default=0.0
    )


class Stay(NamedTuple):
    """When people may be in a place below the protection depth."""

    sets: int
    spells: tuple[tuple[str, float, float, int], ...]  # work, from, to, people at it; working hours [h]


def stay_in(item: GuardedPlace, sets: int, placed: Sequence[Placed], pit_hours: float) -> Stay:
    """The works that bring people into a place, for as long as it is open deeper than the protection depth.

    Parameters
    ----------
    item : GuardedPlace
        The place.
    sets : int
        That guard it from end to end.
    placed : Sequence of Placed
        From ``schedule.arrange``.
    pit_hours : float
        Person-hours of the basins' holes. [h]

    Returns
    -------
    Stay
        From the start of the work that digs it, for nobody says which length is begun with; of a basin's hole from the
        last hours of that work. To the end of its stone where that leaves less than the protection depth open, else
        of its backfill, which is tamped in layers. A machine's digging is counted as if by hand.
    """
    keys = {one.work.key: one for one in placed}
    ends = item.passes if item.at_walls else (YARD,) if any(key.endswith(YARD) for key in keys) else ("",)
    entered = set()
    for end in ends:
        entered |= {f"{key}{end}" for key in (*LAYING, *(AT_WALLS if item.at_walls else ()))}
        entered |= {"inspect"} if end == YARD else set()
    if not item.at_walls:
        entered |= {item.work, *(SET_IN if item.kind == "basin" else ("inlets",))}
    if item.kind != "wall":
        entered -= {f"open{end}" for end in ends}
    if item.barred:
        apart = {key: f"{key.removesuffix(EVEN)}{HELD}{EVEN if key.endswith(EVEN) else ''}" for key in entered}
        entered = {apart[key] if apart[key] in keys else key for key in entered}
    stone = SET_IN if item.kind == "basin" else [f"{key}{end}" for key in STONE for end in ends]
    stone_ends = [keys[key].end for key in stone if key in keys]
    last = max(stone_ends, default=math.inf) if item.stoned else math.inf
    first = 0.0
    if item.kind == "basin" and item.work in keys:
        first = last_hours(keys[item.work], pit_hours, IN_A_HOLE)
    return Stay(
        sets,
        tuple(
            (key, max(start, first), min(end, last), people)
            for key in keys
            if key in entered
            for start, end, people in keys[key].spells
            if min(end, last) - max(start, first) > CLOSE
        ),
    )


def needed_by_day(stays: Sequence[Stay], day_length: float) -> tuple[int, ...]:
    """Most sets at once on each working day, up to the last on which any is needed.

    Parameters
    ----------
    stays : Sequence of Stay
        Of each place.
    day_length : float
        Working hours a day. [h]

    Returns
    -------
    tuple of int
        At each moment the most that the people at work can be in, a place for each of them and each place once:
        wherever they stand, sets stand with them.
    """
    from scipy.optimize import linear_sum_assignment

    spells = [spell for stay in stays for spell in stay.spells]
    counts = [0] * max((day for spell in spells for day in days_of(spell, day_length)), default=0)
    moments = sorted({moment for _, start, end, _ in spells for moment in (start, end)})
    for at, until in pairwise(moments):
        here = {(key, hands) for key, start, end, hands in spells if start <= at and until <= end}
        if not here or until - at <= CLOSE:
            continue
        sets = [
            [
                stay.sets if any(one[0] == key and one[1] <= at and until <= one[2] for one in stay.spells) else 0
                for stay in stays
            ]
            for key, hands in sorted(here)
            for _ in range(hands)
        ]
        people, places = linear_sum_assignment(sets, maximize=True)
        count = sum(sets[one][other] for one, other in zip(people, places, strict=True))
        for day in days_of(("", at, until, 0), day_length):
            counts[day - 1] = max(counts[day - 1], count)
    return tuple(counts)


def standing_by_day(stays: Sequence[Stay], day_length: float) -> tuple[int, ...]:
    """Most sets that stand at once on each working day, up to the last on which any stands.

    Parameters
    ----------
    stays : Sequence of Stay
        Of each place.
    day_length : float
        Working hours a day. [h]

    Returns
    -------
    tuple of int
        A set is set once and pulled once: it stands from the first moment at which people may be in its place to the
        last, through all waits between.
    """
    spans = [
        (min(at for _, at, _, _ in stay.spells), max(end for _, _, end, _ in stay.spells), stay.sets)
        for stay in stays
        if stay.spells and stay.sets
    ]
    counts = [0] * max((days_of(("", at, end, 0), day_length)[-1] for at, end, _ in spans), default=0)
    moments = sorted({moment for at, end, _ in spans for moment in (at, end)})
    for at, until in pairwise(moments):
        if until - at > CLOSE:
            count = sum(sets for first, last, sets in spans if first <= at and until <= last)
            for day in days_of(("", at, until, 0), day_length):
                counts[day - 1] = max(counts[day - 1], count)
    return tuple(counts)


def days_of(spell: tuple[str, float, float, int], day_length: float) -> range:
    """Working days on which a spell falls, from 1."""
    _, start, end, _ = spell
    first = math.floor(start / day_length + CLOSE) + 1
    return range(first, max(first, math.ceil(end / day_length - CLOSE)) + 1)


def last_hours(item: Placed, hours: float, people: int) -> float:
    """The moment from which so many people, or fewer, have so many person-hours of a work left. [h]"""
    left = hours
    for start, end, hands in reversed(item.spells):
        most = (end - start) * min(hands, people)
        if left <= most:
            return end - left / min(hands, people)
        left -= most
    return item.start


def shield_line(hire: ShieldHire, *, by_hand: bool) -> TakeoffLine:
    """The line of the takeoff: days of all sets together."""
    each = "; ".join(
        f"day {days_words(on)} {count} set{'' if count == 1 else 's'}"
        for on, count in runs_of_days(hire.needed)
        if count
    )
    places = [item for item in hire.places if item.sets]
    where = ", ".join(dict.fromkeys(item.trench for item in places))
    first = min(places, key=lambda item: (item.days, item.kind != "wall"))
    return TakeoffLine(
        key="hire.shield",
        category="hire",
        description=shields_name(by_hand=by_hand),
        net=hire.set_days,
        quantity=hire.set_days,
        unit="day",
        where=where,
        waste=0.0,
        basis=Basis.ASSUMED,
        note=f"by the crew's plan, each set in its place from the first who goes in to the fill: {each}; charged by "
        "the calendar, a week at its own price",
        source="hire",
        task=first.work,
    )


def sheeting_line(hire: ShieldHire) -> TakeoffLine:
    """The line of the takeoff for what is sheeted by hand: days of all bays together."""
    places = [item for item in hire.places if item.bays]
    return TakeoffLine(
        key="hire.sheeting", category="hire", description="trench sheeting set by hand: sheets, walings, struts",
        net=hire.bay_days, quantity=hire.bay_days, unit="day", where=", ".join(item.where for item in places),
        waste=0.0, basis=Basis.ASSUMED, note=f"{len(hire.bays)} bays at once, beside buried lines that no set stands "
        "over; by the crew's plan, charged by the calendar", source="hire",
        task=min(places, key=lambda item: item.days).work,
    )  # fmt: skip


def guard_lines(hire: ShieldHire, *, owned: bool, by_hand: bool) -> tuple[TakeoffLine, ...]:
    """What is hired to guard people: sets of shields that the firm does not own, bays of sheeting."""
    sets = (shield_line(hire, by_hand=by_hand),) if hire.days and not owned else ()
    return (*sets, *((sheeting_line(hire),) if hire.bays else ()))


def runs_of_days(needed: Sequence[int]) -> Iterator[tuple[range, int]]:
    """Days on end that need as many sets: the days, from 1, and the sets."""
    day = 1
    for count, group in groupby(needed):
        length = len(list(group))
        yield range(day, day + length), count
        day += length


def days_words(days: Sequence[int]) -> str:
    """``4``, ``4 to 6``, ``2, 4 to 6``."""
    parts: list[list[int]] = []
    for day in days:
        if parts and parts[-1][-1] == day - 1:
            parts[-1].append(day)
        else:
            parts.append([day])
    return ", ".join(f"{part[0]}" if len(part) == 1 else f"{part[0]} to {part[-1]}" for part in parts)


def with_sets(tools: Sequence[Tool], hire: ShieldHire | None) -> tuple[Tool, ...]:
    """The tools with as many of the firm's own shields as are needed at once; none where they fit nowhere."""
    if hire is None:
        return tuple(tool for tool in tools if tool.key != "shields")
    return tuple(replace(tool, count=len(hire.days)) if tool.key == "shields" else tool for tool in tools)


__all__ = [
    "Stay", "days_of", "days_words", "guard_lines", "last_hours", "needed_by_day", "runs_of_days",
    "sets_along", "sheeting_line", "shield_hire", "shield_line", "standing_by_day",
    "stay_in", "with_sets",
]  # fmt: skip
