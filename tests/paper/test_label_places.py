"""Names on plans stand apart: measured from the font's own outlines, not by what placed them.

Boxes: advance widths and outlines read from the font files that the papers ship, by a general library for fonts;
overlaps by a general geometry library.
"""

from __future__ import annotations

import math
from functools import cache
from importlib.resources import files

import pytest
import shapely
from fontTools.pens.boundsPen import BoundsPen  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from shapely.affinity import rotate, translate

from drainwright.paper.plan import named, plan_marks, setting
from drainwright.paper.sheet import TextMark
from tests.paper.random_lots import random_lot

FACES = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf"}


@cache
def glyph(weight: str, letter: str) -> tuple[float, float, float]:
    """Advance, lowest and highest of a letter's outline, over the size of the type."""
    font = face(weight)
    name = font.getBestCmap()[ord(letter)]
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[name].draw(pen)
    low, high = (0.0, 0.0) if pen.bounds is None else (pen.bounds[1], pen.bounds[3])
    em = font["head"].unitsPerEm
    return font["hmtx"][name][0] / em, low / em, high / em


@cache
def face(weight: str) -> TTFont:
    with files("font_source_sans_pro").joinpath("files", FACES[weight]).open("rb") as handle:
        return TTFont(handle, lazy=False)


def ink_box(mark: TextMark) -> shapely.Polygon:
    """The box of a text's ink. [mm]"""
    letters = [glyph(mark.weight, letter) for letter in mark.text]
    width = mark.size * sum(letter[0] for letter in letters)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[mark.anchor]
    low, high = mark.size * min(letter[1] for letter in letters), mark.size * max(letter[2] for letter in letters)
    box = rotate(shapely.box(left, low, left + width, high), math.degrees(mark.rotation), origin=(0.0, 0.0))
    return translate(box, *mark.at)


def faults(texts: list[TextMark], others: list[TextMark], spots: list[shapely.Polygon], frame: shapely.Polygon) -> int:
    """How many texts lie over another text or a symbol, or leave the frame."""
    boxes = [ink_box(mark) for mark in texts]
    solid = [*boxes, *(ink_box(mark) for mark in others), *spots]
    tree = shapely.STRtree(solid)
    bad = set()
    for number, box in enumerate(boxes):
        if not frame.covers(box):
            bad.add(number)
        for other in tree.query(box, predicate="intersects"):
            if other != number and box.intersection(solid[other]).area > 1e-6:
                bad.add(number)
    return len(bad)


def test_the_measure_finds_what_lies_over_another() -> None:
    one = TextMark(layer="text", at=(10.0, 10.0), text="CB1 catch basin", size=2.3)
    near = TextMark(layer="text", at=(14.0, 10.5), text="DS1", size=2.3)
    frame = shapely.box(0, 0, 100, 100)
    assert faults([one, near], [], [], frame) == 2
    assert faults([one], [], [shapely.Point(11.0, 10.5).buffer(1.0)], frame) == 1
    assert faults([one], [], [], shapely.box(0, 0, 20, 100)) == 1
    assert faults([one], [], [shapely.Point(50.0, 50.0).buffer(1.0)], frame) == 0


@pytest.mark.parametrize("seeds", [range(8), pytest.param(range(8, 100), marks=pytest.mark.slow)], ids=["8", "92 more"])
def test_names_stand_apart_on_lots_by_chance(seeds: range) -> None:
    """Under 1 % of all names may touch another, a symbol or the edge; none is lost without being told."""
    count = bad = told = 0
    for seed in seeds:
        design = random_lot(seed)
        chosen = setting(design)
        drawn = plan_marks(design, chosen.view, chosen.window)
        placement = named(drawn, chosen.window)
        texts = [mark for mark in placement.marks() if isinstance(mark, TextMark)]
        others = [mark for mark in drawn.marks if isinstance(mark, TextMark)]
        spots = [shapely.Point(mark.centre).buffer(mark.radius) for mark in drawn.symbols]
        bad += faults(texts, others, spots, shapely.box(*chosen.window))
        count += len(drawn.labels)
        told += len(placement.unplaced)
        assert len(placement.placed) + len(placement.dropped) + len(placement.unplaced) == len(drawn.labels), seed
        assert all(label.droppable for label in placement.dropped), seed
    assert count > 40 * len(seeds)
    assert bad < 0.01 * count, (bad, count)
    assert told < 0.01 * count, (told, count)  # these stand in words beside the plan
