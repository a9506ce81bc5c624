"""Jobs that are allowed but odd are carried through; those that cannot be are refused at their line."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Literal

import pytest

from drainwright.build.soak_dig import soak_beds
from drainwright.design import Design, design
from drainwright.errors import JobError
from drainwright.job import read_text
from drainwright.paper.drawings import drawings
from drainwright.paper.svg import to_svg
from drainwright.system.catalogue import find_pipe
from drainwright.system.grading.model import GradedLine, GravityLine, Relaxed
from drainwright.system.grading.words import conflict

HERE = Path(__file__).parent
SMALL = (HERE / "job" / "small.yaml").read_text(encoding="utf-8")
LAWN = "  - {name: yard, area: 900 ft2, to: CB}\n"
SLOW = "{kind: channel, length: 3000 ft, slope: 0 %, roughness: 1, depth: 0.01 in, width: 1 ft}"
SHOTS = """  shot_sets:
    - name: lot
      unit: ft
      shots: [[50 ft, 5 ft, 99 ft], [60 ft, 5 ft, 99 ft], [60 ft, 25 ft, 98 ft], [-9 ft, 9 ft, 101 ft]]
      known: [{at: A, in_file: [0, 0]}, {at: B, in_file: [IN_FILE, 0]}]
"""


def changed(*changes: tuple[str, str]) -> str:
    text = SMALL
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def survey(lines: str) -> tuple[str, str]:
    return ("house:\n", f"{lines}house:\n")


def designed(*changes: tuple[str, str]) -> Design:
    return design(read_text(changed(*changes)).job)


ODD = {
    "soil that lets nothing through": ("  texture: loam\n", "  texture: loam\n  conductivity: 1e-300 m/s\n"),
    "rain that may be nothing": ("rain:\n", "rain:\n  spread: 100 %\n"),
    "a yard that sheds nothing": (LAWN, "  - {name: yard, area: 900 ft2, to: CB, runoff_coefficient: 0 %}\n"),
    "a yard that sheds nothing or all": (
        LAWN,
        "  - {name: yard, area: 900 ft2, to: CB, runoff_coefficient: {value: 0 %, low: 0 %, high: 100 %}}\n",
    ),
    "gravel with sand in it, and little between": (
        "  texture: loam\n",
        "  texture: loam\n  grading: {d15: 0.2 mm, d50: 12 mm, d85: 40 mm, fines: 4 %}\n",
    ),
    "gravel alone": ("  texture: loam\n", "  texture: loam\n  grading: {d15: 6 mm, d85: 40 mm, fines: 0 %}\n"),
    "a way without a fall": (
        LAWN,
        "  - {name: yard, area: 900 ft2, to: CB, flow_path: [{kind: sheet, length: 50 ft, slope: 0 %}]}\n",
    ),
}


@pytest.mark.parametrize("change", ODD.values(), ids=ODD.keys())
def test_odd_jobs_are_carried_through(change: tuple[str, str]) -> None:
    result = designed(change)
    bands = [band for band in (result.inflows.total, *result.inflows.bands.values()) if band is not None]
    assert bands
    assert all(math.isfinite(value) for band in bands for value in (band.low, band.middle, band.high))


def test_a_trench_narrower_than_its_pipe_takes_no_stone_and_gives_none_back() -> None:
    out = 'at: "60 ft, -20 ft", kind: {}}}'.format
    (bed,) = soak_beds(
        designed(
            (
                out("daylight, invert: 98 ft"),
                out("infiltration trench, invert: 98 ft, soak: {width: 1 mm, depth: 1 mm}"),
            )
        ).system
    )
    assert bed.stone == 0.0


def test_a_job_without_works_is_still_surveyed_and_judged() -> None:
    text = SMALL[: SMALL.index("roofs:\n")] + SMALL[SMALL.index("works:\n") : SMALL.index("  inlets:\n")]
    text += SMALL[SMALL.index("  discharge:\n") :]
    result = design(read_text(text).job)
    assert not result.system.runs
    assert result.answers
    chart = to_svg(drawings(result)["storm"])
    assert not re.search(r"0\.00000", re.sub(r"<[^>]+>", " ", chart))


def test_what_takes_longer_than_a_lifetime_is_said_so() -> None:
    result = designed(
        ("  texture: loam\n", "  texture: loam\n  conductivity: 1e-12 m/s\n  water_table: 6 in below A\n")
    )
    assert "more than 100 years" in " ".join(answer.answer for answer in result.answers)


REFUSED = {
    "a drop along the house": (
        survey("  breaklines: [{name: plinth, points: [A, B], drop: 1 ft}]\n"),
        "survey.breaklines[0]", "along a wall of the house",
    ),
    "a drop round the house": (
        survey("  breaklines: [{name: plinth, points: [A, B, C, D, A], drop: 1 ft}]\n"),
        "survey.breaklines[0]", "along a wall of the house",
    ),
    "a drop that comes back on itself": (
        survey("  breaklines: [{name: kerb, points: [A, P, A], drop: 1 ft}]\n"),
        "survey.breaklines[0]", "back along itself",
    ),
    "shots hung by mixed-up places": (
        survey(SHOTS.replace("IN_FILE", "1e7")), "survey.shot_sets[0].known", "times as far apart",
    ),
    "a yard off ground that does not drain": (
        (LAWN, "  - {name: yard, from_ground: true, to: CB}\n"), "yards.yard.from_ground", "no ground that drains to CB"
    ),
    "a hole whose water falls": (
        ("  texture: loam\n", "  texture: loam\n  hole_tests: [{name: pit 1.a, kind: auger hole, diameter: 4 in,"
         " hole_depth: 4 ft, water_depth: 2 ft, readings: [{time: 0 s, depth: 3 ft}, {time: 9 s, depth: 3.2 ft}]}]\n"),
        "ground.hole_tests.pit 1.a.readings", "water that does not rise",
    ),
    "a lawn that no rain of the table outlasts": (
        (LAWN, f"  - {{name: yard, area: 9000 ft2, to: CB, flow_path: [{', '.join([SLOW] * 10)}]}}\n"),
        "yards.yard", "longer to cross than the longest rain",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("change", "where", "found"), REFUSED.values(), ids=REFUSED.keys())
def test_what_a_stage_refuses_is_told_at_its_line(change: tuple[str, str], where: str, found: str) -> None:
    document = read_text(changed(change))
    with pytest.raises(JobError) as caught:
        design(document.job)
    (raw,) = caught.value.problems
    assert raw.where == where
    (problem,) = document.with_lines(caught.value).problems
    assert found in problem.found
    line = document.text.splitlines()[(problem.line or 0) - 1]
    assert any(word in line for word in ("points:", "known:", "name: yard", "readings:")), line


def test_an_inlet_on_top_of_the_basin_is_refused_where_the_pipe_between_them_is_proposed() -> None:
    run = "    - {name: Y, duty: yard drain, from: CB, to: SUMP, invert_from: 98 ft, invert_to: 97.5 ft}\n"
    document = read_text(changed((run, ""), ("    at: P\n    rim: 100 ft\n", "    at: Q\n    rim: 100 ft\n")))
    with pytest.raises(JobError) as caught:
        design(document.job)
    (problem,) = document.with_lines(caught.value).problems
    assert problem.where == "works.inlets[0].at"
    assert problem.found == "CB and SUMP at one place"
    assert "name: CB" in document.text.splitlines()[(problem.line or 0) - 1]


FOUR = """  more_basins:
    - {name: B1, at: "70 ft, 0 ft"}
    - {name: C1, at: "70 ft, 10 ft"}
    - {name: D1, at: "70 ft, 20 ft"}
  discharge:
"""
PUMPED = "".join(
    f"    - {{name: M{end}, duty: discharge line, from: {end}, to: Z}}\n" for end in ("SUMP", "B1", "C1", "D1")
)
POINT = "    - {name: P, along: [A, B], distance: 44 ft, offset: -5 ft}\n"


def test_too_many_basins_on_one_main_are_refused_at_its_line() -> None:
    document = read_text(
        changed(
            (POINT, f"{POINT}    - {{name: Z, east: 60 ft, north: 5 ft, level: 99 ft}}\n"),
            ("    - {name: M, duty: discharge line, from: SUMP, to: OUT}\n",
             f"{PUMPED}    - {{name: MAIN, duty: discharge line, from: Z, to: OUT}}\n"),
            ("  discharge:\n", FOUR),
        )
    )  # fmt: skip
    with pytest.raises(JobError) as caught:
        design(document.job)
    (problem,) = document.with_lines(caught.value).problems
    assert "at most 3 basins on one discharge line" in problem.expected
    assert "name: MAIN" in document.text.splitlines()[(problem.line or 0) - 1]


@pytest.mark.parametrize(("units", "said"), [("SI", "less than 0.001 m"), ("US", "less than 0.001 ft")])
def test_what_gives_way_by_a_hair_is_not_told_as_nothing(units: Literal["US", "SI"], said: str) -> None:
    pipe = find_pipe("d3034 4 in")
    line = GravityLine(
        name="Y", upper="CB", lower="OUT", distances=(0.0, 10.0), grounds=(1.5, 1.5), covered=(True, True), flow=0.001,
        pipes=(pipe,), minimum_grade=0.01, least_grade=0.005, maximum_fill=0.8, cover=0.3, width=0.4,
    )  # fmt: skip
    found = GradedLine(name="Y", pipe=pipe, knots=(0.0, 10.0), inverts=(1.0, 0.9))
    assert said in conflict(Relaxed(kind="cover", line="Y", amount=0.0001), line, found, units)


AT_ODDS = (  # water of an inlet that stands under its own pipe
    ("{name: Y, duty: yard drain,", "{name: Y, duty: discharge line,"), ("rim: 99.8 ft", "rim: 97 ft"),
)  # fmt: skip


def test_an_inlet_under_its_pipe_is_refused_whatever_the_pipe_is_for() -> None:
    with pytest.raises(JobError, match=r"works\.inlets\[0\]\.rim: found the rim of CB at 97\.00 ft"):
        read_text(changed(*AT_ODDS))


def test_the_storm_ends_even_where_a_job_is_at_odds_with_itself() -> None:
    """Without its coarse steps the storm would take the shortest step to the end: days of computing."""
    from drainwright.job.loading import load
    from drainwright.job.model import Job

    record = load(changed(*AT_ODDS), "job.yaml").record
    assert design(Job.model_validate(record, context={"document": True})).storm.cases
