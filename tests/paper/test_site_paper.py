"""The paper of the site says what the records say: closures, points, ground, water, causes, and what is in doubt."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from drainwright.design import Design
from drainwright.design import design as designed_anew
from drainwright.field.model import Slip
from drainwright.field.terrain_model import RunOff, RunOn
from drainwright.findings import judge
from drainwright.job.reading import read_job
from drainwright.paper.documents.blocks import Block, Document, Heading, Keep, Notice, Plate, Table
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.site_paper import site_paper
from drainwright.paper.documents.site_survey import IN_PLAN
from drainwright.paper.documents.site_water import LIKELY
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.sheet import TextMark
from drainwright.water.moisture_model import MoistureSources
from tests.conftest import designed

from .papers import pages_of, sheets_of, tight

ROOT = Path(__file__).parents[2]
EXAMPLES = ["block-wall-house/job", "metric-basement/job", "sloping-lot/job", "wrong-choices/job"]


def text_of(document: Document) -> str:
    """All that the blocks say, without spaces."""
    return tight(repr(document.blocks))


def flat_blocks(blocks: tuple[Block, ...]) -> list[Block]:
    return [
        inner for block in blocks for inner in (flat_blocks(block.blocks) if isinstance(block, Keep) else [block])
    ]  # fmt: skip


def table_after(document: Document, heading: str) -> Table:
    blocks = flat_blocks(document.blocks)
    start = next(n for n, b in enumerate(blocks) if isinstance(b, Heading) and b.text.startswith(heading))
    return next(block for block in blocks[start:] if isinstance(block, Table))


def words(cell: object) -> str:
    return cell if isinstance(cell, str) else str(getattr(cell, "text", ""))


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_part_and_plate_is_there_and_the_paper_can_be_set(example: str) -> None:
    design = designed(example)
    sheets = sheets_of(design)
    document = site_paper(design, sheets)
    heads = [block.text for block in flat_blocks(document.blocks) if isinstance(block, Heading) and block.level == 1]
    assert heads == [
        "In short", "1. How the site was measured", "2. The ground", "3. The water",
        "4. The ground water at the house", "5. Where the moisture comes from",
    ]  # fmt: skip
    plates = [block.file for block in document.blocks if isinstance(block, Plate)]
    nets = [f"{name}-page.svg" for name in sheets if name.startswith("flow-net")]
    assert plates == ["ground-page.svg", "bands-page.svg", *nets]
    assert {name for name, _ in document.drawings} == set(plates)
    assert re.search(r"\b(nan|inf|None)\b", repr(document.blocks)) is None
    assert to_pdf(document, design.job.date)[:5] == b"%PDF-"


def test_no_page_is_all_but_empty(pumped: Design) -> None:
    for number, page in enumerate(pages_of(pumped, "site-report")[:-1], start=1):
        assert len(page) > 400, number


@pytest.mark.parametrize(("example", "unit"), [("block-wall-house/job", 0.0254), ("metric-basement/job", 0.001)])
def test_points_carry_the_ellipse_that_holds_nineteen_of_twenty(example: str, unit: float) -> None:
    """2.4477 = sqrt of the 95 % point of chi-squared with two degrees of freedom, 5.991 (any table of it)."""
    assert pytest.approx(5.991, abs=5e-4) == IN_PLAN**2
    design = designed(example)
    table = table_after(site_paper(design, {}), "How well each point")
    rows = {words(row[0]): [words(cell) for cell in row] for row in table.rows}
    for name, point in design.site.points.items():
        if point.ellipse is None or point.way == "level only":
            continue
        long, short = (float(part) for part in rows[name][4].split(" × "))
        half = 0.05 if unit == 0.0254 else 0.5
        assert long == pytest.approx(2.4477 * point.ellipse.major / unit, abs=half + 0.01)
        assert short == pytest.approx(2.4477 * point.ellipse.minor / unit, abs=half + 0.01)
        if point.level is not None and point.level_error is not None:
            foot = 0.3048 if unit == 0.0254 else 1.0
            assert float(rows[name][3]) == pytest.approx(1.96 * point.level_error / foot, abs=0.00051)


def test_a_slip_stands_before_all_else(pumped: Design) -> None:
    slip = Slip(
        where="survey.level_book[2]", kind="misread", size=0.3048, meant="5.42 ft instead of 4.42 ft", strength=9.1,
        message="Row 3 of the level book is a foot off its neighbours.", rivals=("survey.level_book[3]",),
    )  # fmt: skip
    doubtful = replace(pumped, site=replace(pumped.site, slips=(slip,)))
    first = site_paper(doubtful, {}).blocks[0]
    assert isinstance(first, Notice)
    assert first.tone == "fails"
    assert "Row 3 of the level book" in first.items[0]
    assert "5.42 ft instead of 4.42 ft" in first.items[0]
    assert "level book row 3" in first.items[0], "its rival"
    assert "Ameasurementisindoubt" in text_of(site_paper(doubtful, {}))
    clear = site_paper(pumped, {})
    assert not any(isinstance(block, Notice) and "contradict" in block.title for block in clear.blocks)


def test_flows_add_up_and_keep_one_unit_a_row() -> None:
    """Metric basement: 1.54 + 0.24 L/s and 1.47 L/min make 1.81 L/s."""
    design = designed("metric-basement/job")
    table = table_after(site_paper(design, {}), "3. The water")
    rows = [[words(cell) for cell in row] for row in table.rows]
    parts = {"L/s": 1.0, "L/min": 1.0 / 60.0}
    flows = [float(row[1].split(" ")[0]) * parts[row[1].split(" ")[1]] for row in rows]
    assert rows[-1][0] == "all together"
    assert sum(flows[:-1]) == pytest.approx(flows[-1], abs=0.011)
    assert next(row for row in rows if row[0] == "groundwater")[1].endswith("L/min")
    for row in rows:
        assert len({cell.split(" ")[1] for cell in row[1:]}) == 1


def test_slopes_at_the_walls_are_judged_as_the_checks_judge_them(pumped: Design, gravity: Design) -> None:
    """FTG-10 and the paper agree, wall by wall."""
    for design in (pumped, gravity, designed("wrong-choices/job")):
        table = table_after(site_paper(design, {}), "Falls at the walls")
        good = {words(row[0]) for row in table.rows if words(row[4]) == "as it should be"}
        found = [item for item in design.findings if item.id == "FTG-10"]
        assert {item.where.split(".")[-1] for item in found if item.severity.value == "ok"} == good
        assert len(found) == len(table.rows)
        poor = len(found) - len(good)
        assert tight(f"At {poor} of {len(found)} wall lines") in text_of(site_paper(design, {}))


def test_levels_under_the_house_are_the_inflows(pumped: Design) -> None:
    table = table_after(site_paper(pumped, {}), "4. The ground water")
    for row, line in zip(table.rows, pumped.inflows.ground_lines, strict=True):
        assert float(words(row[1])) == pytest.approx(line.level_without / 0.3048, abs=0.005)
        assert float(words(row[2])) == pytest.approx(line.level_with / 0.3048, abs=0.005)
        assert words(row[6]) == f"{(line.time_to_fall or 0.0) / 86400.0:.1f} days"
    flooded = tuple(replace(line, level_with=line.floor_underside + 0.1) for line in pumped.inflows.ground_lines)
    wet = replace(pumped, inflows=replace(pumped.inflows, ground_lines=flooded))
    said = text_of(site_paper(wet, {}))
    assert "inABOVE" in said
    assert "waterstandsabovethefloor'sundersideeven" in said.replace("\\", "")


def test_causes_are_ranked_with_what_speaks_for_and_against(pumped: Design) -> None:
    sources = pumped.moisture
    table = table_after(site_paper(pumped, {}), "5. Where the moisture")
    bands = [words(row[0]) for row in table.rows if len(row) == 1]
    shown = [cause for cause in sources.causes if cause.share >= LIKELY]
    assert 0 < len(shown) < len(sources.causes)
    assert [band.split(",")[0].lower() for band in bands] == [cause.cause.value for cause in shown]
    sides = [words(row[0]) for row in table.rows if len(row) > 1]
    assert sides.count("cure") == len(shown)
    assert sources.next_test is not None
    outcomes = table_after(site_paper(pumped, {}), "The next test")
    assert [words(row[0]) for row in outcomes.rows] == [outcome for outcome, _ in sources.next_test.outcomes]


def test_a_job_of_which_little_is_known_still_gets_its_paper(pumped: Design) -> None:
    """No book, no walk, no ground, no water table, nothing seen: it says so instead of leaving it out."""
    site = replace(
        pumped.site, level_book=None, traverse=None, network=None, terrain=None, notes=(), slips=(), points={}
    )
    none = MoistureSources(causes=(), next_test=None, also=(), drainage_is_remedy=None, verdict="Nothing was seen.")
    water = replace(pumped.inflows, contributions=(), ground_lines=(), ranges=(), bands={}, total=None, seepage=())
    bare = replace(pumped, site=site, moisture=none, inflows=water)
    document = site_paper(bare, {})
    said = text_of(document)
    for words_ in (
        "nothing checks them", "No shots of the ground were taken", "No water comes to the works",
        "no footing drain lies beside a wall", "Nothing was seen.",
    ):  # fmt: skip
        assert tight(words_) in said, words_
    assert to_pdf(document, bare.job.date)[:5] == b"%PDF-"


def test_high_water_is_told_where_no_wall_is_drained() -> None:
    """The paper said that nothing tells of a water table, where the proposal had its measured level."""
    design = designed("soak-lot/job")
    assert not design.inflows.ground_lines
    assert design.site.water_table is not None
    said = text_of(site_paper(design, {}))
    assert said.count(tight("High ground water stands at 90.00 ft, 8 ft 11 in below the crawl-space soil.")) == 2
    unknown = replace(design, site=replace(design.site, water_table=None))
    said = text_of(site_paper(unknown, {}))
    assert tight("How high ground water stands in the wet season is not known.") in said
    assert tight("High ground water stands at") not in said


def test_half_axes_of_a_weak_point_are_said_to_be_weak(pumped: Design) -> None:
    name = next(name for name, point in pumped.site.points.items() if point.way == "ties")
    points = dict(pumped.site.points)
    points[name] = replace(points[name], weak=True)
    weak = replace(pumped, site=replace(pumped.site, points=points))
    assert "tiescrossatapoorangle" in text_of(site_paper(weak, {}))
    assert "tiescrossatapoorangle" not in text_of(site_paper(pumped, {}))


def test_a_test_that_would_change_nothing_is_not_what_to_do_next(pumped: Design) -> None:
    none = replace(pumped, moisture=replace(pumped.moisture, next_test=None, also=()))
    said = text_of(site_paper(none, {}))
    assert said.count(tight("No cheap test would change what is done first")) == 2, "in short, and in part 5"
    assert tight("The next test:") not in said
    assert tight("No cheap test would") not in text_of(site_paper(pumped, {}))


def judged(design: Design) -> Design:
    """The design with its checks made anew."""
    found = judge(design.site, design.inflows, design.system, design.storm, design.build, design.moisture)
    return replace(design, findings=found)


def test_stretches_of_one_side_are_told_together(pumped: Design) -> None:
    """3 + 4 m of the west side are 23 ft; 6 + 7 m of the south side are 43 ft."""
    terrain = pumped.site.terrain
    assert terrain is not None
    stretch = {"start": (0.0, 0.0), "end": (1.0, 0.0)}
    on = tuple(
        RunOn(side=side, length=length, area=area, goes_to={goes: area}, **stretch)  # type: ignore[arg-type]
        for side, length, area, goes in (
            ("west side", 3.0, 200.0, "CB1"), ("north side", 5.0, 50.0, "CB2"), ("west side", 4.0, 100.0, "CB2"),
        )
    )  # fmt: skip
    off = tuple(
        RunOff(side="south side", length=length, area=10.0, **stretch)  # type: ignore[arg-type]
        for length in (6.0, 7.0)
    )
    ground = replace(terrain, run_on=on, run_off=off)
    said = text_of(site_paper(judged(replace(pumped, site=replace(pumped.site, terrain=ground))), {}))
    assert said.count(tight("23 ft of the west side")) == 2, "in short, and in part 2"
    assert said.count(tight("16 ft of the north side")) == 2
    assert tight("of the west side, in 2 stretches, and goes to CB1 and CB2") in said
    assert tight("Water runs off the lot over 43 ft of the south side (215 ft²)") in said


@pytest.mark.parametrize("example", EXAMPLES)
def test_of_water_over_the_boundary_the_paper_says_what_the_checks_and_the_answers_say(example: str) -> None:
    design = designed(example)
    said = text_of(site_paper(design, {}))
    found = [item for item in design.findings if item.id == "GRD-05"]
    assert found
    assert said.count(tight("By the shots no water comes in")) == 2 * sum(item.severity.value == "ok" for item in found)
    assert said.count(tight("Water comes in over")) == 2 * sum("Water comes in over" in item.message for item in found)
    answer = next(item for item in design.answers if item.number == 22)
    for item in found:
        assert said.count(tight(item.message)) == 2, "in short, and in part 2"
        assert item.message.rstrip(".") in answer.answer
    for item in design.findings:
        if item.id == "GRD-06":
            assert tight(item.message) in said


def test_ground_that_ends_at_the_last_shots_is_said_to_be_at_least_so_much(gravity: Design) -> None:
    terrain = gravity.site.terrain
    assert terrain is not None
    words_ = tight("To CB1 at least so much: the ground ends at the last shots")
    assert words_ in text_of(site_paper(gravity, {}))
    whole = replace(terrain, drained=tuple(replace(item, cut_off=False) for item in terrain.drained))
    known = replace(gravity, site=replace(gravity.site, terrain=whole))
    assert words_ not in text_of(site_paper(known, {}))


def test_water_let_out_is_followed_no_farther_than_the_shots(gravity: Design) -> None:
    """The sloping lot's outlet lies at the edge of the shots: its water is known for 1.94 m, some 6 ft."""
    assert gravity.site.terrain is not None
    (way,) = gravity.site.terrain.ways_on
    assert way.kind == "beyond the shots"
    said = text_of(site_paper(gravity, {}))
    assert tight("Water let out at OUT was followed for 6 ft, to where the shots end; beyond that") in said
    assert tight("stays away") not in said


def test_the_plate_speaks_of_numbered_crosses_only_where_there_are_some(pumped: Design) -> None:
    terrain = pumped.site.terrain
    assert terrain is not None
    assert terrain.next_shots

    def note(design: Design) -> str:
        plates = site_paper(design, sheets_of(pumped)).blocks
        return next(block.note for block in plates if isinstance(block, Plate) and block.file == "ground-page.svg")

    assert "Numbered crosses" in note(pumped)
    done = replace(pumped, site=replace(pumped.site, terrain=replace(terrain, next_shots=())))
    assert "Numbered crosses" not in note(done)
    assert "Red arrows" in note(done)


def test_open_water_that_is_named_is_told_with_what_it_does(tmp_path: Path) -> None:
    """A pond lower than the water table of 98.26 ft holds nothing up; the notes and the paper say the same."""
    text = (
        (ROOT / "examples" / "block-wall-house" / "job.yaml")
        .read_text(encoding="utf-8")
        .replace("firm: {file: firm/firm.yaml}", "")
    )
    path = tmp_path / "job.yaml"
    pond = "ground:\n  open_water: {kind: pond, distance: 60 ft, level: 95.90 ft}\n"
    path.write_text(text.replace("\nground:\n", f"\n{pond}"), encoding="utf-8")
    said = text_of(site_paper(designed_anew(read_job(path)), {}))
    assert tight("The pond, 60 ft from the house, stands at 95.900 ft, lower than the water table") in said
    assert tight("is named that would hold") not in said


@pytest.mark.parametrize("example", EXAMPLES)
def test_plates_fill_their_page_in_letters_that_can_be_read_and_repeat_no_table(example: str) -> None:
    """A flat letter page has 261 by about 178 mm for a plate. Six points are 2.1 mm."""
    from drainwright.paper.band_chart import band_draft
    from drainwright.paper.flow_net_chart import flow_net_drafts
    from drainwright.paper.frame import LEAF

    design = designed(example)
    bands = band_draft(design, LEAF)
    assert bands is not None
    texts = [mark for mark in bands.marks if isinstance(mark, TextMark)]
    assert not any("What the flows rest on" in mark.text for mark in texts)
    for draft in (bands, *flow_net_drafts(design, LEAF)):
        texts = [mark for mark in draft.marks if isinstance(mark, TextMark)]
        printed = min(261.0 / LEAF.width, 178.0 / LEAF.height)
        assert min(mark.size for mark in texts) * printed >= 2.4, draft.name
        lowest, highest = min(mark.at[1] for mark in texts), max(mark.at[1] for mark in texts)
        assert lowest >= 0.0, "all of it is on the leaf"
        assert highest <= LEAF.height
        assert lowest < 0.2 * LEAF.height, "and it fills it"
        assert highest > 0.85 * LEAF.height


def test_water_that_goes_by_its_own_line_is_told_apart(pumped: Design) -> None:
    """The second downspout of the demonstration has its own line to the street: it never comes into these works."""
    said = text_of(site_paper(pumped, {}))
    own = sum(item.flow for item in pumped.inflows.contributions if item.entry == "DS2")
    whole = sum(pumped.inflows.by_cause().values())
    say = Say(pumped.job.units)
    expected = f"Of it DS2 {say.flow(own)} goes by its own line, and {say.flow(whole - own)} into these works."
    assert tight(expected) in said


def test_the_plate_speaks_of_red_arrows_only_where_there_are_some() -> None:
    design = designed("soak-lot/job")
    terrain = design.site.terrain
    assert terrain is not None
    assert not terrain.run_on
    plates = site_paper(design, sheets_of(design)).blocks
    note = next(block.note for block in plates if isinstance(block, Plate) and block.file == "ground-page.svg")
    assert note.startswith("Numbered crosses")
    assert "Red arrows" not in note
