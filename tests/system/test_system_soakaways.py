"""Soakaways: routing against an integrator, its balance, and sizes that do what they must and no more."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from drainwright.system.outlets.soak_routing import Block, SoakBody, half_time, route, standing, time_to_empty, worst
from drainwright.system.outlets.soak_sizing import LEAST_DEPTH, SoakNeed, SoakSize, good_depth, sized

BODY = SoakBody(area=6.0, floor=6.0, perimeter=22.0, depth=0.9, voids=0.4, rate=1e-5)
STORM = [Block(duration=time, inflow=flow) for time, flow in ((900, 4e-4), (600, 3e-3), (1800, 6e-4), (3600, 1e-4))]
rates = st.floats(1e-6, 1e-4)
flows = st.floats(0.0, 8e-3)


def by_integrator(body: SoakBody, blocks: list[Block], start: float) -> tuple[float, float, float]:
    """Fullest, spilled and the end's depth, by small steps of an integrator with sides of the real height."""
    level, fullest, spilled = start, start, 0.0
    for block in blocks:

        def change(_: float, y: np.ndarray, inflow: float = block.inflow) -> list[float]:
            depth = min(max(y[0], 0.0), body.depth)
            net = inflow - body.rate * (body.floor + body.perimeter * depth)
            full, dry = y[0] >= body.depth and net > 0, y[0] <= 0 and net < 0
            return [0.0 if full or dry else net / (body.voids * body.area), net if full else 0.0]

        got = solve_ivp(
            change, (0, block.duration), [level, 0.0], max_step=block.duration / 1500, rtol=1e-8, atol=1e-10
        )
        level = float(min(max(got.y[0, -1], 0.0), body.depth))
        fullest = max(fullest, float(got.y[0].max()))
        spilled += float(got.y[1, -1])
    return fullest, spilled, level


@pytest.mark.parametrize("depth", [3.0, 0.6])
def test_routing_is_that_of_an_integrator(depth: float) -> None:
    body = replace(BODY, depth=depth)
    ours = route(body, STORM, 0.1)
    fullest, spilled, level = by_integrator(body, STORM, 0.1)
    assert min(ours.fullest, depth) == pytest.approx(min(fullest, depth), abs=2e-4)
    assert ours.spilled == pytest.approx(spilled, abs=5e-3)
    assert (ours.spilled > 0) is (depth == 0.6)
    assert ours.left == pytest.approx(body.voids * body.area * level, abs=2e-3)


def test_a_pause_dries_it_out_and_it_stays_dry() -> None:
    ours = route(BODY, [Block(duration=600, inflow=1e-3), Block(duration=1e6, inflow=0.0)])
    assert ours.left == 0.0
    assert ours.soaked == pytest.approx(ours.came)


@given(st.lists(st.tuples(st.floats(60, 7200), flows), min_size=1, max_size=6), rates, st.floats(0.1, 1.5))
def test_what_comes_soaks_stays_or_spills(steps: list[tuple[float, float]], rate: float, depth: float) -> None:
    body = replace(BODY, rate=rate, depth=depth)
    ours = route(body, [Block(duration=time, inflow=flow) for time, flow in steps])
    assert 0.0 <= ours.left <= body.storage + 1e-9
    assert ours.spilled >= -1e-9
    most = sum(time for time, _ in steps) * body.out(depth)
    assert -1e-9 <= ours.soaked <= most + 1e-9  # the soil takes no more than at its fullest all the time


@given(st.floats(1.0, 20.0), st.floats(0.1, 10.0), rates, st.floats(0.2, 0.95))
def test_a_longer_trench_is_never_fuller(length: float, more: float, rate: float, voids: float) -> None:
    storms = [(time, 20.0 * 0.03 * (time / 3600) ** 0.3 / time) for time in (300.0, 1800.0, 7200.0, 86400.0)]

    def fullest(size: float) -> float:
        body = SoakSize(kind="infiltration trench", length=size, width=0.6, depth=0.9).body(voids, rate)
        number, routed = worst(body, storms, 0.0)
        return routed[number].fullest

    assert fullest(length + more) <= fullest(length) + 1e-9


@given(rates, st.floats(1e-5, 4e-4), st.floats(0.2, 2.0))
def test_steady_inflow_comes_to_rest_where_the_soil_takes_it(rate: float, base: float, level: float) -> None:
    body = replace(BODY, rate=rate)
    rest = standing(body, base)
    assert body.out(rest) >= base * (1 - 1e-9)
    assert route(body, [Block(duration=1e9, inflow=base)], level).fullest == pytest.approx(max(level, rest), rel=1e-6)
    took = time_to_empty(body, rest + level, base)
    assert body.after(rest + level, base, took) == pytest.approx(rest + 0.01 * level, rel=1e-6)


def test_half_time_with_and_without_water_that_goes_on() -> None:
    alone = half_time(BODY, 0.8)
    assert BODY.after(0.8, 0.0, alone) == pytest.approx(0.4)
    slower = half_time(BODY, 0.8, 1e-4)
    assert BODY.after(0.8, 1e-4, slower) == pytest.approx(0.4)
    assert slower > alone
    assert half_time(BODY, 0.8, 1e-3) == math.inf
    assert half_time(BODY, 0.0) == 0.0


NEED = SoakNeed(
    storms=tuple((time, 60.0 * depth / time) for time, depth in ((300.0, 0.013), (3600.0, 0.045), (86400.0, 0.1))),
    base=0.0, voids=0.4, rate=1e-5, half_empty=86400.0,
)  # fmt: skip


@pytest.mark.parametrize(("units", "step"), [("US", 0.3048), ("SI", 0.5)])
def test_designed_trench_is_the_shortest_that_does(units: str, step: float) -> None:
    found, fits = sized(NEED, "infiltration trench", 0.9, None, 0.61, units)  # type: ignore[arg-type]
    assert fits
    assert found.length / step == pytest.approx(round(found.length / step))
    assert NEED.kept_by(found)
    assert not NEED.kept_by(replace(found, length=found.length - step))


def test_designed_wells_are_the_fewest_and_smallest_that_do() -> None:
    found, fits = sized(NEED, "dry well", 1.2, None, None, "US")
    assert fits
    assert NEED.kept_by(found)
    assert found.width == 0.3048 * 3 or not NEED.kept_by(
        replace(found, width=found.width - 0.3048, length=found.width - 0.3048)
    )
    assert found.count == 1 or not NEED.kept_by(replace(found, count=found.count - 1, width=6 * 0.3048))


def test_what_the_job_gives_is_kept_though_it_is_too_small() -> None:
    found, fits = sized(NEED, "infiltration trench", 0.5, 3.0, 0.61, "US")
    assert (found.length, found.width, found.depth, fits) == (3.0, 0.61, 0.5, False)
    tight = replace(NEED, rate=1e-9, half_empty=3600.0)
    assert sized(tight, "infiltration trench", 0.9, None, None, "US")[1] is False
    assert sized(tight, "dry well", 0.9, None, None, "US")[1] is False


def test_half_empty_time_alone_can_ask_for_more() -> None:
    slow = replace(NEED, rate=4e-6)
    long, _ = sized(replace(slow, half_empty=1e9), "infiltration trench", 0.9, None, 0.61, "SI")
    body = long.body(slow.voids, slow.rate)
    number, routed = worst(body, slow.storms, 0.0)
    limit = 0.8 * half_time(body, routed[number].fullest)
    found, fits = sized(replace(slow, half_empty=limit), "infiltration trench", 0.9, None, 0.61, "SI")
    assert fits
    assert found.length > long.length


@pytest.mark.parametrize(
    ("invert", "water", "depth"),
    [(99.5, None, 0.9144), (99.0, None, 0.5), (99.5, 98.5, 0.5), (98.0, None, LEAST_DEPTH), (99.5, 99.4, LEAST_DEPTH)],
)
def test_depth_keeps_off_water_and_deep_digging(invert: float, water: float | None, depth: float) -> None:
    found = good_depth(invert, 100.0, water, 0.5)
    assert found <= depth + 1e-9
    assert found > depth - 0.0254


def test_silted_bottom_fills_it_higher() -> None:
    size = SoakSize(kind="infiltration trench", length=12.0, width=0.61, depth=0.9)
    clean, shut = size.body(0.4, 1e-5), size.body(0.4, 1e-5, silted=True)
    assert worst(shut, NEED.storms, 0.0)[1][1].fullest > worst(clean, NEED.storms, 0.0)[1][1].fullest
