"""Where the moisture comes from: causes ranked, with what speaks for and against each."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from drainwright.job.moisture import Test
from drainwright.job.site import FloorKind, Texture


class Moisture(StrEnum):
    """Causes that a careful practitioner tells apart."""

    GROUND_WATER = "ground water"
    CAPILLARY_RISE = "capillary rise"
    ROOF_WATER = "roof water"
    SURFACE_WATER = "surface water"
    WALL_RAIN = "rain through the wall above ground"
    SUPPLY_LEAK = "leak of a supply pipe"
    DRAIN_LEAK = "leak of a drain or appliance"
    CONDENSATION = "condensation"
    IRRIGATION = "irrigation"
    OPEN_WATER = "tide, canal or pond"


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseFacts:
    """What the site itself says, as far as it bears on the cause; None where nobody knows."""

    floor_kind: FloorKind
    texture: Texture
    ground_falls_to_wall: bool | None = None  # somewhere within 10 ft the ground falls towards the house
    ground_falls_enough: bool | None = None  # everywhere 6 in or more within 10 ft away from the walls
    water_stands_at_wall: bool | None = None  # a low spot touches a wall
    soil_above_floor: bool | None = None  # ground outside above the inside floor
    downspouts_at_wall: int = 0  # that end on the ground beside the house
    gutters: bool | None = None
    irrigation: bool | None = None
    table_below_floor: float | None = None  # underside of the floor less high ground water; negative: water above [m]
    capillary_rise: float | None = None  # of the soil [m]
    open_water: bool = False  # tide, canal, pond or stream named in the job
    tidal: bool = False
    run_on: bool | None = None  # water enters the lot from beyond its boundary


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One piece of evidence, as it bears on one cause."""

    text: str  # "wet days after rain, all along the floor edge"
    weight: float  # natural logarithm of the likelihood ratio; positive speaks for it
    source: str  # key in drainwright.sources


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedCause:
    """A cause with its evidence."""

    cause: Moisture
    share: float  # of the likelihood, all causes together 1; a rank, not a measured chance [-]
    evidence_for: tuple[Evidence, ...]
    evidence_against: tuple[Evidence, ...]
    remedy: str  # what cures it, in a sentence
    drainage_helps: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """The cheap test that would best part the leading causes."""

    test: Test
    how: str  # how to do it, in two or three sentences
    outcomes: tuple[tuple[str, Moisture], ...]  # each result, with the cause that would then lead
    remedies: tuple[bool | None, ...]  # after each result, whether drainage is the remedy; None: cannot be told yet
    brought_close: tuple[bool, ...]  # after each result, whether rain over the ground leads and water in it comes close
    gain: float  # expected fall of the uncertainty (bits) [-]

    def changes(self, leads: Moisture, remedy: bool | None) -> bool:
        """Whether a result puts another cause first, changes what is known of the remedy, or wants a drain too.

        Where rain over the ground leads clearly, shaping comes first and the drain may wait; a result that brings water
        in the ground close to it changes that.
        """
        return (
            any(cause is not leads for _, cause in self.outcomes)
            or any(item != remedy for item in self.remedies)
            or any(self.brought_close)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class MoistureSources:
    """The ranking."""

    causes: tuple[RankedCause, ...]  # the likeliest first; empty where nothing was seen
    next_test: NextTest | None  # None: no cheap test would change what is done first
    also: tuple[NextTest, ...]  # further tests that would change it, the next best first
    drainage_is_remedy: bool | None  # None: cannot be told yet
    short_of_floor: bool = False  # ground water leads, but the high ground water that was found stands below the floor
    verdict: str  # one sentence or two: what leads, how surely, whether drainage is the remedy
    unread: tuple[str, ...] = ()  # symptoms without a 'sign', which the ranking could not use


__all__ = [
    "Evidence", "HouseFacts", "Moisture", "MoistureSources", "NextTest", "RankedCause",
]  # fmt: skip
