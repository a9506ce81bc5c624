"""The storm's further sheets: nothing covers anything or leaves the page; marks stand where the values are."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from itertools import accumulate, combinations, pairwise

import numpy as np
import pytest
import shapely

from drainwright.design import Design, design
from drainwright.job.changes import changed_job
from drainwright.job.reading import read_job
from drainwright.job.writing import to_json
from drainwright.paper.documents.failure_table import failure_plates
from drainwright.paper.frame import LEAF, Draft
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import Polygon, Polyline, TextMark
from drainwright.paper.storm_chart import storm_draft
from drainwright.paper.storm_failures import alarm_after, even_pages, failure_rows, failures_drafts
from drainwright.paper.storm_flows import flow_panels
from drainwright.paper.storm_levels import drain_levels
from drainwright.paper.storm_phone import failures_phone
from drainwright.paper.storm_ponds import wetted
from drainwright.paper.storm_yard import yard_draft
from drainwright.paper.wording import Wording
from drainwright.quantities import write
from drainwright.storm.by_cause import inflows_by_cause
from drainwright.storm.parts.soak_stores import body_of
from drainwright.storm.series import inflow_series
from tests.findings.change import case_of

from .sample import ROOT, sample_design

JOBS = ("metric-basement", "sloping-lot", "wrong-choices", "two-basins")
_kept: dict[str, Design] = {}


def made(name: str) -> Design:
    if name not in _kept:
        _kept[name] = design(read_job(ROOT / "examples" / name / "job.yaml"))
    return _kept[name]


def drafts_of(job: Design) -> list[Draft]:
    single = [draft for draft in (storm_draft(job), yard_draft(job)) if draft is not None]
    return [*single, *failures_drafts(job), *failures_drafts(job, LEAF)]


def texts(draft: Draft) -> list[str]:
    return [mark.text for mark in draft.marks if isinstance(mark, TextMark)]


def in_order(draft: Draft) -> None:
    """No words on others, none off the page."""
    left, bottom, right, top = draft.paper.inner
    marks = [mark for mark in draft.marks if isinstance(mark, TextMark)]
    boxes = [shapely.Polygon(text_box(mark)) for mark in marks]
    for index, one in enumerate(boxes):
        low_x, low_y, high_x, high_y = one.bounds
        assert low_x >= left - 0.5, marks[index].text
        assert high_x <= right + 0.5, marks[index].text
        assert low_y >= bottom - 1.0, marks[index].text
        assert high_y <= top + 1.0, marks[index].text
        for other in range(index):
            assert one.intersection(boxes[other]).area < 1e-6, (marks[index].text, marks[other].text)


@pytest.mark.parametrize("name", JOBS)
def test_words_keep_apart_and_on_the_page(name: str) -> None:
    drafts = drafts_of(made(name))
    assert len(drafts) >= 4
    for draft in drafts:
        in_order(draft)


@pytest.mark.parametrize("name", ["metric-basement", "two-basins"])
def test_the_causes_add_up_to_what_comes_in(name: str) -> None:
    job = made(name)
    sound, storm = job.storm.cases[0], job.storm.storm
    parts = inflows_by_cause(job.site, job.inflows, storm, sound.ended, sound.nodes)
    whole = inflow_series(job.site, job.inflows, storm, sound.ended)
    total = np.sum([flow for entry, flow in whole.items() if entry in sound.nodes], axis=0)
    assert len(parts) == 2
    assert np.sum([*parts.values()], axis=0) == pytest.approx(total, abs=1e-12)


def test_the_worst_pond_is_told_with_its_depth() -> None:
    """In the job's units, and drawn as high as the row."""
    for name in ("metric-basement", "sloping-lot"):
        job = made(name)
        draft, worst = yard_draft(job), wetted(job.storm.cases[0])[0]
        assert draft is not None
        assert worst.pond_depth == max(node.pond_depth for node in job.storm.cases[0].nodes.values())
        depth = Wording(job.job.units).small(worst.pond_depth)
        assert f"{depth} deep" in texts(draft)
        unit = "mm" if job.job.units == "SI" else "in"
        assert depth.endswith(unit)
        (water,) = [mark for mark in draft.marks if isinstance(mark, Polyline) and mark.layer == "water"]
        high = max(water.points, key=lambda point: point[1])
        (axis,) = [mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "water fill"]
        foot = min(point[1] for point in axis.points)
        assert high[1] - foot == pytest.approx(16.0, abs=0.6)  # the tallest row less its air
        first, last = water.points[0][0], water.points[-1][0]
        assert (high[0] - first) / (last - first) == pytest.approx(
            worst.highest_at / job.storm.cases[0].ended, abs=0.01
        )


def test_no_pond_is_said_in_a_line() -> None:
    job = made("sloping-lot")
    sound = job.storm.cases[0]
    dry = {name: replace(node, pond_depth=0.0) for name, node in sound.nodes.items()}
    job = replace(job, storm=replace(job.storm, cases=(replace(sound, nodes=dry), *job.storm.cases[1:])))
    draft = yard_draft(job)
    assert draft is not None
    in_order(draft)
    assert any(text.startswith("No water stands deeper than") for text in texts(draft))
    assert not [mark for mark in draft.marks if mark.layer == "water fill"]


def test_a_gravity_job_shows_its_drain_against_the_floor() -> None:
    job = made("sloping-lot")
    draft = storm_draft(job)
    assert draft is not None
    assert "Water in the drain at the house" in texts(draft)
    for case in job.storm.cases:
        found = drain_levels(job, case)
        assert found is not None
        assert float(found[1].max()) == pytest.approx(case.highest_at_house, abs=2e-3)
        assert float(found[1][0]) < min(run.invert_upper for run in job.system.runs if run.duty == "footing drain")


def test_the_band_shows_each_run_of_the_pump() -> None:
    job = made("metric-basement")
    draft, own = storm_draft(job), job.storm.cases[0].stations[0]
    assert draft is not None
    (y,) = [mark.at[1] for mark in draft.marks if isinstance(mark, TextMark) and mark.text == "pump runs"]
    dark = [mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "bar dark"]
    runs = [mark for mark in dark if abs(min(point[1] for point in mark.points) - y) < 1.0]
    assert own.pump_starts - 1 <= len(runs) <= own.pump_starts  # two runs may touch
    assert f"{own.pump_starts} starts" in texts(draft)
    assert "no power (dashed line)" in texts(draft)  # the worst failure of this job


def test_failures_tell_when_to_act_and_what_it_costs() -> None:
    job = made("metric-basement")
    rows = failure_rows(job)
    wet = [case for case in job.storm.every if case.time_to_slab is not None]
    assert [row.wet for row in rows[: len(wet)]] == sorted(case.time_to_slab for case in wet if case.time_to_slab)
    for row in rows[: len(wet)]:
        assert row.case is not None
        assert row.wet is not None
        assert row.alarm == pytest.approx(row.wet - (row.case.alarm_to_slab or 0.0))
        assert row.case.entering is not None
        assert any(write(row.case.entering.volume, "volume", "SI", "L", 0) in text for text in row.meaning)
        assert "$" in row.prevention
    told = sum(row.case is not None for row in rows)
    nothing = rows[-1].title.split("; ")
    assert told + len(nothing) == len(job.storm.every) - 1


def test_the_alarm_of_a_dry_failure_is_where_the_level_passes_its_float() -> None:
    job = sample_design()
    station, sound = job.system.station, job.storm.cases[0]
    assert station is not None
    level = np.where(sound.times >= 5000.0, station.alarm + 0.01, station.off)
    case = replace(sound, failure_at=1000.0, time_to_slab=None, basin_level=level)
    first = float(sound.times[sound.times >= 5000.0][0])
    assert alarm_after(job, case) == pytest.approx(first - 1000.0)
    assert alarm_after(job, replace(case, basin_level=np.full(len(level), station.off))) is None


def test_many_failures_go_on_to_further_sheets() -> None:
    job = made("wrong-choices")
    extra = tuple(
        replace(case, title=f"{case.title}, {number}")
        for number in range(6)
        for case in job.storm.every[1:]
        if not case.dry
    )
    job = replace(job, storm=replace(job.storm, further=(*job.storm.further, *extra)))
    drafts = failures_drafts(job)
    assert [draft.name for draft in drafts[:2]] == ["storm-failures", "storm-failures-2"]
    for draft in drafts:
        in_order(draft)
    said = " ".join(text for draft in drafts for text in texts(draft))
    assert all(f"dead from the start, {number}" in said for number in range(6))


@pytest.mark.parametrize("name", ["metric-basement", "two-basins"])
def test_on_a_phone_all_words_can_be_read(name: str) -> None:
    """At 390 pixels across no word is smaller than 10 pixels, none covers another, and no failure is left out."""
    job = made(name)
    sheet = failures_phone(job)
    assert sheet is not None
    boxes = [shapely.Polygon(text_box(mark)) for mark in sheet.texts]
    assert min(mark.size for mark in sheet.texts) * 390.0 / sheet.width > 10.0
    for index, one in enumerate(boxes):
        low_x, low_y, high_x, high_y = one.bounds
        assert min(low_x, low_y, sheet.width - high_x, sheet.height - high_y) > 0.0
        assert all(one.intersection(other).area < 1e-6 for other in boxes[:index]), sheet.texts[index].text
    said = " ".join(mark.text for mark in sheet.texts)
    assert all(row.title in said for row in failure_rows(job))
    dark = [mark for mark in sheet.marks if mark.layer == "bar dark"]
    assert len(dark) == 1 + sum(case.time_to_slab is not None for case in job.storm.every)


def test_the_same_job_draws_the_same() -> None:
    job = made("two-basins")
    assert drafts_of(job) == drafts_of(job)


def test_a_soakaway_shows_what_soaks_away_and_what_runs_over() -> None:
    """Stone full to its top takes ``rate (floor + perimeter height)``; only more than that runs over."""
    job = made("soak-lot")
    sound, (soak,) = job.storm.cases[0], job.system.soaks
    (panel,) = flow_panels(job.system, sound, None)
    into, away = panel.curves
    assert [into.name, away.name] == ["soaks into the ground", "with the overflow"]
    body = body_of(soak)
    most = body.rate * (body.floor + body.perimeter * (soak.top - soak.bottom))
    assert float(into.values.max()) == pytest.approx(most, rel=0.01)
    over = away.values - into.values
    assert float(over.min()) >= 0.0
    late = over > 0.02 * most
    assert np.all(sound.levels(soak.name)[late] > soak.top)  # the stone is full while the overflow runs
    draft = storm_draft(job)
    assert draft is not None
    in_order(draft)
    said = texts(draft)
    assert "leaves at the outlet" not in said
    assert said.count("no drain at the house") == len(job.storm.cases)
    assert "floor stays dry" not in said


def test_without_a_basin_no_legend_speaks_of_an_alarm() -> None:
    for name, alarm in (("sloping-lot", False), ("metric-basement", True)):
        phone = failures_phone(made(name))
        assert phone is not None
        for marks in (phone.marks, failures_drafts(made(name))[0].marks):
            said = [mark.text for mark in marks if isinstance(mark, TextMark)]
            assert ("dry, after the alarm" in said) == alarm
            assert "dry" in said


@pytest.mark.parametrize("name", ["metric-basement", "sloping-lot"])
def test_the_failures_say_what_they_do_not_measure(name: str) -> None:
    """On sheet and phone; in the proposal it stands beside the drawing, and once is enough."""
    job = made(name)
    phone = failures_phone(job)
    assert phone is not None
    told = "Damp in the walls is not in it, nor how the house fares today, without these works"
    for marks in (phone.marks, failures_drafts(job)[0].marks):
        assert told in " ".join(mark.text for mark in marks if isinstance(mark, TextMark))
    assert "Damp" not in " ".join(texts(failures_drafts(job, LEAF)[0]))
    plates, _ = failure_plates(job, {"storm-failures": (phone, "")})
    assert told in plates[-1].note


@pytest.mark.parametrize("name", ["metric-basement", "two-basins", "block-wall-house"])
def test_the_failures_stand_on_one_page_of_the_proposal(name: str) -> None:
    """On two, each was half empty: the line that tells when water comes was a word too long for its column."""
    drafts = failures_drafts(made(name), LEAF)
    assert len(drafts) == 1
    assert len(failure_rows(made(name))) > 8


def test_failures_told_together_read_as_one_sentence() -> None:
    row = next(row for row in failure_rows(made("metric-basement")) if row.case is None)
    assert "; the " in row.title
    assert not re.search(r"; [A-Z][a-z]", row.title)


@pytest.mark.parametrize("seed", range(60))
def test_rows_stand_on_the_fewest_pages_none_much_fuller_than_another(seed: int) -> None:
    """Against all ways to part them: a page of one row beside a full one was what a customer got."""
    dice = random.Random(seed)
    heights = [dice.uniform(4.0, 22.0) for _ in range(dice.randint(1, 11))]
    room = dice.uniform(24.0, 70.0)
    ways = [
        [sum(heights[start:end]) for start, end in pairwise((0, *cut, len(heights)))]
        for count in range(len(heights)) for cut in combinations(range(1, len(heights)), count)
    ]  # fmt: skip
    fits = [way for way in ways if max(way) <= room]
    fewest = min(len(way) for way in fits)
    best = min(max(way) for way in fits if len(way) == fewest)
    counts = even_pages(heights, room)
    found = [sum(heights[end - count : end]) for count, end in zip(counts, accumulate(counts), strict=True)]
    assert sum(counts) == len(heights)
    assert (len(found), max(found)) == (fewest, pytest.approx(best))


def test_where_nobody_knows_the_ground_water_a_dry_floor_is_told_with_that() -> None:
    """A customer who bails was told "the floor stays dry, nothing needed" of a dead pump: by rain alone it did."""
    house = made("block-wall-house")
    bare = design(changed_job(to_json(house.job), {"ground.water_table": None}))
    assert bare.site.water_table is None
    for made_, known in ((house, True), (bare, False)):
        dry = [row for row in failure_rows(made_) if row.case is None or row.case.dry]
        assert dry
        for row in dry:
            assert any("nobody knows" in part for part in row.meaning) != known, row.title
            assert known or row.prevention != "nothing needed"
        said = [finding.message for finding in made_.findings if "stays dry in the design storm" in finding.message]
        assert said
        assert all(("by rain alone" in one) != known for one in said)
    case = case_of(bare)
    assert any("by rain alone" in case.outcome(one) for one in bare.storm.every[1:])
