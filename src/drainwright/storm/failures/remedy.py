"""What would prevent a failure from wetting the floor, and how it came out when it was tried."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

RemedyKind = Literal[
    "alarm", "cleaning", "service", "second inlet", "second pump", "bigger pump", "battery", "overflow"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One remedy, with the size that matters for its price."""

    kind: RemedyKind
    title: str
    where: str = ""  # the basin, inlet or run
    size: float = 0.0  # of a battery its charge [Ah]; of an overflow its length [m]; of a bigger pump its label [W]
    depth: float = 0.0  # of an overflow's trench, as a mean [m]
    visits: int = 0  # a year, of cleaning and service
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A failure run again with one remedy."""

    remedy: Remedy
    prevents: bool  # the floor then stays dry, and no more water runs off over ground than with everything sound
    highest: float | None  # at the house; None: its drains stay dry, or it has no drain or basin [m]
    time_to_slab: float | None  # None: not reached [s]
    warning: float | None = None  # of an alarm: from its float to the slab; None: not reached, or no alarm [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prevention:
    """What would prevent one failure's harm."""

    key: str  # of the case
    title: str
    tried: tuple[Tried, ...]

    @property
    def works(self) -> tuple[Tried, ...]:
        """Those that work alone."""
        return tuple(one for one in self.tried if one.prevents)


__all__ = ["Prevention", "Remedy", "RemedyKind", "Tried"]
