"""The water surface against integration of the flow equations by scipy, against exact solutions, and its own laws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from drainwright.errors import InputError
from drainwright.hydraulics.conduit import OpenChannel, RoundPipe, critical, momentum
from drainwright.hydraulics.line_surface import graded_steps
from drainwright.hydraulics.openflow import critical_depth, full_flow, full_friction_slope, normal_depth
from drainwright.hydraulics.water_surface import WaterSurface, water_surface

G = 9.80665


def along(
    flow: float, size: float, length: float, fall: float, rough: float, tail: float, head_flow: float | None = None
) -> WaterSurface:
    """The surface of a pipe whose lower invert is 0."""
    first = flow if head_flow is None else head_flow
    places = graded_steps((0.0, length), size)
    return water_surface(
        RoundPipe(diameter=size), places, [fall * (length - x) for x in places],
        [first + (flow - first) * x / length for x in places], rough, tail,
    )  # fmt: skip


def circle(depth: float, size: float) -> tuple[float, float, float]:
    """Area, wetted perimeter and width, written here once more; full above the crown."""
    if depth >= size:
        return math.pi * size**2 / 4.0, math.pi * size, 0.0
    angle = 2.0 * math.acos(1.0 - 2.0 * depth / size)
    return size**2 / 8.0 * (angle - math.sin(angle)), size * angle / 2.0, size * math.sin(angle / 2.0)


def bend_of(depth: float, flow: float, gain: float, size: float, fall: float, rough: float) -> float:
    """dy/dx downstream = (S0 - Sf - 2 Q q / (g A²)) / (1 - Fr²): Chow 1959, eq. 12-2 with α = 1, from memory."""
    area, perimeter, width = circle(depth, size)
    friction = (flow * rough / (area * (area / perimeter) ** (2.0 / 3.0))) ** 2
    return (fall - friction - 2.0 * flow * gain / (G * area**2)) / (1.0 - flow**2 * width / (G * area**3))


def integrated(
    start: float, depth: float, end: float, flow: float, size: float, fall: float, rough: float, places: np.ndarray
) -> np.ndarray:
    """Depths at places between start and end (distances from the upper end), by solve_ivp; as far as it gets."""
    low = critical(RoundPipe(diameter=size), flow)

    def near_critical(_: float, y: np.ndarray) -> float:
        return abs(float(y[0]) - low) - 1e-3 * size if abs(depth - low) > 2e-3 * size else 1.0

    near_critical.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(
        lambda _, y: [bend_of(float(y[0]), flow, 0.0, size, fall, rough)], (start, end), [depth], rtol=1e-9,
        atol=1e-12, dense_output=True, events=near_critical, max_step=0.05,
    )  # fmt: skip
    low_x, high_x = min(start, float(solved.t[-1])), max(start, float(solved.t[-1]))
    return np.array([float(solved.sol(x)[0]) if low_x <= x <= high_x else np.nan for x in places])


def test_a_hundred_pipes_against_integration() -> None:
    """Free, drowned, pressurised and steep: 95 of 100 seeded pipes to 0.1 % of the diameter everywhere, all to 1 %.

    The worst lies at the upper end of the water backed up in a steep pipe, where it falls to the jump.
    Tranquil depths are integrated from the lower end up, fast ones from the first fast place down.
    """
    random = np.random.default_rng(22)
    kinds = {"free": 0, "drowned": 0, "pressurised": 0, "fast": 0, "jump": 0}
    errors = []
    for _ in range(100):
        size = float(random.choice([0.0762, 0.1023, 0.15, 0.2]))
        fall = float(random.choice([0.0, 0.002, 0.005, 0.01, 0.03, 0.08]))
        rough = float(random.choice([0.009, 0.011, 0.016]))
        length = float(random.uniform(6.0, 40.0))
        flow = float(random.uniform(0.15, 1.3)) * float(full_flow(size, max(fall, 0.004), rough))
        tail = float(random.uniform(-0.5, 3.0)) * size
        found = along(flow, size, length, fall, rough, tail)
        places, fast = found.distances, np.array(found.fast)
        low = critical(RoundPipe(diameter=size), flow)
        free = tail <= low
        kinds["free" if free else "drowned"] += 1
        kinds["pressurised"] += found.full_length > 0.0
        kinds["fast"] += bool(fast.any())
        kinds["jump"] += bool(found.jumps)
        apart = [0.0]
        if not fast[-1]:
            last = len(places) - (4 if free else 1)  # off the critical section, where the equation has no slope
            depths = integrated(float(places[last]), float(found.depths[last]), 0.0, flow, size, fall, rough, places)
            known = ~fast & ~np.isnan(depths) & (np.arange(len(places)) <= last)
            apart += [float(np.max(np.abs(depths - found.depths)[known]) / size)]
        if fast.any():
            first = int(np.argmax(fast)) + 3  # the same
            if first < len(places) and fast[first]:
                depths = integrated(
                    float(places[first]), float(found.depths[first]), length, flow, size, fall, rough, places
                )
                known = fast & ~np.isnan(depths)
                apart += [float(np.max(np.abs(depths - found.depths)[known]) / size)]
        errors.append(max(apart))
    assert min(kinds.values()) >= 10, kinds
    assert max(errors) < 0.01
    assert sorted(errors)[95] < 0.001


def test_a_hydraulic_jump_lies_where_the_momenta_of_both_integrated_surfaces_are_equal() -> None:
    """A steep pipe whose tailwater stands over normal depth: once below the crown, once drowned."""
    size, fall, rough, length, flow = 0.15, 0.02, 0.009, 20.0, 0.006
    section = RoundPipe(diameter=size)
    low = critical(section, flow)
    for tail in (0.125, 0.2, 0.35):
        found = along(flow, size, length, fall, rough, tail)
        (jump,) = found.jumps
        normal = float(normal_depth(flow, size, fall, rough))

        def tranquil(x: float, tail: float = tail) -> float:
            solved = solve_ivp(
                lambda _, y: [bend_of(float(y[0]), flow, 0.0, size, fall, rough)], (length, x), [tail], rtol=1e-9,
                atol=1e-12, max_step=0.02,
            )  # fmt: skip
            return float(solved.y[0, -1])

        def unbalanced(x: float, tranquil=tranquil, normal=normal) -> float:  # type: ignore[no-untyped-def]
            return momentum(section, tranquil(x), flow) - momentum(section, normal, flow)

        exact = brentq(unbalanced, jump - 0.5, min(jump + 0.5, length - 1e-6), xtol=1e-4)
        assert jump == pytest.approx(exact, abs=0.1)  # straight between two places of the walk, some 0.3 m apart
        assert found.depths[0] == pytest.approx(low)
    assert along(flow, size, length, fall, rough, 0.09).jumps == ()  # sequent depth not reached: fast to the end
    assert along(flow, size, length, fall, rough, 0.09).fast[-1]
    drowned = along(flow, size, length, fall, rough, 1.2)
    assert not any(drowned.fast)
    assert drowned.level_up > 1.2


def test_drowned_pipe_that_becomes_free_and_free_pipe_that_becomes_pressurised() -> None:
    """Full lengths from the friction slope of the full pipe, by hand."""
    flow, size, fall, rough = 0.004, 0.1, 0.01, 0.009
    drowned = along(flow, size, 40.0, fall, rough, 0.25)
    assert drowned.full_length == pytest.approx(
        (0.25 - size) / (fall - float(full_friction_slope(flow, size, rough))), abs=0.3
    )
    assert drowned.depths[0] < size < drowned.depths[-1]
    loaded = along(0.012, size, 30.0, fall, rough, -1.0)
    assert loaded.depths[-1] == pytest.approx(float(critical_depth(0.012, size)), rel=1e-6)
    rise = (loaded.depths[0] - loaded.depths[20]) / (loaded.distances[20] - loaded.distances[0])
    assert rise == pytest.approx(float(full_friction_slope(0.012, size, rough)) - fall, rel=1e-9)


def test_level_trough_with_even_inflow_and_a_free_end_stands_root_three_of_critical_depth_high_at_its_head() -> None:
    """Published result for wash-water troughs without friction (Camp, Trans. ASCE 105, 1940): y0 = √3 yc; from memory.

    It follows from the momentum of the whole trough: y0²/2 = yc²/2 + Q²/(g b² yc). A handbook of industrial gutters
    (seen in a publisher's extract, "Level rectangular and trapezoidal") has the depth at the free end two thirds of
    that at the head, 1.5, and designs for twice: it holds the energy, which water that falls in does not keep.
    """
    places = np.linspace(0.0, 10.0, 401)
    section = OpenChannel(width=1.0)
    found = water_surface(section, places.tolist(), [0.0] * 401, (0.1 * places).tolist(), 1e-9, -math.inf)
    assert found.depths[0] / critical(section, 1.0) == pytest.approx(math.sqrt(3.0), rel=1e-4)


@pytest.mark.parametrize(("fall", "tail"), [(0.0, 0.08), (0.002, 0.075), (0.001, 0.3), (-0.002, 0.09)])
def test_tranquil_flow_with_inflow_all_along_is_that_of_its_equation(fall: float, tail: float) -> None:
    """Spatially varied flow by solve_ivp from the lower end up; to 0.2 mm; and it loses no water."""
    size, length, rough, gain = 0.1023, 24.0, 0.016, 0.0025 / 24.0
    found = along(0.0025, size, length, fall, rough, tail, head_flow=0.0)
    solved = solve_ivp(
        lambda x, y: [bend_of(float(y[0]), gain * x, gain, size, fall, rough)], (length, 1e-3), [tail], rtol=1e-9,
        atol=1e-12, dense_output=True, max_step=0.05,
    )  # fmt: skip
    for place, depth in zip(found.distances[1:], found.depths[1:], strict=True):
        assert depth == pytest.approx(float(solved.sol(place)[0]), abs=2e-4)
    carried = [
        speed * circle(depth, size)[0] for speed, depth in zip(found.velocities, found.depths, strict=True)
    ]  # fmt: skip
    assert np.allclose(carried, gain * found.distances, atol=1e-12)


def test_fast_flow_with_inflow_all_along_is_that_of_its_equation_below_its_control() -> None:
    """A drain at 3 %: the control lies where friction and inflow take up the fall at critical depth (Chow 12)."""
    size, length, fall, rough = 0.1023, 24.0, 0.03, 0.009
    flow = 0.004
    gain = flow / length
    found = along(flow, size, length, fall, rough, -1.0, head_flow=0.0)
    section = RoundPipe(diameter=size)

    def left_over(x: float) -> float:
        area, perimeter, _ = circle(critical(section, gain * x), size)
        friction = (gain * x * rough / (area * (area / perimeter) ** (2.0 / 3.0))) ** 2
        return fall - friction - 2.0 * gain * x * gain / (G * area**2)

    control = brentq(left_over, 1e-3, length)
    first = int(np.argmax(found.fast))
    assert found.distances[first - 1] == pytest.approx(control, abs=0.6)
    start = first + 4
    solved = solve_ivp(
        lambda x, y: [bend_of(float(y[0]), gain * x, gain, size, fall, rough)],
        (float(found.distances[start]), length), [float(found.depths[start])], rtol=1e-9, atol=1e-12,
        dense_output=True, max_step=0.05,
    )  # fmt: skip
    for place, depth in zip(found.distances[start:], found.depths[start:], strict=True):
        assert depth == pytest.approx(float(solved.sol(place)[0]), abs=3e-4)


def test_a_break_from_steep_to_mild_carries_the_fast_water_on_to_a_jump() -> None:
    size, rough, flow = 0.15, 0.009, 0.006
    places = graded_steps((0.0, 10.0, 20.0), size)
    inverts = [0.5 * (10.0 - x) / 10.0 + 0.01 if x < 10.0 else 0.001 * (20.0 - x) for x in places]
    found = water_surface(RoundPipe(diameter=size), places, inverts, [flow] * len(places), rough, -1.0)
    (jump,) = found.jumps
    assert 10.0 < jump < 20.0
    depth_before = found.depths[np.searchsorted(found.distances, jump) - 1]
    assert depth_before < critical(RoundPipe(diameter=size), flow)


def test_a_bend_costs_its_share_of_the_velocity_head() -> None:
    places = graded_steps((0.0, 10.0), 0.1, kept=(4.0,))
    bends = [0.3 if x == 4.0 else 0.0 for x in places]
    plain = water_surface(RoundPipe(diameter=0.1), places, [0.0] * len(places), [0.006] * len(places), 0.009, 0.5)
    bent = water_surface(RoundPipe(diameter=0.1), places, [0.0] * len(places), [0.006] * len(places), 0.009, 0.5, bends)
    head = (0.006 / (math.pi * 0.1**2 / 4.0)) ** 2 / (2.0 * G)
    assert bent.level_up - plain.level_up == pytest.approx(0.3 * head, rel=1e-9)


@given(st.floats(0.0003, 0.02), st.floats(-0.01, 0.06), st.floats(-0.2, 0.5), st.booleans())
def test_energy_falls_with_the_flow_and_more_tailwater_never_lowers(
    flow: float, fall: float, tail: float, grows: bool
) -> None:
    first = 0.0 if grows else flow
    low = along(flow, 0.1, 15.0, fall, 0.011, tail, head_flow=first)
    high = along(flow, 0.1, 15.0, fall, 0.011, tail + 0.05, head_flow=first)
    assert np.all(np.diff(low.energies) < 1e-9) or grows
    assert np.all(high.levels >= low.levels - 2e-4)
    assert np.all(low.depths >= 0.0)
    assert all(0.0 <= jump <= 15.0 for jump in low.jumps)


@given(st.floats(1e-6, 0.05), st.floats(0.05, 0.4))
def test_critical_depth_is_that_of_the_other_code_and_the_least_momentum(flow: float, size: float) -> None:
    section = RoundPipe(diameter=size)
    depth = critical(section, flow)
    if depth < 0.99 * size:
        assert depth == pytest.approx(float(critical_depth(flow, size)), rel=1e-7)
        least = momentum(section, depth, flow)
        assert least <= momentum(section, depth * 1.02, flow)
        assert least <= momentum(section, depth * 0.98, flow)


def test_sections_against_their_own_integrals() -> None:
    """Moment: the area integrated over the depth."""
    for section, deep in ((RoundPipe(diameter=0.2), 0.3), (OpenChannel(width=0.3, side_slope=1.5), 0.4)):
        depths = np.linspace(1e-6, deep, 4001)
        areas = np.array([section.parts(float(depth)).area for depth in depths])
        moment = np.concatenate([[0.0], np.cumsum(0.5 * (areas[1:] + areas[:-1]) * np.diff(depths))])
        assert section.parts(deep).moment == pytest.approx(moment[-1], rel=1e-5)
        middle = 1500
        assert section.parts(float(depths[middle])).moment == pytest.approx(moment[middle], rel=1e-5)
        width = np.gradient(areas, depths)
        assert section.parts(float(depths[middle])).width == pytest.approx(width[middle], rel=1e-5)


def test_unusable_values() -> None:
    pipe = RoundPipe(diameter=0.1)
    with pytest.raises(InputError, match="rising"):
        water_surface(pipe, (0.0, 0.0), (0.0, 0.0), (0.001, 0.001), 0.01, 0.0)
    with pytest.raises(InputError, match="flows"):
        water_surface(pipe, (0.0, 1.0), (0.0, 0.0), (-0.001, 0.001), 0.01, 0.0)
    with pytest.raises(InputError, match="level"):
        water_surface(pipe, (0.0, 1.0), (0.0, 0.0), (0.001, 0.001), 0.01, math.nan)
