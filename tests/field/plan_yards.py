"""Invented plan surveys with one planted slip each, made without the code that looks for it.

A house of four to eight corners is walked round, diagonals are taped, points in the yard are tied. What checks a
measurement is found here by its own means: numerical slopes of plain geometry, and a pseudo-inverse.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

FOOT, INCH = 0.3048, 0.0254
SHAPES: dict[int, list[tuple[float, float]]] = {  # corners counter-clockwise, parts of length and width
    4: [(0, 0), (1, 0), (1, 1), (0, 1)],
    5: [(0, 0), (1, 0), (1, 0.6), (0.65, 1), (0, 1)],
    6: [(0, 0), (1, 0), (1, 0.55), (0.6, 0.55), (0.6, 1), (0, 1)],
    7: [(0, 0), (1, 0), (1, 0.35), (0.8, 0.6), (0.55, 0.6), (0.55, 1), (0, 1)],
    8: [(0, 0), (1, 0), (1, 1), (0.7, 1), (0.7, 0.6), (0.35, 0.6), (0.35, 1), (0, 1)],
}
SHOWS = 6.0  # a slip shows when it is so many standard errors of what the rest of the survey says of it


@dataclass
class Taken:
    """One measurement as taken: its path, what it is, its sound reading and what it is written as."""

    path: str
    kind: str  # leg, turn, tie, tape, along, offset
    ends: tuple[str, ...]
    reading: float
    error: float
    text: str = ""


@dataclass
class Yard:
    """A survey: true places, measurements, and the document."""

    units: str
    bearing: float
    places: dict[str, tuple[float, float]]
    corners: list[str]
    taken: list[Taken]
    points: list[dict[str, Any]] = field(default_factory=list)
    planted: Taken | None = None
    how: str = ""

    def document(self) -> dict[str, Any]:
        """The survey as data."""
        text = {one.path: one.text for one in self.taken}
        ring = self.corners
        legs = []
        for n in range(len(ring)):
            where = f"survey.perimeter.legs[{n}]"
            legs.append({"to": ring[(n + 1) % len(ring)], "length": text[where], "turn": text[f"{where}.turn"]})
        points = []
        for n, point in enumerate(self.points):
            where = f"survey.points[{n}]"
            if "along" in point:
                points.append(point | {"distance": text[f"{where}.distance"], "offset": text[f"{where}.offset"]})
            else:
                ties = [{"from": name, "distance": text[f"{where}.ties[{k}]"]} for k, name in enumerate(point["ties"])]
                points.append(point | {"ties": ties})
        tapes = [
            {"from": one.ends[0], "to": one.ends[1], "distance": one.text} for one in self.taken if one.kind == "tape"
        ]
        return {
            "perimeter": {"start": ring[0], "bearing": f"{self.bearing!r} rad", "legs": legs},
            "points": points, "tapes": tapes, "tape_accuracy": f"{tape_error(self.units)!r} m",
        }  # fmt: skip


def tape_error(units: str) -> float:
    return 0.02 * FOOT if units == "US" else 0.01


def turn_between(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    """Change of direction at b, right positive."""
    first, then = (math.atan2(q[0] - p[0], q[1] - p[1]) for p, q in ((a, b), (b, c)))
    return (then - first + math.pi) % (2.0 * math.pi) - math.pi


def true_value(one: Taken, at: dict[str, tuple[float, float]]) -> float:
    where = [at[name] for name in one.ends]
    if one.kind == "turn":
        return turn_between(*where)
    if one.kind in ("along", "offset"):
        (ae, an), (be, bn), (pe, pn) = where
        ue, un = (be - ae) / math.dist(*where[:2]), (bn - an) / math.dist(*where[:2])
        return (pe - ae) * ue + (pn - an) * un if one.kind == "along" else (pn - an) * ue - (pe - ae) * un
    return math.dist(*where)


def written(one: Taken, value: float, units: str, rng: np.random.Generator) -> tuple[str, float]:
    """A reading as written down, and what that is in metres or radians."""
    if one.kind == "turn":
        degrees = round(math.degrees(value), 1)
        return f"{degrees} deg", math.radians(degrees)
    if units == "SI":
        return f"{value:.2f} m", round(value, 2)
    if rng.random() < 0.4 or value < 0.0:
        return f"{value / FOOT:.2f} ft", round(value / FOOT, 2) * FOOT
    eighths = round(value / INCH * 8)
    feet, rest = divmod(eighths, 96)
    whole, part = divmod(rest, 8)
    inches = f"{whole} {part}/8" if part else f"{whole}"
    return f"{feet} ft {inches} in", eighths / 8 * INCH


def yard(seed: int) -> Yard:
    """A sound survey."""
    rng = np.random.default_rng(seed)
    units = "US" if rng.random() < 0.6 else "SI"
    count = int(rng.integers(4, 9))
    length, width, spin = rng.uniform(9, 18), rng.uniform(7, 12), rng.uniform(0, 2 * math.pi)
    shape = [(x * length, y * width) for x, y in SHAPES[count]]
    centre = (length / 2, width / 2)
    corners = [chr(65 + n) for n in range(count)]
    if rng.random() < 0.3:
        shape = [shape[0], *shape[:0:-1]]  # walked clockwise

    def turned(x: float, y: float) -> tuple[float, float]:
        return (x * math.cos(spin) - y * math.sin(spin), x * math.sin(spin) + y * math.cos(spin))

    places = {name: turned(*spot) for name, spot in zip(corners, shape, strict=True)}
    middle = turned(*centre)
    tape, bend = tape_error(units), math.radians(1.0)
    taken: list[Taken] = []
    ring = [*corners, corners[0], corners[1]]
    for n in range(count):
        where = f"survey.perimeter.legs[{n}]"
        taken.append(Taken(where, "leg", (ring[n], ring[n + 1]), 0.0, tape))
        taken.append(Taken(f"{where}.turn", "turn", (ring[n], ring[n + 1], ring[n + 2]), 0.0, bend))
    result = Yard(units, math.atan2(*(places["B"][k] - places["A"][k] for k in (0, 1))), places, corners, taken)
    for number in range(int(rng.integers(4, 11))):
        name, where = f"P{number + 1}", f"survey.points[{number}]"
        if rng.random() < 0.15:
            side = int(rng.integers(count))
            a, b = places[ring[side]], places[ring[side + 1]]
            reach, out = rng.uniform(0.2, 0.8) * math.dist(a, b), rng.uniform(-4, -1)
            ue, un = (b[0] - a[0]) / math.dist(a, b), (b[1] - a[1]) / math.dist(a, b)
            places[name] = (a[0] + reach * ue - out * un, a[1] + reach * un + out * ue)
            result.points.append({"name": name, "along": [ring[side], ring[side + 1]]})
            ends = (ring[side], ring[side + 1], name)
            taken.append(Taken(f"{where}.distance", "along", ends, 0.0, tape))
            taken.append(Taken(f"{where}.offset", "offset", ends, 0.0, tape))
            continue
        angle, far = rng.uniform(0, 2 * math.pi), rng.uniform(10, 20)
        spot = (middle[0] + far * math.cos(angle), middle[1] + far * math.sin(angle))
        others = [one for one in places if one in corners or rng.random() < 0.4]
        near = sorted(others, key=lambda one: math.dist(places[one], spot))[:6]
        ties: tuple[str, ...] = ()
        wanted = int(rng.choice([2, 3, 4], p=[0.3, 0.45, 0.25]))
        for chosen in rng.permutation(list(itertools.combinations(near, wanted))):
            cross = [
                abs(math.sin(math.atan2(*np.subtract(places[p], spot)) - math.atan2(*np.subtract(places[q], spot))))
                for p, q in itertools.combinations(chosen, 2)
            ]
            if max(cross) > math.sin(math.radians(35)):
                ties = tuple(str(one) for one in chosen)
                break
        ties = ties or tuple(near[:wanted])
        places[name] = spot
        result.points.append({"name": name, "ties": ties, "side": f"{spot[0]:.1f} m, {spot[1]:.1f} m"})
        taken += [Taken(f"{where}.ties[{k}]", "tie", (one, name), 0.0, tape) for k, one in enumerate(ties)]
    across = [
        pair for pair in itertools.combinations(corners, 2) if abs(ord(pair[0]) - ord(pair[1])) not in (1, count - 1)
    ]
    extra = [pair for pair in itertools.combinations(places, 2) if pair[0].startswith("P")]
    most = len(across)
    pairs = [across[k] for k in rng.permutation(most)[: int(rng.integers(2, min(4, most) + 1))]]
    if extra and rng.random() < 0.5:
        pairs.append(extra[int(rng.integers(len(extra)))])
    taken += [Taken(f"survey.tapes[{n}]", "tape", pair, 0.0, tape) for n, pair in enumerate(pairs)]
    shift = places["A"]
    for name, (east, north) in places.items():
        places[name] = (east - shift[0], north - shift[1])
    for point in result.points:
        if "side" in point:
            point["side"] = "{:.1f} m, {:.1f} m".format(*places[point["name"]])
    for one in taken:
        value = true_value(one, places) + rng.normal(0.0, one.error)
        one.text, one.reading = written(one, value, units, rng)
    return result


def redundancy(one: Yard) -> dict[str, float]:
    """How far the others check each measurement, 0 to 1, by numerical slopes."""
    free = [name for name in one.places if name not in ("A", "B")]
    ahead = np.array([math.sin(one.bearing), math.cos(one.bearing)])

    def rows(moves: np.ndarray) -> np.ndarray:
        at = dict(one.places)
        at["B"] = tuple(np.array(at["B"]) + moves[0] * ahead)
        for n, name in enumerate(free):
            at[name] = (at[name][0] + moves[1 + 2 * n], at[name][1] + moves[2 + 2 * n])
        return np.array([true_value(item, at) / item.error for item in one.taken])

    unknowns = 1 + 2 * len(free)
    slopes = np.empty((len(one.taken), unknowns))
    for n in range(unknowns):
        step = np.zeros(unknowns)
        step[n] = 1e-5
        slopes[:, n] = (rows(step) - rows(-step)) / 2e-5
    hat = slopes @ np.linalg.pinv(slopes)
    return {item.path: 1.0 - hat[n, n] for n, item in enumerate(one.taken)}


def slips_of(one: Yard, item: Taken, how: str, rng: np.random.Generator) -> tuple[str, float] | None:
    """What the measurement is written as once slipped, and its value; None where the slip cannot befall it."""
    if how in ("sign", "right angle"):
        if item.kind != "turn":
            return None
        off = -2 * item.reading if how == "sign" else rng.choice([-1, 1]) * math.pi / 2
        value = (item.reading + off + math.pi) % (2 * math.pi) - math.pi
        return f"{math.degrees(value):.1f} deg", value
    if item.kind not in ("leg", "tie", "tape"):
        return None
    if how == "foot or metre":
        step = (FOOT if one.units == "US" else 1.0) * rng.choice([-1, 1])
        value = item.reading + step
        if value < 1.0:
            return None
        return (f"{value / FOOT:.4f} ft" if one.units == "US" else f"{value:.2f} m"), value
    if how == "inches as tenths":
        if one.units != "US":
            return None
        inches = item.reading / INCH
        if abs(inches - round(inches)) > 0.13:
            return None
        feet, rest = divmod(round(inches), 12)
        return (f"{feet}.{rest} ft", float(f"{feet}.{rest}") * FOOT) if rest else None
    if how == "digits exchanged":
        unit, name = (FOOT, "ft") if one.units == "US" else (1.0, "m")
        if not item.text.endswith(f" {name}"):
            return None
        digits = list(item.text.split()[0])
        spots = [n for n, letter in enumerate(digits) if letter.isdigit()]
        a, b = list(itertools.pairwise(spots))[int(rng.integers(len(spots) - 1))]
        digits[a], digits[b] = digits[b], digits[a]
        value = float("".join(digits)) * unit
        return ("".join(digits) + f" {name}", value) if value > 1.0 else None
    held, missed = (item.ends[1], item.ends[0]) if item.kind == "tie" or rng.random() < 0.5 else item.ends
    near = sorted((name for name in one.places if name not in item.ends),
                  key=lambda name: math.dist(one.places[name], one.places[missed]))[:2]  # fmt: skip
    value = math.dist(one.places[held], one.places[near[int(rng.integers(len(near)))]]) + rng.normal(0.0, item.error)
    return written(item, value, one.units, rng)


HOWS = ("foot or metre", "inches as tenths", "digits exchanged", "wrong corner", "sign", "right angle")


def slipped(seed: int) -> Yard:
    """A survey with one slip that the rest of the survey can show."""
    one = yard(seed)
    rng = np.random.default_rng(seed + 1_000_000)
    shares = redundancy(one)
    for how in rng.permutation(HOWS):
        for number in rng.permutation(len(one.taken)):
            item = one.taken[number]
            wrong = slips_of(one, item, str(how), rng)
            if wrong is None or shares[item.path] < 0.05:
                continue
            off = abs(wrong[1] - item.reading)
            if off * math.sqrt(shares[item.path]) < SHOWS * item.error:
                continue
            item.text, item.reading = wrong
            one.planted, one.how = item, str(how)
            return one
    raise AssertionError(f"no slip could be planted in yard {seed}")
