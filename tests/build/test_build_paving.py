"""Paving over a dig: what is sawn, broken out, hauled and laid again, counted by hand on one strip across one line."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.model import Build
from drainwright.build.paving import BEYOND
from drainwright.build.units import FOOT, INCH, SQUARE_FOOT
from drainwright.job.site import YardArea
from drainwright.job.values import Basis, Fact, Place

from ..conftest import designed

# DL goes from (50, -6) to (29, -40) ft.
# Across the strip from -18 to -28 ft it runs 10 ft times its length over its fall in plan.
ALONG = 10.0 * math.hypot(21.0, 34.0) / 34.0  # [ft]
NEAR = 5e-4  # the line ends at places that are surveyed, not on whole feet


@cache
def paved(surface: str, thickness: str | None = None, units: str = "US", owned: tuple[str, ...] = ()) -> Build:
    """The block-wall house with a paved strip ten feet wide across its discharge line."""
    design = designed("block-wall-house/job")
    outline = tuple(Place(east=x * FOOT, north=y * FOOT) for x, y in ((20, -18), (60, -18), (60, -28), (20, -28)))
    given = {} if thickness is None else {"thickness": f"{thickness}, measured"}
    yard = YardArea.model_validate({"name": "drive", "outline": outline, "surface": surface, "to": "away"} | given)
    job = design.job
    equipment = job.equipment.model_copy(update={"owned": owned})
    job = job.model_copy(update={"yards": (*job.yards, yard), "equipment": equipment, "units": units})
    return build_side(replace(design.site, job=job), design.system)


def lines(build: Build) -> dict[str, Any]:
    return {line.key: line for line in build.takeoff.lines if line.where == "drive"}


def width(build: Build) -> float:
    """Of the line's trench. [ft]"""
    return next(item.width for item in build.dig.trenches if item.name == "DL") / FOOT


def test_concrete_is_counted_by_hand() -> None:
    build = paved("concrete")
    [item] = build.dig.paved
    wide = width(build)
    assert (item.dig, item.basis) == ("DL", Basis.ASSUMED)
    assert item.length / FOOT == pytest.approx(ALONG, rel=NEAR)
    assert item.area / SQUARE_FOOT == pytest.approx(ALONG * wide, rel=NEAR)
    assert item.taken / SQUARE_FOOT == pytest.approx(ALONG * (wide + 1.0), rel=NEAR)  # half a foot each side
    assert item.edge / FOOT == pytest.approx(2 * ALONG, rel=1e-3)  # two edges; the strip's own ends need no saw
    bought, solid = lines(build), ALONG * (wide + 1.0) / 3 / 27  # 4 in thick
    assert bought["paving.blade"].quantity == 24.0
    assert bought["paving.concrete"].net == pytest.approx(solid, rel=NEAR)
    assert bought["paving.base"].net == pytest.approx(ALONG * wide / 3 / 27, rel=NEAR)
    assert bought["haul.load"].quantity == bought["dump.rubble-load"].quantity == 1.0
    assert bought["paving.blade"].basis is Basis.ASSUMED
    assert {"hire.paving-saw", "hire.paving-breaker"} <= set(bought)
    task = next(task for task in build.plan.tasks if task.key == "paving-out")
    loose = 1.5 * solid
    hours = 2 * ALONG / 30 + solid / 0.2 + loose / 1.75 + 0.85 + 0.25
    assert task.hours == pytest.approx(hours + loose / 2.8 / max(1.0, 28.96 / 50.0), abs=0.05)
    again = next(task for task in build.plan.tasks if task.key == "paving-back")
    assert again.hours == pytest.approx(ALONG * (wide + 1.0) / 15 + ALONG * wide / 3 / 27 / 1.4, abs=0.05)


def test_it_is_cut_before_the_dig_and_laid_after_the_fill() -> None:
    tasks = {task.key: task for task in paved("concrete").plan.tasks}
    assert tasks["paving-out"].end <= tasks["trench-yard"].start + 1e-6
    assert tasks["paving-back"].start >= max(tasks["backfill"].end, tasks["backfill-yard"].end) - 1e-6
    assert tasks["finish"].start >= tasks["paving-back"].end - 1e-6


def test_thicker_takes_longer_and_more() -> None:
    thin, thick = paved("concrete", "4 in"), paved("concrete", "8 in")
    assert lines(thick)["paving.concrete"].net == pytest.approx(2 * lines(thin)["paving.concrete"].net)
    assert lines(thin)["paving.blade"].basis is Basis.MEASURED
    hours = [next(task.hours for task in one.plan.tasks if task.key == "paving-out") for one in (thin, thick)]
    assert hours[1] > hours[0] + 2 * ALONG / 30  # twice as deep a cut, twice as long


def test_asphalt_is_laid_by_a_paver() -> None:
    build = paved("asphalt")
    bought = lines(build)
    assert bought["paving.asphalt"].net == pytest.approx(ALONG * (width(build) + 1.0), rel=NEAR)
    assert "paving.concrete" not in bought
    again = next(task for task in build.plan.tasks if task.key == "paving-back")
    assert "laid hot by a paver" in again.hold


@pytest.mark.parametrize("surface", ["paving", "pervious paving"])
def test_stones_are_lifted_and_set_again(surface: str) -> None:
    build = paved(surface)
    area = ALONG * (width(build) + 1.0)
    bought = lines(build)
    assert bought["paving.sand"].net == pytest.approx(area / 12 / 0.5, rel=NEAR)
    assert bought["paving.stones"].net == pytest.approx(0.05 * area, rel=NEAR)
    assert not {"paving.blade", "hire.paving-saw", "dump.rubble-load", "paving.concrete"} & set(bought)
    assert not {"paving saw", "paving breaker"} & {tool.key for tool in build.takeoff.tools}
    out = next(task for task in build.plan.tasks if task.key == "paving-out")
    assert out.hours == pytest.approx(area / 30, abs=0.01)


def test_a_saw_of_the_firms_own_is_brought_and_not_hired() -> None:
    build = paved("concrete", owned=("paving saw",))
    assert "hire.paving-saw" not in lines(build)
    assert "hire.paving-breaker" in lines(build)
    source = {tool.key: tool.source for tool in build.takeoff.tools}
    assert (source["paving saw"], source["paving breaker"]) == ("own", "hire")


def test_what_was_paving_is_no_soil_and_no_lawn() -> None:
    plain, build = designed("block-wall-house/job").build, paved("concrete")
    [item] = build.dig.paved
    assert plain.dig.bank_volume - build.dig.bank_volume == pytest.approx(item.slab)
    lawns = [next(line.net for line in one.takeoff.lines if line.key == "restore.ft2") for one in (plain, build)]
    assert (lawns[0] - lawns[1]) * SQUARE_FOOT == pytest.approx(item.area)
    # the soil in the room of slab and base does not go back: that of the base leaves, that of the slab never was
    swell = 1 + build.dig.swell
    assert build.dig.loose_volume - build.dig.backfill_volume == pytest.approx(build.dig.haul_volume)
    assert (build.dig.haul_volume - plain.dig.haul_volume) / swell == pytest.approx(item.base, rel=0.2)


def test_two_digs_side_by_side_share_their_paving() -> None:
    from drainwright.build.paving import paved as over
    from drainwright.build.trench import cuts

    design = designed("block-wall-house/job")
    outline = tuple(Place(east=x * FOOT, north=y * FOOT) for x, y in ((-60, 60), (120, 60), (120, -60), (-60, -60)))
    yard = YardArea(name="yard", outline=outline, surface="asphalt", to="away")
    site = replace(design.site, job=design.job.model_copy(update={"yards": (yard,)}))
    digs = cuts(site, design.system)
    found = over(digs, site)
    from shapely import union_all

    whole = union_all([cut.area for cut in digs])
    assert math.fsum(item.area for item in found) == pytest.approx(whole.area, rel=1e-3)
    wide = union_all([cut.area.buffer(BEYOND, join_style="mitre") for cut in digs])
    assert math.fsum(item.taken for item in found) <= wide.area + 1e-6
    assert math.fsum(item.edge for item in found) == pytest.approx(wide.boundary.length, rel=0.02)


def test_paving_that_no_dig_reaches_is_nobody_s_work() -> None:
    """A drive with an outline 100 ft off stopped the design with a fault of the program."""
    design = designed("block-wall-house/job")
    outline = tuple(Place(east=x * FOOT, north=y * FOOT) for x, y in ((200, 0), (220, 0), (220, 20), (200, 20)))
    yard = YardArea(name="drive", outline=outline, surface="asphalt", to="away")
    site = replace(design.site, job=design.job.model_copy(update={"yards": (*design.job.yards, yard)}))
    assert not lines(build_side(site, design.system))


def test_a_metric_job_with_paving_is_priced() -> None:
    build = paved("concrete", units="SI")
    task = next(task for task in build.plan.tasks if task.key == "paving-out")
    assert " m at " in task.quantity
    assert " m³ at " in task.quantity
    assert "100 mm" in next(task.hold for task in build.plan.tasks if task.key == "paving-back")


def test_the_job_says_how_thick_it_is() -> None:
    yard = YardArea.model_validate(
        {"name": "drive", "area": "100 ft2", "surface": "concrete", "thickness": "5 in, measured", "to": "away"}
    )
    assert yard.thickness == Fact(value=pytest.approx(5 * INCH), basis=Basis.MEASURED)
