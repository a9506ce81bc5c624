"""The sheet of bands: a bar a cause, its reasons, every input's range; nothing on another, nothing off the paper."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from drainwright.design import Design
from drainwright.paper.band_chart import MOST_ROWS, _log_ticks, _number, band_draft
from drainwright.paper.frame import finish
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import Circle, Polygon, Sheet, TextMark
from drainwright.paper.wording import Wording
from drainwright.water.model import Band, Cause
from tests.paper.sample import designed
from tests.paper.test_drawings import corners, overlaps

EXAMPLES = ["block-wall-house", "sloping-lot", "wrong-choices", "metric-basement"]


def sheet_of(design: Design) -> Sheet:
    draft = band_draft(design)
    assert draft is not None
    return finish(draft, design.job, 1, 1)


def text_of(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in sheet.texts)


@pytest.mark.parametrize("example", EXAMPLES)
@pytest.mark.parametrize("units", ["US", "SI"])
def test_texts_are_apart_and_on_the_paper(example: str, units: str) -> None:
    design = designed(example)
    sheet = sheet_of(replace(design, job=design.job.model_copy(update={"units": units})))
    assert overlaps(sheet) == []
    paper = shapely.box(0, 0, sheet.width, sheet.height)
    assert all(paper.covers(shapely.Polygon(text_box(mark))) for mark in sheet.texts)
    assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for mark in sheet.marks for x, y in corners(mark))


def test_bars_and_points_stand_at_their_flows() -> None:
    """Distances along the axis go as the logarithms of the flows."""
    design = designed("block-wall-house")
    water, sheet = design.inflows, sheet_of(design)
    bars = [mark for mark in sheet.marks if isinstance(mark, Polygon) and mark.layer in ("bar", "bar dark")]
    points = [mark for mark in sheet.marks if isinstance(mark, Circle) and mark.layer == "operating"]
    bands = [*(water.bands[cause] for cause in Cause), water.total]
    figures = [*water.by_cause().values(), sum(water.by_cause().values())]
    assert len(bars) == len(points) == 4
    ends = [(min(x for x, _ in bar.points), max(x for x, _ in bar.points)) for bar in bars]
    scale = (ends[0][1] - ends[0][0]) / math.log(bands[0].high / bands[0].low)  # type: ignore[union-attr]
    for (left, right), point, band, figure in zip(ends, points, bands, figures, strict=True):
        assert band is not None
        assert right - left == pytest.approx(scale * math.log(band.high / band.low), rel=1e-6)
        assert point.centre[0] - left == pytest.approx(scale * math.log(figure / band.low), rel=1e-6)


def test_causes_and_inputs_are_named_with_their_marks() -> None:
    design = designed("metric-basement")
    text = text_of(sheet_of(design))
    for word in ("roofs", "yards", "groundwater", "all together", "L/s", "rain depth (assumed)"):
        assert word in text
    assert "soil conductivity (measured)" in text
    assert all(item.name in text for item in design.inflows.ranges)
    assert "0.13 m/day" in text
    assert "water table" in text
    assert "49.190 m" in text


def test_many_inputs_are_cut_to_the_first_ones() -> None:
    design = designed("block-wall-house")
    ranges = design.inflows.ranges * 3
    many = replace(design, inflows=replace(design.inflows, ranges=ranges))
    sheet, draft = sheet_of(many), band_draft(many)
    assert draft is not None
    assert f"the first {MOST_ROWS} of {len(ranges)}" in text_of(sheet)
    assert overlaps(sheet) == []
    lowest = min(y for mark in draft.marks if isinstance(mark, TextMark) for _, y in text_box(mark))
    assert lowest > 24.0  # above the title block


def test_no_flow_at_the_low_end_and_none_designed_for() -> None:
    design = designed("block-wall-house")
    water = design.inflows
    parts = tuple(replace(c, flow=0.0) if c.cause is Cause.GROUND else c for c in water.contributions)
    bands = {**water.bands, Cause.GROUND: Band(low=0.0, middle=0.0, high=1e-5)}
    sheet = sheet_of(replace(design, inflows=replace(water, contributions=parts, bands=bands)))
    assert "0 to 0.16 gpm, designed for 0" in text_of(sheet)
    assert sum(isinstance(mark, Circle) and mark.layer == "operating" for mark in sheet.marks) == 3


def test_no_bands_no_sheet() -> None:
    design = designed("sloping-lot")
    assert band_draft(replace(design, inflows=replace(design.inflows, total=None))) is None


def test_ticks_and_numbers() -> None:
    assert _log_ticks(1.0, 60.0, -0.1, 1.9) == [1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
    assert _log_ticks(0.01, 60.0, -2.1, 1.9) == [0.01, 0.1, 1.0, 10.0]
    gallon = 0.003785411784 / 60
    assert [_number(value * gallon, Wording("US")) for value in (0.0, 0.0123, 1.26, 64.4, 1234.0)] == [
        "0", "0.012", "1.3", "64", "1,234",
    ]  # fmt: skip
