"""Sticks are chosen by all that they bring: what cannot be had never makes the rest cheaper."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal
from functools import cache
from itertools import combinations
from math import ceil
from pathlib import Path

import pytest

from drainwright.build.book import book_for, demonstration_book
from drainwright.build.side import build_side
from drainwright.build.sticks import KERF, Sticks, split
from drainwright.build.takeoff.lines import line
from drainwright.build.takeoff.whole_cost import cheapest, choices, whole_cost
from drainwright.build.units import FOOT
from drainwright.field import survey
from drainwright.field.model import Site
from drainwright.job import read_job
from drainwright.system import lay_out
from drainwright.system.model import System
from drainwright.water import inflows

from .test_build_sticks import cheapest as brute_force

EXAMPLES = Path(__file__).parents[2] / "examples"
BOOK = demonstration_book()
COUPLING = "fitting.coupling.sch40.3in"


@pytest.mark.parametrize("seed", range(40))
def test_the_choice_costs_what_the_best_of_all_costs(seed: int) -> None:
    """By arithmetic of the test's own: each set of lengths sold, each way to part, packed by trying all packings.

    A coupling, its hours and two sockets of twenty to a pint, with half a pint of primer to one of cement.
    """
    draw = random.Random(seed)
    sold = draw.sample([5.0, 10.0, 14.0, 20.0], draw.randint(1, 3))
    prices = {length * FOOT: round(length * draw.uniform(2.0, 4.0), 2) for length in sold}
    lengths = [round(draw.uniform(1.0, 22.0), 2) * FOOT for _ in range(draw.randint(1, 3))]
    item = {key: float(BOOK.item(key).price) for key in (COUPLING, "cement.pint", "primer.pint")}
    hour = float(BOOK.wage * (1 + BOOK.burden))
    shares = float((1 + BOOK.overhead) * (1 + BOOK.contingency) / (1 - BOOK.profit_margin))

    def extra(joints: int) -> tuple[float, float]:
        """Goods, and hours in money."""
        goods = joints * item[COUPLING]
        goods += ceil(joints / 10 - 1e-9) * item["cement.pint"] + ceil(joints / 20 - 1e-9) * item["primer.pint"]
        return goods, joints * BOOK.rate("fitting") * hour

    tax = float(BOOK.sales_tax)
    totals = []
    for count in range(1, len(prices) + 1):
        for some in combinations(prices, count):
            for parted in some:
                pieces = [piece for length in lengths for piece in split(length, parted)]
                goods, hours = extra(len(pieces) - len(lengths))
                goods += brute_force(pieces, {stick: prices[stick] for stick in some}, KERF)
                totals.append((goods + hours) * shares + goods * tax)

    def cost(made: Sticks) -> Decimal:
        joints = sum(len(split(length, made.stick)) - 1 for length in lengths)
        bought = [
            line(COUPLING, "fittings", "", float(joints), "each"),
            line("cement.pint", "sundries", "", joints / 10, "pint"),
            line("primer.pint", "sundries", "", joints / 20, "pint"),
        ]
        stick = Decimal(repr(made.cost)) * (Decimal(repr(shares)) + Decimal(repr(tax)))
        return whole_cost(bought, joints, BOOK) + stick

    found = cheapest({"pipe": choices(lengths, prices)}, lambda some: some["pipe"], cost)
    assert float(cost(found)) == pytest.approx(min(totals), abs=1e-6)


@cache
def laid(name: str) -> tuple[Site, System]:
    site = survey(read_job(EXAMPLES / name / "job.yaml"))
    return site, lay_out(site, inflows(site))


@pytest.mark.parametrize("name", ["block-wall-house", "sloping-lot", "soak-lot", "two-basins"])
def test_a_length_out_of_stock_makes_no_job_cheaper(name: str) -> None:
    site, system = laid(name)
    base = build_side(site, system)
    keys = {item.key for item in base.takeoff.lines if item.category == "pipe"}
    assert keys
    for key in sorted(keys):
        job = site.job.model_copy(update={"works": site.job.works.model_copy(update={"out_of_stock": (key,)})})
        other = build_side(replace(site, job=job), system)
        assert other.price.total >= base.price.total - Decimal("0.05"), f"cheaper without {key}"
    assert book_for(site.job.price_book).rate("fitting") > 0


def test_the_lengths_that_another_length_can_replace_are_all_among_the_choices() -> None:
    """Of two lengths sold: each alone, and both, parted by either; alike ones once."""
    found = choices([25 * FOOT], {10 * FOOT: 20.0, 20 * FOOT: 41.0})
    assert {tuple(sorted(round(length / FOOT) for length in one.lengths)) for one in found} == {
        (10, 10, 10), (20, 20), (10, 20),
    }  # fmt: skip
    assert found[0].cost == 60.0


def test_many_pipes_are_chosen_one_after_the_other() -> None:
    """Beyond what can be tried in all ways, each pipe still gets its cheapest where they do not bear on each other."""
    options = {str(number): choices([25 * FOOT], {10 * FOOT: 20.0, 20 * FOOT: 31.0}) for number in range(6)}
    assert all(len(some) >= 3 for some in options.values())
    made = cheapest(
        options,
        lambda some: some,
        lambda some: sum((Decimal(str(one.cost)) + len(one.cuts) for one in some.values()), Decimal(0)),
    )
    assert all(one.cost + one.count == min(x.cost + x.count for x in options["0"]) for one in made.values())
