"""What every drawing of ground shares: scales, standing water, contours with their labels, areas in words."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from drainwright.field.terrain_model import Contour, LowSpot
from drainwright.paper.frame import Scale, View, plan_scale
from drainwright.paper.label import Label
from drainwright.paper.measure import READ, text_width
from drainwright.paper.sheet import Mark, Point, Polygon, Polyline
from drainwright.quantities import System

MOST_CONTOUR_LABELS = 60
LABEL_EVERY = 90.0  # along a contour that is named [mm]
LETTERS = READ  # of a level on a contour [mm]
LEAST_LINE = 12.0  # shorter lines would be hidden by their label [mm]
FEW_LEVELS = 9  # up to so many levels each is named
ENOUGH_INDEX = 4  # with fewer index contours than these every second line is named too
MOST_STRETCHES = 16  # of a line where its label may lie

Drawn = tuple[Contour, tuple[Point, ...]]  # a contour with one of its lines on paper


def ground_scale(units: System, wide: float, tall: float, room: tuple[float, float]) -> Scale:
    """The largest scale that fits, of finer steps than a plan to build by has: the ground should fill the sheet."""
    steps = (1, 2, 4, 5, 8, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 150, 200, 250, 300, 400, 500)
    if units == "US":
        scales = [Scale(12.0 * feet, f"1 in = {feet} ft (1:{12 * feet:,})") for feet in steps]
    else:
        scales = [Scale(10.0 * step, f"1:{10 * step:,}") for step in steps]
    for scale in scales:
        if scale.on_paper(wide) <= room[0] and scale.on_paper(tall) <= room[1]:
            return scale
    return plan_scale(units, wide, tall, room)


def water_marks(spot: LowSpot, view: View) -> list[Mark]:
    """Full water: islands stay dry, since they are drawn over it as white."""
    rings = [tuple(view(at) for at in ring) for ring in spot.rings]
    outer = [ring for ring in rings if _turns_left(ring)] or rings
    inner = [ring for ring in rings if ring not in outer]
    return [
        *(Polygon(layer="low spot", points=ring) for ring in outer),
        *(Polygon(layer="mask", points=ring) for ring in inner),
        *(Polygon(layer="low spot open", points=ring) for ring in inner),
    ]


def _turns_left(ring: Sequence[Point]) -> bool:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) > 0.0


def contour_marks(lines: Sequence[Drawn]) -> list[Mark]:
    """The lines, those of index contours last and strong."""
    return [
        *(Polyline(layer="contour", points=path) for contour, path in lines if not contour.index),
        *(Polyline(layer="contour index", points=path) for contour, path in lines if contour.index),
    ]


def contour_labels(lines: Sequence[Drawn], interval: float, units: System) -> list[Label]:
    """Levels along the lines that are worth naming, the longest line of each level first."""
    found = []
    for contour, path in _worth_naming(lines, interval):
        length = _length(path)
        count = max(1, min(3, round(length / LABEL_EVERY)))
        text = contour_level(contour.level, interval, units)
        reach = text_width(text, LETTERS) + 3.0
        for part in range(count):
            stretches = _stretches(path, length * part / count, length * (part + 1) / count, reach)
            middle = stretches[0]
            at = ((middle[0][0] + middle[1][0]) / 2, (middle[0][1] + middle[1][1]) / 2)
            found.append(
                Label(lines=(text,), at=at, stretches=stretches, layer="text contour", size=LETTERS, clear=0.0,
                      inline=True, leader=False, droppable=True)
            )  # fmt: skip
    return found


def _worth_naming(lines: Sequence[Drawn], interval: float) -> list[Drawn]:
    """Lines to name, none that its label would hide: of each level the longest first, then the others.

    All levels where they are few; index contours where these are enough; else every second line too.
    """
    levels = {contour.level for contour, _ in lines}
    strong = {contour.level for contour, _ in lines if contour.index}
    if len(levels) > FEW_LEVELS:
        second = {level for level in levels if round(level / interval) % 2 == 0}
        levels = strong if len(strong) >= ENOUGH_INDEX else strong | second
    long = [(_length(path), (contour, path)) for contour, path in lines if contour.level in levels]
    long = sorted((item for item in long if item[0] > LEAST_LINE), key=lambda item: -item[0])
    firsts: list[Drawn] = []
    others: list[Drawn] = []
    named: set[float] = set()
    for _, item in long:
        (others if item[0].level in named else firsts).append(item)
        named.add(item[0].level)
    return [*firsts, *others][:MOST_CONTOUR_LABELS]


def _length(path: Sequence[Point]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(path))


def _stretches(path: Sequence[Point], start: float, end: float, reach: float) -> tuple[tuple[Point, Point], ...]:
    """Stretches of a line between two distances that a label may lie on: straight and near the middle first."""
    room = end - start
    steps = max(1, min(MOST_STRETCHES, int((room - reach) / (0.5 * reach))))
    middle = 0.5 * (start + end)
    found = []
    for step in range(steps):
        at = middle if steps == 1 else start + reach / 2 + (room - reach) * step / (steps - 1)
        first, last = _at(path, max(0.0, at - reach / 2)), _at(path, at + reach / 2)
        bent = max(0.0, reach - math.dist(first, last))
        found.append((4.0 * bent + 2.0 * abs(at - middle) / max(room, reach), (first, last)))
    return tuple(stretch for _, stretch in sorted(found, key=lambda item: item[0]))


def _at(path: Sequence[Point], distance: float) -> Point:
    """The place so far along a line, at most its end."""
    walked = 0.0
    for start, end in itertools.pairwise(path):
        step = math.dist(start, end)
        if step > 0.0 and walked + step >= distance:
            share = (distance - walked) / step
            return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        walked += step
    return path[-1]


def contour_level(level: float, interval: float, units: System) -> str:
    """A contour's level with as many decimals as the interval needs."""
    unit = 0.3048 if units == "US" else 1.0
    step = interval / unit
    digits = next((n for n in range(4) if abs(round(step, n) - step) < 1e-6), 3)
    return f"{level / unit:.{digits}f}"


def interval_words(interval: float, units: System) -> str:
    """The interval with its unit: ``0.1 ft``."""
    return f"{contour_level(interval, interval, units)} {'ft' if units == 'US' else 'm'}"


def area_words(area: float, units: System) -> str:
    """An area to the whole foot or metre: ``1,672 ft²``."""
    return f"{area / 0.3048**2:,.0f} ft²" if units == "US" else f"{area:,.0f} m²"


def volume_words(volume: float, units: System) -> str:
    """What a low spot holds: ``20 ft³``, ``0.6 m³``."""
    return f"{volume / 0.3048**3:,.0f} ft³" if units == "US" else f"{volume:,.1f} m³"


__all__ = [
    "Drawn", "area_words", "contour_labels", "contour_level", "contour_marks", "ground_scale", "interval_words",
    "volume_words", "water_marks",
]  # fmt: skip
