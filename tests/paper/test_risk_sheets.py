"""The risk sheet in two languages: the same rows, figures and names."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from shapely import LineString, Point

from drainwright.build.exposure import exposures
from drainwright.build.panels import bared_lengths
from drainwright.build.wording import entry_rule, guard_words, lengths_rule
from drainwright.design import Design
from drainwright.design import design as design_of
from drainwright.job import read_job
from drainwright.job.site import Agreed, DigGuard
from drainwright.paper.documents.blocks import Block, Heading, Notice, Paragraph, Table, plain
from drainwright.paper.documents.crew import crew_packet
from drainwright.paper.documents.crew_spanish import spanish_risk_sheet, translator_of
from drainwright.paper.documents.hazards import few, more_rows, risk_rows, risk_sheet
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.documents.say import Say
from drainwright.paper.setting_out import tape_of

from ..conftest import designed

JOBS = (
    "block-wall-house/job",
    "sloping-lot/job",
    "wrong-choices/job",
    "metric-basement/job",
    "two-basins/job",
    "soak-lot/job",
)


def rows_spanish(design: Design) -> list[tuple[str, ...]]:
    spoken = translator_of(design)
    return [tuple(spoken.say(text) for text in row) for row in risk_rows(design)]


def words_of(blocks: tuple[Block, ...]) -> int:
    """Words that are read aloud, heads and all."""
    [title, lead, table] = blocks
    assert isinstance(title, Heading)
    assert isinstance(lead, Paragraph)
    assert isinstance(table, Table)
    cells = [cell if isinstance(cell, str) else cell.text for row in table.rows for cell in row]
    return len(" ".join((title.text, lead.text, *(column.head for column in table.columns), *cells)).split())


@pytest.mark.parametrize("path", [*JOBS, "wrong-choices/mended", "long-house/job"])
def test_the_risk_sheet_is_read_in_two_minutes_in_either_language(path: str) -> None:
    """At 200 words a minute."""
    design = designed(path)
    for sheet in (risk_sheet(design), spanish_risk_sheet(design)[:3]):
        assert 150 < words_of(sheet) <= 400


@cache
def live_in_lengths() -> Design:
    return design_of(read_job(Path(__file__).parent / "beside_gas.yaml"))


def test_two_walls_in_lengths_beside_a_live_line_are_read_in_two_minutes_too() -> None:
    """The longest of sheets: lengths in turn, a footing at the trench's bottom, shields, gas along inside a dig."""
    design = live_in_lengths()
    assert design.build.dig.wall_panel > 0
    assert any(item.bars for item in design.build.dig.trenches)
    for sheet in (risk_sheet(design), spanish_risk_sheet(design)[:3]):
        assert 150 < words_of(sheet) <= 400


@pytest.mark.parametrize("path", JOBS)
def test_what_kills_at_once_comes_first_and_the_rest_stands_under_it(path: str) -> None:
    design = designed(path)
    names = [name for name, _, _ in risk_rows(design)]
    assert names[0] == "Trench falls in"
    assert names[1] == "Buried lines"
    assert [name for name, _, _ in more_rows(design)] == [
        "Heat, cold, lightning", "Silica dust", "Backs, barrows, trailers",
    ]  # fmt: skip
    packet = str(plain(crew_packet(design, {}).blocks))
    spoken = translator_of(design)
    for row in more_rows(design):
        assert all(text in packet and spoken.say(text) in packet for text in row)
    assert all(re.search(r"\d", here) for _, here, _ in more_rows(design))


@pytest.mark.parametrize("path", [*JOBS, "wrong-choices/mended", "long-house/job"])
def test_each_hazard_has_a_number_of_this_job(path: str) -> None:
    design = designed(path)
    for name, here, _ in risk_rows(design):
        assert re.search(r"\d", here), name


def test_of_many_names_the_first_are_told_and_how_many_more() -> None:
    assert few(["a", "b", "c"]) == "a, b and c"
    assert few([f"R{number}" for number in range(1, 9)]) == "R1, R2, R3, R4, R5, R6 and 2 more"


def test_hazards_are_those_of_the_job() -> None:
    names = {name for name, _, _ in risk_rows(designed("soak-lot/job"))}
    assert "Basin" not in names
    assert "Power tools in the wet" in names
    assert "damp-proofing" not in str(risk_rows(designed("soak-lot/job"))).lower()
    assert {"Basin", "Power and water"} <= {name for name, _, _ in risk_rows(designed("two-basins/job"))}


@pytest.mark.parametrize("path", JOBS)
def test_each_trench_has_one_verdict_on_all_sheets(path: str) -> None:
    """What the safe-dig sheet says of a guarded trench is what both risk sheets say of it."""
    design = designed(path)
    sheet = str(plain(safe_dig_blocks(design)))
    english, spanish = risk_rows(design)[0][2], rows_spanish(design)[0][2]
    for item in design.build.dig.trenches:
        if item.protection != "slope or shield":
            continue
        [mine] = re.findall(rf"Nobody enters [^.]*\b{re.escape(item.name)}\b.*? unless (.*?)\. ", english)
        [yours] = re.findall(rf"Nadie entra en [^.]*\b{re.escape(item.name)}\b.*? si no está (.*?)\. ", spanish)
        assert ("no room to slope" in mine) == ("no hay lugar" in yours) == (not item.slope_fits)
        assert (f"{item.slope_run:g} across to 1 up" in mine) == item.slope_fits
        assert ("no room to slope" if not item.slope_fits else f"slope {item.slope_run:g} across") in sheet


SHORED = DigGuard.model_validate(
    {
        "at": "SUMP", "kind": "engineer's design", "by": "N. Ross", "on": "2026-05-05",
        "text": "sheets and walings. The cable hangs between them.",
    }
)  # fmt: skip


@pytest.mark.parametrize(("agreed", "shored"), [(False, None), (True, None), (True, SHORED)])
def test_a_live_line_along_inside_a_dig_is_told_in_both_languages(agreed: bool, shored: DigGuard | None) -> None:
    """29 CFR 1926.651(b)(4): a slope or shield stands on no live line; the sheets once said "sloped or shielded"."""
    design = designed("block-wall-house/job")
    word = {"by": "Hill Power", "on": "2026-05-04", "text": "hung from planks, Hill Power watches"}
    cable, *lines = design.job.utilities
    cable = cable.model_copy(update={"kind": "electric", "agreed": Agreed.model_validate(word) if agreed else None})
    trench, *others = design.build.dig.trenches
    trench = replace(trench, protection="slope or shield", judged=1.6, along=((cable.name, 4.0),), bars=(cable.name,))
    planned = "" if shored is None else guard_words(shored)
    trench = replace(trench, planned=planned)
    works = design.job.works.model_copy(update={"protection": () if shored is None else (shored,)})
    design = replace(
        design,
        job=design.job.model_copy(update={"utilities": (cable, *lines), "works": works}),
        build=replace(design.build, shields=None, dig=replace(design.build.dig, trenches=(trench, *others))),
    )
    name, sheet, rows = cable.name, str(plain(safe_dig_blocks(design))), risk_rows(design)
    told = (
        "its planned shoring stands" if planned else f"the {name} is moved or dead, or shoring designed round it stands"
    )
    assert f"Nobody enters {trench.name} unless {told}" in rows[0][2]
    assert entry_rule(trench) in sheet
    assert ("before this stands: engineer's design, N. Ross, 2026-05-05" in sheet) == bool(planned)
    assert "moved it or made it dead" not in sheet  # one rule: it stood beside "as its owner agreed"
    lines_row = next(row for row in rows if row[0] == "Buried lines")
    assert f"LIVE ALONG INSIDE: {name}." in lines_row[1]
    assert "along inside, only by the owner's written word." in lines_row[2]
    assert f"No shields are planned beside the {name} in {trench.name}" in sheet
    barred = f"nobody enters: no slope or shield fits, for the {name} lies live along inside"
    assert (barred in sheet) == (not planned)
    assert (f"only in this: {planned}" in sheet) == bool(planned)
    assert ("NO DIGGING THERE" in sheet) != agreed
    assert ("hung from planks, Hill Power watches" in sheet) == ("2026-05-04" in sheet) == agreed
    spoken = translator_of(design)
    said = " ".join(spoken.say(text) for row in rows for text in row)
    assert f"LÍNEA VIVA A LO LARGO, DENTRO DE LA ZANJA: {name}." in said
    spoken.blocks(safe_dig_blocks(design))
    assert spoken.missing == {}
    words = [word for row in rows for text in row for word in text.split()]
    before = [word for row in risk_rows(designed("block-wall-house/job")) for text in row for word in text.split()]
    assert len(words) - len(before) <= 20


def test_no_breaker_comes_near_a_live_line_in_rock() -> None:
    design = designed("block-wall-house/job")
    met = design.build.dig.crossings[0].utility
    assert "NO BREAKER" not in str(plain(safe_dig_blocks(design)))
    lines = tuple(
        item.model_copy(update={"kind": "gas"}) if item.name == met else item for item in design.job.utilities
    )
    soil = design.job.ground.osha_type.model_copy(update={"value": "stable rock"})
    ground = design.job.ground.model_copy(update={"osha_type": soil})
    job = design.job.model_copy(update={"ground": ground, "utilities": lines})
    rock = replace(design, job=job, site=replace(design.site, job=job))
    sheet = str(plain(safe_dig_blocks(rock)))
    assert f"Rock in the tolerance zone of the {met}: by hand, with wedges and bar" in sheet
    assert "NO BREAKER there without its owner's word." in sheet
    spoken = translator_of(rock)
    spoken.blocks(safe_dig_blocks(rock))
    assert spoken.missing == {}


def test_short_lengths_have_one_rule_and_a_table() -> None:
    design = designed("metric-basement/job")
    say = Say(design.job.units)
    length = say.length(design.build.dig.wall_panel)
    opened = sum(wall.wall.open_and_coat for wall in design.site.walls)
    sheet = str(plain(safe_dig_blocks(design)))
    assert lengths_rule(length, opened) in sheet
    assert lengths_rule(length) in " ".join(" ".join(row) for row in risk_rows(design))
    found = bared_lengths(design.site, design.system, design.build.dig.wall_panel)
    assert "Measured from" in sheet
    assert list(dict.fromkeys(item.wall for item in found)) == ["north", "west", "south"]
    assert found[0].start == 0.0  # the numbers run the way the stations do
    for one, other in pairwise(found):
        assert one.odd != other.odd
    opened = {task.key: task for task in design.build.plan.tasks}
    assert opened["open-even"].start >= opened["backfill"].end - 1e-6
    assert "Measured from" not in str(plain(safe_dig_blocks(designed("block-wall-house/job"))))


@pytest.mark.parametrize("path", ["block-wall-house/job", "wrong-choices/job", "long-house/job"])
def test_a_line_is_exposed_at_its_own_place_and_by_the_stretch_of_its_cut_sheet(path: str) -> None:
    design = designed(path)
    say = Say(design.job.units)
    [table] = [
        after
        for before, after in pairwise(safe_dig_blocks(design))
        if isinstance(before, Heading) and before.text == "Expose in this order" and isinstance(after, Table)
    ]
    found = exposures(design.site, design.build.dig)
    assert len(table.rows) == len(found) > 0
    for one, row in zip(found, table.rows, strict=True):
        assert LineString(one.line.route).distance(Point(one.at)) == pytest.approx(0.0, abs=1e-6)
        where, item = str(row[2]), one.meeting
        place = tape_of(design, item.utility, one.at)
        if 0.0 <= place.along <= place.length and place.out > 0.1:
            outline = LineString([*design.site.outline, design.site.outline[0]])
            assert where.endswith(f", {say.length(outline.distance(Point(one.at)))} out")
        if item.stretch is not None and not item.crossing:
            assert f"alongside, {say.length(item.stretch[0])} to {say.length(item.stretch[1])}:" in where


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job"])
def test_an_exposed_line_is_held_until_it_is_buried_again(path: str) -> None:
    """29 CFR 1926.651(b)(4), seen as quoted: protected, supported or removed while the excavation is open."""
    design = designed(path)
    [notice] = [b for b in safe_dig_blocks(design) if isinstance(b, Notice) and b.title.startswith("An exposed line")]
    words = " ".join((notice.text, *notice.items))
    for word in (
        "protected, supported or removed",
        "1926.651(b)(4)",
        "owner",
        "Nothing bears on it",
        "Before backfill",
    ):
        assert word in words
    spoken = translator_of(design)
    said = str(plain(spoken.blocks((notice,))))
    assert not spoken.missing
    assert "Nada se apoya en ella" in said
