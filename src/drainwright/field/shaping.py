"""Ground shaped along the walls: its finished levels, how it runs out on to the ground beyond, and its earth."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drainwright.field.earthwork import plan_areas, prism_volume
from drainwright.field.places import Known, level_at
from drainwright.field.terrain_model import Array, Plan
from drainwright.field.wall_slopes import AT_WALL, free_way
from drainwright.field.words import fail
from drainwright.job.site import KeepClear
from drainwright.job.values import Basis
from drainwright.job.works import Shaping
from drainwright.quantities import write
from drainwright.worksheet import Card, catalogued, quiet

if TYPE_CHECKING:
    from drainwright.field.model import SiteWall
    from drainwright.field.words import Units

SPACING = 1.0  # between the sections of a strip [m]
COLUMNS = 12  # of ground levels out from the wall in each section
BANK = 3.0  # run over rise of the bank behind a swale: as steep as is mown; common practice, no source [-]
BANK_REACH = 3.048  # 10 ft: a bank that has not met the ground by then does not fit; common practice, no source [m]
MEETS = 0.006  # edge and ground this near in height are one [m]
#: Earth stays so far below what is on the wall. Siding 6 in, framing 8 in: "irc_r317"; a foundation wall's
#: top 6 in (4 in under masonry veneer): "irc_r404"; weep screed 4 in: "irc_r703".
#: Vent, window well and door sill: common practice, no source. [m]
CLEARANCE: Mapping[str, float] = {
    "wood siding": 0.1524, "wood framing": 0.2032, "foundation top": 0.1524, "weep screed": 0.1016, "vent": 0.0508,
    "window well": 0.1016, "door sill": 0.1016,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapedSection:
    """A shaped strip at one place along its wall: today's ground and the finished one."""

    station: float  # along the wall [m]
    foot: Plan  # on the wall [m]
    run: float  # out from the wall, as far as lot line and other walls let it [m]
    ground_wall: float  # today's, at the wall [m]
    ground_edge: float  # today's, at the strip's edge [m]
    wall_level: float  # finished [m]
    edge_level: float  # finished; never above the ground, so that no toe stands up at the edge [m]
    needed: float  # fall asked for over the run [m]
    highest: float | None  # finished ground may stand so high at the wall; None: nothing told to keep clear [m]
    clear_of: str = ""  # what sets ``highest``
    bank: float | None = 0.0  # from the edge out to where the bank meets the ground; None: it does not [m]

    @property
    def fall(self) -> float:
        """Of the finished ground over the run. [m]"""
        return self.wall_level - self.edge_level

    @property
    def runs_out(self) -> bool:
        """Whether the finished ground meets today's at the strip's edge."""
        return self.ground_edge - self.edge_level <= MEETS


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapedStrip:
    """One strip of shaped ground. Volumes are in place, tamped."""

    name: str
    number: int  # in ``works.shaping``
    strip: Shaping
    wall: SiteWall
    sections: tuple[ShapedSection, ...]  # along the wall
    outline: tuple[Plan, ...]  # of the strip with its banks, not closed [m]
    area: float  # the same [m²]
    fill: float  # [m³]
    cut: float  # banks included [m³]
    basis: Basis  # assumed where shots do not surround it

    @property
    def length(self) -> float:
        """Along the wall. [m]"""
        return self.sections[-1].station - self.sections[0].station

    @property
    def rise(self) -> float:
        """Area of wall that lies newly below the ground, less what is bared. [m²]"""
        steps = zip(self.sections, self.sections[1:], strict=False)
        return math.fsum(
            0.5 * (one.wall_level - one.ground_wall + other.wall_level - other.ground_wall)
            * (other.station - one.station)
            for one, other in steps
        )  # fmt: skip

    def covers(self, station: float) -> bool:
        """Whether a place along the wall is shaped. [m]"""
        return self.sections[0].station - 1e-6 <= station <= self.sections[-1].station + 1e-6

    def level_at(self, at: Plan) -> float | None:
        """Finished level at a place; None where the strip (its banks apart) does not cover it. [m]"""
        unit = ((self.wall.end[n] - self.wall.start[n]) / self.wall.length for n in (0, 1))
        away = (at[0] - self.wall.start[0], at[1] - self.wall.start[1])
        along = sum(part * way for part, way in zip(unit, away, strict=True))
        out = away[0] * self.wall.outward[0] + away[1] * self.wall.outward[1]
        run, top, edge = (
            float(
                np.interp(
                    along, [item.station for item in self.sections], [getattr(item, part) for item in self.sections]
                )
            )
            for part in ("run", "wall_level", "edge_level")
        )
        if not self.covers(along) or not -1e-6 <= out <= run + 1e-6 or run <= 0.0:
            return None
        return top + (edge - top) * min(max(out / run, 0.0), 1.0)

    def edges(self) -> Iterator[Plan]:
        """The strip's outer edge, section by section. [m]"""
        out = self.wall.outward
        for item in self.sections:
            yield (item.foot[0] + item.run * out[0], item.foot[1] + item.run * out[1])


@catalogued(
    Card(
        title="Finished level at the wall of shaped ground",
        symbol="z",
        expression="the higher of today's ground at the wall and that at the edge plus the fall; never above what must"
        " stay clear of earth",
        units={"ground_wall": "m", "ground_edge": "m", "fall": "m", "highest": "m", "result": "m"},
        source="irc_r401",
        expression_kind="procedure",
    )
)
def level_at_wall(ground_wall: float, ground_edge: float, fall: float, highest: float) -> float:
    """Finished level at the wall that lets shaped ground run out at its edge: z = max(z_wall, z_edge + fall).

    Parameters
    ----------
    ground_wall, ground_edge : float
        Today's ground at the wall and at the strip's edge. [m]
    fall : float
        Wanted from wall to edge. [m]
    highest : float
        The ground may not stand above it; infinite where nothing is to be kept clear. [m]

    Returns
    -------
    float
        Level. [m]

    Examples
    --------
    >>> level_at_wall(100.0, 99.95, 0.15, math.inf)
    100.1
    """
    return min(max(ground_wall, ground_edge + fall), highest)


def shaped_strips(
    site: Known, strips: Sequence[Shaping], outline: Sequence[Plan], boundary: Sequence[Plan], units: Units
) -> tuple[ShapedStrip, ...]:
    """Finished ground of every strip that the job asks for.

    Parameters
    ----------
    site : Known
        Ground, points and walls.
    strips : sequence of Shaping
        Of the job.
    outline, boundary : sequence of Plan
        House and lot: another wall or the lot line ends a strip, which keeps its slope. [m]
    units : {"US", "SI"}
        Of the errors.

    Returns
    -------
    tuple of ShapedStrip
        In the order of the job. Earth is by prisms between sections about a metre apart; what two strips share at an
        inner corner belongs to the first.

    Raises
    ------
    JobError
        If a strip, or what is to be kept clear, reaches beyond its wall.
    """
    walls = {wall.name: wall for wall in site.walls}
    for order, wall in enumerate(site.walls):
        for index, item in enumerate(wall.wall.keep_clear):
            _within(item.from_, item.to, wall, f"house.walls[{order}].keep_clear[{index}]", units)
    found: list[ShapedStrip] = []
    for number, strip in enumerate(strips):
        wall = walls[strip.wall]
        _within(strip.from_, strip.to, wall, f"works.shaping[{number}]", units)
        same = sum(1 for other in strips[:number] if other.wall == strip.wall)
        name = strip.wall if same == 0 else f"{strip.wall}-{same + 1}"
        found.append(_shaped(site, strip, number, name, wall, outline, boundary, found))
    return tuple(found)


def _within(start: float, end: float | None, wall: SiteWall, where: str, units: Units) -> None:
    far, part = (start, "from") if end is None else (end, "to")
    if far > wall.length + 0.01 or start >= wall.length - 1e-6:
        part = "from" if start >= wall.length - 1e-6 else part
        shown, limit = (write(value, "length", units) for value in (start if part == "from" else far, wall.length))
        raise fail(f"{where}.{part}", f"{shown} along wall {wall.name}", f"less than the wall's length, {limit}")


def _shaped(
    site: Known, strip: Shaping, number: int, name: str, wall: SiteWall, outline: Sequence[Plan],
    boundary: Sequence[Plan], before: Sequence[ShapedStrip],
) -> ShapedStrip:  # fmt: skip
    end = wall.length if strip.to is None else min(strip.to, wall.length)
    station = np.linspace(strip.from_, end, max(2, round((end - strip.from_) / SPACING) + 1))
    start, out = np.array(wall.start), np.array(wall.outward)
    foot = start + station[:, None] * (np.array(wall.end) - start) / wall.length
    inner = np.clip(station, min(AT_WALL, 0.5 * end), wall.length - AT_WALL)  # not in line with a wall round the corner
    probe = start + inner[:, None] * (np.array(wall.end) - start) / wall.length
    reach = strip.width + BANK_REACH
    free = np.array([free_way(at, out, outline, boundary, reach) for at in probe])
    run = np.minimum(strip.width, free)
    ways = run[:, None] * np.linspace(0.0, 1.0, COLUMNS)
    plan = foot[:, None, :] + ways[:, :, None] * out
    read = foot[:, None, :] + np.maximum(ways, AT_WALL)[:, :, None] * out
    ground = site.surface.level(read[..., 0], read[..., 1])
    known = bool(site.surface.supported(read[..., 0], read[..., 1]).all())
    sections = []
    for row, along in enumerate(station.tolist()):
        where = f"works.shaping[{number}].start_level"
        here = (float(foot[row, 0]), float(foot[row, 1]))
        needed = strip.fall * float(run[row]) / strip.width
        highest, of = _highest(site, wall, along, here)
        low, high = float(ground[row, 0]), float(ground[row, -1])
        with quiet():
            top = (
                level_at_wall(low, high, needed, math.inf if highest is None else highest)
                if strip.start_level is None
                else level_at(strip.start_level, site, here, where)
            )
        edge = min(top - needed, high)
        sections.append(
            ShapedSection(
                station=along, foot=here, run=float(run[row]), ground_wall=low, ground_edge=high, wall_level=top,
                edge_level=edge, needed=needed, highest=highest, clear_of=of,
                bank=_bank(site, plan[row, -1], out, edge, high, float(free[row] - run[row])),
            )
        )  # fmt: skip
    return _measured(site, strip, number, name, wall, tuple(sections), plan, ground, before, known=known)


def _highest(site: Known, wall: SiteWall, along: float, here: Plan) -> tuple[float | None, str]:
    """How high the ground may stand at a place of a wall, and for what."""
    limits = [
        (level_at(item.level.value, site, here) - CLEARANCE[item.kind], item.kind)
        for item in wall.wall.keep_clear
        if _over(item, wall, along)
    ]
    return min(limits, default=(None, ""))


def _over(item: KeepClear, wall: SiteWall, along: float) -> bool:
    end = wall.length if item.to is None else item.to
    return item.from_ - 0.5 * SPACING <= along <= end + 0.5 * SPACING


def _bank(site: Known, at: Array, out: Array, edge: float, ground: float, room: float) -> float | None:
    """How far beyond the edge the bank behind it meets the ground; None where it does not. [m]"""
    if ground - edge <= MEETS:
        return 0.0
    ways = np.linspace(0.0, min(room, BANK_REACH), 41)
    levels = site.surface.level(at[0] + ways * out[0], at[1] + ways * out[1])
    over = np.flatnonzero(edge + ways / BANK >= levels)
    return float(ways[over[0]]) if len(over) else None


def _measured(
    site: Known, strip: Shaping, number: int, name: str, wall: SiteWall, sections: tuple[ShapedSection, ...],
    plan: Array, ground: Array, before: Sequence[ShapedStrip], *, known: bool,
) -> ShapedStrip:  # fmt: skip
    """The strip with its earth: prisms of triangles between its sections, banks in a row of columns of their own."""
    import shapely

    share = np.linspace(0.0, 1.0, plan.shape[1])
    top, edge = (np.array([getattr(item, part) for item in sections]) for part in ("wall_level", "edge_level"))
    depth = top[:, None] + (edge - top)[:, None] * share - ground
    wide = np.array([BANK_REACH if item.bank is None else item.bank for item in sections])
    ways = wide[:, None] * np.linspace(0.0, 1.0, COLUMNS)
    beyond = plan[:, -1:, :] + ways[:, :, None] * np.array(wall.outward)
    behind = np.minimum(edge[:, None] + ways / BANK - site.surface.level(beyond[..., 0], beyond[..., 1]), 0.0)
    taken = shapely.union_all([shapely.Polygon(other.outline) for other in before])
    fill = cut = area = 0.0
    for places, heights in ((plan, depth), (beyond, behind)):
        rows, columns = heights.shape
        at, triangles = places.reshape(-1, 2), _triangles(rows, columns)
        if not taken.is_empty:
            triangles = triangles[~shapely.contains_xy(taken, at[triangles].mean(axis=1))]
        with quiet():
            earth = prism_volume(at, heights.ravel(), triangles, 0.0)
        fill, cut = fill + earth.cut, cut + earth.fill  # what stands above today's ground is brought in
        area += float(plan_areas(at, triangles).sum())
    ring = [*(tuple(item.foot) for item in sections), *(tuple(at) for at in beyond[::-1, -1].tolist())]
    return ShapedStrip(
        name=name, number=number, strip=strip, wall=wall, sections=sections,
        outline=tuple((float(east), float(north)) for east, north in ring), area=area, fill=fill, cut=cut,
        basis=Basis.MEASURED if known else Basis.ASSUMED,
    )  # fmt: skip


def _triangles(rows: int, columns: int) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """Two triangles for each field of a grid of places, by number, shape (m, 3)."""
    first = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)).ravel()
    near, far = first + 1, first + columns
    return np.concatenate([np.stack([first, near, far], axis=1), np.stack([near, far + 1, far], axis=1)])


__all__ = ["BANK", "CLEARANCE", "ShapedSection", "ShapedStrip", "level_at_wall", "shaped_strips"]
