"""What is offered, as one record with a mark: the same offer has the same mark on every machine."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from pydantic import BaseModel

from drainwright.design import Design
from drainwright.offer.model import OptionSet

FORM = 1  # of the record; another form has other marks
SHORT = 12  # hexadecimal digits that a paper shows
FIGURES = 6  # significant figures of a number


def offered(design: Design, options: OptionSet | None) -> dict[str, Any]:
    """What the customer is offered, as plain data of texts, whole numbers and truth values.

    Parameters
    ----------
    design : Design
        The job as designed.
    options : OptionSet, optional
        Its options, each designed as a whole; None where it offers none.

    Returns
    -------
    dict of str to Any
        Money as decimal texts, other numbers as texts of ``FIGURES`` significant figures, so that the last digits of
        another machine do not change it. How the document is laid out, and who the firm's and customer's people are,
        are not in it.
    """
    job, build = design.job, design.build
    price = build.price
    told = {
        "form": FORM,
        "job": {"number": job.number, "title": job.title, "date": job.date, "address": job.property.address},
        "scope": {
            "works": job.works,
            "walls": {wall.name: [wall.open_and_coat, wall.coating] for wall in job.house.walls},
            "runs": {
                run.name: [run.duty, run.upper, run.lower, run.length, run.pipe.key, run.invert_upper, run.invert_lower]
                for run in design.system.runs
            },
        },
        "price": {
            "lines": {
                f"{number:03d} {line.key}": [line.description, line.quantity, line.unit, line.amount]
                for number, line in enumerate(price.lines, start=1)
            },
            "before tax": price.before_tax,
            "tax": price.tax,
            "total": price.total,
            "currency": price.currency,
        },
        "unit prices": {
            one.extra.what: [one.extra.counts, one.extra.unit, one.total, one.included] for one in build.unit_prices
        },
        "stages": {one.when: one.amount for one in build.payments},
        "options": {} if options is None else {
            one.key: [one.title, one.words, one.total] for one in options.every if one.difference is not None
        },
        "terms": job.firm.terms,
        "warranty": job.firm.warranty,
        "exclusions": job.firm.exclusions,
        "cancellation": [job.firm.cancellation, job.rules.cancellation_days.value],
        "valid days": job.offer.valid_days,
        "start": job.crew.start,
    }  # fmt: skip
    plain: dict[str, Any] = _plain(told)
    return plain


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, BaseModel):
        return _plain(dict(value))
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        rounded = f"{value:.{FIGURES}g}" if math.isfinite(value) else "none"
        return "0" if abs(value) < 1e-9 else rounded
    if isinstance(value, Decimal | int):
        return str(value)
    return str(value)


def canonical(record: Mapping[str, Any]) -> bytes:
    """The record as JSON of one form: keys in order, no spaces, UTF-8."""
    return json.dumps(record, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode("utf-8")


def mark_of(record: Mapping[str, Any]) -> str:
    """The mark of what is offered: SHA-256 (FIPS 180-4) of its canonical form, in hexadecimal."""
    return hashlib.sha256(canonical(record)).hexdigest()


def changes(accepted: Any, now: Any, where: str = "") -> tuple[tuple[str, str, str], ...]:
    """What differs between two records: dotted key, as accepted, as it is now; "not there" where one has none.

    Lines of the price are held against those of the same name, wherever in the list they stand.
    """
    if where == "price.lines" and isinstance(accepted, dict) and isinstance(now, dict):
        accepted, now = _by_name(accepted), _by_name(now)
    if isinstance(accepted, dict) and isinstance(now, dict):
        found: list[tuple[str, str, str]] = []
        for key in dict.fromkeys((*accepted, *now)):
            found += changes(accepted.get(key), now.get(key), f"{where}.{key}" if where else key)
        return tuple(found)
    if isinstance(accepted, list) and isinstance(now, list) and len(accepted) == len(now):
        return tuple(
            change
            for number, (one, other) in enumerate(zip(accepted, now, strict=True))
            for change in changes(one, other, f"{where}[{number}]")
        )
    return () if accepted == now else ((where, _told(accepted), _told(now)),)


def _by_name(lines: dict[str, Any]) -> dict[str, Any]:
    """Numbered lines by their names alone, several of one name counted."""
    found: dict[str, Any] = {}
    for numbered, line in lines.items():
        name = numbered.partition(" ")[2] or numbered
        several = sum(one == name or one.startswith(f"{name} (") for one in found)
        found[f"{name} ({several + 1})" if several else name] = line
    return found


def _told(value: Any) -> str:
    if value is None:
        return "not there"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, sort_keys=True)


__all__ = ["FORM", "SHORT", "canonical", "changes", "mark_of", "offered"]
