"""What is due when a stage is reached: the accepted price, changes signed since, what is paid, what stands."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from drainwright.build.model import Payment
from drainwright.build.price import CENT
from drainwright.build.wording import money
from drainwright.errors import InputError
from drainwright.findings.offer import brief_percent, paid_ahead
from drainwright.job.offer import Milestone
from drainwright.offer.bill import Bill, stage_taxes


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOrder:
    """One signed change order, as its paper has it; less work is negative."""

    number: str
    on: datetime.date
    words: str  # what it is for
    amount: Decimal  # before tax, in cents
    tax: Decimal  # on it, of the same sign
    allowance: bool = False  # what of an allowance was not used, taken off: the offer itself says so, nobody signs

    @property
    def total(self) -> Decimal:
        """Amount with tax."""
        return self.amount + self.tax


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """One stage of one job as it is asked for."""

    stage: Payment
    number: int  # from 1
    of: int
    tax: Decimal  # the part of the price's tax that falls to this stage
    changes: tuple[ChangeOrder, ...]  # asked for with this stage and with those before it
    before: Decimal  # stages before this one
    paid: Decimal  # received so far
    due: Decimal  # stage, changes and what is open before, less what is paid; below zero: allowances to pay back

    @property
    def changed(self) -> Decimal:
        """The change orders together, with tax."""
        return sum((one.total for one in self.changes), Decimal("0.00"))


def change_order_of(text: str) -> ChangeOrder:
    """A signed change order out of one line of words.

    Parameters
    ----------
    text : str
        Number, date, what it is for, amount before tax and tax, with semicolons between.

    Returns
    -------
    ChangeOrder
        In cents.

    Raises
    ------
    InputError
        If a part is missing or cannot be used.

    Examples
    --------
    >>> change_order_of("2; 2026-04-02; rock by hand, 3 h; 285.00; 0.00").total
    Decimal('285.00')
    """
    start, found = text.split(";", 2), f"--change: found {text[:80]!r}"
    parts = [part.strip() for part in (*start[:2], *(start[2].rsplit(";", 2) if len(start) == 3 else ()))]
    if len(parts) != 5 or not parts[0] or not parts[2]:
        raise InputError(f"{found}; expected 'number; date; what it is for; amount before tax; tax'")
    try:
        day = datetime.date.fromisoformat(parts[1])
    except ValueError:
        raise InputError(f"{found}; expected its date second, like 2026-04-02") from None
    if not all(re.fullmatch(r"-?[0-9]{1,9}(\.[0-9]{1,2})?", part) for part in parts[3:]):
        raise InputError(f"{found}; expected amount and tax to the cent, like 285.00; 18.53")
    amount, tax = (Decimal(part).quantize(CENT) for part in parts[3:])
    if tax * amount < 0 or abs(tax) > abs(amount):
        raise InputError(f"{found}; expected a tax of the amount's sign and smaller than it")
    return ChangeOrder(number=parts[0], on=day, words=parts[2], amount=amount, tax=tax)


def due(
    bill: Bill, stage: str, *, paid: Decimal = Decimal("0.00"), changes: Sequence[ChangeOrder] = (),
    reached: Sequence[Milestone] = (), all_known: bool = False, asked_before: Sequence[str] = (),
) -> Due:  # fmt: skip
    """What is due at a stage.

    Parameters
    ----------
    bill : Bill
        The job as accepted.
    stage : str
        One of the job's stages.
    paid : Decimal
        Received so far, zero or more.
    changes : sequence of ChangeOrder
        Signed change orders, of this invoice and of those before it.
    reached : sequence of Milestone
        Stages whose work stands, as somebody on site has said. Signing needs none.
    all_known : bool
        Whether an account says that no change order is left out. Without one, more paid than the stages before and
        the change orders come to means that some are, and they would be taken off what is due.
    asked_before : sequence of str
        Stages that earlier invoices ask for: their work was said to stand then.

    Returns
    -------
    Due
        In cents.

    Raises
    ------
    InputError
        If the job has no such stage, its work is not said to stand, two change orders bear one number, it exceeds the
        place's limits, more is paid than is asked for, or change orders are left out.
    """
    names = [item.when for item in bill.stages]
    if stage not in names:
        raise InputError(f"--stage: found {stage!r}; expected {', '.join(names)}")
    at = names.index(stage)
    item, pay = bill.stages[at], bill.currency
    for name in reached:
        if name not in names:
            raise InputError(f"--reached: found {name!r}; expected {', '.join(names)}")
    stand = {"signing", *reached, *asked_before}
    if unsaid := [name for name in names[: at + 1] if name not in stand]:
        told = " ".join(f"--reached {name!r}" for name in unsaid)
        with_it = "" if unsaid[-1] == stage else f", which asks for {' and '.join(map(repr, unsaid))} too"
        raise InputError(
            f"--stage: found {stage!r}{with_it}, whose work is not said to stand; expected {told} once it was looked "
            "at together"
        )
    if item.when == "signing":
        if item.amount > bill.most_deposit:
            raise InputError(
                f"--stage: found a deposit of {money(item.amount, pay)}; expected at most "
                f"{money(bill.most_deposit, pay)} ({bill.deposit_rule})"
            )
    elif bill.follow_work and paid_ahead(item):
        raise InputError(
            f"--stage: found {brief_percent(item.share)} asked for by then; expected at most "
            f"{brief_percent(item.done)}, the work that stands (a rule of the place)"
        )
    numbers = [one.number for one in changes]
    if twice := sorted({number for number in numbers if numbers.count(number) > 1}):
        raise InputError(f"--change: found the number {twice[0]!r} twice; expected each change order once")
    before = item.paid - item.amount
    asked = item.paid + sum((one.total for one in changes), Decimal("0.00"))
    left = asked - paid
    most = asked - sum((one.total for one in changes if one.allowance), Decimal("0.00"))
    if paid > most:
        raise InputError(f"--paid: found {money(paid, pay)}; expected at most {money(most, pay)}")
    explained = before + sum((max(one.total, Decimal("0.00")) for one in changes), Decimal("0.00"))
    if paid > explained and not all_known:
        raise InputError(
            f"--paid: found {money(paid, pay)}, more than the stages before this one and the change orders named come "
            f"to ({money(explained, pay)}); expected --change again for each change order of the invoices before"
        )
    return Due(
        stage=item, number=at + 1, of=len(names), tax=stage_taxes(bill)[at], changes=tuple(changes), before=before,
        paid=paid, due=left,
    )  # fmt: skip


__all__ = ["ChangeOrder", "Due", "change_order_of", "due"]
