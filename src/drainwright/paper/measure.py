"""How much room a text takes: the advance widths of the font that the papers ship."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from importlib.resources import files
from typing import TypeAlias

from drainwright.paper.sheet import Point, TextMark, Weight
from drainwright.paper.tongue import as_said, said

Quad: TypeAlias = tuple[Point, Point, Point, Point]  # anticlockwise [mm]

CAP = 0.66  # height of a capital over the size: OS/2 sCapHeight of the font
ASCENT = 0.74  # to the top of an accent-free letter with ascender, over the size
DESCENT = 0.21  # below the baseline, over the size
LEADING = 1.22  # from line to line, over the size
READ = 2.5  # the smallest type of a sheet: 7 pt, the least that is read at arm's length [mm]
UNITS = frozenset(
    (
        "ft", "in", "mm", "m", "L", "L/s", "L/min", "gpm", "gph", "gal", "kg", "lb", "h", "min", "%", "ft/s", "m/s",
        "ft²", "ft³", "yd³", "m²", "m³", "psi", "kPa", "mil", "hp",
    )
)  # fmt: skip
_FRACTION, _FEET = re.compile(r"\d+/\d+"), re.compile(r"\d ft$")
_FACES: Mapping[Weight, str] = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf"}


class _Advances(dict[str, float]):
    """By character; the size itself for one that the font does not know."""

    def __missing__(self, character: str) -> float:
        return 1.0


@lru_cache(maxsize=4)
def _advances(weight: Weight) -> _Advances:
    """Advance of each character over the size."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with files("font_source_sans_pro").joinpath("files", _FACES[weight]).open("rb") as handle:
        font = TTFont(handle, lazy=True)
        em = font["head"].unitsPerEm
        widths = font["hmtx"].metrics
        return _Advances({chr(code): widths[glyph][0] / em for code, glyph in font.getBestCmap().items()})


def text_width(text: str, size: float, weight: Weight = "regular") -> float:
    """Width of a line of text as it is drawn, without kerning. [mm]"""
    return _width(said(text), size, weight)


@lru_cache(maxsize=4096)
def _width(text: str, size: float, weight: Weight) -> float:
    return size * sum(map(_advances(weight).__getitem__, text))


def fit(text: str, width: float, size: float, weight: Weight = "regular") -> str:
    """The text, cut with an ellipsis where it is wider than ``width``."""
    text = said(text)
    if _width(text, size, weight) <= width:
        return text
    while text and _width(text + "…", size, weight) > width:
        text = text[:-1]
    return as_said(text.rstrip() + "…")


def wrap(text: str, width: float, size: float, weight: Weight = "regular") -> tuple[str, ...]:
    """The text in lines no wider than ``width``; a longer word is cut."""
    lines: list[str] = []
    for word in said(text).split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and _width(joined, size, weight) <= width:
            lines[-1] = joined
        else:
            lines.append(fit(as_said(word), width, size, weight))
    return tuple(map(as_said, lines))


def wrap_figures(text: str, width: float, size: float, weight: Weight = "regular") -> tuple[str, ...]:
    """The same, with each figure whole, its fraction and units with it, where it fits the width."""
    lines: list[str] = []
    for figure in _whole_figures(said(text).split()):
        for word in [figure] if _width(figure, size, weight) <= width else figure.split(" "):
            joined = f"{lines[-1]} {word}" if lines else word
            if lines and _width(joined, size, weight) <= width:
                lines[-1] = joined
            else:
                lines.append(fit(as_said(word), width, size, weight))
    return tuple(map(as_said, lines))


def _whole_figures(parts: Iterable[str]) -> list[str]:
    """Words, with those of a figure in one: ``2 ft 9 3/4 in``."""
    found: list[str] = []
    for part in parts:
        last, bare = found[-1] if found else "", part.rstrip(".,;:)")
        goes_on = bare in UNITS or _FRACTION.fullmatch(bare) is not None
        if (last[-1:].isdigit() and goes_on) or (_FEET.search(last) is not None and part[:1].isdigit()):
            found[-1] = f"{last} {part}"
        else:
            found.append(part)
    return found


def rectangle(at: Point, left: float, right: float, bottom: float, top: float, rotation: float = 0.0) -> Quad:
    """A rectangle given from a point, turned about that point."""
    cos, sin = math.cos(rotation), math.sin(rotation)

    def turn(x: float, y: float) -> Point:
        return (at[0] + x * cos - y * sin, at[1] + x * sin + y * cos)

    return (turn(left, bottom), turn(right, bottom), turn(right, top), turn(left, top))


def text_box(mark: TextMark) -> Quad:
    """The rectangle that a text covers."""
    width = text_width(mark.text, mark.size, mark.weight)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[mark.anchor]
    return rectangle(mark.at, left, left + width, -DESCENT * mark.size, ASCENT * mark.size, mark.rotation)


__all__ = [
    "ASCENT", "CAP", "DESCENT", "LEADING", "READ", "Quad", "fit", "rectangle", "text_box", "text_width", "wrap",
    "wrap_figures",
]  # fmt: skip
