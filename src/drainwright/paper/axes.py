"""Axes: round steps, a frame with a grid, and numbers along it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.paper.frame import words
from drainwright.paper.measure import CAP, READ
from drainwright.paper.sheet import Mark, Point, TextMark
from drainwright.paper.symbols import box, line


def round_step(span: float, most: int) -> float:
    """The smallest of 1, 2, 5 times a power of ten that cuts ``span`` into at most ``most`` steps."""
    if span <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(span / most))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0, 20.0) if span / (step * power) <= most)


def ticks(low: float, high: float, step: float) -> list[float]:
    """Multiples of ``step`` from ``low`` to ``high``."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [number * step for number in range(first, last + 1)]


def tick_words(value: float, step: float) -> str:
    """A number with as many decimals as its step needs."""
    digits = max(0, -math.floor(math.log10(step) + 1e-9))
    return f"{value:z,.{digits}f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """A plotting area. Values are in the units shown."""

    left: float  # [mm]
    bottom: float  # [mm]
    width: float  # [mm]
    height: float  # [mm]
    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def __call__(self, x: float, y: float) -> Point:
        """A place on paper. [mm]"""
        return (
            self.left + self.width * (x - self.x_low) / (self.x_high - self.x_low),
            self.bottom + self.height * (y - self.y_low) / (self.y_high - self.y_low),
        )

    @property
    def right(self) -> float:
        """Right edge. [mm]"""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Upper edge. [mm]"""
        return self.bottom + self.height

    def frame(self) -> list[Mark]:
        """The frame of the area."""
        return [box("rule open", self.left, self.bottom, self.right, self.top)]

    def across(self, step: float, title: str, *, numbers: bool = True, size: float = 2.2) -> list[Mark]:
        """Upright grid lines, with numbers and a title below."""
        marks: list[Mark] = []
        for value in ticks(self.x_low, self.x_high, step):
            x, _ = self(value, self.y_low)
            marks.append(line("grid", (x, self.bottom), (x, self.top)))
            if numbers:
                marks.append(line("axis", (x, self.bottom), (x, self.bottom - 0.9)))
                marks.append(words("text soft", (x, self.bottom - 3.4), tick_words(value, step), size, "middle"))
        if title:
            marks.append(words("text", (self.left + self.width / 2, self.bottom - 7.2), title, 2.4, "middle"))
        return marks

    def up(self, step: float, title: str, *, size: float = 2.2, room: float = 10.0, faint: bool = True) -> list[Mark]:
        """Level grid lines, with numbers and a turned title at the left."""
        size = max(size, READ)
        marks: list[Mark] = []
        for value in ticks(self.y_low, self.y_high, step):
            _, y = self(self.x_low, value)
            if faint:
                marks.append(line("grid", (self.left, y), (self.right, y)))
            marks.append(line("axis", (self.left, y), (self.left - 0.9, y)))
            at = (self.left - 1.6, y - 0.52 * CAP * size)
            marks.append(words("text soft", at, tick_words(value, step), size, "end"))
        if title:
            at = (self.left - room, self.bottom + self.height / 2)
            marks.append(TextMark(layer="text", at=at, text=title, size=READ, anchor="middle", rotation=math.pi / 2))
        return marks


__all__ = ["Axes", "round_step", "tick_words", "ticks"]
