"""What a proof of a finished job consists of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from drainwright.hydraulics.drawdown import Drawdown

UNTRIED = ("other pump", "area")  # reasons without a figure: the readings neither fit them nor speak against them
Verdict: TypeAlias = Literal["pass", "not", "cannot tell", "not done"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """What may stand behind a pump's flow that is not the expected one."""

    key: str
    said: str  # with the figure that it was worked out to give
    flow: float | None  # what it would give at the test's level; None: it gives any flow [m³/s]
    fits: bool  # the readings allow it
    off: float  # distance from the flow found, over its standard error; 0 for one that can be set to fit [-]

    @property
    def reads(self) -> str:
        """How the readings stand to it, in words."""
        if self.key in UNTRIED:
            return "not ruled out"
        return "fits" if self.fits else "does not fit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing that was to be proven."""

    where: str  # its place: a basin, a run, an inlet
    what: str
    found: str  # with its band, in the job's units
    wanted: str
    verdict: Verdict
    said: str = ""
    figures: Mapping[str, float] = field(default_factory=dict)  # SI


@dataclass(frozen=True, slots=True, kw_only=True)
class BasinProof:
    """A basin's test, reduced."""

    name: str
    drawdown: Drawdown
    area: float  # of the water's surface [m²]
    area_share: float  # standard error of that area over it [-]
    expected: float  # out of the basin at the test's level, less what the relief hole gives back [m³/s]
    returns: float  # water over the check valve that could come back [m³]
    free: Drawdown  # the same, as if the line could give back any amount: how the water rises after a stop and before
    reasons: tuple[Reason, ...]  # of a flow that is not as expected, the likeliest first

    @property
    def band(self) -> float:
        """Half of the pumped flow's band, that of the area in it. [m³/s]"""
        return with_area(self.drawdown.pumped.flow, self.drawdown.pumped.band, self.area_share)

    @property
    def back_band(self) -> float:
        """Half of the band of what comes back, that of the area in it. [m³/s]"""
        return with_area(self.drawdown.back.flow, self.drawdown.back.band, self.area_share)

    @property
    def free_band(self) -> float:
        """Half of the band of the rise after a stop over that before, that of the area in it. [m³/s]"""
        return with_area(self.free.back.flow, self.free.back.band, self.area_share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proven:
    """All rows of a job's proof."""

    rows: tuple[Row, ...]
    basins: tuple[BasinProof, ...]
    notes: tuple[str, ...]

    def count(self, verdict: Verdict) -> int:
        """How many rows have a verdict."""
        return sum(row.verdict == verdict for row in self.rows)

    @property
    def whole(self) -> bool:
        """Whether every row passes: the work may be signed off."""
        return all(row.verdict == "pass" for row in self.rows)


def with_area(flow: float, band: float, share: float) -> float:
    """Half of a band with the doubt of the area, which bears on every flow alike."""
    return float((band**2 + (1.96 * share * flow) ** 2) ** 0.5)


__all__ = ["BasinProof", "Proven", "Reason", "Row", "Verdict", "with_area"]
