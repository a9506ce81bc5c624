"""What a drawing's legend tells apart stays apart in a grey print and for readers who see colours otherwise.

Each sample is printed by itself, 10 dots a millimetre, and compared dot by dot with each other one of its sheet.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import combinations

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest

from drainwright.paper.documents.drawing_set import drawing_set
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.looks import DUTY_LOOKS, LOOKS, UTILITY, utility_layer
from drainwright.paper.plan_panel import Sample, _run_sample, _utility_sample, plan_items
from drainwright.paper.sheet import Sheet
from drainwright.paper.svg import to_svg
from drainwright.paper.terrain_marks import RULINGS
from drainwright.paper.terrain_panel import _patch, _ruled, legend_items

from .sample import designed

Dots = npt.NDArray[np.float64]
CELL = (12.0, 6.0)  # of one sample [mm]
APART = 35.0  # dots that differ by so much of 255 are seen to differ
SHARE = 0.008  # of a sample's dots, at least: 0.6 mm2 of 72 mm2
# Cones for red, green or blue missing: Machado, Oliveira and Fernandes (2009), "A physiologically-based model for
# simulation of color vision deficiency", severity 1.0, of linear RGB: from memory. Grey: relative luminance of Web
# Content Accessibility Guidelines 2.2.
SEEN: Mapping[str, tuple[tuple[float, float, float], ...]] = {
    "grey": ((0.2126, 0.7152, 0.0722),) * 3,
    "no red": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "no green": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "no blue": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}  # fmt: skip
EXAMPLES = ("block-wall-house", "metric-basement", "soak-lot", "long-house", "sloping-lot")


def seen(dots: Dots, by: str) -> Dots:
    """Dots of sRGB, 0 to 255, as they are seen (sRGB curve of IEC 61966-2-1, from memory)."""
    part = dots / 255.0
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    told = np.clip(linear @ np.asarray(SEEN[by]).T, 0.0, 1.0)
    return np.asarray(255.0 * np.where(told <= 0.0031308, told * 12.92, 1.055 * told ** (1 / 2.4) - 0.055))


def printed(samples: list[tuple[str, Sample]]) -> list[Dots]:
    """Each sample's dots, in a cell of its own."""
    wide, high = CELL
    marks = [mark for row, (_, draw) in enumerate(samples) for mark in draw(1.0, high * (row + 0.5))]
    sheet = Sheet(name="samples", title="Samples", scale="", width=wide, height=high * len(samples), marks=tuple(marks),
                  description="")  # fmt: skip
    pdf = to_pdf(drawing_set(designed("block-wall-house"), {"plan": (sheet, to_svg(sheet))}), None)
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=10 * 25.4 / 72, rev_byteorder=True).to_numpy()[:, :, :3]
    tall, across = round(10 * high), round(10 * wide)
    assert abs(page.shape[0] - tall * len(samples)) <= 2
    assert abs(page.shape[1] - across) <= 2
    foot = page.shape[0]
    return [
        page[foot - tall * (row + 1) + 1 : foot - tall * row - 1, : across - 1].astype(float)
        for row in range(len(samples))
    ]


def alike(samples: list[tuple[str, Sample]]) -> list[str]:
    """Pairs that cannot be told apart, with who sees them so."""
    dots = printed(samples)
    found = []
    for by in SEEN:
        told = [seen(item, by) for item in dots]
        for (one, first), (other, second) in combinations(zip(samples, told, strict=True), 2):
            share = float((np.abs(first - second).max(axis=2) >= APART).mean())
            if share < SHARE:
                found.append(f"{by}: {one[0]} and {other[0]}, {share:.4f}")
    return found


@cache
def items_of(example: str) -> tuple[list[tuple[str, Sample]], list[tuple[str, Sample]]]:
    design = designed(example)
    return plan_items(design), [] if design.site.terrain is None else legend_items(design.site.terrain)


@pytest.mark.parametrize("example", EXAMPLES)
def test_what_a_legend_shows_is_told_apart_without_colour(example: str) -> None:
    plan, ground = items_of(example)
    assert len(plan) > 3
    assert alike(plan) == []
    assert alike(ground) == []


def test_every_duty_every_buried_line_and_every_tint_is_told_apart_without_colour() -> None:
    lines: list[tuple[str, Sample]] = [(duty, _run_sample(duty)) for duty in DUTY_LOOKS]
    lines += [(kind, _utility_sample(told[0], utility_layer(kind))) for kind, told in UTILITY.items()]
    assert alike(lines) == []
    assert alike([(layer, _ruled(layer)) for layer in RULINGS]) == []


def test_the_measure_finds_what_only_colour_tells_apart() -> None:
    """Two tints without their rulings look alike in grey; a sample looks like itself; two unlike lines do not."""
    tints: list[tuple[str, Sample]] = [("one", _patch("drains 1")), ("two", _patch("drains 2"))]
    assert any(pair.startswith("grey: one and two") for pair in alike(tints))
    run = ("run", _run_sample("yard drain"))
    assert len(alike([run, run])) == len(SEEN)
    assert alike([run, ("other", _run_sample("overflow"))]) == []


# Lines that stand in one chart or section, read against each other.
CHART = ("curve strong", "curve", "curve dashed", "curve soft", "limit")
SECTION = ("water surface", "water table", "level line", "ground", "footing", "trench line")


@pytest.mark.parametrize("layers", [CHART, SECTION], ids=["charts", "sections"])
def test_lines_of_charts_and_sections_differ_by_dash_width_or_greyness(layers: tuple[str, ...]) -> None:
    def grey(layer: str) -> float:
        ink = LOOKS[layer].ink
        assert ink is not None
        return float(seen(np.array([[int(ink[at : at + 2], 16) for at in (1, 3, 5)]], dtype=float), "grey")[0, 0])

    for one, other in combinations(layers, 2):
        a, b = LOOKS[one], LOOKS[other]
        wide = max(a.width, b.width) / min(a.width, b.width)
        assert a.dash != b.dash or wide >= 1.4 or abs(grey(one) - grey(other)) >= APART, (one, other)
