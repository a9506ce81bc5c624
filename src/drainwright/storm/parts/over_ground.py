"""Water over the ground: ponds as the survey found them, and where what spills runs on to."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.field.model import Plan, Site
from drainwright.field.terrain_model import LowSpot
from drainwright.storm.engine.plant import Floats, Overland
from drainwright.system.surface.carry_over import Group, Way
from drainwright.system.surface.grates import runs_on

ABOVE = 1.0  # how far the tables go over the level of spilling [m]
APART = 1e-6  # rows of a table lie at least so far apart [m]
UNKNOWN: Way = ("not known", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spill:
    """A store from which water can run over the ground."""

    row: int
    name: str  # of the node, or of the inlet below the pond
    crest: float  # [m]
    width: float  # [m]
    way: Way = UNKNOWN  # where it runs to


def surveyed_pond(site: Site, inlet: str) -> LowSpot | None:
    """The low spot in which an inlet stands, with all its parts; None where there is none, or the shots do not tell."""
    if site.terrain is None:
        return None
    spots = [spot for spot in site.terrain.low_spots if spot.inlet == inlet and spot.sure]
    return max(spots, key=lambda spot: spot.spill_level, default=None)


def pond_table(spot: LowSpot, rim: float, body: float) -> tuple[Floats, Floats, float]:
    """Levels, volumes and the level of spilling of a surveyed pond over a grate.

    Parameters
    ----------
    spot : LowSpot
        As the ground was surveyed; its curve ends at its spill level, beyond which its area stays.
    rim : float
        Of the grate [m]
    body : float
        Plan area under the grate [m²]

    Returns
    -------
    tuple
        Levels [m] and volumes [m³], both rising, and the crest, which lies no lower than the rim [m].
    """
    crest = max(spot.spill_level, rim)
    levels = np.array(spot.curve.level)
    stage = np.unique(np.concatenate([[min(levels[0], rim), rim, crest, crest + ABOVE], levels]))
    stage = stage[np.concatenate([[True], np.diff(stage) > APART])]
    water = np.interp(stage, levels, np.array(spot.curve.volume))
    water += spot.area * np.maximum(stage - levels[-1], 0.0)
    return stage, water + body * (stage - stage[0]), crest


def ways_over_ground(
    site: Site, grates: Mapping[str, Plan], others: Mapping[str, Plan] | None = None
) -> Callable[[Group], Way]:
    """Where water runs to that leaves the ponds of these grates, or comes up at other places.

    Not known where the ground was not surveyed.
    """
    if site.terrain is None:
        return lambda _: UNKNOWN
    return runs_on(site, grates, others)


def rings_out(spills: Mapping[str, Spill], follow: Callable[[Group], Way]) -> list[Spill]:
    """Ways out of rings of ponds that spill into one another: over the highest of their crests, from the lowest pond.

    Parameters
    ----------
    spills : mapping
        Of the ponds, by their inlets.
    follow : callable
        Where water goes that leaves several ponds.

    Returns
    -------
    list of Spill
        One for each ring.
    """
    found: dict[Group, Spill] = {}
    for start in spills:
        path = [start]
        while (way := spills[path[-1]].way)[0] == "inlet" and way[1] in spills and way[1] not in path:
            path.append(way[1])
        if way[0] == "inlet" and way[1] in path:
            group = tuple(sorted(path[path.index(way[1]) :]))
            if group in found:
                continue
            lowest = min(group, key=lambda name: (spills[name].crest, name))
            crest = max(spills[name].crest for name in group)
            found[group] = Spill(
                row=spills[lowest].row, name=lowest, crest=crest, width=spills[lowest].width, way=follow(group)
            )
    return list(found.values())


def overland_of(
    spills: Sequence[Spill], ponds: Mapping[str, int], floors: Mapping[str, float] | None = None
) -> tuple[Overland, tuple[Way, ...]]:
    """The rows of water over the ground, and where each goes.

    Parameters
    ----------
    spills : sequence of Spill
        Those without a width are left out.
    ponds : mapping
        Rows of the ponds, by their inlets.
    floors : mapping, optional
        Lowest levels of the ponds: water that runs to one has ground at least so high on its way. [m]

    Returns
    -------
    Overland, tuple of Way
        What comes to the walls of the house, leaves the lot, or goes where nobody knows leaves the plant; the ways
        tell which: "inlet", "house", "off the lot" or "not known", and to which inlet, walls or side.
    """
    kept = [spill for spill in spills if spill.width > 0.0]
    target: list[int] = []
    crest: list[float] = []
    to: list[Way] = []
    for spill in kept:
        kind, name = spill.way
        row = ponds.get(name, -1) if kind == "inlet" else -1
        row = -1 if row == spill.row else row
        target.append(row)
        crest.append(max(spill.crest, (floors or {}).get(name, spill.crest)) if row >= 0 else spill.crest)
        to.append(UNKNOWN if kind == "inlet" and row < 0 else spill.way)
    return Overland(
        source=np.array([spill.row for spill in kept], np.int64),
        target=np.array(target, np.int64),
        crest=np.array(crest),
        width=np.array([spill.width for spill in kept]),
    ), tuple(to)


__all__ = [
    "UNKNOWN", "Spill", "overland_of", "pond_table", "rings_out", "surveyed_pond", "ways_over_ground",
]  # fmt: skip
