"""Somebody who stands by while another digs by hand beside a live gas, electric or propane line."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from drainwright.build.handling import HandShares, Kit, Rates, careful_shares, dig_hours
from drainwright.build.model import DigPlan
from drainwright.build.parts import dig_key
from drainwright.build.schedule import Work
from drainwright.field.model import Site
from drainwright.system.model import System

RATE = "watch"
TOLD = "somebody stands by at live lines"
HOLD = (
    "beside a live line one digs by hand and another stands by with nothing else to do: sees blade and line, stops the "
    "digging, knows the shutoff and whom to call"
)


def watched_hours(dig: DigPlan, site: Site, system: System, rates: Rates) -> dict[str, float]:
    """Hours of digging by hand in the tolerance zones of live gas, electric and propane lines.

    Parameters
    ----------
    dig : DigPlan
        Digging, and the lengths of it that are dug by hand round buried lines.
    site, system : Site, System
        Which lines are live and dangerous; the drains' ways.
    rates : Rates
        The book's.

    Returns
    -------
    dict of str to float
        By name of the digging; those of none are left out. One person digs there at a time, so that they are also how
        long it lasts: common practice, no source. [h]
    """
    dangerous = {item.utility.name for item in site.utilities if item.utility.dangerous}
    near = tuple(item for item in dig.crossings if item.utility in dangerous)
    if not near:
        return {}
    found = {}
    for item, share in zip(dig.trenches, careful_shares(replace(dig, crossings=near), system).values(), strict=True):
        at_ease = dig_hours(item, HandShares(0.0, 0.0), site, rates, Kit()).all
        if share > 0.0 and at_ease > 0.0:
            found[item.name] = at_ease * share * rates("tolerance-zone")
    return found


def with_watch(works: Sequence[Work], dig: DigPlan, hours: Mapping[str, float], rates: Rates) -> tuple[Work, ...]:
    """The works, with somebody standing by in the hours of each digging beside a live line.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers, in their parts and passes.
    dig : DigPlan
        Its digs say by which work each is dug.
    hours : mapping of str to float
        From ``watched_hours``. [h]
    rates : Rates
        The hours of standing by for each hour of that digging.

    Returns
    -------
    tuple of Work
        The watch is hours of the digging itself, for it lasts as long and is never done at another time; where the
        digging is in parts, they share it by their hours.
    """
    dug: dict[str, float] = {}
    for trench in dig.trenches:
        dug[trench.work] = dug.get(trench.work, 0.0) + hours.get(trench.name, 0.0)
    whole = {key: math.fsum(work.hours for work in works if dig_key(work.key) == key) for key in dug}
    found = []
    for work in works:
        key = dig_key(work.key)
        if dug.get(key, 0.0) > 0.0 and work.hours > 0.0:
            watch = round(dug[key] * work.hours / whole[key] * rates(RATE), 2)
            said = f"{work.quantity}; {TOLD}, {watch:g} h at {rates(RATE):g} h/h"
            hold = f"{work.hold}; {HOLD}" if work.hold else HOLD
            work = replace(work, hours=work.hours + watch, watch=watch, quantity=said, hold=hold)
        found.append(work)
    return tuple(found)


__all__ = ["HOLD", "RATE", "watched_hours", "with_watch"]
