"""Fittings from the network's geometry, counted by hand."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest

from drainwright.build.book import demonstration_book
from drainwright.build.fittings_count import REACH, inside_bodies, legs
from drainwright.build.takeoff import count
from drainwright.build.takeoff.pipes import pipe_key
from drainwright.build.units import FOOT, INCH
from drainwright.design import Design
from drainwright.job.values import Basis
from drainwright.system.bends import SHORTEST, elbows, straightened, turns
from drainwright.system.catalogue import PIPES
from drainwright.system.fitting_groups import solid
from drainwright.system.fittings import group, inches
from drainwright.system.model import JoinedCapacity, Pipe, SizedRun, System

from ..conftest import designed
from .sample import GROUND, feet, make_node, make_pipe, make_run, make_site, make_system


@pytest.mark.parametrize(
    ("angle", "gravity", "pressure"),
    [
        (5.0, (), ()),
        (22.5, ("elbow-22",), ("elbow-22",)),
        (45.0, ("elbow-45",), ("elbow-45",)),
        (67.5, ("elbow-45", "elbow-22"), ("elbow-45", "elbow-22")),
        (90.0, ("elbow-45", "elbow-45"), ("elbow-90",)),
        (112.0, ("elbow-45", "elbow-45", "elbow-22"), ("elbow-90", "elbow-22")),
    ],
)
def test_turns_by_standard_elbows(angle: float, gravity: tuple[str, ...], pressure: tuple[str, ...]) -> None:
    assert elbows(angle, pressure=False) == gravity
    assert elbows(angle, pressure=True) == pressure


def test_turns_of_a_route() -> None:
    route = (feet(0, 0), feet(10, 0), feet(10, 10), feet(20, 20), feet(30, 30))
    assert turns(route) == pytest.approx([90.0, 45.0, 0.0], abs=1e-9)


def test_a_kink_too_short_for_two_fittings_is_one_turn() -> None:
    route = (feet(0, 0), feet(10, 0), feet(10.2, 0.2), feet(10.2, 10))
    assert turns(straightened(route)) == pytest.approx([90.0], abs=2.0)
    assert straightened(route[:2]) == list(route[:2])


def test_nominal_sizes_as_numbers() -> None:
    assert [inches(text) for text in ("4 in", "1-1/2 in", "1-1/4in")] == [4.0, 1.5, 1.25]


BOOK = demonstration_book()


def found(system: System) -> Counter[tuple[str, str]]:
    return Counter((item.kind, item.where) for item in count(make_site(), system, BOOK).fittings)


def test_the_small_system_by_hand() -> None:
    """Footing drain with a cleanout; a leader that turns once; a discharge line of 39 ft (20 and 19) and 2 ft."""
    assert found(make_system()) == {
        ("elbow-45", "FD"): 2,  # up to the cleanout
        ("cleanout", "FD"): 1,
        ("gasket", "FD at SUMP"): 1,
        ("downspout", "L1"): 1,
        ("sweep-90", "L1"): 1,  # at the downspout's foot
        ("elbow-45", "L1"): 2,  # the right angle
        ("gasket", "L1 at SUMP"): 1,
        ("elbow-90", "DL"): 1,
        ("coupling", "DL"): 1,
        ("gasket", "DL at SUMP"): 1,
        ("male-adapter", "SUMP"): 1,
        ("check-valve", "SUMP"): 1,
        ("union", "SUMP"): 1,
        ("ball-valve", "SUMP"): 1,
        ("elbow-90", "SUMP"): 1,
    }


def test_no_check_valve_where_the_job_leaves_it_out() -> None:
    works = {
        "basin": {"at": "28 ft, -1 ft", "check_valve": False},
        "discharge": [{"name": "OUT", "at": "30 ft, -40 ft", "kind": "daylight", "invert": "29.5 m"}],
    }
    kinds = Counter(item.kind for item in count(make_site(works=works), make_system(), BOOK).fittings)
    assert kinds["check-valve"] == 0
    assert kinds["ball-valve"] == 1


def joined(upper: list[SizedRun], lower: SizedRun) -> Counter[str]:
    names = {name for run in (*upper, lower) for name in (run.upper, run.lower)}
    nodes = {name: make_node(name, "junction", (0.0, 0.0), GROUND) for name in names}
    nodes["OUT"] = make_node("OUT", "discharge", (0.0, 0.0), GROUND)
    system = System(nodes=nodes, runs=(*upper, lower), gravity=(), joined=None, discharge="OUT")
    return Counter(item.kind for item in count(make_site(walls=()), system, BOOK).fittings if item.where == "J")


def leg(name: str, ends: tuple[str, str], nominal: str, family: str = "D2729", perforated: bool = False) -> SizedRun:
    """Lines to and from a junction at the origin; ``b`` comes in at 45 degrees."""
    pipe = make_pipe(nominal, family, perforated)
    start = {"a": (-9, 0), "b": (-9, 9), "c": (0, 0)}[name]
    route = (feet(*start), feet(9, 0) if name == "c" else feet(0, 0))
    return make_run(name, route, GROUND - 0.5, GROUND - 0.6, ends=ends, pipe=pipe, stone=0.0)


def test_two_runs_join_in_a_wye() -> None:
    assert joined([leg("a", ("A", "J"), "4 in"), leg("b", ("B", "J"), "4 in")], leg("c", ("J", "OUT"), "4 in")) == {
        "wye": 1
    }


def test_a_smaller_branch_takes_a_reducer_and_another_family_an_adapter() -> None:
    lower = leg("c", ("J", "OUT"), "4 in")
    assert joined([leg("a", ("A", "J"), "4 in"), leg("b", ("B", "J"), "3 in")], lower) == {"wye": 1, "reducer": 1}
    other = leg("b", ("B", "J"), "1-1/2 in", "Schedule 40")
    assert joined([leg("a", ("A", "J"), "4 in"), other], lower) == {"wye": 1, "reducer": 1, "adapter": 1}
    # D2729 and D3034 share their outside diameter and so their fittings
    assert joined([leg("a", ("A", "J"), "4 in", "D3034 SDR 35")], lower) == {}


def test_reducer_and_adapter_fit_what_they_stand_beside() -> None:
    """3 in Schedule 40 into a 4 in sewer wye: reduced in sewer fittings, then adapted at 3 in. For 1-1/2 in, which no
    sewer fitting is made in: adapted at 4 in, then reduced in Schedule 40."""
    base = make_system()
    line = JoinedCapacity(
        name="existing line", pipe=make_pipe("4 in", "D3034 SDR 35", False), grade=0.015, capacity=0.006,
        pumped=0.002, roof=0.0, other=0.0, basis=Basis.MEASURED,
    )  # fmt: skip
    met = {fit.kind: fit for fit in count(make_site(), replace(base, joined=line), BOOK).fittings if fit.where == "OUT"}
    adapter, reducer = met["adapter"], met["reducer"]
    assert (group(adapter.pipe), adapter.pipe.nominal) == ("sewer", "4 in")
    assert adapter.other is not None
    assert (group(adapter.other), adapter.other.nominal) == ("sch40", "4 in")
    assert (group(reducer.pipe), reducer.pipe.nominal) == ("sch40", "4 in")
    runs = tuple(replace(run, pipe=PIPES["sch40 3 in"]) if run.name == "DL" else run for run in base.runs)
    met = {
        fit.kind: fit
        for fit in count(make_site(), replace(base, runs=runs, joined=line), BOOK).fittings
        if fit.where == "OUT"
    }
    assert (group(met["reducer"].pipe), met["reducer"].pipe.nominal) == ("sewer", "4 in")
    assert (group(met["adapter"].pipe), met["adapter"].pipe.nominal) == ("sewer", "3 in")


def test_two_pumps_join_in_a_wye_with_its_elbow() -> None:
    """Counted by hand: the second riser is turned into the branch; the ports take adapters of their own size."""
    base = make_system()
    twice = replace(base, stations=(replace(base.stations[0], second_on=base.stations[0].on + 0.05),))
    more = found(twice) - found(base)
    assert more["wye", "SUMP"] == 1
    assert more["elbow-45", "SUMP"] == 1
    assert more["male-adapter", "SUMP"] == 1


def test_a_drain_without_a_cleanout_is_capped() -> None:
    run = make_run("X", (feet(0, 0), feet(9, 0)), GROUND - 0.5, GROUND - 0.6, ends=("A", "OUT"))
    nodes = {
        "A": make_node("A", "junction", feet(0, 0), GROUND),
        "OUT": make_node("OUT", "discharge", feet(9, 0), GROUND),
    }
    system = System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")
    assert [item.kind for item in count(make_site(walls=()), system, BOOK).fittings] == ["cap"]


def test_a_cleanout_at_each_corner_of_a_footing_drain() -> None:
    route = (feet(0, 0), feet(10, 0), feet(10, 10))
    run = make_run("FD", route, GROUND - 0.5, GROUND - 0.6, ends=("A", "OUT"))
    nodes = {
        "A": make_node("A", "junction", feet(0, 0), GROUND),
        "OUT": make_node("OUT", "discharge", route[-1], GROUND),
    }
    system = System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")
    counted = count(make_site(walls=()), system, BOOK)
    kinds = Counter(item.kind for item in counted.fittings)
    assert kinds == {"cleanout": 2, "tee": 1, "elbow-45": 4}
    assert [riser.pipe.key for riser in counted.risers] == [
        "d2729 4 in"
    ] * 2  # solid: nothing washes in through backfill
    upright = [(cut.pipe, piece.upright) for cut in counted.cuts for piece in cut.pieces]
    assert ("d2729 4 in", True) in upright
    assert ("d2729 4 in perforated", True) not in upright


@pytest.mark.parametrize("pipe", [pipe for pipe in PIPES.values() if pipe.perforated], ids=lambda pipe: pipe.key)
def test_every_perforated_pipe_has_a_solid_one_for_its_risers(pipe: Pipe) -> None:
    upright = solid(pipe)
    assert not upright.perforated
    assert group(upright) == group(pipe)
    assert upright.nominal == pipe.nominal
    for stick in upright.sticks:
        assert pipe_key(upright, stick) in BOOK.items


def test_a_leader_comes_up_to_its_downspout(pumped: Design) -> None:
    """DS1: ground 30.318 m, invert 29.770, 0.103 inside, a wall of 0.002: 0.443 m of pipe on its foot."""
    run = pumped.system.run("L1")
    uprights = [riser for riser in pumped.system.risers if riser.where == "L1"]
    (upright,) = (riser for riser in uprights if riser.foot == "sweep-90")  # the other is its cleanout's
    over = run.stations[0].ground - run.stations[0].invert
    assert upright.pipe == run.pipe
    assert upright.length == pytest.approx(over - run.pipe.inside - run.pipe.wall)
    pieces = [piece for stick in pumped.build.takeoff.cuts for piece in stick.pieces if piece.where == "L1"]
    standing = [piece.length for piece in pieces if piece.upright]
    assert len(standing) == len(uprights) == 2
    assert min(abs(length - (upright.length - 4.215 * INCH)) for length in standing) < 1e-6  # sweep


def test_pipe_that_bends_needs_no_elbow() -> None:
    coil = replace(make_pipe(), family="corrugated single wall", sticks=(100 * FOOT,), key="corrugated 4 in perforated")
    run = make_run(
        "X", (feet(0, 0), feet(10, 0), feet(10, 10)), GROUND - 0.5, GROUND - 0.6, ends=("A", "OUT"), pipe=coil
    )
    assert legs(run) == pytest.approx([20 * FOOT])
    stiff = make_run("X", (feet(0, 0), feet(10, 0), feet(10, 10)), GROUND - 0.5, GROUND - 0.6, ends=("A", "OUT"))
    assert legs(stiff) == pytest.approx([10 * FOOT, 10 * FOOT])
    assert math.fsum(legs(stiff)) == pytest.approx(stiff.length)


def test_pipe_ends_past_the_wall_of_what_it_comes_to(pumped: Design) -> None:
    """A basin of 36 in, catch basins of 12 in, 2 in through the wall; the pumped line starts at its riser."""
    past = {run.name: inside_bodies(pumped.job, pumped.system, run) for run in pumped.system.runs}
    assert past["FD1"] == pytest.approx((0.0, 16 * INCH))
    assert past["YD1"] == pytest.approx((4 * INCH, 16 * INCH))
    assert past["L1"] == pytest.approx((0.0, 16 * INCH))
    assert past["DL"] == (0.0, 0.0)
    straight = pumped.system.run("YD2")
    assert legs(straight, past["YD2"]) == pytest.approx([straight.length - 20 * INCH])
    cut = [piece for stick in pumped.build.takeoff.cuts for piece in stick.pieces if piece.where == "YD2"]
    assert [piece.length for piece in cut] == pytest.approx([straight.length - 20 * INCH])  # one stick is enough


def test_no_end_is_cut_too_short_to_be_joined() -> None:
    run = make_run("X", (feet(0, 0), feet(10, 0), feet(10, 1.2)), GROUND - 0.5, GROUND - 0.6, ends=("A", "SUMP"))
    assert legs(run, (0.0, 0.33)) == pytest.approx([10 * FOOT, SHORTEST])
    assert REACH < SHORTEST


def test_a_line_that_joins_another_pipe_is_reduced_and_adapted_at_the_outlet() -> None:
    base = make_system()
    line = JoinedCapacity(
        name="existing line", pipe=make_pipe("4 in", "D3034 SDR 35", False), grade=0.015, capacity=0.006,
        pumped=0.002, roof=0.0, other=0.0, basis=Basis.MEASURED,
    )  # fmt: skip
    more = found(replace(base, joined=line)) - found(base)
    assert more == {("reducer", "OUT"): 1, ("adapter", "OUT"): 1, ("wye", "OUT"): 1, ("flexible", "OUT"): 2}


@pytest.mark.parametrize("path", ["block-wall-house/job", "two-basins/job"])
def test_the_parts_of_the_head_are_those_of_the_order(path: str) -> None:
    made = designed(path)
    for station in made.system.stations:
        bought = Counter(fit.kind for fit in made.system.fittings or () if fit.where == station.name)
        risers = 1 if station.second_on is None else 2
        assert station.line is not None
        reckoned = {item.kind: item.count for item in station.line.fittings}
        assert bought["ball-valve"] == risers * reckoned["ball_valve"]
        assert bought["union"] == risers * reckoned["union"]
        assert bought["check-valve"] == risers * reckoned["swing_check"]
        assert bought["reducer"] == risers * reckoned.get("port", 0)
        assert bought["wye"] == reckoned.get("wye", 0)
        total = sum(item.coefficient for item in station.line.fittings)
        assert total == pytest.approx(station.fittings_k)


def test_an_adapter_at_a_downspout_says_what_spout_it_goes_on() -> None:
    """Spouts are not all alike: one 3 in by 4 in was ordered as '4 in downspout adapter'."""
    lines = {line.key: line.description for line in designed("block-wall-house/job").build.takeoff.lines}
    assert lines["fitting.downspout.sewer.4in"].endswith(", for downspouts of 3×4 in")
