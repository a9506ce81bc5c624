"""The order of work names each work once and refers to it by its number: no row repeats five long names."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.paper.documents.blocks import Bullets, Cell, Heading, Table
from drainwright.paper.documents.crew_order import numbers, order_of_work
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.day_words import visits_words
from tests.build.test_held_digs import built
from tests.conftest import designed

JOBS = ("block-wall-house/job", "sloping-lot/job", "metric-basement/job", "two-basins/job", "beside a live line")


def of(path: str) -> Design:
    return built(shored=True) if path == "beside a live line" else designed(path)


def text_of(cell: object) -> str:
    return cell.text if isinstance(cell, Cell) else str(cell)


@pytest.mark.parametrize("path", JOBS)
def test_works_are_named_once_and_referred_to_by_number(path: str) -> None:
    design = of(path)
    plan = design.build.plan
    blocks, _ = order_of_work(design)
    days, holds = (block for block in blocks if isinstance(block, Table))
    number_of = numbers(plan)
    titles = {task.key: task.title for task in plan.tasks}
    begun = {text_of(row[0]): text_of(row[1]) for row in days.rows if len(row) > 1 and "goes on" not in text_of(row[1])}
    assert {number: titles[key] for key, number in number_of.items()} == {int(n): name for n, name in begun.items()}
    waits = [text_of(row[0]) for row in days.rows if text_of(row[0]).startswith("Then wait")]
    asked = [found for row in waits for found in re.findall(r"#(\d+)", row)]
    assert bool(waits) == bool(asked)
    assert not [row for row in waits if "“" in row or len(row) > 140]
    for row in holds.rows:
        which = [int(number) for number in text_of(row[1]).split(", ") if number]
        assert set(which) <= set(number_of.values())
        assert len(text_of(row[2])) < 200, "a hold point says what it is once, not for each length"
    chain = next(block for block in blocks if isinstance(block, Bullets) and block.numbered)
    asked += [found for item in chain.items for found in re.findall(r"#(\d+)", text_of(item))]
    assert set(map(int, asked)) <= set(number_of.values())
    assert any(isinstance(block, Heading) and block.text == "Hold points" for block in blocks)
    spoken = translator_of(design)
    for text in [*waits, *(text_of(row[2]) for row in holds.rows), *map(text_of, chain.items)]:
        spoken.say(text)
    assert not list(spoken.missing)


def test_who_comes_for_the_same_twice_a_day_is_told_once() -> None:
    plan = designed("block-wall-house/job").build.plan
    visit = plan.visits[0]
    assert visits_words([visit, replace(visit, before="another work")]) == visits_words([visit])


def test_an_amount_of_soil_with_its_rate_stands_on_one_line() -> None:
    """Of a page 6-3/4 in wide, at some 1.3 mm a letter of this size; what is dug broke over two and three lines."""
    blocks, _ = order_of_work(of("block-wall-house/job"))
    days = next(block for block in blocks if isinstance(block, Table))
    [amount] = [column for column in days.columns if column.head == "Amount"]
    room = 171.0 * amount.width / sum(column.width for column in days.columns) / 1.3
    plan = of("block-wall-house/job").build.plan
    dug = [task.quantity for task in plan.tasks if "in the ground at" in task.quantity and ";" not in task.quantity]
    assert dug
    assert max(map(len, dug)) <= room
    assert all(len(one) <= 2 * room for one in (task.quantity for task in plan.tasks))
