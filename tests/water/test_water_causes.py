"""Inflows of a whole site: who sheds where, what each figure rests on, and what the notes own up to."""

from __future__ import annotations

import math

import pytest
from site_of import RAIN, job_of, site_of

import drainwright.water
from drainwright.errors import JobError
from drainwright.job.values import Basis
from drainwright.water import inflows
from drainwright.water.causes import yard_size
from drainwright.water.ground import ASSUMED_LAYER, LEAST_INFLUENCE, PIPE_BED
from drainwright.water.model import Cause, Contribution, Inflows
from drainwright.water.rain import SECONDS_A_YEAR
from drainwright.worksheet import worksheet

FOOT, INCH = 0.3048, 0.0254
GPM = 231 * INCH**3 / 60


def part(found: Inflows, source: str) -> Contribution:
    return next(item for item in found.contributions if item.source == source)


def test_a_roof_on_a_leader() -> None:
    """700 ft² under 0.55 in of 5 min (6.6 in/h) with nothing lost: 700 x 6.6 / 96.25 = 48.0 gpm."""
    roof = part(inflows(site_of(job_of())), "R1")
    assert (roof.entry, roof.cause, roof.coefficient, roof.time) == ("DS1", Cause.ROOF, 1.0, 300.0)
    assert roof.flow / GPM == pytest.approx(700 * 6.6 / 96.25)
    assert roof.basis is Basis.MAPPED  # measured roof under mapped rain


def test_a_roof_that_splashes_comes_with_the_yard() -> None:
    found = inflows(site_of(job_of()))
    roof, lawn = part(found, "R2"), part(found, "LAWN")
    assert (roof.entry, roof.cause) == ("CB1", Cause.ROOF)
    assert roof.area == pytest.approx(650 * FOOT**2)
    assert roof.time == pytest.approx(300.0 + lawn.time)
    assert roof.intensity == found.rain.intensity(roof.time, 10 * SECONDS_A_YEAR)
    assert roof.basis is Basis.ASSUMED  # the lawn's flow length was assumed
    assert any("DS2 wets yard LAWN" in note for note in found.notes)


def test_yards() -> None:
    found = inflows(site_of(job_of()))
    drive = part(found, "DRIVE")
    assert drive.area == pytest.approx(600 * FOOT**2)
    assert drive.time == 300.0
    assert drive.flow == pytest.approx(0.95 * drive.intensity * drive.area)
    assert not [item for item in found.contributions if item.source == "BACK"]
    assert any("BACK sheds away" in note for note in found.notes)


def test_causes_add_up_and_stay_apart() -> None:
    found = inflows(site_of(job_of()))
    assert sum(found.by_cause().values()) == pytest.approx(sum(item.flow for item in found.contributions))
    assert found.at("CB1", Cause.ROOF) == part(found, "R2").flow
    assert found.at("CB1") == pytest.approx(sum(part(found, name).flow for name in ("R2", "LAWN", "DRIVE")))


@pytest.mark.parametrize("to", [None, "away"])
def test_a_splash_that_nobody_takes_is_told(to: str | None) -> None:
    spouts = [{"name": "DS1", "at": "A"}, {"name": "DS2", "at": "B", "ends": "splash", "to": to}]
    found = inflows(site_of(job_of(downspouts=spouts)))
    assert not [item for item in found.contributions if item.source == "R2"]
    assert any("DS2 ends on the ground" in note for note in found.notes)


def test_a_splash_on_a_yard_that_sheds_away() -> None:
    spouts = [{"name": "DS1", "at": "A"}, {"name": "DS2", "at": "B", "ends": "splash", "to": "BACK"}]
    found = inflows(site_of(job_of(downspouts=spouts)))
    assert not [item for item in found.contributions if item.source == "R2"]
    assert any("which sheds away" in note for note in found.notes)


def test_rarer_storms_raise_the_yard_coefficient() -> None:
    found = inflows(site_of(job_of(criteria={"yard_return_period": "25 yr"})))
    assert part(found, "LAWN").coefficient == pytest.approx(0.22 * 1.1)
    assert part(found, "DRIVE").coefficient == 1.0  # 0.95 x 1.1, no more than all


def test_groundwater_by_hand() -> None:
    """Clay loam (6.24 cm/day), water at the floor's underside, 10 ft of soil below the drain, reach 3 m, both sides."""
    found = inflows(site_of(job_of()))
    seep = found.seepage[0]
    conductivity = 0.0624 / 86400
    drain = 94.5 * FOOT + PIPE_BED
    rise = 96 * FOOT - 0.1016 - drain
    expected = conductivity * ((ASSUMED_LAYER + rise) ** 2 - ASSUMED_LAYER**2) / LEAST_INFLUENCE
    assert seep.per_length == pytest.approx(expected)
    assert seep.length == pytest.approx(70 * FOOT)
    assert seep.drain_level == pytest.approx(drain)
    assert seep.basis is found.conductivity_basis is Basis.ASSUMED
    assert part(found, "FD1").flow == pytest.approx(expected * 70 * FOOT)
    assert (part(found, "FD1").entry, part(found, "FD1").cause) == ("FD1", Cause.GROUND)
    assert any("in the wet season" in note for note in found.notes)


KNOWN = {
    "texture": "sand, measured",
    "conductivity": "20 ft/day, measured",
    "water_table": "97 ft, measured",
    "barrier": "90 ft, mapped",
}


def test_measured_ground_carries_its_mark() -> None:
    found = inflows(site_of(job_of(ground=KNOWN), water_table=97 * FOOT, barrier=90 * FOOT))
    seep = found.seepage[0]
    assert (found.conductivity, found.conductivity_basis) == (pytest.approx(20 * FOOT / 86400), Basis.MEASURED)
    assert seep.basis is Basis.MAPPED  # the barrier is the weakest
    drain = 94.5 * FOOT + PIPE_BED
    reach = 1750 * (97 * FOOT - drain) * (20 * FOOT / 86400) ** 0.5
    assert seep.influence == pytest.approx(reach)
    head, held = 7 * FOOT, drain - 90 * FOOT
    assert seep.per_length == pytest.approx(20 * FOOT / 86400 * (head**2 - held**2) / reach)
    assert not any("assumed" in note for note in found.notes if "conductivity" in note or "water table" in note)


def test_recharge_adds_half_of_what_falls_within_reach_on_each_side() -> None:
    dry = inflows(site_of(job_of(ground=KNOWN), water_table=97 * FOOT, barrier=90 * FOOT)).seepage[0]
    job = job_of(ground={**KNOWN, "recharge": "0.01 in/h"})
    wet = inflows(site_of(job, water_table=97 * FOOT, barrier=90 * FOOT)).seepage[0]
    assert wet.per_length - dry.per_length == pytest.approx(0.01 * INCH / 3600 * dry.influence)


@pytest.mark.parametrize(("water", "barrier"), [(94.0, 90.0), (97.0, 98.0)])
def test_no_groundwater_below_the_drain_or_above_the_water(water: float, barrier: float) -> None:
    """A water table under the drain, or no water-bearing soil under the water table: nothing comes, and it is told."""
    found = inflows(site_of(job_of(ground=KNOWN), water_table=water * FOOT, barrier=barrier * FOOT))
    assert found.seepage[0].per_length == 0.0
    assert any("no groundwater comes to it" in note for note in found.notes)


def test_a_barrier_above_the_drain_leaves_the_water_that_stands_on_it() -> None:
    found = inflows(site_of(job_of(ground=KNOWN), water_table=97 * FOOT, barrier=96 * FOOT))
    seep = found.seepage[0]
    expected = 20 * FOOT / 86400 * FOOT**2 / max(1750 * FOOT * (20 * FOOT / 86400) ** 0.5, LEAST_INFLUENCE)
    assert seep.per_length == pytest.approx(expected)


def test_a_drain_beside_no_wall_takes_its_route() -> None:
    works = job_of().works.model_dump(by_alias=True, mode="json")
    works["runs"][0].update(beside=[], via=["40 ft, 0 ft"])
    found = inflows(site_of(job_of(works=works)))
    assert found.seepage[0].length == pytest.approx((40 + (10**2 + 50**2) ** 0.5) * FOOT)
    assert any("names no wall beside it" in note for note in found.notes)
    bare = inflows(site_of(job_of(works=works), walls=False))
    assert bare.seepage[0].drain_level == pytest.approx(96 * FOOT - 0.1016 - 0.1016)
    assert any("No footing is known" in note for note in bare.notes)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"roofs": [{"name": "R1", "area": "700 ft2", "to": "DS9"}]}, "'DS9'; expected the name of a downspout"),
        ({"downspouts": [{"name": "DS1", "at": "A"}, {"name": "DS2", "at": "B", "ends": "splash", "to": "LAWM"}]},
         "Did you mean 'LAWN'"),
    ],
)  # fmt: skip
def test_names_that_do_not_exist(change: dict[str, object], words: str) -> None:
    with pytest.raises(JobError, match=words):
        inflows(site_of(job_of(**change)))


def test_an_outline_must_enclose_something() -> None:
    flat = [{"name": "L", "outline": ["0 ft, 0 ft", "9 ft, 0 ft", "5 ft, 0 ft"], "to": "CB1"}]
    with pytest.raises(JobError, match="enclose"):
        inflows(site_of(job_of(yards=flat, downspouts=[{"name": n, "at": "A"} for n in ("DS1", "DS2")])))


def test_area_by_shoelace() -> None:
    site = site_of(job_of())
    assert yard_size(site, site.job.yards[1]) == pytest.approx(600 * FOOT**2)


def test_a_second_opinion_stands_in_the_notes() -> None:
    notes = " ".join(inflows(site_of(job_of(rain={**RAIN, "distribution": "type II"}))).notes)
    for words in ("Curve number", "graphical peak", "NRCS sheet flow", "extension rule"):
        assert words in notes
    assert "graphical peak" not in " ".join(inflows(site_of(job_of())).notes)


def test_curve_number_takes_off_half_for_the_roof_that_wets_the_lawn() -> None:
    """5,000 ft² of lawn at 80, 1,350 ft² of roof of which 650 wet it: 80 + 0.2126 x 18 x (1 - 0.5 x 0.4815) = 82.9."""
    lawn = [{"name": "LAWN", "area": "5000 ft2", "to": "CB1"}]
    notes = " ".join(inflows(site_of(job_of(yards=lawn))).notes)
    assert "Curve number 83 for all" in notes
    assert "share of 0.68" in notes  # S = 2.062 in; (6.10 - 0.412)² / (6.10 + 1.650) = 4.17 in of 6.10 in


def test_green_and_ampt_stand_beside_the_curve_number() -> None:
    """Loam on wet ground under an even rain of 5 in in 24 h, 0.53 cm/h: K = 0.34 cm/h, S = 1.157 cm.

    Ponding at F = K S/(i - K) = 2.08 cm, after 3.9 h; then F - S ln((F + S)/(Fp + S)) = Fp + K t, by brentq.
    """
    from scipy.optimize import brentq

    lawn = [{"name": "LAWN", "area": "5000 ft2", "to": "CB1"}]
    job = job_of(
        yards=lawn, roofs=[], downspouts=[], rain={**RAIN, "distribution": "block"}, ground={"texture": "loam"},
        criteria={"storm_return_period": "10 yr"},
    )  # fmt: skip
    rain, rate, store = 12.7 / 24, 0.34, 8.89 * 0.434 * 0.3
    ponding = rate * store / (rain - rate)
    left = 24 - ponding / rain
    total = brentq(
        lambda f: f - store * math.log((f + store) / (ponding + store)) - ponding - rate * left, ponding, 12.7
    )  # fmt: skip
    share = 1 - total / 12.7
    assert any(f"a share of {share:.2f}." in note for note in inflows(site_of(job)).notes if "Green and Ampt" in note)
    paved = [{**lawn[0], "surface": "concrete"}]
    assert "Green and Ampt" not in " ".join(inflows(site_of(job_of(yards=paved, roofs=[], downspouts=[]))).notes)


@pytest.mark.parametrize(("texture", "flow"), [("sandy loam", "16.8 gpm"), ("sandy clay", "9.6 gpm")])
def test_extension_rule_beside_the_groundwater(texture: str, flow: str) -> None:
    """1,200 ft² of house at 14 gpm for 1,000 ft² on sand, 8 on clay."""
    notes = inflows(site_of(job_of(ground={"texture": texture}))).notes
    assert any(f"would give {flow}" in note for note in notes)


def test_a_forgotten_roof_is_asked_for() -> None:
    found = inflows(site_of(job_of(roofs=[{"name": "R1", "area": "700 ft2", "to": "DS1"}])))
    assert any("the rest of the roof" in note for note in found.notes)
    assert not any("the rest of the roof" in note for note in inflows(site_of(job_of())).notes)


def test_the_worksheet_shows_each_figure_and_changes_none() -> None:
    silent = inflows(site_of(job_of()))
    with worksheet() as steps:
        told = inflows(site_of(job_of()))
    assert told == silent
    places = {step.place for step in steps}
    assert {"ground", "roofs.R1", "roofs.R2", "yards.LAWN", "yards.DRIVE", "runs.FD1"} <= places
    shown = [step.result for step in steps if step.place == "roofs.R1" and "rational" in step.formula]
    assert shown == [part(told, "R1").flow]


def test_the_package_knows_only_its_function() -> None:
    with pytest.raises(AttributeError, match="outflows"):
        drainwright.water.outflows  # noqa: B018
