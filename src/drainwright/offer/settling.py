"""What of the price's allowances was used, is taken off, or lies beyond them, once the job is complete."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal

from drainwright.build.price import cents
from drainwright.build.wording import money
from drainwright.errors import InputError
from drainwright.offer.allowances import Allowed
from drainwright.offer.invoicing import ChangeOrder


def used_of(texts: Sequence[str], allowed: Sequence[Allowed]) -> dict[str, Decimal]:
    """What was used of each allowance, out of ``rock=0.4``.

    Parameters
    ----------
    texts : sequence of str
        Each a kind and its quantity, in the unit of the papers.
    allowed : sequence of Allowed
        Of the accepted price.

    Returns
    -------
    dict
        By kind, one for each allowance.

    Raises
    ------
    InputError
        If a text cannot be read, names no allowance or one twice, or an allowance is left out.
    """
    kinds = {one.what: one for one in allowed}
    known = ", ".join(f"{one.what}=({one.amount(one.quantity)} in the price)" for one in allowed) or "none"
    found: dict[str, Decimal] = {}
    for text in texts:
        what, sign, number = (part.strip() for part in text.partition("="))
        if what not in kinds or what in found:
            raise InputError(f"--used: found {text[:80]!r}; expected each allowance of the price once: {known}")
        if not sign or not re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,3})?", number):
            raise InputError(f"--used: found {text[:80]!r}; expected a quantity, zero or more: {what}=0.4")
        found[what] = Decimal(number)
    if left := [one for one in allowed if one.what not in found]:
        told = " and ".join(f"{one.amount(one.quantity)} of {one.what}" for one in left)
        with_it = " ".join(f"--used {one.what}=..." for one in left)
        raise InputError(
            f"--used: found nothing on {told}, which the price has in it; expected {with_it}, what was really used: "
            "what is not needed is taken off at the same price"
        )
    return found


def settled(
    allowed: Sequence[Allowed], used: Mapping[str, Decimal], on: datetime.date, currency: str
) -> tuple[ChangeOrder, ...]:
    """What is taken off for allowances that were not used up, each to the cent.

    Parameters
    ----------
    allowed : sequence of Allowed
        Of the accepted price.
    used : mapping
        By kind.
    on : date
        Of the invoice.
    currency : str
        For the words.

    Returns
    -------
    tuple of ChangeOrder
        One for each allowance. What is beyond one costs nothing here: it needs a signed change order.
    """
    found = []
    for one in allowed:
        count = used[one.what]
        left = max(one.quantity - count, Decimal(0))
        told = f"{one.title}: {one.amount(one.quantity)} in the price, {one.amount(count)} used"
        if left > 0:
            told += f"; {one.amount(left)} taken off at {money(one.before_tax, currency)} before tax"
        elif count > one.quantity:
            told += f"; the {one.amount(count - one.quantity)} beyond it by signed change order alone"
        found.append(
            ChangeOrder(
                number=one.number, on=on, words=told, amount=-cents(one.before_tax * left), tax=-cents(one.tax * left),
                allowance=True,
            )
        )  # fmt: skip
    return tuple(found)


def look(
    allowed: Sequence[Allowed], changes: Sequence[ChangeOrder], used: Mapping[str, Decimal], currency: str
) -> tuple[str, ...]:
    """What to look at before an invoice goes out: work beyond an allowance, change orders that name its kind.

    Parameters
    ----------
    allowed : sequence of Allowed
        Of the accepted price.
    changes : sequence of ChangeOrder
        New with this invoice.
    used : mapping
        By kind; empty before the last stage.
    currency : str
        For the words.

    Returns
    -------
    tuple of str
        Sentences.
    """
    found = []
    for one in allowed:
        each = f"{money(one.before_tax + one.tax, currency)} with tax"
        each += " each" if one.unit == "each" else f" a {one.unit}"
        are = "is" if one.quantity <= 1 else "are"
        found += [
            f"--change: {change.number!r} names {one.what}, of which {one.amount(one.quantity)} {are} in the price: "
            f"only what is beyond that is charged, at {each}"
            for change in changes
            if not change.allowance and change.amount > 0 and re.search(rf"\b{one.what}s?\b", change.words.lower())
        ]
        if (more := used.get(one.what, Decimal(0)) - one.quantity) > 0:
            found.append(
                f"--used: {one.amount(more)} of {one.what} beyond the {one.amount(one.quantity)} in the price: charged "
                f"by a signed change order alone (--change), at {each}"
            )
    return tuple(found)


__all__ = ["look", "settled", "used_of"]
