"""Scale measured on the printed page: plan, profiles and sections of four examples, on letter and on A4.

A sheet is set as a page of the PDF, with the marks alone that are measured, where they stand; a general PDF library
draws the page at 15 dots a millimetre, and the dots are counted as a person would lay a ruler on the paper. What is
measured is multiplied by the scale that the sheet says in words and held against the design, within a hundredth.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import NamedTuple

import numpy as np
import pypdfium2
import pytest

from drainwright.design import Design
from drainwright.paper.documents.drawing_set import drawing_set
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.frame import Draft, finish
from drainwright.paper.looks import LOOKS
from drainwright.paper.plan import plan_sheet
from drainwright.paper.plan_parts import part_drafts
from drainwright.paper.profile import profile_drafts
from drainwright.paper.section import SHELL, basin_drafts
from drainwright.paper.sheet import Mark, Polygon, Polyline, Sheet
from drainwright.paper.soak_section import soak_drafts
from drainwright.paper.svg import to_svg
from drainwright.paper.trench_section import build_ups, trench_drafts
from drainwright.paper.wall_section import _cut, wall_draft

from .sample import designed

DOTS = 15  # a millimetre: at 10 a sharp corner's tip misses a dot, a hundredth of a profile 15 mm high
FOOT = 0.3048
EXAMPLES = ("block-wall-house", "metric-basement", "soak-lot", "long-house")
SIZES = {"US": ((279.4, 215.9), (431.8, 279.4)), "SI": ((297.0, 210.0), (420.0, 297.0))}  # letter, tabloid; A4, A3


class Wanted(NamedTuple):
    """Marks of a sheet, and how wide and high they are in truth; None: not measured. [m]"""

    sheet: Sheet
    marks: tuple[Mark, ...]
    wide: float | None
    high: float | None
    ratios: tuple[float, float]  # across and up, read from the sheet's words


@cache
def design_in(example: str, units: str) -> Design:
    design = designed(example)
    job = design.job.model_copy(update={"units": units})
    return replace(design, job=job, site=replace(design.site, job=job))


def ratio(words: str) -> float:
    """Of a scale in words: 120 of ``1 in = 10 ft``, 24 of ``1/2 in = 1 ft (1:24)``, 50 of ``1:50``."""
    if found := re.match(r"([\d/ ]+) in = (\d+) ft", words):
        inches = sum(map(Fraction, found.group(1).split()), Fraction(0))
        return float(12 * int(found.group(2)) / inches)
    found = re.match(r"1:(\d+)", words)
    assert found, words
    return float(found.group(1))


def sheets_of(design: Design, drafts: Sequence[Draft]) -> list[Sheet]:
    return [finish(draft, design.job, number, len(drafts)) for number, draft in enumerate(drafts, start=1)]


def of_layer(sheet: Sheet, *layers: str) -> list[Polygon | Polyline]:
    return [mark for mark in sheet.marks if mark.layer in layers and isinstance(mark, (Polygon, Polyline))]


def spans(mark: Polygon | Polyline) -> tuple[float, float]:
    across, up = zip(*mark.points, strict=True)
    return max(across) - min(across), max(up) - min(up)


def plans(design: Design) -> Iterator[Wanted]:
    """The house on the plan, and each sheet's bar against its own words."""
    unit = FOOT if design.job.units == "US" else 1.0
    (whole, *parts) = sheets_of(design, [plan_sheet(design).draft, *part_drafts(design)])
    x, y = zip(*design.site.outline, strict=True)
    said = ratio(whole.scale)
    yield Wanted(whole, tuple(of_layer(whole, "house")), max(x) - min(x), max(y) - min(y), (said, said))
    for sheet in (whole, *(part for part in parts if "tables" not in part.name)):
        bars = of_layer(sheet, "scale dark", "scale light")
        end = max(at for bar in bars for at, _ in bar.points)
        (told,) = [
            float(found.group(1)) for mark in sheet.texts
            if (found := re.fullmatch(r"([\d.]+) (?:ft|m)", mark.text)) and abs(mark.at[0] - end) < 0.01
        ]  # fmt: skip
        yield Wanted(sheet, tuple(bars), told * unit, None, (ratio(sheet.scale), ratio(sheet.scale)))


def profiles(design: Design) -> Iterator[Wanted]:
    """Each run's pipe from end to end, and from its lowest place to the highest of ground and pipe."""
    for sheet in sheets_of(design, profile_drafts(design)):
        said = [mark.text for mark in sheet.texts if mark.text.startswith("across ")]
        assert len(said) == len(sheet.scaled)
        for part, words in zip(sheet.scaled, said, strict=True):
            run = design.system.run(part.title.removeprefix("Profile "))
            across, up = re.split(r"[,;] heights ", words.removeprefix("across "), maxsplit=1)
            ratios = (ratio(across), ratio(across) if up.startswith("true") else ratio(up))
            within = sheet.marks[part.first : part.end]
            (pipe,) = [mark for mark in within if isinstance(mark, Polygon) and mark.layer == "pipe"]
            (ground,) = [mark for mark in within if isinstance(mark, Polyline) and mark.layer == "ground"]
            low = min(min(one.ground, one.invert - run.pipe.wall) for one in run.stations)
            crown = run.pipe.outside - run.pipe.wall
            high = max(max(one.ground, one.invert + crown) for one in run.stations)
            yield Wanted(sheet, (pipe, ground), run.length, high - low, ratios)


def sections(design: Design) -> Iterator[Wanted]:
    """Trenches, basin, wall and soakaways."""
    ups = build_ups(design)
    for number, sheet in enumerate(one for one in sheets_of(design, trench_drafts(design)) if "tables" not in one.name):
        trenches = of_layer(sheet, "trench line")
        for up, trench in zip(ups[2 * number : 2 * number + 2], trenches, strict=True):
            yield Wanted(sheet, (trench,), up.width, up.station.cut, (ratio(sheet.scale),) * 2)
    basins = [one for one in sheets_of(design, basin_drafts(design)) if "tables" not in one.name]
    for station, sheet in zip(design.system.by_house, basins, strict=True):
        sides = sorted(of_layer(sheet, "shell"), key=lambda mark: spans(mark)[1])[-2:]
        wide = station.inside_diameter + 2 * SHELL
        yield Wanted(sheet, tuple(sides), wide, station.depth, (ratio(sheet.scale),) * 2)
    draft = wall_draft(design)
    if draft is not None:
        (sheet,) = sheets_of(design, [draft])
        name = draft.title.removeprefix("Wall section: ").removesuffix(" wall")
        cut = next(cut for wall in design.site.walls if wall.name == name and (cut := _cut(design, wall)))
        yield Wanted(
            sheet, tuple(of_layer(sheet, "backfill")), None, cut.ground - cut.bottom, (ratio(sheet.scale),) * 2
        )
    soaks = [one for one in sheets_of(design, soak_drafts(design)) if "tables" not in one.name]
    for soak, sheet in zip(design.system.soaks, soaks, strict=True):
        stone = next(mark for mark in of_layer(sheet, "stone") if len(mark.points) == 4)
        yield Wanted(sheet, (stone,), soak.width, soak.top - soak.bottom, (ratio(sheet.scale),) * 2)


def measured(design: Design, wanted: Sequence[Wanted]) -> list[tuple[float, float]]:
    """How wide and high each is on its page, between the middles of its outermost lines. [mm]"""
    pages = {}
    for number, one in enumerate(wanted):
        alone = replace(one.sheet, name=f"page-{number}", marks=one.marks, scaled=())
        pages[alone.name] = (alone, to_svg(alone))
    printed = pypdfium2.PdfDocument(to_pdf(drawing_set(design, pages), None))
    assert len(printed) == len(wanted)
    found = []
    for one, page in zip(wanted, printed, strict=True):
        size = tuple(side / 72 * 25.4 for side in page.get_size())
        assert any(size == pytest.approx(known, abs=0.1) for known in SIZES[design.job.units])
        dots = np.squeeze(page.render(scale=DOTS * 25.4 / 72, grayscale=True).to_numpy())
        half = (float(dots.min()) + 255.0) / 2  # an edge is where half of a dot is covered
        rows, columns = (np.flatnonzero((dots < half).any(axis=axis)) for axis in (1, 0))
        thick = max((LOOKS[mark.layer].width for mark in one.marks if LOOKS[mark.layer].ink is not None), default=0.0)
        found.append(((columns[-1] - columns[0] + 1) / DOTS - thick, (rows[-1] - rows[0] + 1) / DOTS - thick))
    return found


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("example", EXAMPLES)
def test_what_is_measured_on_the_page_is_the_design_s(example: str, units: str) -> None:
    design = design_in(example, units)
    wanted = [*plans(design), *profiles(design), *sections(design)]
    names = {one.sheet.name.split("-")[0] for one in wanted}
    assert names >= {"plan", "profiles", "trench"}
    assert names >= ({"soakaway"} if design.system.soaks else {"wall"})
    assert names >= ({"basin"} if design.system.stations else set())
    assert sum(one.sheet.name.startswith("profiles") for one in wanted) == len(design.system.runs)
    wrong = []
    for one, (wide, high) in zip(wanted, measured(design, wanted), strict=True):
        for side, true, ruled, scale in (
            ("wide", one.wide, wide, one.ratios[0]), ("high", one.high, high, one.ratios[1]),
        ):  # fmt: skip
            # a hundredth, or the dot at either end where a thing is small on the paper
            if true is not None and not math.isclose(ruled, 1000 * true / scale, rel_tol=0.01, abs_tol=1.5 / DOTS):
                wrong.append((one.sheet.name, one.marks[0].layer, side, ruled, 1000 * true / scale))
    assert wrong == []


def test_the_ruler_finds_a_sheet_that_is_two_hundredths_too_large() -> None:
    design = design_in("block-wall-house", "US")
    house = next(plans(design))
    grown = tuple(
        replace(mark, points=tuple((1.02 * x, 1.02 * y) for x, y in mark.points))
        for mark in house.marks
        if isinstance(mark, Polygon)
    )
    ((wide, high),) = measured(design, [house._replace(marks=grown)])
    assert house.wide is not None
    assert house.high is not None
    assert wide * house.ratios[0] / 1000 == pytest.approx(1.02 * house.wide, rel=0.005)
    assert abs(high * house.ratios[1] / 1000 / house.high - 1) > 0.01
