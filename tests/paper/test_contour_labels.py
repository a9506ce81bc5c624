"""Contours bear their levels: on the sheets, and by themselves."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest
import shapely

from drainwright.exchange.files import read_shots
from drainwright.field.ground_study import study_ground
from drainwright.field.terrain_model import Contour
from drainwright.paper.ground_marks import Drawn, contour_labels
from drainwright.paper.ground_sheet import ground_sheet
from drainwright.paper.label import place_labels
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import TextMark
from drainwright.paper.terrain_sheet import terrain_sheet
from tests.paper.sample import designed

HILLSIDE = Path(__file__).parents[3] / "shared" / "data" / "survey" / "hillside_points_PNEZD.csv"
FOOT = 0.3048


def named(marks: object) -> set[float]:
    return {float(mark.text) for mark in marks if isinstance(mark, TextMark) and mark.layer == "text contour"}  # type: ignore[attr-defined]


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "sloping-lot", "wrong-choices"])
def test_the_sheet_of_the_ground_names_its_contours(example: str) -> None:
    design = designed(example)
    terrain = design.site.terrain
    assert terrain is not None
    unit = FOOT if design.job.units == "US" else 1.0
    levels = {round(one.level / unit, 2) for one in terrain.contours}
    ground = terrain_sheet(design)
    assert ground is not None
    found = named(ground.draft.marks)
    assert {round(one.level / unit, 2) for one in terrain.contours if one.index} <= found <= levels
    assert len(found) >= 0.5 * len(levels)


@pytest.mark.skipif(not HILLSIDE.exists(), reason="the public data are not beside this checkout")
@pytest.mark.parametrize("units", ["US", "SI"])
def test_the_sheet_of_files_names_its_contours_and_none_touches_another_text(units: str) -> None:
    study = study_ground(read_shots(HILLSIDE, "m"), units)  # type: ignore[arg-type]
    sheet = ground_sheet(study, units)  # type: ignore[arg-type]
    unit = FOOT if units == "US" else 1.0
    found = named(sheet.marks)
    assert {round(one.level / unit, 2) for one in study.contours if one.index} <= found
    assert len(found) >= 0.5 * len(study.contours) >= 3
    texts = [mark for mark in sheet.marks if isinstance(mark, TextMark) and mark.layer in ("text contour", "text soft")]
    boxes = [shapely.Polygon(text_box(mark)) for mark in texts]
    assert all(a.intersection(b).area < 1e-9 for a, b in itertools.combinations(boxes, 2))
    assert all(mark.size >= 2.0 for mark in texts if mark.layer == "text contour")


def lines(count: int, every: int, length: float = 100.0) -> list[Drawn]:
    """Straight contours one below the other, 5 mm apart, each ``every``th an index contour."""
    return [
        (Contour(level=float(n), index=n % every == 0, lines=()), ((0.0, 5.0 * n), (length, 5.0 * n)))
        for n in range(1, count + 1)
    ]


@pytest.mark.parametrize(
    ("count", "every", "expected"),
    [
        (9, 5, set(range(1, 10))),  # few: all
        (11, 5, {2, 4, 5, 6, 8, 10}),  # two index contours do not tell the others
        (24, 5, {5, 10, 15, 20}),  # enough of them
    ],
)
def test_which_levels_are_named(count: int, every: int, expected: set[int]) -> None:
    labels = contour_labels(lines(count, every), 1.0, "SI")
    assert {int(label.lines[0]) for label in labels} == expected
    assert contour_labels(lines(9, 5, 11.0), 1.0, "SI") == []  # a label would hide the line


def test_a_label_lies_on_its_line_and_moves_along_it_from_what_is_in_the_way() -> None:
    ring = tuple((50.0 + 20.0 * math.cos(a), 50.0 + 20.0 * math.sin(a)) for a in (n * math.pi / 40 for n in range(81)))
    labels = contour_labels([(Contour(level=3.0, index=True, lines=()), ring)], 1.0, "SI")
    middle = labels[0].at
    free = place_labels(labels, frame=(0.0, 0.0, 100.0, 100.0)).placed
    assert free[0].place.centre == pytest.approx(middle)
    around = tuple((middle[0] + e, middle[1] + n) for e, n in ((-4.0, -4.0), (4.0, -4.0), (4.0, 4.0), (-4.0, 4.0)))
    (moved, *_) = place_labels(labels, frame=(0.0, 0.0, 100.0, 100.0), blocked=[around]).placed
    assert math.dist(moved.place.centre, middle) > 4.0
    for item in (*free, moved):
        assert shapely.LineString(ring).distance(shapely.Point(item.place.centre)) < 0.5
