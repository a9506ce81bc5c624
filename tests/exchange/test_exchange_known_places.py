"""Known places: the closed form against a general least-squares solver, and the slips that it tells."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from drainwright.errors import InputError
from drainwright.exchange.known_places import hang

SQUARE = [(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0)]


def turned(places: list[tuple[float, float]], turn: float, scale: float, shift: tuple[float, float]) -> np.ndarray:
    cosine, sine = scale * math.cos(turn), scale * math.sin(turn)
    return np.array([(cosine * e - sine * n + shift[0], sine * e + cosine * n + shift[1]) for e, n in places])


@given(st.floats(-3.1, 3.1), st.floats(-1e5, 1e5), st.floats(0.2, 5.0), st.booleans())
def test_exact_places_come_back(turn: float, shift: float, scale: float, picture: bool) -> None:
    scale = scale if picture else 1.0
    at = turned(SQUARE, turn, scale, (shift, -shift))
    source = [(e, -n) for e, n in SQUARE] if picture else SQUARE
    found = hang(source, at.tolist(), picture=picture)
    assert found.of(source) == pytest.approx(at, abs=1e-6)
    assert found.scale == pytest.approx(scale, rel=1e-9)
    assert not found.notes


@pytest.mark.parametrize("picture", [False, True])
def test_against_a_general_solver(picture: bool) -> None:
    """SciPy's least squares on the same sum, from many starts."""
    rng = np.random.default_rng(5)
    for _ in range(10):
        source = rng.uniform(-40, 40, (5, 2))
        at = turned(source.tolist(), rng.uniform(-3, 3), 1.0, (7.0, -4.0)) + rng.normal(0, 0.5, (5, 2))
        found = hang(source.tolist(), at.tolist(), picture=picture)
        up = source * ((1, -1) if picture else (1, 1))

        def misses(x: np.ndarray, up: np.ndarray = up, at: np.ndarray = at) -> np.ndarray:
            scale = x[3] if picture else 1.0
            return (turned(up.tolist(), x[0], scale, (x[1], x[2])) - at).ravel()

        other = min(
            (least_squares(misses, [turn, 0, 0, 1], xtol=1e-14, ftol=1e-14, gtol=1e-14) for turn in (-2, 0, 2)),
            key=lambda result: result.cost,
        )
        mine = float(np.sum((found.of(source) - at) ** 2)) / 2
        assert mine == pytest.approx(other.cost, rel=1e-9)
        assert found.misfit == pytest.approx(math.sqrt(2 * other.cost / 5), rel=1e-9)


def test_feet_read_as_metres_are_told() -> None:
    found = hang(SQUARE, [(0.3048 * e, 0.3048 * n) for e, n in SQUARE])
    assert found.scale == 1.0
    assert any("0.3048 times" in note and "feet may have been read as metres" in note for note in found.notes)


def test_a_scale_of_one_in_two_thousand_is_let_pass_and_one_in_five_hundred_told() -> None:
    for part, told in ((1 / 2000, False), (1 / 500, True)):
        found = hang(SQUARE, [(e * (1 + part), n * (1 + part)) for e, n in SQUARE])
        assert any("times as far apart" in note for note in found.notes) is told


def test_north_and_east_swapped_are_told() -> None:
    swapped = [(n, e) for e, n in SQUARE[:3]]
    assert any("mirror" in note for note in hang(swapped, SQUARE[:3]).notes)
    assert not hang(SQUARE, SQUARE).notes


def test_a_wrong_place_is_told_by_its_number() -> None:
    at = [*SQUARE[:3], (1.5, 20.0)]
    found = hang(SQUARE, at)
    assert any("number 4" in note for note in found.notes)
    miss = 100.0 * found.residuals[3] / 30.48
    said = [note for note in hang(SQUARE, at, units="US").notes if "miss by" in note]
    assert said[0].endswith(f"the worst is number 4 by {miss:.2f} ft")
    assert " m " not in said[0]
    assert any(f"by {found.residuals[3]:.2f} m" in note for note in found.notes)


@pytest.mark.parametrize(
    ("source", "at"),
    [([(0, 0)], [(1, 1)]), ([(5, 5), (5, 5)], [(0, 0), (3, 0)]), ([(0, 0), (1, 0)], [(2, 2), (2, 2)]),
     ([(0, 0), (math.nan, 0)], [(2, 2), (3, 2)]), ([(0, 0), (1, 0)], [(2, 2)])],
)  # fmt: skip
def test_too_little_to_hang_on(source: list, at: list) -> None:
    with pytest.raises(InputError, match="known"):
        hang(source, at)
