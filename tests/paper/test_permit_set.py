"""The permit set: its seal, its trench cautions, its index."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.job.values import Basis, Fact
from drainwright.paper.documents.blocks import Plate, Table, plain
from drainwright.paper.documents.governing import outlet_figures, run_rows, station_figures
from drainwright.paper.documents.permit_profiles import left_out
from drainwright.paper.documents.permit_set import permit_set
from drainwright.paper.documents.say import Say
from drainwright.sources import SOURCES

from ..conftest import designed
from .papers import sheets_of


@pytest.mark.parametrize(("value", "words"), [("not known", "Ask before"), ("yes", "wants a"), ("no", "wants no seal")])
def test_the_seal_follows_the_rule_of_the_place(pumped: Design, value: str, words: str) -> None:
    seal = pumped.job.rules.professional_seal.model_copy(update={"value": value})
    rules = pumped.job.rules.model_copy(update={"professional_seal": seal})
    design = replace(pumped, job=pumped.job.model_copy(update={"rules": rules}))
    assert words in str(plain(permit_set(design, {})))


def test_nobody_asked_is_assumed_and_not_known(pumped: Design) -> None:
    seal: Fact[str] = pumped.job.rules.professional_seal  # type: ignore[assignment]
    assert (seal.value, seal.basis) == ("not known", Basis.ASSUMED)
    assert any("professional's seal" in item.demand and item.met is None for item in pumped.checks)


def test_the_index_has_each_sheet_by_the_number_in_its_title_block(pumped: Design) -> None:
    sheets = sheets_of(pumped)
    made = permit_set(pumped, sheets)
    index = next(block for block in made.blocks if isinstance(block, Table))
    told = [
        number
        for row in index.rows
        if "these pages" not in row
        for part in str(row[0]).split(", ")
        for number in range(int(part.split(" to ")[0]), int(part.split(" to ")[-1]) + 1)
    ]
    shown = [sheets[block.file.removesuffix(".svg")][0] for block in made.blocks if isinstance(block, Plate)]
    assert told == [sheet.number for sheet in shown]
    for sheet in shown:
        assert f"{sheet.number} of {len(sheets)}" in [mark.text for mark in sheet.texts]
    assert len(made.drawings) == len(shown)


def test_each_part_of_the_index_has_its_letter_over_it(pumped: Design) -> None:
    made = permit_set(pumped, {})
    index = next(block for block in made.blocks if isinstance(block, Table))
    text = str(plain(made.blocks))
    assert index.rows
    assert all(f"'text': '{row[0]}. {row[1]}'" in text for row in index.rows)


def test_the_set_has_the_pump_s_curve_with_the_line_s_and_their_meeting(pumped: Design) -> None:
    sheets = sheets_of(pumped)
    shown = [block.file for block in permit_set(pumped, sheets).blocks if isinstance(block, Plate)]
    assert "pump.svg" in shown
    texts = " ".join(mark.text for mark in sheets["pump"][0].texts)
    assert "discharge line DL" in texts
    assert "data sheet" in texts
    assert Say(pumped.job.units).flow(pumped.system.by_house[0].operating_flow) in texts


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job", "sloping-lot/job"])
def test_each_check_leans_on_a_numbered_source_or_on_none(path: str) -> None:
    design = designed(path)
    tables = [block for block in permit_set(design, {}).blocks if isinstance(block, Table)]
    rows = next(table.rows for table in tables if [column.head for column in table.columns][1] == "Source")
    assert [row[0] for row in rows] == [f"[{number}]" for number in range(1, len(rows) + 1)]
    by_check = {code: str(row[1]) for row in rows for code in str(row[2]).split(", ")}
    for finding in design.findings:
        if finding.source in ("common_practice", "geometry"):
            assert finding.id not in by_check
        else:
            assert by_check[finding.id].startswith(SOURCES[finding.source].title)


def test_the_joint_s_sheet_tells_how_far_it_lies_from_house_and_boundary(pumped: Design) -> None:
    """OUT by its coordinates and the corners of house and lot, without the code's own geometry."""
    say, out = Say(pumped.job.units), pumped.system.nodes["OUT"].at

    def nearest(ring: Sequence[tuple[float, float]]) -> float:
        found = []
        for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
            along = ((out[0] - ax) * (bx - ax) + (out[1] - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)
            share = min(max(along, 0.0), 1.0)
            found.append(math.dist(out, (ax + share * (bx - ax), ay + share * (by - ay))))
        return min(found)

    house, boundary = nearest(pumped.site.outline), nearest(pumped.site.boundary)
    text = " ".join(mark.text for mark in sheets_of(pumped)["outlet"][0].texts)
    assert f"OUT lies {say.length(house)} from the house; {say.length(boundary)} from the boundary." in text


def test_water_that_is_only_bounded_down_a_slope_is_told_apart_from_water_that_is_known(pumped: Design) -> None:
    """All trenches of a slope stood behind the figure of the first: "13 1/4 in", by one level of the lot."""
    wet = next(finding for finding in pumped.findings if finding.id == "DIG-17" and finding.figure)
    down = replace(wet, where="works.runs.YD1", figure="up to 2 ft of water", message="Ground water stands up to 2 ft.")
    beside = replace(wet, where="works.runs.FD2", figure="9 in of water", message="Ground water stands 9 in.")
    rest = tuple(finding for finding in pumped.findings if finding.id != "DIG-17")
    told = str(plain(permit_set(replace(pumped, findings=(*rest, wet, down, beside)), {})))
    assert f"{wet.message} The like at run FD2: the worksheet has each figure." in told
    assert "DIG-17: Ground water stands up to 2 ft. " in told


def test_alike_cautions_of_trenches_stand_once_with_every_place(pumped: Design) -> None:
    text = str(plain(permit_set(pumped, {})))
    wet = [item for item in pumped.findings if item.id == "DIG-17" and item.severity != "ok"]
    assert len(wet) > 1
    assert text.count("DIG-17:") == len({item.advice for item in wet})
    assert "Local codes and licensed practice come first" in text
    assert "Open trench, before any pipe is covered" in text


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job"])
def test_lift_and_head_are_those_of_one_level(path: str) -> None:
    """The duty head stands beside the lift of its own water level, the stop level beside its own."""
    design = designed(path)
    (station,), say = design.system.stations, Say(design.job.units)
    row = next(one for one in station_figures(design) if one.key == "duty head")
    middle = next(point for point in station.points if point.place == "middle")
    low = next(point for point in station.points if point.place == "off")
    assert station.operating_head == pytest.approx(middle.head, rel=1e-6)
    assert station.duty_lift == pytest.approx(station.static_head - (middle.level - low.level), abs=1e-9)
    assert say.head(station.operating_head) in row.value
    assert f"{say.head(station.duty_lift)} of it lift, water midway" in row.limit
    assert f"against {say.head(low.head)}, {say.head(station.static_head)} of it lift" in row.limit


def test_the_line_that_is_joined_is_told_with_one_pump_and_with_both(pumped: Design) -> None:
    say, line = Say(pumped.job.units), pumped.system.joined
    (pair,) = [station.study.pair for station in pumped.system.stations if station.study]
    assert line is not None
    assert pair is not None
    rows = {one.key: one for one in outlet_figures(pumped)}
    both = line.load - line.pumped + pair.both_flow
    assert line.load < line.capacity < both
    assert rows["joined"].limit == f"{say.flow(line.load)} comes to it, one pump running"
    assert rows["joined with both"].limit == f"{say.flow(both)} comes to it: more than it carries"


def test_flow_and_velocity_of_a_pumped_line_belong_together(pumped: Design) -> None:
    say, run = Say(pumped.job.units), pumped.system.run("DL")
    row = next(row for row in run_rows(pumped) if row[0] == "DL")
    flow = pumped.system.pumped_flow(run)
    assert row[3].startswith(say.flow(flow))
    assert run.velocity == pytest.approx(flow / (math.pi * run.pipe.inside**2 / 4), rel=1e-6)
    assert say.speed(run.velocity) in row[5]


def test_a_large_set_tells_plain_runs_in_a_table_and_shows_the_profiles_that_matter() -> None:
    design = designed("long-house/job")
    sheets = sheets_of(design)
    without = left_out(design, sheets)
    assert without
    told = str(plain(permit_set(design, sheets)))
    hidden = {part.title.removeprefix("Profile ") for name in without for part in sheets[name][0].scaled}
    drains = {run.name for run in design.system.runs if run.duty == "footing drain"}
    met = {item.run for item in design.build.dig.crossings}
    assert not hidden & (drains | met)
    assert "Runs without a profile here" in told
    for run in (run for run in design.system.runs if run.name in hidden):
        assert f"{run.upper} to {run.lower}" in told
    assert not any(f"{name}.svg" in told for name in without)


def test_a_small_set_shows_every_profile(pumped: Design) -> None:
    assert left_out(pumped, sheets_of(pumped)) == ()
