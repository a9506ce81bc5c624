"""What is needed to bill a job: price, tax, stages and the place's limits, of a design or as accepted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_DOWN, Decimal, InvalidOperation
from typing import Any, get_args

from drainwright.build.model import Payment
from drainwright.build.price import CENT, deposit
from drainwright.design import Design
from drainwright.errors import InputError
from drainwright.job.offer import Milestone
from drainwright.learning.invented import entries
from drainwright.offer.allowances import Allowed, allowance_records, allowances_from, allowances_of
from drainwright.worksheet import quiet


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """A price as it is asked for, stage by stage."""

    total: Decimal  # with tax
    tax: Decimal
    currency: str
    stages: tuple[Payment, ...]
    most_deposit: Decimal  # that the place allows
    deposit_rule: str
    follow_work: bool  # the place lets no payment run ahead of the work
    invented: bool  # made with a demonstration's or example's prices
    allowances: tuple[Allowed, ...] | None = ()  # in the price; None: a record of an older kind, which does not say
    demonstration: tuple[str, ...] = ()  # which of them, each in words; of records of an older kind not known


def bill_of(design: Design) -> Bill:
    """The bill of a design, without the list of what of it is invented."""
    price, rules = design.build.price, design.job.rules
    cap = rules.deposit_cap
    with quiet():
        most = deposit(
            price.total, Decimal(str(rules.deposit_fraction.value)), None if cap is None else Decimal(str(cap.value))
        )
    return Bill(
        total=price.total, tax=price.tax, currency=price.currency, stages=design.build.payments, most_deposit=most,
        deposit_rule=price.deposit_rule, follow_work=rules.payments_follow_work.value,
        invented=price.invented, allowances=allowances_of(design.build.unit_prices),
    )  # fmt: skip


def asked_bill(design: Design) -> Bill:
    """The bill of a design with each of its wage, shares, prices and rates that is the demonstration's.

    Rates count too: hours at an invented rate make an invented price.
    """
    told = tuple(map(str, entries(design)))
    return replace(bill_of(design), invented=bool(told), demonstration=told)


def bill_record(bill: Bill) -> dict[str, Any]:
    """A bill as plain data, amounts as texts."""
    return {
        "total": str(bill.total), "tax": str(bill.tax), "currency": bill.currency,
        "stages": [
            {"when": one.when, "amount": str(one.amount), "paid": str(one.paid), "share": str(one.share),
             "done": str(one.done)}
            for one in bill.stages
        ],
        "most deposit": str(bill.most_deposit), "deposit rule": bill.deposit_rule, "follow work": bill.follow_work,
        "allowances": allowance_records(bill.allowances or ()),
        "invented": bill.invented, "demonstration prices": list(bill.demonstration),
    }  # fmt: skip


def bill_from(record: Mapping[str, Any]) -> Bill:
    """A bill out of plain data.

    Raises
    ------
    InputError
        If a part is missing or is none, or the stages do not make the price.
    """
    try:
        stages = tuple(
            Payment(
                when=one["when"], amount=Decimal(one["amount"]), paid=Decimal(one["paid"]),
                share=Decimal(one["share"]), done=Decimal(one["done"]),
            )
            for one in record["stages"]
        )  # fmt: skip
        bill = Bill(
            total=Decimal(record["total"]), tax=Decimal(record["tax"]), currency=str(record["currency"]),
            stages=stages, most_deposit=Decimal(record["most deposit"]), deposit_rule=str(record["deposit rule"]),
            follow_work=record["follow work"] is True, invented=record["invented"] is True,
            allowances=allowances_from(record["allowances"]) if "allowances" in record else None,
            demonstration=tuple(map(str, record.get("demonstration prices", ()))),
        )  # fmt: skip
    except (KeyError, TypeError, ValueError, InvalidOperation) as error:
        raise InputError(f"bill: found {error!r}; expected price, tax and stages as they were accepted") from None
    if any(one.when not in get_args(Milestone) for one in stages) or sum(one.amount for one in stages) != bill.total:
        raise InputError("bill: found stages that do not make the price; expected them as they were accepted")
    return bill


def stage_taxes(bill: Bill) -> tuple[Decimal, ...]:
    """Tax of each stage in its order: by its part of the price, to the cent; together the tax of the price."""
    found, told = [], Decimal("0.00")
    for item in bill.stages:
        whole = bill.total == 0 or item.paid == bill.total
        reached = bill.tax if whole else (bill.tax * item.paid / bill.total).quantize(CENT, ROUND_DOWN)
        found.append(reached - told)
        told = reached
    return tuple(found)


__all__ = ["Bill", "asked_bill", "bill_from", "bill_of", "bill_record", "stage_taxes"]
