"""Work in digs that nobody may enter yet: apart from the same work elsewhere, with what must stand first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from drainwright.build.model import DigPlan, Trench
from drainwright.build.parts import YARD
from drainwright.build.passes import HELD
from drainwright.build.portions import portion
from drainwright.build.schedule import Work
from drainwright.build.wording import entry_rule

FROM_ABOVE = "haul"  # nobody enters a dig for it
ELSEWHERE = ("trench", f"trench{YARD}")  # goes on while an opened wall's dig may not be entered


def barred_digs(dig: DigPlan) -> tuple[Trench, ...]:
    """Digs that are too deep to enter without protection, and leave no room for slope or shield."""
    return tuple(trench for trench in dig.trenches if entry_rule(trench))


def unpriced(dig: DigPlan) -> str:
    """What beside live lines that lie along inside a dig is in no price of the book; empty where none does."""
    barred = [trench for trench in dig.trenches if trench.bars]
    if not barred:
        return ""
    digs = " and ".join(trench.name for trench in barred)
    lines = " and ".join(dict.fromkeys(name for trench in barred for name in trench.bars))
    guards = "how people are kept safe in it (shoring), " if barred_digs(dig) else ""
    return (
        f"The dig at {digs}, beside the live {lines}: {guards}the watch and the work of the line's owner, and the "
        "slower digging there. None of this is in the price"
    )


def held_shares(dig: DigPlan, hours: Mapping[str, float], walls: Iterable[str]) -> dict[str, float]:
    """How much of each work lies in digs that may not be entered.

    Parameters
    ----------
    dig : DigPlan
        What is dug.
    hours : mapping of str to float
        Of digging each trench, by its name. [h]
    walls : iterable of str
        Keys of the works at opened walls: shared by the walls' lengths; hauling is shared by the volumes of all digs.

    Returns
    -------
    dict of str to float
        By key, above 0 and at most 1; works of which nothing lies there are left out. [-]
    """
    barred = {trench.name for trench in barred_digs(dig)}

    def share(amounts: Mapping[str, float]) -> float:
        whole = math.fsum(amounts.values())
        return math.fsum(amounts[name] for name in amounts if name in barred) / whole if whole > 0 else 0.0

    opened = [trench for trench in dig.trenches if trench.kind == "wall"]
    found = dict.fromkeys(walls, share({trench.name: trench.length for trench in opened}))
    found[FROM_ABOVE] = share({trench.name: trench.bank_volume for trench in dig.trenches})
    for key in dict.fromkeys(trench.work for trench in dig.trenches):
        found[key] = share({trench.name: hours[trench.name] for trench in dig.trenches if trench.work == key})
    return {key: part for key, part in found.items() if part > 0.0}


def _volumes(dig: DigPlan) -> dict[str, float]:
    """How much of the soil of each work of digging lies in those digs. [-]"""
    barred = {trench.name for trench in barred_digs(dig)}
    found = {}
    for key in dict.fromkeys(trench.work for trench in dig.trenches):
        soil = {trench.name: trench.bank_volume for trench in dig.trenches if trench.work == key}
        whole = math.fsum(soil.values())
        found[key] = math.fsum(soil[name] for name in soil if name in barred) / whole if whole > 0 else 0.0
    return found


def held_apart(works: Sequence[Work], shares: Mapping[str, float], dig: DigPlan) -> tuple[Work, ...]:
    """The works with those parts by themselves that are done in digs which may not be entered.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers.
    shares : mapping of str to float
        From ``held_shares``. [-]
    dig : DigPlan
        Its barred digs give the words.

    Returns
    -------
    tuple of Work
        The same hours and loads in all. A part in a barred dig waits for the parts before it there, what is done
        elsewhere does not wait for it, and all that comes after both waits for both. A work that lies there whole keeps
        its key. Each has the rule of entry as its hold.
    """
    barred = barred_digs(dig)
    amounts = _volumes(dig)
    names = " and ".join(trench.name for trench in barred)
    rule = "; ".join(dict.fromkeys(entry_rule(trench).rstrip(".") for trench in barred))
    split = {work.key for work in works if 0.0 < shares.get(work.key, 0.0) < 1.0}

    def there(keys: Iterable[str]) -> tuple[str, ...]:
        return tuple(key + HELD if key in split else key for key in keys)

    found = []
    for work in works:
        part = shares.get(work.key, 0.0)
        if part <= 0.0:
            both = () if work.key in ELSEWHERE else there(work.after)
            after, held = (
                tuple(dict.fromkeys(names)) for names in ((*work.after, *both), (*work.held, *there(work.held)))
            )
            found.append(replace(work, after=after, held=held))
            continue
        hold = work.hold if work.key == FROM_ABOVE else f"{rule}; {work.hold}" if work.hold else rule
        title = f"{work.title}: {names}, beside the live line"
        if part >= 1.0:
            found.append(replace(work, title=title, hold=hold, after=there(work.after)))
            continue
        later = round(work.loads * part)
        taken = amounts.get(work.key, part)
        rest, here = portion(work.quantity, 1 - part, 1 - taken), portion(work.quantity, part, taken)
        found.append(replace(work, hours=work.hours * (1 - part), quantity=rest, loads=work.loads - later))
        found.append(
            replace(
                work, key=work.key + HELD, title=title, hold=hold, hours=work.hours * part,
                quantity=here, loads=later, after=there(work.after), held=there(work.held),
            )
        )  # fmt: skip
    return tuple(found)


__all__ = ["barred_digs", "held_apart", "held_shares", "unpriced"]
