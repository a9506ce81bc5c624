"""Rain over a plane: closed forms of the kinematic wave, another solver, and infiltration as its limit."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from drainwright.errors import InputError
from drainwright.hydraulics.overland import EXPONENT, equilibrium_time, plane_runoff, sheet_conveyance
from drainwright.storm.surface.sheets import surface_runoff

LENGTH, CONVEYANCE, RAIN = 20.0, sheet_conveyance(0.02, 0.24), 100 / 3.6e6
FILLS = equilibrium_time(LENGTH, CONVEYANCE, RAIN)  # 551 s
POWER = EXPONENT


def run(
    rain: Any, step: float, *, length: float = LENGTH, conveyance: float = CONVEYANCE, conductivity: float = 0.0,
    store: float = 0.0, cells: int = 20, parts: int = 8, function: Any = surface_runoff,
) -> tuple[Any, float, float]:  # fmt: skip
    """Outflow in each step [m²/s], infiltrated and standing depth [m], of one plane."""
    one = [np.array([value]) for value in (length, conveyance, conductivity, store)]
    outflow, infiltrated, standing = function(np.asarray(rain, float), step, *one, cells, parts)
    return outflow[0], float(infiltrated[0]), float(standing[0])


def means(flow: Any, edges: Any) -> Any:
    """Means of a flow between the edges, by Simpson's rule in forty parts."""
    from scipy.integrate import simpson

    return np.array([
        simpson([flow(t) for t in np.linspace(a, b, 41)], dx=(b - a) / 40) / (b - a)
        for a, b in pairwise(edges)
    ])  # fmt: skip


def wave(time: float, ends: float, rain: float = RAIN, length: float = LENGTH) -> float:
    """Flow off a plane under even rain that ends, closed form: Henderson and Wooding, J. Geophys. Res. 69(8), 1964;
    Wooding, J. Hydrol. 3, 1965; also Chow, Maidment and Mays 1988, sec. 9.4 (all from memory). [m²/s]

    Rising q = α (i t)^m; full at q = i L; after rain that ends at D the outlet keeps the depth i min(D, t_e) until
    the water from the upper edge arrives, then L = α y^m / i + α m y^(m-1) (t - D).
    """
    fills = equilibrium_time(length, CONVEYANCE, rain)
    deepest = rain * min(ends, fills)
    if time <= ends:
        return float(CONVEYANCE * min(rain * time, deepest) ** POWER)

    def further(depth: float) -> float:
        return float(
            CONVEYANCE * depth**POWER / rain + CONVEYANCE * POWER * depth ** (POWER - 1) * (time - ends) - length
        )

    if further(deepest) <= 0.0:
        return float(CONVEYANCE * deepest**POWER)
    return float(CONVEYANCE * brentq(further, 0.0, deepest, xtol=1e-15) ** POWER)


def test_conveyance_is_mannings() -> None:
    """A sheet 10 mm deep, n = 0.24, 2 %: v = y^(2/3) √S / n, q = v y."""
    velocity = 0.01 ** (2 / 3) * 0.02**0.5 / 0.24
    assert sheet_conveyance(0.02, 0.24) * 0.01**POWER == pytest.approx(velocity * 0.01)


def test_the_rising_limb_is_exact() -> None:
    """q = α (i t)^(5/3) while the upper edge is not yet felt: at the mean depth of each part of a step.

    The scheme takes the flow at the end of a part, so the mean lags by half a part, which goes to zero with it.
    """
    edges = np.arange(0.0, 241.0, 60.0)
    closed = means(lambda t: wave(t, 1e9), edges)
    ends = [np.mean([CONVEYANCE * (RAIN * t) ** POWER for t in 60.0 * k + 7.5 * np.arange(1, 9)]) for k in range(4)]
    found, _, _ = run(np.full(4, RAIN), 60.0)
    assert found == pytest.approx(ends, rel=0.06)  # what has left already is no longer there: at most 6 % by 4 min
    fine, _, _ = run(np.full(4, RAIN), 60.0, cells=200, parts=400)
    assert fine == pytest.approx(closed, rel=0.004)


def test_equilibrium_is_all_the_rain() -> None:
    found, _, standing = run(np.full(60, RAIN), 60.0)
    assert found[-1] == pytest.approx(RAIN * LENGTH, rel=1e-6)
    full = (RAIN * LENGTH / CONVEYANCE) ** 0.6  # depth at the lower edge; at x it is that times (x/L)^(3/5)
    assert standing == pytest.approx(full * np.mean((np.arange(1, 21) / 20) ** 0.6), rel=1e-6)
    _, _, fine = run(np.full(60, RAIN), 60.0, cells=400)
    assert fine == pytest.approx(full / 1.6, rel=0.003)


def test_time_to_equilibrium() -> None:
    """97 % of the equilibrium is passed at the closed form's time, within a part of ten (diffusion of the scheme)."""
    found, _, _ = run(np.full(400, RAIN), 5.0, cells=400, parts=2)
    passed = 5.0 * float(np.argmax(found >= 0.97 * RAIN * LENGTH))
    closed = FILLS * 0.97**0.6
    assert passed == pytest.approx(closed, rel=0.1)
    coarse, _, _ = run(np.full(400, RAIN), 5.0, cells=50, parts=1)
    assert abs(passed - closed) < abs(5.0 * float(np.argmax(coarse >= 0.97 * RAIN * LENGTH)) - closed)


@pytest.mark.parametrize("ends", [1200.0, 300.0])
def test_finer_grids_come_to_the_closed_form(ends: float) -> None:
    """A long rain (full, then recession) and a short one (partial equilibrium: a plateau, then recession).

    Errors over i L fall at least as the square root of the cell (a kink in first order), the sum of them faster.
    """
    edges = np.arange(0.0, 3001.0, 60.0)
    rain = np.where(edges[:-1] < ends, RAIN, 0.0)
    closed = means(lambda t: wave(t, ends), edges)
    worst, mean = [], []
    for cells in (20, 80, 320):
        found, _, _ = run(rain, 60.0, cells=cells, parts=cells // 2)
        off = np.abs(found - closed) / (RAIN * LENGTH)
        worst.append(off.max())
        mean.append(off.mean())
    assert worst[0] < 0.11
    assert worst[2] < 0.035
    assert mean[0] < 0.02
    assert mean[1] < 0.45 * mean[0]
    assert mean[2] < 0.45 * mean[1]


def test_partial_equilibrium_keeps_its_plateau() -> None:
    """Rain of 5 min on a plane that takes 9: the outlet stays at the depth it had when the rain ended."""
    edges = np.arange(0.0, 901.0, 30.0)
    found, _, _ = run(np.where(edges[:-1] < 300.0, RAIN, 0.0), 30.0, cells=800, parts=100)
    plateau = CONVEYANCE * (RAIN * 300.0) ** POWER
    arrives = 300.0 + (LENGTH - CONVEYANCE * (RAIN * 300.0) ** POWER / RAIN) / (
        POWER * CONVEYANCE * (RAIN * 300.0) ** (POWER - 1)
    )
    level = found[(edges[:-1] >= 330.0) & (edges[1:] <= arrives - 60.0)]
    assert len(level) >= 3
    assert level == pytest.approx(np.full(len(level), plateau), rel=0.01)
    assert plateau < 0.5 * RAIN * LENGTH


def test_rain_on_wet_ground_takes_even_infiltration_also_after_it_ends() -> None:
    """Without suction the ground takes K of what stands: a partial equilibrium falls as y = (i - K) D - K (t - D)."""
    rate, ends = RAIN / 4, 300.0
    edges = np.arange(0.0, 601.0, 30.0)
    found, _, _ = run(np.where(edges[:-1] < ends, RAIN, 0.0), 30.0, conductivity=rate, cells=800, parts=100)
    within = (edges[:-1] >= 300.0) & (edges[1:] <= 450.0)
    closed = means(lambda t: CONVEYANCE * ((RAIN - rate) * ends - rate * (t - ends)) ** POWER, edges[:-1][within])
    assert found[within][: len(closed)] == pytest.approx(closed, rel=0.01)


def test_against_the_method_of_lines() -> None:
    """The same finite volumes by scipy's LSODA, with Green-Ampt as an equation of its own, under a varied storm.

    F' = min(K (1 + S/F), what is there); the ground is given a little water at the start, so that F is above zero.
    """
    cells, conductivity, store = 20, 2e-6, 0.02
    rain = np.array([20.0, 60.0, 150.0, 90.0, 30.0, 5.0, 0.0, 0.0, 40.0, 0.0]) / 3.6e6
    step, dx, film = 300.0, LENGTH / cells, 2e-5

    def slopes(time: float, state: Any) -> Any:
        depth, taken = np.maximum(state[:cells], 0.0), np.maximum(state[cells : 2 * cells], 1e-9)
        flow = CONVEYANCE * depth**POWER
        arriving = rain[min(int(time // step), len(rain) - 1)] + np.concatenate([[0.0], flow[:-1]]) / dx
        capacity = conductivity * (1.0 + store / taken)
        wet = depth / (depth + film)  # 0 dry, 1 under water: smooth between, over a film of 0.02 mm
        sunk = wet * capacity + (1.0 - wet) * np.minimum(capacity, arriving)
        return np.concatenate([arriving - sunk - flow / dx, sunk, [flow[-1]]])

    state, sums = np.concatenate([np.zeros(cells), np.full(cells, 1e-6), [0.0]]), [0.0]
    for index in range(len(rain)):
        part = solve_ivp(
            slopes, (index * step, (index + 1) * step - 1e-6), state, method="LSODA", rtol=1e-7, atol=1e-11
        )  # fmt: skip
        assert part.success
        state = part.y[:, -1]
        sums.append(float(state[-1]))
    other = np.diff(sums) / step
    found, infiltrated, _ = run(rain, step, conductivity=conductivity, store=store, cells=cells, parts=1200)
    assert found == pytest.approx(other, abs=0.01 * other.max())
    assert infiltrated == pytest.approx(float(np.mean(state[cells : 2 * cells])), rel=0.01)


@given(
    st.lists(st.floats(0.0, 1e-4), min_size=1, max_size=30), st.floats(5.0, 3600.0), st.floats(0.5, 60.0),
    st.floats(0.01, 30.0), st.one_of(st.just(0.0), st.floats(1e-9, 1e-4)), st.floats(0.0, 0.2), st.integers(1, 12),
)  # fmt: skip
def test_no_water_is_lost_or_made_at_any_step(
    rain: list[float], step: float, length: float, conveyance: float, conductivity: float, store: float, parts: int
) -> None:
    """Rain = outflow + infiltration + what still stands, to 1e-9; nothing is negative; no instability at any step."""
    outflow, infiltrated, standing = run(
        rain, step, length=length, conveyance=conveyance, conductivity=conductivity, store=store, cells=7, parts=parts
    )
    fallen = sum(rain) * step
    assert np.sum(outflow) * step / length + infiltrated + standing == pytest.approx(fallen, rel=1e-9, abs=1e-15)
    assert np.all(outflow >= 0.0)
    assert infiltrated >= 0.0
    assert standing >= 0.0
    assert np.max(outflow) <= max(rain) * length * (1.0 + 1e-9)  # a plane stores and never adds


@given(st.floats(1e-6, 1e-4), st.floats(0.0, 0.2), st.floats(1.0, 40.0), st.floats(1.2, 3.0))
def test_a_longer_rougher_or_thirstier_plane_never_sheds_more(
    conductivity: float, store: float, length: float, more: float
) -> None:
    """In all, of each metre of plane. (The mean of a single step may rise a little: delay can heap water up in it.)"""
    rain = np.array([10.0, 40.0, 160.0, 80.0, 20.0, *[0.0] * 10]) / 3.6e6
    base: dict[str, float] = {"conductivity": conductivity, "store": store, "length": length}
    shed = run(rain, 120.0, **base)[0].sum() / length
    for change in (
        {"conductivity": more * conductivity}, {"store": more * store + 1e-3}, {"length": more * length},
        {"conveyance": CONVEYANCE / more},
    ):  # fmt: skip
        plane = base | change
        assert run(rain, 120.0, **plane)[0].sum() / plane["length"] <= shed * (1.0 + 1e-9) + 1e-15


def test_compiled_and_plain_python_agree() -> None:
    """Two planes in one call, one sealed; also the same as each by itself."""
    rain = np.array([10.0, 60.0, 20.0, 0.0, 0.0]) / 3.6e6
    arguments = (
        rain, 120.0, np.array([6.0, 15.0]), np.array([0.5, 5.0]), np.array([2e-6, 0.0]), np.array([0.01, 0.0]), 6, 3,
    )  # fmt: skip
    compiled, plain = surface_runoff(*arguments), plane_runoff(*arguments)
    for one, other in zip(compiled, plain, strict=True):
        assert one == pytest.approx(other, rel=1e-12, abs=1e-18)
    alone, _, _ = run(rain, 120.0, length=15.0, conveyance=5.0, cells=6, parts=3, function=plane_runoff)
    assert plain[0][1] == pytest.approx(alone, rel=1e-12)


@pytest.mark.parametrize("rain", [5e-324, 1e-300, 1e-31, 1e-25])
def test_a_film_too_thin_for_its_powers_runs_off(rain: float) -> None:
    outflow, infiltrated, standing = run([rain], 5.0, length=1.0, conveyance=1.0, cells=7, parts=1)
    assert outflow[0] * 5.0 + infiltrated + standing == pytest.approx(5.0 * rain, rel=1e-9, abs=1e-322)


def test_no_rain_no_water() -> None:
    outflow, infiltrated, standing = run(np.zeros(5), 60.0, function=plane_runoff)
    assert not outflow.any()
    assert infiltrated == standing == 0.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: sheet_conveyance(0.0, 0.1), lambda: sheet_conveyance(0.01, 0.0),
        lambda: equilibrium_time(0.0, 1.0, 1e-5), lambda: equilibrium_time(1.0, 0.0, 1e-5),
        lambda: equilibrium_time(1.0, 1.0, 0.0),
    ],
)  # fmt: skip
def test_values_that_cannot_be_used(call: Any) -> None:
    with pytest.raises(InputError, match="above zero"):
        call()
