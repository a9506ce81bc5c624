"""Who must come that is not of the crew: by which day, before what, and that it is priced once."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.model import Build, CrewPlan, Task, Visit
from drainwright.build.passes import EVEN
from drainwright.build.visits import CHECKED, LIVE, LOOK, LOOKS, circuits
from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.job.values import Basis
from drainwright.offer import what_if
from drainwright.paper.documents.crew_spanish import crew_packet_spanish
from drainwright.paper.documents.proposal import proposal
from drainwright.paper.documents.told import customer_answers
from drainwright.system.model import System
from tests.conftest import designed
from tests.findings.change import case_of, fact, job

from .sample import make_site, make_system
from .test_build_panels import built

COATED: dict[str, Any] = {"kind": "damp-proofing", "coats": 1}


def task(plan: CrewPlan, key: str) -> Task:
    return next(one for one in plan.tasks if one.key == key)


def coming(plan: CrewPlan, who: str) -> list[Visit]:
    return [visit for visit in plan.visits if visit.who == who]


@pytest.mark.parametrize("path", ["block-wall-house/job", "two-basins/job", "wrong-choices/mended"])
def test_the_electrician_comes_before_the_pump_is_started(path: str) -> None:
    """Once in the days, once in the price: the book's circuit, and no hours of the crew."""
    design = designed(path)
    plan, pump = design.build.plan, task(design.build.plan, "pump")
    [electrician] = coming(plan, "the licensed electrician")
    [inspector] = coming(plan, "the electrical inspector")
    assert (electrician.day, electrician.before) == (pump.day - 1, pump.title)
    assert (inspector.day, inspector.before) == (pump.day, pump.title)
    assert pump.hold == LIVE
    [priced] = [line for line in design.build.price.lines if "electrician" in line.description]
    assert priced.key == "circuit.pump"
    assert priced.quantity == circuits(design.system)
    labour = sum((line.amount for line in design.build.price.lines if line.category == "labour"), Decimal(0))
    assert labour == design.build.price.labour
    assert [visit.day for visit in plan.visits] == sorted(visit.day for visit in plan.visits)


def test_without_a_pump_no_electrician_comes() -> None:
    who = {visit.who for visit in designed("sloping-lot/job").build.plan.visits}
    assert not any("electric" in one for one in who)


def with_circuits(there: int) -> Design:
    told = {"value": there, "basis": "stated", "source": "seen by the owner's electrician"}
    return what_if(designed("block-wall-house/job"), {"works.basin.circuits_there": told})[0]


def test_circuits_that_are_there_are_checked_and_not_bought() -> None:
    base, made = designed("block-wall-house/job"), with_circuits(2)
    keys = {line.key for line in base.build.price.lines} - {line.key for line in made.build.price.lines}
    assert keys == {"circuit.pump", "permit.electrical"}
    assert {one.what for one in coming(made.build.plan, "the licensed electrician")} == {CHECKED}
    assert made.build.plan.hours == base.build.plan.hours
    offer = repr(proposal(made, {}).blocks)
    assert "which is there already, and its check by a licensed electrician where the place asks" in offer
    assert "beyond the allowance in the price; backup" not in offer
    assert "is there already" in repr(customer_answers(made))
    assert "revisión del circuito de bomba que ya existe" in repr(crew_packet_spanish(made, {}).blocks)
    asked = [one.demand for one in made.checks]
    assert any("that is there for SUMP must be inspected" in one for one in asked)


def test_one_of_two_circuits_that_is_there_leaves_one_to_make() -> None:
    made = with_circuits(1)
    [line] = [line for line in made.build.price.lines if line.key == "circuit.pump"]
    assert line.quantity == 1
    visits = {one.what for one in coming(made.build.plan, "the licensed electrician")}
    assert visits == {"pump circuit and socket", CHECKED}


@pytest.mark.parametrize("told", [{"value": 1}, {"value": 1, "source": " "}])
def test_a_circuit_that_is_there_says_who_saw_it(told: dict[str, object]) -> None:
    with pytest.raises(JobError, match="who checked them"):
        what_if(designed("block-wall-house/job"), {"works.basin.circuits_there": told})


def inspected(value: object) -> Build:
    site = make_site()
    rules = site.job.rules.model_validate({"open_trench_inspection": value})
    return build_side(replace(site, job=site.job.model_copy(update={"rules": rules})), make_system())


def test_an_open_trench_is_looked_at_before_it_is_covered() -> None:
    plan = inspected({"value": True, "basis": "stated"}).plan
    [visit] = coming(plan, "the place's inspector")
    assert visit.day == task(plan, "inspect").day
    waits = next(one for one in plan.tasks if one.title == visit.before)
    assert "inspect" in waits.after
    assert waits.start >= task(plan, "inspect").end
    assert coming(inspected({"value": False, "basis": "mapped"}).plan, "the place's inspector") == []


def test_an_inspection_that_nobody_looked_up_is_asked_for_where_a_permit_may_want_it() -> None:
    plan = designed("block-wall-house/job").build.plan
    [visit] = coming(plan, "the place's inspector")
    assert "ask first" in visit.what
    assert visit.day == min(one.day for one in plan.tasks if one.key.startswith("backfill"))

    case = job("rules", "open_trench_inspection", to=fact(False, Basis.MAPPED))(
        case_of(designed("block-wall-house/job"))
    )
    told = build_side(case.site, case.system)
    assert coming(told.plan, "the place's inspector") == []


def test_each_half_of_a_wall_in_lengths_is_looked_at_before_it_is_covered() -> None:
    """The odd lengths are closed before the even ones are opened: nobody sees all of a coat at once."""
    plan = built(6 * 0.3048, coating=COATED).plan
    looks = coming(plan, "the customer")
    assert len(looks) == 2
    for last in ("", EVEN):
        covering = min((one for one in plan.tasks if one.hold.startswith(LOOKS) and one.key.endswith(last or one.key)),
                       key=lambda one: one.start)  # fmt: skip
        assert covering.title in {look.before for look in looks}
        assert covering.start >= task(plan, f"coat-1{last}").cured - 1e-6
    assert looks[0].day <= task(plan, "backfill").day <= task(plan, f"open{EVEN}").day <= looks[1].day


@pytest.mark.parametrize(("board", "covers"), [(True, "board"), (False, "bed")])
def test_a_wall_bared_whole_is_looked_at_once_before_the_first_cover(board: bool, covers: str) -> None:
    plan = built(3 * 0.3048, coating={**COATED, "board": board}).plan
    assert [one.key for one in plan.tasks if one.hold.startswith(LOOK)] == [covers]
    [look] = coming(plan, "the customer")
    assert look.before == task(plan, covers).title


def test_a_wall_without_a_coat_asks_for_no_look() -> None:
    assert coming(built(coating={"kind": "none"}).plan, "the customer") == []


def test_nothing_dug_and_nothing_pumped_asks_for_nobody() -> None:
    nothing = System(nodes={}, runs=(), gravity=(), joined=None, discharge="OUT")
    assert build_side(make_site(walls=()), nothing).plan.visits == ()
