"""A real digital-levelling network: nine lines, six points.

Observed lines and printed heights: demonstration data of an open-source surveying project. SEEN in the project's
shared data, ``survey/levelling_network.csv`` and ``..._adjusted.csv``, whose notes say that the printed heights were
adjusted from differences rounded to 1 mm, and agree with other sound adjustments to about 0.2 mm only.
"""

from __future__ import annotations

import csv
import itertools
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares

from drainwright.field.levels import reduce_book
from drainwright.job.survey import LevelRow

DATA = Path(__file__).parents[2].parent / "shared" / "data" / "survey"
pytestmark = pytest.mark.skipif(not DATA.exists(), reason="the survey data are not beside this checkout")
LOOPS = ("BHIJKB", "HINH", "BKNHB", "IJNI", "JKNJ", "BHNKB", "BHINJKB")


def lines() -> dict[tuple[str, str], tuple[float, float]]:
    """Rise and length by ends, both ways. [m]"""
    found: dict[tuple[str, str], tuple[float, float]] = {}
    with (DATA / "levelling_network.csv").open() as file:
        for line in csv.DictReader(file):
            rise, length = float(line["height_diff_m"]), float(line["distance_m"])
            found[line["from"], line["to"]] = (rise, length)
            found[line["to"], line["from"]] = (-rise, length)
    return found


def heights(rises: list[tuple[str, str, float, float]], fixed: dict[str, float]) -> dict[str, float]:
    """Heights by weighted least squares, weight one over length."""
    names = sorted({name for a, b, _, _ in rises for name in (a, b)} - set(fixed))

    def misses(unknown: np.ndarray) -> np.ndarray:
        level = fixed | dict(zip(names, unknown, strict=True))
        return np.array([(level[b] - level[a] - rise) / length**0.5 for a, b, rise, length in rises])

    solved = least_squares(misses, np.full(len(names), 100.0), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return dict(zip(names, (float(height) for height in solved.x), strict=True))


def as_book(loop: str) -> list[LevelRow]:
    """The loop as a level book, one set-up a line, its sights half the line each."""
    known = lines()
    rows = []
    for a, b in itertools.pairwise(loop):
        rise, length = known[a, b]
        half = f"{length / 2!r} m"
        rows.append({"point": a, "backsight": f"{1.5 + rise!r} m", "distance": half})
        rows.append({"point": b, "foresight": "1.5 m", "distance": half})
    return [LevelRow.model_validate(row) for row in rows]


@pytest.mark.parametrize("loop", LOOPS)
def test_each_loop_is_adjusted_as_least_squares_does(loop: str) -> None:
    """Sharing by length is the least-squares adjustment of one loop."""
    known = lines()
    start = {loop[0]: 100.0}
    reduced = reduce_book(as_book(loop), start, {}, "SI")
    book, levels = reduced.book, reduced.levels
    rises = [(a, b, *known[a, b]) for a, b in itertools.pairwise(loop)]
    assert book.misclosure == pytest.approx(sum(rise for _, _, rise, _ in rises), abs=1e-9)
    assert book.distance == pytest.approx(sum(length for *_, length in rises))
    assert book.closes
    for name, height in heights(rises, start).items():
        assert levels[name] == pytest.approx(height, abs=2e-7)


def test_the_triangle_of_the_notes_closes_to_half_a_millimetre() -> None:
    book = reduce_book(as_book("HINH"), {"H": 100.0}, {}, "SI").book
    assert book.misclosure == pytest.approx(-0.0005, abs=1e-9)


def test_loops_stay_near_the_printed_heights() -> None:
    """One loop cannot know what the whole network does: within a millimetre of the printed heights."""
    with (DATA / "levelling_network_adjusted.csv").open() as file:
        printed = {line["point"]: float(line["adjusted_m"]) for line in csv.DictReader(file)}
    for loop in ("BHIJKB", "BKNHB", "BHINJKB"):
        levels = reduce_book(as_book(loop), {"B": 100.0}, {}, "SI").levels
        for name, level in levels.items():
            assert level == pytest.approx(printed[name], abs=1e-3)


def test_the_printed_heights_against_least_squares() -> None:
    """The reference itself: the whole network with weight one over length is within 0.25 mm of print."""
    known = [(a, b, *value) for (a, b), value in lines().items() if a < b]
    solved = heights(known, {"B": 100.0})
    with (DATA / "levelling_network_adjusted.csv").open() as file:
        printed = {line["point"]: float(line["adjusted_m"]) for line in csv.DictReader(file)}
    for name, height in solved.items():
        assert height == pytest.approx(printed[name], abs=2.5e-4)
