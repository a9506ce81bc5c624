"""Where people stand deeper than trenches may be without protection, or without a ladder: each length once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from types import MappingProxyType

import numpy as np

from drainwright.build.earth import Series
from drainwright.build.model import DigKind, DigPlan, LineAtShields, Trench
from drainwright.build.panels import BESIDE, BaredLength, bared_lengths
from drainwright.build.passes import EVEN
from drainwright.build.protection import DOUBT, LADDER_FROM, PROTECTION_DEPTH, UNSURE
from drainwright.build.shield_lines import edges_of, lines_at, shut_spans
from drainwright.build.trench import Cut
from drainwright.field.model import Site, SiteWall
from drainwright.system.model import LiftStation, System

Span = tuple[float, float]

GUARDS = ("slope or shield", "engineer")
NONE: Mapping[str, Sequence[Span]] = MappingProxyType({})
TOUCH = 1e-6  # shorter stretches are none [m]
STAND = 0.3  # no room to stand: a shorter stretch is the end of the guarded or barred one beside it [m]
OWN, OTHERS, SHALLOW = "own", "others", "shallow"  # whose a stretch is


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardedPlace:
    """One length of digging that is deeper than the protection depth, open at once."""

    trench: str
    kind: DigKind
    panel: int  # number of the bared length that it lies in; zero: none
    length: float  # deeper than the depth asked for [m]
    at_walls: bool  # its drain and backfill are the walls' works
    work: str  # key of the work that digs it, without its passes
    passes: tuple[str, ...]  # ends of the keys of the walls' works: first pass, second, or either
    stoned: bool  # its stone alone brings the bottom up to less than that depth
    barred: bool = False  # a live line lies along inside its dig, whose works stand by themselves
    lines: tuple[LineAtShields, ...] = ()  # buried lines in the way of its shields

    @property
    def name(self) -> str:
        """The trench, with the bared length where there is one: ``north, length 3``."""
        return f"{self.trench}, length {self.panel}" if self.panel else self.trench


def guarded_places(site: Site, system: System, digs: Sequence[Cut], dig: DigPlan) -> tuple[GuardedPlace, ...]:
    """Every length of digging that nobody may enter without sloped, shored or shielded sides.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.
    digs : Sequence of Cut
        From ``trench.cuts``, in their order.
    dig : DigPlan
        Their trenches with the protection of each, and the length in which walls are bared.

    Returns
    -------
    tuple of GuardedPlace
        In the order of the diggings. Deep is what reaches the protection depth, half a foot added where the depth is
        assumed or stated. A stretch that lies in another deep dig is that one's. Each bared length of a wall is by
        itself, for an unopened one lies on both sides of it. Where a live gas, electric or propane line lies along
        inside a dig no shield fits: that stretch is left out, and nobody enters it.

    Notes
    -----
    29 CFR 1926.652(a)(1): each employee in an excavation is protected, except in stable rock and in excavations less
    than 5 ft deep where a competent person sees no sign of a cave-in.
    """
    trenches = {item.name: item for item in dig.trenches if item.protection in GUARDS}
    bars = {item.name: item.bars for item in trenches.values()}
    beside = {
        cut.name: [name for dig in (cut.name, *cut.beside) for name in bars.get(dig, ())]
        for cut in digs
        if cut.name in trenches
    }
    shut = shut_spans(digs, bars, site)
    found = _places(
        site, system, digs, dig, trenches, PROTECTION_DEPTH, barred=shut_spans(digs, beside, site), shut=shut
    )
    return tuple(replace(item, lines=lines_at(cut, span, dig.crossings, shut, digs, site)) for item, cut, span in found)


def ladder_places(site: Site, system: System, digs: Sequence[Cut], dig: DigPlan) -> tuple[GuardedPlace, ...]:
    """Every length of digging that asks for a ladder, 4 ft deep and more: 29 CFR 1926.651(c)(2).

    Parameters
    ----------
    site, system, digs, dig
        As for ``guarded_places``.

    Returns
    -------
    tuple of GuardedPlace
        In the order of the diggings; bared lengths of a wall are holes by themselves.
    """
    trenches = {item.name: item for item in dig.trenches if item.ladder}
    return tuple(item for item, _, _ in _places(site, system, digs, dig, trenches, LADDER_FROM))


def wet_places(site: Site, system: System, digs: Sequence[Cut], dig: DigPlan) -> tuple[GuardedPlace, ...]:
    """Every dig over whose bottom ground water stands, whatever its depth.

    Parameters
    ----------
    site, system, digs, dig
        As for ``guarded_places``.

    Returns
    -------
    tuple of GuardedPlace
        In the order of the diggings, each whole; it is kept dry until it is filled.
    """
    wet = {item.name: item.work for item in dig.trenches if item.water > 0.0}
    barred = {item.name for item in dig.trenches if item.bars}
    lengths = bared_lengths(site, system, dig.wall_panel) if wet else ()
    return tuple(
        GuardedPlace(
            trench=cut.name,
            kind=cut.kind,
            panel=0,
            length=cut.width if cut.kind == "basin" else float(cut.axis.length),
            at_walls=cut.kind == "wall" or _beside(cut, site, lengths),
            work=wet[cut.name],
            passes=("", EVEN) if _in_lengths(cut, lengths, digs) else ("",),
            stoned=False,
            barred=cut.name in barred,
        )
        for cut in digs
        if cut.name in wet
    )


def _mine(cut: Cut, lengths: Sequence[BaredLength]) -> list[BaredLength]:
    """The bared lengths of a wall's dig, or of the walls that a run lies along."""
    return [item for item in lengths if item.wall in ((cut.name,) if cut.run is None else cut.run.walls)]


def _in_lengths(cut: Cut, lengths: Sequence[BaredLength], digs: Sequence[Cut]) -> bool:
    """Whether a dig is made in lengths; of a run's own trench what lies beyond opened walls is dug with the first."""
    opened = {other.name for other in digs if other.kind == "wall"}
    return any(cut.run is None or item.wall not in opened for item in _mine(cut, lengths))


def _beside(cut: Cut, site: Site, lengths: Sequence[BaredLength]) -> bool:
    """Whether a run lies along a wall that is worked on."""
    opened = {wall.name for wall in site.walls if wall.wall.open_and_coat}
    return cut.run is not None and bool(cut.run.walls) and bool(lengths or opened & set(cut.run.walls))


def _places(
    site: Site, system: System, digs: Sequence[Cut], dig: DigPlan, trenches: dict[str, Trench], depth: float,
    barred: Mapping[str, Sequence[Span]] = NONE, shut: Mapping[str, Sequence[Span]] = NONE,
) -> list[tuple[GuardedPlace, Cut, Span]]:  # fmt: skip
    """Each place with its dig, and from and to along that dig's axis. [m]"""
    lengths = bared_lengths(site, system, dig.wall_panel)
    walls = {wall.name: wall for wall in site.walls}
    stations = {station.name: station for station in system.stations}
    found = []
    for index, cut in enumerate(digs):
        if cut.name not in trenches:
            continue
        over = [other for other in digs[:index] if other.name in trenches and {cut.kind, other.kind} != {"wall"}]
        mine = _mine(cut, lengths)
        away = [(other, shut[other.name]) for other in digs if other is not cut and other.name in shut]
        for panel, span in _lengths(cut, trenches, over, mine, walls, depth, barred.get(cut.name, ()), away):
            both = bool(mine) and panel == 0 and cut.run is None
            passes = ("", EVEN) if both else (EVEN,) if panel and panel % 2 == 0 else ("",)
            item = GuardedPlace(
                trench=cut.name,
                kind=cut.kind,
                panel=panel,
                length=span[1] - span[0],
                at_walls=cut.kind == "wall" or _beside(cut, site, lengths),
                work=trenches[cut.name].work,
                passes=passes,
                stoned=_stoned(cut, trenches[cut.name], stations.get(cut.name), depth),
                barred=bool(trenches[cut.name].bars),
            )
            found.append((item, cut, span))
    return found


def _doubt(trench: Trench) -> float:
    return DOUBT if trench.basis in UNSURE else 0.0


def _lengths(
    cut: Cut,
    trenches: dict[str, Trench],
    over: Sequence[Cut],
    lengths: Sequence[BaredLength],
    walls: dict[str, SiteWall],
    deep_from: float,
    barred: Sequence[Span],
    away: Sequence[tuple[Cut, Sequence[Span]]],
) -> Iterator[tuple[int, Span]]:
    """Bared length, and from and to along the axis, of each stretch that is deep and in no other deep dig. [m]"""
    from shapely import Point

    if cut.kind == "basin":
        if not barred and cut.depth + _doubt(trenches[cut.name]) >= deep_from - TOUCH:
            yield 0, (0.0, cut.width)
        return
    depth = cut.ground - cut.bottom + _doubt(trenches[cut.name]) - deep_from
    stations = np.unique(
        np.concatenate([
            cut.distances, _zeros(cut.distances, depth), _panel_ends(cut, lengths, walls),
            edges_of(cut, [other for other, _ in away]), *barred,
        ])
    )  # fmt: skip
    steps = []
    for start, end in pairwise(stations):
        middle = (start + end) / 2
        at = cut.axis.interpolate(middle)
        deep = bool(np.interp(middle, cut.distances, depth) >= -TOUCH)
        covered = any(
            other.area.contains(Point(at))
            and float(np.interp(other.axis.project(at), other.distances, other.ground - other.bottom))
            + _doubt(trenches[other.name])
            >= deep_from - TOUCH
            for other in over
        )
        shut = any(first <= middle <= last for first, last in barred) or any(
            other.area.contains(Point(at)) and any(a <= other.axis.project(Point(at)) <= b for a, b in spans)
            for other, spans in away
        )
        panel = _panel(cut, (at.x, at.y), lengths, walls)
        steps.append((OTHERS if covered or shut else OWN if deep else SHALLOW, panel, float(start), float(end)))
    stretches = [(key, list(group)) for key, group in groupby(steps, key=lambda step: step[:2])]
    for number, ((counts, panel), parts) in enumerate(stretches):
        span = (parts[0][2], parts[-1][3])
        beside = [stretches[other][0][0] for other in (number - 1, number + 1) if 0 <= other < len(stretches)]
        if counts == OWN and span[1] - span[0] > (STAND if {OWN, OTHERS} & set(beside) else TOUCH):
            yield panel, span


def _zeros(distances: Series, values: Series) -> Series:
    """Where values along a line pass through nought. [m]"""
    left, right = values[:-1], values[1:]
    turns = np.flatnonzero(left * right < 0)
    steps = np.diff(distances)[turns]
    return np.asarray(distances[turns] + steps * left[turns] / (left[turns] - right[turns]), dtype=float)


def _panel_ends(cut: Cut, lengths: Sequence[BaredLength], walls: dict[str, SiteWall]) -> Series:
    """Stations of the dig beside the ends of bared lengths. [m]"""
    from shapely import Point

    ends = {(item.wall, station) for item in lengths for station in (item.start, item.end)}
    found = []
    for name, station in sorted(ends):
        wall = walls[name]
        share = station / wall.length
        place = Point(*(a + share * (b - a) for a, b in zip(wall.start, wall.end, strict=True)))
        found.append(float(cut.axis.project(place)))
    return np.array(found, dtype=float)


def _panel(cut: Cut, at: tuple[float, float], lengths: Sequence[BaredLength], walls: dict[str, SiteWall]) -> int:
    """Number of the bared length beside a place; zero where none is near."""
    from shapely import LineString, Point

    best = (BESIDE + cut.width, 0)
    for item in lengths:
        wall = walls[item.wall]
        face = LineString([wall.start, wall.end])
        along = min(max(float(face.project(Point(at))), 0.0), wall.length)
        if item.start - TOUCH <= along <= item.end + TOUCH:
            best = min(best, (float(face.distance(Point(at))), item.number))
    return best[1]


def _stoned(cut: Cut, trench: Trench, station: LiftStation | None, deep_from: float) -> bool:
    """Whether stone alone leaves less than a depth open; a wall's dig is not filled by its drain's."""
    if cut.kind == "wall" or (cut.run is not None and cut.run.walls):
        return False
    if station is not None:
        left = station.ground - station.lowest_inlet
    elif cut.run is not None and cut.run.stone_width > 0:
        left = cut.depth - cut.run.stone_under - cut.run.pipe.outside - cut.run.stone_over
    else:
        return False
    return bool(left + _doubt(trench) < deep_from - TOUCH)


__all__ = ["GuardedPlace", "guarded_places", "ladder_places", "wet_places"]
