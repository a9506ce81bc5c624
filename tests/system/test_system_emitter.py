"""A pop-up emitter: water leaves at its lid, over the loss of its elbow and lid, wherever the pipe ends below."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from system_jobs import designed, document
from system_stations import line_of

from drainwright.build.stone import beds
from drainwright.hydraulics.emitter import emitter_loss_coefficient
from drainwright.storm.network import build_network
from drainwright.system.catalogue import find_pipe
from drainwright.system.model import System
from drainwright.worksheet import worksheet

FOOT = 0.3048
INVERT = 1.5 * FOOT  # below the lawn at the way out
G = 9.80665


def lot(kind: str, *, pumped: bool, end: dict[str, Any] | None = None) -> dict[str, Any]:
    run = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT", "pipe": "d3034 4 in"}
    data = document(**({} if pumped else {"runs": [run], "basin": "none"}))
    if pumped:
        data["works"]["basin"] = {"name": "SUMP", "at": "20 ft, -5 ft"}
    out = data["works"]["discharge"][0]
    level = 100.0 - 0.02 * (30.0 - float(out["at"].split(",")[1].split()[0]))
    out |= {"kind": kind, "invert": f"{level - 1.5:.3f} ft", "end": end or {}}
    return data


def system(kind: str, **more: Any) -> System:
    return designed(lot(kind, **more))[2]


def test_a_pump_lifts_to_the_lid_and_loses_in_elbow_and_lid() -> None:
    plain, lidded = system("daylight", pumped=True), system("pop-up emitter", pumped=True)
    (point,) = [node for node in lidded.nodes.values() if node.name == "OUT"]
    (station,) = lidded.stations
    line = lidded.run(station.discharge_run)
    highest = max(place.invert for place in line.stations) + line.pipe.inside
    lift = max(point.ground, highest) - station.off
    assert station.static_head == pytest.approx(lift)
    assert station.static_head >= plain.stations[0].static_head
    assert station.line is not None
    (loss,) = [item for item in station.line.fittings if item.kind == "emitter"]
    riser = find_pipe("d2729 3 in").inside  # the smallest emitter sold
    assert loss.coefficient == pytest.approx(1.9 * (line.pipe.inside / riser) ** 4)


def test_a_raised_lid_raises_the_lift() -> None:
    low, high = (system("pop-up emitter", pumped=True, end={"height": text}) for text in ("0 in", "2 ft"))
    rise = high.stations[0].static_head - low.stations[0].static_head
    line = low.run(low.stations[0].discharge_run)
    crown = max(place.invert for place in line.stations) + line.pipe.inside
    ground = low.nodes["OUT"].ground
    more = ground + 2 * FOOT - max(ground, crown)
    assert rise - (low.stations[0].off - high.stations[0].off) == pytest.approx(more)


def test_at_rest_an_emitter_empties_to_the_soil() -> None:
    """The lid holds no water back for good: a weep hole in the elbow's foot lets it out."""
    data = lot("pop-up emitter", pumped=True)
    lidded, plain = (designed(one)[2].stations[0].line for one in (data, lot("daylight", pumped=True)))
    assert lidded is not None
    assert plain is not None
    assert lidded.standing.length == pytest.approx(plain.standing.length)
    line = line_of(find_pipe("sch40 1-1/2 in"), lid=40.0, emitter=0.075)
    assert line.against == line.highest == 40.0
    assert line.tailwater == -math.inf


def test_gravity_water_leaves_over_the_lid() -> None:
    data = lot("pop-up emitter", pumped=False)
    with worksheet() as steps:
        _, _, made = designed(data)
    run, ground = made.run("YD"), made.nodes["OUT"].ground
    assert run.invert_lower == pytest.approx(ground - INVERT, abs=1e-3)
    speed = sum(run.flows.values()) / (math.pi / 4 * run.pipe.inside**2)
    lost = 1.0 + 1.9 * (run.pipe.inside / made.ends[0].opening) ** 4
    assert run.stations[-1].water == pytest.approx(ground + lost * speed**2 / (2 * G), abs=1e-4)
    rises = [step for step in steps if step.formula == "hydraulics.emitter.emitter_rise"]
    assert len(rises) == sum(one.lower == "OUT" for one in made.runs)
    assert ("works.discharge.OUT", pytest.approx(INVERT, abs=1e-3)) in [(one.place, one.result) for one in rises]


def test_gravity_reaches_an_emitter_only_where_the_water_rises_to_its_lid() -> None:
    opened, lidded = (system(kind, pumped=False).gravity[0] for kind in ("daylight", "pop-up emitter"))
    assert opened.needed == lidded.needed
    assert opened.reaches
    assert lidded.reaches == (lidded.needed >= lidded.available + INVERT - 1e-6)


def test_in_the_storm_nothing_comes_back_through_an_emitter() -> None:
    site, water, made = designed(lot("pop-up emitter", pumped=False))
    plant = build_network(site, water, made).plant
    out = [index for index, run in enumerate(made.runs) if run.lower == "OUT"]
    assert out
    for index in out:
        assert plant.pipes.outfall[index] < -100.0
        assert plant.pipes.z_lower[index] == pytest.approx(made.nodes["OUT"].ground)


def test_the_loss_of_an_emitter_of_the_pipe_s_own_size() -> None:
    """An elbow, 0.9 by the table of fittings, and 1.0 assumed for the lid: by hand 1.9 v^2/2g."""
    bore = find_pipe("d2729 4 in").inside
    assert emitter_loss_coefficient(bore, bore) == pytest.approx(1.9)
    assert emitter_loss_coefficient(bore / 2, bore) == pytest.approx(1.9 / 16)


def test_the_elbow_takes_one_and_a_half_diameters() -> None:
    (end,) = system("pop-up emitter", pumped=False).ends
    assert end.elbow == pytest.approx(1.5 * find_pipe("d2729 4 in").outside)
    assert replace(end, height=0.1).lid == pytest.approx(end.ground + 0.1)


def test_the_elbow_stands_on_a_foot_of_stone_that_is_bought() -> None:
    site, _, made = designed(lot("pop-up emitter", pumped=False))
    (pocket,) = [one for one in beds(site, made, ()) if one.run == "OUT"]
    assert pocket.stone == pocket.under == pytest.approx(FOOT**3)
