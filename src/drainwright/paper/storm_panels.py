"""Plots below each other on one time axis, and curves on them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from drainwright.paper.axes import Axes, round_step
from drainwright.paper.frame import words
from drainwright.paper.measure import READ, wrap
from drainwright.paper.sheet import Mark, Polygon, Polyline

LEFT = 60.0  # titles and numbers left of the plots [mm]
RIGHT = 40.0  # names right of the plots [mm]
GAP = 7.0  # between plots [mm]
HOUR = 3600.0  # [s]

Series = NDArray[np.float64]


def thin(times: Series, values: Series, width: float, pitch: float = 0.25) -> tuple[Series, Series]:
    """Keep the lowest and highest value of each ``pitch`` millimetres of a curve ``width`` wide, in order."""
    count = max(1, int(width / pitch))
    if len(times) <= 2 * count:
        return times, values
    bins = np.minimum((count * (times - times[0]) / (times[-1] - times[0])).astype(int), count - 1)
    keep: set[int] = {0, len(times) - 1}
    starts = np.searchsorted(bins, np.arange(count + 1))
    for start, end in pairwise(starts):
        if end > start:
            keep.add(int(start + np.argmin(values[start:end])))
            keep.add(int(start + np.argmax(values[start:end])))
    chosen = np.array(sorted(keep))
    return times[chosen], values[chosen]


def curve(axes: Axes, layer: str, times: Series, values: Series) -> Polyline:
    """A line through values, held within the plot's height."""
    t, v = thin(times, values, axes.width)
    v = np.clip(v, axes.y_low, axes.y_high)
    return Polyline(layer=layer, points=tuple(axes(float(a), float(b)) for a, b in zip(t, v, strict=True)))


def area_under(axes: Axes, layer: str, times: Series, values: Series) -> Polygon:
    """The area between a curve and the plot's lower edge."""
    upper = curve(axes, layer, times, values).points
    return Polygon(layer=layer, points=((upper[0][0], axes.bottom), *upper, (upper[-1][0], axes.bottom)))


def nice_top(value: float, most: int) -> tuple[float, float]:
    """Upper end and step of an axis from zero."""
    top = 1.02 * (value if value > 1e-6 else 1.0)  # where nothing flows, an axis that says nothing but zero
    step = round_step(top, most)
    return float(np.ceil(top / step) * step), step


def span(seconds: float) -> str:
    """A time in minutes or hours."""
    minutes = round(seconds / 60.0)
    return f"{minutes} min" if minutes < 120 else f"{seconds / HOUR:.1f} h"


class Panels:
    """Plots below each other on one time axis."""

    def __init__(self, frame: tuple[float, float, float, float], hours: float) -> None:
        self.left, _, right, top = frame
        self.y = top - 1.0  # the uppermost number of a plot stands half above it
        self.width = right - self.left - LEFT - RIGHT
        self.hours = hours
        self.step = round_step(hours, 8)
        self.marks: list[Mark] = []

    def next(self, height: float, low: float, high: float) -> Axes:
        """The next plot down, with its time grid."""
        area = Axes(
            left=self.left + LEFT, bottom=self.y - height, width=self.width, height=height,
            x_low=0.0, x_high=self.hours, y_low=low, y_high=high,
        )  # fmt: skip
        self.y -= height + GAP
        self.marks += area.across(self.step, "", numbers=False)
        return area

    def title(self, title: str, *more: str) -> None:
        """Words left of the next plot."""
        self.marks.append(words("text", (self.left, self.y - 2.4), title, 2.8, weight="semibold"))
        y = self.y - 6.2
        for row in (row for text in more for row in wrap(text, LEFT - 20.0, READ)):
            self.marks.append(words("text soft", (self.left, y), row, 2.1))
            y -= 3.1


__all__ = ["GAP", "HOUR", "LEFT", "RIGHT", "Panels", "Series", "area_under", "curve", "nice_top", "span", "thin"]
