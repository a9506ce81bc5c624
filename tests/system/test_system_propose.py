"""What is proposed where the job leaves it out: a basin's place, drains that do not double back, lines round things."""

from __future__ import annotations

import itertools
import json
import math
import random
from typing import Any

import pytest
from shapely import LineString, Point, Polygon
from system_jobs import designed, document

from drainwright.build import trench
from drainwright.field import survey
from drainwright.field.model import Site
from drainwright.job.model import Job
from drainwright.system import layout
from drainwright.system.model import System
from drainwright.system.ways import bends, distance, route_length
from drainwright.system.yard import basin_spot
from drainwright.system.yard.basin_hole import Hole, hole_across, hole_area, hole_of
from drainwright.system.yard.basin_spot import basin_place, in_wedge
from drainwright.system.yard.wall_drains import endings, wall_drains

FOOT = 0.3048
LOT = ["-40 ft, -95 ft", "90 ft, -95 ft", "90 ft, 50 ft", "-40 ft, 50 ft"]


def job(wet: str = "south east", fall: float = 0.0, **changes: Any) -> dict[str, Any]:
    data = document(fall)
    for wall in data["house"]["walls"]:
        wall["wet"] = wall["name"] in wet.split()
    data["property"] = {"boundary": LOT}
    return data | changes


def drains(system: System) -> list[Any]:
    return [run for run in system.runs if run.duty == "footing drain"]


def depth_inside(site: Site, dug: Polygon, bottom: float) -> float:
    """How far a hole's bottom lies below what each footing's wedge allows, by the rule itself; positive is inside."""
    worst = -math.inf
    for wall in site.walls:
        away = LineString([wall.start, wall.end]).distance(dug)
        offset = max(away - wall.wall.footing_projection.value, 0.0)
        worst = max(worst, wall.footing_bottom - bottom - offset / site.job.criteria.bearing_slope)
    return worst


def drawn(seed: int) -> dict[str, Any]:
    """A lot that needs a basin: walls, footings, soil's slope, buried lines and trees by lot."""
    rng = random.Random(seed)
    names = rng.sample(["south", "east", "north", "west"], rng.choice([1, 2, 3, 4]))
    data = job(" ".join(names), rng.choice([-0.02, 0.0, 0.005]))
    for wall in data["house"]["walls"]:
        wall["footing_bottom"] = f"{97.0 - rng.choice([0.0, 0.0, 2.0, 4.0]):.2f} ft, measured"
    data["criteria"] = {"bearing_slope": rng.choice([1.0, 1.5, 2.0])}
    data["utilities"] = [
        {
            "name": kind,
            "kind": kind,
            "route": [f"{rng.uniform(-30, 80):.1f} ft, -90 ft", f"{rng.uniform(0, 40):.1f} ft, -1 ft"],
            "depth": "3 ft, measured",
        }
        for kind in ("gas", "water")
    ]
    data["trees"] = [
        {
            "name": "oak",
            "at": f"{rng.uniform(-30, 80):.1f} ft, {rng.uniform(-80, -10):.1f} ft",
            "trunk_diameter": "15 in",
        }
    ]
    data["roofs"][0]["area"] = f"{rng.choice([300, 900, 2500])} ft2, measured"
    return data


@pytest.mark.parametrize("seed", range(8))
def test_a_basin_is_proposed_clear_of_footings_and_buried_lines(seed: int) -> None:
    site, _, system = designed(drawn(seed))
    station = system.station
    assert station is not None
    hole = hole_of(site, station)
    assert hole.square  # a basement's: its sides want panels
    dug = hole_area(site, station.at, hole)
    assert depth_inside(site, dug, hole.bottom) <= 1e-6
    assert not Polygon(site.outline).intersects(dug)
    zone = site.job.rules.tolerance_zone.value
    for item in site.utilities:
        away = LineString(item.route).distance(dug)
        assert away >= item.utility.diameter / 2 + zone - 0.3  # a collar may make the hole wider
    assert Polygon(site.boundary).contains(dug)
    line = system.run(station.discharge_run)
    assert not LineString(line.route).intersects(Polygon(site.outline).buffer(-0.05))


def test_the_hole_is_that_of_the_digging() -> None:
    site, _, system = designed(job())
    station = system.station
    assert station is not None
    hole = hole_of(site, station)
    assert hole.square
    assert hole.across == pytest.approx(hole_across(station) + site.job.criteria.shield_panels)
    assert hole.bottom == pytest.approx(station.floor - 0.0064 - 4 * 0.0254)
    dug = next(cut for cut in trench.cuts(site, system) if cut.kind == "basin")
    assert dug.area.equals(hole_area(site, station.at, hole))


def test_a_deeper_hole_stands_farther_off() -> None:
    site, _, _ = designed(job())
    chains = [[wall for wall in site.walls if wall.wall.wet]]
    low = min(wall.footing_bottom for wall in site.walls)
    house = Polygon(site.outline)
    far = [
        house.distance(Point(basin_place(site, chains, hole=Hole(across=1.1, bottom=low - below, square=False))))
        for below in (0.3, 2.0, 3.5)
    ]
    assert far[0] < far[1] < far[2]
    assert far[2] >= 3.5 + 0.55 - 0.01


def test_a_first_guess_too_shallow_is_mended(monkeypatch: pytest.MonkeyPatch) -> None:
    """The basin as designed is deeper than was guessed: its place is sought anew, and the worksheet has it once."""
    from drainwright.water import inflows
    from drainwright.worksheet import worksheet

    site = survey(Job.model_validate(job()))
    water = inflows(site)
    monkeypatch.setattr(basin_spot, "SUNK", 0.0)
    with worksheet() as steps:
        system = layout.lay_out(site, water)
    assert system.station is not None
    assert not in_wedge(site, system.station.at, hole_of(site, system.station))
    monkeypatch.setattr(layout, "TRIES", 0)
    with worksheet() as once:
        shallow = layout.lay_out(site, water)
    assert shallow.station is not None
    assert in_wedge(site, shallow.station.at, hole_of(site, shallow.station))
    assert len(steps) <= 1.2 * len(once)


def test_a_drain_beside_three_walls_does_not_double_back() -> None:
    for wet in ("east north west", "north west south"):
        site, _, system = designed(job(wet))
        laid = [leg for run in drains(system) for leg in itertools.pairwise(run.route)]
        whole = sum(wall.length for wall in site.walls if wall.name in wet.split())
        assert {name for run in drains(system) for name in run.walls} == set(wet.split())
        strips = [LineString(leg).buffer(0.05, cap_style="flat") for leg in laid if distance(*leg) > 0.5]
        for one, other in itertools.combinations(strips, 2):
            assert one.intersection(other).area < 0.01  # no stretch of trench is gone twice
        assert sum(route_length(run.route) for run in drains(system)) < whole + 6.0
        assert all(max(bends(run.route), default=0.0) < math.radians(135.0) for run in drains(system))


def test_a_house_wet_all_round_drains_both_ways_from_the_far_corner() -> None:
    site, _, system = designed(job("south east north west"))
    found = drains(system)
    assert len(found) == 2
    longest = max(route_length(run.route) for run in found)
    around = sum(wall.length for wall in site.walls)
    assert longest < 0.62 * around
    heads = [run.route[0] for run in found]
    assert distance(*heads) < 1.0  # they start at one corner
    assert {name for run in found for name in run.walls} == {"south", "east", "north", "west"}


def test_drains_end_beside_their_walls_and_solid_pipe_goes_on() -> None:
    """Beyond the wall a trench with stone would lead the water along to where nothing takes it from the ground."""
    for wet in ("south", "south east", "south east north west", "east north west"):
        site, _, system = designed(job(wet))
        walls = {wall.name: LineString([wall.start, wall.end]) for wall in site.walls}
        for run in drains(system):
            off = max(min(walls[name].distance(Point(at)) for name in run.walls) for at in run.route)
            assert off < 0.45, (wet, run.name, off)  # 1 ft, and the mitre of a corner
        onward = [run for run in system.runs if run.upper in {drain.lower for drain in drains(system)}]
        assert [(run.duty, run.lower) for run in onward] == [("yard drain", "SUMP")]


def test_other_water_keeps_out_of_the_foot_of_drains_that_meet() -> None:
    for wet in ("south east north west", "south east"):
        _, _, system = designed(job(wet))
        feet = {run.lower for run in drains(system)} - {"SUMP"}
        others = [run for run in system.runs if run.duty in ("leader", "yard drain") and run.lower in feet]
        assert not others


def test_endings_turn_round_a_closed_chain_and_only_outer_corners_take_two_parts() -> None:
    site, _, _ = designed(job("south east north west"))
    found = endings(site.walls)
    assert {len(drain.parts) for drain in found} == {1, 2}
    assert all(sum(len(part) for part in drain.parts) == 4 for drain in found)
    goal = (20 * FOOT, -80 * FOOT)
    drain = wall_drains(site.walls, lambda at: distance(at, goal))
    assert len(drain.parts) == 2
    assert drain.at[1] < 0.0
    assert len(wall_drains(site.walls[:1], lambda at: distance(at, goal)).parts) == 1


def test_an_open_chain_can_end_at_each_of_its_corners_and_all_parts_run_to_it() -> None:
    site, _, _ = designed(job("south east north"))
    chain = [next(wall for wall in site.walls if wall.name == name) for name in ("south", "east", "north")]
    corners = [chain[0].start, chain[0].end, chain[1].end, chain[2].end]
    for walls in (chain, chain[::-1]):
        found = endings(walls)
        for corner in corners:
            assert sum(distance(drain.at, corner) < 0.5 for drain in found) == 1
        for drain in found:
            assert all(distance(route[-1], drain.at) < 1.0 < distance(route[0], drain.at) for route in drain.routes)
            for part in drain.parts:  # in the order of its water
                assert min(distance(drain.at, end) for end in (part[-1].start, part[-1].end)) < 0.5


def test_too_little_fall_makes_two_parts_of_a_long_drain() -> None:
    site, _, _ = designed(job("south east"))
    chain = [wall for wall in site.walls if wall.name in ("south", "east")]
    near_an_end = (-3.0, -1.0)

    def parts(room: float) -> int:
        return len(wall_drains(chain, lambda at: 2.0 * distance(at, near_an_end), room).parts)

    assert parts(math.inf) == 1
    assert parts(10.0) == 2


def test_a_leader_goes_round_the_roots_and_says_so() -> None:
    tree = {"name": "oak", "at": "20 ft, -40 ft", "trunk_diameter": "12 in"}
    data = job("south", 0.08, trees=[tree])
    _, _, bare = designed(data | {"trees": []})
    site, _, system = designed(data)
    middle = site.trees[0].at

    def through(one: System) -> float:
        roots = Point(middle).buffer(site.trees[0].root_radius - 0.3)
        return sum(LineString(run.route).intersection(roots).length for run in one.runs)

    assert through(bare) > 3.0
    assert through(system) < 0.3
    assert any(note.startswith("Proposed:") and "goes round the roots of the oak" in note for note in system.notes)


def test_no_map_is_made_where_nothing_is_proposed(monkeypatch: pytest.MonkeyPatch) -> None:
    from test_system_layout import GIVEN, LEADERS, with_basin

    data = with_basin(runs=GIVEN + LEADERS)

    def never(site: Site) -> None:
        raise AssertionError("the map was made")

    monkeypatch.setattr(layout, "yard_map", never)
    site = survey(Job.model_validate(json.loads(json.dumps(data))))
    from drainwright.water import inflows

    assert layout.lay_out(site, inflows(site)).station is not None


def test_the_job_s_place_for_a_basin_is_kept() -> None:
    data = job()
    data["works"]["basin_place"] = "-6 ft, -8 ft"
    _, _, system = designed(data)
    assert system.station is not None
    assert system.station.at == pytest.approx((-6 * FOOT, -8 * FOOT))


def test_neighbouring_walls_are_one_chain_in_whatever_order_they_come() -> None:
    for order in itertools.permutations(("south", "west", "north")):
        data = job("south west north")
        walls = {wall["name"]: wall for wall in data["house"]["walls"]}
        data["house"]["walls"] = [walls[name] for name in (*order, "east")]
        site = survey(Job.model_validate(data))
        from drainwright.system.gravity import drained_chains
        from drainwright.system.network import Network

        chains = drained_chains(site, Network(spots={}, lines=()))
        assert [[wall.name for wall in chain] for chain in chains] in (
            [["south", "west", "north"]],
            [["north", "west", "south"]],
        )


def test_walls_that_do_not_touch_are_two_chains() -> None:
    _, _, system = designed(job("south north"))
    assert sorted(run.walls for run in drains(system)) == [("north",), ("south",)]


def test_water_without_a_fall_of_its_own_joins_other_water_to_the_basin() -> None:
    """The leader at the far corner would else run beside that of the near one all the way."""
    _, _, system = designed(job("west south east"))
    assert system.run("L2").lower == "DS1"
    assert system.run("L1").lower == "SUMP"
