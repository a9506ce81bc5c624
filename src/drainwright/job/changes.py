"""Changes to a job document by dotted keys, as a person writes them."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Mapping
from typing import Any

from drainwright.errors import JobError
from drainwright.job.loading import refusal, short
from drainwright.job.model import Job
from drainwright.job.names import near
from drainwright.job.reading import job_of
from drainwright.job.values import Basis

_PART = re.compile(r'\[([0-9]+)\]|\.?(?:"([^"]+)"|([^.\[\]"]+))')
_BY_KEY = (["price_book", "prices"], ["price_book", "rates"])  # what stands below is one key, dots and all
_IN_THE_JOB = {  # what the firm's book calls otherwise than the job, where it outranks the book
    "shares.": "", "labour.wage": "labour", "labour.burden": "burden",
    "labour.least_paid_hours": "least_paid_hours", "labour.travel_hours": "travel_hours", "items.": "prices.",
}  # fmt: skip
_NAMES = ("name", "key", "what", "id", "wall", "kind", "line", "when", "point")  # by which an entry of a list is called
NAMED = 12  # names of a list that an error tells
_MARK = re.compile(rf"\s*,?\s*\b({'|'.join(Basis)})\s*$")


def parts_of_key(key: str) -> list[str | int]:
    """The parts of a dotted key: ``works.runs[2].pipe`` or, by name, ``works.runs.FD1.pipe``.

    A part in quotes may have dots in it: ``price_book.prices."stone.57"``.

    Raises
    ------
    JobError
        If it is no such key.
    """
    parts: list[str | int] = []
    at = 0
    while at < len(key) and (match := _PART.match(key, at)):
        parts.append(int(match[1]) if match[1] else match[2] or match[3])
        at = match.end()
    if not parts or at < len(key):
        raise refusal(short(key), "a key of the job document such as 'works.basin.diameter'", where=key)
    return parts


def changed_record(record: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """A job's record with values changed; the record itself is left alone.

    Parameters
    ----------
    record : mapping
        A job as plain mappings and lists.
    changes : mapping
        Values by dotted key. An entry of a list is named by its number (``runs[2]``) or by its name (``runs.FD1``),
        or whatever tells it from the others (``allowances.root``, ``options.battery``, ``level_book.TP1``);
        keys of the price book may be written with their dots (``price_book.prices.stone.57``), and as the firm's book
        calls them (``price_book.labour.wage``).

    Raises
    ------
    JobError
        If a key leads nowhere.
    """
    made = copy.deepcopy(dict(record))
    for key, value in changes.items():
        _set(made, key, value)
    return made


def changed_job(text: str, changes: Mapping[str, Any]) -> Job:
    """The job of a JSON text with values changed, checked as any job is.

    Raises
    ------
    JobError
        Lists every fault.
    """
    return job_of(changed_record(json.loads(text), changes))


def _set(record: dict[str, Any], key: str, value: Any) -> None:
    at: Any = record
    parts = _joined(record, parts_of_key(_as_the_job_says(key)))
    for number, part in enumerate(parts):
        last = number == len(parts) - 1
        if isinstance(at, list) and (place := _entry(at, part)) is not None:
            if last:
                at[place] = value
            elif number == len(parts) - 2 and parts[-1] == "value" and _is_fact(at[place]):
                at[place] = _kept_mark(at[place], value)
                return
            else:
                at = at[place]
        elif isinstance(at, dict) and isinstance(part, str) and part in at:
            if last:
                at[part] = value
            elif number == len(parts) - 2 and parts[-1] == "value" and _is_fact(at[part]):
                at[part] = _kept_mark(at[part], value)
                return
            elif at[part] is None:
                at[part] = {}
                at = at[part]
            else:
                at = at[part]
        elif isinstance(at, dict) and isinstance(part, str) and last and (not at or parts[:-1] in _BY_KEY):
            at[part] = value
        else:
            raise _nowhere(key, part, at)


def _as_the_job_says(key: str) -> str:
    """A key of the price book as the job calls it: ``price_book.labour.wage`` is ``price_book.labour``."""
    told = key.removeprefix("price_book.")
    for name, own in _IN_THE_JOB.items():
        if told != key and (told == name or (name.endswith(".") and told.startswith(name))):
            return f"price_book.{own}{told.removeprefix(name)}"
    return key


def _joined(record: Any, parts: list[str | int]) -> list[str | int]:
    """The parts with those of a key that has dots joined again: the longest key that is known."""
    made: list[str | int] = []
    at = record
    while parts:
        if made in _BY_KEY and all(isinstance(part, str) for part in parts):
            return [*made, ".".join(map(str, parts))]
        for count in range(len(parts), 0, -1):
            part = parts[0] if count == 1 else ".".join(map(str, parts[:count]))
            inner = _inside(at, part)
            if inner is not None:
                break
        made.append(part)
        parts = parts[count:]
        at = inner
    return made


def _inside(at: Any, part: str | int) -> Any:
    """What stands at a part; None where nothing does."""
    if isinstance(at, dict):
        return at.get(part)
    place = _entry(at, part) if isinstance(at, list) else None
    return None if place is None else at[place]


def _entry(entries: list[Any], part: str | int) -> int | None:
    if isinstance(part, int):
        return part if part < len(entries) else None
    found = [n for n, name in enumerate(_called(entries)) if name == part]
    return found[0] if len(found) == 1 else None


def _called(entries: list[Any]) -> list[str | None]:
    """What each entry of a list is called: by the first of ``_NAMES`` that it has."""
    return [
        next((str(one[name]) for name in _NAMES if one.get(name) is not None), None) if isinstance(one, dict) else None
        for one in entries
    ]


def _is_fact(value: object) -> bool:
    return isinstance(value, str)


def _kept_mark(text: str, value: Any) -> str:
    """A fact written in one line, with another value and the mark that it had."""
    mark = _MARK.search(text)
    return f"{value}, {mark[1]}" if mark else str(value)


def _nowhere(key: str, part: str | int, at: Any) -> JobError:
    hint = "the list is shorter: entries are counted from 0"
    if isinstance(part, str):
        known = map(str, at) if isinstance(at, dict) else ()
        hint = _names_there(part, at) if isinstance(at, list) else near(part, known)
    for name, own in {**_IN_THE_JOB, "rates.": "rates."}.items():
        if key.startswith(name):
            hint = f"in a job it is price_book.{own}{key.removeprefix(name)}"
    return refusal(f"no {short(str(part))} in the job", "a key of the job document", hint, where=key)


def _names_there(part: str, entries: list[Any]) -> str:
    """Which names a list has, where it has not the one asked for, or has it several times."""
    called = [name for name in _called(entries) if name is not None]
    if called.count(part) > 1:
        return f"{called.count(part)} entries are called so: name one by its number, counted from 0, like [0]"
    if not called:
        return "name an entry by its number, counted from 0, like [0]" if entries else "the list has no entry"
    names = sorted(set(called))
    told = f"there are: {', '.join(names[:NAMED])}{' ...' if len(names) > NAMED else ''}"
    meant = near(part, names)
    return f"{meant} {told}" if meant.startswith("did") else told


__all__ = ["changed_job", "changed_record", "parts_of_key"]
