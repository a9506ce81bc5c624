"""Options are designed as whole jobs; differences tell what changed, and nothing else."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from drainwright.build.remedies import cost_of
from drainwright.design import Design, design, remedies
from drainwright.errors import JobError
from drainwright.findings.model import Severity
from drainwright.job import read_job
from drainwright.job.changes import changed_job
from drainwright.job.offer import Offer
from drainwright.job.writing import to_json
from drainwright.offer import difference, options, sweep, what_if
from drainwright.offer.difference import titled
from drainwright.offer.model import Bought, Told
from drainwright.offer.options import standing
from drainwright.offer.words import bought_words
from drainwright.storm.failures.as_change import as_change
from drainwright.storm.failures.remedy import Remedy

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def made(name: str) -> Design:
    return design(read_job(EXAMPLES / name / "job.yaml"))


def with_options(name: str, *listed: dict[str, object]) -> Design:
    base = made(name)
    return replace(base, job=base.job.model_copy(update={"offer": Offer.model_validate({"options": listed})}))


PUMP = {"key": "pump", "title": "A second pump", "package": "better", "changes": {"works.basin.second_pump": True}}
DRAIN = {"key": "flush", "title": "Cleanouts", "changes": {"works.runs[0].cleanout": True}}
CELL = {
    "key": "cell", "title": "A battery", "package": "best",
    "changes": {"works.basin.battery": {"capacity": "100 Ah", "current": "40 A"}},
}  # fmt: skip


def test_a_design_beside_itself_has_no_difference() -> None:
    assert difference(made("soak-lot"), made("soak-lot")).nothing


def test_a_package_is_the_design_of_its_changes_not_a_sum() -> None:
    base = with_options("metric-basement", PUMP, CELL)
    found = options(base)
    assert [one.key for one in found.every] == ["base", "better", "best", "cell"]
    best = next(one for one in found.packages if one.key == "best")
    changes = {"works.basin.second_pump": True, **CELL["changes"]}  # type: ignore[dict-item]
    alone = design(changed_job(to_json(base.job), changes))
    assert best.total == alone.build.price.total
    assert best.design.system.station is not None
    assert best.design.system.station.second_on is not None
    assert any(line.key == "battery.ah" for line in best.design.build.takeoff.lines)
    assert any(line.key == "inverter" for line in best.design.build.takeoff.lines)
    assert any(task.key == "battery" for task in best.design.build.plan.tasks)
    assert not found.standing


def test_the_price_of_a_difference_is_its_parts() -> None:
    for package in options(with_options("metric-basement", PUMP, CELL)).every[1:]:
        changed = package.difference
        assert changed is not None
        assert changed.price.change == sum((part.change for part in changed.parts), Decimal(0))
        assert changed.price.change == package.total - made("metric-basement").build.price.total


def test_what_a_second_pump_is_good_for() -> None:
    changed = next(one for one in options(with_options("metric-basement", PUMP)).packages).difference
    assert changed is not None
    dead = next(case for case in changed.storm if case.key == "pump dead")
    assert (dead.better, dead.after) == (True, "the floor stays dry")
    told = bought_words(changed)
    assert told[0].startswith("Pump dead from the start: the floor stays dry. As proposed: water at the underside")
    assert len(told) == len(set(told))


def test_a_choice_that_adds_something_and_costs_less_says_why() -> None:
    """A second pump stood at less than nothing: the basin, left open, was chosen narrower with it."""
    changed = next(one for one in options(with_options("metric-basement", PUMP)).packages).difference
    assert changed is not None
    assert not any("makes the whole cheaper" in text for text in bought_words(replace(
        changed, price=replace(changed.price, before=Decimal(100), after=Decimal(101))
    )))  # fmt: skip
    cheaper = replace(
        changed, price=replace(changed.price, before=Decimal(101), after=Decimal(100)), days=(26, 25),
        sizes=(Told(where="basin SUMP", what="inside", before="2 ft 6 in", after="2 ft"),
               Told(where="basin SUMP", what="on", before="90.88 ft", after="90.68 ft")),
        bought=(Bought(key="a", description="30 in sump basin", unit="ft", before=9.5, after=0.0, amount=Decimal(-494)),
                Bought(key="b", description="pump", unit="each", before=1.0, after=2.0, amount=Decimal(185))),
    )  # fmt: skip
    assert bought_words(cheaper)[-1] == (
        "It makes the whole cheaper: other sizes are chosen with it (basin SUMP inside 2 ft instead of 2 ft 6 in); it "
        "takes 25 days instead of 26; less is spent on 30 in sump basin."
    )


def test_a_power_cut_at_two_moments_is_told_without_either() -> None:
    """Each design has its own worst moment: a row that tells both outcomes names neither one's time."""
    one = next(case for case in made("metric-basement").storm.every if case.key == "power out")
    one = replace(one, title="Power out for 4 h at the worst moment, from 116 min into the storm")
    other = replace(one, title="Power out for 4 h at the worst moment, from 2 h 57 min into the storm")
    assert titled(one, other) == "Power out for 4 h at the worst moment, that of each by itself"
    assert titled(one, one) == one.title


def test_each_pump_has_a_circuit_of_its_own_in_the_price() -> None:
    """Common practice, no source: one breaker that trips must not stop both."""
    changed = next(one for one in options(with_options("metric-basement", PUMP)).packages).difference
    assert changed is not None
    circuit = next(line for line in changed.bought if line.key == "circuit.pump")
    assert (circuit.before, circuit.after) == (1.0, 2.0)


@pytest.mark.parametrize("name", ["block-wall-house", "metric-basement"])
def test_a_remedy_costs_the_same_among_the_failures_and_among_the_choices(name: str) -> None:
    """A second pump brings its valves, union, wye, seals, hours and circuit, wherever its price is told."""
    bare = {"works.basin.second_pump": False, "offer.options": []}
    base = design(changed_job(to_json(made(name).job), bare))
    asked = {option.key: option for option in standing(base)}
    told = {one.key: one for one in options(base).every}
    costs = {}
    for prevention in remedies(base):
        for one in prevention.remedies:
            changes = as_change(one.tried.remedy, base.site, base.system)
            costs.update({key: one.cost.total for key, option in asked.items() if option.changes == changes})
    assert len(costs) == 2
    alone = {key: what_if(base, asked[key].changes)[1].price.change for key in costs}
    assert costs == alone
    for key in costs.keys() & told.keys():
        assert told[key].difference is not None
        assert told[key].difference.price.change == costs[key]
    assert told["better"].total - base.build.price.total == costs["second-pump-SUMP"]


def test_a_second_pump_at_a_basin_that_the_design_placed_has_its_valves_in_its_price() -> None:
    """The job document has no such basin to change: the same takeoff, the basin a step deeper for the floats' room."""
    job = to_json(made("block-wall-house").job)
    base = design(changed_job(job, {"works.basin.second_pump": False}))
    (station,) = base.system.stations
    width, depth = (f"{value / 0.0254:.6g} in" for value in (station.inside_diameter, station.depth + 6 * 0.0254))
    deeper = {"works.basin.diameter": width, "works.basin.depth": depth}
    paired = design(changed_job(job, {"works.basin.second_pump": True, **deeper}))
    remedy = Remedy(kind="second pump", title="", where="SUMP")
    whole = paired.build.price.total - base.build.price.total
    assert float(cost_of(remedy, base.site, base.system).total) == pytest.approx(float(whole), abs=5.0)


def test_standing_options_are_what_storm_test_and_ground_ask_for() -> None:
    found = options(made("metric-basement"))
    assert found.standing
    assert [one.key for one in found.packages] == ["better", "best"]
    lot = made("sloping-lot")
    assert [one.key for one in options(lot).every] == ["base", "shaped-ground"], "the storm test finds nothing"
    graded = tuple(replace(item, severity=Severity.OK) if item.id == "FTG-10" else item for item in lot.findings)
    assert [one.key for one in options(replace(lot, findings=graded)).every] == ["base"]


def test_an_option_that_breaks_the_design_is_refused_with_its_reason() -> None:
    thin = {"key": "thin", "title": "A thin line", "changes": {"works.basin.diameter": "10 in"}}
    wrong = {"key": "wrong", "title": "A wrong key", "changes": {"works.basin.diametre": "30 in"}}
    found = options(with_options("block-wall-house", thin, wrong))
    assert found.add_ons == ()
    reasons = {one.title: one.why for one in found.refused}
    assert "fails with it" in reasons["A thin line"]
    assert "diametre" in reasons["A wrong key"]


def test_taking_the_second_pump_away_breaks_the_demonstration() -> None:
    other, changed = what_if(made("block-wall-house"), {"works.basin.second_pump": False})
    assert changed.sound == (True, False)
    assert any(item.id == "STM-03" and item.severity is Severity.FAILS for item in changed.arisen)
    assert changed.price.after == other.build.price.total < changed.price.before
    pump = next(line for line in changed.bought if line.key.startswith("pump."))
    assert (pump.before, pump.after) == (2.0, 1.0)
    assert changed.bought[0] is max(changed.bought, key=lambda line: abs(line.amount))


def test_back_and_forth_is_the_same_way() -> None:
    base = made("block-wall-house")
    other, there = what_if(base, {"crew.size": 5})
    back = difference(other, base)
    assert there.price.change == -back.price.change
    assert there.days == back.days[::-1]
    assert {item.id for item in there.arisen} == {item.id for item in back.settled}


def test_a_figure_is_told_in_the_job_s_units() -> None:
    _, changed = what_if(made("metric-basement"), {"works.basin.depth": "2.4 m"})
    depth = next(told for told in changed.sizes if told.what == "depth")
    assert depth.after == "2.40 m"
    assert all("ft" not in line.unit and "yd" not in line.unit for line in changed.bought)


def test_a_sweep_tells_each_value_and_why_one_fails() -> None:
    found = sweep(made("soak-lot"), "crew.size", {"3": 3, "x": "x", "6": 6})
    assert [one.value for one in found] == ["3", "x", "6"]
    assert found[1].design is None
    assert "whole number" in found[1].why
    assert found[0].difference is not None
    assert found[2].difference is not None


@pytest.mark.parametrize("key", ["nowhere", "works.runs.NONE.pipe", "works.runs[99].pipe", "..", ""])
def test_a_key_that_leads_nowhere_is_refused(key: str) -> None:
    with pytest.raises(JobError):
        what_if(made("soak-lot"), {key: 1})


def test_options_survive_the_way_through_json() -> None:
    job = with_options("metric-basement", PUMP, CELL, DRAIN).job
    again = changed_job(to_json(job), {})
    assert json.loads(to_json(again))["offer"] == json.loads(to_json(job))["offer"]
