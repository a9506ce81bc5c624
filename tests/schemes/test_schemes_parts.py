"""The parts of the schemes: drains of walls, trees, figures, words, what is written into a document."""

from __future__ import annotations

import dataclasses
import json
import math
from typing import Any

import pytest
from scheme_lots import EXAMPLES, FOOT, compared, figures, job, lot
from shapely import LineString, Point, Polygon

from drainwright.field import survey
from drainwright.job.model import Job
from drainwright.job.reading import read_document, read_text
from drainwright.job.writing import changed
from drainwright.schemes.base import Place, base_of, rain_basin_place
from drainwright.schemes.draft import Draft, length_text, place_text
from drainwright.schemes.gathering import rain_places
from drainwright.schemes.model import Comparison
from drainwright.schemes.trees import HAIR, star_to, tree_to
from drainwright.schemes.words import CRITERIA, alike, explained, rankings, shared, verdict
from drainwright.system.network import spot_at
from drainwright.system.ways import distance, route_length
from drainwright.system.yard.wall_drains import wall_drains

# -- drains beside walls ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wet", "to", "parts"),
    [
        (("south", "east"), (60.0, -20.0), 2),  # to the corner between them
        (("south", "east"), (60.0, 60.0), 1),  # to the far end of the east wall
        (("south", "east", "north"), (60.0, -20.0), 2),
        (("south", "east", "north", "west"), (60.0, -20.0), 2),
        (("north",), (60.0, -20.0), 1),
    ],
)
def test_drains_fall_to_the_corner_nearest_to_where_they_go_on(
    wet: tuple[str, ...], to: tuple[float, float], parts: int
) -> None:
    base = base_of(job(wet=wet), redraw=False)
    assert len(base.chains) == 1
    goal = (to[0] * FOOT, to[1] * FOOT)
    drain = wall_drains(base.chains[0], lambda at: base.yard.cost_between(at, goal))
    assert len(drain.parts) == parts
    assert {wall.name for part in drain.parts for wall in part} == set(wet)
    corners = [(x * FOOT, y * FOOT) for x, y in ((0, 0), (40, 0), (40, 30), (0, 30))]
    ends = [corner for wall in drain.walls for corner in (wall.start, wall.end)]
    here = min(corners, key=lambda corner: distance(corner, drain.at))
    assert min(distance(here, end) for end in ends) < 0.01
    if len(wet) in (2, 4):
        assert here == min(ends, key=lambda corner: distance(corner, goal))
    house = Polygon(base.site.outline)
    for route in drain.routes:
        assert LineString(route).distance(house) == pytest.approx(0.3048, abs=1e-6)  # beside, never through
        assert distance(route[-1], here) < 0.45


def test_a_ring_of_drains_is_parted_at_the_far_corner() -> None:
    base = base_of(job(wet=("south", "east", "north", "west")), redraw=False)
    drain = wall_drains(base.chains[0], lambda at: base.yard.cost_between(at, (60 * FOOT, -20 * FOOT)))
    lengths = sorted(route_length(route) for route in drain.routes)
    assert lengths[1] - lengths[0] < 11 * FOOT  # 70 ft each way of 140
    assert distance(drain.routes[0][0], (0.0, 30 * FOOT)) < 0.45
    assert distance(drain.routes[1][0], (0.0, 30 * FOOT)) < 0.45


# -- trees --------------------------------------------------------------------------------------


def test_water_arrives_as_high_as_fall_and_cover_allow() -> None:
    base = base_of(job(fall=0.0), redraw=False)
    way = base.ways[0]
    here = Place(name="X", at=(way.at[0], way.at[1] + 20.0), invert=30.0)
    tree = star_to(base, [here], "OUT", way.at)
    assert tree.arrivals[0][1] == pytest.approx(30.0 - 20.0 * base.job.criteria.minimum_grade)
    high = dataclasses.replace(here, invert=31.0)  # above the ground: cover decides, most of all at the far end
    criteria = base.job.criteria
    covered = 100 * FOOT - criteria.minimum_cover - 0.1071
    arrives = star_to(base, [high], "OUT", way.at).arrivals[0][1]
    assert arrives == pytest.approx(covered - 20.0 * criteria.minimum_grade)


def test_cover_is_left_out_near_an_open_end_only() -> None:
    """On a slope the ground over the end decides, unless the pipe comes out of it there."""
    for kind, off in (("storm line", 0.0), ("daylight", 9.144)):
        base = base_of(job(fall=0.03, kind=kind), redraw=False)
        at = base.ways[0].at
        far = Place(name="X", at=(at[0], at[1] + 20.0), invert=31.0)
        criteria, surface = base.job.criteria, base.site.surface
        arrives = star_to(base, [far], "OUT", at).arrivals[0][1]
        nearest = min(reach for reach in range(21) if reach >= off or kind == "storm line")
        ground = float(surface.level(at[0], at[1] + nearest))
        expected = ground - criteria.minimum_cover - 0.1071 - nearest * criteria.minimum_grade
        assert arrives == pytest.approx(expected, abs=1e-6)


def test_a_way_of_its_own_goes_round_roots_while_it_has_the_fall() -> None:
    data = lot(fall=0.0)
    data["trees"] = [{"name": "oak", "at": "20 ft, -45 ft", "trunk_diameter": "12 in"}]
    base = base_of(Job.model_validate(data), redraw=False)
    way = base.ways[0]
    here = Place(name="X", at=(20 * FOOT, -10 * FOOT), invert=30.0)
    roots = base.site.trees[0]

    def among(tree: Any) -> float:
        return LineString(tree.edges[0].route).intersection(Point(roots.at).buffer(roots.root_radius - 0.3)).length

    round_it = star_to(base, [here], "OUT", way.at)
    straight = star_to(base, [here], "OUT", way.at, level=math.inf)
    assert among(round_it) < 0.3
    assert among(straight) > 3.0
    assert round_it.arrivals[0][1] < straight.arrivals[0][1]
    between = (round_it.arrivals[0][1] + straight.arrivals[0][1]) / 2 + HAIR
    assert star_to(base, [here], "OUT", way.at, level=between) == straight
    assert star_to(base, [here], "OUT", way.at, level=round_it.arrivals[0][1]) == round_it


def test_no_pipe_of_a_tree_ends_at_a_downspout_and_all_lead_to_the_root() -> None:
    base = base_of(job(fall=0.01), redraw=False)
    at = base.ways[0].at
    places = [Place(name=spot.name, at=spot.at, invert=30.0, roof=spot.kind == "downspout") for spot in base.spots]
    close = Place(name="NEXT", at=(places[0].at[0], places[0].at[1] + 2.0), invert=30.0)
    tree = tree_to(base, [*places, close], "OUT", at)
    roofs = {place.name for place in places if place.roof}
    assert not roofs & {edge.lower for edge in tree.edges}
    after = {edge.upper: edge.lower for edge in tree.edges}
    assert len(after) == len(tree.edges)
    for place in (*places, close):
        here = place.name
        for _ in range(20):
            here = after.get(here, here)
        assert here == "OUT"
    assert {name for name, _ in tree.arrivals} == {place.name for place in (*places, close)}
    ends = {**{place.name: place.at for place in (*places, close)}, **dict(tree.joints), "OUT": at}
    for edge in tree.edges:
        assert distance(edge.route[0], ends[edge.upper]) < 1e-6
        assert distance(edge.route[-1], ends[edge.lower]) < 1e-6


def test_a_second_basin_keeps_off_the_first() -> None:
    base = base_of(job(fall=0.0), redraw=False)
    rain = rain_places(base)
    wished = rain_basin_place(base, base.network, rain)
    spots = {"SUMP": spot_at(base.site, "SUMP", "basin", wished)}
    taken = dataclasses.replace(base.network, spots={**base.network.spots, **spots})
    assert distance(rain_basin_place(base, taken, rain), wished) >= 1.2 + 0.3


# -- what is written ----------------------------------------------------------------------------


def test_a_draft_says_the_same_to_the_record_and_to_the_document() -> None:
    data = lot(runs=[{"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "OUT"}], basin="if needed")
    document = read_text(json.dumps(data), "job.json")
    draft = Draft(
        points=({"name": "J1", "east": "10.00 ft", "north": "-20.00 ft", "note": "not ground: junction"},),
        inlets=({"name": "CB9", "at": "50.00 ft, 10.00 ft"},),
        runs=({"name": "L9", "duty": "leader", "from": "DS1", "to": "J1", "via": ["30.00 ft, -5.00 ft"]},
              {"name": "YD9", "duty": "yard drain", "from": "J1", "to": "OUT"}),
        basin="none",
    )  # fmt: skip
    for one in (draft, dataclasses.replace(draft, redraw=True)):
        written = changed(document, one.write_into)
        assert written.job == one.applied(document.job)
        assert ("YD1" in {run.name for run in written.job.works.runs}) is not one.redraw


def test_a_document_of_yaml_keeps_its_comments() -> None:
    found = compared("wrong-choices/job")
    document = read_document(EXAMPLES / "wrong-choices" / "job.yaml")
    for scheme in found.schemes:
        written = changed(document, scheme.draft.write_into)
        assert written.job == scheme.job
        assert "# Choices that are wrong, on purpose" in written.text


@pytest.mark.parametrize(("name", "foreign"), [("block-wall-house/job", "mm"), ("metric-basement/job", "in")])
def test_what_is_taken_is_written_in_the_jobs_own_units_and_all_else_is_as_it_was_typed(
    name: str, foreign: str
) -> None:
    document = read_document(EXAMPLES / f"{name}.yaml")
    old = document.text.splitlines()
    offsets = 0
    for scheme in compared(name).schemes[1:]:
        new = changed(document, scheme.draft.write_into).text.splitlines()
        for line in new:
            if line not in old and "where footing drains end" in line:
                offsets += 1
                assert f" {foreign}," not in line, line
                assert ("0 ft" in line) == (foreign == "mm")
        gone = [line for line in old if line.strip() and line not in new]
        assert all(line.startswith(("    - {name: ", "  basin")) for line in gone), gone  # the runs and the basin
    assert offsets > 0


@pytest.mark.parametrize(
    ("value", "units", "text"), [(12.954, "US", "42.50 ft"), (-0.001, "US", "0.00 ft"), (3.14159, "SI", "3.14 m")]
)
def test_lengths_are_typed_to_the_hundredth(value: float, units: Any, text: str) -> None:
    assert length_text(value, units) == text
    assert place_text((value, value), units) == f"{text}, {text}"


# -- figures and words --------------------------------------------------------------------------


def test_a_scheme_that_is_behind_in_nothing_is_said_so_with_what_it_is_ahead_in() -> None:
    both: dict[Any, Comparison] = {"gravity": figures(), "pumped": figures("15000", (1.0, None), pumps=1)}
    text = verdict(both, "US")
    assert text.startswith(
        "'All by gravity' is behind under no criterion, and ahead in price ($10,000; the next $15,000)"
    )
    assert "pumps to keep up (none; the next 1)" in text
    assert "alike" not in text


def test_a_price_that_is_a_little_higher_is_not_called_lower() -> None:
    """One that costs 1.9 % more than another may lead, but the other's price is told beside it."""
    both: dict[Any, Comparison] = {"gravity": figures("10190"), "pumped": figures("10000", (1.0, None), pumps=1)}
    text = verdict(both, "US")
    assert "'All by gravity' is behind under no criterion" in text
    assert text.endswith("'All pumped' costs $190 less, within the 2 % that count as alike.")
    assert "price (" not in text
    assert not any("costs least" in line for key in both for line in explained(both, "US")[key][0])


def test_schemes_that_trade_off_get_no_recommendation() -> None:
    both: dict[Any, Comparison] = {"gravity": figures("15000"), "pumped": figures("10000", (1.0, None), pumps=1)}
    text = verdict(both, "US")
    assert text.startswith("None is better in all")
    assert "Least price: 'All pumped'." in text
    assert "Least that can fail and fewest pumps to keep up: 'All by gravity'." in text


def test_equal_schemes_lead_together_and_alone_is_said_too() -> None:
    two: dict[Any, Comparison] = {"gravity": figures(), "soak": figures("10100")}  # prices 1 % apart are alike
    assert "alike under every criterion (their prices, $100 apart, within 2 %)" in verdict(two, "SI")
    assert "the only scheme" in verdict({"gravity": figures()}, "SI")


def test_orders_share_a_place_where_figures_are_alike() -> None:
    three: dict[Any, Comparison] = {
        "gravity": figures("10000"), "soak": figures("10150"), "pumped": figures("12000", (0.5,), pumps=1),
    }  # fmt: skip
    order = {ranking.criterion: ranking for ranking in rankings(three, "US")}
    assert order["least price"].places == (("gravity", "soak"), ("pumped",))
    assert dict(order["least price"].figures)["pumped"] == "$12,000"
    assert order["least that can fail"].places[-1] == ("pumped",)
    assert "most head room" not in order  # all alike: no order


def test_fewer_failures_count_before_how_soon_and_soon_before_late() -> None:
    by_failing = next(item for item in CRITERIA if item.name == "least that can fail")
    dry, late, soon, twice = (
        by_failing.value(figures(hours=hours)) for hours in ((None, None), (9.0, None), (0.1, None), (9.0, 9.0))
    )
    assert dry < late < soon < twice


def test_no_drain_at_the_house_is_alike_with_itself_only() -> None:
    room = next(item for item in CRITERIA if item.name == "most head room")
    assert alike(room, figures(head_room=None), figures(head_room=None))
    assert not alike(room, figures(head_room=None), figures(head_room=0.1))


def test_words_rest_on_figures() -> None:
    both: dict[Any, Comparison] = {
        "gravity": figures("9000", (None,), deep=12.0, roots=1),
        "pumped": figures("12000", (0.5, None), pumps=1, fails=("LFT-01",), head_room=-0.05, pump_margin=0.8,
                          in_wedge=1, crossings=0, met=(), hand_dig=0.0, energy=3.6e8),
    }  # fmt: skip
    told = explained(both, "SI")
    pros, cons = told["gravity"]
    assert "It costs least: $9,000; the next $12,000." in pros
    assert not any(text.startswith("It cuts into fewest") for text in pros)  # one root here, one footing there
    assert "No pump: nothing to keep running, and a power cut does not stop it." in pros
    assert "12.0 m dug deeper than 1.5 m, where the sides want protection." in cons
    assert "1 dig cuts into the roots of a tree to keep." in cons
    pros, cons = told["pumped"]
    assert "No buried line is met." in pros
    for text in (
        "1 check fails: LFT-01.", "Water stands 50 mm over the floor in the design storm, all working.",
        "1 of 2 single failures brings water to the floor, 30 min after it at the soonest.",
        "It depends on a pump, to be tested twice a year and replaced in time, some 100 kWh a year.",
        "The pump gives 80 % of the design inflow.", "$3,000 more than the least (33 %).",
        "1 dig enters the bearing wedge of a footing.",
    ):  # fmt: skip
        assert text in cons


def test_what_is_true_of_all_is_told_once() -> None:
    both: dict[Any, Comparison] = {
        "gravity": figures("9000"), "soak": figures("12000", roots=2), "split": figures("9100", fails=("DIG-01",) * 6),
    }  # fmt: skip
    common = shared(both, "US")
    assert "No pump: nothing to keep running, and a power cut does not stop it." in common
    assert "16 ft dug by hand where buried lines are met (water 2)." in common
    told = explained(both, "US")
    assert not any(text in common for pros, cons in told.values() for text in (*pros, *cons))
    assert "Like 'Rain by gravity, ground water pumped' it costs least: $9,000; the next $12,000." in told["gravity"][0]
    assert told["split"][1][0] == "6 checks fail: DIG-01 (6)."
    assert told["soak"][1][0] == "$3,000 more than the least (33 %)."
    assert shared({"gravity": figures()}, "US") == ()


def test_the_depth_that_wants_protection_is_measured_along_the_run() -> None:
    scheme = compared("metric-basement/job").schemes[0]
    deep = 0.0
    for run in scheme.design.system.runs:
        for one, other in zip(run.stations, run.stations[1:], strict=False):
            for part in range(100):
                share = (part + 0.5) / 100
                cut = one.cut + share * (other.cut - one.cut)
                deep += (other.distance - one.distance) / 100 if cut > 1.524 else 0.0
    assert scheme.comparison.deep == pytest.approx(deep, abs=0.3)
    assert deep > 10.0


def test_a_survey_is_not_moved_by_the_points_of_a_scheme() -> None:
    found = compared("sloping-lot/job")
    level = survey(found.job).surface.level(6.0, 11.0)
    for scheme in found.schemes:
        assert math.isclose(survey(scheme.job).surface.level(6.0, 11.0), level)
