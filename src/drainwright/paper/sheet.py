"""What is drawn: a sheet of paper with marks on it, in millimetres. Writers only know how to write marks."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Literal, TypeAlias

from drainwright.errors import InputError
from drainwright.job.accent import PLAIN_ACCENT
from drainwright.paper.tongue import as_said, said

Point: TypeAlias = tuple[float, float]  # right, up, from the sheet's bottom left corner [mm]
Weight: TypeAlias = Literal["regular", "semibold"]
Anchor: TypeAlias = Literal["start", "middle", "end"]

FONT = "Source Sans Pro"
_UNSAFE = frozenset({"Cc", "Cs", "Co", "Cn"})  # control characters, surrogates, private and unassigned
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")  # reorder text


def clean(text: str) -> str:
    """Make any text one plain line: no control characters, no marks that reorder text, single spaces."""
    if text.isascii() and text.isprintable():  # as nearly all are
        return " ".join(text.split())
    kept = ("" if ch in _TURNING else " " if ch.isspace() or unicodedata.category(ch) in _UNSAFE else ch for ch in text)
    return " ".join("".join(kept).split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Polyline:
    """An open line."""

    layer: str
    points: tuple[Point, ...]  # [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Polygon:
    """A closed shape, filled where its layer has a fill."""

    layer: str
    points: tuple[Point, ...]  # not closed [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle, filled where its layer has a fill."""

    layer: str
    centre: Point  # [mm]
    radius: float  # [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """Part of a circle, anticlockwise from ``start``."""

    layer: str
    centre: Point  # [mm]
    radius: float  # [mm]
    start: float  # from the right, anticlockwise [rad]
    sweep: float  # above zero, below a full turn [rad]


@dataclass(frozen=True, slots=True, kw_only=True)
class TextMark:
    """One line of text. It stays text in every format."""

    layer: str
    at: Point  # on the baseline, at the anchor [mm]
    text: str
    size: float = 2.2  # of the type, not of a letter [mm]
    anchor: Anchor = "start"
    rotation: float = 0.0  # anticlockwise [rad]
    weight: Weight = "regular"

    def __post_init__(self) -> None:
        object.__setattr__(self, "text", as_said(clean(said(self.text))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photo or plat, cut to a window and as faint as its layer says. It carries its content."""

    layer: str
    corner: Point  # its upper left, before it is cut [mm]
    width: float  # along its upper edge [mm]
    height: float  # [mm]
    turn: float  # of its upper edge, anticlockwise from the right [rad]
    window: tuple[float, float, float, float]  # left, bottom, right, top [mm]
    data: str  # data:image/png;base64,... or jpeg, svg+xml for a logo
    in_shape: bool = False  # as large as fits in width and height, in its own proportions


Mark: TypeAlias = Polyline | Polygon | Circle | Arc | TextMark | Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaledPart:
    """Marks of a sheet that are drawn to one scale."""

    title: str
    ratio: float  # of the true length over that on paper
    heights: float = 1.0  # heights are drawn so many times larger than lengths
    first: int = 0  # of its marks
    end: int | None = None  # behind the last of them; None for all the rest


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet. The first mark lies lowest."""

    name: str  # "plan", "profiles-1"
    title: str
    scale: str  # "1 in = 10 ft (1:120)", "as shown"
    width: float  # [mm]
    height: float  # [mm]
    description: str  # what is to be seen, for those who cannot see it
    marks: tuple[Mark, ...]
    scaled: tuple[ScaledPart, ...] = ()  # what may be measured in it, without border and title block
    accent: str = PLAIN_ACCENT  # the firm's colour, of its line in the title block
    number: int = 0  # in its title block; 0 where it has none

    def __post_init__(self) -> None:
        if not (self.width > 0 and self.height > 0):
            raise InputError(f"width, height = {self.width!r}, {self.height!r}: expected above zero")

    @property
    def texts(self) -> tuple[TextMark, ...]:
        """The text marks, in order."""
        return tuple(mark for mark in self.marks if isinstance(mark, TextMark))


__all__ = [
    "FONT", "Anchor", "Arc", "Circle", "Mark", "Picture", "Point", "Polygon", "Polyline", "ScaledPart", "Sheet",
    "TextMark", "Weight", "clean",
]  # fmt: skip
