"""Shaped ground on the building side: fill counted by hand, soil that may and may not be used again, the order."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import book_for
from drainwright.build.model import Build
from drainwright.build.shaping import shaped_earth, suitable
from drainwright.build.units import CUBIC_YARD, SQUARE_FOOT
from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.field.shaping import shaped_strips
from drainwright.job.site import Texture
from drainwright.job.values import Basis, Fact
from drainwright.job.works import Shaping

from ..conftest import designed

MENDED = "wrong-choices/mended"


def with_strips(design: Design, *strips: Shaping, texture: Texture = "clay", expansive: bool = False) -> Any:
    """The site with these strips and no others."""
    ground = design.job.ground.model_copy(
        update={"texture": Fact.model_construct(value=texture, basis=Basis.MEASURED), "expansive": expansive}
    )
    works = design.job.works.model_copy(update={"shaping": strips})
    job = design.job.model_copy(update={"ground": ground, "works": works})
    site = replace(design.site, job=job, shaped=())
    return replace(site, shaped=shaped_strips(site, strips, site.outline, site.boundary, "US"))


def strip(wall: str = "west", **values: Any) -> Shaping:
    given = {"wall": wall, "from_": 0.0, "to": None, "width": 3.048, "fall": 0.1524, "start_level": None}
    return Shaping.model_construct(**{**given, "fill": "fill.clayey", "finish": "seed", **values})


@cache
def built(texture: Texture = "sandy loam", finish: str = "seed", strips: bool = True) -> Build:
    design = designed(MENDED)
    chosen = (strip("north", finish=finish),) if strips else ()
    return build_side(with_strips(design, *chosen, texture=texture), design.system)


def test_fill_to_order_by_hand() -> None:
    """In place with half an inch a foot for settling, 40 % loose, 5 % waste, by half yards."""
    site = with_strips(designed(MENDED), strip("north"), texture="sandy loam")
    fill = site.shaped[0].fill * (1 + 1 / 24) * 1.4 / CUBIC_YARD
    line = next(item for item in built().takeoff.lines if item.key == "fill.clayey")
    assert line.net == pytest.approx(fill)
    assert line.quantity == math.ceil(fill * 1.05 / 0.5) * 0.5
    assert (line.category, line.unit, line.where) == ("earth", "yd³", "north")
    assert "none from the digging: sandy loam" in line.note


@pytest.mark.parametrize(
    ("texture", "expansive", "fit"),
    [("clay", False, True), ("clay loam", False, True), ("clay", True, False), ("loam", False, False)],
)
def test_only_clayey_soil_that_does_not_swell_is_used_again(texture: Texture, expansive: bool, fit: bool) -> None:
    site = with_strips(designed(MENDED), strip("north"), texture=texture, expansive=expansive)
    earth = shaped_earth(site, (), 10.0)
    assert suitable(site).fit is fit
    assert earth is not None
    assert earth.reused == pytest.approx(earth.fill + earth.settles if fit else 0.0)
    assert earth.bought == pytest.approx(0.0 if fit else earth.fill + earth.settles)


def test_no_more_comes_out_of_the_digging_than_there_is() -> None:
    site = with_strips(designed(MENDED), strip("north"))
    earth = shaped_earth(site, (), 0.5)
    assert earth is not None
    assert earth.reused == pytest.approx(0.5 + earth.cut * 0.9)  # a tenth is unfit to go back


def test_what_is_used_again_is_not_hauled() -> None:
    with_it, without = built("clay"), built("clay", strips=False)
    shaped = with_it.dig.shaped
    assert shaped is not None
    assert shaped.reused > 0.5
    spared = (shaped.reused - shaped.cut) * 1.4
    assert without.dig.haul_volume - with_it.dig.haul_volume == pytest.approx(spared)


def test_without_strips_nothing_changes() -> None:
    plain = build_side(designed(MENDED).site, designed(MENDED).system) if not designed(MENDED).site.shaped else None
    none = built("sandy loam", strips=False)
    assert none.dig.shaped is None
    assert {task.key for task in none.plan.tasks}.isdisjoint({"shape", "lay-finish"})
    assert plain is None or plain.price.total == none.price.total


def test_work_price_and_finish() -> None:
    plain, seeded, mulched = built(strips=False), built(), built(finish="mulch")
    tasks = {task.key: task for task in seeded.plan.tasks}
    assert tasks["backfill"].end <= tasks["shape"].start + 1e-6
    assert tasks["shape"].end <= tasks["restore"].start + 1e-6
    assert seeded.price.total > plain.price.total
    area = with_strips(designed(MENDED), strip("north")).shaped[0].area / SQUARE_FOOT
    nets = [
        next(item.net for item in one.takeoff.lines if item.key == "restore.ft2") for one in (plain, seeded, mulched)
    ]
    assert nets[1] - nets[0] == pytest.approx(area, rel=1e-6)  # no trench lies along the north wall
    assert nets[2] == pytest.approx(nets[0], rel=1e-6)
    mulch = next(item for item in mulched.takeoff.lines if item.key == "mulch.yd3")
    assert mulch.net == pytest.approx(area * 0.25 / 27)  # 3 in


def test_a_fill_that_nobody_sells_is_told() -> None:
    design = designed(MENDED)
    site = with_strips(design, strip("north", fill="fill.clayy"))
    assert "fill.clayy" not in book_for(site.job.price_book).items
    with pytest.raises(JobError, match=r"fill\.clayey") as told:
        build_side(site, design.system)
    assert told.value.problems[0].where == "works.shaping[0].fill"
