"""Older forms of the job document, brought up to date one step at a time.

A step is a pure function from a record in one format to a record in the next. Old documents open for ever;
newer ones than this program knows are refused politely.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, MutableMapping
from types import MappingProxyType
from typing import Any, TypeAlias

from drainwright.job.loading import refusal, short

Record: TypeAlias = MutableMapping[str, Any]

CURRENT = 1


def _from_draft(record: Record) -> Record:
    """Format 0, the draft: the walls were called ``wall_lines``, and the wages in the price book ``wage``."""
    _rename(record.get("house"), "wall_lines", "walls")
    _rename(record.get("price_book"), "wage", "labour")
    return record


def _rename(part: object, old: str, new: str) -> None:
    if isinstance(part, MutableMapping) and old in part and new not in part:
        part[new] = part.pop(old)


STEPS: Mapping[int, Callable[[Record], Record]] = MappingProxyType({0: _from_draft})


def upgrade(record: Record, steps: Mapping[int, Callable[[Record], Record]] = STEPS, current: int = CURRENT) -> Record:
    """A record in the current format; the record given is left alone.

    Parameters
    ----------
    record : Record
        The document as plain mappings, with its ``schema_version``.
    steps : Mapping[int, Callable]
        ``steps[n]`` turns format n into n + 1. Each is handed a copy that is its own.
    current : int
        The format wanted.

    Returns
    -------
    Record
        A new record, or the one given if it is current.

    Raises
    ------
    JobError
        If ``schema_version`` is missing, not a whole number, newer than ``current``, or below the oldest.

    Examples
    --------
    >>> upgrade({"schema_version": 0, "house": {"wall_lines": []}})
    {'schema_version': 1, 'house': {'walls': []}}
    """
    found = record.get("schema_version")
    wanted = f"the format number, from {min(steps, default=current)} to {current}"
    where = "schema_version"
    if where not in record:
        raise refusal("nothing", wanted, f"add the line: schema_version: {current}", where=where)
    if isinstance(found, bool) or not isinstance(found, int):
        raise refusal(short(found), wanted, f"write schema_version: {current}", where=where)
    if found > current:
        hint = "the document was written by a newer Drainwright: update this one to read it"
        raise refusal(short(found), wanted, hint, where=where)
    if found < min(steps, default=current):
        raise refusal(short(found), wanted, where=where)
    if found == current:
        return record
    record = copy.deepcopy(record)
    for number in range(found, current):
        record = steps[number](record)
        record["schema_version"] = number + 1
    return record


__all__ = ["CURRENT", "STEPS", "Record", "upgrade"]
