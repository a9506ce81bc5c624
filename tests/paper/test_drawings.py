"""Every sheet: marks on the paper, texts apart, safe SVG, the same bytes twice."""

from __future__ import annotations

import hashlib
import math
import re
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from drainwright.build.exposure import in_order
from drainwright.design import Design
from drainwright.job.model import Job
from drainwright.paper.drawings import drawings
from drainwright.paper.looks import LOOKS
from drainwright.paper.measure import text_box, text_width
from drainwright.paper.sheet import Arc, Circle, Mark, Picture, Polygon, Polyline, Sheet, TextMark, clean
from drainwright.paper.svg import to_svg
from tests.paper.sample import ROOT, sample_design, sample_job

HOSTILE = "</text><script>alert(1)</script> & \"'> \x00\x1b \u202egnp ]]> <!--"


@lru_cache(maxsize=4)
def design_in(units: str) -> Design:
    return sample_design(sample_job().model_copy(update={"units": units}))


@lru_cache(maxsize=4)
def sheets_in(units: str) -> Mapping[str, Sheet]:
    return drawings(design_in(units))


def corners(mark: Mark) -> list[tuple[float, float]]:
    match mark:
        case Polyline() | Polygon():
            return list(mark.points)
        case Circle() | Arc():
            (x, y), r = mark.centre, mark.radius
            return [(x - r, y - r), (x + r, y + r)]
        case TextMark():
            return list(text_box(mark))
        case Picture():
            left, bottom, right, top = mark.window
            return [(left, bottom), (right, top)]


def overlaps(sheet: Sheet) -> list[tuple[str, str, float]]:
    """Pairs of texts that cover each other, with the area. [mm²]"""
    boxes = [shapely.Polygon(text_box(mark)) for mark in sheet.texts]
    tree = shapely.STRtree(boxes)
    pairs = tree.query(boxes, predicate="intersects").T
    found = [(int(a), int(b), boxes[a].intersection(boxes[b]).area) for a, b in pairs if a < b]
    return [(sheet.texts[a].text, sheet.texts[b].text, area) for a, b, area in found if area > 1e-6]


@pytest.mark.parametrize("units", ["US", "SI"])
def test_the_set_is_whole_and_in_order(units: str) -> None:
    names = list(sheets_in(units))
    as_needed = ("plan-tables", "plan-part", "ground-tables", "profiles")  # as many as the job takes
    assert [name for name in names if not name.startswith(as_needed)] == [
        "plan", "ground", "trench", "trench-2", "basin", "holes", "assembly", "wall", "flow-net-1",
        "your-water", "storm", "storm-failures", "pump", "bands",
    ]  # fmt: skip
    assert "profiles-1" in names
    assert names.index("profiles-1") < names.index("basin")
    titles = [mark.text for sheet in sheets_in(units).values() for mark in sheet.texts]
    assert f"{len(names)} of {len(names)}" in titles


@pytest.mark.parametrize("units", ["US", "SI"])
def test_marks_lie_on_the_paper_and_in_known_layers(units: str) -> None:
    for sheet in sheets_in(units).values():
        for mark in sheet.marks:
            assert mark.layer in LOOKS, mark
            for x, y in corners(mark):
                assert math.isfinite(x), mark
                assert math.isfinite(y), mark
                assert -0.01 <= x <= sheet.width + 0.01, (sheet.name, mark)
                assert -0.01 <= y <= sheet.height + 0.01, (sheet.name, mark)


@pytest.mark.parametrize("units", ["US", "SI"])
def test_no_text_covers_another(units: str) -> None:
    assert {name: found for name, sheet in sheets_in(units).items() if (found := overlaps(sheet))} == {}


@pytest.mark.parametrize("units", ["US", "SI"])
def test_no_type_is_smaller_than_seven_points(units: str) -> None:
    """Labels, levels and dimensions stood in 5.1 to 6.8 points."""
    sizes = {name: min(mark.size for mark in sheet.texts) * 72.0 / 25.4 for name, sheet in sheets_in(units).items()}
    assert {name: size for name, size in sizes.items() if size < 7.0} == {}


def test_every_run_node_and_crossing_is_named_on_the_plan() -> None:
    design, plan = design_in("US"), sheets_in("US")["plan"]
    texts = [mark.text for mark in plan.texts]
    for name in [*(run.name for run in design.system.runs), *design.system.nodes]:
        assert any(text.split(" ")[0] == name for text in texts), name
    for number in range(1, len(design.build.dig.crossings) + 1):
        assert texts.count(f"X{number}") >= 1
    assert any("INVENTED DEMONSTRATION" in text for text in texts)
    assert any(text.startswith("Call 811") for text in texts)


def test_the_demonstration_note_follows_the_job() -> None:
    job = sample_job().model_copy(update={"demonstration": False})
    texts = [mark.text for mark in drawings(sample_design(job))["plan"].texts]
    assert not any("INVENTED" in text for text in texts)


@pytest.mark.parametrize("units", ["US", "SI"])
def test_svg_is_xml_without_anything_outside(units: str) -> None:
    for sheet in sheets_in(units).values():
        svg = to_svg(sheet)
        tree = ElementTree.fromstring(svg)
        assert tree.get("width") == f"{sheet.width:g}mm"
        tags = {element.tag.rpartition("}")[2] for element in tree.iter()}
        shapes = {"rect", "g", "polyline", "polygon", "circle", "path", "text"}
        assert tags <= {"svg", "title", "desc", *shapes, "clipPath", "image"}
        pictures = [element for element in tree.iter() if element.tag.endswith("}image")]
        assert len(pictures) == sum(isinstance(mark, Picture) for mark in sheet.marks) <= 1, "the firm's logo alone"
        assert all(element.attrib.pop("href").startswith("data:image/") for element in pictures)
        for element in tree.iter():
            for name, value in element.attrib.items():
                assert "href" not in name
                assert "url(" not in value or value.startswith("url(#")
                assert not name.lower().startswith("on")
        assert "http" not in svg.replace("http://www.w3.org/2000/svg", "")
        shown = [element.text for element in tree.iter() if element.tag.endswith("}text")]
        assert shown == [mark.text for mark in sheet.texts]


def test_words_of_an_svg_keep_their_room_in_any_font() -> None:
    """A phone without the font draws others, wider by a tenth: held to the width that was laid out, none is cut off."""
    mark = TextMark(layer="text", at=(1.0, 5.0), text="Power out for 4 h at the worst moment", size=3.0)
    sheet = Sheet(name="s", title="t", scale="none", description="words", width=60.0, height=10.0, marks=(mark,))
    (text,) = ElementTree.fromstring(to_svg(sheet)).iter("{http://www.w3.org/2000/svg}text")
    assert float(text.attrib["textLength"]) == pytest.approx(text_width(mark.text, 3.0), abs=1e-3)
    assert text.attrib["lengthAdjust"] == "spacingAndGlyphs"


def hostile_job() -> Job:
    job = sample_job()
    utilities = tuple(item.model_copy(update={"shutoff": HOSTILE, "note": HOSTILE}) for item in job.utilities)
    return job.model_copy(
        update={
            "title": HOSTILE, "number": HOSTILE, "utilities": utilities,
            "firm": job.firm.model_copy(update={"name": HOSTILE}),
            "property": job.property.model_copy(update={"address": HOSTILE * 3, "town": HOSTILE}),
            "survey": job.survey.model_copy(
                update={"benchmark": job.survey.benchmark.model_copy(update={"description": HOSTILE * 8})}
            ),
        }
    )  # fmt: skip


def test_hostile_text_stays_text() -> None:
    for sheet in drawings(sample_design(hostile_job())).values():
        svg = to_svg(sheet)
        tree = ElementTree.fromstring(svg)
        assert not any(element.tag.endswith("script") for element in tree.iter())
        assert "<script" not in svg
        assert re.search("[\x00-\x08\x0b-\x1f\u202a-\u202e\u2066-\u2069]", svg) is None
        for mark in sheet.texts:
            for x, _ in text_box(mark):
                assert -0.01 <= x <= sheet.width + 0.01, mark


def test_clean_keeps_words_and_drops_what_misleads() -> None:
    assert clean("  a\tb\n\u202ec\x00d \ud800 é ½ ") == "a b c d é ½"


def test_equal_designs_give_equal_bytes() -> None:
    first = {name: to_svg(sheet) for name, sheet in sheets_in("US").items()}
    assert {name: to_svg(sheet) for name, sheet in drawings(sample_design()).items()} == first


def test_another_process_with_another_hash_seed_gives_the_same_bytes() -> None:
    code = (
        "import hashlib; from tests.paper.sample import sample_design; from drainwright.paper.drawings import drawings;"
        "from drainwright.paper.svg import to_svg;"
        "print(hashlib.sha256(''.join(map(to_svg, drawings(sample_design()).values())).encode()).hexdigest())"
    )
    environment = {"PYTHONHASHSEED": "1", "PYTHONPATH": str(ROOT / "src")}
    there = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=environment, check=True, capture_output=True, text=True
    ).stdout
    here = hashlib.sha256("".join(map(to_svg, sheets_in("US").values())).encode()).hexdigest()
    assert there.strip() == here


def test_text_width_follows_the_font() -> None:
    """Advance widths of the shipped face: its figures are tabular, 'W' is wider than 'i', semibold than regular."""
    assert text_width("11111", 2.0) == pytest.approx(text_width("80642", 2.0))
    assert text_width("WW", 2.0) > 3 * text_width("ii", 2.0)
    assert text_width("level", 2.0, "semibold") > text_width("level", 2.0)
    assert text_width("ab", 4.0) == pytest.approx(2 * text_width("ab", 2.0))


def test_a_gravity_job_has_no_basin_and_no_pump() -> None:
    design = design_in("US")
    cases = tuple(replace(case, basin_level=np.empty(0)) for case in design.storm.cases)
    runs = tuple(replace(run, pressure=False) for run in design.system.runs)
    gravity = replace(
        design, system=replace(design.system, stations=(), runs=runs), storm=replace(design.storm, cases=cases)
    )
    sheets = drawings(gravity)
    assert "basin" not in sheets
    assert "pump" not in sheets
    assert overlaps(sheets["storm"]) == []
    assert not any("basin floor" in mark.text for mark in sheets["storm"].texts)


def test_a_bare_job_still_gets_a_plan() -> None:
    design = design_in("SI")
    bare = replace(
        design,
        site=replace(design.site, walls=(), utilities=(), trees=(), boundary=(), joined=()),
        system=replace(design.system, stations=(), runs=(), nodes={}),
        build=replace(design.build, dig=replace(design.build.dig, crossings=(), trenches=())),
    )
    others = ("your-water", "storm", "storm-failures", "bands")
    assert [name for name in drawings(bare) if name not in others] == ["plan", "ground"]


def test_tables_that_do_not_fit_go_on_sheets_of_their_own() -> None:
    design = design_in("US")
    dig = design.build.dig
    many = replace(design, build=replace(design.build, dig=replace(dig, crossings=in_order(dig.crossings * 8))))
    sheets = drawings(many)
    texts = [mark.text for name, sheet in sheets.items() if name.startswith("plan") for mark in sheet.texts]
    assert "plan-tables-1" in sheets
    for number in range(1, 8 * len(dig.crossings) + 1):
        assert f"X{number}" in texts, number
    assert not overlaps(sheets["plan"])
    assert not overlaps(sheets["plan-tables-1"])
