"""The stepper on plain arrays: closed forms, laws, and the compiled code against the same code as plain Python."""

from __future__ import annotations

from math import exp, sqrt

import numpy as np
import pytest
from stepper import NEVER, random_plant, shafts, step

from drainwright.hydraulics.inlets import grate_head, grate_orifice_flow, grate_weir_flow
from drainwright.hydraulics.openflow import full_flow, part_full_flow
from drainwright.hydraulics.wetwell import cycle_time, most_starts_per_hour, starts_per_hour
from drainwright.storm.engine import laws
from drainwright.storm.network import conveyance_share

SHARE = conveyance_share()


# -- Closed forms ---------------------------------------------------------------------------------------------------


def test_a_basin_drains_as_the_square_root_falls_evenly() -> None:
    """A dh/dt = -K sqrt(h/L) through a full pipe under a tailwater gives sqrt(h) = sqrt(h0) - K t / (2 A sqrt(L)).

    The error of the level stays below the tolerance, and falls with it.
    """
    area, conveyance, length, head = 0.5, 0.05, 20.0, 1.0
    stage, stored = shafts([area], [8.0])
    time = 60.0
    exact = 9.0 + (sqrt(head) - conveyance * time / (2.0 * area * sqrt(length))) ** 2
    errors = []
    for tolerance in (0.02, 0.01, 0.005):
        drained = step(
            stage=stage, stored=stored, start=[2.0 * area], upper=[0], lower=[-1], z_upper=[8.0], z_lower=[7.9],
            conveyance=[conveyance], length=[length], outfall=[9.0], edges=[0.0, time], inflow=[[0.0]],
            tolerance=tolerance,
        )  # fmt: skip
        errors.append(8.0 + drained.volume[0] / area - exact)
        assert abs(errors[-1]) < tolerance
        assert drained.volume_out == pytest.approx(2.0 * area - drained.volume[0], rel=1e-13)
    assert abs(errors[2]) < abs(errors[0])


def test_groundwater_backs_up_exponentially() -> None:
    """A dh/dt = q (far - h)/(far - drain) gives far - h = (far - h0) exp(-q t / (A (far - drain))); no outflow."""
    stage, stored = shafts([0.4], [9.0])
    filled = step(
        stage=stage, stored=stored, start=[0.0], seep_node=[0], seep_flow=[2e-4], seep_drain=[9.0], seep_far=[9.5],
        edges=[0.0, 1800.0, 3600.0], inflow=[[0.0], [0.0]], tolerance=0.001,
    )  # fmt: skip
    assert filled.highest[0] == pytest.approx(9.5 - 0.5 * exp(-2e-4 * 3600.0 / (0.4 * 0.5)), abs=0.001)
    assert filled.volume_in == pytest.approx(filled.volume[0], rel=1e-13)


def test_groundwater_enters_whole_while_the_drain_is_low() -> None:
    stage, stored = shafts([0.4], [8.0])
    filled = step(
        stage=stage, stored=stored, start=[0.0], seep_node=[0], seep_flow=[1e-4], seep_drain=[9.0], seep_far=[9.5],
        edges=[0.0, 1000.0], inflow=[[0.0]],
    )  # fmt: skip
    assert filled.volume[0] == pytest.approx(0.1, rel=1e-12)


@pytest.mark.parametrize(
    ("share", "published"), [(0.1, None), (0.25, 5.333), (0.4, 4.167), (0.5, 4.000), (0.6, 4.167), (0.75, 5.333)]
)
def test_a_pump_cycles_as_the_manuals_say(share: float, published: float | None) -> None:
    """t = (V/D) [1/(1 - Q/D) + 1/(Q/D)], MIL-HDBK-1005/9A sec. 2.5.3.6, eq. 1-2, p. 32, SEEN in
    ufgscriteria.tpub.com/4_832_01/4_832_010053.htm; at Q = D/2 it is 4 V/D (EI 11C201 ch. 7, SEEN in
    buildingcriteria1.tpub.com/ufc_3_240_04a/ufc_3_240_04a0053.htm). ``published``: t D / V by that formula.

    Exact but for rounding: between switches the volume runs in straight lines, and switches are cut to the volume.
    """
    volume, pump = 0.1, 0.0025
    stage, stored = shafts([0.25], [0.0])
    run = step(
        stage=stage, stored=stored, start=[0.02], edges=np.linspace(0.0, 14400.0, 241),
        inflow=np.full((240, 1), share * pump), basin=0, off=0.02, on=0.02 + volume, pump_levels=[0.0, 5.0],
        pump_flows=np.full((2, 2), pump),
    )  # fmt: skip
    assert np.diff(run.starts) == pytest.approx(float(cycle_time(volume, pump, share * pump)), rel=1e-9)
    within_hours = np.sum(run.starts < run.starts[0] + 3.0 * 3600.0 - 1e-6) / 3.0
    assert within_hours == pytest.approx(float(starts_per_hour(volume, pump, share * pump)), abs=1.0 / 3.0)
    assert within_hours <= float(most_starts_per_hour(volume, pump)) + 1.0 / 3.0
    if published is not None:
        assert np.diff(run.starts) * pump / volume == pytest.approx(published, abs=5e-4)


def test_water_that_runs_back_is_pumped_again() -> None:
    """R runs back at each stop: the inflow fills V - R, in (V - R)/Q; the pump draws V down in V/(D - Q)."""
    volume, pump, flow, back = 0.1, 0.0025, 0.001, 0.03
    stage, stored = shafts([0.25], [0.0])
    run = step(
        stage=stage, stored=stored, start=[0.02], edges=[0.0, 3600.0], inflow=[[flow]], basin=0, off=0.02,
        on=0.02 + volume, pump_levels=[0.0, 5.0], pump_flows=np.full((2, 2), pump), line=back,
    )  # fmt: skip
    assert np.diff(run.starts) == pytest.approx((volume - back) / flow + volume / (pump - flow), rel=1e-9)
    assert run.volume_in == pytest.approx(run.volume_out + run.volume[0] - 0.02 + run.in_line, rel=1e-12)
    assert run.volume_out < run.pumped


def test_a_line_that_refills_the_band_chatters_and_ends() -> None:
    """More runs back than the band holds: the pump starts again at once. A full line: a start every R / (D - Q)."""
    volume, pump, flow, back = 0.05, 0.0025, 0.0005, 0.08
    stage, stored = shafts([0.25], [0.0])
    run = step(
        stage=stage, stored=stored, start=[0.02], edges=[0.0, 3600.0], inflow=[[flow]], basin=0, off=0.02,
        on=0.02 + volume, pump_levels=[0.0, 5.0], pump_flows=np.full((2, 2), pump), line=back,
    )  # fmt: skip
    assert np.diff(run.starts)[3:] == pytest.approx(back / (pump - flow), rel=1e-9)
    assert run.volume_in == pytest.approx(run.volume_out + run.volume[0] - 0.02 + run.in_line, rel=1e-12)


def test_two_pumps_hold_what_one_cannot() -> None:
    stage, stored = shafts([0.25], [0.0])
    common = {
        "stage": stage, "stored": stored, "start": [0.02], "edges": [0.0, 3600.0], "inflow": [[0.0035]], "basin": 0,
        "off": 0.02, "on": 0.1, "pump_levels": [0.0, 5.0], "pump_flows": [[0.0025, 0.0025], [0.0045, 0.0045]],
    }  # fmt: skip
    one, two = step(**common), step(**common, second=0.15)
    assert one.highest[0] > 10.0
    assert two.highest[0] == pytest.approx(0.15 / 0.25, rel=1e-12)
    assert two.pumped == pytest.approx(two.volume_in - (two.volume[0] - 0.02), rel=1e-12)


def test_a_power_cut_stops_the_pump_and_a_battery_carries_it_for_its_time() -> None:
    stage, stored = shafts([0.25], [0.0])
    common = {
        "stage": stage, "stored": stored, "start": [0.02], "edges": [0.0, 600.0, 1800.0, 3600.0],
        "inflow": np.full((3, 1), 0.002), "basin": 0, "off": 0.02, "on": 0.1, "pump_levels": [0.0, 5.0],
        "pump_flows": np.full((2, 2), 0.0025), "cut_from": 600.0, "cut_to": 1800.0,
    }  # fmt: skip
    bare, carried = step(**common), step(**common, battery=300.0)
    whole = step(**common, battery=1e6)
    assert bare.highest[0] > carried.highest[0] > whole.highest[0]
    assert whole.highest[0] == pytest.approx(0.4, rel=1e-12)
    for run, ran in ((bare, 0.0), (carried, 300.0)):  # in the cut the pump ran just as long as the battery lasted
        in_cut = (run.rows[:, 0] > 600.0) & (run.rows[:, 0] <= 1800.0)
        assert np.sum(run.rows[in_cut, 3]) == pytest.approx(ran * 0.0025, abs=1e-12)
    assert not np.any((bare.starts >= 600.0) & (bare.starts < 1800.0))


def test_a_pond_stands_at_the_head_that_its_grate_needs() -> None:
    """Steady flow over a grate, weir and orifice: the depth of ``grate_head``, to 0.1 mm."""
    perimeter, clear = 1.2, 0.036
    for flow in (0.002, 0.03):
        stage, stored = shafts([2.0, 1.0], [10.0, 8.0])
        pond = step(
            stage=stage, stored=stored, start=[0.0, 0.0], rim=[1e3, 10.0], upper=[1], lower=[-1], z_upper=[8.0],
            z_lower=[7.0], conveyance=[5.0], diameter=[0.5], pond=[0], body=[1],
            weir=[grate_weir_flow(perimeter, 1.0, 0.5)], orifice=[grate_orifice_flow(clear, 1.0, 0.5)],
            edges=np.linspace(0.0, 3600.0, 61), inflow=np.tile([flow, 0.0], (60, 1)),
        )  # fmt: skip
        assert pond.volume[0] / 2.0 == pytest.approx(float(grate_head(flow, perimeter, clear, 0.5)), abs=1e-4)


def test_a_full_basin_spills_over_its_rim_at_the_weirs_depth() -> None:
    """Steady: Q = 1.66 w d^1.5 (TxDOT weir, SEEN)."""
    stage, stored = shafts([0.3], [8.0])
    full = step(
        stage=stage, stored=stored, start=[0.0], rim=[9.0], spill_width=[1.5],
        edges=np.linspace(0.0, 3600.0, 61), inflow=np.full((60, 1), 0.004),
    )  # fmt: skip
    assert 8.0 + full.volume[0] / 0.3 - 9.0 == pytest.approx((0.004 / (1.66 * 1.5)) ** (2.0 / 3.0), abs=1e-6)
    assert full.lost[0] == pytest.approx(full.volume_in - full.volume[0], rel=1e-12)


# -- One pipe -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("depth", [0.01, 0.03, 0.05, 0.08])
def test_on_a_grade_the_flow_is_even(depth: float) -> None:
    """Manning at the feeding depth; the conveyance table's straight lines cost at most 0.2 % at these depths."""
    conveyance = float(full_flow(0.1, 1.0, 0.01))
    flow, _, _ = laws.run_flow(9.5 + depth, 9.5, 8.0, 9.3, 0.1, conveyance, 20.0, SHARE)
    assert flow == pytest.approx(
        min(float(part_full_flow(depth, 0.1, 0.01, 0.01)), float(full_flow(0.1, 0.01, 0.01))), rel=2e-3
    )


def test_under_water_the_flow_follows_the_grade_line() -> None:
    conveyance = float(full_flow(0.1, 1.0, 0.01))
    flow, _, _ = laws.run_flow(10.1, 9.5, 9.9, 9.3, 0.1, conveyance, 20.0, SHARE)
    assert flow == pytest.approx(float(full_flow(0.1, 0.2 / 20.0, 0.01)), rel=1e-12)


def test_no_water_runs_uphill() -> None:
    """From a low node nothing flows over a higher invert; over it, only from the higher level."""
    assert laws.run_flow(9.4, 9.0, 9.0, 9.5, 0.1, 0.07, 10.0, SHARE) == (0.0, 0.0, 0.0)
    assert laws.run_flow(9.7, 9.0, 9.0, 9.5, 0.1, 0.07, 10.0, SHARE)[0] > 0.0


def test_derivatives_are_those_of_the_flow() -> None:
    """Central differences, away from the kinks; and the signs that keep the step stable, everywhere."""
    rng = np.random.default_rng(7)
    compared = 0
    for _ in range(2000):
        h_from = rng.uniform(9.0, 10.0)
        h_to = h_from - rng.uniform(0.0, 0.8)
        z_from, z_to = rng.uniform(8.9, 9.6, 2)
        rest = (0.1, 0.07, 12.0, SHARE)
        flow, by_from, by_to = laws.run_flow(h_from, z_from, h_to, z_to, *rest)
        assert flow >= 0.0
        assert by_from >= 0.0
        assert by_to <= 0.0
        tiny = 1e-7
        sides = [
            laws.run_flow(h_from + a, z_from, h_to + b, z_to, *rest)[0]
            for a, b in ((-tiny, 0), (tiny, 0), (0, -tiny), (0, tiny))
        ]
        smooth = abs(sides[0] - 2 * flow + sides[1]) + abs(sides[2] - 2 * flow + sides[3]) < 1e-11
        if smooth and flow > 0.0:
            compared += 1
            assert (sides[1] - sides[0]) / (2 * tiny) == pytest.approx(by_from, rel=1e-4, abs=1e-7)
            assert (sides[3] - sides[2]) / (2 * tiny) == pytest.approx(by_to, rel=1e-4, abs=1e-7)
    assert compared > 500


# -- Laws, on random plants -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(60))
def test_water_is_kept_and_never_below_nothing(seed: int) -> None:
    """In = out + lost + stored to 1e-9 of what came in: only rounding is allowed, and nothing is made up."""
    plant = random_plant(seed)
    run = step(**plant)
    assert np.all(run.volume >= 0.0)
    assert np.all(run.highest >= plant["stage"][:, 0])
    assert np.all(run.lost >= 0.0)
    stored = np.sum(run.volume) - np.sum(plant["start"]) + run.in_line
    assert run.volume_in > 0.0
    assert run.volume_in - run.volume_out - np.sum(run.lost) - stored == pytest.approx(0.0, abs=1e-9 * run.volume_in)
    assert np.sum(run.rows[:, 3]) == pytest.approx(run.volume_out, rel=1e-9, abs=1e-12)
    surface = np.sum(plant["inflow"]) * 60.0  # and groundwater beside it, at most its full rate
    assert run.volume_in <= surface + plant["seep_flow"][0] * 3600.0 + 1e-12


@pytest.mark.parametrize("seed", range(12))
def test_a_finer_step_changes_little(seed: int) -> None:
    """Ten times finer: highest levels within 10 mm (one level step), volume out within 1 % of what came in."""
    plant = random_plant(seed)
    coarse, fine = step(**plant), step(**plant, tolerance=0.001)
    assert coarse.highest == pytest.approx(fine.highest, abs=0.010)
    assert coarse.volume_out == pytest.approx(fine.volume_out, abs=0.01 * fine.volume_in)


@pytest.mark.parametrize("seed", range(20))
def test_more_rain_never_lowers_a_peak(seed: int) -> None:
    """Without pumps the levels are ordered, to half a level step of arithmetic. (With floats they need not be: a
    pump that starts earlier may be a cycle ahead at the peak.)
    """  # fmt: skip
    plant = random_plant(seed) | {"on": NEVER}
    less, more = step(**plant), step(**plant | {"inflow": 1.2 * plant["inflow"]})
    assert np.all(more.highest >= less.highest - 0.005)


@pytest.mark.parametrize("seed", [seed for seed in range(40) if "basin" in random_plant(seed)][:12])
def test_a_longer_cut_is_never_better(seed: int) -> None:
    """Water kept out of the discharge only adds: the highest basin level does not fall, to half a level step."""
    plant = random_plant(seed) | {"battery": 0.0, "cut_from": 900.0}
    peaks = [step(**plant | {"cut_to": end}).highest[plant["basin"]] for end in (900.0, 1200.0, 1800.0, 2700.0)]
    assert np.all(np.diff(peaks) >= -0.005)


def test_the_slab_is_reached_when_the_level_passes_it() -> None:
    """A straight fill: to a hundredth of a second."""
    stage, stored = shafts([0.5], [9.0])
    common = {
        "stage": stage, "stored": stored, "start": [0.0], "edges": np.linspace(0.0, 1200.0, 21),
        "inflow": np.full((20, 1), 0.001), "house": [0], "slab": 9.5,
    }  # fmt: skip
    assert step(**common).slab_at == pytest.approx(250.0, abs=0.01)
    assert step(**common | {"slab": 12.0}).slab_at == -1.0
