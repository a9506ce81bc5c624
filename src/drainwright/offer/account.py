"""The account beside an acceptance: a line for each invoice, only ever added to, so that no change order is lost.

Each line bears a mark of itself and of the line before; the first stands on the acceptance's own. A line that somebody
changed or took out of the middle is told. Lines cut off the end are not: keep the file as you keep the invoices.
"""

from __future__ import annotations

import datetime
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from drainwright.errors import InputError
from drainwright.offer.accepting import mark_of
from drainwright.offer.invoicing import ChangeOrder, Due

SUFFIX = ".account.jsonl"


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """What was invoiced under one acceptance."""

    path: Path
    entries: tuple[Mapping[str, Any], ...]
    mark: str  # of the last entry, or the acceptance's own

    @property
    def changes(self) -> tuple[ChangeOrder, ...]:
        """Change orders of all invoices so far, each once, in their order."""
        return tuple({str(one["number"]): _change(one) for entry in self.entries for one in entry["changes"]}.values())

    @property
    def asked(self) -> tuple[str, ...]:
        """Stages that an invoice asks for, in the order of the invoices."""
        return tuple(dict.fromkeys(str(entry["stage"]) for entry in self.entries))

    def has(self, number: str) -> bool:
        """Whether an invoice has this number."""
        return any(entry["invoice"] == number for entry in self.entries)


def read_account(record: Path, mark: str) -> Account:
    """The account beside a record of an acceptance; without entries where there is none yet.

    Parameters
    ----------
    record : Path
        The acceptance.
    mark : str
        Its mark.

    Raises
    ------
    InputError
        If it cannot be read, or a line does not bear its mark or does not follow the one before.
    """
    path = record.with_name(record.stem + SUFFIX)
    if not path.exists():
        return Account(path=path, entries=(), mark=mark)
    entries: list[Mapping[str, Any]] = []
    try:
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            entry = json.loads(line)
            told = {key: value for key, value in entry.items() if key != "mark"}
            if told["before"] != mark or mark_of(told) != entry["mark"]:
                raise InputError(
                    f"{path}, line {number}: found a line that does not bear its mark; expected the invoices of this "
                    "acceptance as they were written"
                )
            _ = [_change(one) for one in entry["changes"]]
            entries.append(entry)
            mark = str(entry["mark"])
    except OSError as error:
        raise InputError(f"{path}: found {error.strerror}; expected the invoices so far") from None
    except InputError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, ArithmeticError):
        raise InputError(f"{path}: found no account; expected lines that 'drainwright invoice' wrote") from None
    return Account(path=path, entries=tuple(entries), mark=mark)


def fresh(account: Account, changes: Sequence[ChangeOrder]) -> tuple[ChangeOrder, ...]:
    """The change orders that no invoice has yet.

    Raises
    ------
    InputError
        If one bears the number of an earlier one and is another.
    """
    known = {one.number: one for one in account.changes}
    for one in changes:
        if known.get(one.number, one) != one:
            old = known[one.number]
            raise InputError(
                f"--change: found another {one.number!r} ({one.words}, {one.total}); an invoice has it as "
                f"{old.words}, {old.total}; expected a number of its own"
            )
    return tuple(one for one in changes if one.number not in known)


def overpaid(account: Account, paid: Decimal, *, number: str, on: datetime.date) -> Decimal:
    """What was paid beyond all that the invoices so far ask for; it is credited on the next one.

    Parameters
    ----------
    account : Account
        As it was read.
    paid : Decimal
        Received so far.
    number : str
        Of the next invoice; one that the account has is not judged again.
    on : date
        Its day.

    Returns
    -------
    Decimal
        Zero where nothing was, and before the first invoice.

    Raises
    ------
    InputError
        If the day is before the last invoice's.
    """
    if not account.entries or account.has(number):
        return Decimal("0.00")
    last = account.entries[-1]
    if on.isoformat() < last["on"]:
        raise InputError(
            f"--on: found {on}, before invoice {last['invoice']} of {last['on']}; expected a day on or after it"
        )
    return max(paid - Decimal(last["paid"]) - Decimal(last["due"]), Decimal("0.00"))


def in_turn(
    account: Account, stages: Sequence[str], stage: str, *, number: str, paid: Decimal, changed: bool,
    taken_back: bool = False,
) -> None:  # fmt: skip
    """Refuse an invoice that asks again for what an earlier one asks for, or that was told of less paid.

    Parameters
    ----------
    account : Account
        As it was read.
    stages : sequence of str
        Of the bill, in their order.
    stage : str
        That is asked for.
    number : str
        Of the invoice; one that the account has is not judged again.
    paid : Decimal
        Received so far.
    changed : bool
        Whether change orders come with it that no invoice has yet: they may follow the last stage.
    taken_back : bool
        Whether a payment is said to have been taken back, so that less is paid than before.

    Raises
    ------
    InputError
        If a stage is asked for twice, or after a later one, or less is paid than the last invoice was told.
    """
    if not account.entries or account.has(number):
        return
    last = account.entries[-1]
    if paid < Decimal(last["paid"]) and not taken_back:
        raise InputError(
            f"--paid: found {paid}, less than the {last['paid']} of invoice {last['invoice']} of {last['on']}; "
            "expected all that was received so far (--taken-back where a payment was returned)"
        )
    for entry in reversed(account.entries):
        if entry["stage"] not in stages or stage not in stages:
            continue
        over = stages.index(entry["stage"]) - stages.index(stage)
        if over > 0 or (over == 0 and not changed):
            raise InputError(
                f"--stage: found {stage!r}, which invoice {entry['invoice']} of {entry['on']} asks for"
                + (f" with {entry['stage']!r}" if over else "")
                + "; expected a later stage, or a change order that no invoice has yet with the last one"
            )


def note(account: Account, asked: Due, changes: Sequence[ChangeOrder], *, number: str, on: datetime.date) -> None:
    """Add an invoice to the account; the same one again, after a write that failed, is not added twice.

    Parameters
    ----------
    account : Account
        As it was read.
    asked : Due
        What is asked for.
    changes : sequence of ChangeOrder
        Those that are new with this invoice.
    number : str
        Of the invoice.
    on : date
        Its day.

    Raises
    ------
    InputError
        If another invoice has the number.
    OSError
        If it cannot be written.
    """
    told: dict[str, Any] = {
        "invoice": number, "on": on.isoformat(), "stage": asked.stage.when, "paid": str(asked.paid),
        "due": str(asked.due), "changes": [_plain(one) for one in changes],
    }  # fmt: skip
    for entry in account.entries:
        if entry["invoice"] == number:
            if all(entry[key] == told[key] for key in ("on", "stage", "paid", "due")) and not changes:
                return
            raise InputError(f"--number: found {number!r}, which an invoice of {entry['on']} has; expected another")
    told["before"] = account.mark
    line = json.dumps(told | {"mark": mark_of(told)}, ensure_ascii=False) + "\n"
    with account.path.open("a", encoding="utf-8") as file:
        file.write(line)
        file.flush()
        os.fsync(file.fileno())


def _plain(one: ChangeOrder) -> dict[str, str]:
    told = {
        "number": one.number, "on": one.on.isoformat(), "words": one.words, "amount": str(one.amount),
        "tax": str(one.tax),
    }  # fmt: skip
    return told | ({"kind": "allowance"} if one.allowance else {})


def _change(one: Mapping[str, Any]) -> ChangeOrder:
    return ChangeOrder(
        number=one["number"], on=datetime.date.fromisoformat(one["on"]), words=one["words"],
        amount=Decimal(one["amount"]), tax=Decimal(one["tax"]), allowance=one.get("kind") == "allowance",
    )  # fmt: skip


__all__ = ["SUFFIX", "Account", "fresh", "in_turn", "note", "overpaid", "read_account"]
