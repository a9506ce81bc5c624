"""Two changes of one record brought together; where both changed the same, that is told and neither is taken."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from drainwright.office.store.comparing import same, shared_naming
from drainwright.office.store.paths import Named, Steps, naming, parsed, place_in, written


class _Nothing:
    """What stands where a record has no such part."""


_NOTHING = _Nothing()


@dataclass(frozen=True, slots=True, kw_only=True)
class Merge:
    """A record with the changes of two; where they overlap it has what the base had."""

    record: dict[str, Any]
    overlapping: tuple[str, ...]  # paths that both changed, each in another way


def merge(base: dict[str, Any], one: dict[str, Any], other: dict[str, Any]) -> Merge:
    """Bring together what two made of a base.

    Parameters
    ----------
    base : dict
        What both began with.
    one, other : dict
        What each made of it; it makes no difference which is which.

    Returns
    -------
    Merge
        What only one changed is as that one has it, and what both changed alike is so. All else is told.
    """
    overlaps: list[Steps] = []
    record = _merged(base, one, other, (), overlaps)
    return Merge(record=copy.deepcopy(record), overlapping=tuple(sorted(map(written, overlaps))))


def settled(merge: Merge, one: dict[str, Any], other: dict[str, Any], chosen: Mapping[str, bool]) -> dict[str, Any]:
    """The merged record with one of the two wherever they overlap: the other where it was chosen, else the one."""
    record = copy.deepcopy(merge.record)
    for path in merge.overlapping:
        _set(record, parsed(path), other if chosen.get(path) else one)
    return record


def _set(record: Any, steps: Steps, side: Any) -> None:
    """What stands at a path as one side has it, gone where it has nothing there."""
    at, last = record, steps[-1]
    for step in steps:
        place = place_in(side, step) if isinstance(side, dict | list) else None
        side = _NOTHING if place is None else side[place]
    for step in steps[:-1]:
        place = place_in(at, step)
        assert place is not None  # both sides and the base have what holds an overlap
        at = at[place]
    place = place_in(at, last)
    if side is _NOTHING:
        if place is not None:
            del at[place]
    elif place is not None:
        at[place] = copy.deepcopy(side)
    elif isinstance(at, dict):
        at[last] = copy.deepcopy(side)
    else:
        at.append(copy.deepcopy(side))


def _same(one: Any, other: Any) -> bool:
    if one is _NOTHING or other is _NOTHING:
        return one is other
    return same(one, other)


def _merged(base: Any, one: Any, other: Any, at: Steps, overlaps: list[Steps]) -> Any:
    if _same(one, other) or _same(base, other):
        return one
    if _same(base, one):
        return other
    if isinstance(base, dict) and isinstance(one, dict) and isinstance(other, dict):
        return _mappings(base, one, other, at, overlaps)
    if isinstance(base, list) and isinstance(one, list) and isinstance(other, list):
        if field := shared_naming(base, one, other):
            return _named(base, one, other, at, field, overlaps)
        if not naming(base) and len(base) == len(one) == len(other):
            return [_merged(*three, (*at, n), overlaps) for n, three in enumerate(zip(base, one, other, strict=True))]
        if not naming(base) and (longer := _grown(base, one, other, at, overlaps)) is not None:
            return longer
    overlaps.append(at)
    return base


def _mappings(
    base: dict[str, Any], one: dict[str, Any], other: dict[str, Any], at: Steps, overlaps: list[Steps]
) -> dict[str, Any]:
    made = {}
    for key in dict.fromkeys((*base, *sorted((set(one) | set(other)) - set(base)))):
        three = (base.get(key, _NOTHING), one.get(key, _NOTHING), other.get(key, _NOTHING))
        value = _merged(*three, (*at, key), overlaps)
        if value is not _NOTHING:
            made[key] = value
    return made


def _named(
    base: list[Any], one: list[Any], other: list[Any], at: Steps, field: str, overlaps: list[Steps]
) -> list[Any]:
    before, here, there = ({entry[field]: entry for entry in entries} for entries in (base, one, other))
    made = {}
    for name in dict.fromkeys((*before, *here, *there)):
        three = (before.get(name, _NOTHING), here.get(name, _NOTHING), there.get(name, _NOTHING))
        value = _merged(*three, (*at, Named(name, field)), overlaps)
        if value is not _NOTHING:
            made[name] = value
    return [made[name] for name in _order(list(before), list(here), list(there), list(made), at, overlaps)]


def _order(
    base: list[str], one: list[str], other: list[str], left: list[str], at: Steps, overlaps: list[Steps]
) -> list[str]:
    """The names that are left, in the order that one or the other gave them; additions at the end of both by name."""
    ends = []
    for names in (one, other):
        stay = [name for name in base if name in names]
        ends.append(names[len(stay) :] if names[: len(stay)] == stay else None)
    if ends[0] is not None and ends[1] is not None:
        added = dict.fromkeys(name for end in sorted(end for end in ends if end is not None) for name in end)
        return [name for name in (*(name for name in base if name not in added), *added) if name in left]
    if ends[0] is None and ends[1] is None and one != other:
        overlaps.append(at)
        return left
    moved = one if ends[0] is None else other
    return [name for name in moved if name in left] + [name for name in left if name not in moved]


def _grown(base: list[Any], one: list[Any], other: list[Any], at: Steps, overlaps: list[Steps]) -> list[Any] | None:
    """One list that got longer or shorter at its end, with what the other changed before; None if it cannot be."""
    if len(one) != len(base) and len(other) != len(base):
        return None
    moved, still = (one, other) if len(one) != len(base) else (other, one)
    least = min(len(base), len(moved))
    if not same(base[:least], moved[:least]) or not same(base[least:], still[least:]):
        return None
    return [*still[:least], *moved[least:]]


__all__ = ["Merge", "merge", "settled"]
