"""What differs between two records, by path; and a record with such changes made."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from drainwright.errors import InputError
from drainwright.job.loading import short
from drainwright.office.store.paths import Append, Named, Step, Steps, naming, place_in, written

Kind: TypeAlias = Literal["changed", "added", "removed", "order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One part of a record that differs."""

    steps: Steps
    kind: Kind
    old: Any = None  # of "order": the names as they stood
    new: Any = None  # of "order": the names as they stand

    @property
    def path(self) -> str:
        """Where, such as ``house.walls[south].footing_bottom``."""
        return written(self.steps)

    def __str__(self) -> str:
        match self.kind:
            case "added":
                return f"{self.path}: added {_told(self.new)}"
            case "removed":
                return f"{self.path}: removed (was {_told(self.old)})"
            case "order":
                return f"{self.path}: put in the order {', '.join(self.new)}"
        return f"{self.path}: {_told(self.old)} -> {_told(self.new)}"


def same(one: Any, other: Any) -> bool:
    """Whether two values say the same: 1, 1.0 and true are three things, the order of keys is none."""
    return _canonical(one) == _canonical(other)


def compare(old: dict[str, Any], new: dict[str, Any]) -> tuple[Change, ...]:
    """The changes that turn one record into another.

    Parameters
    ----------
    old, new : dict
        Records as plain mappings, lists and scalars.

    Returns
    -------
    tuple of Change
        In the order of the old record. Entries of lists go by their names where all of them have one; else by their
        numbers, and a list that grew or shrank otherwise than at its end is one change.
    """
    return tuple(_differences(old, new, ()))


def shared_naming(*lists: list[Any]) -> str:
    """The key that tells apart the entries of each of these lists; empty if there is none for all."""
    fields = {naming(entries) for entries in lists if entries}
    return fields.pop() if len(fields) == 1 else ""


def _differences(old: Any, new: Any, at: Steps) -> Iterable[Change]:
    if same(old, new):
        return
    if isinstance(old, dict) and isinstance(new, dict):
        yield from _of_mappings(old, new, at)
    elif isinstance(old, list) and isinstance(new, list):
        if field := shared_naming(old, new):
            yield from _of_named(old, new, at, field)
        else:
            yield from _of_numbered(old, new, at)
    else:
        yield Change(steps=at, kind="changed", old=old, new=new)


def _of_mappings(old: dict[str, Any], new: dict[str, Any], at: Steps) -> Iterable[Change]:
    for key, value in old.items():
        if key in new:
            yield from _differences(value, new[key], (*at, key))
        else:
            yield Change(steps=(*at, key), kind="removed", old=value)
    for key, value in new.items():
        if key not in old:
            yield Change(steps=(*at, key), kind="added", new=value)


def _of_named(old: list[Any], new: list[Any], at: Steps, field: str) -> Iterable[Change]:
    before = {one[field]: one for one in old}
    after = {one[field]: one for one in new}
    for name, value in before.items():
        if name in after:
            yield from _differences(value, after[name], (*at, Named(name, field)))
        else:
            yield Change(steps=(*at, Named(name, field)), kind="removed", old=value)
    for name, value in after.items():
        if name not in before:
            yield Change(steps=(*at, Named(name, field)), kind="added", new=value)
    left = [name for name in before if name in after] + [name for name in after if name not in before]
    if left != list(after):
        yield Change(steps=at, kind="order", old=list(before), new=list(after))


def _of_numbered(old: list[Any], new: list[Any], at: Steps) -> Iterable[Change]:
    least = min(len(old), len(new))
    if len(old) != len(new) and not same(old[:least], new[:least]):
        yield Change(steps=at, kind="changed", old=old, new=new)
        return
    for number in range(least):
        yield from _differences(old[number], new[number], (*at, number))
    for number in range(len(old) - 1, least - 1, -1):  # from the end, so that numbers stay true
        yield Change(steps=(*at, number), kind="removed", old=old[number])
    for number in range(least, len(new)):
        yield Change(steps=(*at, number), kind="added", new=new[number])


def make_changes(record: Any, changes: Iterable[Change]) -> None:
    """Make changes in a record, in place; the record may be a tree with comments.

    Raises
    ------
    InputError
        If a change's path leads nowhere.
    """
    for change in changes:
        _make(record, change)


def changed_by(record: dict[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """A copy of a record with changes made: ``changed_by(a, compare(a, b))`` says the same as b.

    Raises
    ------
    InputError
        If a change's path leads nowhere.
    """
    made = copy.deepcopy(record)
    make_changes(made, changes)
    return made


def _make(record: Any, change: Change) -> None:
    if not change.steps:
        raise InputError("path: found none; expected the path of a part of the job")
    if change.kind == "order":
        _put_in_order(reached(record, change.steps), change)
        return
    at, last = reached(record, change.steps[:-1]), change.steps[-1]
    place = place_in(at, last)
    if change.kind == "removed":
        if place is None:
            raise nowhere(change.steps)
        del at[place]
    elif place is not None:
        at[place] = copy.deepcopy(change.new)
    elif isinstance(at, dict) and isinstance(last, str):
        at[last] = copy.deepcopy(change.new)
    elif isinstance(at, list) and isinstance(last, Append) and last.before is not None:
        at.insert(min(last.before, len(at)), copy.deepcopy(change.new))  # beyond what an index can be, too
    elif isinstance(at, list) and (isinstance(last, Append) or last == len(at) or _bears(change.new, last)):
        at.append(copy.deepcopy(change.new))
    else:
        raise nowhere(change.steps)


def _bears(entry: Any, step: Step) -> bool:
    """Whether an entry has the name by which it is to be found."""
    if not isinstance(step, Named) or not isinstance(entry, dict):
        return False
    return place_in([entry], step) == 0


def reached(record: Any, steps: Steps) -> Any:
    """What stands at a path.

    Raises
    ------
    InputError
        If nothing does.
    """
    at = record
    for number, step in enumerate(steps):
        place = place_in(at, step)
        if place is None:
            raise nowhere(steps[: number + 1])
        at = at[place]
    return at


def nowhere(steps: Steps) -> InputError:
    """The refusal of a path that leads nowhere."""
    return InputError(f"{written(steps)}: found nothing there; expected a part of the job")


def _put_in_order(entries: Any, change: Change) -> None:
    field = naming(entries)
    places = {one[field]: number for number, one in enumerate(entries)} if field else {}
    if set(places) != set(change.new):
        raise InputError(f"{change.path}: found other entries than {', '.join(change.new)}; expected these, to order")
    wanted = [places[name] for name in change.new]
    comments = getattr(getattr(entries, "ca", None), "items", None)
    kept = dict(comments) if comments else {}
    entries[:] = [entries[place] for place in wanted]
    if comments is not None:
        comments.clear()
        comments.update({number: kept[place] for number, place in enumerate(wanted) if place in kept})


def _canonical(value: Any) -> str:
    return json.dumps(value, sort_keys=True, ensure_ascii=False)


def _told(value: Any) -> str:
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    return value if isinstance(value, str) and value and len(value) <= 60 else short(value)


__all__ = ["Change", "Kind", "changed_by", "compare", "make_changes", "nowhere", "reached", "same", "shared_naming"]
