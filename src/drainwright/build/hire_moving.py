"""Hours in which shields and bays of sheeting are set and pulled again, by the work that digs each place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from drainwright.build.guarded import GuardedPlace
from drainwright.build.handling import Rates
from drainwright.build.passes import EVEN, HELD
from drainwright.build.schedule import Work
from drainwright.build.sheeting import guard_of, lines_across
from drainwright.build.units import FOOT
from drainwright.errors import require
from drainwright.worksheet import Card, catalogued, place, quiet


@catalogued(
    Card(
        title="Hours to set shields or bays of sheeting and pull them again",
        symbol="h",
        expression="count * each",
        units={"count": "-", "each": "h", "result": "h"},
        source="common_practice",
    )
)
def moving_hours(count: float, each: float) -> float:
    """Person-hours to set sets of shields, or bays of sheeting, in a place and to pull them again.

    Parameters
    ----------
    count : float
        Sets of shields, or bays of sheeting, zero or more. [-]
    each : float
        Person-hours for one, zero or more. [h]

    Returns
    -------
    float
        Hours. [h]

    Raises
    ------
    InputError
        If a value is not finite or is negative.
    """
    require("zero or more", np.greater_equal, count=count, each=each)
    return count * each


def with_moving(works: Sequence[Work], places: Sequence[GuardedPlace], rates: Rates) -> tuple[Work, ...]:
    """The works with the hours in which shields are set and pulled, by the work that digs each place.

    Parameters
    ----------
    works : Sequence of Work
        From ``labour.works``.
    places : Sequence of GuardedPlace
        From ``guarded_places``.
    rates : Rates
        The length of a set, and the hours that one takes.

    Returns
    -------
    tuple of Work
        Each place has its sets once: they are set as it is dug, and pulled as it is filled. Its hours stand with the
        digging, whole with the first pass where a place is open in both.
    """
    keys = {work.key for work in works}
    sets: dict[str, Moved] = {}
    with quiet():
        for item in places:
            ends = [f"{item.work}{end}" for end in item.passes] if item.at_walls else [item.work]
            key = next((end for end in ends if end in keys), item.work)
            apart = f"{key.removesuffix(EVEN)}{HELD}{EVEN if key.endswith(EVEN) else ''}"
            key = apart if item.barred and apart in keys else key
            guard = guard_of(item, rates("shield.length") * FOOT, rates("sheeting.length") * FOOT)
            before = sets.get(key, Moved(0, 0, ()))
            lines = tuple(lines_across(item)) if guard.bays else ()
            sets[key] = Moved(before.sets + guard.sets, before.bays + guard.bays, (*before.lines, *lines))
    found = []
    for work in works:
        if moved := sets.get(work.key):
            for what, count, rate in (
                ("shields", moved.sets, "shield.set"), ("bays of sheeting", moved.bays, "sheeting.set"),
            ):  # fmt: skip
                if count:
                    with place(f"tasks.{work.key}", what):
                        more = round(moving_hours(float(count), rates(rate)), 2)
                    said = f"{work.quantity}; {what} set and pulled, {rates.at(float(count), rate)}"
                    work = replace(work, hours=work.hours + more, quantity=said)
            if moved.lines:
                beside = " and ".join(dict.fromkeys(moved.lines))
                hold = f"sheets and struts stand on both sides of the {beside} before anyone goes in there"
                work = replace(work, hold="; ".join(part for part in (work.hold, hold) if part))
        found.append(work)
    return tuple(found)


class Moved(NamedTuple):
    """What a work sets and pulls again."""

    sets: int
    bays: int
    lines: tuple[str, ...]  # beside which it sheets by hand


__all__ = ["moving_hours", "with_moving"]
