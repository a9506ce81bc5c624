"""The grading's optimum against brute force, its proof, and against lines laid by hand."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection
from dataclasses import replace

import numpy as np
import pytest
from benchmarks.hand_layout import hand_layout
from grading_lots import DRILLED, JUNCTION, SIZES, SOLID, Lot, broken, head, random_lot, shell, slope_for, top_of
from scipy.optimize import linprog

from drainwright.system.grading.costs import (
    BASIN_BELOW,
    BASIN_DEPTH,
    BASIN_SHORING,
    CLEARANCE_WORTH,
    DIG_RATES,
    DRAIN_WORTH,
    EXCAVATION,
    KNOWN_WORTH,
    SHORING,
    STONE,
    cost_stations,
    dig_cost,
    grading_cost,
    pipe_cost,
)
from drainwright.system.grading.model import Obstacle
from drainwright.system.grading.solve import GravityLine, Meeting, grade_lines
from drainwright.system.model import Pipe


def small_lot(seed: int) -> Lot:
    """Three lines to a basin: a drain or a grate, a plain line, their common line; a buried line or two; deep here."""
    rng = np.random.default_rng(seed)
    depth = float(rng.choice([0.0, 1.2, 2.6]))  # the common line is held so deep that shoring and slow digging count

    def line(name: str, upper: str, lower: str, height: float, **more: object) -> GravityLine:
        length = float(rng.uniform(4.0, 12.0))
        distances = (0.0, length * 0.4, length)
        grounds = (height + 0.15, height + float(rng.uniform(0.11, 0.2)), height)  # no straight line
        figures: dict[str, object] = {
            "pipes": (SOLID[0], SOLID[1], SOLID[2]), "flow": float(rng.uniform(0.001, 0.006)),
        }  # fmt: skip
        return GravityLine(
            name=name, upper=upper, lower=lower, distances=distances, grounds=grounds, covered=(True,) * 3,
            minimum_grade=0.01, least_grade=0.005, maximum_fill=0.8, cover=0.2, width=0.6, entry=JUNCTION,
            soil=("loose", "firm", "clay")[seed % 3],  # type: ignore[arg-type]
            care=(1.0, 1.75), **(figures | more),  # type: ignore[arg-type]
        )  # fmt: skip

    buried = Obstacle(
        name="U", diameter=0.05, places=((2.0, 10.1 - float(rng.uniform(0.3, 0.8))),), least=0.05, known=0.1, wanted=0.3
    )
    drain = rng.random() < 0.5
    more: dict[str, object] = {"obstacles": (buried,)}
    if drain:
        more = {"pipes": DRILLED, "flow": 0.0005, "bed": 0.05, "bottoms": (9.1, 9.1, None), "deep": (True,) * 3,
                "ceiling": 9.7, "stone_over": 0.15, "obstacles": ()}  # fmt: skip
    lines = (
        line("A", "N1", "J", 10.1, **more),
        line("B", "N2", "J", 10.1),
        line("C", "J", "SUMP", 10.0, to_basin=True, flow=float(rng.uniform(0.004, 0.012)),
             obstacles=(replace(buried, name="V"),), invert_upper=9.9 - depth if depth else None),
    )  # fmt: skip
    meetings = (
        Meeting(name="J", body=seed % 2 == 0, drop=0.0254 if seed % 2 == 0 else 0.0, brim=9.95, freeboard=0.05),
        Meeting(name="SUMP", basin=True, rim=10.05, lowest=9.0 if seed % 5 == 0 and not depth else None),
    )
    return Lot(lines, meetings)


def steps(line: GravityLine) -> list[tuple[float, float]]:
    """Thickness of each digging layer and its price a metre of trench, from the table of rates."""
    loose, deep, deepest = DIG_RATES[line.soil]
    base = line.width * EXCAVATION * 0.57
    return [(1.524, base / loose), (1.524, base / deep + SHORING), (math.inf, base / deepest + SHORING)]


def brute(lot: Lot, kept: Collection[str] = ()) -> float:
    """Least cost over every choice of pipes and of above or below, inverts by linprog, rows written out here.

    Of buried lines in ``kept`` the whole gap is kept, not only at a price.
    """
    best = math.inf
    hidden = [(line, item) for line in lot.lines for item in line.obstacles]
    for pipes in itertools.product(*(line.pipes for line in lot.lines)):
        for overs in itertools.product((True, False), repeat=len(hidden)):
            cost = _priced(lot, dict(zip((line.name for line in lot.lines), pipes, strict=True)), hidden, overs, kept)
            best = min(best, cost)
    return best


def _priced(lot: Lot, pipes: dict[str, Pipe], hidden: list[tuple[GravityLine, Obstacle]],
            overs: tuple[bool, ...], kept: Collection[str]) -> float:  # fmt: skip
    for a, b in itertools.product(lot.lines, lot.lines):
        if a.lower == b.upper and SIZES[pipes[b.name].nominal] < SIZES[pipes[a.name].nominal]:
            return math.inf
    cost: list[float] = []
    bounds: list[tuple[float | None, float | None]] = []
    rows: list[dict[int, float]] = []
    most: list[float] = []
    fixed = 0.0

    def new(price: float, low: float | None = None, high: float | None = None) -> int:
        cost.append(price)
        bounds.append((low, high))
        return len(cost) - 1

    def under(terms: dict[int, float], level: float) -> None:
        rows.append(terms)
        most.append(level)

    z = {line.name: (new(0.0), new(0.0)) for line in lot.lines}
    for line in lot.lines:
        pipe, (hi, lo), length = pipes[line.name], z[line.name], line.distances[-1]
        if line.invert_upper is not None:
            bounds[hi] = (line.invert_upper, line.invert_upper)
        stone = 0.0
        if line.bed and pipe.perforated:
            stone = STONE * (line.width * (line.bed + pipe.outside + line.stone_over) - math.pi / 4 * pipe.outside**2)
        fixed += (pipe_cost(pipe) + stone) * length
        needed = max(line.minimum_grade, slope_for(line.flow, pipe, line.maximum_fill)) * length
        under({hi: -1.0, lo: 1.0}, -needed)
        if line.ceiling is not None:
            under({hi: 1.0}, line.ceiling)
        for i, (d, ground) in enumerate(zip(line.distances, line.grounds, strict=True)):
            s = d / length
            at = {hi: 1.0 - s, lo: s}
            under(at, ground - line.cover - top_of(pipe))
            left = 0.0 if i == 0 else (d - line.distances[i - 1]) * line.care[i - 1] / 2.0
            right = 0.0 if i + 1 == len(line.grounds) else (line.distances[i + 1] - d) * line.care[i] / 2.0
            layers = [new((left + right) * price, 0.0, thick) for thick, price in steps(line)]
            dug = ground + shell(pipe) + line.bed
            under({**dict.fromkeys(layers, -1.0), hi: s - 1.0, lo: -s}, -dug)
            bottom = line.bottoms[i] if line.bottoms else None
            if bottom is not None:
                under({hi: s - 1.0, lo: -s}, -(bottom + line.bed + shell(pipe)))
                worth = DRAIN_WORTH * length / (len(line.distances) - 1)
                cost[hi] += worth * (1.0 - s)
                cost[lo] += worth * s
                fixed -= worth * bottom
        place = lot.meeting(line.upper)
        if place is not None and place.brim is not None:
            under({hi: 1.0}, place.brim - head(line, pipe))
        if line.to_basin:
            basin = lot.meeting(line.lower)
            assert basin is not None
            assert basin.rim is not None
            cost[lo] -= BASIN_DEPTH
            fixed += BASIN_DEPTH * basin.rim
            over = new(BASIN_SHORING, 0.0)
            under({over: -1.0, lo: -1.0}, -(basin.rim + BASIN_BELOW - 1.524))
            if basin.lowest is not None:
                under({lo: -1.0}, -basin.lowest)
    for a, b in itertools.product(lot.lines, lot.lines):
        if a.lower == b.upper:
            place = lot.meeting(a.lower)
            step = place.drop if place is not None and place.body else 0.0
            if place is None or not place.body:
                step = max(0.0, pipes[b.name].inside - pipes[a.name].inside)
            under({z[b.name][0]: 1.0, z[a.name][1]: -1.0}, -step)
    for (line, item), above in zip(hidden, overs, strict=True):
        (d, top), (hi, lo), pipe = item.places[0], z[line.name], pipes[line.name]
        s = d / line.distances[-1]
        short = new(CLEARANCE_WORTH, 0.0, 0.0 if item.name in kept else item.wanted - item.known)
        shorter = new(KNOWN_WORTH, 0.0, 0.0 if item.name in kept else item.known - item.least)
        if above:
            under({hi: s - 1.0, lo: -s, short: -1.0, shorter: -1.0}, -(top + item.wanted + shell(pipe)))
        else:
            level = top - item.diameter - item.wanted - top_of(pipe)
            under({hi: 1.0 - s, lo: s, short: -1.0, shorter: -1.0}, level)
    matrix = np.zeros((len(rows), len(cost)))
    for r, row in enumerate(rows):
        for column, value in row.items():
            matrix[r, column] = value
    answer = linprog(cost, A_ub=matrix, b_ub=most, bounds=bounds, method="highs-ds")
    return float(answer.fun) + fixed if answer.status == 0 else math.inf


@pytest.mark.parametrize("seed", range(12))
def test_the_optimum_is_that_of_brute_force(seed: int) -> None:
    lot = small_lot(seed)
    grading = grade_lines(lot.lines, lot.meetings)
    least = brute(lot)
    assert bool(grading.relaxed) == math.isinf(least)
    if not grading.relaxed:
        assert grading.cost == pytest.approx(least, rel=1e-6)
        assert grading.bound == pytest.approx(least, rel=1e-6)
        assert broken(lot, grading) == set()


def held_lot(seed: int) -> Lot:
    """A small lot whose buried lines are dangerous, ask for more than is easily had, and often have no room below."""
    lot, wanted = small_lot(seed), 0.3 + 0.06 * (seed % 7)
    lines = tuple(
        replace(line, obstacles=tuple(replace(item, held=True, wanted=wanted) for item in line.obstacles))
        for line in lot.lines
    )
    shallow = lot.lines[2].invert_upper is None
    basins = (replace(item, lowest=9.4) if item.basin and shallow else item for item in lot.meetings)
    return Lot(lines, tuple(basins))


@pytest.mark.parametrize("seed", range(14))
def test_the_room_to_dangerous_lines_is_kept_wherever_a_grade_keeps_it(seed: int) -> None:
    """By brute force: of each set of lines, whether any pipes and grades keep them whole and all else that is asked."""
    lot = held_lot(seed)
    grading = grade_lines(lot.lines, lot.meetings)
    hidden = {item.name for line in lot.lines for item in line.obstacles}
    if grading.relaxed:
        assert math.isinf(brute(lot))
        return
    near = {item.other for item in grading.near}
    assert all(item.held for item in grading.near)
    assert grading.cost == pytest.approx(brute(lot, hidden - near), rel=1e-6)
    for name in near:
        assert math.isinf(brute(lot, hidden - near | {name}))


def test_held_lots_try_what_they_should() -> None:
    """Guards the test above: at a price alone some would give room up that a grade keeps; some cannot keep it."""
    bought, never = 0, 0
    for seed in range(14):
        lot = held_lot(seed)
        priced = tuple(
            replace(line, obstacles=tuple(replace(item, held=False) for item in line.obstacles)) for line in lot.lines
        )
        held, soft = grade_lines(lot.lines, lot.meetings), grade_lines(priced, lot.meetings)
        assert bool(held.relaxed) == bool(soft.relaxed)
        never += bool(held.near)
        bought += len(soft.near) > len(held.near)
    assert bought >= 2
    assert never >= 1


@pytest.mark.parametrize("seed", range(24))
def test_nothing_else_gives_way_for_the_room_to_dangerous_lines(seed: int) -> None:
    """Tight lots: what must give way costs as much as without them, and each room left out cannot be had beside it."""
    lot = random_lot(seed, 5 + seed % 6)

    def with_(held: Collection[str], names: Collection[str] = ()) -> tuple[GravityLine, ...]:
        return tuple(
            replace(line, obstacles=tuple(
                replace(item, held=line.name + item.name in held,
                        least=item.gaps[2] if line.name + item.name in names else item.least)
                for item in line.obstacles))
            for line in lot.lines
        )  # fmt: skip

    every = {line.name + item.name for line in lot.lines for item in line.obstacles}
    plain, held = grade_lines(with_(()), lot.meetings), grade_lines(with_(every), lot.meetings)
    assert held.price == pytest.approx(plain.price, rel=1e-4, abs=0.5)
    short = {item.line + item.other for item in held.near}
    struck = {item.line for item in held.relaxed if item.kind == "utility"}
    kept = {name for name in every - short if not any(name.startswith(line + "U") for line in struck)}
    for name in short:
        more = grade_lines(with_((), kept | {name}), lot.meetings)
        assert more.price > plain.price + 1e-3


def test_brute_force_tries_what_it_should() -> None:
    """Guards the test above: most small lots fit, deep ones and both ways past a buried line are among them."""
    lots = [small_lot(seed) for seed in range(12)]
    gradings = [grade_lines(lot.lines, lot.meetings) for lot in lots]
    sound = [(lot, grading) for lot, grading in zip(lots, gradings, strict=True) if not grading.relaxed]
    assert len(sound) >= 8
    ways, deepest = set(), 0.0
    for lot, grading in sound:
        for line in lot.lines:
            found = grading.lines[line.name]
            deepest = max(deepest, max(line.grounds) - found.invert_lower)
            for item in line.obstacles:
                ways.add(np.interp(item.places[0][0], found.knots, found.inverts) > item.places[0][1])
    assert ways == {True, False}
    assert deepest > 1.6


def test_deeper_digging_costs_more_a_metre() -> None:
    """Hand rates by soil and depth (``hand_dig_rates``): clay slower than sand, below 5 ft slower and shored."""
    line = small_lot(1).lines[1]
    marginal = [dig_cost(line, d + 0.01) - dig_cost(line, d) for d in (0.5, 1.0, 2.0, 2.5, 4.0)]
    assert marginal[0] == pytest.approx(marginal[1])
    assert marginal[1] < marginal[2] == pytest.approx(marginal[3])
    assert marginal[3] < marginal[4]
    soils = [dig_cost(replace(line, soil=soil), 1.0) for soil in ("loose", "firm", "clay")]  # type: ignore[arg-type]
    assert soils == sorted(soils)
    assert soils[2] / soils[1] == pytest.approx(0.57 / 0.46)
    assert dig_cost(line, -0.3) == 0.0


def test_stations_left_out_change_the_cost_of_digging_little() -> None:
    """Ground by shots a metre apart against its thinned stations: within half a percent of all."""
    rng = np.random.default_rng(3)
    distances = tuple(np.linspace(0.0, 30.0, 31).tolist())
    slope = np.linspace(10.6, 10.0, 31)
    slope[10:20] += 0.3
    grounds = tuple((slope + rng.normal(0.0, 0.001, 31)).tolist())
    line = replace(small_lot(1).lines[1], distances=distances, grounds=grounds, covered=(True,) * 31, care=())
    grading = grade_lines([line])
    kept = cost_stations(line)
    assert len(kept) <= 14
    found = grading.lines["B"]
    inverts = np.interp(distances, found.knots, found.inverts)
    depths = np.array(grounds) - inverts + shell(found.pipe)
    whole = float(np.trapezoid([dig_cost(line, depth) for depth in depths], distances))
    thinned = sum(weight * dig_cost(line, depths[index]) for index, weight in kept)
    assert thinned == pytest.approx(whole, rel=0.005)


@pytest.mark.parametrize("seed", range(40))
def test_never_dearer_than_the_hand_layout_where_that_keeps_everything(seed: int) -> None:
    lot = random_lot(seed, 5 + seed % 8)
    by_hand = hand_layout(lot.lines, lot.meetings)
    if broken(lot, {name: (line.pipe, line.knots, line.inverts) for name, line in by_hand.items()}):
        return
    grading = grade_lines(lot.lines, lot.meetings)
    places = {item.name: item for item in lot.meetings}
    assert not grading.relaxed
    assert grading.cost <= grading_cost(lot.lines, by_hand, places) + 1e-6


def test_the_hand_layout_keeps_everything_on_some_lots_and_not_on_others() -> None:
    kept = 0
    for seed in range(40):
        lot = random_lot(seed, 5 + seed % 8)
        by_hand = hand_layout(lot.lines, lot.meetings)
        kept += not broken(lot, {name: (line.pipe, line.knots, line.inverts) for name, line in by_hand.items()})
    assert 3 <= kept <= 37
