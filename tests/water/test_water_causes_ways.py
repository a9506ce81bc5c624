"""What catches the rain and how it comes: roofs in the wind, yards by reaches, yards off the ground by the shots."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from site_of import job_of, site_of

from drainwright.errors import JobError
from drainwright.field.model import Site
from drainwright.field.terrain_model import DrainedArea, Terrain
from drainwright.job.values import Basis
from drainwright.water import inflows
from drainwright.water.input_ranges import area_spread, coefficient_spread
from drainwright.water.model import Contribution, Inflows
from drainwright.water.paths import checking_times
from drainwright.water.rain import SECONDS_A_YEAR
from drainwright.water.roofs import area_in_wind, area_with_wall
from drainwright.water.yards import yard_ground, yard_size
from drainwright.worksheet import worksheet

FOOT = 0.3048
SPOUTS = [{"name": "DS1", "at": "A"}, {"name": "DS2", "at": "B"}]


def part(found: Inflows, source: str) -> Contribution:
    return next(item for item in found.contributions if item.source == source)


def notes(found: Inflows) -> str:
    return " ".join(found.notes)


# -- Roofs ----------------------------------------------------------------------------------------------------------

ROOFS = [
    {"name": "R1", "area": "700 ft2, measured", "to": "DS1", "slope": "50 %, measured",
     "wall_above": "120 ft2, stated"},
    {"name": "R2", "area": "650 ft2, measured", "to": "DS2"},
]  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "first", "second"), [("plan", 700.0, 650.0), ("half wall", 760.0, 650.0), ("wind", 935.0, 650.0)]
)
def test_what_of_a_roof_catches_rain(rule: str, first: float, second: float) -> None:
    """700 ft²; with half of 120 ft² of wall; with half of the roof's own face, 700 x 0.5, as well."""
    found = inflows(site_of(job_of(roofs=ROOFS, downspouts=SPOUTS, criteria={"roof_rule": rule})))
    for name, area in (("R1", first), ("R2", second)):
        roof = part(found, name)
        assert roof.area == pytest.approx(area * FOOT**2)
        assert roof.flow == pytest.approx(roof.intensity * roof.area)
    assert part(found, "R1").basis is (Basis.MAPPED if rule == "plan" else Basis.STATED)


def test_what_was_not_entered_of_a_roof_is_told() -> None:
    said = {
        rule: notes(inflows(site_of(job_of(roofs=ROOFS, downspouts=SPOUTS, criteria={"roof_rule": rule}))))
        for rule in ("plan", "half wall", "wind")
    }
    assert "Roof R1: a wall rises above it" in said["plan"]
    assert "Roof R2: a wall" not in said["plan"]
    assert "Roof R2: no wall above it is entered" in said["half wall"]
    assert "Roof R2: its slope is not entered" in said["wind"]
    assert "Roof R1: no wall" not in said["wind"]
    assert "Roof R1: its slope" not in said["wind"]


@pytest.mark.parametrize(("rule", "formula"), [("half wall", "area_with_wall"), ("wind", "area_in_wind")])
def test_the_worksheet_shows_the_area(rule: str, formula: str) -> None:
    with worksheet() as steps:
        inflows(site_of(job_of(roofs=ROOFS, downspouts=SPOUTS, criteria={"roof_rule": rule})))
    assert [step.place for step in steps if step.formula.endswith(formula)] == ["roofs.R1", "roofs.R2"]


def test_a_flat_roof_without_walls_catches_its_plan_in_any_wind() -> None:
    assert area_in_wind(50.0, 0.0, 0.0) == area_with_wall(50.0, 0.0) == 50.0


# -- Reach by reach -------------------------------------------------------------------------------------------------


def lawn(**changes: Any) -> Any:
    return job_of(
        yards=[{"name": "LAWN", "area": "2000 ft2, measured", "slope": "3 %, measured", "to": "CB1", **changes}],
        downspouts=SPOUTS,
    )  # fmt: skip


SHEET = {"kind": "sheet", "length": "60 ft", "slope": "3 %, measured"}
RILL = {"kind": "shallow", "length": "50 ft", "slope": "2 %, measured"}
SWALE = {"kind": "channel", "length": "40 ft", "slope": "1 %, measured", "depth": "0.3 ft", "width": "1 ft",
         "side_slope": 3, "roughness": 0.05}  # fmt: skip


def test_a_yard_of_one_sheet_reach_is_a_yard_of_that_flow_length() -> None:
    way = part(inflows(site_of(lawn(flow_path=[SHEET]))), "LAWN")
    plain = part(inflows(site_of(lawn(flow_length="60 ft, measured"))), "LAWN")
    assert way == plain


def test_reaches_add_up() -> None:
    """50 ft at 16.13 √0.02 = 2.282 ft/s; R = 0.57/2.897 = 0.1967 ft: 1.486/0.05 R^(2/3) 0.1 = 1.005 ft/s for 40 ft."""
    sheet = part(inflows(site_of(lawn(flow_path=[SHEET]))), "LAWN")
    whole = part(inflows(site_of(lawn(flow_path=[SHEET, RILL, SWALE]))), "LAWN")
    assert whole.time - sheet.time == pytest.approx(50 / 2.282 + 40 / 1.005, rel=1e-3)
    assert whole.intensity == inflows(site_of(lawn())).rain.intensity(whole.time, 10 * SECONDS_A_YEAR)
    assert whole.flow < sheet.flow


def test_a_rill_of_known_roughness_goes_by_manning() -> None:
    """TR-55 App. F takes 0.4 ft of depth and n = 0.05 for unpaved ground: the same velocity, to its rounding."""
    usual = part(inflows(site_of(lawn(flow_path=[SHEET, RILL]))), "LAWN")
    same = part(inflows(site_of(lawn(flow_path=[SHEET, {**RILL, "roughness": 0.05}]))), "LAWN")
    rough = part(inflows(site_of(lawn(flow_path=[SHEET, {**RILL, "roughness": 0.10}]))), "LAWN")
    paved = part(inflows(site_of(lawn(flow_path=[SHEET, {**RILL, "surface": "concrete"}]))), "LAWN")
    sheet = part(inflows(site_of(lawn(flow_path=[SHEET]))), "LAWN").time
    assert same.time == pytest.approx(usual.time, rel=1e-3)
    assert rough.time - sheet == pytest.approx(2 * (same.time - sheet))
    assert paved.time - sheet == pytest.approx((usual.time - sheet) * 4.918 / 6.196)


def test_sheet_flow_ends_at_a_hundred_feet() -> None:
    long = [{"kind": "sheet", "length": "60 ft", "slope": "3 %"}, {"kind": "sheet", "length": "90 ft", "slope": "2 %"}]
    site = site_of(lawn(flow_path=long))
    reaches = yard_ground(site, site.job.yards[0]).reaches
    assert [(reach.kind, round(reach.length / FOOT, 6)) for reach in reaches] == [
        ("sheet", 60.0), ("sheet", 40.0), ("shallow", 50.0)
    ]  # fmt: skip
    found = inflows(site)
    assert "of 150 ft of sheet flow only the first 100 ft count as such" in notes(found)
    cut = [long[0], {**long[1], "length": "40 ft"}, {"kind": "shallow", "length": "50 ft", "slope": "2 %"}]
    told = inflows(site_of(lawn(flow_path=cut)))
    assert part(told, "LAWN") == part(found, "LAWN")
    assert "only the first" not in notes(told)


def test_a_long_plain_yard_is_cut_as_well() -> None:
    site = site_of(lawn(flow_length="150 ft, measured"))
    assert [reach.kind for reach in yard_ground(site, site.job.yards[0]).reaches] == ["sheet", "shallow"]
    assert "only the first" in notes(inflows(site))


def test_a_rough_way_stands_in_the_basis() -> None:
    sure = part(inflows(site_of(lawn(flow_path=[SHEET], runoff_coefficient="0.3, measured"))), "LAWN")
    unsure = part(
        inflows(site_of(lawn(flow_path=[{**SHEET, "slope": "3 %, assumed"}], runoff_coefficient="0.3, measured"))),
        "LAWN",
    )
    assert (sure.basis, unsure.basis) == (Basis.MAPPED, Basis.ASSUMED)


def test_other_methods_stand_beside_a_way_of_several_reaches() -> None:
    said = notes(inflows(site_of(lawn(flow_path=[SHEET, RILL, SWALE]))))
    for words in ("by NRCS segments", "NRCS lag method", "by Kerby and Kirpich"):
        assert words in said
    plain = notes(inflows(site_of(lawn())))
    assert "by Kerby." in plain


def test_kerby_and_kirpich_add_up() -> None:
    """60 ft of grass (N = 0.4) at 3 %, then 90 ft at (50 x 2 % + 40 x 1 %)/90 = 1.56 %: 8.33 and 1.24 min."""
    site = site_of(lawn(flow_path=[SHEET, RILL, SWALE]))
    rain = inflows(site).rain
    _, _, handbook = checking_times(rain, yard_ground(site, site.job.yards[0]).reaches, 80.0)
    over, along = 0.828 * (60 * 0.4) ** 0.467 * 0.03**-0.235, 0.0078 * 90**0.77 * (1.4 / 90) ** -0.385
    assert handbook / 60 == pytest.approx(over + along)
    assert (over, along) == (pytest.approx(8.33, abs=0.01), pytest.approx(1.24, abs=0.01))


def test_a_sheet_longer_than_rough_grass_lets_be_is_told() -> None:
    """100 √0.03 / 0.24 = 72 ft."""
    assert "gathers into rills after 72 ft" in notes(inflows(site_of(lawn(flow_length="90 ft, measured"))))
    assert "McCuen" not in notes(inflows(site_of(lawn(flow_length="70 ft, measured"))))


# -- Off the ground -------------------------------------------------------------------------------------------------


def drained(**changes: Any) -> DrainedArea:
    values: dict[str, Any] = {
        "to": "CB1", "kind": "inlet", "area": 150.0, "beyond": 0.0, "slope": 0.04, "longest": 20.0, "fall": 0.6,
        "path": (), "rings": (),
    } | changes  # fmt: skip
    return DrainedArea(**values)


def on_ground(job: Any, *areas: DrainedArea) -> Site:
    """A site whose shots show these grounds."""
    site = site_of(job)
    terrain = Terrain(
        cell=0.5, lot_area=400.0, house_area=111.0, bounded=True, interval=0.15, contours=(), low_spots=(),
        drained=areas, drained_dry=areas, run_on=(), wall_slopes=(), next_shots=(), arrows=(), roughness=0.01,
    )  # fmt: skip
    points = {name: replace(point, level=30.0) for name, point in site.points.items()}
    return replace(site, terrain=terrain, points=points)


def grounds(*yards: dict[str, Any]) -> Any:
    return job_of(yards=list(yards), downspouts=SPOUTS)


SHOWN = {"name": "LAWN", "from_ground": True, "to": "CB1"}


def test_a_yard_off_the_ground() -> None:
    """150 m² at 4 % on the mean: coefficient of heavy soil, 2 to 7 %; its way 20 m at 3 %."""
    site = on_ground(grounds(SHOWN), drained())
    found = inflows(site)
    yard = part(found, "LAWN")
    assert (yard.area, yard.coefficient) == (150.0, 0.22)
    entered = job_of(
        yards=[{"name": "LAWN", "area": "150 m2", "slope": "3 %", "flow_length": "20 m", "to": "CB1"}],
        downspouts=SPOUTS,
    )  # fmt: skip
    assert yard.time == pytest.approx(part(inflows(site_of(entered)), "LAWN").time)
    assert "Yard LAWN is the ground that the shots show to drain to CB1" in notes(found)
    assert yard_size(site, site.job.yards[0]) == 150.0


def test_a_yard_whose_ground_ends_at_the_last_shots_is_assumed_and_its_band_is_wider() -> None:
    whole, cut = (on_ground(grounds(SHOWN), drained(cut_off=cut_off)) for cut_off in (False, True))
    assert yard_ground(whole, whole.job.yards[0]).basis is Basis.MEASURED
    assert yard_ground(cut, cut.job.yards[0]).basis is Basis.ASSUMED
    words = "Yard LAWN: at least 1,615 ft²: its ground ends at the last shots; what lies beyond is not counted."
    assert words in notes(inflows(cut))
    assert "last shots" not in notes(inflows(whole))

    sure, doubtful = (
        area_spread(site, site.job.yards[0], part(inflows(site), "LAWN")) for site in (whole, cut)
    )  # fmt: skip
    assert doubtful.middle == sure.middle == 150.0
    assert doubtful.high > sure.high
    assert doubtful.basis is Basis.ASSUMED


def test_a_yard_off_the_ground_is_as_sure_as_the_least_sure_shot() -> None:
    site = on_ground(grounds(SHOWN), drained())
    ground = yard_ground(site, site.job.yards[0])
    assert ground.basis is Basis.MEASURED
    rough = {**site.points, "P": replace(site.points["A"], name="P", basis=Basis.STATED)}
    assert yard_ground(replace(site, points=rough), site.job.yards[0]).basis is Basis.STATED
    plan = {**site.points, "P": replace(site.points["A"], name="P", basis=Basis.STATED, level=None)}
    assert yard_ground(replace(site, points=plan), site.job.yards[0]).basis is Basis.MEASURED


def test_the_range_of_a_yard_off_the_ground_is_that_of_its_shots_and_slope() -> None:
    """Measured shots; 12 % steep: grass on heavy soil from 0.25 to 0.35, its widest row."""
    site = on_ground(grounds(SHOWN), drained(slope=0.12))
    yard, part_of = site.job.yards[0], part(inflows(site), "LAWN")
    assert area_spread(site, yard, part_of).basis is Basis.MEASURED
    steep = coefficient_spread(site, yard, part_of)
    mild = coefficient_spread(on_ground(grounds(SHOWN), drained()), yard, part_of)
    assert steep.low / steep.middle < mild.low / mild.middle


def test_ground_beyond_counts_once() -> None:
    """60 m² beyond the boundary drain in: in the one yard, or, where one is marked 'beyond', in that."""
    ground = drained(beyond=60.0)
    alone = inflows(on_ground(grounds(SHOWN), ground))
    assert part(alone, "LAWN").area == 210.0
    assert "lie beyond the boundary" in notes(alone)
    beyond = {**SHOWN, "name": "NEXT DOOR", "beyond": True}
    both = inflows(on_ground(grounds(SHOWN, beyond), ground))
    assert (part(both, "LAWN").area, part(both, "NEXT DOOR").area) == (150.0, 60.0)
    assert "Yard NEXT DOOR lies beyond the boundary: its water comes from the neighbor's ground" in notes(both)


def test_an_entered_yard_beyond_says_whose_water_it_is() -> None:
    found = inflows(site_of(lawn(beyond=True)))
    assert "Yard LAWN lies beyond the boundary" in notes(found)
    site = site_of(lawn(beyond=True))
    assert yard_ground(site, site.job.yards[0]).beyond == pytest.approx(2000 * FOOT**2)


@pytest.mark.parametrize(
    ("yards", "areas", "words"),
    [
        ([SHOWN], [], "no ground that drains to CB1 by the shots"),
        ([SHOWN], [drained(to="CB9")], "no ground that drains to CB1 by the shots"),
        ([{**SHOWN, "beyond": True}], [drained()], "no ground beyond the boundary that drains to CB1"),
        ([{**SHOWN, "to": "away"}], [drained()], "a yard that sheds away"),
        ([SHOWN, {**SHOWN, "name": "AGAIN"}], [drained()], "the ground of CB1 again, as in yard LAWN"),
    ],
)
def test_ground_that_the_shots_do_not_show(yards: Any, areas: Any, words: str) -> None:
    with pytest.raises(JobError, match=words):
        inflows(on_ground(grounds(*yards), *areas))
    with pytest.raises(JobError, match="by the shots"):
        inflows(site_of(grounds(SHOWN)))  # no shots at all


def test_ground_that_lies_at_the_inlet_has_no_way_and_takes_a_square() -> None:
    site = on_ground(grounds(SHOWN), drained(longest=0.0, fall=0.0))
    ground = yard_ground(site, site.job.yards[0])
    assert ground.length == pytest.approx(150.0**0.5)
    assert ground.basis is Basis.ASSUMED


def test_the_ground_stands_beside_an_entered_yard() -> None:
    found = notes(inflows(on_ground(lawn(), drained(beyond=10.0))))
    assert (
        "To inlet CB1 are entered 2,000 ft² (LAWN); by the shots 1,615 ft² of the lot drain to it, and 108 ft²" in found
    )
    both = notes(inflows(on_ground(grounds(SHOWN, {"name": "DRIVE", "area": "50 m2", "to": "CB1"}), drained())))
    assert "Inlet CB1 takes the ground by the shots and also DRIVE" in both
    assert "To inlet" not in notes(inflows(site_of(lawn())))
