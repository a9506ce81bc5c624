"""Which rates the hours of each task hang on: the works listed again with one rate changed at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

from drainwright.build.book import Rate, book_for
from drainwright.build.machine import kit_of
from drainwright.build.model import CrewPlan, Task
from drainwright.build.parts import task_key
from drainwright.build.pumping import KEY, RATE
from drainwright.build.schedule import Work
from drainwright.build.side import Amounts, measured
from drainwright.field.model import Site
from drainwright.job.firm import PriceBook
from drainwright.system.model import System

Step = TypeVar("Step", Task, Work)
ALL = "-all"  # after the name of a kind of work: all its works together
FIRST = "-first"  # the first of them alone
STEP = 1.5  # hours are sums of amounts over rates, or times them, so that any step tells the same
FIXED = ("roots.none",)  # what others are counted from
LEAST = 0.02  # a share of a task's hours below this is rounding


def hours_of(works: Iterable[Step]) -> dict[str, float]:
    """Planned hours by the key under which they are noted: each work's own, and the sum of those of one kind."""
    hours: dict[str, float] = {}
    for kind, parts in kinds_of(works).items():
        hours |= {part.key: part.hours for part in parts}
        if len(parts) > 1:
            hours[kind + ALL] = sum(part.hours for part in parts)
    return hours


def kinds_of(works: Iterable[Step]) -> dict[str, list[Step]]:
    """Works of one kind together, by its name: passes at the walls, and what lies away from them."""
    kinds: dict[str, list[Step]] = {}
    for work in works:
        kinds.setdefault(task_key(work.key), []).append(work)
    return kinds


def slower(rate: Rate) -> int:
    """Whether a greater value of a rate takes more hours (1) or fewer (-1)."""
    return -1 if rate.unit.endswith("/h") else 1


def hangs_on(
    site: Site,
    system: System,
    own: PriceBook,
    rates: Mapping[str, Rate],
    plan: CrewPlan,
    amounts: Amounts | None = None,
) -> dict[str, dict[str, float]]:
    """How many per cent more hours each task takes when the hours a unit of a rate grow by one per cent.

    Parameters
    ----------
    site, system : Site, System
        The job, laid out.
    own : PriceBook
        That the plan was made with.
    rates : mapping of str to Rate
        The rates of that book.
    plan : CrewPlan
        The plan.
    amounts : Amounts, optional
        Of the same job, where they are measured already.

    Returns
    -------
    dict of str to dict
        By task or sum of a kind, then by rate: 1 where the task hangs on that rate alone, and its share of the hours
        where on several.
        Waits are no hours and have no share.
    """
    base = hours_of(plan.tasks)
    amounts, kit = amounts or measured(site, system), kit_of(site.job.equipment)
    found: dict[str, dict[str, float]] = {key: {} for key in base}
    for key, rate in rates.items():
        if key in FIXED or rate.unit == "h":
            continue
        changed = own.model_copy(update={"rates": {**own.rates, key: rate.value * STEP}})
        after = hours_of(amounts.works(book_for(changed), kit))
        for task, hours in base.items():
            if task == KEY:  # by the days of the plan, which are no work of its own
                found[task] |= {key: 1.0} if key == RATE else {}
                continue
            more = after.get(task, 0.0) / hours - 1.0
            share = more / (STEP - 1.0) if slower(rate) > 0 else more / (1.0 / STEP - 1.0)
            if share > LEAST:
                found[task][key] = min(share, 1.0)
    return found


__all__ = ["ALL", "FIRST", "hangs_on", "hours_of", "kinds_of", "slower"]
