"""Words and figures of findings that a fault planted on purpose changed unseen: each is read here."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from drainwright.design import Design
from drainwright.findings.answers_ground import WORTH_TELLING
from drainwright.findings.places import listed
from drainwright.findings.pumps import starts_words
from drainwright.findings.rules import Case
from drainwright.findings.soak_places import USUAL_DISTANCES
from drainwright.findings.soaks import shape_of
from drainwright.job.ground_tests import DugHole
from drainwright.job.values import Place

from .change import Trial, case_of, every, job
from .test_answers import reply
from .test_rules import judged
from .trials_moisture import DROPS, GUTTER, POND, STEADY, told
from .trials_prices import book, on

FOOT = 0.3048


def test_a_list_names_each_once_and_all() -> None:
    assert listed(["a", "b", "c", "b"]) == "a, b and c"
    assert listed(["a", "b", "c", "d"], "or") == "a, b, c or d"
    assert [listed(["a", "b"]), listed(["a"]), listed([])] == ["a and b", "a", ""]


def test_starts_are_counted_from_one_on() -> None:
    assert [starts_words(count) for count in (0.0, 0.99, 1.0, 1.6, 40.0)] == [
        "less than one start", "less than one start", "1 start", "2 starts", "40 starts",
    ]  # fmt: skip


def test_distances_of_what_is_spared_are_those_of_the_table() -> None:
    feet = {name: round(distance / FOOT, 6) for name, distance in USUAL_DISTANCES.items()}
    assert feet == {
        "well": 50, "septic field": 35, "septic tank": 25, "steep bank": 50, "wetland": 50, "pool": 10, "footing": 10,
        "retaining wall": 10, "overhead line": 0, "fence": 0,
    }  # fmt: skip


@pytest.mark.parametrize(("share", "heard"), [(WORTH_TELLING, True), (0.9 * WORTH_TELLING, False)])
def test_a_cause_that_hardly_counts_is_not_told(metric: Design, share: float, heard: bool) -> None:
    case = told(DROPS, POND, GUTTER, STEADY)(case_of(metric))
    first, second, third = case.moisture.causes[:3]
    made = replace(case, moisture=replace(case.moisture, causes=(first, second, replace(third, share=share))))
    name = third.cause.value
    assert (f"{name[0].upper()}{name[1:]} (" in reply(made, 4).answer) == heard


@pytest.mark.parametrize(("off", "heard"), [(1.0, True), (100.0, False)])
def test_a_dry_hole_far_from_a_soakaway_says_nothing_of_it(off: float, heard: bool) -> None:
    def dug(case: Case) -> Case:
        (one, *others) = case.system.soaks
        shape = shape_of(one)
        at = Place(east=shape.bounds[2] + off, north=(shape.bounds[1] + shape.bounds[3]) / 2)
        hole = DugHole.model_construct(name="D1", at=at, depth=1.5, water=None, date=date(2026, 8, 3))
        system = replace(case.system, soaks=(replace(one, water_table=None), *others))
        return job("ground", "dug_holes", to=(hole,))(replace(case, system=system))

    (found,), _ = judged(Trial("OUT-13", "caution", dug, "soak", where="works.discharge.SOAK"))
    assert ("stayed dry" in found.message) == heard


def _a_dollar_each(case: Case) -> Case:
    price = case.build.price
    lines = tuple(replace(line, amount=Decimal(1)) for line in price.lines)
    return replace(case, build=replace(case.build, price=replace(price, lines=lines, direct_cost=Decimal(4))))


def test_the_share_that_rests_on_old_prices_is_theirs_alone() -> None:
    """Two lines of a dollar in a cost of four."""
    change = every(book(), on("2026-08-29"), _a_dollar_each)
    (found,), _ = judged(Trial("PRC-01", "caution", change))
    assert "50 % of the cost before overhead rests on them" in found.message
