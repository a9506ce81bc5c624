"""A drain in cross-section: grains, fabric, openings, sleeve."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.design import Design
from drainwright.hydraulics.filters import filter_d15_most, share_at, size_at
from drainwright.hydraulics.openflow import full_flow
from drainwright.job.site import Grading, Texture
from drainwright.job.values import Basis, Fact
from drainwright.job.works import Cloth, Stone
from drainwright.system.catalogue import PIPES, find_pipe
from drainwright.system.drain_section import SLEEVE_VOIDS, asked_fabric, drain_sections, wrapped_flow
from drainwright.system.grains import CONTENTS, STONE_57, SoilGrains, soil_grains, stone_grains, texture_curve

MM = 0.001


def measured(value: float) -> Any:
    return Fact.model_construct(value=value, basis=Basis.MEASURED)


def ground(design: Design, texture: str = "loam", grading: Grading | None = None) -> Any:
    return design.job.ground.model_copy(update={"texture": measured(texture), "grading": grading})  # type: ignore[arg-type]


SOIL = SoilGrains(
    d15=0.02 * MM, d50=0.1 * MM, d85=0.5 * MM, fines=0.45, uniformity=9.0, plastic=False, dispersive=False,
    basis=Basis.MEASURED,
)  # fmt: skip


@pytest.mark.parametrize("texture", get_args(Texture))
def test_a_texture_has_the_sand_silt_and_clay_of_its_class(texture: Texture) -> None:
    """USDA bounds: clay to 0.002 mm, silt to 0.05 mm; Cosby's class means."""
    sand, silt, clay = CONTENTS[texture]
    assert sand + silt + clay == 100
    curve = texture_curve(texture)
    assert share_at(0.002 * MM, *curve) == pytest.approx(clay / 100)
    assert share_at(0.05 * MM, *curve) == pytest.approx((clay + silt) / 100)


def test_textures_fall_into_the_categories_that_their_fines_ask(pumped: Design) -> None:
    fines = {texture: soil_grains(ground(pumped, texture)).fines for texture in get_args(Texture)}
    assert fines["sand"] < 0.15
    assert 0.15 <= fines["loamy sand"] < 0.40 < fines["sandy loam"] < fines["loam"] < 0.85
    assert min(fines["silt"], fines["silty clay"], fines["silty clay loam"]) > 0.85
    grains = soil_grains(ground(pumped, "clay"))
    assert grains.basis is Basis.ASSUMED
    assert grains.plastic
    assert not soil_grains(ground(pumped, "silt")).plastic


def test_a_measured_grading_rules_and_gravel_in_it_is_left_out(pumped: Design) -> None:
    sieved = Grading.model_construct(
        d15=measured(0.03 * MM), d50=measured(0.2 * MM), d85=measured(0.9 * MM), fines=measured(0.3), plastic=None,
        dispersive=True,
    )  # fmt: skip
    found = soil_grains(ground(pumped, "clay", sieved))
    assert (found.d15, found.d50, found.d85, found.fines) == (0.03 * MM, 0.2 * MM, 0.9 * MM, 0.3)
    assert found.dispersive
    assert found.plastic  # by the texture, where the laboratory does not say
    assert found.basis is Basis.MEASURED
    gravelly = soil_grains(ground(pumped, "clay", sieved.model_copy(update={"d85": measured(20 * MM)})))
    assert gravelly.d85 < 4.75 * MM
    assert gravelly.d50 == 0.2 * MM
    short = soil_grains(ground(pumped, "sand", sieved.model_copy(update={"d15": None, "d50": None})))
    usual = soil_grains(ground(pumped, "sand"))
    assert short.d50 / short.d85 == pytest.approx(usual.d50 / usual.d85)


def test_stone_by_its_own_sheet_or_by_the_standard() -> None:
    usual = stone_grains(Stone())
    assert usual.basis is Basis.ASSUMED
    assert usual.d15 == pytest.approx((size_at(0.15, *STONE_57.fine), size_at(0.15, *STONE_57.coarse)))
    assert usual.d15[0] < usual.d15[1] < usual.d50[0] < usual.d50[1] < usual.d85[0] < usual.d85[1]
    own = stone_grains(
        Stone.model_construct(name="pea gravel", d15=measured(5 * MM), d50=measured(7 * MM), d85=measured(9 * MM))
    )
    assert (own.d15, own.d50, own.d85) == ((5 * MM, 5 * MM), (7 * MM, 7 * MM), (9 * MM, 9 * MM))
    assert own.basis is Basis.MEASURED
    half = stone_grains(
        Stone.model_construct(name="half", d15=None, d50=measured(2 * math.sqrt(math.prod(usual.d50))), d85=None)
    )
    assert half.d15 == pytest.approx((2 * usual.d15[0], 2 * usual.d15[1]))
    assert half.basis is Basis.ASSUMED


def test_a_fabric_is_asked_by_the_stricter_of_class_and_grains() -> None:
    loose = asked_fabric(SOIL, None, 0.4)
    assert loose.opening_most == pytest.approx(0.25 * MM)  # M 288; FHWA would take 0.5 mm
    fine = asked_fabric(replace(SOIL, d85=0.1 * MM, fines=0.7), None, 0.4)
    assert fine.opening_most == pytest.approx(0.18 * MM)  # FHWA, 1.8 d85
    assert fine.fits
    silt = asked_fabric(replace(SOIL, d85=0.06 * MM, fines=0.8), None, 0.4)
    assert not silt.fits  # 0.108 mm: finer than the No. 100 sieve
    assert silt.opening_most == pytest.approx(0.15 * MM)
    clay = asked_fabric(replace(SOIL, d85=0.06 * MM, fines=0.8, plastic=True), None, 0.4)
    assert clay.fits
    assert clay.opening_most == pytest.approx(0.22 * MM)  # cohesion holds it: by the class alone


def test_a_fabric_passes_by_its_own_sheet() -> None:
    sheet = Cloth.model_construct(name="x", opening=measured(0.2 * MM), permittivity=measured(2.0), woven=False)
    own, usual = asked_fabric(SOIL, sheet, 0.4), asked_fabric(SOIL, None, 0.4)
    assert own.passes == pytest.approx(2.0 * 0.05 * 0.1 * 0.4)
    assert usual.passes == pytest.approx(own.passes / 10)
    assert (own.opening, own.permittivity, own.basis) == (0.2 * MM, 2.0, Basis.MEASURED)


@given(fines=st.floats(0.0, 1.0), d85=st.floats(0.075, 4.0), dispersive=st.booleans())
def test_the_filter_limit_never_steps_down_with_coarser_soil(fines: float, d85: float, dispersive: bool) -> None:
    here = filter_d15_most(d85 * MM, fines, dispersive)
    assert here >= 0.2 * MM
    assert filter_d15_most(1.1 * d85 * MM, fines, dispersive) >= here
    assert filter_d15_most(d85 * MM, fines, True) <= filter_d15_most(d85 * MM, fines)


def test_each_perforated_run_has_its_section(pumped: Design, gravity: Design) -> None:
    for design in (pumped, gravity):
        perforated = {run.name for run in design.system.runs if run.pipe.perforated}
        assert set(design.system.sections) == perforated
        for name, section in design.system.sections.items():
            run, inlets = design.system.run(name), section.inlets
            own = [item for item in design.inflows.contributions if item.entry == name]
            assert inlets.seepage == pytest.approx(sum(item.flow for item in own))
            assert inlets.peak > inlets.seepage
            assert not section.stone_filters  # No. 57 stone never filters a loam
            assert section.stone_drains
            assert section.keeper == "a fabric"
            orifice = 0.61 * 0.5 * run.pipe.perforation_area * run.length
            assert inlets.capacity_peak == pytest.approx(orifice * math.sqrt(2 * 9.80665 * inlets.head_peak))
            assert 0.61 * 0.5 * inlets.area * inlets.length * math.sqrt(
                2 * 9.80665 * inlets.head_needed(inlets.peak)
            ) == pytest.approx(inlets.peak)


def test_half_clogged_openings_take_the_storm_of_the_examples(pumped: Design, gravity: Design, metric: Design) -> None:
    for design in (pumped, gravity, metric):
        for section in design.system.sections.values():
            assert section.inlets.peak < section.inlets.capacity_design


def test_a_sleeve_stores_much_and_carries_little() -> None:
    pipe = find_pipe("wrapped 10 in")
    found = wrapped_flow(pipe, 0.01, 30.0)
    ring = math.pi / 4 * (pipe.envelope**2 - pipe.outside**2)
    assert found.voids_area == pytest.approx(SLEEVE_VOIDS * ring)
    assert found.storage == pytest.approx(30.0 * found.voids_area)
    assert 0.01 < found.gain < 0.20
    larger = math.sqrt(4 / math.pi * found.equivalent_area)  # a round pipe of that area, of the same wall
    assert full_flow(larger, 0.01, pipe.manning) == pytest.approx(found.pipe_flow + found.sleeve_flow, rel=1e-9)
    flat = wrapped_flow(pipe, 0.0, 30.0)
    assert (flat.sleeve_flow, flat.pipe_flow, flat.gain) == (0.0, 0.0, 0.0)


def test_a_wrapped_run_brings_its_own_aggregate(pumped: Design) -> None:
    runs = [replace(run, pipe=find_pipe("wrapped 10 in")) for run in pumped.system.runs if run.name == "FD1"]
    section = drain_sections(pumped.job, pumped.inflows, runs)["FD1"]
    assert section.stone is None
    assert section.wrapped is not None
    assert section.inlets.ratio == math.inf
    assert section.stone_drains
    assert not section.stone_filters


def test_a_wrapped_drain_counts_with_its_flattest_stretch(pumped: Design) -> None:
    run = replace(pumped.system.run("FD1"), pipe=find_pipe("wrapped 10 in"))
    *upper, above, end = run.stations
    flat = replace(run, stations=(*upper, replace(above, invert=end.invert + 1e-4), end))
    grade = 1e-4 / (end.distance - above.distance)
    assert flat.flattest == pytest.approx(grade)
    section = drain_sections(pumped.job, pumped.inflows, [flat])["FD1"]
    assert section.wrapped is not None
    assert section.wrapped.pipe_flow == pytest.approx(full_flow(run.pipe.inside, grade, run.pipe.manning))


def test_openings_of_the_catalogue_are_told() -> None:
    for pipe in PIPES.values():
        assert (pipe.opening > 0.0) == pipe.perforated
        assert (pipe.perforation_area > 0.0) == pipe.perforated
    assert find_pipe("d2729 4 in perforated").opening_shape == "hole"
    assert find_pipe("corrugated 4 in perforated").opening_shape == "slot"


def test_a_plastic_soil_with_few_fines_is_still_held_by_its_grains() -> None:
    """Cohesion counts only where fines make up more than half."""
    found = asked_fabric(replace(SOIL, d85=0.1 * MM, plastic=True), None, 0.4)
    assert found.by_grains == pytest.approx(0.1 * MM)
    assert not found.fits


def test_the_storm_falls_straight_down_the_loose_fill(pumped: Design) -> None:
    """Peak: the high end of the run's own inflow, and the hardest design rain on the trench."""
    section = pumped.system.sections["FD1"]
    run = pumped.system.run("FD1")
    own = [item for item in pumped.inflows.contributions if item.entry == "FD1"]
    hardest = max(item.intensity for item in pumped.inflows.contributions)
    expected = sum(max(item.flow, item.high or 0.0) for item in own) + hardest * run.stone_width * run.length
    assert hardest > 0.0
    assert section.inlets.peak == pytest.approx(expected)
