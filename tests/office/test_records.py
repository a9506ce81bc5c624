"""Comparing and merging records keep their laws."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.office.store.comparing import Change, changed_by, compare, reached, same
from drainwright.office.store.merging import merge
from drainwright.office.store.paths import Append, Named, parsed, written
from tests.office.records import RECORDS, WORDS, edited

NAMES = st.text(max_size=5) | WORDS
STEPS = st.lists(st.one_of(NAMES, st.integers(0, 99), NAMES.map(Named), st.just(Append())), max_size=5)


@given(NAMES, STEPS)
def test_a_path_is_read_as_it_was_written(first: str, steps: list[Any]) -> None:
    assert parsed(written((first, *steps))) == (first, *steps)


@pytest.mark.parametrize("path", ["", ".", "a..b", "[2]", "a[", "a[]", "a]", "a.", ".a", 'a"b"', 'a["]', "a[x", "[+]"])
def test_what_is_no_path_is_refused(path: str) -> None:
    with pytest.raises(InputError, match="path"):
        parsed(path)


@given(st.data())
def test_the_changes_turn_one_record_into_the_other(data: st.DataObject) -> None:
    old = data.draw(RECORDS)
    new = data.draw(st.one_of(RECORDS, edited(old)))
    kept = copy.deepcopy((old, new))
    changes = compare(old, new)
    assert same(changed_by(old, changes), new)
    assert bool(changes) != same(old, new)
    assert same(list(kept), [old, new])


@given(st.data())
def test_a_merge_with_what_nobody_changed_is_the_other(data: st.DataObject) -> None:
    base = data.draw(RECORDS)
    one = data.draw(edited(base))
    for made in (merge(base, one, base), merge(base, base, one), merge(base, one, one)):
        assert same(made.record, one)
        assert made.overlapping == ()


@given(st.data())
def test_a_merge_makes_no_difference_between_the_two(data: st.DataObject) -> None:
    base = data.draw(RECORDS)
    one, other = data.draw(edited(base)), data.draw(edited(base))
    first, second = merge(base, one, other), merge(base, other, one)
    assert first.overlapping == second.overlapping
    assert first.overlapping or same(first.record, second.record)


@settings(max_examples=300)
@given(st.data())
def test_a_merge_loses_no_change_silently(data: st.DataObject) -> None:
    base = data.draw(RECORDS)
    one, other = data.draw(edited(base)), data.draw(edited(base))
    made = merge(base, one, other)
    assume(not made.overlapping)
    for mine in (one, other):
        for change in compare(base, mine):
            _stands(made.record, change, base)


def _stands(record: dict[str, Any], change: Change, base: dict[str, Any]) -> None:
    """The change, or all parts of it, are in the record."""
    if change.kind == "removed":
        with pytest.raises(InputError, match="found nothing there"):
            reached(record, change.steps)
    elif change.kind == "order":
        names = [one[_field(record, change)] for one in reached(record, change.steps)]
        stay = [name for name in change.new if name in names]
        assert [name for name in names if name in stay] == stay
    else:
        _holds(reached(record, change.steps), change)


def _holds(found: Any, change: Change) -> None:
    if same(found, change.new):
        return
    # both added entries at the end of one list, or one did what the other only changed within
    assert isinstance(change.new, list | dict), change
    assert isinstance(found, type(change.new)), change
    if isinstance(found, dict):
        assert all(key in found for key in change.new), change


def _field(record: dict[str, Any], change: Change) -> str:
    from drainwright.office.store.paths import naming

    return naming(reached(record, change.steps))


def test_changes_are_told_by_names() -> None:
    old = {"house": {"walls": [{"name": "south", "footing_depth": "2 ft"}, {"name": "west", "wet": True}]}}
    new = {"house": {"walls": [{"name": "south", "footing_depth": "30 in"}, {"name": "east"}]}, "notes": "dry"}
    assert [str(change) for change in compare(old, new)] == [
        "house.walls[south].footing_depth: 2 ft -> 30 in",
        "house.walls[west]: removed (was a mapping)",
        "house.walls[east]: added a mapping",
        "notes: added dry",
    ]


def test_two_in_the_yard_at_once() -> None:
    base = {"walls": [{"name": "south", "depth": 1}, {"name": "west", "depth": 1}], "symptoms": [{"what": "damp"}]}
    one = {"walls": [{"name": "south", "depth": 2}, {"name": "west", "depth": 1}, {"name": "shed"}],
           "symptoms": [{"what": "damp"}]}  # fmt: skip
    other = {
        "walls": [{"name": "west", "depth": 3}, {"name": "porch"}],
        "symptoms": [{"what": "damp"}, {"what": "rust"}],
    }
    made = merge(base, one, other)
    assert made.overlapping == ("walls[south]",)  # one changed it, the other took it out
    other["walls"].insert(0, {"name": "south", "depth": 1})
    made = merge(base, one, other)
    assert made.overlapping == ()
    assert [one["name"] for one in made.record["walls"]] == ["south", "west", "porch", "shed"]
    assert made.record["walls"][0]["depth"] == 2
    assert made.record["walls"][1]["depth"] == 3
    assert len(made.record["symptoms"]) == 2


@pytest.mark.parametrize(("one", "other"), [([1, 2, 3], [1, 2, 4]), ([1], [1, 2, 3]), ([1, 9], [1])])
def test_lists_without_names_that_both_changed_are_told(one: list[int], other: list[int]) -> None:
    assert merge({"a": [1, 2]}, {"a": one}, {"a": other}).overlapping == ("a",)


def test_one_true_and_1_are_not_the_same() -> None:
    assert not same({"a": 1}, {"a": True})
    assert not same({"a": 1}, {"a": 1.0})
    assert same({"a": 1, "b": 2}, {"b": 2, "a": 1})
