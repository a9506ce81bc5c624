"""Positions known without surveying, and crossing segments."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import JobError
from drainwright.job import read_text
from drainwright.job.plan import Plan, positions, segments_cross
from drainwright.job.starter import new_job_text

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
FEET = 0.3048  # m, exact by definition
PLACES = st.tuples(st.integers(-4, 4).map(float), st.integers(-4, 4).map(float))


@settings(deadline=None)  # the first call loads the library
@given(PLACES, PLACES, PLACES, PLACES)
def test_segments_cross_as_a_geometry_library_says(a: Plan, b: Plan, c: Plan, d: Plan) -> None:
    """On whole numbers both are exact; a segment of no length is a point."""
    from shapely import LineString, Point

    first = LineString([a, b]) if a != b else Point(a)
    second = LineString([c, d]) if c != d else Point(c)
    assert segments_cross(a, b, c, d) == first.intersects(second)


def test_walk_and_offsets() -> None:
    """The starter's walk goes anticlockwise from the south-west corner; S1 lies 6 ft right of A-B, 4 ft past B."""
    known = positions(read_text(new_job_text()).job)
    assert known["C"] == pytest.approx((40 * FEET, 28 * FEET), abs=1e-12)
    assert known["D"] == pytest.approx((0.0, 28 * FEET), abs=1e-12)
    assert known["S1"] == pytest.approx((44 * FEET, -6.0 * FEET), abs=1e-12)
    assert "LOW" not in known  # by ties: a matter of the survey


def test_point_on_a_point_on_a_line() -> None:
    text = SMALL.replace("  level_book:", "    - {name: R, along: [P, B], distance: 0 ft, offset: 0 ft}\n  level_book:")
    assert positions(read_text(text).job)["R"] == pytest.approx((44 * FEET, -5 * FEET), abs=1e-12)


@pytest.mark.parametrize("end", ["B", "MID"])
def test_wall_on_part_of_a_side(end: str) -> None:
    text = SMALL.replace("  level_book:", "    - {name: MID, along: [A, B], distance: 20 ft}\n  level_book:")
    assert read_text(text.replace("      to: B\n", f"      to: {end}\n")).job.house.walls[0].to == end


def test_wall_into_the_house_is_refused() -> None:
    text = SMALL.replace(
        "  level_book:", "    - {name: IN, along: [A, B], distance: 20 ft, offset: 3 ft}\n  level_book:"
    )
    with pytest.raises(JobError, match="no side of the outline"):
        read_text(text.replace("      to: B\n", "      to: IN\n"))


@pytest.mark.parametrize(("start", "end"), [("A", "B"), ("B", "A")])
def test_two_walls_on_the_same_corners_are_refused(start: str, end: str) -> None:
    walls = SMALL.index("    - name: south\n")
    second = f"    - {{name: east, from: {start}, to: {end}, footing_bottom: 2 ft below A}}\n"
    with pytest.raises(JobError, match=r"the wall 'east' from . to ., on the corners of 'south'") as error:
        read_text(
            SMALL[:walls] + second.replace("east", "south") + SMALL[walls:].replace("name: south", "name: east", 1)
        )
    assert error.value.problems[0].where == "house.walls[1]"


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("texture: loam", "texture: {value: lome, basis: mapped}", "ground.texture.value"),
        ("texture: loam", "texture: {value: loam, basis: guessed}", "ground.texture.basis"),
        ("texture: loam", "texture: {basis: mapped}", "ground.texture.value"),
        ("texture: loam", "texture: {value: loam, bases: mapped}", "ground.texture.bases"),
        ("2 ft below A", "{value: 2 ft below Z9, basis: mapped}", "house.walls[0].footing_bottom"),
    ],
)
def test_faults_inside_a_fact(old: str, new: str, where: str) -> None:
    with pytest.raises(JobError) as caught:
        read_text(SMALL.replace(old, new))
    assert [problem.where for problem in caught.value.problems] == [where]
    line = caught.value.problems[0].line
    assert line is not None
    assert new in SMALL.replace(old, new).splitlines()[line - 1]
