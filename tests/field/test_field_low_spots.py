"""Low spots against closed forms: the errors fall with the square of the distance between shots."""

from __future__ import annotations

import dataclasses
import itertools
import math

import ground_shapes as shapes
import numpy as np
import pytest
import shapely
from ground_shapes import BOTTOM, DEPTH, RADIUS, SHIFT, SILL, TOP, WAVE, WELL, Ground, on_grid, on_rings
from hypothesis import given
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.field.low_spots import low_spots, outermost
from drainwright.field.surface import Surface, triangulate
from drainwright.field.terrain_model import LowSpot
from drainwright.job.ground_files import Breakline


def polygon(spot: LowSpot) -> shapely.Polygon:
    return shapely.Polygon(spot.rings[0], spot.rings[1:])


def only(spots: tuple[LowSpot, ...]) -> LowSpot:
    (spot,) = spots
    return spot


ROUND: dict[str, tuple[Ground, float]] = {  # each with its volume
    "inverted cone": (shapes.inverted_cone, math.pi * RADIUS**2 * DEPTH / 3),
    "paraboloid": (shapes.paraboloid, math.pi * RADIUS**2 * DEPTH / 2),
    "sphere cap": (shapes.sphere_cap, math.pi * DEPTH**2 * (3 * shapes.SPHERE - DEPTH) / 3),
}


@pytest.mark.parametrize("name", ROUND)
def test_round_bowls_converge_with_the_square_of_the_shots_distance(name: str) -> None:
    """Depth and spill level are shots', so exact; area and volume are within 13 % and 21 % at 8 shots a ring, and
    a quarter of that with each doubling."""
    ground, volume = ROUND[name]
    errors = []
    for fineness in (1, 2, 4):
        spot = only(low_spots(on_rings(ground, fineness)))
        assert spot.depth == pytest.approx(DEPTH, abs=1e-9)
        assert spot.spill_level == pytest.approx(DEPTH + SHIFT[2])
        assert spot.at == pytest.approx(SHIFT[:2])
        assert math.dist(spot.spill_at, SHIFT[:2]) == pytest.approx(RADIUS)
        assert spot.sure
        assert spot.why_unsure == ""
        errors.append((spot.area / (math.pi * RADIUS**2) - 1, spot.volume / volume - 1))
    for coarse, fine in itertools.pairwise(errors):
        assert abs(coarse[0]) < 0.13
        assert abs(coarse[1]) < 0.21
        assert fine[0] / coarse[0] == pytest.approx(0.25, abs=0.02)
        assert fine[1] / coarse[1] == pytest.approx(0.25, abs=0.03)


@pytest.mark.parametrize("ground", [shapes.plane, shapes.cone, shapes.saddle, shapes.ridge])
@pytest.mark.parametrize("fineness", [1, 3])
def test_plane_cone_saddle_and_ridge_hold_no_water(ground: Ground, fineness: int) -> None:
    assert low_spots(on_grid(ground, fineness), least_depth=0.0, least_area=0.0) == ()


def test_a_pit_with_plane_sides_is_exact_from_its_corners_alone() -> None:
    """Twelve shots: floor, mouth and toe. Area and volume at every level are the pyramid's (frustum) to rounding."""
    half = np.array([BOTTOM / 2, TOP / 2, 5.0])
    east = np.concatenate([half, half, -half, -half])
    north = np.concatenate([half, -half, half, -half])
    spot = only(low_spots(shapes.shot(east, north, shapes.pyramid_pit)))
    assert (spot.depth, spot.area) == pytest.approx((DEPTH, TOP**2))
    assert spot.volume == pytest.approx(DEPTH / 3 * (BOTTOM**2 + BOTTOM * TOP + TOP**2))
    height = np.array(spot.curve.level) - spot.bottom
    side = BOTTOM + (TOP - BOTTOM) * height / DEPTH
    assert spot.curve.area == pytest.approx(side**2)
    assert spot.curve.volume == pytest.approx(height / 3 * (BOTTOM**2 + BOTTOM * side + side**2))
    mouth = shapely.box(SHIFT[0] - TOP / 2, SHIFT[1] - TOP / 2, SHIFT[0] + TOP / 2, SHIFT[1] + TOP / 2)
    assert polygon(spot).symmetric_difference(mouth).area < 1e-9


def test_two_bowls_with_a_sill() -> None:
    """Each bowl to its sill by closed form (the edge is Gerono's lemniscate), and both as one to the survey's rim."""
    reach = math.sqrt(2.0) * WELL
    ratio = 0.01 / shapes.ACROSS
    lobe = 2.0 / 3.0 * math.sqrt(ratio) * reach**3
    water = 4.0 / 3.0 * shapes.ACROSS * ratio**1.5 * 2.0 / 35.0 * reach**7
    errors = []
    for fineness in (2, 4, 8):
        spots = low_spots(on_grid(shapes.two_bowls, fineness))
        assert len(spots) == 3
        whole, *parts = spots
        assert outermost(spots) == (whole,)
        assert whole.spill_level == pytest.approx(shapes.two_bowls(np.array(2.0), np.array(4.0)) + SHIFT[2])
        assert whole.why_unsure.startswith("It spills at the edge of the surveyed ground")
        assert {spot.at[0] for spot in parts} == {SHIFT[0] - WELL, SHIFT[0] + WELL}
        for part in parts:
            assert part.spill_at == pytest.approx(SHIFT[:2])
            assert part.spill_level == pytest.approx(SHIFT[2] + SILL)
            assert part.depth == pytest.approx(SILL)
            assert part.sure
        errors.append([abs(parts[0].area / lobe - 1), abs(parts[0].volume / water - 1)])
        assert parts[0].area == pytest.approx(parts[1].area)
    assert errors[0] < [0.12, 0.25]
    for coarse, fine in itertools.pairwise(errors):
        assert fine[0] < 0.4 * coarse[0]
        assert fine[1] < 0.35 * coarse[1]


def test_sine_field() -> None:
    """Half of 16 squares are hollows, bounded by level lines: area L², volume A L² (2/π)².

    A triangle in a square's corner may have all three shots on the level lines: it is level ground, not water.
    """
    errors = []
    for fineness in (2, 4, 8):
        spots = low_spots(on_grid(shapes.sine_field, fineness))
        assert len(spots) == 8
        for spot in spots:
            assert (spot.depth, spot.spill_level) == pytest.approx((0.1, SHIFT[2]))
            assert WAVE**2 - 2.0 / fineness**2 - 1e-9 <= spot.area <= WAVE**2 + 1e-9
        volumes = [spot.volume for spot in spots]
        assert volumes == pytest.approx([volumes[0]] * 8, rel=0.6 / fineness**2)
        errors.append(sum(volumes) / (8 * 0.1 * WAVE**2 * (2 / math.pi) ** 2) - 1)
    assert abs(errors[0]) < 0.12
    assert abs(errors[1]) < 0.35 * abs(errors[0])
    assert abs(errors[2]) < 0.35 * abs(errors[1])


def test_a_moat_has_an_island() -> None:
    """Water between two circles; by Pappus the area is 2π r 2w and the volume 2π r (4/3) d w."""
    middle, half = 3.0, 1.0

    def moat(east: np.ndarray, north: np.ndarray) -> np.ndarray:
        off = np.hypot(east, north) - middle
        return np.where(off <= half, DEPTH * off**2 / half**2, DEPTH - 0.2 * (off - half))

    errors = []
    for fineness in (2, 4):
        spots = low_spots(on_rings(moat, fineness))
        spot = outermost(spots)[0]
        assert len(spot.rings) == 2
        assert polygon(spot).area == pytest.approx(spot.area)
        errors.append(
            (spot.area / (4 * math.pi * middle * half) - 1, spot.volume / (8 / 3 * math.pi * middle * half * DEPTH) - 1)
        )
    assert abs(errors[0][0]) < 0.05
    assert abs(errors[0][1]) < 0.15
    assert errors[1] == pytest.approx(np.array(errors[0]) / 4, rel=0.2)


HOUSE = ((0.0, -3.0), (0.0, 3.0), (-8.0, 3.0), (-8.0, -3.0))


def against_a_wall() -> Surface:
    """Ground that falls to the middle of a 6 m wall, 1:15 along it and 1:25 towards it; west of it, away."""
    places = [
        (0.0, 0.0),
        *HOUSE,
        (10.0, 0.0),
        (10.0, 12.0),
        (10.0, -12.0),
        (-20.0, 12.0),
        (-20.0, -12.0),
        (4.0, 2.0),
        (4.0, -2.0),
    ]

    def level(east: float, north: float) -> float:
        return 30.0 + abs(north) / 15.0 + max(east, 0.0) / 25.0 + 0.1 * min(east, 0.0)

    swale = Breakline(name="swale", kind="swale", points=("W0", "W5"))
    return triangulate([f"W{n}" for n in range(len(places))], places, [level(*at) for at in places], HOUSE, [swale])


def test_water_stands_against_a_wall() -> None:
    """A pyramid: spill over the wall's ends, 0.2 m over its middle; area W h/s / 2, volume h³ / (3 s t).

    The walls round both corners are touched too, at one point each; the one behind the house is not."""
    from drainwright.field.model import SiteWall
    from drainwright.job.site import Wall

    walls = []
    for name, start, end in (
        ("east", HOUSE[0], HOUSE[1]),
        ("north", HOUSE[1], HOUSE[2]),
        ("south", HOUSE[3], HOUSE[0]),
        ("west", HOUSE[2], HOUSE[3]),
        ("near-4cm", (5.04, -1.0), (5.04, 1.0)),
        ("near-6cm", (5.06, -1.0), (5.06, 1.0)),
    ):
        wall = Wall.model_validate({"name": name, "from": "A", "to": "B", "footing_bottom": "1 m below A"})
        walls.append(
            SiteWall(wall=wall, start=start, end=end, outward=(1.0, 0.0), length=6.0, ground_start=30.0,
                     ground_end=30.0, ground_lowest=30.0, ground_highest=30.0, footing_bottom=29.0, footing_top=29.2)
        )  # fmt: skip
    spot = only(low_spots(against_a_wall(), walls, {"CB": (0.3, 0.2), "CB2": (1.5, 0.0), "FAR": (9.0, 0.0)}))
    assert spot.walls == ("east", "north", "south", "near-4cm")
    assert spot.inlet == "CB"  # of the two that stand in it, the one nearer its bottom
    assert spot.name == "W0"
    assert (spot.depth, spot.area, spot.volume) == pytest.approx((0.2, 6.0 * 5.0 / 2, 0.2**3 * 15 * 25 / 3))
    corner = shapely.Polygon([(0.0, -3.0), (5.0, 0.0), (0.0, 3.0)])
    assert polygon(spot).symmetric_difference(corner).area < 1e-9
    assert not spot.sure
    assert "Only one shot, W0, lies lower" in spot.why_unsure


def test_the_house_is_no_way_out_and_no_part_of_the_water() -> None:
    """The same ground without the house would run away to the west."""
    whole = against_a_wall()
    open_ground = triangulate(whole.names, [tuple(at) for at in whole.plan.tolist()], whole.levels.tolist())
    assert low_spots(open_ground) == ()
    assert polygon(only(low_spots(whole))).intersection(shapely.Polygon(HOUSE)).area < 1e-9


def test_a_house_in_the_water_is_an_island() -> None:
    house = [(-1.5, -1.0), (1.5, -1.0), (1.5, 1.0), (-1.5, 1.0)]
    bowl = on_rings(shapes.paraboloid, 4)
    corners = np.array(house)
    surface = triangulate(
        [*bowl.names, *"ABCD"],
        [*map(tuple, bowl.plan - SHIFT[:2]), *house],
        [*bowl.levels, *(shapes.paraboloid(*corners.T) + SHIFT[2])],
        house,
    )
    spot = outermost(low_spots(surface))[0]
    assert len(spot.rings) == 2
    assert polygon(spot).area == pytest.approx(spot.area)
    assert shapely.Polygon(spot.rings[1]).equals_exact(shapely.Polygon(house).normalize(), 0.01) or shapely.Polygon(
        spot.rings[1]
    ).symmetric_difference(shapely.Polygon(house)).area == pytest.approx(0.0, abs=0.02)
    assert spot.area == pytest.approx(math.pi * RADIUS**2 - 6.0, rel=0.02)


@given(st.integers(0, 10_000))
def test_the_stage_curve_against_a_sum_over_small_squares(seed: int) -> None:
    """Rough ground: area and volume at three levels against 5 cm squares; and the rings against the full area."""
    rng = np.random.default_rng(seed)
    at = rng.uniform(0.0, 8.0, (40, 2))
    edge = np.array([(e, n) for e in (0.0, 4.0, 8.0) for n in (0.0, 4.0, 8.0) if (e, n) != (4.0, 4.0)])
    places = np.vstack([at, edge])
    levels = np.concatenate([np.round(rng.normal(30.0, 0.1, 40), 2), np.full(8, 30.2)])
    surface = triangulate([f"R{n}" for n in range(48)], [tuple(one) for one in places.tolist()], levels.tolist())
    step = 0.05
    marks = np.arange(step / 2, 8.0, step)
    east, north = (one.ravel() for one in np.meshgrid(marks, marks))
    ground = surface.level(east, north)
    for spot in low_spots(surface):
        shape = polygon(spot)
        assert shape.is_valid
        assert shape.area == pytest.approx(spot.area, rel=1e-9)
        assert (spot.curve.area[-1], spot.curve.volume[-1]) == pytest.approx((spot.area, spot.volume))
        within = shapely.contains_xy(shape, east, north)
        assert (ground[within] < spot.spill_level + 1e-9).all()
        for number in (7, 14, 20):
            depth = np.where(within, spot.curve.level[number] - ground, 0.0)
            assert spot.curve.area[number] == pytest.approx((depth > 0).sum() * step**2, abs=0.05 * shape.length)
            assert spot.curve.volume[number] == pytest.approx(
                np.maximum(depth, 0).sum() * step**2, abs=0.01 + 2e-3 * shape.length
            )
        assert list(spot.curve.area) == sorted(spot.curve.area)
        assert list(spot.curve.volume) == sorted(spot.curve.volume)


def bowl_shots() -> tuple[list[str], list[tuple[float, float]], list[float]]:
    bowl = on_rings(shapes.paraboloid, 1)
    return list(bowl.names), [tuple(at) for at in bowl.plan.tolist()], bowl.levels.tolist()


def test_a_lone_low_shot_is_not_sure() -> None:
    flat = on_grid(shapes.plane, 1)
    levels = flat.levels.copy()
    levels[40] -= 0.3  # a slip of the rod at the middle
    spot = only(low_spots(dataclasses.replace(flat, levels=levels)))
    assert not spot.sure
    assert spot.why_unsure == "Only one shot, G40, lies lower than its edge: a slip of the rod would look the same."
    levels[41] -= 0.2
    assert only(low_spots(dataclasses.replace(flat, levels=levels))).sure


def test_a_low_spot_between_distant_shots_is_not_sure() -> None:
    names, plan, levels = bowl_shots()
    wide = triangulate(names, [(4.0 * e, 4.0 * n) for e, n in plan], levels)
    spot = only(low_spots(wide))
    assert not spot.sure
    assert "No shot stands near its edge on the" in spot.why_unsure


@pytest.mark.parametrize(("turn", "side"), [(0.0, "east"), (math.pi / 2, "north"), (-3 * math.pi / 4, "south-west")])
def test_it_says_on_which_side_a_shot_is_missing(turn: float, side: str) -> None:
    """A wide bowl, without shots on one side but for one far off and high."""
    bowl = on_rings(shapes.paraboloid, 4)
    plan = 2.5 * (bowl.plan - SHIFT[:2])
    towards = plan @ [math.cos(turn), math.sin(turn)]
    kept = (towards < 0.5 * np.hypot(*plan.T)) | (np.hypot(*plan.T) < 2.0)
    places = [*map(tuple, plan[kept].tolist()), (40.0 * math.cos(turn), 40.0 * math.sin(turn))]
    levels = [*bowl.levels[kept].tolist(), SHIFT[2] + 2.6]
    spot = only(low_spots(triangulate([f"G{n}" for n in range(len(places))], places, levels)))
    assert f"on the {side} side" in spot.why_unsure


def test_limits_leave_out_what_is_shallow_or_small() -> None:
    surface = on_rings(shapes.paraboloid, 2)
    assert low_spots(surface, least_depth=DEPTH + 0.01) == ()
    assert low_spots(surface, least_area=math.pi * RADIUS**2) == ()
    assert len(low_spots(surface, least_depth=DEPTH - 0.01, least_area=40.0)) == 1
    with pytest.raises(InputError, match="least_depth"):
        low_spots(surface, least_depth=-1.0)
    with pytest.raises(InputError, match="least_area"):
        low_spots(surface, least_area=math.nan)


def test_names_are_told_apart_and_the_deepest_comes_first() -> None:
    spots = low_spots(on_grid(lambda e, n: shapes.two_bowls(e, n) + 0.01 * e, 4))
    assert [spot.depth for spot in spots] == sorted((spot.depth for spot in spots), reverse=True)
    assert len({spot.name for spot in spots}) == len(spots) == 3
    assert spots[1].name == f"{spots[0].name} lower part"
    unnamed = dataclasses.replace(on_rings(shapes.paraboloid, 2), names=("", *(f"G{n}" for n in range(1, 193))))
    assert only(low_spots(unnamed)).name == "low spot 1"


def test_three_hollows_that_meet_at_one_level_are_three() -> None:
    """A sill of one level all along joins three bowls at once: each is told once, none with another's water."""

    def three(east: np.ndarray, north: np.ndarray) -> np.ndarray:
        hollow = (
            -0.2
            * np.sin(math.pi * np.clip(east, -3.0, 3.0) / 2.0 + math.pi / 2) ** 2
            * np.cos(math.pi * np.clip(north, -1.0, 1.0) / 2)
        )
        rim = np.maximum(np.abs(east) - 3.0, 0.0) + np.maximum(np.abs(north) - 1.0, 0.0)
        return np.round(hollow + 0.1 * np.minimum(rim, 0.5), 12)

    spots = low_spots(on_grid(three, 4))
    parts = [spot for spot in spots if spot not in outermost(spots)]
    assert len(outermost(spots)) == 1
    assert len(parts) == 3
    for one, other in itertools.combinations(parts, 2):
        assert polygon(one).intersection(polygon(other)).area < 1e-9
    for part in parts:
        assert polygon(part).area == pytest.approx(part.area)


def test_the_same_ground_gives_the_same_answer_wherever_it_lies() -> None:
    here = low_spots(on_grid(shapes.two_bowls, 3))
    surface = on_grid(shapes.two_bowls, 3)
    far = low_spots(
        triangulate(
            surface.names, [(e + 5e5, n + 4e6) for e, n in surface.plan.tolist()], (surface.levels - 90.0).tolist()
        )
    )
    assert low_spots(on_grid(shapes.two_bowls, 3)) == here
    for one, other in zip(here, far, strict=True):
        assert (one.name, one.sure) == (other.name, other.sure)
        assert (other.depth, other.area, other.volume) == pytest.approx((one.depth, one.area, one.volume), rel=1e-6)
        assert other.bottom == pytest.approx(one.bottom - 90.0)


def test_no_ground_but_the_house_holds_nothing() -> None:
    surface = triangulate("ABCD", [(0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0)], [30.0] * 4,
                          [(0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0)])  # fmt: skip
    assert len(surface.triangles) == 0
    assert low_spots(surface) == ()


def test_places_put_in_along_a_line_are_no_shots() -> None:
    """A swale of two shots, of which one lies lower than the edge: the places between them do not make it sure."""
    flat = [(float(e), float(n)) for e in range(0, 24, 4) for n in range(0, 24, 4)]
    places = [*flat, (10.0, 9.0), (10.0, 15.0)]
    levels = [*([30.0] * len(flat)), 29.8, 30.0]
    names = [f"F{n}" for n in range(len(places))]
    swale = Breakline(name="swale", points=("F36", "F37"))
    spot = only(low_spots(triangulate(names, places, levels, (), [swale])))
    assert "Only one shot, F36," in spot.why_unsure
