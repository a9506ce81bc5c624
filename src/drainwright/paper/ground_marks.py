"""What every drawing of ground shares: scales, standing water, contours with their labels, areas in words."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from drainwright.field.terrain_model import Contour, LowSpot
from drainwright.paper.frame import Scale, View, plan_scale
from drainwright.paper.label import Label
from drainwright.paper.sheet import Mark, Point, Polygon, Polyline
from drainwright.quantities import System

MOST_CONTOUR_LABELS = 60
LABEL_EVERY = 90.0  # along an index contour [mm]

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
    """Levels along the lines that are worth naming."""
    found = []
    for contour, path in _worth_naming(lines):
        length = sum(math.dist(a, b) for a, b in itertools.pairwise(path))
        count = max(1, min(3, round(length / LABEL_EVERY)))
        for part in range(count):
            at, piece = _piece(path, length * (part + 0.5) / count)
            found.append(
                Label(lines=(contour_level(contour.level, interval, units),), at=at, path=piece, layer="text contour",
                      size=1.9, clear=0.0, inline=True, leader=False, droppable=True)
            )  # fmt: skip
    return found


def _worth_naming(
    lines: Sequence[Drawn],
) -> list[Drawn]:
    """Index contours, or all where there are few levels; the longest first, none that its label would hide."""
    strong = [item for item in lines if item[0].index]
    levels = {contour.level for contour, _ in lines}
    chosen = strong if len({contour.level for contour, _ in strong}) > 1 and len(levels) > 6 else list(lines)

    def length(item: Drawn) -> float:
        return sum(math.dist(a, b) for a, b in zip(item[1], item[1][1:], strict=False))

    return [item for item in sorted(chosen, key=length, reverse=True) if length(item) > 18.0][:MOST_CONTOUR_LABELS]


def _piece(path: Sequence[Point], distance: float) -> tuple[Point, tuple[Point, ...]]:
    """A place on a line, and the stretch about it that a label lies along."""
    walked = 0.0
    for start, end in itertools.pairwise(path):
        step = math.dist(start, end)
        if step > 0.0 and walked + step >= distance:
            share = (distance - walked) / step
            at = (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
            reach = (3.0 * (end[0] - start[0]) / step, 3.0 * (end[1] - start[1]) / step)
            return at, ((at[0] - reach[0], at[1] - reach[1]), (at[0] + reach[0], at[1] + reach[1]))
        walked += step
    return path[-1], (path[-2], path[-1])


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
