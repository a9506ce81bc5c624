"""Hole tests to conductivity: made-up readings with a known answer, the methods' limits, and which value counts."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from site_of import job_of, site_of

from drainwright.errors import JobError
from drainwright.hydraulics.hole_tests import auger_hole_deep, auger_hole_on_barrier
from drainwright.job.ground_tests import DugHole, HoleTest
from drainwright.job.values import Basis
from drainwright.water import inflows
from drainwright.water.ground import ground_of
from drainwright.water.soil import SOILS
from drainwright.water.soil_tests import mean_conductivity, reduce_test, soil_from_tests

FOOT = 0.3048


def document(fields: dict[str, Any]) -> dict[str, Any]:
    """With units, as a job file has it: lengths in m, times in s."""
    lengths = {"diameter", "hole_depth", "water_depth", "barrier_depth"}
    written = {key: f"{value!r} m" if key in lengths and value is not None else value for key, value in fields.items()}
    written["readings"] = [{"time": f"{r['time']!r} s", "depth": f"{r['depth']!r} m"} for r in fields["readings"]]
    return written


def sinking_document(conductivity: float, soaked: bool = True, **changes: Any) -> dict[str, Any]:
    """Readings every ten minutes of water that sinks in a 100 mm hole as Porchet has it."""
    radius, times = 0.05, [600.0 * n for n in range(7)]
    heads = [(0.4 + radius / 2) * math.exp(-2 * conductivity / radius * time) - radius / 2 for time in times]
    return document(
        {
            "name": "T1", "kind": "inverse auger hole", "diameter": 2 * radius, "hole_depth": 0.8, "soaked": soaked,
            "readings": [{"time": t, "depth": 0.8 - h} for t, h in zip(times, heads, strict=True)],
        } | changes
    )  # fmt: skip


def sinking(conductivity: float, soaked: bool = True, **changes: Any) -> HoleTest:
    """The same, read."""
    return HoleTest.model_validate(sinking_document(conductivity, soaked, **changes))


def rising(**changes: Any) -> HoleTest:
    """Van Beers's example: radius 4 cm, 126 cm of water, bailed down 31.2 cm, 5.6 cm up in 50 s."""
    depths = (1.452, 1.440, 1.428, 1.417, 1.406, 1.396)
    fields = (
        {
            "name": "A1", "kind": "auger hole", "diameter": 0.08, "hole_depth": 2.40, "water_depth": 1.14,
            "barrier_depth": 5.0, "readings": [{"time": 10.0 * n, "depth": d} for n, d in enumerate(depths)],
        } | changes
    )  # fmt: skip
    return HoleTest.model_validate(document(fields))


def test_sinking_water_gives_its_conductivity_back() -> None:
    found = reduce_test(sinking(4e-6), "SI")
    assert found.conductivity == pytest.approx(4e-6, rel=1e-9)
    assert found.residual < 1e-12
    assert found.cautions == ()


def test_scatter_shows_as_residual_and_is_evened_out() -> None:
    test = sinking(4e-6)
    shaken = [{"time": r.time, "depth": r.depth + (0.002 if n % 2 else -0.002)} for n, r in enumerate(test.readings)]
    found = reduce_test(sinking(4e-6, readings=shaken), "SI")
    assert found.conductivity == pytest.approx(4e-6, rel=0.05)
    assert found.residual == pytest.approx(0.002, rel=0.1)


def test_wild_readings_are_told() -> None:
    test = sinking(4e-6)
    wild = [{"time": r.time, "depth": r.depth + (0.02 if n % 2 else -0.02)} for n, r in enumerate(test.readings)]
    assert any("off the line" in caution for caution in reduce_test(sinking(4e-6, readings=wild), "SI").cautions)
    jerky = [{"time": 10.0 * n, "depth": d} for n, d in enumerate((1.452, 1.456, 1.418, 1.425))]
    assert any("off the line" in caution for caution in reduce_test(rising(readings=jerky), "SI").cautions)


def test_unsoaked_hole_and_slowing_are_told() -> None:
    radius, heads, times = 0.05, [0.4], [0.0]
    for n in range(1, 9):  # the soil drinks five times as much at first, and ever less
        k = 4e-6 * (1 + 4 * math.exp(-(n - 1) / 2))
        heads.append((heads[-1] + radius / 2) * math.exp(-2 * k / radius * 600.0) - radius / 2)
        times.append(600.0 * n)
    readings = [{"time": t, "depth": 0.8 - h} for t, h in zip(times, heads, strict=True)]
    found = reduce_test(sinking(4e-6, soaked=False, readings=readings), "SI")
    assert found.conductivity > 1.5 * 4e-6
    assert "Nobody soaked" in found.cautions[0]
    assert "no longer slows" in found.cautions[1]


def test_percolation_says_that_a_rate_is_no_conductivity() -> None:
    found = reduce_test(sinking(4e-6, kind="percolation"), "SI")
    assert found.conductivity == pytest.approx(4e-6)
    assert any("not a conductivity" in caution for caution in found.cautions)


def test_auger_hole() -> None:
    found = reduce_test(rising(), "SI")
    assert found.conductivity * 86400 == pytest.approx(0.69, abs=0.01)
    assert found.readings == 6
    assert found.residual < 0.001
    assert found.cautions == ()


def test_auger_hole_counts_only_the_first_quarter_of_the_recovery() -> None:
    late = [{"time": 10.0 * n, "depth": 1.452 - 0.03 * n} for n in range(5)] + [{"time": 900.0, "depth": 1.16}]
    found = reduce_test(rising(readings=late), "SI")
    assert found.readings == 3  # lowered 31.2, 28.2, 25.2 cm; 22.2 is below three quarters of 31.2
    assert found.conductivity == pytest.approx(auger_hole_deep(0.04, 1.26, 0.282, 0.003))


def test_tight_layer_under_the_hole() -> None:
    deep = reduce_test(rising(barrier_depth=2.40 + 0.63), "SI").conductivity
    tight = reduce_test(rising(barrier_depth=2.40), "SI").conductivity
    between = reduce_test(rising(barrier_depth=2.40 + 0.315), "SI")
    rate = -sum((n - 2.5) * d for n, d in enumerate((1.452, 1.440, 1.428, 1.417, 1.406, 1.396))) / 17.5 / 10
    assert deep == pytest.approx(auger_hole_deep(0.04, 1.26, 0.284, rate))
    assert tight == pytest.approx(auger_hole_on_barrier(0.04, 1.26, 0.284, rate))
    assert between.conductivity == pytest.approx(0.5 * (deep + tight))
    assert "between the two published formulas" in between.cautions[0]
    assert "taken as deep" in reduce_test(rising(barrier_depth=None), "SI").cautions[0]


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"diameter": 0.2}, "radius"),
        ({"hole_depth": 4.0}, "water in the hole"),
        ({"readings": [{"time": 0.0, "depth": 1.30}, {"time": 20.0, "depth": 1.28}]}, "bail deeper"),
        ({"readings": [{"time": 0.0, "depth": 1.452}, {"time": 90.0, "depth": 1.30}]}, "read sooner"),
    ],
)  # fmt: skip
def test_ernsts_limits_are_told(changes: dict[str, Any], told: str) -> None:
    for units in ("US", "SI"):
        found = reduce_test(rising(**changes), units)  # type: ignore[arg-type]
        assert any(told in caution for caution in found.cautions), found.cautions


@pytest.mark.parametrize(
    "test",
    [
        rising(readings=[{"time": 0.0, "depth": 1.40}, {"time": 60.0, "depth": 1.45}]),
        rising(readings=[{"time": 0.0, "depth": 1.10}, {"time": 60.0, "depth": 1.05}]),
        rising(water_depth=2.4),
        sinking(4e-6, readings=[{"time": 0.0, "depth": 0.5}, {"time": 60.0, "depth": 0.4}]),
    ],
)
def test_water_that_moves_the_wrong_way_is_refused(test: HoleTest) -> None:
    with pytest.raises(JobError, match=f"ground.hole_tests.{test.name}"):
        reduce_test(test, "SI")


def test_several_tests_by_their_geometric_mean() -> None:
    found = soil_from_tests([sinking(1e-6), sinking(4e-6, name="T2"), sinking(16e-6, name="T3")], "SI")
    assert found is not None
    assert found.conductivity == pytest.approx(4e-6)
    assert (found.lowest, found.highest) == pytest.approx((1e-6, 16e-6))
    assert found.spread == pytest.approx(4.0)
    assert mean_conductivity([2.0, 8.0]) == pytest.approx(4.0)
    assert soil_from_tests([], "SI") is None


def test_which_conductivity_counts() -> None:
    """A value that is given, then the hole tests, then the texture."""
    hole = sinking_document(4e-6)
    texture = ground_of(site_of(job_of()))
    assert texture.conductivity == SOILS["clay loam"].saturated_conductivity
    assert texture.conductivity_basis is Basis.ASSUMED
    tested = ground_of(site_of(job_of(ground={"texture": "clay loam, mapped", "hole_tests": [hole]})))
    assert tested.conductivity == pytest.approx(4e-6)
    assert tested.conductivity_basis is Basis.MEASURED
    assert any("by 1 hole test" in note for note in tested.notes)
    both = ground_of(
        site_of(job_of(ground={"texture": "clay loam", "conductivity": "3 ft/day, mapped", "hole_tests": [hole]}))
    )
    assert both.conductivity == pytest.approx(3 * FOOT / 86400)
    assert both.conductivity_basis is Basis.MAPPED
    assert any(note.startswith("Beside the conductivity given") for note in both.notes)


def test_tests_reach_the_flow() -> None:
    slow = sinking_document(4e-6)
    fast = sinking_document(8e-6)
    ground = {"texture": "clay loam", "water_table": "96 ft, measured"}
    flows = [
        inflows(site_of(job_of(ground=ground | {"hole_tests": [hole]}), water_table=96 * FOOT)).seepage[0].per_length
        for hole in (slow, fast)
    ]
    assert flows[1] == pytest.approx(2 * flows[0], rel=1e-6)  # within Sichardt's least reach


def test_capillary_rise_spans_what_others_print() -> None:
    """Heath (USGS WSP 2220, SEEN in a quotation): coarse sand 125 mm, medium 250, fine 400, silt 1,000."""
    low, high = SOILS["sand"].capillary_range
    assert low < 0.125 < SOILS["sand"].capillary_rise < 0.25 < high
    assert high == pytest.approx(0.40, abs=0.02)
    low, high = SOILS["silt"].capillary_range
    assert low < SOILS["silt"].capillary_rise < 1.0 < high
    for soil in SOILS.values():
        assert soil.capillary_range[0] < soil.capillary_rise < soil.capillary_range[1]


def test_the_notes_tell_where_and_how_deep_the_soil_was_tested() -> None:
    """One figure is taken for the whole lot: the place and depth it comes from stand beside it."""
    placed = sinking_document(2e-6, at="3 m, -2 m")
    site = site_of(job_of(ground={"texture": "loam", "hole_tests": [placed]}))
    flat: Any = SimpleNamespace(level=lambda east, north: 30.0, supported=lambda east, north: True)
    ground = ground_of(replace(site, surface=flat))
    [note] = [note for note in ground.notes if "by 1 hole test" in note]
    assert "(hole 'T1', 2 ft 7 1/2 in deep, down to 95.80 ft), taken for the whole lot" in note


def test_a_hole_that_stayed_dry_is_told_as_that() -> None:
    """That water stood lower on that day, and no more; a hole with water in it is no dry one."""
    dug = [
        {"name": "pit", "depth": "4 ft", "water": "dry", "date": "2026-11-02"},
        {"name": "wet", "depth": "4 ft", "water": "3 ft"},
    ]
    ground = ground_of(site_of(job_of(ground={"texture": "loam", "dug_holes": dug})))
    told = [note for note in ground.notes if "stayed dry" in note]
    assert len(told) == 1
    assert told[0].startswith("Hole 'pit', 4 ft deep, stayed dry on 2026-11-02: the water stood lower then")


@pytest.mark.parametrize(("water", "says"), [("5 ft", "deeper than the hole"), (None, "or 'dry'"), ("wet", "a length")])
def test_what_stood_in_a_hole_is_a_depth_within_it_or_the_word_dry(water: str | None, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        DugHole.model_validate({"name": "pit", "depth": "4 ft", "water": water})
    dry = DugHole.model_validate({"name": "pit", "depth": "4 ft", "water": "dry"})
    assert dry.model_dump(mode="json")["water"] == "dry"
