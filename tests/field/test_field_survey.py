"""The whole reduction, on an invented house."""

from __future__ import annotations

import copy
import subprocess
import sys
from typing import Any

import pytest
from field_yard import document, job

from drainwright.errors import JobError
from drainwright.field import resolve_level, resolve_place, survey
from drainwright.job.model import Job
from drainwright.job.values import Basis, Level, Place
from drainwright.worksheet import worksheet

FOOT = 0.3048


def changed(*path: str | int, to: Any) -> Job:
    """The job with one value changed; a path that ends in a list's length appends."""
    data = copy.deepcopy(document())
    spot: Any = data
    for step in path[:-1]:
        spot = spot[step]
    last = path[-1]
    if isinstance(spot, list) and last == len(spot):
        spot.append(to)
    else:
        spot[last] = to
    return Job.model_validate(data)


def problem(changed_job: Job) -> str:
    with pytest.raises(JobError) as caught:
        survey(changed_job)
    return str(caught.value)


def test_the_site_of_the_invented_house() -> None:
    site = survey(job())
    assert site.points["A"].level == pytest.approx(99.5 * FOOT)
    assert site.points["P1"].north == pytest.approx(45.0 * FOOT)  # 15-20-25 triangles, north of the house
    assert (site.points["P2"].east, site.points["P2"].north) == pytest.approx((60.0 * FOOT, 15.0 * FOOT))
    assert site.floor == pytest.approx(98.0 * FOOT)
    assert site.floor_basis is Basis.STATED
    assert site.traverse is not None
    assert site.traverse.misclosure == pytest.approx(0.0, abs=1e-12)
    assert site.level_book is not None
    assert site.level_book.misclosure == pytest.approx(-0.01 * FOOT)
    assert site.barrier is None
    assert site.points["BM"].way == "level only"


def test_the_outline_is_counter_clockwise_however_it_was_walked() -> None:
    clockwise = survey(job()).outline
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(clockwise, (*clockwise[1:], clockwise[0]), strict=True))
    assert area == pytest.approx(2.0 * 1200.0 * FOOT**2)
    assert set(survey(changed("house", "outline", to=["D", "C", "B", "A"])).outline) == set(clockwise)
    closed = survey(changed("house", "outline", to=["D", "C", "B", "A", "D"]))
    assert len(closed.outline) == 4


def test_walls_face_away_from_the_house_whichever_way_they_are_named() -> None:
    site = survey(job())
    north, east = site.walls
    assert north.outward == pytest.approx((0.0, 1.0))
    assert east.outward == pytest.approx((1.0, 0.0))
    wall = {"name": "N", "from": "B", "to": "C", "footing_bottom": "3 ft 2 in below B"}
    turned = survey(changed("house", "walls", 0, to=wall))
    assert turned.walls[0].outward == pytest.approx((0.0, 1.0))
    assert turned.walls[0].ground_start == pytest.approx(north.ground_end)


def test_ground_and_footing_along_a_wall() -> None:
    north, east = survey(job()).walls
    assert north.ground_start == pytest.approx(97.505 * FOOT)  # C
    assert north.ground_end == pytest.approx(99.0 * FOOT)  # B
    assert north.ground_lowest == pytest.approx(97.505 * FOOT)
    assert north.footing_bottom == pytest.approx((99.0 - 3.0 - 2.0 / 12.0) * FOOT)
    assert north.footing_top == pytest.approx(north.footing_bottom + 0.2032)
    assert north.depth == pytest.approx((3.0 + 2.0 / 12.0) * FOOT)
    assert north.length == pytest.approx(40.0 * FOOT)
    assert east.footing_bottom == pytest.approx((97.505 - 2.0) * FOOT)  # below the lowest ground along it


@pytest.mark.parametrize(
    ("written", "feet"),
    [("95.25 ft", 95.25), ("2 ft below floor", 96.0), ("4 ft below BM", 96.0)],
)
def test_a_footing_may_hang_from_an_elevation_the_floor_or_a_mark(written: str, feet: float) -> None:
    if feet > 97.5:
        assert "not below the ground" in problem(changed("house", "walls", 0, "footing_bottom", to=written))
    else:
        assert survey(changed("house", "walls", 0, "footing_bottom", to=written)).walls[
            0
        ].footing_bottom == pytest.approx(feet * FOOT)


@pytest.mark.parametrize(
    ("written", "feet"),
    [("1 ft above ground", 98.505), ("3 ft above footing", 98.505), ("98.2 ft, assumed", 98.2)],
)
def test_the_floor_may_hang_from_ground_or_footing(written: str, feet: float) -> None:
    site = survey(changed("house", "floor", to=written))
    assert site.floor == pytest.approx(feet * FOOT)
    assert (site.floor_basis is Basis.ASSUMED) == (written.endswith("assumed") or "footing" in written)


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("house", "floor"), "1 ft below floor", "hangs from itself"),
        (("house", "floor"), "1 ft below P9", "house.floor"),
        (("house", "floor"), "1 ft below Z", "a level from 'Z'"),
        (("house", "walls", 0, "footing_bottom"), "1 ft below footing", "hangs from a footing"),
        (("house", "walls", 0, "to"), "C", "at one place"),
        (("house", "walls", 0, "to"), "D1", "Did you mean 'D'"),
        (("house", "walls", 0, "to"), "A", "neither or both of its sides"),
        (("house", "outline"), ["A", "C", "B", "D"], "crosses itself"),
        (("house", "outline"), ["A", "B", "BM"], "no place in plan"),
        (("trees", 0, "at"), "P66", "trees[0].at"),
        (("utilities", 0, "route", 1), "P55", "utilities[0].route[1]"),
        (("survey", "closing_benchmark"), {"name": "BM", "elevation": "90 ft"}, "a name of its own"),
        (("survey", "level_book"), [{"point": "BM", "backsight": "5 ft"}], "span no surface"),
    ],
)
def test_what_cannot_be_resolved_is_told_with_its_place(path: tuple[str | int, ...], value: Any, words: str) -> None:
    assert words in problem(changed(*path, to=value))


def test_a_floor_on_a_footing_that_hangs_from_the_floor_is_refused() -> None:
    data = copy.deepcopy(document())
    data["house"]["floor"] = "3 ft above footing"
    data["house"]["walls"][0]["footing_bottom"] = "3 ft below floor"
    assert "not known here" in problem(Job.model_validate(data))


def test_every_wall_at_fault_is_told_at_once() -> None:
    data = copy.deepcopy(document())
    for wall in data["house"]["walls"]:
        wall["footing_bottom"] = "100 ft"
    with pytest.raises(JobError) as caught:
        survey(Job.model_validate(data))
    assert [one.where for one in caught.value.problems] == [f"house.walls[{n}].footing_bottom" for n in (0, 1)]


def test_water_follows_the_mean_ground_round_the_house() -> None:
    site = survey(job())
    lows = (97.505 + 99.0) / 2.0, (99.5 + 99.0) / 2.0
    mean = (40.0 * lows[0] + 30.0 * lows[1] + 40.0 * lows[1] + 30.0 * lows[0]) / 140.0
    assert site.water_table == pytest.approx((mean - 6.0) * FOOT, abs=0.01)
    assert survey(changed("ground", "water_table", to="2 ft below floor")).water_table == pytest.approx(96.0 * FOOT)
    dry = survey(changed("ground", to={"texture": "clay", "barrier": "90 ft"}))
    assert dry.water_table is None
    assert dry.barrier == pytest.approx(90.0 * FOOT)
    assert any("water table is not known" in note for note in dry.notes)


def test_a_buried_line_follows_the_ground() -> None:
    (line,) = survey(job()).utilities
    site = survey(job())
    assert line.route[0] == pytest.approx((-20.0 * FOOT, -20.0 * FOOT))
    assert line.route[-1] == pytest.approx((-20.0 * FOOT, 50.0 * FOOT))
    assert len(line.route) == len(line.top) == 12  # 70 ft in straights of at most 2 m
    for at, top in zip(line.route, line.top, strict=True):
        assert site.surface.level(*at) - top == pytest.approx(2.0 * FOOT)


def test_a_line_beyond_the_shots_is_noted() -> None:
    site = survey(changed("utilities", 0, "route", to=["P3", "-60 ft, 0 ft"]))
    assert any("W1" in note and "beyond the shots" in note for note in site.notes)


def test_roots_reach_by_the_rule_of_the_place() -> None:
    assert survey(job()).trees[0].root_radius == pytest.approx(18.0 * FOOT)
    ten = survey(job(rules={"root_zone_per_diameter": 10.0}))
    assert ten.trees[0].root_radius == pytest.approx(10.0 * FOOT)


def test_shots_that_are_not_ground_are_left_out() -> None:
    site = survey(changed("survey", "points", 3, "note", to="Not ground: top of the wall"))
    assert "P4" not in site.surface.names
    assert "P5" in site.surface.names
    read = survey(changed("survey", "level_book", 1, "note", to="sill, not ground"))
    assert "A" not in read.surface.names
    assert read.points["A"].level == pytest.approx(99.5 * FOOT)


def test_the_benchmark_is_no_ground_even_in_plan() -> None:
    site = survey(changed("survey", "points", 6, to={"name": "BM", "east": "-5 ft", "north": "10 ft"}))
    assert site.points["BM"].level == pytest.approx(100.0 * FOOT)
    assert "BM" not in site.surface.names


def test_a_wall_without_levels_at_its_corners_says_so() -> None:
    site = survey(changed("survey", "level_book", 5, "point", to="TP9"))  # C is not read
    assert any("No level was read at C" in note and "wall N" in note for note in site.notes)


def test_a_levelled_point_without_a_place_is_told() -> None:
    site = survey(changed("survey", "level_book", 6, "point", to="P11"))
    assert "Levelled but not fixed in plan, so no ground shot: P11." in site.notes
    assert not any("Levelled" in note for note in survey(job()).notes)


def test_levels_may_be_stated_without_a_book() -> None:
    data = copy.deepcopy(document())
    data["survey"] = {
        "points": [
            {"name": name, "east": f"{east} ft", "north": f"{north} ft", "level": level}
            for name, east, north, level in [("A", 0, 0, "99.5 ft"), ("B", 0, 30, "99 ft"), ("C", 40, 30, "97.5 ft"),
                                             ("D", 40, 0, "99 ft"), ("P3", -20, -20, "99 ft"), ("P5", -20, 50, "98 ft"),
                                             ("P6", 60, 50, "97 ft")]
        ]
    }  # fmt: skip
    site = survey(Job.model_validate(data))
    assert site.level_book is None
    assert site.traverse is None
    assert site.walls[0].ground_start == pytest.approx(97.5 * FOOT)


def test_places_and_levels_of_later_stages() -> None:
    site = survey(job())
    assert resolve_place(site, Place(name="P6")) == pytest.approx((60.0 * FOOT, 50.0 * FOOT))
    assert resolve_place(site, Place(east=1.0, north=2.0)) == (1.0, 2.0)
    at = (20.0 * FOOT, 35.0 * FOOT)
    assert resolve_level(site, Level.model_validate("1 ft below ground"), at) == pytest.approx(
        site.surface.level(*at) - FOOT
    )
    assert resolve_level(site, Level.model_validate("2 in above footing"), at) == pytest.approx(
        site.walls[0].footing_bottom + FOOT / 6.0
    )
    beyond = (60.0 * FOOT, 29.0 * FOOT)  # a foot off the north wall's line, but 20 ft from the east wall
    assert resolve_level(site, Level.model_validate("at footing"), beyond) == site.walls[1].footing_bottom
    assert resolve_level(site, Level.model_validate("at floor")) == site.floor
    assert resolve_level(site, Level.model_validate("96 ft")) == pytest.approx(96.0 * FOOT)
    for written in ("at ground", "at footing", "at P66"):
        with pytest.raises(JobError):
            resolve_level(site, Level.model_validate(written))


def test_the_same_job_gives_the_same_site() -> None:
    first, second = survey(job()), survey(job())
    assert first.points.keys() == second.points.keys()
    assert first.walls == second.walls
    assert first.utilities == second.utilities
    assert first.notes == second.notes
    assert first.surface.level(3.0, 14.0) == second.surface.level(3.0, 14.0)


def test_the_worksheet_tells_each_formula_with_its_place() -> None:
    with worksheet() as steps:
        survey(job())
    used = {step.formula.rpartition(".")[2] for step in steps}
    assert used >= {
        "height_of_instrument", "sighted_level", "allowable_misclosure", "level_correction", "latitude", "departure",
        "compass_correction", "fix_by_ties", "footing_top", "root_radius",
    }  # fmt: skip
    assert all(step.place for step in steps)


def test_the_wing_is_light_to_import() -> None:
    """Nothing heavy is read until a job is surveyed."""
    text = "import sys, drainwright.field; print({'scipy', 'shapely', 'numba'} & set(sys.modules))"
    shown = subprocess.run([sys.executable, "-c", text], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "set()"
