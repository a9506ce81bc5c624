"""What the place must be asked: the job's own list, what follows from the job, and how one stands for the other."""

from __future__ import annotations

import pytest

from drainwright.design import Design
from drainwright.field.words import Units
from drainwright.findings.place_checks import PlaceCheck, place_checks
from drainwright.findings.rules import Case
from drainwright.findings.soaks import rate_words
from drainwright.job.place import PlaceRule
from drainwright.job.values import Basis

from ..conftest import designed
from .change import case_of, every, job, outlet, run, stations, verdict


def keys(case: Case) -> list[str]:
    return [item.key for item in place_checks(case) if item.key]


def listed(*demands: str, met: bool | None = True) -> tuple[PlaceRule, ...]:
    return tuple(
        PlaceRule.model_construct(demand=demand, about="digging", source="town code", date=None, met=met)
        for demand in demands
    )


def by_key(case: Case, key: str) -> PlaceCheck:
    return next(item for item in place_checks(case) if item.key == key)


def test_own_list_comes_first_with_its_marks() -> None:
    checks = designed("soak-lot/job").checks
    assert [item.met for item in checks[:2]] == [True, True]
    assert checks[0].basis is Basis.MAPPED
    assert checks[0].source == "town code 9.8 (invented)"
    assert not checks[0].demand.endswith(".")


def test_every_job_asks_for_the_ticket_and_the_way_out(gravity: Design) -> None:
    case = case_of(gravity)
    assert "one-call" in keys(case)
    assert by_key(case, "leave for out").met is True
    asked = every(verdict(lawful="unknown"))(case)
    assert by_key(asked, "leave for out").met is None
    assert by_key(verdict(lawful="forbidden")(case), "leave for out").met is False


def test_pumps_ask_for_an_electrician_and_gravity_does_not(pumped: Design, gravity: Design) -> None:
    assert "electrical permit" in keys(case_of(pumped))
    assert "electrical permit" not in keys(case_of(gravity))
    assert "owner of the line" in keys(case_of(pumped))


def test_a_storm_line_that_nobody_described_is_asked_for_by_name(pumped: Design, gravity: Design) -> None:
    untold = case_of(pumped), outlet(joins=None)(case_of(pumped)), outlet(joins=None, air_gap=True)(case_of(pumped))
    assert ["joint" in keys(case) for case in (*untold, case_of(gravity))] == [False, True, False, False]
    asked = by_key(untold[1], "joint").demand
    assert all(words in asked for words in ("OUT", "outside diameter", "45 degrees", "works.discharge.OUT.joins"))


def test_item_of_the_list_stands_for_what_follows(gravity: Design) -> None:
    case = job("rules", "checklist", to=listed("One-call ticket 12345, answered"))(case_of(gravity))
    assert "one-call" not in keys(case)
    assert place_checks(case)[0].met is True


def test_street_sewer_and_frost_are_asked(gravity: Design) -> None:
    street = keys(outlet(kind="street")(case_of(gravity)))
    assert {"street opening", "frost"} <= set(street)
    sewer = outlet(kind="sanitary sewer")(case_of(gravity))
    assert by_key(sewer, "sanitary").met is False


def test_line_that_leaves_the_lot_asks_for_an_easement(gravity: Design) -> None:
    assert "encroachment" not in keys(case_of(gravity))
    away = stations("MD", only=1, at=(500.0, 500.0))(case_of(gravity))
    assert "encroachment" in keys(away)
    assert "encroachment" not in keys(run("MD", stations=())(case_of(gravity)))


def test_water_over_the_boundary_asks_for_the_neighbour(wrong: Design, gravity: Design) -> None:
    assert "neighbour" in keys(case_of(wrong))
    assert "neighbour" not in keys(case_of(gravity))


def test_trees_wells_and_dry_wells_are_asked() -> None:
    from dataclasses import replace

    lot = designed("soak-lot/job")
    assert "health department" in keys(case_of(lot))
    assert "injection well" not in keys(case_of(lot))
    well = replace(lot.system, soaks=(replace(lot.system.soaks[0], kind="dry well"),))
    assert "injection well" in keys(replace(case_of(lot), system=well))
    pumped = designed("block-wall-house/job")
    cut = {root.tree for root in pumped.build.dig.roots}
    felled = {tree.name for tree in pumped.job.trees if not tree.keep}
    assert ("tree permit" in keys(case_of(pumped))) is bool(cut or felled)


def test_design_carries_the_list(pumped: Design) -> None:
    assert pumped.checks == place_checks(case_of(pumped))


@pytest.mark.parametrize(
    ("rate", "units", "written"),
    [(2.822e-5, "SI", "100 mm/h"), (2.822e-5, "US", "4 in/h"), (3.66e-6, "US", "0.52 in/h"), (1e-7, "SI", "0.36 mm/h")],
)
def test_rates_of_soaking_in_are_written_to_two_figures(rate: float, units: Units, written: str) -> None:
    assert rate_words(rate, units) == written
