"""The firm's own pumps where none keeps every limit: told why, ranked all the same, and not passed over for little."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from system_stations import GALLON, setting, station_of

from drainwright.job.works import Pump
from drainwright.system.catalogue import PIPES
from drainwright.system.lift.choice import Setting, choose
from drainwright.system.lift.ranking import LINES
from drainwright.system.lift.station import lift_station
from drainwright.system.model import LiftStation
from drainwright.system.trade import CHOSEN

DEEP = 1.44  # lowest pipe under the rim, which leaves little room in a common basin [m]


def pump(name: str, scale: float, head: float = 22.0, port: str = "1-1/2 in", **more: Any) -> Pump:
    curve = [
        {"flow": f"{flow * scale} gpm", "head": f"{share * head} ft"}
        for flow, share in ((0.0, 1.0), (15.0, 0.77), (30.0, 0.41), (38.0, 0.14))
    ]
    sheet = {"name": name, "curve": curve, "discharge_size": port, "float_kind": "adjustable", "price": 240}
    return Pump.model_validate(sheet | more)


def deep(*pumps: Pump, **changes: Any) -> Setting:
    return setting(flow=changes.pop("flow", GALLON), lowest_inlet=30.05 - DEEP, pumps=pumps, **changes)


def told(item: Setting) -> tuple[LiftStation, str]:
    station, _, notes = lift_station(item, choose(item))
    return station, next((note for note in notes if "none of the firm's own pumps" in note), "")


def test_a_note_says_with_figures_why_a_pump_of_the_firm_is_not_taken() -> None:
    """A 1-1/2 in outlet fits the 1-1/2 in line; it is the room between the floats that makes the basin too deep."""
    station, said = told(deep(pump("Ours", 1.2), line_pipe=PIPES["sch40 1-1/2 in"]))
    assert station.pump.chosen_by == "design"
    assert "Ours, at its best through 1-1/2 in: the basin is 6 ft 6 in deep where common ones are 6 ft at most" in said
    assert "between its floats to start no more than 10 times an hour" in said
    assert "outlet" not in said
    (line,) = [line for line in station.ranking if line.pump.name == "Ours"]
    assert line.port_fits
    assert line.firms
    assert not line.taken
    assert "none of the firm's own does" in station.ranking[0].reason


def test_each_reason_is_told() -> None:
    weak, wide, unit = pump("Weak", 1.0, 5.0), pump("Wide", 1.3, port="2 in"), pump("Unit", 1.0, direct_current=True)
    _, said = told(deep(weak, wide, unit, line_pipe=PIPES["sch40 1-1/2 in"]))
    assert "Weak, at its best through 1-1/2 in: water in the discharge line moves at" in said
    assert "its outlet of 2 in is wider than the line of 1-1/2 in, which the job names" in said
    assert "Unit: it runs on a battery's direct current" in said


def test_no_note_where_one_of_the_firms_is_taken_or_none_is_given() -> None:
    station, said = told(setting(pumps=(pump("Ours", 1.4),)))
    assert (station.pump.name, station.pump.chosen_by, said) == ("Ours", "firm", "")
    assert CHOSEN[station.pump.chosen_by] == "from the firm's list"
    assert told(deep())[1] == ""


def test_the_firms_pumps_are_ranked_though_others_come_nearer() -> None:
    names = [f"Large {number}" for number in range(2, 8)]
    pumps = tuple(pump(name, 1.0 + 0.5 * number) for number, name in enumerate(names, start=2))
    station, said = told(deep(*pumps))
    ranked = [line.pump.name for line in station.ranking]
    assert len(ranked) == LINES
    assert [name for name in ranked if name in names] == names[: LINES - 2]
    assert said.endswith("; so it is with the other 2.")


def test_a_basin_one_step_deeper_does_not_cost_the_firm_its_own_pump() -> None:
    """Where no basin is deep enough for any pump, the firm's own is taken unless it wants much more depth."""
    big = pump("Big", 5.2, 40.0, "3 in")
    item = deep(big, flow=100 * GALLON)
    own = choose(item)
    generic = choose(replace(item, pumps=()))
    assert set(generic.short) == set(own.short) == {"depth"}
    assert own.option.firms
    assert generic.levels.depth < own.levels.depth <= generic.levels.depth + 0.1525
    assert "it is the firm's own" in station_of(item)[0].ranking[0].reason
    far = choose(deep(pump("Bigger", 8.0, 46.0, "3 in"), flow=100 * GALLON))
    assert not far.option.firms
    assert own.shortfall == pytest.approx(20 * (own.levels.depth - 1.8288))
