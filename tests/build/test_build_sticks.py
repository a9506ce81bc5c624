"""The cutting list against every way to cut."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis.strategies import floats, lists

from drainwright.build.sticks import best_sticks, cut_sticks, split
from drainwright.errors import InputError


def fewest(pieces: list[float], stick: float, kerf: float) -> int:
    """By trying every way to part the pieces among sticks."""
    best = len(pieces)

    def place(index: int, sticks: list[list[float]]) -> None:
        nonlocal best
        if index == len(pieces):
            best = min(best, len(sticks))
            return
        for filled in sticks:
            if sum(filled) + pieces[index] + kerf * len(filled) <= stick + 1e-9:
                filled.append(pieces[index])
                place(index + 1, sticks)
                filled.pop()
        place(index + 1, [*sticks, [pieces[index]]])

    place(0, [])
    return best


@pytest.mark.parametrize("seed", range(100))
def test_as_few_as_any_way_to_cut(seed: int) -> None:
    draw = random.Random(seed)
    stick = draw.choice([3.048, 6.096])
    kerf = draw.choice([0.0, 0.004, 0.02])
    pieces = [round(draw.uniform(0.1, 1.0) * stick, 3) for _ in range(draw.randint(1, 8))]
    found = cut_sticks(pieces, stick, kerf)
    assert found.proven
    assert found.count == fewest(pieces, stick, kerf)


def test_first_fit_is_improved_where_it_wastes_a_stick() -> None:
    """First-fit decreasing needs three sticks of 10 for these (5+4, 4+3+2, 2); two are enough."""
    pieces = [4.0, 4.0, 5.0, 3.0, 2.0, 2.0]  # 5+3+2 and 4+4+2
    found = cut_sticks(pieces, 10.0, 0.0)
    assert found.count == 2
    assert found.proven


@given(lists(floats(0.05, 3.0), max_size=30), floats(0.0, 0.01))
def test_the_list_holds_every_piece_and_no_stick_is_overfull(pieces: list[float], kerf: float) -> None:
    found = cut_sticks(pieces, 3.048, kerf)
    assert sorted(piece for cut in found.cuts for piece in cut) == pytest.approx(sorted(pieces))
    assert all(sum(cut) + kerf * (len(cut) - 1) <= 3.048 + 1e-6 for cut in found.cuts)
    assert found.least <= found.count


def test_the_kerf_is_lost_between_pieces_but_not_after_the_last() -> None:
    assert cut_sticks([1.5, 1.5], 3.0, 0.0).count == 1
    assert cut_sticks([1.5, 1.5], 3.0, 0.004).count == 2
    assert cut_sticks([3.0], 3.0, 0.004).count == 1


def test_long_lengths_are_split_into_whole_sticks_and_a_rest() -> None:
    assert split(7.0, 3.0) == pytest.approx([3.0, 3.0, 1.0])
    assert split(6.0, 3.0) == [3.0, 3.0]
    assert split(0.0, 3.0) == []


def test_the_stick_that_buys_least_is_taken() -> None:
    assert best_sticks([5.9], (3.048, 6.096)).stick == 6.096  # one long stick, one joint less
    assert best_sticks([3.0], (3.048, 6.096)).stick == 3.048


def test_what_cannot_be_cut_is_refused() -> None:
    with pytest.raises(InputError, match="no piece longer"):
        cut_sticks([4.0], 3.0)
    with pytest.raises(InputError, match=r"pieces\[1\]"):
        cut_sticks([1.0, -1.0], 3.0)
    with pytest.raises(InputError, match="one stick length"):
        best_sticks([1.0], ())


def test_the_search_ends_however_many_pieces_there_are() -> None:
    dice = random.Random(5)
    found = cut_sticks([dice.uniform(0.3, 3.0) for _ in range(250)], 3.048)
    assert found.least <= found.count <= found.least + 6
