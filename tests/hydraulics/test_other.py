"""Inlets, ground water, basin, uplift, fittings and storage: laws and edges."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.hydraulics.arrays import bisect
from drainwright.hydraulics.buoyancy import (
    flotation_safety_gross,
    flotation_safety_net,
    flotation_safety_structure,
    ring_volume,
    soil_wedge_volume,
    uplift_force,
)
from drainwright.hydraulics.drainspacing import (
    ellipse_spacing,
    equivalent_depth,
    glover_midpoint,
    glover_volume,
    hooghoudt_flow,
    hooghoudt_spacing,
)
from drainwright.hydraulics.fittings import FITTINGS, fitting, total_length_ratio, total_loss_coefficient
from drainwright.hydraulics.inlets import (
    curb_opening_capacity,
    grate_capacity,
    grate_head,
    grate_orifice_flow,
    grate_weir_flow,
    jet_velocity,
    orifice_flow,
    perforation_inflow,
    relief_hole_flow,
    slot_capacity,
)
from drainwright.hydraulics.junctions import junction_coefficient
from drainwright.hydraulics.pressure import (
    LAMINAR_LIMIT,
    friction_factor,
    hazen_williams_head_loss,
    pipe_head_loss,
    swamee_jain_factor,
)
from drainwright.hydraulics.seepage import dupuit_flow, dupuit_head, partial_penetration_factor, slot_inflow
from drainwright.hydraulics.wetwell import (
    active_volume,
    basin_volume,
    cycle_time,
    drawdown_time,
    fill_time,
    most_starts_per_hour,
    starts_per_hour,
)

heads = st.floats(0.001, 1.0)


def test_grate_is_a_weir_when_shallow_and_an_orifice_when_deep() -> None:
    assert grate_capacity(1.2, 0.03, 0.005) == grate_weir_flow(1.2, 0.005)
    assert grate_capacity(1.2, 0.03, 0.5) == grate_orifice_flow(0.03, 0.5)


@given(heads, heads)
def test_more_water_never_gives_less_inflow(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert grate_capacity(1.2, 0.03, high) >= grate_capacity(1.2, 0.03, low)
    assert slot_capacity(1.0, 0.05, high) >= slot_capacity(1.0, 0.05, low)


@given(heads, st.floats(0.0, 0.9))
def test_grate_head_inverts_grate_capacity(head: float, clogging: float) -> None:
    flow = grate_capacity(1.2, 0.03, head, clogging)
    assert grate_head(flow, 1.2, 0.03, clogging) == pytest.approx(head, rel=1e-9)


def test_clogging_scales_the_inflow_and_a_full_clog_stops_it() -> None:
    assert grate_capacity(1.2, 0.03, 0.1, 0.5) == pytest.approx(0.5 * grate_capacity(1.2, 0.03, 0.1, 0.0))
    assert grate_capacity(1.2, 0.03, 0.1, 1.0) == 0.0
    with pytest.raises(InputError, match="clogging"):
        grate_head(0.01, 1.2, 0.03, 1.0)
    with pytest.raises(InputError, match=r"clogging = 1\.5"):
        grate_capacity(1.2, 0.03, 0.1, 1.5)


def test_curb_opening_takes_the_lower_between_its_two_rules() -> None:
    depths = np.linspace(0.0, 0.5, 501)
    flow = np.asarray(curb_opening_capacity(1.0, 0.15, depths))
    assert np.all(np.diff(flow[depths < 0.149]) > 0.0)
    assert np.all(np.diff(flow[depths > 0.211]) > 0.0)


def test_perforations_and_relief_hole_are_orifices() -> None:
    assert perforation_inflow(1.0, 0.002, 0.1, 1.0) == pytest.approx(orifice_flow(0.002, 0.1))
    assert relief_hole_flow(0.005, 4.0) == pytest.approx(orifice_flow(np.pi / 4 * 0.005**2, 4.0))
    assert jet_velocity(4.0) < (2 * 9.80665 * 4.0) ** 0.5


def test_friction_is_laminar_then_turbulent() -> None:
    assert friction_factor(LAMINAR_LIMIT, 0.0) == pytest.approx(64.0 / LAMINAR_LIMIT)
    assert friction_factor(LAMINAR_LIMIT + 1.0, 0.0) > 64.0 / LAMINAR_LIMIT
    assert pipe_head_loss(0.0, 10.0, 0.05, 1.5e-6) == 0.0


@given(st.floats(4.0, 7.9), st.floats(-6.0, -2.0))
def test_friction_factor_solves_colebrook(log_reynolds: float, log_roughness: float) -> None:
    number, rough = 10.0**log_reynolds, 10.0**log_roughness
    factor = float(friction_factor(number, rough))
    right = -2.0 * np.log10(rough / 3.7 + 2.51 / (number * factor**0.5))
    assert factor**-0.5 == pytest.approx(right, rel=1e-11)
    assert swamee_jain_factor(number, rough) == pytest.approx(factor, rel=0.035)


@given(st.floats(1e-5, 0.1), st.floats(1.01, 10.0))
def test_more_flow_loses_more_head(flow: float, factor: float) -> None:
    assert hazen_williams_head_loss(flow * factor, 1.0, 0.1, 140.0) > hazen_williams_head_loss(flow, 1.0, 0.1, 140.0)


def test_fittings_sum_and_refuse() -> None:
    assert total_loss_coefficient({"ell90": 2, "ell45": 1}) == pytest.approx(2 * 0.90 + 0.42)
    assert total_length_ratio(["ell90", "ell90"]) == 60.0
    with pytest.raises(InputError, match="did you mean 'ell90'"):
        fitting("ell9O")
    with pytest.raises(InputError, match="count"):
        total_loss_coefficient({"ell90": -1})


@given(st.floats(0.0, 1.5), st.floats(0.0, 1.5), st.sampled_from(["inlet", "access_hole"]))
def test_a_sharper_turn_never_loses_less(a: float, b: float, structure: str) -> None:
    low, high = sorted((a, b))
    assert junction_coefficient(low, structure) <= junction_coefficient(high, structure)
    assert junction_coefficient(high, "access_hole") < junction_coefficient(high, "inlet")


def test_junctions_outside_the_table() -> None:
    assert junction_coefficient(np.pi / 2) == 1.5
    with pytest.raises(InputError, match="turn"):
        junction_coefficient(2.0)
    with pytest.raises(InputError, match="structure"):
        junction_coefficient(1.0, "pit")


def test_k_and_length_stay_in_the_ratio_that_the_code_implies() -> None:
    for item in FITTINGS.values():
        assert item.loss_coefficient / item.length_ratio == pytest.approx(0.03, rel=0.03)


@given(st.floats(1.0, 5.0), st.floats(0.0, 1.0), st.floats(5.0, 100.0), st.floats(0.0, 1.0))
def test_dupuit_flow_is_the_same_through_every_section(high: float, low: float, distance: float, share: float) -> None:
    middle = dupuit_head(share * distance, high, low, distance)
    if share > 0.05:
        part = dupuit_flow(1e-5, high, middle, share * distance)
        assert part == pytest.approx(dupuit_flow(1e-5, high, low, distance), rel=1e-6)


def test_slot_between_two_sides_and_partial_penetration() -> None:
    assert slot_inflow(1e-5, 3.0, 1.0, 20.0, 1.0) == pytest.approx(dupuit_flow(1e-5, 3.0, 1.0, 20.0))
    assert slot_inflow(1e-5, 3.0, 1.0, 20.0) == pytest.approx(2 * dupuit_flow(1e-5, 3.0, 1.0, 20.0))
    assert partial_penetration_factor(3.0, 0.0) == pytest.approx(1.0)
    with pytest.raises(InputError, match="head_low"):
        dupuit_flow(1e-5, 1.0, 2.0, 20.0)


@settings(deadline=None)
@given(st.floats(0.1, 2.0), st.floats(0.5, 8.0), st.floats(0.03, 0.2))
def test_hooghoudt_spacing_inverts_its_flow_and_stays_under_the_ellipse(
    head: float, layer: float, radius: float
) -> None:
    spacing = hooghoudt_spacing(2e-6, 2e-8, head, layer, radius)
    depth = equivalent_depth(spacing, layer, radius)
    assert hooghoudt_flow(2e-6, depth, head, spacing) == pytest.approx(2e-8, rel=1e-6)
    assert spacing <= ellipse_spacing(2e-6, 2e-8, head, layer) * (1 + 1e-9)


def test_hooghoudt_over_an_array() -> None:
    spacings = np.asarray(hooghoudt_spacing(2e-6, 2e-8, np.array([0.3, 0.6]), 5.0, 0.1))
    assert spacings == pytest.approx(np.array([float(hooghoudt_spacing(2e-6, 2e-8, h, 5.0, 0.1)) for h in (0.3, 0.6)]))


def test_glover_starts_full_and_only_falls() -> None:
    times = np.linspace(0.0, 1.0, 101)
    for formula in (glover_volume, glover_midpoint):
        share = np.asarray(formula(1.0, times, 1.0))
        assert share[0] == pytest.approx(1.0, abs=1e-3)
        assert np.all(np.diff(share) <= 1e-12)


@given(st.floats(0.05, 0.95))
def test_cycle_is_filling_and_pumping(share: float) -> None:
    inflow = 0.002 * share
    both = fill_time(0.1, inflow) + drawdown_time(0.1, 0.002, inflow)
    assert cycle_time(0.1, 0.002, inflow) == pytest.approx(both)
    assert starts_per_hour(0.1, 0.002, inflow) == pytest.approx(3600.0 / both)
    assert starts_per_hour(0.1, 0.002, inflow) <= most_starts_per_hour(0.1, 0.002) * (1 + 1e-12)


def test_cycle_edges() -> None:
    assert starts_per_hour(0.1, 0.002, 0.0) == starts_per_hour(0.1, 0.002, 0.003) == 0.0
    assert cycle_time(active_volume(360.0, 0.002), 0.002, 0.001) == pytest.approx(360.0)
    for formula in (cycle_time, drawdown_time):
        with pytest.raises(InputError, match="inflow"):
            formula(0.1, 0.002, 0.002)


def test_flotation_conventions_agree_at_the_edge_of_floating() -> None:
    """Where uplift equals weight all three conventions give one."""
    for formula in (flotation_safety_gross, flotation_safety_net, flotation_safety_structure):
        assert formula(2.5, 1.0, 1.0, 1.5, 1.0, 1.0) == pytest.approx(1.0)
    safe = [
        f(4.0, 2.0, 1.0, 1.0, 1.0, 1.0)
        for f in (flotation_safety_gross, flotation_safety_structure, flotation_safety_net)
    ]
    assert safe == sorted(safe)


def test_soil_over_a_flange() -> None:
    assert soil_wedge_volume(0.6, 1.0, 0.8, 0.0) == pytest.approx(ring_volume(0.6, 1.0, 0.8))
    assert soil_wedge_volume(0.6, 1.0, 0.8, 0.3) > ring_volume(0.6, 1.0, 0.8)
    assert uplift_force(basin_volume(0.6, 1.0)) == pytest.approx(9806.65 * np.pi * 0.09)
    with pytest.raises(InputError, match="angle"):
        soil_wedge_volume(0.6, 1.0, 0.8, 1.0)


def test_bisection_finds_every_root_of_an_array() -> None:
    targets = np.array([0.1, 0.5, 0.9])
    roots = bisect(lambda x: x**3 - targets, np.zeros(3), np.ones(3))
    assert roots == pytest.approx(targets ** (1 / 3), rel=1e-12)
