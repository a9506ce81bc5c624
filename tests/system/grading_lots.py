"""Random lots for the grading, and a second grading of them written apart from the package.

The second grading has its own Manning, its own geometry and its own program: it shares with the package only the
figures of the pipes and the proxy prices.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from drainwright.system.catalogue import PIPES
from drainwright.system.grading.heads import offered
from drainwright.system.grading.model import Obstacle
from drainwright.system.grading.solve import Grading, GravityLine, Meeting
from drainwright.system.model import Pipe

SOLID = tuple(
    PIPES[key]
    for key in ("d3034 4 in", "d2729 4 in", "d3034 6 in", "d2729 6 in", "corrugated smooth 6 in", "d3034 8 in",
                "corrugated smooth 8 in")
)  # fmt: skip
DRILLED = tuple(PIPES[f"d2729 {size} in perforated"] for size in (4, 6))
SIZES = {"3 in": 3.0, "4 in": 4.0, "6 in": 6.0, "8 in": 8.0}
INLET, JUNCTION = 1.5, 0.6  # velocity heads: sharp entrance from still water; straight way of a tee
EVERY = (
    "grade", "steep", "cover", "bare", "capacity", "clearance", "footing", "outlet", "fixed upper", "fixed lower",
    "fixed grade", "utility", "junction", "drop", "crown", "size", "freeboard", "basin", "uphill",
)  # fmt: skip


@dataclass(frozen=True)
class Lot:
    lines: tuple[GravityLine, ...]
    meetings: tuple[Meeting, ...]

    def meeting(self, name: str) -> Meeting | None:
        return next((item for item in self.meetings if item.name == name), None)


def random_lot(seed: int, count: int | None = None) -> Lot:
    """A tree of 5 to 40 runs to a basin or a way out: grates, junctions, wall drains, buried lines, fixed inverts."""
    rng = random.Random(seed)
    count = rng.randint(5, 40) if count is None else count
    pumped = rng.random() < 0.6
    end = "SUMP" if pumped else "OUT"
    heights, kinds, depth = {end: 10.0}, {end: end}, {end: 0}
    links: list[tuple[str, str, str]] = []
    tight = rng.random() < 0.35
    for number in range(count):
        lower = rng.choice([name for name in heights if depth[name] < 8])
        upper = f"N{number}"
        links.append((f"R{number}", upper, lower))
        depth[upper] = depth[lower] + 1
        heights[upper] = heights[lower] + rng.uniform(-0.05, 0.15 if tight else 0.45)
        kinds[upper] = rng.choice(["inlet", "junction", "junction"])
    flows = dict.fromkeys(heights, 0.0)
    lines: list[GravityLine] = []
    low = {name: height - 0.6 for name, height in heights.items()}  # roughly where a pipe can leave, coming from above
    soil = rng.choice(["loose", "firm", "clay"])
    for name, upper, lower in reversed(links):
        flows[upper] += rng.uniform(0.0, 0.0015)
        flows[lower] += flows[upper]
        length = rng.uniform(3.0, 18.0)
        stations = np.linspace(0.0, length, rng.randint(3, 8))
        grounds = np.linspace(heights[upper], heights[lower], len(stations))
        grounds[1:-1] += [rng.uniform(-0.1, 0.2) for _ in range(len(stations) - 2)]
        head = not any(below == upper for _, _, below in links)
        drain = head and rng.random() < 0.4
        figures: dict[str, object] = {}
        if drain:
            ceiling = heights[upper] - rng.uniform(0.5, 0.9)
            footing = ceiling - 0.02 * length - rng.uniform(-0.03 if tight else 0.08, 0.35)
            low[upper] = min(low[upper], ceiling)
            figures = {
                "bed": 0.0508,
                "bottoms": tuple(footing - 0.1 if i < len(stations) // 2 + 1 else None for i in range(len(stations))),
                "deep": (True,) * len(stations),
                "ceiling": ceiling,
                "breaks": (float(stations[1]),) if rng.random() < 0.4 else (),
                "stone_over": 0.1524,
            }
        obstacles = tuple(
            Obstacle(
                name=f"U{k}",
                diameter=rng.choice([0.025, 0.1]),
                places=((here := rng.uniform(0.1, 0.9) * length,
                         float(np.interp(here, stations, grounds)) - rng.uniform(0.25, 0.9)),),
                least=rng.choice([0.0254, 0.1, 0.15]),
                known=rng.choice([0.0, 0.1524]),
                wanted=rng.choice([0.0, 0.3048]),
            )
            for k in range(rng.choice([0, 0, 0, 1, 1, 2]))
        )  # fmt: skip
        arrives = min(low[upper] - 0.021 * length - 0.06, float(np.min(grounds)) - 0.55)
        spare = rng.uniform(-0.15, 0.3) if tight else rng.uniform(0.05, 0.6)
        low[lower] = min(low[lower], arrives - spare / 2.0)
        least = rng.choice([0.01, 0.125 / 12, 0.02])
        line = GravityLine(
            name=name,
            upper=upper,
            lower=lower,
            distances=tuple(stations.tolist()),
            grounds=tuple(grounds.tolist()),
            covered=(True,) * len(stations),
            flow=0.0005 if drain else flows[upper],
            pipes=DRILLED if drain else offered(SOLID, flows[upper], 0.8, least),
            minimum_grade=least,
            least_grade=0.005,
            maximum_grade=rng.choice([None, None, 0.15]),
            maximum_fill=0.8,
            cover=rng.choice([0.15, 0.2032, 0.3048]),
            width=0.6,
            soil=soil,  # type: ignore[arg-type]
            care=tuple(rng.choice([1.0, 1.0, 1.75]) for _ in range(len(stations) - 1)),
            obstacles=obstacles,
            entry=INLET if kinds[upper] == "inlet" else JUNCTION,
            to_basin=lower == "SUMP",
            outlet=None if lower != "OUT" else arrives - spare,
            **figures,  # type: ignore[arg-type]
        )
        if rng.random() < 0.04:
            line = replace(line, invert_upper=low[upper] - rng.uniform(-0.1 if tight else 0.05, 0.2))
        elif rng.random() < 0.03:
            line = replace(line, grade=rng.uniform(0.01, 0.04))
        elif rng.random() < 0.03 and lower != "OUT":
            line = replace(line, invert_lower=arrives - spare / 2.0)
        lines.append(line)
    meetings = [
        Meeting(
            name=name, body=kind == "inlet", drop=0.0254 if kind == "inlet" else 0.0,
            brim=heights[name] - rng.choice([0.0508, 0.0508, 0.1]), freeboard=0.0508,
        )
        for name, kind in kinds.items()
        if kind in ("inlet", "junction")
    ]  # fmt: skip
    if pumped:
        given = rng.random() < 0.5
        lowest = low["SUMP"] - rng.uniform(-0.1 if tight else 0.2, 0.6) if given else None
        meetings.append(Meeting(name="SUMP", basin=True, rim=10.05, lowest=lowest))
    return Lot(tuple(lines), tuple(meetings))


# -- own formulas ------------------------------------------------------------------------------------------------


def section(depth: float, diameter: float) -> tuple[float, float, float]:
    """Area, wetted perimeter, width, by the half angle that the water subtends."""
    half = math.acos(max(min(1.0 - 2.0 * depth / diameter, 1.0), -1.0))
    radius = diameter / 2.0
    return radius**2 * (half - math.sin(half) * math.cos(half)), diameter * half, diameter * math.sin(half)


def carries(depth: float, pipe: Pipe, slope: float) -> float:
    area, wet, _ = section(depth, pipe.inside)
    return area ** (5.0 / 3.0) / wet ** (2.0 / 3.0) * math.sqrt(max(slope, 0.0)) / pipe.manning


def root(function: object, low: float, high: float) -> float:
    from scipy.optimize import brentq

    return float(brentq(function, low, high, xtol=1e-12))


def slope_for(flow: float, pipe: Pipe, fill: float) -> float:
    return (flow / carries(fill * pipe.inside, pipe, 1.0)) ** 2


def water_height(flow: float, pipe: Pipe, slope: float, fill: float, entry: float) -> float:
    """Depth and entry heads over the invert: critical depth, or normal depth where that is deeper."""
    if flow <= 0.0:
        return 0.0
    diameter, tiny = pipe.inside, 1e-5
    critical = root(lambda y: flow**2 * section(y, diameter)[2] - 9.80665 * section(y, diameter)[0] ** 3,
                    tiny, diameter * (1.0 - 1e-9))  # fmt: skip
    top = fill * diameter
    normal = top if carries(top, pipe, slope) <= flow else root(lambda y: carries(y, pipe, slope) - flow, tiny, top)
    return max(
        y + entry * (flow / section(y, diameter)[0]) ** 2 / (2.0 * 9.80665) for y in {critical, max(normal, critical)}
    )


def head(line: GravityLine, pipe: Pipe) -> float:
    """By the flattest grade that the conditions leave to the line."""
    if line.invert_upper is not None and line.invert_lower is not None:
        slope = (line.invert_upper - line.invert_lower) / line.distances[-1]
    else:
        slope = line.minimum_grade if line.grade is None else line.grade
        slope = max(slope, slope_for(line.flow, pipe, line.maximum_fill))
    return water_height(line.flow, pipe, slope, line.maximum_fill, line.entry)


def top_of(pipe: Pipe) -> float:
    return (pipe.inside + pipe.outside) / 2.0


def shell(pipe: Pipe) -> float:
    return (pipe.outside - pipe.inside) / 2.0


# -- every condition on a given answer ------------------------------------------------------------------------------


def broken(lot: Lot, answer: Grading | Mapping[str, tuple[Pipe, Sequence[float], Sequence[float]]],
           slack: float = 3e-5) -> set[tuple[str, str]]:  # fmt: skip
    """Conditions that an answer does not keep: kind and line (or place), looked at station by station."""
    if isinstance(answer, Grading):
        answer = {name: (item.pipe, item.knots, item.inverts) for name, item in answer.lines.items()}
    bad: set[tuple[str, str]] = set()
    for line in lot.lines:
        pipe, knots, inverts = answer[line.name]
        here = line.name
        for (a, b), (high, low) in zip(itertools.pairwise(knots), itertools.pairwise(inverts), strict=True):
            slope = (high - low) / (b - a)
            fixed = line.grade is not None or (line.invert_upper is not None and line.invert_lower is not None)
            if not fixed and slope * (b - a) < line.minimum_grade * (b - a) - slack:
                bad.add(("grade", here))
            if high < low - slack:
                bad.add(("uphill", here))
            if line.maximum_grade is not None and high - low > line.maximum_grade * (b - a) + slack:
                bad.add(("steep", here))
            if line.flow > 0.0 and high - low < slope_for(line.flow, pipe, line.maximum_fill) * (b - a) - slack:
                bad.add(("capacity", here))
        if line.grade is not None and abs(inverts[0] - inverts[-1] - line.grade * line.distances[-1]) > slack:
            bad.add(("fixed grade", here))
        if line.invert_upper is not None and abs(inverts[0] - line.invert_upper) > slack:
            bad.add(("fixed upper", here))
        if line.invert_lower is not None and abs(inverts[-1] - line.invert_lower) > slack:
            bad.add(("fixed lower", here))
        if line.outlet is not None and line.invert_lower is None and abs(inverts[-1] - line.outlet) > slack:
            bad.add(("outlet", here))
        if line.ceiling is not None and inverts[0] > line.ceiling + slack:
            bad.add(("clearance", here))
        levels = [float(np.interp(x, knots, inverts)) for x in line.distances]
        for i, level in enumerate(levels):
            if line.covered[i] and line.grounds[i] - level - top_of(pipe) < line.cover - slack:
                bad.add(("cover", here))
            bottom = line.bottoms[i] if line.bottoms else None
            if bottom is not None and level - shell(pipe) - line.bed < bottom - slack:
                bad.add(("footing", here))
        for item in line.obstacles:
            level = [float(np.interp(x, knots, inverts)) for x, _ in item.places]
            over = min(z - shell(pipe) - t for z, (_, t) in zip(level, item.places, strict=True))
            below = min(t - item.diameter - z - top_of(pipe) for z, (_, t) in zip(level, item.places, strict=True))
            if max(over, below) < item.least - slack:
                bad.add(("utility", here))
        place = lot.meeting(line.upper)
        if place is not None and place.brim is not None and inverts[0] + head(line, pipe) > place.brim + slack:
            bad.add(("freeboard", line.upper))
        basin = lot.meeting(line.lower) if line.to_basin else None
        if basin is not None and basin.lowest is not None and inverts[-1] < basin.lowest - slack:
            bad.add(("basin", line.lower))
        for above in lot.lines:
            if above.lower != line.upper:
                continue
            upper, _, falls = answer[above.name]
            if inverts[0] > falls[-1] + slack:
                bad.add(("junction", line.upper))
            if SIZES[pipe.nominal] < SIZES[upper.nominal]:
                bad.add(("size", line.upper))
            if place is not None and place.body:
                if inverts[0] > falls[-1] - place.drop + slack:
                    bad.add(("drop", line.upper))
            elif inverts[0] + pipe.inside > falls[-1] + upper.inside + slack:
                bad.add(("crown", line.upper))
    return bad


# -- a second program ---------------------------------------------------------------------------------------------


class Second:
    """The lot once more as a mixed-integer program: can chosen conditions be kept, and at what least cost."""

    def __init__(self, lot: Lot, keep: Iterable[tuple[str, str, str]] | None = None) -> None:
        self.lot = lot
        self.keep = None if keep is None else set(keep)
        self.cost: list[float] = []
        self.bounds: list[tuple[float, float]] = []
        self.whole: list[int] = []
        self.rows: list[tuple[dict[int, float], float, float]] = []
        self.zero = min(min(line.grounds) for line in lot.lines)
        self.z: dict[str, list[int]] = {}
        self.y: dict[str, list[int]] = {}
        for line in lot.lines:
            self.z[line.name] = [self.new() for _ in self.knots(line)]
            self.y[line.name] = [self.new(0, 1, 1) for _ in line.pipes]
            self.rows.append((dict.fromkeys(self.y[line.name], 1.0), 1.0, 1.0))
        for line in lot.lines:
            self.line(line)
        for line in lot.lines:
            for above in lot.lines:
                if above.lower == line.upper:
                    self.meet(above, line)

    @staticmethod
    def knots(line: GravityLine) -> list[float]:
        fixed = line.grade is not None or (line.invert_upper is not None and line.invert_lower is not None)
        return [0.0, *([] if fixed else line.breaks), line.distances[-1]]

    def new(self, low: float = -np.inf, high: float = np.inf, whole: int = 0, cost: float = 0.0) -> int:
        self.cost.append(cost)
        self.bounds.append((low, high))
        self.whole.append(whole)
        return len(self.cost) - 1

    def held(self, kind: str, name: str, other: str = "") -> bool:
        return self.keep is None or (kind, name, other) in self.keep

    def at(self, line: GravityLine, x: float) -> dict[int, float]:
        knots = self.knots(line)
        unit = np.eye(len(knots))
        shares = [float(np.interp(x, knots, unit[i])) for i in range(len(knots))]
        return {z: share for z, share in zip(self.z[line.name], shares, strict=True) if share}

    def of(self, line: GravityLine, values: Sequence[float], sign: float = 1.0) -> dict[int, float]:
        return {y: sign * value for y, value in zip(self.y[line.name], values, strict=True)}

    def atleast(self, terms: dict[int, float], value: float) -> None:
        self.rows.append((terms, value, np.inf))

    def atmost(self, terms: dict[int, float], value: float) -> None:
        self.rows.append((terms, -np.inf, value))

    def line(self, line: GravityLine) -> None:
        n, z, zero = line.name, self.z[line.name], self.zero
        fixed = line.grade is not None or (line.invert_upper is not None and line.invert_lower is not None)
        for i, (a, b) in enumerate(itertools.pairwise(self.knots(line))):
            fall = {z[i]: 1.0, z[i + 1]: -1.0}
            if not fixed and self.held("grade", n):
                self.atleast(fall, line.minimum_grade * (b - a))
            if self.held("uphill", n):
                self.atleast(fall, 0.0)
            if line.maximum_grade is not None and self.held("steep", n):
                self.atmost(fall, line.maximum_grade * (b - a))
            if self.held("capacity", n):
                needs = [slope_for(line.flow, pipe, line.maximum_fill) * (b - a) for pipe in line.pipes]
                self.atleast({**fall, **self.of(line, needs, -1.0)}, 0.0)
        if line.grade is not None and self.held("fixed grade", n):
            drop = line.grade * line.distances[-1]
            self.rows.append(({z[0]: 1.0, z[-1]: -1.0}, drop, drop))
        for kind, level, end in (("fixed upper", line.invert_upper, z[0]), ("fixed lower", line.invert_lower, z[-1])):
            if level is not None and self.held(kind, n):
                self.rows.append(({end: 1.0}, level - zero, level - zero))
        if line.outlet is not None and line.invert_lower is None and self.held("outlet", n):
            self.rows.append(({z[-1]: 1.0}, line.outlet - zero, line.outlet - zero))
        if line.ceiling is not None and self.held("clearance", n):
            self.atmost({z[0]: 1.0}, line.ceiling - zero)
        tops = self.of(line, [top_of(pipe) for pipe in line.pipes])
        shells = self.of(line, [shell(pipe) for pipe in line.pipes], -1.0)
        for i, x in enumerate(line.distances):
            if line.covered[i] and self.held("cover", n):
                self.atmost({**self.at(line, x), **tops}, line.grounds[i] - zero - line.cover)
            if line.bottoms and (bottom := line.bottoms[i]) is not None and self.held("footing", n):
                self.atleast({**self.at(line, x), **shells}, bottom + line.bed - zero)
        for item in line.obstacles:
            if not self.held("utility", n, item.name):
                continue
            over = self.new(0, 1, 1)
            for x, top in item.places:
                self.atleast({**self.at(line, x), **shells, over: -30.0}, top - zero + item.least - 30.0)
                self.atmost({**self.at(line, x), **tops, over: -30.0}, top - zero - item.diameter - item.least)
        place = self.lot.meeting(line.upper)
        if place is not None and place.brim is not None and self.held("freeboard", place.name):
            heights = [head(line, pipe) for pipe in line.pipes]
            self.atmost({z[0]: 1.0, **self.of(line, heights)}, place.brim - zero)
        basin = self.lot.meeting(line.lower) if line.to_basin else None
        if basin is not None and basin.lowest is not None and self.held("basin", basin.name):
            self.atleast({z[-1]: 1.0}, basin.lowest - zero)

    def meet(self, above: GravityLine, below: GravityLine) -> None:
        place = self.lot.meeting(below.upper)
        step = {self.z[above.name][-1]: 1.0, self.z[below.name][0]: -1.0}
        if self.held("junction", below.upper):
            self.atleast(step, 0.0)
        if place is not None and place.body:
            if self.held("drop", below.upper):
                self.atleast(step, place.drop)
        elif self.held("crown", below.upper):
            bores = {**self.of(above, [p.inside for p in above.pipes]),
                     **self.of(below, [p.inside for p in below.pipes], -1.0)}  # fmt: skip
            self.atleast({**step, **bores}, 0.0)
        if self.held("size", below.upper):
            sizes = {**self.of(above, [SIZES[p.nominal] for p in above.pipes]),
                     **self.of(below, [SIZES[p.nominal] for p in below.pipes], -1.0)}  # fmt: skip
            self.atmost(sizes, 0.0)

    def feasible(self) -> bool:
        from scipy.sparse import lil_array

        matrix = lil_array((len(self.rows), len(self.cost)))
        for r, (terms, _, _) in enumerate(self.rows):
            for column, value in terms.items():
                matrix[r, column] += value
        low, high = zip(*self.bounds, strict=True)
        result = milp(
            np.zeros(len(self.cost)),
            integrality=np.array(self.whole),
            bounds=Bounds(np.array(low), np.array(high)),
            constraints=LinearConstraint(
                matrix.tocsr(), np.array([row[1] for row in self.rows]), np.array([row[2] for row in self.rows])
            ),
        )
        assert result.status in (0, 2), result.message
        return bool(result.status == 0)


def conditions(lot: Lot) -> set[tuple[str, str, str]]:
    """Every condition that a lot may have, by kind and line or place."""
    names = {line.name for line in lot.lines} | {item.name for item in lot.meetings} | {
        line.upper for line in lot.lines
    }  # fmt: skip
    found = {(kind, name, "") for kind in EVERY for name in names if kind != "utility"}
    return found | {("utility", line.name, item.name) for line in lot.lines for item in line.obstacles}
