"""The lie of the land: slopes at walls, the doubt between shots, the next shots, ways on, and the whole of it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.field import survey
from drainwright.field.flow import Flow, Sink, lay_flow
from drainwright.field.ground_doubt import Doubt, doubt, roughness
from drainwright.field.ground_grid import lay_grid
from drainwright.field.low_spots import low_spots
from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.next_shots import next_shots
from drainwright.field.surface import Surface, triangulate
from drainwright.field.terrain import lie_of_the_land, path_from
from drainwright.field.terrain_model import Terrain
from drainwright.field.wall_slopes import REACH, wall_slopes
from drainwright.job.reading import read_job
from drainwright.job.values import Basis

Array = NDArray[np.float64]
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
HOUSE: tuple[Plan, ...] = ((0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0))
JOBS = ("block-wall-house/job", "sloping-lot/job", "wrong-choices/job", "wrong-choices/mended", "metric-basement/job")


@cache
def site_of(path: str) -> Site:
    return survey(read_job(EXAMPLES / f"{path}.yaml"))


def terrain_of(site: Site) -> Terrain:
    assert site.terrain is not None
    return site.terrain


def wall(name: str, start: Plan, end: Plan, outward: Plan) -> SiteWall:
    """As much of a wall line as its place needs."""
    given: dict[str, Any] = {
        "wall": SimpleNamespace(name=name), "start": start, "end": end, "outward": outward,
        "length": math.dist(start, end), "ground_start": 0.0, "ground_end": 0.0, "ground_lowest": 0.0,
        "ground_highest": 0.0, "footing_bottom": 0.0, "footing_top": 0.0,
    }  # fmt: skip
    return SiteWall(**given)


SOUTH = wall("south", (0.0, 0.0), (8.0, 0.0), (0.0, -1.0))
EAST = wall("east", (8.0, 0.0), (8.0, 6.0), (1.0, 0.0))


def plane(east: float, north: float, half: float = 20.0, house: tuple[Plan, ...] = HOUSE) -> Surface:
    """Ground that rises so much to the east and to the north; shots on a net of 2 m, and at the house's corners."""
    ticks = np.arange(-half, half + 0.1, 2.0)
    plan = [(float(e), float(n)) for e in ticks for n in ticks] + list(house)
    return triangulate([f"G{n}" for n in range(len(plan))], plan, [30.0 + east * e + north * n for e, n in plan], house)


# -- slopes at the walls ------------------------------------------------------------------------------------------


def test_a_plane_falls_from_each_wall_as_it_slopes() -> None:
    south, east = wall_slopes(plane(0.02, 0.05), (SOUTH, EAST), HOUSE)
    assert len(south.station) == 8
    assert south.station == pytest.approx(np.arange(8) + 0.5)
    assert south.run == pytest.approx([REACH] * 8)
    assert south.fall == pytest.approx([0.1524] * 8)  # 5 % over 10 ft is the 6 in of IRC R401.3
    assert south.least == pytest.approx(0.05)
    assert east.fall == pytest.approx([-0.02 * REACH] * 6)
    assert east.least == pytest.approx(-0.02)
    assert (south.basis, east.basis) == (Basis.MEASURED, Basis.MEASURED)


def test_a_boundary_and_another_wall_end_the_way() -> None:
    lot = ((-5.0, -2.0), (20.0, -2.0), (20.0, 20.0), (-5.0, 20.0))
    (south,) = wall_slopes(plane(0.0, 0.05), (SOUTH,), HOUSE, lot)
    assert south.run == pytest.approx([2.0] * 8)
    assert south.fall == pytest.approx([0.1] * 8)
    assert south.basis is Basis.MEASURED
    jog = ((0.0, 0.0), (8.0, 0.0), (8.0, -1.5), (12.0, -1.5), (12.0, 6.0), (0.0, 6.0))
    inner = wall("jog", (8.0, -1.5), (8.0, 0.0), (-1.0, 0.0))
    across = wall("across", (2.0, 0.0), (8.0, 0.0), (0.0, -1.0))
    found = wall_slopes(plane(0.0, 0.05, house=jog), (inner, across), jog)
    assert found[0].run == pytest.approx([REACH] * len(found[0].run))
    assert found[1].run == pytest.approx([REACH] * 6)
    narrow = ((0.0, 0.0), (8.0, 0.0), (8.0, -1.0), (0.0, -1.0), (0.0, -6.0), (12.0, -6.0), (12.0, 6.0), (0.0, 6.0))
    (gap,) = wall_slopes(plane(0.0, 0.05, house=narrow), (wall("gap", (1.0, 0.0), (7.0, 0.0), (0.0, -1.0)),), narrow)
    assert gap.run == pytest.approx([1.0] * 6)


def test_unknown_ground_is_not_made_up() -> None:
    """Shots end 1 m out from the wall, or at it: the way is as long as they reach, and marked."""
    plan = [(-4.0, -1.0), (12.0, -1.0), (-4.0, 12.0), (12.0, 12.0), *HOUSE]
    short = triangulate([f"G{n}" for n in range(8)], plan, [30.0 + 0.05 * n for _, n in plan], HOUSE)
    (south,) = wall_slopes(short, (SOUTH,), HOUSE)
    assert max(south.run) <= 1.0 + 1e-9
    assert min(south.run) > 0.8
    assert south.least == pytest.approx(0.05)
    assert south.basis is Basis.ASSUMED
    bare = triangulate([f"G{n}" for n in range(6)], plan[2:], [30.0] * 6, HOUSE)
    (south,) = wall_slopes(bare, (SOUTH,), HOUSE)
    assert south.run == (0.0,) * 8
    assert south.least == 0.0
    assert south.basis is Basis.ASSUMED


def test_ground_known_again_farther_out_does_not_bridge_a_gap() -> None:
    class Gap:
        names, plan = ("A", "B"), np.array(HOUSE[:2])

        def level(self, east: Array, north: Array) -> Array:
            return 30.0 + 0.05 * north + 0.0 * east

        def supported(self, east: Array, north: Array) -> NDArray[np.bool_]:
            return (north > -1.0) | (north < -2.0)

    surface: Any = Gap()
    (south,) = wall_slopes(surface, (SOUTH,), HOUSE)
    assert max(south.run) < 1.0
    assert south.least == pytest.approx(0.05)


# -- the doubt between shots --------------------------------------------------------------------------------------


def rough_ground(count: int, rough: float, seed: int) -> tuple[Array, Array]:
    """Shots on ground drawn with a linear variogram: rough² times the distance; and a plane under it."""
    rng = np.random.default_rng(seed)
    plan = rng.uniform(0.0, 30.0, (count, 2))
    apart = np.linalg.norm(plan[:, None] - plan, axis=2)
    covariance = rough**2 * (100.0 - apart)
    drawn = np.linalg.cholesky(covariance + 1e-12 * np.eye(count)) @ rng.normal(size=count)
    return plan, drawn + 0.03 * plan[:, 0] - 0.01 * plan[:, 1] + 30.0


def kriged(plan: Array, levels: Array, at: Array) -> tuple[float, float]:
    """Level and variance (per unit of the variogram) at one place, by solving the whole system: the long way."""
    count = len(plan)
    system = np.zeros((count + 3, count + 3))
    system[:count, :count] = np.linalg.norm(plan[:, None] - plan, axis=2)
    system[:count, count:] = np.column_stack([np.ones(count), plan])
    system[count:, :count] = system[:count, count:].T
    right = np.concatenate([np.linalg.norm(plan - at, axis=1), [1.0, *at]])
    weights = np.linalg.solve(system, right)
    return float(weights[:count] @ levels), float(weights @ right)


def test_every_miss_is_that_of_leaving_the_shot_out() -> None:
    plan, levels = rough_ground(25, 0.03, 1)
    squares = []
    for n in range(len(plan)):
        rest = np.arange(len(plan)) != n
        level, variance = kriged(plan[rest], levels[rest], plan[n])
        squares.append((levels[n] - level) ** 2 / variance)
    assert roughness(plan, levels) == pytest.approx(math.sqrt(np.mean(squares)), rel=1e-6)


def test_roughness_is_found_again_on_drawn_ground() -> None:
    found = [roughness(*rough_ground(120, 0.03, seed)) for seed in range(12)]
    assert np.mean(found) == pytest.approx(0.03, rel=0.05)
    assert np.std(found) < 0.005


def test_a_plane_is_not_rough() -> None:
    plan, _ = rough_ground(30, 0.03, 2)
    assert roughness(plan, 0.2 * plan[:, 0] + 7.0) < 1e-9
    with pytest.raises(InputError, match="expected 6"):
        roughness(plan[:5], plan[:5, 0])


def test_doubt_is_the_kriging_error_and_none_at_a_shot() -> None:
    plan, levels = rough_ground(30, 0.03, 3)
    at = np.array([[10.0, 10.0], [25.0, 3.0], plan[4]])
    found = doubt(plan, 0.03, at, 0.0).errors
    for n in (0, 1):
        assert found[n] == pytest.approx(0.03 * math.sqrt(kriged(plan, levels, at[n])[1]), rel=1e-9)
    assert found[2] < 1e-6
    # Two shots 2 m apart, all others far away: half way it is the roughness, times the root of 1 m.
    pair = np.array([[0.0, -1.0], [0.0, 1.0], *[(500.0 * math.cos(t), 500.0 * math.sin(t)) for t in np.arange(8.0)]])
    assert doubt(pair, 0.03, np.array([[0.0, 0.0]]), 0.0).errors[0] == pytest.approx(0.03, rel=0.01)


def test_doubt_with_one_more_shot_is_that_of_all_shots_together() -> None:
    plan, _ = rough_ground(30, 0.03, 4)
    at = np.array([[10.0, 10.0], [11.0, 12.0], [25.0, 3.0]])
    with_it = doubt(plan, 0.03, at, 0.0).with_shot(0).errors
    again = doubt(np.vstack([plan, at[:1]]), 0.03, at, 0.0).errors
    assert with_it == pytest.approx(again, abs=1e-7)
    read = doubt(plan, 0.03, at, 0.003).with_shot(0).errors
    assert 0.0028 < read[0] < 0.003  # a rod reading, bettered a little by what was known
    gains = doubt(plan, 0.03, at, 0.0).gains(np.ones(3))
    assert gains[0] == pytest.approx(float(np.sum(doubt(plan, 0.03, at, 0.0).errors - with_it)))
    assert Doubt(covariance=np.zeros((2, 2)), reading=0.0).with_shot(0).errors.tolist() == [0.0, 0.0]


def test_stated_errors_are_as_great_as_those_made() -> None:
    """On drawn ground: two thirds of true levels lie within one stated error, 95 % within two."""
    scores = []
    for seed in range(100):
        plan, levels = rough_ground(60, 0.03, 100 + seed)
        shots, kept = np.arange(60) < 45, np.arange(60) >= 45
        rough = roughness(plan[shots], levels[shots])
        errors = doubt(plan[shots], rough, plan[kept], 0.0).errors
        made = [levels[n] - kriged(plan[shots], levels[shots], plan[n])[0] for n in np.flatnonzero(kept)]
        scores.append(np.array(made) / errors)
    score = np.abs(np.concatenate(scores))
    assert (score < 1.0).mean() == pytest.approx(0.68, abs=0.04)
    assert (score < 2.0).mean() == pytest.approx(0.95, abs=0.02)


# -- the next shots -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", JOBS)
def test_next_shots_lie_on_the_lot_outside_the_house_and_tell_something(path: str) -> None:
    site = site_of(path)
    found = terrain_of(site).next_shots
    assert 0 < len(found) <= 8
    lot, house = shapely.Polygon(site.boundary).buffer(1e-3), shapely.Polygon(site.outline)
    for shot in found:
        assert lot.covers(shapely.Point(shot.at))
        assert not house.intersects(shapely.Point(shot.at))
        assert 0.0 < shot.after < shot.doubt
        assert shot.why.endswith(".")
        assert ("ft" in shot.why) == (site.job.units == "US") or "Nothing" in shot.why
    at = np.array([shot.at for shot in found])
    apart = np.linalg.norm(at[:, None] - at, axis=2) + 9.0 * np.eye(len(at))
    assert apart.min() > 1.0


def test_a_reading_that_stands_alone_comes_first() -> None:
    site = site_of("block-wall-house/job")
    first = terrain_of(site).next_shots[0]
    assert (first.bears_on, "low spot at E1" in first.why) == ("survey", True)
    low = next(spot for spot in terrain_of(site).low_spots if spot.name == "E1")
    assert not low.sure
    assert 0.5 < math.dist(first.at, low.at) < 2.0


def test_taking_the_proposed_shots_leaves_fewer_to_propose() -> None:
    """The shots are taken, each at the level of the surface: every proposal is gone, and none stands near one."""
    site = site_of("wrong-choices/job")
    taken = terrain_of(site).next_shots
    surface = site.surface
    names = [*surface.names, *(f"N{n}" for n in range(len(taken)))]
    plan = [(float(e), float(n)) for e, n in surface.plan] + [shot.at for shot in taken]
    levels = [*surface.levels.tolist(), *(surface.level(*shot.at) for shot in taken)]
    after = replace(site, terrain=None, surface=triangulate(names, plan, levels, site.outline))
    _, found = next_shots(after, terrain_of(site).low_spots, terrain_of(site).run_on)
    for shot in found:
        assert min(math.dist(shot.at, other.at) for other in taken) > 0.5


def test_ground_that_is_a_plane_or_hardly_shot_asks_for_nothing_by_doubt() -> None:
    site = replace(site_of("sloping-lot/job"), terrain=None, surface=plane(0.0, 0.05, 30.0))
    rough, found = next_shots(site, (), ())
    assert rough < 1e-9
    assert all("Nothing is measured" in shot.why or "at the foot of the" in shot.why for shot in found)
    few = triangulate("ABC", [(0.0, -9.0), (9.0, 0.0), (0.0, 20.0)], [1.0, 2.0, 3.0])
    assert next_shots(replace(site, surface=few), (), ()) == (0.0, ())


def test_the_foot_of_a_step_does_not_make_the_lot_rough() -> None:
    """A shot 20 cm from another and 60 cm lower (a wall's foot) tells of a step, not of the ground between shots."""
    site = replace(site_of("wrong-choices/job"), terrain=None)
    shots = site.surface
    plan = [(float(e), float(n)) for e, n in shots.plan]
    far = max(plan, key=lambda at: math.hypot(at[0] - 5.0, at[1] - 4.0))
    more = triangulate(
        [*shots.names, "FOOT"], [*plan, (far[0] + 0.2, far[1])],
        [*shots.levels.tolist(), shots.level(*far) - 0.6], site.outline,
    )  # fmt: skip
    before, _ = next_shots(site, (), ())
    after, _ = next_shots(replace(site, surface=more), (), ())
    assert after == pytest.approx(before, rel=0.05)


# -- ways on ------------------------------------------------------------------------------------------------------


def flowing(surface: Surface, house: tuple[Plan, ...], stays: tuple[Sink, ...] = ()) -> Flow:
    return lay_flow(lay_grid(surface, (), house, 0.5), stays)


WALLS = (("south", (0.0, 0.0), (8.0, 0.0)), ("north", (8.0, 6.0), (0.0, 6.0)))


def test_water_let_out_above_the_house_comes_back_to_its_wall() -> None:
    flow = flowing(plane(0.0, 0.04), HOUSE)  # falls south: the north wall is in the way
    back, away = (path_from(flow, at, "OUT", (), WALLS) for at in ((4.0, 12.0), (4.0, -4.0)))
    assert back is not None
    assert away is not None
    assert back.comes_back
    assert "north" in back.walls  # and round a corner, past the south wall's end
    assert back.path[0] == (4.0, 12.0)
    assert (away.comes_back, away.walls, away.kind) == (False, (), "beyond the shots")
    assert away.length == pytest.approx(16.0, abs=0.8)
    assert away.fall == pytest.approx(0.04 * 15.5, abs=0.03)


def test_a_way_that_begins_at_a_wall_and_leaves_it_does_not_come_back() -> None:
    way = path_from(flowing(plane(0.0, 0.04), HOUSE), (4.0, -0.3), "OUT", (), WALLS)
    assert way is not None
    assert (way.comes_back, way.walls) == (False, ())


def test_water_that_ends_at_an_inlet_or_in_a_low_spot_at_a_wall_comes_back() -> None:
    surface = plane(0.0, 0.04)
    grid = lay_grid(surface, (), HOUSE, 0.5)
    cell = grid.number((15.25, -5.25), 0.0)
    assert cell is not None
    inlet = lay_flow(grid, [Sink(kind="inlet", name="CB1", cells=(cell,))])
    way = path_from(inlet, (15.25, 6.0), "OUT")
    assert way is not None
    assert (way.kind, way.to, way.comes_back) == ("inlet", "CB1", True)
    low = replace(site_low_spot(), name="low spot 1", walls=("south",))
    stays = lay_flow(grid, [Sink(kind="low spot", name="low spot 1", cells=(cell,))])
    way = path_from(stays, (15.25, 6.0), "OUT", (low,))
    assert way is not None
    assert (way.kind, way.comes_back, way.walls) == ("low spot", True, ("south",))
    way = path_from(stays, (15.25, 6.0), "OUT", (replace(low, walls=()),))
    assert way is not None
    assert not way.comes_back
    assert path_from(stays, (500.0, 0.0), "OUT") is None


def site_low_spot() -> Any:
    return terrain_of(site_of("block-wall-house/job")).low_spots[0]


# -- the whole ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", JOBS)
def test_areas_of_each_example_add_up_to_its_lot(path: str) -> None:
    site = site_of(path)
    land = terrain_of(site)
    lot, house = shapely.Polygon(site.boundary), shapely.Polygon(site.outline)
    assert land.lot_area == pytest.approx(lot.area)
    assert land.house_area == pytest.approx(lot.intersection(house).area)
    for drained in (land.drained, land.drained_dry):
        assert sum(area.area for area in drained) == pytest.approx(lot.difference(house).area, abs=1e-6)
    assert land.bounded
    outside = lot.difference(shapely.MultiPoint(site.surface.plan).convex_hull.buffer(1.0, join_style="mitre"))
    assert land.bare == pytest.approx(outside.area, rel=0.1, abs=5.0)
    assert land.contours
    assert {slope.wall for slope in land.wall_slopes} == {wall.name for wall in site.walls}
    assert land.area_to("CB1") is not None
    assert land.area_to("nowhere") is None


def test_low_spots_without_an_inlet_keep_their_water_when_dry() -> None:
    """In the job of wrong choices G6 lies low; without the inlet W1 does too."""
    site = site_of("wrong-choices/job")
    land = terrain_of(site)
    full, dry = ({(item.kind, item.to) for item in each} for each in (land.drained, land.drained_dry))
    assert ("low spot", "G6") in dry - full
    works = site.job.works.model_copy(update={"inlets": ()})
    bare = lie_of_the_land(replace(site, terrain=None, job=site.job.model_copy(update={"works": works})))
    kept = next(item for item in bare.drained_dry if item.to == "W1")
    assert kept.kind == "low spot"
    assert kept.area == pytest.approx(next(item.area for item in land.drained if item.to == "CB1"), rel=0.1)


def test_without_a_boundary_the_lot_is_the_ground_of_the_shots() -> None:
    site = site_of("block-wall-house/job")
    land = lie_of_the_land(replace(site, terrain=None, boundary=()))
    hull = shapely.MultiPoint(site.surface.plan).convex_hull
    assert not land.bounded
    assert land.lot_area == pytest.approx(hull.area)
    assert sum(item.area for item in land.drained) == pytest.approx(hull.area - land.house_area, abs=1e-6)
    assert (land.run_on, land.run_off) == ((), ())
    assert any("No boundary" in note for note in land.notes)


def test_a_lot_that_the_shots_miss_is_said_to_be_unknown() -> None:
    site = replace(site_of("block-wall-house/job"), terrain=None)
    for lot in (((500.0, 500.0), (530.0, 500.0), (530.0, 530.0)), ((-4e3, -4e3), (4e3, -4e3), (4e3, 4e3), (-4e3, 4e3))):
        land = lie_of_the_land(replace(site, boundary=lot))
        whole = shapely.Polygon(lot).difference(shapely.Polygon(site.outline)).area
        assert sum(item.area for item in land.drained) == pytest.approx(whole, rel=1e-9)
        assert land.cell < 1.0
        assert any("beyond the shots" in note for note in land.notes)


def test_low_spots_of_the_terrain_are_those_of_the_ground() -> None:
    site = site_of("block-wall-house/job")
    inlets = {name: (site.points[at].east, site.points[at].north) for name, at in (("CB1", "W1"), ("CB2", "E1"))}
    assert terrain_of(site).low_spots == low_spots(site.surface, site.walls, inlets)
    ends = {spot.inlet: spot.name for spot in terrain_of(site).low_spots}
    assert ends == {"CB1": "W1", "CB2": "E1"}


def test_a_low_spot_that_spills_at_a_corner_of_the_house_touches_both_walls_there() -> None:
    """The sloping lot's water at CB1 runs over just at corner C, where the east and the north wall meet."""
    site = site_of("sloping-lot/job")
    corner = site.points["C"]
    (spot,) = terrain_of(site).low_spots
    assert math.dist(spot.spill_at, (corner.east, corner.north)) < 0.05
    assert spot.walls == ("east", "north")
