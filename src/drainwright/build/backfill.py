"""Filling a dig again: in which order, in which lifts, how it is tamped, and how high it is left. Frozen results.

Common practice, no source, unless said: the engineer's or the place's word comes first.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from drainwright.build.earth import SOILS
from drainwright.build.model import Trench
from drainwright.build.pits import pit_beds
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Site
from drainwright.job.site import Texture
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.model import SizedRun, System
from drainwright.system.yard.basin_hole import HOLE_BED

GRAINED: tuple[Texture, ...] = ("sand", "loamy sand", "sandy loam")
LIFT_GRAINED, LIFT_FINE = 6.0 * INCH, 4.0 * INCH  # loose
CAP = 8.0 * INCH  # of tight native soil and topsoil at the top, beside a house
SETTLES = 1.0 / 24.0  # of the native fill's height: half an inch for each foot, left as a crown [-]
BY_HAND = 2.0 * FOOT  # from a wall, no machine tamps

DAMP = "damp: a handful holds together"
MOIST = "as moist as keeps its shape when squeezed, never wet: wet clay is set aside"

Stage = Literal["stone", "fabric", "native lifts", "cap", "crown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Backfill:
    """How one dig is filled."""

    trench: str
    stone: float  # height of the stone round the drain, from the bottom [m]
    fabric: bool
    native: float  # height of native soil over it, the cap not counted [m]
    lift: float  # loose thickness of each lift [m]
    lifts: int
    cap: float  # height of the tight soil and topsoil at the top [m]
    crown: float  # left above the ground beside it, for what settles [m]
    by_hand: bool  # beside a wall or a basin's body: no machine, and no tamping on a coat that has not cured
    moisture: str

    @property
    def order(self) -> tuple[Stage, ...]:
        """What comes after what, from the bottom."""
        parts: list[tuple[Stage, bool]] = [
            ("stone", self.stone > 0), ("fabric", self.fabric), ("native lifts", self.lifts > 0), ("cap", self.cap > 0),
            ("crown", self.crown > 0),
        ]  # fmt: skip
        return tuple(stage for stage, there in parts if there)


def _stone_of_bodies(site: Site, system: System) -> dict[str, float]:
    """Height of the stone in the holes of basins, catch basins and soakaways, from the bottom, by the hole. [m]"""
    found = {
        station.name: HOLE_BED + BASIN_WALL + max(station.lowest_inlet - station.floor, 0.0)
        for station in system.stations
    }
    found |= {bed.run: math.fsum(zone.height for zone in bed.zones) for bed in pit_beds(site, system)}
    for soak in system.soaks:
        names = [soak.name] if soak.count == 1 else [f"{soak.name} {number}" for number in range(1, soak.count + 1)]
        found |= dict.fromkeys(names, soak.top - soak.bottom)
    return found


def beside_unopened(runs: Sequence[SizedRun], dug: Collection[str]) -> frozenset[str]:
    """Runs whose own trench lies along a wall: of a run at opened walls it is what lies beyond them."""
    return frozenset(run.name for run in runs if run.walls and not set(run.walls) & set(dug))


def backfills(site: Site, system: System, trenches: tuple[Trench, ...]) -> tuple[Backfill, ...]:
    """How each dig of walls and runs is filled again.

    Parameters
    ----------
    site, system : Site, System
        The site and its design.
    trenches : tuple of Trench
        From the dig plan.

    Returns
    -------
    tuple of Backfill
        The lifts are of the tallest place of each dig; where it is shallower there are fewer. Loose lifts are taken to
        fill, once tamped, the room that their soil had in the bank.
    """
    texture = site.job.ground.texture.value
    soil, grained = SOILS[texture], texture in GRAINED
    lift = LIFT_GRAINED if grained else LIFT_FINE
    runs = {run.name: run for run in system.runs}
    bodies = _stone_of_bodies(site, system)
    beside = beside_unopened(system.runs, {trench.name for trench in trenches})
    found = []
    for trench in trenches:
        run = runs.get(trench.name)
        drains = [item for item in system.runs if trench.name in item.walls] if run is None else [run]
        beds = [item for item in drains if item.stone_width > 0]
        stone = max((item.stone_under + item.pipe.outside + item.stone_over for item in beds), default=0.0)
        stone = min(max(stone, bodies.get(trench.name, 0.0)), trench.depth_greatest)
        above = trench.depth_greatest - stone
        wall = trench.kind == "wall" or trench.name in beside
        soak = trench.kind == "soakaway"
        cap = min(CAP, above) if wall else 0.0
        native = above - cap
        found.append(
            Backfill(
                trench=trench.name, stone=stone, fabric=soak or any(item.fabric for item in beds), native=native,
                lift=lift,
                lifts=math.ceil(native * (1.0 + soil.swell) / lift - 1e-9), cap=cap,
                crown=SETTLES * above, by_hand=wall or trench.kind in ("basin", "inlet"),
                moisture=DAMP if grained else MOIST,
            )
        )  # fmt: skip
    return tuple(found)


__all__ = ["BY_HAND", "CAP", "Backfill", "Stage", "backfills", "beside_unopened"]
