"""Fittings, meetings and cleanouts from the geometry of hand-made networks."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest
from system_jobs import designed, document

from drainwright.field.model import Plan
from drainwright.system.catalogue import find_pipe
from drainwright.system.fittings import cleanouts, meetings, network_fittings
from drainwright.system.model import Node, SizedRun, Station, System

FOOT = 0.3048


def run(
    name: str, ends: tuple[str, str], *route: tuple[float, float], pipe: str = "d3034 4 in", **more: object
) -> SizedRun:
    way: tuple[Plan, ...] = tuple((e * FOOT, n * FOOT) for e, n in route)
    values = {"duty": "yard drain", "pressure": False} | more
    station = Station(distance=0.0, at=way[0], ground=1.0, invert=0.0, cover=0.8, cut=1.0, water=0.0)
    return SizedRun(
        name=name, upper=ends[0], lower=ends[1], pipe=find_pipe(pipe), pipe_chosen_by="job", grade_chosen_by="job",
        route=way, length=sum(math.dist(a, b) for a, b in pairwise(way)),
        invert_upper=0.0, invert_lower=0.0, grade=0.01, flows={}, flow=0.0, capacity=0.0, depth=0.0, velocity=0.0,
        surcharged=False, stations=(station,), stone_width=0.0, stone_under=0.0, stone_over=0.0, fabric=False, walls=(),
        **values,  # type: ignore[arg-type]
    )  # fmt: skip


def system(*runs: SizedRun) -> System:
    ends = {end: way for one in runs for end, way in ((one.upper, one.route[0]), (one.lower, one.route[-1]))}
    nodes = {
        name: Node(name=name, kind="discharge" if name == "OUT" else "junction", at=at, ground=1.0, rim=1.0, invert=0.0)
        for name, at in ends.items()
    }
    return System(nodes=nodes, runs=runs, gravity=(), joined=None, discharge="OUT")


OUT = run("c", ("J", "OUT"), (0, 0), (20, 0))
JOB = designed(document())[0].job


def at_junction(*coming: SizedRun) -> Counter[str]:
    fits, _ = network_fittings(JOB, system(*coming, OUT))
    return Counter(fit.kind for fit in fits if fit.where == "J")


THROUGH = run("a", ("A", "J"), (-20, 0), (0, 0))


@pytest.mark.parametrize(
    ("start", "turn", "elbows"),
    [
        ((-20, 20), 45.0, {}),  # with the stream at 45 degrees: the wye itself
        ((0, 20), 90.0, {"elbow-45": 1}),
        ((-20, 8.284), 22.5, {"elbow-22": 1}),
        ((8.284, 20), 112.5, {"elbow-45": 1, "elbow-22": 1}),
        ((20, 20), 135.0, {"elbow-45": 2}),
    ],
)
def test_a_branch_comes_in_by_a_wye_and_what_is_left_by_elbows(
    start: tuple[float, float], turn: float, elbows: dict[str, int]
) -> None:
    branch = run("b", ("B", "J"), start, (0, 0))
    assert at_junction(THROUGH, branch) == {"wye": 1, **elbows}
    found = {item.run: item for item in meetings(system(THROUGH, branch, OUT).nodes["J"], (THROUGH, branch, OUT))}
    assert found["b"].turn == pytest.approx(turn, abs=0.1)
    assert found["a"].through
    assert not found["b"].through


def test_a_line_that_only_turns_at_a_junction_takes_elbows_and_no_wye() -> None:
    assert at_junction(run("a", ("A", "J"), (0, 20), (0, 0))) == {"elbow-45": 2}
    assert at_junction(THROUGH) == {}


def test_sizes_and_kinds_change_with_both_pipes_named() -> None:
    small = run("b", ("B", "J"), (-20, 20), (0, 0), pipe="sch40 2 in")
    fits, _ = network_fittings(JOB, system(THROUGH, small, OUT))
    (reducer,) = [fit for fit in fits if fit.kind == "reducer"]
    assert (reducer.pipe.nominal, reducer.other and reducer.other.nominal) == ("4 in", "2 in")
    assert Counter(fit.kind for fit in fits if fit.where == "J") == {"wye": 1, "reducer": 1, "adapter": 1}
    (wye,) = [fit for fit in fits if fit.kind == "wye"]
    assert (wye.angle, wye.at) == (45.0, (0.0, 0.0))


@pytest.mark.parametrize(
    ("route", "wanted"),
    [
        (((0, 0), (90, 0)), []),
        (((0, 0), (250, 0)), [100.0, 200.0]),
        (((0, 0), (60, 0), (60, 60)), [60.0]),  # a right angle
        (((0, 0), (60, 0), (110, 50)), [100.0]),  # 45 degrees: not more than 45, but more than 100 ft
        (((0, 0), (60, 0), (60, 20), (90, 20)), [60.0]),  # two within 40 ft: one
        (((0, 0), (60, 0), (60, 50), (90, 50)), [60.0, 110.0]),
        (((0, 0), (90, 0), (90, 105)), [90.0, 190.0]),
    ],
)
def test_cleanouts_at_sharp_turns_and_every_hundred_feet(
    route: tuple[tuple[float, float], ...], wanted: list[float]
) -> None:
    line = run("a", ("A", "OUT"), *route)
    assert [place.distance / FOOT for place in cleanouts(line, free=False, asked=True)] == pytest.approx(wanted)
    free = cleanouts(line, free=True, asked=False)
    assert free[0].why == "upper end"
    assert not any(place.fitted for place in free)


def test_each_corner_of_a_footing_drain_and_none_of_a_pressure_line() -> None:
    route = ((0, 0), (20, 0), (20, 20), (0, 20))
    drain = run("a", ("A", "OUT"), *route, duty="footing drain")
    assert [place.why for place in cleanouts(drain, free=True, asked=True)] == ["upper end", "turn", "turn"]
    assert cleanouts(replace(drain, pressure=True), free=True, asked=True) == ()


def test_a_design_names_its_fittings_and_the_takeoff_counts_the_same() -> None:
    from drainwright.build.book import demonstration_book
    from drainwright.build.takeoff import count

    site, _, found = designed(document())
    assert found.fittings is not None
    counted = count(site, found, demonstration_book()).fittings
    couplings = [fit for fit in counted if fit.kind == "coupling" and fit not in found.fittings]
    assert Counter(counted) == Counter(found.fittings) + Counter(couplings)
    assert all(fit.at is not None for fit in found.fittings)
    assert {fit.kind for fit in found.fittings} >= {"wye", "downspout"} - ({"wye"} if not _meets(found) else set())


def _meets(found: System) -> bool:
    return any(
        node.kind == "junction" and sum(line.lower == node.name for line in found.runs) > 1
        for node in found.nodes.values()
    )


def test_a_freeze_relief_stands_near_the_house_not_at_the_frozen_end() -> None:
    """4 ft down the first pumped length, also where the line goes on in another run."""
    first = run("DL", ("SUMP", "J"), (0, 0), (50, 0), pipe="sch40 2 in", pressure=True)
    last = run("DL2", ("J", "OUT"), (50, 0), (50, 40), pipe="sch40 2 in", pressure=True)
    points = [item.model_copy(update={"name": "OUT", "winter_relief": True}) for item in JOB.works.discharge[:1]]
    job = JOB.model_copy(update={"works": JOB.works.model_copy(update={"discharge": points})})
    fits, _ = network_fittings(job, system(first, last))
    [relief] = [fit for fit in fits if fit.kind == "winter-relief"]
    assert relief.where == "DL"
    assert relief.at == pytest.approx((4 * FOOT, 0.0))
    assert {fit.where for fit in fits if fit.kind == "coupling"} == {"J"}


def test_a_freeze_relief_is_for_the_pumped_lines_of_a_shared_outlet() -> None:
    """Not for the gravity line that comes to the same place, though it stands first; each pumped line its own."""
    yard = run("YD", ("CB", "OUT"), (0, 40), (50, 40))
    pumped = run("DL", ("SUMP", "OUT"), (0, 0), (50, 40), pipe="sch40 2 in", pressure=True)
    other = run("DL2", ("PIT", "OUT"), (90, 0), (50, 40), pipe="sch40 2 in", pressure=True)
    points = [item.model_copy(update={"name": "OUT", "winter_relief": True}) for item in JOB.works.discharge[:1]]
    job = JOB.model_copy(update={"works": JOB.works.model_copy(update={"discharge": points})})

    def on(*runs: SizedRun) -> list[str]:
        fits, _ = network_fittings(job, system(*runs))
        return [fit.where for fit in fits if fit.kind == "winter-relief"]

    assert on(yard, pumped) == ["DL"]
    assert on(yard, pumped, other) == ["DL", "DL2"]
    assert on(yard) == ["YD"]
