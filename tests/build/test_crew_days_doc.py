"""The figures of ``docs/crew-days.md`` against the plan as it is: each line again from the job as it says."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.model import CrewPlan
from drainwright.build.side import measured
from drainwright.design import Design
from drainwright.field.model import Site

from .sample import make_site, make_system

DOC = (Path(__file__).parents[2] / "docs" / "crew-days.md").read_text(encoding="utf-8")
CURES = {"parge-wait": 0.01, "recoat-wait": 0.01, "cure-wait": 0.01, "collar-wait": 0.01}


def job(site: Site, **changed: Any) -> Site:
    return replace(site, job=site.job.model_copy(update=changed))


def rates(site: Site, **changed: float) -> Site:
    book = site.job.price_book
    return job(site, price_book=book.model_copy(update={"rates": {**book.rates, **changed}}))


def crew(site: Site, size: int) -> Site:
    return job(site, crew=site.job.crew.model_copy(update={"size": size}))


def machines(site: Site, **there: bool) -> Site:
    return job(site, equipment=site.job.equipment.model_copy(update=there))


def one_coat(site: Site) -> Site:
    """No parge, one coat."""
    walls = []
    for wall in site.walls:
        coating = wall.wall.coating.model_copy(update={"parge": False, "coats": 1})
        walls.append(replace(wall, wall=wall.wall.model_copy(update={"coating": coating})))
    return replace(site, walls=tuple(walls))


def one_wall(site: Site) -> Site:
    """The first of the opened walls alone; the drains stay."""
    opened = [wall.name for wall in site.walls if wall.wall.open_and_coat]
    walls = tuple(
        replace(wall, wall=wall.wall.model_copy(update={"open_and_coat": wall.name == opened[0]}))
        for wall in site.walls
    )
    return replace(site, walls=walls)


LADDER: dict[str, Callable[[Site], Site]] = {
    "**as designed**": lambda site: site,
    "no ground water": lambda site: replace(site, water_table=None),
    "no roots": lambda site: job(site, ground=site.job.ground.model_copy(update={"roots": "none"})),
    "no buried lines": lambda site: replace(site, utilities=()),
    "no trees": lambda site: machines(replace(site, trees=()), excavator=True, carrier=True),
    "no parge": one_coat,
    "a coat that may be covered": lambda site: rates(site, **{"cure-wait": 4.0}),
    "a crew of five": lambda site: crew(site, 5),
    "one wall opened": one_wall,
}
SINGLE: dict[str, Callable[[Site], Site]] = {
    "no cure or setting time": lambda site: rates(site, **CURES),
    "no parge, one coat, 4 h of cure": lambda site: rates(one_coat(site), **{"cure-wait": 4.0}),
    "an excavator, if one got in": lambda site: machines(site, excavator=True),
}


def rows(beginning: str) -> Iterator[list[str]]:
    """Cells of the doc's table rows whose first cell begins so."""
    for line in DOC.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if line.startswith("|") and cells[0].startswith(beginning):
            yield cells


def end(plan: CrewPlan) -> float:
    return max(task.end for task in plan.tasks) / plan.day_length


def bare(cell: str) -> str:
    return cell.strip("* ")


def test_the_ladder_from_the_plan_down_to_practice(pumped: Design) -> None:
    site, off = pumped.site, []
    for words, change in LADDER.items():
        site = change(site)
        plan = build_side(site, pumped.system).plan
        work = plan.hours / plan.crew / plan.day_length
        mine = [f"{plan.hours:.0f}", f"{work:.2f}", f"{end(plan):.2f}", f"{plan.days}"]
        found = [[bare(cell) for cell in row[1:]] for row in rows(words) if len(row) == 5]
        off += [(words, mine, found)] if found != [mine] else []
    assert off == []


def test_single_changes(pumped: Design) -> None:
    off = []
    for words, change in SINGLE.items():
        plan = build_side(change(pumped.site), pumped.system).plan
        mine = [f"{plan.hours:.0f}", f"{end(plan):.2f}", f"{plan.days}"]
        found = [[bare(cell) for cell in row[1:]] for row in rows(words) if len(row) == 4]
        off += [(words, mine, found)] if found != [mine] else []
    [sizes] = list(rows("a crew of 5 / 6"))
    plans = [build_side(crew(pumped.site, size), pumped.system).plan for size in (5, 6, 8, 12)]
    mine = [
        " / ".join(f"{plan.hours:.0f}" for plan in plans),
        " / ".join(f"{end(plan):.2f}" for plan in plans),
        " / ".join(f"{plan.days}" for plan in plans),
    ]
    off += [("crews", mine, sizes[1:])] if sizes[1:] != mine else []
    assert off == []


def test_what_is_told_of_the_demonstration(pumped: Design) -> None:
    amounts = measured(pumped.site, pumped.system)
    plan, dig = pumped.build.plan, pumped.build.dig
    yard = 0.9144**3
    walls = math.fsum(item.bank_volume for item in dig.trenches if item.kind == "wall") / yard
    opened = math.fsum(item.length for item in dig.trenches if item.kind == "wall") / 0.3048
    told = " ".join(DOC.split())
    pipe = math.fsum(run.length for run in pumped.system.runs) / 0.3048
    hours = {task.key: task.hours for task in plan.tasks}
    many = len(amounts.counted.fittings)
    assert plan.earth is not None
    for words in (
        f"{opened:.0f} ft of wall opened on three sides ({walls:.1f} yd³)",
        f"{dig.bank_volume / yard - walls:.1f} yd³), {pipe:.0f} ft of pipe with {many} fittings",
        f"plans {['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight'][plan.days]}.",
        f"the pipe in the yard and its fittings ({hours['pipe-yard']:.0f} h)",
        f"the haul ({hours['haul']:.0f} h: seven loads",
        f"{plan.careful_share * 100:.0f} % of the soil",
        f"{hours['dewater']:.1f} h",
        f"{plan.earth.share * 100:.0f} % of the rate of open digging, {plan.earth.open_share * 100:.0f} % were",
    ):
        assert words in told, words
    assert (dig.trailer_loads, dig.trailer_loads_by_volume) == (7, 4)
    [basin] = pumped.system.stations
    assert f"{basin.inside_diameter / 0.0254:.0f} in wide" in told


@pytest.mark.parametrize(("people", "words"), [(4, "20 ft of wall"), (5, "the same with five people")])
def test_practice_s_job(people: int, words: str) -> None:
    plan = build_side(make_site(crew={"size": people, "hours_per_day": 9}), make_system()).plan
    mine = [f"{plan.hours:.0f}", f"{plan.hours / people / 9:.1f}", f"{plan.days}"]
    assert [[bare(cell) for cell in row[1:]] for row in rows(words)] == [mine]
