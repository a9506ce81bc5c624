"""The cutting list against every way to cut."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis.strategies import floats, lists

from drainwright.build import sticks
from drainwright.build.sticks import best_sticks, cut_mixed, cut_sticks, split
from drainwright.errors import InputError
from drainwright.kept import keeping


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


def test_no_rest_is_too_short_to_join() -> None:
    """10 ft 3 in of 10 ft sticks: not a stub of 3 in, but 9 ft 3 in and a foot, near enough."""
    assert split(3.1, 3.0) == pytest.approx([2.8, 0.3])
    assert split(0.2, 3.0) == [0.2]  # a whole length may be as short as it is
    assert sum(split(9.05, 3.0)) == pytest.approx(9.05)


def cheapest(pieces: list[float], prices: dict[float, float], kerf: float) -> float:
    """By every way to part a list: the set with the first piece left takes a stick, the rest follows."""
    count = len(pieces)

    def stick_for(chosen: int) -> float:
        inside = [pieces[i] for i in range(count) if chosen >> i & 1]
        need = sum(inside) + kerf * (len(inside) - 1)
        return min((price for length, price in prices.items() if need <= length + 1e-9), default=math.inf)

    alone = [stick_for(chosen) if chosen else 0.0 for chosen in range(1 << count)]
    least = [0.0] + [math.inf] * ((1 << count) - 1)
    for left in range(1, 1 << count):
        first, part = left & -left, left
        while part:
            if part & first:
                least[left] = min(least[left], alone[part] + least[left ^ part])
            part = (part - 1) & left
    return least[-1]


@pytest.mark.parametrize("seed", range(200))
def test_mixed_lengths_cost_as_little_as_any_way_to_cut(seed: int) -> None:
    draw = random.Random(1000 + seed)
    sold = draw.sample([1.524, 3.048, 4.2672, 6.096], draw.randint(1, 4))
    prices = {length: round(length * draw.uniform(2.0, 4.0), 2) for length in sold}
    kerf = draw.choice([0.0, 0.004, 0.02])
    pieces = [round(draw.uniform(0.05, 1.0) * max(sold), 3) for _ in range(draw.randint(1, 8))]
    if seed % 4 == 0:  # whole parts of a stick, where the kerf decides
        pieces = [max(sold) / draw.choice([1, 2, 3, 4]) for _ in pieces]
    found = cut_mixed(pieces, prices, kerf)
    assert found.proven
    assert found.cost == pytest.approx(cheapest(pieces, prices, kerf))
    assert found.cost == pytest.approx(sum(prices[length] for length in found.lengths))
    assert sorted(piece for cut in found.cuts for piece in cut) == pytest.approx(sorted(pieces))
    for cut, length in zip(found.cuts, found.lengths, strict=True):
        assert sum(cut) + kerf * (len(cut) - 1) <= length + 1e-6


def test_the_sticks_that_cost_least_are_taken() -> None:
    alike = {3.048: 10.0, 6.096: 20.0}
    assert best_sticks([5.9], alike).lengths == (6.096,)  # one long stick, one joint less
    assert best_sticks([3.0], alike).lengths == (3.048,)
    assert best_sticks([5.9], {3.048: 9.0, 6.096: 20.0}).lengths == (3.048, 3.048)
    mixed = best_sticks([9.0], alike)
    assert sorted(mixed.lengths) == [3.048, 6.096]
    assert mixed.cost == 30.0


def test_what_cannot_be_cut_is_refused() -> None:
    with pytest.raises(InputError, match="no piece longer"):
        cut_sticks([4.0], 3.0)
    with pytest.raises(InputError, match=r"pieces\[1\]"):
        cut_sticks([1.0, -1.0], 3.0)
    with pytest.raises(InputError, match="one stick length"):
        best_sticks([1.0], {})


def test_the_mixed_search_ends_and_says_what_it_could_not_prove() -> None:
    dice = random.Random(6)
    found = cut_mixed([dice.uniform(0.3, 5.0) for _ in range(120)], {3.048: 26.0, 4.2672: 36.4, 6.096: 52.0})
    assert found.least <= found.cost <= 1.25 * found.least


def test_the_search_ends_however_many_pieces_there_are() -> None:
    dice = random.Random(5)
    found = cut_sticks([dice.uniform(0.3, 3.0) for _ in range(250)], 3.048)
    assert found.least <= found.count <= found.least + 6


def test_a_search_that_was_made_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    pieces = [1.0, 1.1, 1.2, 1.5, 1.2, 1.0, 1.1, 0.5]  # first-fit needs one stick more than their length
    with keeping() as store:
        made = cut_sticks(pieces, 3.0, 0.0)
    assert [kind for kind, _ in store.pieces] == ["sticks alike"]
    assert made == cut_sticks(pieces, 3.0, 0.0), "as made without a store"
    monkeypatch.setattr(sticks, "_search", lambda *_: pytest.fail("searched again"))
    with keeping(store):
        assert cut_sticks(pieces, 3.0, 0.0) == made
