"""Stage payments: a deposit within the place's limit, then no more than the work that stands, the rest at the end."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import ROUND_DOWN, Decimal

from drainwright.build.model import CrewPlan, Payment, Price, Takeoff
from drainwright.build.parts import task_key
from drainwright.build.price import CENT, deposit
from drainwright.build.uses import task_of
from drainwright.job.offer import MILESTONES, Milestone, Stage
from drainwright.job.place import Rules
from drainwright.worksheet import quiet

FINAL = Decimal("0.10")  # of the price, due when the works are tried: 5 to 10 %, common practice, no source
LEAST = Decimal("0.05")  # a stage of less than this share is not asked for on its own: common practice, no source
_TASKS: dict[Milestone, tuple[str, ...]] = {
    "signing": (),
    "start": ("set-up",),
    "walls coated": ("clean", "parge", "board", *(f"coat-{number}" for number in range(1, 7))),
    "drains laid": ("bed", "pipe", "stone", "inlets"),
    "pump running": ("pump",),
    "completion": ("finish",),
}


def progress(plan: CrewPlan, takeoff: Takeoff, price: Price) -> dict[Milestone, Decimal]:
    """The part of the direct cost that is surely spent when each milestone of this job is reached.

    Parameters
    ----------
    plan : CrewPlan
        Works with what comes before what.
    takeoff : Takeoff
        What each work uses.
    price : Price
        The cost of both.

    Returns
    -------
    dict of Milestone to Decimal
        From 0 to 1, in the order of the milestones; those that this job does not have are left out. Counted are the
        milestone's own works, all that must come before them, and what these use; permits count from the start.
    """
    before = {task.key: task.after for task in plan.tasks}
    days = {task.key: task.day for task in plan.tasks}
    direct = price.direct_cost
    labour = {line.key.removeprefix("labour."): line.amount for line in price.lines if line.category == "labour"}
    bought = [line for line in price.lines if line.category != "labour"]
    found: dict[Milestone, Decimal] = {}
    for milestone in MILESTONES:
        own = [key for key in before if task_key(key) in _TASKS[milestone]]
        if milestone != "signing" and not own:
            continue
        done = _closure(own, before)
        spent = sum((labour.get(key, Decimal(0)) for key in done), Decimal(0))
        for line, cost in zip(takeoff.lines, bought, strict=True):
            task = task_of(line, days)
            if task in done or (not task and milestone != "signing"):
                spent += cost.amount
        found[milestone] = Decimal(0) if direct == 0 else min(Decimal(1), spent / direct)
    found["completion"] = Decimal(1)
    return found


def _closure(keys: Iterable[str], before: dict[str, tuple[str, ...]]) -> set[str]:
    found: set[str] = set()
    open_ = list(keys)
    while open_:
        key = open_.pop()
        if key not in found:
            found.add(key)
            open_ += before.get(key, ())
    return found


def payments(
    price: Price, plan: CrewPlan, takeoff: Takeoff, rules: Rules, stages: Sequence[Stage] = ()
) -> tuple[Payment, ...]:
    """The payments: the job's own stages, or the usual ones within the place's limits.

    Parameters
    ----------
    price : Price
        With tax.
    plan : CrewPlan
        For what is done by each stage.
    takeoff : Takeoff
        For what is bought by each stage.
    rules : Rules
        The place's limit of the deposit.
    stages : sequence of Stage
        Of the job; left out: a deposit by the rule, then at each milestone as much as the work that stands by then is
        worth, and a tenth at least when the works are tried.

    Returns
    -------
    tuple of Payment
        Their amounts make the price to the cent; each but the last is rounded down. The job's own are told as they
        are, within limits or not: ``findings`` judge them. A stage that the job does not reach joins the next one.
    """
    done = progress(plan, takeoff, price)
    if stages:
        cumulative: dict[Milestone, Decimal] = {}
        paid = Decimal(0)
        for stage in stages:
            paid += Decimal(str(stage.share))
            if stage.when in done:
                cumulative[stage.when] = paid
        return _paid(price.total, {name: _cents(price.total * share) for name, share in cumulative.items()}, done)
    cap = rules.deposit_cap
    with quiet():  # the price has recorded it
        first = deposit(
            price.total, Decimal(str(rules.deposit_fraction.value)), None if cap is None else Decimal(str(cap.value))
        )
    targets: dict[Milestone, Decimal] = {"signing": first} if first > 0 else {}
    most = price.total * (1 - FINAL)
    last = first
    for name, share in done.items():
        if name in ("signing", "completion"):
            continue
        target = min(_cents(price.total * share), _cents(most))
        if target > last and target - last >= price.total * LEAST:
            targets[name] = target
            last = target
    return _paid(price.total, targets, done)


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, rounding=ROUND_DOWN)


def _paid(total: Decimal, cumulative: dict[Milestone, Decimal], done: dict[Milestone, Decimal]) -> tuple[Payment, ...]:
    """Payments from what is to be paid by each milestone; the last takes the rest."""
    targets = {**cumulative, "completion": total}
    found: list[Payment] = []
    before = Decimal("0.00")
    for name, paid in targets.items():
        share = Decimal(0) if total == 0 else (paid / total).quantize(Decimal("0.0001"))
        found.append(
            Payment(
                when=name, amount=paid - before, paid=paid, share=share, done=done[name].quantize(Decimal("0.0001"))
            )
        )
        before = paid
    return tuple(found)


__all__ = ["FINAL", "LEAST", "payments", "progress"]
