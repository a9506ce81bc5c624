"""What is due when a stage is reached: the accepted price, changes signed since, what is paid, what stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from drainwright.build.model import Payment
from drainwright.build.price import CENT, deposit
from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.errors import InputError
from drainwright.findings.offer import SHARE, percent
from drainwright.job.offer import Milestone
from drainwright.worksheet import quiet


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """One stage of one job as it is asked for."""

    stage: Payment
    number: int  # from 1
    of: int
    tax: Decimal  # the part of the price's tax that falls to this stage
    changes: Decimal  # signed changes that are asked for with this stage, tax included
    before: Decimal  # stages before this one
    paid: Decimal  # received so far
    due: Decimal  # stage, changes and what is open of the stages before, less what is paid


def stage_taxes(design: Design) -> tuple[Decimal, ...]:
    """Tax of each stage in its order: by its part of the price, to the cent; together the tax of the price."""
    total, tax = design.build.price.total, design.build.price.tax
    found, told = [], Decimal("0.00")
    for item in design.build.payments:
        reached = tax if total == 0 or item.paid == total else (tax * item.paid / total).quantize(CENT, ROUND_DOWN)
        found.append(reached - told)
        told = reached
    return tuple(found)


def due(
    design: Design, stage: str, *, paid: Decimal = Decimal("0.00"), changes: Decimal = Decimal("0.00"),
    reached: Sequence[Milestone] = (),
) -> Due:  # fmt: skip
    """What is due at a stage.

    Parameters
    ----------
    design : Design
        The job as accepted.
    stage : str
        One of the job's stages.
    paid : Decimal
        Received so far, zero or more.
    changes : Decimal
        Signed changes that are asked for with this stage, tax included; less work is negative.
    reached : sequence of Milestone
        Stages whose work stands, as somebody on site has said. Signing needs none.

    Returns
    -------
    Due
        In cents.

    Raises
    ------
    InputError
        If the job has no such stage, its work is not said to stand, it exceeds the place's limits, or more is paid than
        is asked for.
    """
    build, rules = design.build, design.job.rules
    names = [item.when for item in build.payments]
    if stage not in names:
        raise InputError(f"--stage: found {stage!r}; expected {', '.join(names)}")
    at = names.index(stage)
    item, pay = build.payments[at], build.price.currency
    for name in reached:
        if name not in names:
            raise InputError(f"--reached: found {name!r}; expected {', '.join(names)}")
    if item.when != "signing" and item.when not in reached:
        raise InputError(
            f"--stage: found {stage!r}, whose work is not said to stand; expected --reached {stage!r} once it was "
            "looked at together"
        )
    if item.when == "signing":
        cap = rules.deposit_cap
        with quiet():
            most = deposit(
                build.price.total, Decimal(str(rules.deposit_fraction.value)),
                None if cap is None else Decimal(str(cap.value)),
            )  # fmt: skip
        if item.amount > most:
            raise InputError(
                f"--stage: found a deposit of {money(item.amount, pay)}; expected at most {money(most, pay)} "
                f"({build.price.deposit_rule})"
            )
    elif item.when != "completion" and rules.payments_follow_work.value and item.share > item.done + SHARE:
        raise InputError(
            f"--stage: found {percent(item.share)} asked for by then; expected at most {percent(item.done)}, the work "
            "that stands (a rule of the place)"
        )
    before = item.paid - item.amount
    left = item.paid + changes - paid
    if left < 0:
        raise InputError(f"--paid: found {money(paid, pay)}; expected at most {money(item.paid + changes, pay)}")
    return Due(
        stage=item, number=at + 1, of=len(names), tax=stage_taxes(design)[at], changes=changes, before=before,
        paid=paid, due=left,
    )  # fmt: skip


__all__ = ["Due", "due", "stage_taxes"]
