"""The record of an acceptance: written once, never over another, and read with its mark held against its content."""

from __future__ import annotations

import datetime
import hashlib
import json
import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from drainwright.design import Design
from drainwright.errors import InputError
from drainwright.findings.model import Severity
from drainwright.findings.offer import brief_percent, paid_ahead
from drainwright.job.model import Job
from drainwright.offer.accepting import FORM, mark_of, offered
from drainwright.offer.bill import Bill, asked_bill, bill_from, bill_record
from drainwright.offer.model import OptionSet

NAME = "acceptance.json"
MOST_BYTES = 5_000_000
KEYS = ("by", "on", "options", "total", "currency", "mark", "proposal", "offered")


def acceptance(
    design: Design,
    options: OptionSet | None,
    *,
    by: str,
    on: datetime.date,
    chosen: Sequence[str],
    signed: bytes,
    demonstration: bool = False,
) -> dict[str, Any]:
    """What was accepted, as plain data.

    Parameters
    ----------
    design : Design
        The job as designed.
    options : OptionSet or None
        Its options as designed.
    by : str
        Who accepts.
    on : datetime.date
        When.
    chosen : sequence of str
        Keys of one package or add-on, or the options that make one up.
    signed : bytes
        The proposal's PDF; empty where none is given.
    demonstration : bool
        Whether it is known, and gone on with, that the price rests on invented prices.

    Returns
    -------
    dict of str to Any
        With the mark of the whole offer, and the price and stages of the choice, so that it can be billed whatever
        the book says later.

    Raises
    ------
    InputError
        If the day comes before that of the visit, a key is none of the offer's, what is chosen was not designed
        together and so has no price, or the price rests on invented prices that nobody goes on with knowingly.
    """
    not_before_visit(design, on)
    bill = asked_bill(accepted_design(design, options, chosen))
    if not demonstration:
        own_prices(bill)
    kept, told = bill_record(bill), offered(design, options)
    return {
        "form": FORM, "by": by, "on": on.isoformat(), "options": list(chosen), "total": str(bill.total),
        "currency": design.build.price.currency, "mark": mark_of(told),
        "proposal": hashlib.sha256(signed).hexdigest() if signed else None, "bill": kept, "bill mark": mark_of(kept),
        "offered": told,
    }  # fmt: skip


def not_before_visit(design: Design, on: datetime.date) -> None:
    """Refuse a day of the contract before the visit that the offer rests on.

    Raises
    ------
    InputError
        If the day comes before that of the visit.
    """
    visit = design.job.date
    if visit is not None and on < visit:
        raise InputError(f"--on: found {on}, before the visit of {visit}; expected a day on or after it")


def own_prices(bill: Bill) -> None:
    """Refuse a price that rests on the demonstration's wage, shares, prices or rates, or on an example's.

    Raises
    ------
    InputError
        Lists each of them.
    """
    if not bill.invented:
        return
    each = "".join(f"\n  {one}" for one in bill.demonstration) or " (the record does not list them)"
    count = f"{len(bill.demonstration)} figures" if len(bill.demonstration) > 1 else "figures"
    raise InputError(
        f"price_book: found {count} of the demonstration's or of an invented book in this price:{each}\n"
        "expected the firm's own; asked for by name (--demonstration-prices, in the API demonstration_prices) it goes "
        "on with them and marks the paper"
    )


def failing_words(design: Design) -> str:
    """The checks that a design fails, each once, with the first place of it: what stands against a signature."""
    found: dict[str, str] = {}
    for item in design.findings:
        if item.severity is Severity.FAILS:
            found.setdefault(item.id, f"{item.id} {item.title} at {item.where}")
    return "; ".join(found.values())


def run_out(design: Design, on: datetime.date) -> str:
    """That an offer had run out on a day, in words; empty where it stood, or has no date."""
    job = design.job
    if job.date is None:
        return ""
    last = job.date + datetime.timedelta(days=job.offer.valid_days)
    if on <= last:
        return ""
    return (
        f"the offer of {job.date.isoformat()} stood for {job.offer.valid_days} days, up to {last.isoformat()}; it was "
        f"accepted on {on.isoformat()}: make sure that the firm still stands by its prices"
    )


def never_billed(design: Design) -> tuple[str, ...]:
    """Stages for which no invoice could be written, each in words: they ask for more than the work that stands."""
    rule = design.job.rules.payments_follow_work
    return tuple(
        f"the stage '{item.when}' asks for {brief_percent(item.share)} by then, and no invoice is written for more "
        f"than {brief_percent(item.done)}, the work that stands (rules.payments_follow_work, {rule.basis.value}): move "
        "a part of it to a later stage before anybody signs"
        for item in design.build.payments
        if rule.value and paid_ahead(item)
    )


def billed(record: Mapping[str, Any]) -> Bill | None:
    """What an acceptance keeps to be billed; None of a record of an older kind, which has no amounts."""
    return bill_from(record["bill"]) if "bill" in record else None


def lies_beside(job: Job, folder: Path) -> Path | None:
    """A record of the job's acceptance in a folder."""
    for path in sorted(folder.glob("*.json")):
        try:
            record = read_acceptance(path)
        except InputError:
            if path.name == NAME:
                return path
            continue
        if of_job(record, job):
            return path
    return None


def of_job(record: Mapping[str, Any], job: Job) -> bool:
    """Whether a record is of this job: by number, else by title."""
    told = record["offered"]["job"]
    return bool(told["number"] == job.number if told["number"] and job.number else told["title"] == job.title)


def accepted_design(design: Design, options: OptionSet | None, chosen: Sequence[str]) -> Design:
    """The design of what is chosen: the works as written, one choice, or the one that holds just these options.

    Raises
    ------
    InputError
        If a key is none of the offer's, or what is chosen was not designed together and so has no price.
    """
    if not chosen:
        return design
    every = () if options is None else options.every
    known = {one.key: one for one in every if one.difference is not None}
    by_title = {option.key: option.title for option in design.job.offer.options}
    for key in chosen:
        if key not in known and key not in by_title:
            listed = ", ".join(dict.fromkeys((*known, *by_title))) or "none: this offer has no options"
            raise InputError(f"--options: found {key!r}; expected {listed}")
    titles = {by_title.get(key, "") for key in chosen}
    for one in known.values():
        if {one.key} == set(chosen) or set(one.holds) == titles:
            return one.design
    raise InputError(
        f"--options: found {', '.join(chosen)}, which were not designed together; expected one choice of the offer, or "
        "a package of the job that holds these"
    )


def write_acceptance(path: Path, record: dict[str, Any]) -> None:
    """Write the record whole, or not at all.

    Raises
    ------
    FileExistsError
        If there is such a file: it is left as it is.
    """
    text = json.dumps(record, ensure_ascii=False, indent=1) + "\n"
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(temporary).chmod(0o644)
        os.link(temporary, path)  # fails where the name is taken, unlike a renaming
    finally:
        Path(temporary).unlink(missing_ok=True)


def read_acceptance(path: Path) -> dict[str, Any]:
    """A record, its mark held against what it says was offered.

    Raises
    ------
    InputError
        If it cannot be read, is none, or was changed since it was written.
    """
    wanted = "a record that 'drainwright accept' wrote"
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        record = json.loads(data.decode("utf-8")) if len(data) <= MOST_BYTES else None
    except OSError as error:
        raise InputError(f"{path}: found {error.strerror}; expected {wanted}") from None
    except (ValueError, RecursionError):
        raise InputError(f"{path}: found no JSON; expected {wanted}") from None
    if not isinstance(record, dict) or any(key not in record for key in KEYS) or record.get("form") != FORM:
        raise InputError(f"{path}: found another kind of file; expected {wanted}")
    if mark_of(record["offered"]) != record["mark"] or ("bill" in record and not _sound_bill(record)):
        raise InputError(f"{path}: found content that does not bear its mark; expected a record nobody changed")
    return record


def _sound_bill(record: Mapping[str, Any]) -> bool:
    return bool(mark_of(record["bill"]) == record.get("bill mark"))


__all__ = [
    "NAME", "acceptance", "accepted_design", "billed", "failing_words", "lies_beside", "never_billed",
    "not_before_visit", "of_job", "own_prices", "read_acceptance", "run_out", "write_acceptance",
]  # fmt: skip
