"""A pop-up emitter: water leaves at its lid, over the loss of its elbow and lid, wherever the pipe ends below."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from system_jobs import designed, document
from system_stations import line_of

from drainwright.build.stone import beds
from drainwright.build.trench import cuts, trench
from drainwright.hydraulics.emitter import emitter_loss_coefficient
from drainwright.storm.engine.laws import run_flow
from drainwright.storm.engine.plant import Pipes
from drainwright.storm.network import build_network
from drainwright.system.catalogue import find_pipe
from drainwright.system.model import SizedRun, System
from drainwright.system.outlets.end_model import PipeEnd
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


def into_emitter(sunk: float) -> tuple[SizedRun, PipeEnd, Pipes, int]:
    """The gravity lot's last pipe as the storm test has it; its lid raised so far over the pipe's upper end."""
    site, water, made = designed(lot("pop-up emitter", pumped=False))
    run = made.run("YD")
    (end,) = made.ends
    made = replace(made, ends=(replace(end, height=end.height + run.invert_upper - end.lid + sunk),))
    pipes = build_network(site, water, made).plant.pipes
    return run, made.ends[0], pipes, [one for one in made.runs if not one.pressure].index(run)


def flow_of(pipes: Pipes, row: int, inside: float, *, back: bool = False) -> float:
    """By the storm's own law, from the water over its upper end to what stands past its lid, or back from there."""
    high, low = (inside, pipes.z_upper[row]), (pipes.outfall[row], pipes.z_lower[row])
    (one, bed), (two, far) = (low, high) if back else (high, low)
    return run_flow(
        one, bed, two, far, pipes.diameter[row], pipes.conveyance[row], pipes.length[row], pipes.share
    )[0]  # fmt: skip


@pytest.mark.parametrize("sunk", [-0.1, 0.2])
def test_in_the_storm_nothing_comes_back_through_an_emitter(sunk: float) -> None:
    run, end, pipes, row = into_emitter(sunk)
    lowest = min(run.invert_upper, end.lid)
    assert flow_of(pipes, row, lowest - 0.1, back=True) == 0.0
    assert flow_of(pipes, row, max(run.invert_upper, end.lid) - 1e-6) == 0.0


@pytest.mark.parametrize("sunk", [-0.1, 0.2])
@pytest.mark.parametrize("over", [0.15, 0.5, 1.5])
def test_in_the_storm_a_pipe_into_an_emitter_carries_what_the_energy_equation_says(sunk: float, over: float) -> None:
    """By hand: H = V²/2g (1 + 1.9 (d/D)⁴) + L (n V)² / R^(4/3), with Manning's n and R = d/4; K by the fittings' table.

    Without the loss the pipe would carry a tenth more and over.
    """
    run, end, pipes, row = into_emitter(sunk)
    bore, length = run.pipe.inside, run.length
    level = max(run.invert_upper, end.lid) + over  # the pipe is full at its upper end
    head = level - end.lid
    lost = (1.0 + 1.9 * (bore / end.opening) ** 4) / (2 * G)
    rubbed = length * run.pipe.manning**2 / (bore / 4) ** (4 / 3)
    by_hand = math.pi / 4 * bore**2 * math.sqrt(head / (lost + rubbed))
    assert flow_of(pipes, row, level) == pytest.approx(by_hand, rel=0.02 if sunk > 0 else 3e-3)
    assert math.pi / 4 * bore**2 * math.sqrt(head / rubbed) > 1.05 * by_hand


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
    assert pocket.stone == pocket.under == pocket.displaced == pytest.approx(FOOT**3)


def test_the_pocket_under_the_elbow_is_dug() -> None:
    """By hand: a cube of 1 ft below the pipe, and over its outer half, past the trench's end, 6 in of trench."""
    site, _, made = designed(lot("pop-up emitter", pumped=False))
    (end,) = made.ends
    deep = end.ground - end.invert + (end.outside - end.bore) / 2
    digs, plain = (
        {cut.name: trench(cut, site).bank_volume for cut in cuts(site, one)} for one in (made, replace(made, ends=()))
    )
    assert digs[end.run] - plain[end.run] == pytest.approx(FOOT**3 + FOOT * FOOT / 2 * deep)
    assert {name: digs[name] for name in digs if name != end.run} == {
        name: plain[name] for name in plain if name != end.run
    }
