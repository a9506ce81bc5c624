"""The water table in time: against closed solutions, a finer grid and another solver, and its water balance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from drainwright.errors import InputError
from drainwright.hydraulics.boussinesq import TableInTime, table_in_time
from drainwright.hydraulics.drainspacing import equivalent_depth, glover_midpoint, hooghoudt_flow, hooghoudt_head
from drainwright.hydraulics.tidal import tidal_lag, tidal_share
from drainwright.hydraulics.watertable import (
    half_fall_time,
    head_beside_drain,
    head_between,
    lowering_share,
    radial_resistance,
)

DAY = 86400.0


def run(until: float, steps: int, start: object, **changes: object) -> TableInTime:
    """A section of 20 m in 40 cells: K 1e-5 m/s, drainable porosity 0.1."""
    x = np.linspace(0.0, 20.0, 41)
    given: dict[str, object] = {"left": 1.0, "right": 2.0, "recharge": 0.0, "theta": 1.0} | changes
    return table_in_time(
        1e-5, 0.1, x, np.broadcast_to(np.asarray(start, dtype=float), x.shape), np.linspace(0.0, until, steps + 1),
        **given,  # type: ignore[arg-type]
    )  # fmt: skip


@pytest.mark.parametrize(("left", "right", "recharge"), [(1.0, 2.0, 0.0), (1.5, 1.5, 2e-8), (0.0, 3.0, 1e-8)])
def test_comes_to_rest_on_the_dupuit_curve(left: float, right: float, recharge: float) -> None:
    """Between nodes the flow is Dupuit's, so the closed ellipse comes out to the last digits on any grid."""
    found = run(4000 * DAY, 200, 2.0, left=left, right=right, recharge=recharge)
    closed = head_between(found.distance, left, right, 20.0, 1e-5, recharge)
    assert found.head[-1] == pytest.approx(closed, abs=1e-7)


def test_no_flow_end_is_the_middle_of_a_twice_as_wide_section() -> None:
    half = run(3000 * DAY, 200, 2.0, left=1.0, right=None, recharge=2e-8)
    assert half.head[-1, -1] == pytest.approx(head_between(20.0, 1.0, 1.0, 40.0, 1e-5, 2e-8), abs=1e-7)


def test_water_balance_closes() -> None:
    rain = np.where(np.arange(300) % 7 == 0, 3e-7, -2e-8)
    right = 2.0 + 0.3 * np.sin(np.linspace(0.0, 30.0, 301))
    for theta in (0.5, 1.0):
        found = run(300 * DAY, 300, 2.0, right=right, recharge=rain, theta=theta)
        assert found.lost < 1e-12
        assert found.stored[-1] - found.stored[0] == pytest.approx(
            found.entered_left[-1] + found.entered_right[-1] + found.recharged[-1], abs=1e-10
        )


def test_first_and_second_order_in_time() -> None:
    """Driven by a bank that moves smoothly; half the step halves or quarters the error."""

    def last(steps: int, theta: float) -> np.ndarray:
        bank = 2.0 + 0.25 * (1.0 - np.cos(np.linspace(0.0, 3.0, steps + 1)))
        return run(10 * DAY, steps, 2.0, left=bank, right=None, theta=theta).head[-1]

    exact = last(4096, 0.5)
    wrong = {(theta, steps): np.abs(last(steps, theta) - exact).max() for theta in (0.5, 1.0) for steps in (16, 32)}
    assert wrong[1.0, 16] / wrong[1.0, 32] == pytest.approx(2.0, rel=0.1)
    assert wrong[0.5, 16] / wrong[0.5, 32] == pytest.approx(4.0, rel=0.15)


def test_another_solver_of_the_same_equation() -> None:
    """scipy's BDF on the semi-discrete equation, written out anew with unequal gaps."""
    x = np.concatenate((np.linspace(0.0, 4.0, 17), np.linspace(4.5, 20.0, 32)))
    gap = np.diff(x)
    size = 0.5 * (np.append(gap, 0.0) + np.insert(gap, 0, 0.0))

    def change(_: float, h: np.ndarray) -> np.ndarray:
        flow = 1e-5 * 0.5 * (h[1:] + h[:-1]) * np.diff(h) / gap
        slope = (np.append(flow, 0.0) - np.insert(flow, 0, 0.0) + 5e-9 * size) / (0.1 * size)
        slope[0] = 0.0
        return slope

    start = np.full(x.size, 3.0)
    start[0] = 1.0
    other = solve_ivp(change, (0.0, 40 * DAY), start, method="BDF", rtol=1e-9, atol=1e-10).y[:, -1]
    times = np.concatenate((np.linspace(0.0, DAY, 400), np.linspace(1.05, 40.0, 600) * DAY))
    ours = table_in_time(1e-5, 0.1, x, np.full(x.size, 3.0), times, 1.0, None, 5e-9)
    assert ours.head[-1] == pytest.approx(other, abs=1e-3)
    assert ours.lost < 1e-12


def test_finer_grid_and_steps() -> None:
    coarse = run(20 * DAY, 100, 3.0, left=1.0, right=None)
    x = np.linspace(0.0, 20.0, 401)
    fine = table_in_time(1e-5, 0.1, x, np.full(401, 3.0), np.linspace(0.0, 20 * DAY, 2001), 1.0, None)
    assert coarse.head[-1] == pytest.approx(fine.head[-1, ::10], abs=0.01)


def test_small_lowering_follows_glover() -> None:
    """Drained by 1 % of the thickness between two drains, the thickness is as good as even."""
    times = np.linspace(0.0, 5 * DAY, 2001)
    x = np.linspace(0.0, 10.0, 101)
    found = table_in_time(1e-5, 0.1, x, np.full(101, 3.03), times, 3.0, 3.0)
    share = (found.head[:, 50] - 3.0) / 0.03
    glover = glover_midpoint(1e-5 * 3.015 / 0.1, times[1:], 10.0)
    assert share[200:] == pytest.approx(np.asarray(glover)[199:], abs=0.006)


def test_tide_fades_and_lags_as_ferris_says() -> None:
    """Drainable porosity 0.1, 5 m of K 1e-4 m/s: at 8 m a tide of 0.1 m is damped to a third."""
    period, storage, thick = 44714.0, 0.1, 5.0
    x = np.concatenate((np.linspace(0.0, 20.0, 201), np.linspace(20.5, 80.0, 120)))
    times = np.linspace(0.0, 12 * period, 12 * 200 + 1)
    bank = thick + 0.1 * np.cos(2 * np.pi * times / period)
    found = table_in_time(1e-4, storage, x, np.full(x.size, thick), times, bank, None, theta=0.5)
    place = int(np.argmin(np.abs(x - 8.0)))
    last = found.head[-201:, place]
    amplitude = 0.5 * (last.max() - last.min())
    assert amplitude / 0.1 == pytest.approx(tidal_share(8.0, 1e-4 * thick, storage, period), rel=0.01)
    high = times[-201:][np.argmax(last)] - 11 * period
    assert high == pytest.approx(tidal_lag(8.0, 1e-4 * thick, storage, period), abs=period / 100)


@pytest.mark.parametrize(("share", "within"), [(0.1, 0.03), (0.3, 0.08), (0.6, 0.20)])
def test_half_fall_time_with_the_mean_thickness(share: float, within: float) -> None:
    """The closed time, with the thickness midway between the two heads, against the full equation.

    The deeper the drain goes into the layer the more the even thickness is off: 20 % where it takes off 60 %.
    """
    high, low = 3.0, 3.0 * (1.0 - share)
    x = np.linspace(0.0, 10.0, 101)
    guess = half_fall_time(1e-5 * 0.5 * (high + low) / 0.1, 5.0, 10.0)
    times = np.linspace(0.0, 3 * guess, 1501)
    for right in (high, low):  # a far head that is held, and a second drain
        found = table_in_time(1e-5, 0.1, x, np.full(101, high), times, low, right)
        rest = head_between(5.0, low, right, 10.0, 1e-5)
        middle = found.head[:, 50]
        half = float(np.interp(-0.5 * (high + rest), -middle, times))
        assert guess == pytest.approx(half, rel=within)


def test_half_fall_time_is_where_the_share_is_half() -> None:
    for place in (0.5, 3.0, 7.5):
        time = half_fall_time(3e-4, place, 10.0)
        assert lowering_share(3e-4, time, place, 10.0) == pytest.approx(0.5, abs=1e-9)


def test_midway_share_is_one_less_glover() -> None:
    times = np.array([0.02, 0.05, 0.1, 0.3])
    assert lowering_share(1.0, times, 0.5, 1.0) == pytest.approx(1.0 - np.asarray(glover_midpoint(1.0, times, 1.0)))


def test_hooghoudt_head_turns_the_flow_round() -> None:
    for recharge in (0.0, 1e-8, 3e-7):
        depth = equivalent_depth(12.0, 3.0, 0.06)
        head = hooghoudt_head(1e-5, recharge, depth, 12.0)
        assert hooghoudt_flow(1e-5, depth, head, 12.0) == pytest.approx(recharge, rel=1e-12, abs=1e-20)


def test_hooghoudt_with_the_true_depth_is_the_ellipse() -> None:
    head = hooghoudt_head(1e-5, 2e-8, 2.0, 20.0)
    assert 2.0 + head == pytest.approx(head_between(10.0, 2.0, 2.0, 20.0, 1e-5, 2e-8))


def test_radial_resistance_is_what_hooghoudts_depth_holds() -> None:
    """Level flow through the true depth with Ernst's loss on top, against van der Molen's series: within 2 %."""
    for spacing, depth, radius in ((30.0, 3.0, 0.1), (20.0, 4.0, 0.06), (50.0, 5.0, 0.1)):
        equivalent = float(equivalent_depth(spacing, depth, radius))
        loss = radial_resistance(depth, math.pi * radius)
        assert depth / (1 + 8 * depth / spacing * loss) == pytest.approx(equivalent, rel=0.02)


def test_head_beside_a_drain_solves_its_own_balance() -> None:
    for resistance, ways, rain in ((0.5, 0.2, 0.0), (0.3, 0.05, 0.4), (0.0, 0.2, 0.3), (0.4, 0.0, 0.0)):
        head = float(head_beside_drain(3.4, 3.0, resistance, ways, rain))
        assert head == pytest.approx(3.0 + resistance * ((3.4**2 - head**2) * ways + rain))


@settings(max_examples=20)
@given(left=st.floats(0.2, 4.0), right=st.floats(0.2, 4.0), start=st.floats(0.2, 4.0), days=st.floats(0.01, 400.0))
def test_stays_between_its_heads(left: float, right: float, start: float, days: float) -> None:
    """Without recharge no head leaves the range of what it began with and what is held."""
    found = run(days * DAY, 20, start, left=left, right=right)
    low, high = min(left, right, start), max(left, right, start)
    assert found.head.min() >= low - 1e-9
    assert found.head.max() <= high + 1e-9
    assert found.lost < 1e-9


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"theta": 0.4}, "theta"), ({"left": np.ones(3)}, "left"), ({"right": -1.0}, "right"),
        ({"recharge": np.ones(3)}, "recharge"), ({"recharge": float("nan")}, "recharge"),
    ],
)  # fmt: skip
def test_bad_input_is_named(changes: dict[str, object], named: str) -> None:
    with pytest.raises(InputError, match=named):
        run(DAY, 10, 2.0, **changes)


def test_bad_grids_are_named() -> None:
    x, t = np.linspace(0.0, 1.0, 5), np.linspace(0.0, 1.0, 3)
    for nodes, start, times, named in (
        (x[::-1], np.ones(5), t, "distance"),
        (x, np.ones(4), t, "initial"),
        (x, np.zeros(5), t, "initial"),
        (x, np.ones(5), t[::-1], "time"),
    ):
        with pytest.raises(InputError, match=named):
            table_in_time(1e-5, 0.1, nodes, start, times, 1.0, 1.0)
    with pytest.raises(InputError, match="distance"):
        half_fall_time(1.0, 2.0, 2.0)


def test_a_layer_that_runs_dry_says_so() -> None:
    with pytest.raises(InputError, match=r"runs dry|could not be solved"):
        run(400 * DAY, 50, 0.5, left=None, right=None, recharge=-5e-8)
