"""Every plan sheet of every example as files: sound XML with nothing from outside, a sound DXF, and a true scale.

The scale is measured on the page as a person would with a ruler: in the millimetres of the SVG's own coordinates.
"""

from __future__ import annotations

import io
import math
import re
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pypdfium2
import pytest

from drainwright.design import Design
from drainwright.paper.documents.drawing_set import drawing_set
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.drawings import drawings
from drainwright.paper.dxf import to_dxf
from drainwright.paper.frame import finish
from drainwright.paper.plan import plan_sheet
from drainwright.paper.sheet import Sheet
from drainwright.paper.svg import to_svg

from .sample import designed

EXAMPLES = (
    "block-wall-house", "metric-basement", "sloping-lot", "wrong-choices", "soak-lot", "two-basins", "long-house",
)  # fmt: skip
SVG = "{http://www.w3.org/2000/svg}"
SIZES = {"letter": (279.4, 215.9), "tabloid": (431.8, 279.4), "A4": (297.0, 210.0), "A3": (420.0, 297.0)}  # [mm]
FOOT = 0.3048


@cache
def design_of(example: str) -> Design:
    return designed(example)


@cache
def plan_of(example: str) -> Sheet:
    job = design_of(example).job
    return finish(plan_sheet(design_of(example)).drawn()[0], job, 1, 1)


@pytest.mark.parametrize("example", EXAMPLES)
def test_svg_files_hold_all_that_they_show(example: str) -> None:
    for name, sheet in drawings(design_of(example)).items():
        svg = to_svg(sheet)
        tree = ElementTree.fromstring(svg)
        assert "http" not in svg.replace("http://www.w3.org/2000/svg", ""), name
        for element in tree.iter():
            for key, value in element.attrib.items():
                assert "href" not in key or value.startswith(("#", "data:image/")), name
                assert not re.search(r"url\((?!#)", value), name


@pytest.mark.parametrize("example", EXAMPLES)
def test_dxf_is_sound_and_its_runs_are_as_long_as_the_models(example: str) -> None:
    design = design_of(example)
    document = ezdxf.read(io.StringIO(to_dxf(design)))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    us = design.job.units == "US"
    assert document.header["$INSUNITS"] == (2 if us else 6)
    unit = FOOT if us else 1.0
    lines = [list(line.points()) for line in document.modelspace().query('POLYLINE[layer ? "DRAIN-.*"]')]
    assert len(lines) == len(design.system.runs) > 0
    for run, points in zip(design.system.runs, lines, strict=True):
        length = sum(math.dist((a.x, a.y), (b.x, b.y)) for a, b in pairwise(points)) * unit
        assert length == pytest.approx(run.length, abs=1e-6), run.name
    texts = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert all(any(text.startswith(f"{run.name} ") for text in texts) for run in design.system.runs)
    heights = [text.dxf.height * unit for text in document.modelspace().query("TEXT")]
    assert min(heights) >= 0.1  # 1 mm or more on paper at 1 to 100


def group(tree: ElementTree.Element, layer: str) -> list[ElementTree.Element]:
    return [shape for part in tree.iter(f"{SVG}g") if part.get("class") == layer for shape in part]


def points_of(shape: ElementTree.Element) -> list[tuple[float, float]]:
    return [
        (float(x), float(y)) for x, y in (pair.split(",") for pair in shape.attrib["points"].split())
    ]  # fmt: skip


def ruled(design: Design, sheet: Sheet) -> None:
    """Measure the bar and all outer walls of the house on the page."""
    tree = ElementTree.fromstring(to_svg(sheet))
    size = tuple(float(tree.attrib[side].removesuffix("mm")) for side in ("width", "height"))
    assert size in SIZES.values()
    assert [float(part) for part in tree.attrib["viewBox"].split()] == [0.0, 0.0, *size]
    ratio = float(re.search(r"1:(\d+)", sheet.scale).group(1))  # type: ignore[union-attr]
    unit = FOOT if design.job.units == "US" else 1.0
    bars = [points_of(bar) for layer in ("scale-dark", "scale-light") for bar in group(tree, layer)]
    length = max(x for bar in bars for x, _ in bar) - min(x for bar in bars for x, _ in bar)
    end = next(
        text for text in tree.iter(f"{SVG}text") if re.fullmatch(r"[\d.]+ (ft|m)", text.text or "")
        and abs(float(text.attrib["x"]) - max(x for bar in bars for x, _ in bar)) < 0.01
    )  # fmt: skip
    said = float((end.text or "").split()[0]) * unit
    assert length * ratio / 1000 == pytest.approx(said, rel=0.01)
    (house,) = (points_of(shape) for shape in group(tree, "house"))
    outline = design.site.outline
    for number, corner in enumerate(house):
        on_page = math.dist(corner, house[(number + 1) % len(house)])
        wall = math.dist(outline[number], outline[(number + 1) % len(outline)])
        assert on_page * ratio / 1000 == pytest.approx(wall, rel=0.01)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_plan_is_to_the_scale_that_it_says(example: str) -> None:
    design = design_of(example)
    ruled(design, plan_of(example))


@pytest.mark.parametrize("example", ["sloping-lot", "metric-basement"])
def test_a_printed_plan_has_the_papers_size_and_its_bar_its_length(example: str) -> None:
    """A PDF page, drawn at 10 dots a millimetre by a general PDF library, and its bar counted in dots."""
    design, sheet = design_of(example), plan_of(example)
    page = pypdfium2.PdfDocument(to_pdf(drawing_set(design, {"plan": (sheet, to_svg(sheet))}), None))[0]
    size = tuple(side / 72 * 25.4 for side in page.get_size())
    assert size == pytest.approx((sheet.width, sheet.height), abs=0.1)
    assert any(size == pytest.approx(known, abs=0.1) for known in SIZES.values())
    dots = np.squeeze(page.render(scale=10 * 25.4 / 72, grayscale=True).to_numpy())
    bars = [mark.points for mark in sheet.marks if mark.layer in ("scale dark", "scale light")]  # type: ignore[union-attr]
    middle = sheet.height - sum(y for _, y in bars[0]) / 4
    left = min(x for x, _ in bars[0])
    row = dots[round(middle * 10), round((left - 2) * 10) : round((sheet.width - 15) * 10)]
    dark = np.flatnonzero(row < 128)
    ratio = float(re.search(r"1:(\d+)", sheet.scale).group(1))  # type: ignore[union-attr]
    unit = FOOT if design.job.units == "US" else 1.0
    ends = [re.fullmatch(r"(\d+) (ft|m)", mark.text) for mark in sheet.texts if mark.layer == "text soft"]
    (said,) = [float(found.group(1)) for found in ends if found]
    assert (dark[-1] - dark[0]) / 10 * ratio / 1000 == pytest.approx(said * unit, rel=0.01)
