"""What of a site reaches the grading: buried lines, grates, paving, care, given basins, criteria."""

from __future__ import annotations

from typing import Any

import pytest
from grading_lots import head
from system_jobs import designed, document

from drainwright.field import survey
from drainwright.job.model import Job
from drainwright.system.catalogue import PIPES, candidates
from drainwright.system.grading.clash import clashes
from drainwright.system.grading.heads import entry_height, needed_grade, offered
from drainwright.system.grading.model import GravityLine, Meeting
from drainwright.system.grading.site import LEAST_GAP, care_along, driven, meetings, obstacles, soil_of
from drainwright.system.grading.solve import grade_lines
from drainwright.system.model import System
from drainwright.system.network import Network, Spot

FOOT = 0.3048


def site_of(**changes: Any) -> Any:
    raw = document()
    raw.update(changes)
    return survey(Job.model_validate(raw))


def utility(**changes: Any) -> dict[str, Any]:
    figures = {
        "name": "water service", "kind": "water", "route": ["20 ft, -5 ft", "20 ft, -60 ft"],
        "depth": "2 ft, measured", "depth_uncertainty": "6 in", "diameter": "1 in", "located_by": "locate ticket",
    }  # fmt: skip
    return figures | changes


ROUTE = ((0.0, -10.0 * FOOT), (40.0 * FOOT, -10.0 * FOOT))


def test_a_crossing_line_is_in_the_way_where_it_crosses() -> None:
    """The water line 20 ft along the route; 18 in at a crossing of a water line (``ten_states``), 6 in of doubt."""
    (found,) = obstacles(site_of(utilities=[utility()]), ROUTE)
    assert found.places[0][0] == pytest.approx(20.0 * FOOT)
    assert found.gaps == pytest.approx((LEAST_GAP, 0.1524, 0.4572))


def test_a_line_exposed_by_hand_has_little_doubt_and_a_cable_no_separation() -> None:
    """Left out, an inch (common practice, no source); what is told counts. A live cable keeps the least gap beyond."""
    exposed = utility(kind="electric", located_by="exposed by hand")
    (found,) = obstacles(site_of(utilities=[exposed | {"depth_uncertainty": "3 in"}]), ROUTE)
    assert found.gaps == pytest.approx((LEAST_GAP, 0.0762 + LEAST_GAP, 0.3048))
    del exposed["depth_uncertainty"]
    (found,) = obstacles(site_of(utilities=[exposed]), ROUTE)
    assert found.gaps == pytest.approx((LEAST_GAP, 2 * LEAST_GAP, 0.3048))


def test_no_grade_is_sought_clear_of_a_line_whose_depth_nobody_knows() -> None:
    """It may lie anywhere: DIG-01 says so; a grade led away from a guess would only cost depth."""
    line = utility(depth="unknown")
    del line["depth_uncertainty"]
    assert obstacles(site_of(utilities=[line]), ROUTE) == ()


def test_a_line_beside_the_route_counts_with_its_distance_in_plan() -> None:
    near = utility(route=["0 ft, -10.5 ft", "40 ft, -10.5 ft"], kind="electric")
    far = utility(name="far", route=["0 ft, -14 ft", "40 ft, -14 ft"], kind="electric")
    found = obstacles(site_of(utilities=[near, far]), ROUTE)
    assert [item.name for item in found] == ["water service beside it"]
    assert found[0].wanted < 0.3048
    aside = 0.5 * FOOT - 0.0127 - 0.0571
    assert found[0].wanted ** 2 + aside**2 == pytest.approx(0.3048**2)


def test_a_dangerous_line_is_held_also_where_it_goes_on_beside_the_route_after_a_crossing() -> None:
    """A gas line crosses the route square and turns to run 6 in beside it: the room is asked for there too."""
    bent = ["20 ft, -20 ft", "20 ft, -9.5 ft", "38 ft, -9.5 ft"]
    plain = obstacles(site_of(utilities=[utility(route=bent, kind="sewer")]), ROUTE)
    assert [(item.name, item.held) for item in plain] == [("water service", False)]
    crossing, beside = obstacles(site_of(utilities=[utility(route=bent, kind="gas")]), ROUTE)
    assert crossing.held
    assert beside.held
    assert beside.name == "water service beside it"
    assert beside.known == pytest.approx(((0.1524 + LEAST_GAP) ** 2 - (0.5 * FOOT - 0.0127 - 0.0571) ** 2) ** 0.5)
    assert min(here for here, _ in beside.places) == pytest.approx(20.0 * FOOT + 0.3048 + 0.0127 + 0.0571)
    dead = obstacles(site_of(utilities=[utility(route=bent, kind="gas", live=False)]), ROUTE)
    assert not any(item.held for item in dead)


def test_tolerance_zones_and_roots_slow_the_digging() -> None:
    site = site_of(utilities=[utility()])
    care, hand = care_along(site, ROUTE, (0.0, 3.0, 5.0, 7.0, 12.0))
    assert hand == pytest.approx(2.0 * (0.6096 + 0.0127))
    assert care[0] == 1.0
    assert max(care) > 1.3
    tree = {"name": "oak", "at": "20 ft, -12 ft", "trunk_diameter": "12 in"}
    care, hand = care_along(site_of(trees=[tree]), ROUTE, (0.0, 6.0, 12.0))
    assert hand == pytest.approx(12.192, rel=0.3)
    assert min(care) > 1.0
    assert care_along(site_of(trees=[tree | {"keep": False}]), ROUTE, (0.0, 6.0, 12.0))[1] == 0.0


def test_soils_dig_by_their_texture() -> None:
    ground = document()["ground"]
    words = {texture: soil_of(site_of(ground=ground | {"texture": f"{texture}, measured"}))
             for texture in ("sand", "loam", "clay")}  # fmt: skip
    assert words == {"sand": "loose", "loam": "firm", "clay": "clay"}


def test_paving_counts_as_driven_on_and_asks_for_strong_pipe() -> None:
    drive = {"name": "drive", "outline": ["10 ft, -20 ft", "20 ft, -20 ft", "20 ft, 0 ft", "10 ft, 0 ft"],
             "surface": "asphalt", "to": "away"}  # fmt: skip
    site = site_of(yards=[drive])
    assert driven(site, ((15.0 * FOOT, -10.0 * FOOT), (30.0 * FOOT, -10.0 * FOOT))) == (True, False)
    assert {pipe.family for pipe in candidates(perforated=False, driven=True)} == {"D3034 SDR 35"}
    assert len({pipe.family for pipe in candidates(perforated=False)}) == 3


def test_a_thin_pipe_is_offered_only_where_the_common_one_wants_more_fall() -> None:
    every = candidates(perforated=False)
    small = offered(every, 0.001, 0.8, 0.01)
    assert [pipe.key for pipe in small if pipe.nominal == "4 in"] == ["d3034 4 in"]
    common, thin = PIPES["d3034 4 in"], PIPES["d2729 4 in"]
    flow = 0.0058
    wants, less = needed_grade(flow, common, 0.8), needed_grade(flow, thin, 0.8)
    assert less < wants  # its bore is wider
    keys = {pipe.key for pipe in offered(every, flow, 0.8, (less + wants) / 2.0)}
    assert {"d3034 4 in", "d2729 4 in"} <= keys
    assert "d2729 4 in" not in {pipe.key for pipe in offered(every, flow, 0.8, wants)}


def test_grates_have_their_freeboard_and_basins_of_a_given_height_their_lowest_pipe() -> None:
    raw = document()
    raw["works"]["basin"] = {"at": "50 ft, -5 ft", "depth": "4 ft", "rim": "99 ft", "off": "4 in", "on": "12 in"}
    raw["works"]["inlets"] = [{"name": "CB9", "at": "10 ft, -20 ft", "rim": "98 ft"}]
    site = survey(Job.model_validate(raw))
    spots = {
        "CB9": Spot(name="CB9", kind="inlet", at=(3.0, -6.0), ground=30.0, rim=98.0 * FOOT),
        "SUMP": Spot(name="SUMP", kind="basin", at=(15.0, -1.5), ground=30.0, rim=30.0),
    }
    found = {item.name: item for item in meetings(site, Network(spots=spots, lines=()))}
    assert found["CB9"].body
    assert found["CB9"].drop == pytest.approx(0.0254)
    assert found["CB9"].brim == pytest.approx(98.0 * FOOT - 0.0508)
    assert found["SUMP"].lowest == pytest.approx(95.0 * FOOT + 12 * 0.0254 + 0.0762)


def test_entry_height_is_depth_and_velocity_heads() -> None:
    """Critical flow in a 4 in pipe: entry loss 0.5 out of still water is 1.5 velocity heads over it."""
    line = GravityLine(
        name="A", upper="N", lower="M", distances=(0.0, 10.0), grounds=(10.0, 9.0), covered=(True, True), flow=0.004,
        pipes=(PIPES["d3034 4 in"],), minimum_grade=0.05, least_grade=0.005, maximum_fill=0.8, cover=0.2, width=0.6,
        entry=1.5,
    )  # fmt: skip
    height = entry_height(line, line.pipes[0])
    assert 0.06 < height < 0.12
    flatter = entry_height(GravityLine(**{**_fields(line), "minimum_grade": 0.006}), line.pipes[0])  # type: ignore[arg-type]
    assert flatter >= height - 0.02
    assert entry_height(GravityLine(**{**_fields(line), "flow": 0.0}), line.pipes[0]) == 0.0  # type: ignore[arg-type]


@pytest.mark.parametrize("flow", [0.0005, 0.003, 0.007])
def test_a_pipe_lies_as_high_as_the_water_below_its_grate_allows(flow: float) -> None:
    """Where the grate governs, not the cover: the invert is the brim less the water's height by other code."""
    line = GravityLine(
        name="A", upper="CB", lower="OUT", distances=(0.0, 10.0), grounds=(10.0, 9.5), covered=(True, True), flow=flow,
        pipes=(PIPES["d3034 6 in"],), minimum_grade=0.01, least_grade=0.005, maximum_fill=0.8, cover=0.0, width=0.6,
        entry=1.5,
    )  # fmt: skip
    grate = Meeting(name="CB", body=True, drop=0.0254, brim=9.6, freeboard=0.05)
    found = grade_lines([line], [grate]).lines["A"]
    assert found.invert_upper == pytest.approx(9.6 - head(line, line.pipes[0]), abs=1e-6)
    assert grade_lines([line]).lines["A"].invert_upper > found.invert_upper


def test_a_basin_of_a_given_height_holds_its_lowest_pipe_up() -> None:
    line = GravityLine(
        name="A", upper="N", lower="SUMP", distances=(0.0, 10.0), grounds=(10.0, 10.0), covered=(True, True), flow=0.0,
        pipes=(PIPES["d3034 4 in"],), minimum_grade=0.01, least_grade=0.005, maximum_fill=0.8, cover=0.2, width=0.6,
        to_basin=True, invert_upper=9.0,
    )  # fmt: skip
    free = grade_lines([line], [Meeting(name="SUMP", basin=True, rim=10.0)])
    assert free.relaxed == ()
    held = [Meeting(name="SUMP", basin=True, rim=10.0, lowest=8.95)]
    grading = grade_lines([line], held)
    (clash,) = clashes([line], held, grading)
    assert {item.kind for item in clash.members} == {"grade", "basin", "fixed upper"}
    assert {item.condition.kind: item.amount for item in clash.reliefs} == pytest.approx(
        {"grade": 0.005, "basin": 0.05, "fixed upper": 0.05}, abs=1e-6
    )


def test_the_sleeve_of_a_wrapped_drain_stays_out_of_the_bearing_wedge() -> None:
    """Its trench goes down to the sleeve's underside, three inches below the pipe's own."""
    wrapped = PIPES["wrapped 10 in"]
    line = GravityLine(
        name="FD", upper="A", lower="SUMP", distances=(0.0, 5.0, 10.0), grounds=(10.0,) * 3, covered=(True,) * 3,
        flow=1e-5, pipes=(wrapped,), minimum_grade=0.01, least_grade=0.005, maximum_fill=0.8, cover=0.2, width=0.6,
        bottoms=(9.0,) * 3, deep=(True,) * 3, to_basin=True,
    )  # fmt: skip
    found = grade_lines([line])
    assert not found.relaxed
    pipe_to_sleeve = (wrapped.envelope - wrapped.inside) / 2
    assert min(found.lines["FD"].inverts) - pipe_to_sleeve == pytest.approx(9.0, abs=1e-4)


def _fields(line: GravityLine) -> dict[str, object]:
    return {name: getattr(line, name) for name in line.__dataclass_fields__}


RUN = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT"}


def laid(run: dict[str, Any] | None = None, criteria: dict[str, Any] | None = None) -> System:
    raw = document(runs=[RUN | (run or {})], invert="95.5 ft", basin="none")
    raw["criteria"] = criteria or {}
    return designed(raw)[2]


def test_a_sound_job_has_no_clash() -> None:
    system = laid()
    assert system.conflicts == ()
    assert system.clashes == ()


def test_a_greatest_grade_is_kept() -> None:
    steepest = max(run.grade for run in laid().runs)
    limit = 0.8 * steepest
    assert limit > 0.0125
    limited = laid(criteria={"maximum_grade": f"{limit * 100.0:.3f} %"})
    assert limited.conflicts == ()
    assert max(run.grade for run in limited.runs) <= limit + 1e-5


def test_fixed_ends_that_rise_are_told_as_a_clash_with_a_remedy() -> None:
    system = laid({"invert_from": "95.5 ft", "invert_to": "96 ft"})
    assert system.conflicts
    fixed = {"fixed upper", "fixed lower"}
    clash = next(one for one in system.clashes if {item.kind for item in one.members} == {*fixed, "uphill"})
    assert all(fixed <= {item.kind for item in one.members} for one in system.clashes)  # its flow wants fall as well
    assert "YD: its upper end fixed at 95.5 ft" in clash.words or "YD: its upper end fixed at 95.50 ft" in clash.words
    assert clash.remedies[:2] == (
        "Set the lower end of YD 6 in lower (in the job: works.runs.YD.invert_to: 95.50 ft).",
        "Set the upper end of YD 6 in higher (in the job: works.runs.YD.invert_from: 96.00 ft).",
    )
    assert "cannot give way" in clash.remedies[2]
