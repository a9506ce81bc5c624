"""What fills the digs again adds up to what was dug; cap and topsoil have an amount and a place to come from."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from drainwright.build import build_side
from drainwright.build.earth import SOILS, UNFIT
from drainwright.build.filling import own_cap
from drainwright.build.model import Build, Filling
from drainwright.build.units import CUBIC_YARD, INCH
from drainwright.build.wording import barrow_words
from drainwright.job.site import Texture
from drainwright.job.values import Basis
from drainwright.paper.documents.backfill_paper import backfill_blocks

from ..conftest import designed
from .test_build_paving import paved

EXAMPLES = ["block-wall-house/job", "sloping-lot/job", "soak-lot/job", "two-basins/job", "metric-basement/job"]


def told(made: Build) -> Filling:
    assert made.dig.filling is not None
    return made.dig.filling


def with_soil(texture: Texture, basis: Basis = Basis.MEASURED, cap: str | None = None) -> Build:
    design = designed("sloping-lot/job")
    job = design.site.job
    fact = job.ground.texture.model_copy(update={"value": texture, "basis": basis})
    ground = job.ground.model_copy(update={"texture": fact})
    job = job.model_copy(update={"ground": ground, "works": job.works.model_copy(update={"cap": cap})})
    return build_side(replace(design.site, job=job), design.system)


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_is_dug_is_filled_to_the_last_shovel(name: str) -> None:
    """Dug is stone, pipes and basins, native soil, topsoil and what is bought; what leaves is what finds no room."""
    made = designed(name).build
    filled, dig = told(made), made.dig
    parts = (filled.displaced, filled.native, filled.topsoil, filled.cap, filled.made_up)
    assert all(part >= 0 for part in parts)
    assert math.fsum(parts) == pytest.approx(dig.bank_volume)
    shaped = dig.shaped
    left = dig.bank_volume - filled.back + (0.0 if shaped is None else shaped.cut - shaped.reused)
    assert dig.haul_volume == pytest.approx(left * (1 + dig.swell))
    assert filled.native <= (dig.bank_volume - filled.topsoil) * (1 - UNFIT) + 1e-9


@pytest.mark.parametrize(
    ("texture", "basis", "cap", "bought"),
    [
        ("clay", Basis.MEASURED, None, False), ("clay", Basis.ASSUMED, None, True),
        ("sandy loam", Basis.MEASURED, None, True), ("sandy loam", Basis.MEASURED, "own soil", False),
        ("clay", Basis.MEASURED, "bought", True),
    ],
)  # fmt: skip
def test_the_cap_is_bought_unless_the_digs_own_soil_was_found_tight(
    texture: Texture, basis: Basis, cap: str | None, bought: bool
) -> None:
    made = with_soil(texture, basis, cap)
    lines = {line.key: line for line in made.takeoff.lines}
    walls = math.fsum(item.length * item.width for item in made.dig.trenches if item.kind == "wall")
    assert ("fill.cap" in lines) is bought
    if bought:
        mine = walls * 4 * INCH * (1 + SOILS["clay"].swell) / CUBIC_YARD
        assert lines["fill.cap"].net == pytest.approx(mine, rel=0.06)  # outside corners lie in two walls' lengths
        (task,) = (task for task in made.plan.tasks if task.key == "backfill")
        assert "of bought soil wheeled in" in task.quantity


def test_a_pipe_alone_takes_less_room_than_soil_that_is_unfit() -> None:
    """Of a dig of 10 m³ a tenth is unfit, pipes take a hundredth: the rest is made up by bought topsoil."""
    from drainwright.build.filling import filling

    found = filling(designed("soak-lot/job").site, (), 10.0, 0.1)
    assert found.topsoil == found.cap == 0.0
    assert found.native == pytest.approx(9.0)
    assert found.made_up == pytest.approx(0.9)
    assert found.made_up_loose == pytest.approx(0.9 * 1.25)


def test_no_topsoil_is_stripped_under_paving() -> None:
    plain, drive = told(designed("block-wall-house/job").build).topsoil, paved("concrete")
    (slab,) = drive.dig.paved
    assert told(drive).topsoil == pytest.approx(plain - slab.area * 4 * INCH)
    assert told(paved("lawn")).topsoil == pytest.approx(plain)


def test_rounds_are_those_of_the_stone_as_it_is_ordered() -> None:
    """13 yd³ of stone at 3.5 ft³ a barrow: 101 rounds; the stone in place alone would be 90."""
    design = designed("block-wall-house/job")
    (stone,) = (line.quantity for line in design.build.takeoff.lines if line.key == "stone.57")
    rounds = math.ceil(stone * 27 / 3.5)
    assert f", {rounds} of stone" in barrow_words(design.build.dig, design.job.equipment)
    assert any(f"{rounds} of stone in" in note for note in design.build.dig.notes)
    away = math.ceil(design.build.dig.haul_volume / CUBIC_YARD * 27 / 3.5)
    assert design.build.dig.barrow_rounds == rounds + away


def test_the_packet_says_where_topsoil_and_cap_come_from() -> None:
    design = designed("block-wall-house/job")
    assert not own_cap(replace(design.site, job=designed("sloping-lot/job").site.job))
    said = repr(backfill_blocks(design))
    assert "is stripped first and lies on a sheet of its own" in said
    assert "the dig's own sandy loam, as the job says. It is not tight" in said
    assert "tight native soil" not in said
    assert "of bought clayey soil, loose" in repr(backfill_blocks(designed("sloping-lot/job")))
