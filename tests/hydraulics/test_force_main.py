"""Pumps of several basins on one main, against a dense solve of all equations at once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import fsolve

from drainwright.errors import InputError
from drainwright.hydraulics.force_main import MainLine, MainPump, main_flows
from drainwright.hydraulics.pump import PressurePipe, PumpCurve, SystemCurve, operating_point

FLOWS, HEADS = (0.0, 0.001, 0.002, 0.003, 0.004), (9.0, 8.2, 6.5, 4.4, 2.0)
CURVE = PumpCurve(flows=FLOWS, heads=HEADS)


def line(name: str, upper: str, lower: str, length: float, diameter: float = 0.0525, **more: float) -> MainLine:
    pipe = PressurePipe(length=length, diameter=diameter, roughness=150.0, loss_coefficient=more.get("k", 5.0))
    return MainLine(name=name, upper=upper, lower=lower, pipe=pipe, highest=more.get("highest", 1.0))


def hazen_williams(flow: float, length: float, diameter: float, coefficient: float, k: float) -> float:
    """Friction and local losses, written out: 10.67 L Q^1.852 / (C^1.852 d^4.8704) + K v²/2g. [m]"""
    speed = flow / (np.pi / 4 * diameter**2)
    friction = 10.67 * length * np.sign(flow) * abs(flow) ** 1.852 / (coefficient**1.852 * diameter**4.8704)
    return float(friction + k * speed * abs(speed) / (2 * 9.80665))


def test_one_pump_is_its_operating_point() -> None:
    only = line("a", "A", "OUT", 40.0)
    found = main_flows([only], [MainPump(name="A", curve=CURVE, level=-2.0)], float("-inf"))
    plain = operating_point(CURVE, SystemCurve(static_head=1.0 + 2.0, pipes=(only.pipe,)))
    assert found.pumps["A"] == pytest.approx(plain.flow, rel=1e-12)


@given(
    lengths=st.tuples(*[st.floats(2.0, 60.0)] * 5),
    diameters=st.tuples(*[st.sampled_from([0.0409, 0.0525, 0.0779])] * 5),
    levels=st.tuples(*[st.floats(-3.0, 0.0)] * 3),
)
def test_three_basins_agree_with_all_equations_solved_at_once(
    lengths: tuple[float, ...], diameters: tuple[float, ...], levels: tuple[float, ...]
) -> None:
    """A and B meet at J, C joins at K: five flows and two heads, by scipy.optimize.fsolve."""
    ends = [("A", "J"), ("B", "J"), ("J", "K"), ("C", "K"), ("K", "OUT")]
    lines = [line(f"{a}{b}", a, b, length, size) for (a, b), length, size in zip(ends, lengths, diameters, strict=True)]
    pumps = [MainPump(name=name, curve=CURVE, level=level) for name, level in zip("ABC", levels, strict=True)]
    found = main_flows(lines, pumps, 0.5)
    pump_head = PchipInterpolator(FLOWS, HEADS, extrapolate=True)

    def loss(place: int, flow: float) -> float:
        return hazen_williams(flow, lengths[place], diameters[place], 150.0, 5.0)

    def residuals(x: NDArray[np.float64]) -> list[float]:
        a, b, c, head_j, head_k = x[0] * 1e-3, x[1] * 1e-3, x[2] * 1e-3, x[3], x[4]
        return [
            float(pump_head(a)) + levels[0] - max(head_j, 1.0) - loss(0, a),
            float(pump_head(b)) + levels[1] - max(head_j, 1.0) - loss(1, b),
            float(pump_head(c)) + levels[2] - max(head_k, 1.0) - loss(3, c),
            head_j - max(head_k, 1.0) - loss(2, a + b),
            head_k - 1.0 - loss(4, a + b + c),
        ]

    start = [*(found.pumps[name] * 900 for name in "ABC"), found.heads["J"] * 1.05, found.heads["K"] * 1.05]
    exact, _, done, _ = fsolve(residuals, start, full_output=True, xtol=1e-12)
    assume(done == 1 and min(exact[:3]) > 0.02 and max(exact[:3]) < 3.99)  # none held shut, none off its sheet
    for name, flow in zip("ABC", exact[:3], strict=True):
        assert found.pumps[name] * 1e3 == pytest.approx(flow, rel=2e-4)  # the rounding of 10.67 in the loss above
    assert found.heads["J"] == pytest.approx(exact[3], abs=2e-3)
    assert found.lines["KOUT"] == pytest.approx(found.total, rel=1e-9)


def test_two_on_one_line_against_fluids_friction() -> None:
    """Darcy-Weisbach with the factor of the fluids library: the heads of both pumps meet at the junction."""
    fluids = pytest.importorskip("fluids")
    pipe = PressurePipe(length=25.0, diameter=0.0525, roughness=1.5e-6, method="darcy_weisbach")
    lines = [
        MainLine(name="a", upper="A", lower="J", pipe=pipe, highest=0.5),
        MainLine(name="b", upper="B", lower="J", pipe=pipe, highest=0.5),
        MainLine(name="c", upper="J", lower="OUT", pipe=pipe, highest=1.5),
    ]
    pumps = [MainPump(name="A", curve=CURVE, level=-1.0), MainPump(name="B", curve=CURVE, level=-2.0)]
    found = main_flows(lines, pumps, 0.0)

    def loss(flow: float) -> float:
        speed = flow / (np.pi / 4 * 0.0525**2)
        factor = fluids.friction_factor(Re=speed * 0.0525 / 1.307e-6, eD=1.5e-6 / 0.0525)
        return float(factor * 25.0 / 0.0525 * speed**2 / (2 * 9.80665))

    head = 1.5 + loss(found.total)
    assert found.heads["J"] == pytest.approx(head, abs=0.01)
    for name, level in (("A", -1.0), ("B", -2.0)):
        flow = found.pumps[name]
        assert float(CURVE.head(flow)) + level == pytest.approx(head + loss(flow), abs=0.02)


def test_more_pumps_running_never_give_one_of_them_more() -> None:
    lines = [line("a", "A", "J", 10.0), line("b", "B", "J", 30.0), line("c", "J", "OUT", 40.0)]
    pumps = [MainPump(name=name, curve=CURVE, level=-1.0) for name in "AB"]
    both = main_flows(lines, pumps, 0.0)
    for name in "AB":
        alone = main_flows(lines, pumps, 0.0, {name})
        assert alone.pumps[name] > both.pumps[name] > 0.0
        assert alone.total < both.total
        (other,) = set("AB") - {name}
        assert alone.pumps[other] == 0.0


def test_a_weak_pump_is_held_shut_by_a_strong_one() -> None:
    weak = PumpCurve(flows=(0.0, 0.002), heads=(3.0, 1.0))
    lines = [line("a", "A", "J", 5.0), line("b", "B", "J", 5.0), line("c", "J", "OUT", 80.0, 0.0409)]
    pumps = [MainPump(name="A", curve=CURVE, level=0.0), MainPump(name="B", curve=weak, level=0.0)]
    assert main_flows(lines, pumps, 0.0, {"B"}).pumps["B"] > 0.0
    assert main_flows(lines, pumps, 0.0).pumps["B"] == 0.0


@pytest.mark.parametrize(
    "lines",
    [
        [line("a", "A", "J", 5.0), line("b", "A", "OUT", 5.0)],
        [line("a", "A", "X", 5.0), line("b", "B", "Y", 5.0)],
    ],
)
def test_what_is_no_tree_is_refused(lines: list[MainLine]) -> None:
    with pytest.raises(InputError, match="expected a tree"):
        main_flows(lines, [], 0.0)


def test_a_pump_without_a_line_is_refused() -> None:
    with pytest.raises(InputError, match="where a line begins"):
        main_flows([line("a", "A", "OUT", 5.0)], [MainPump(name="Z", curve=CURVE, level=0.0)], 0.0)
