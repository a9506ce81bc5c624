"""The ground of a yard area: how much there is, and the way of the water over it, reach by reach."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from drainwright.field.model import Site
from drainwright.field.places import plan_of
from drainwright.field.terrain_model import DrainedArea
from drainwright.field.words import fail, least_sure
from drainwright.job.site import FlowReach, Surface, YardArea
from drainwright.job.values import Basis
from drainwright.quantities import percent, write
from drainwright.water.check import outline_area, span
from drainwright.water.paths import Reach
from drainwright.water.travel import SHEET_LIMIT, sheet_roughness

AWAY = "away"


@dataclass(frozen=True, slots=True, kw_only=True)
class YardGround:
    """A yard area with the way of the water over it."""

    size: float  # [m²]
    slope: float  # mean, of the ground [m/m]
    reaches: tuple[Reach, ...]  # from the farthest place downwards; sheet flow first and no longer than its limit
    basis: Basis
    beyond: float = 0.0  # part of the size that lies beyond the boundary [m²]
    notes: tuple[str, ...] = ()

    @property
    def length(self) -> float:
        """Of the whole way [m]."""
        return sum(reach.length for reach in self.reaches)

    @property
    def sheet(self) -> float:
        """Of the way as a sheet [m]."""
        return sum(reach.length for reach in self.reaches if reach.kind == "sheet")


def yard_ground(site: Site, yard: YardArea) -> YardGround:
    """Area, slope and way of a yard: as entered, or as the shots show the ground that drains to its inlet.

    Parameters
    ----------
    site : Site
        The surveyed site.
    yard : YardArea
        One of its job.

    Returns
    -------
    YardGround
        Sheet flow beyond 100 ft (30 m) is taken as shallow flow, as NEH 630 ch. 15 tells, and noted. Ground that is cut
        off at the last shots is at least so much: it is marked assumed, and noted.

    Raises
    ------
    JobError
        If the outline names a place that does not exist, or the yard is to be read off ground that does not drain
        to its inlet.
    """
    notes: list[str] = []
    bases: list[Basis] = []
    slope, beyond, fall = yard.slope.value, 0.0, yard.slope.value
    length: float | None = None
    if yard.from_ground:
        drained = _drained(site, yard)
        size, beyond = _share(site, yard, drained)
        slope = fall = drained.slope
        if drained.longest > 0.0:
            length, fall = drained.longest, max(drained.fall, 0.0) / drained.longest
        bases.append(Basis.ASSUMED if drained.cut_off else _shots_basis(site))
        notes.append(_as_the_shots_show(site, yard, size, beyond, slope, length, fall))
        if drained.cut_off:
            notes.append(
                f"Yard {yard.name}: at least {write(size, 'area', site.job.units)}: its ground ends at the last shots;"
                " what lies beyond is not counted."
            )
    else:
        bases.append(yard.slope.basis)
        size = _entered_size(site, yard, bases)
        beyond = size if yard.beyond else 0.0
        if yard.flow_length is not None:
            length = yard.flow_length.value
            bases.append(yard.flow_length.basis)
    if yard.flow_path:
        reaches = [_reach(part, yard.surface) for part in yard.flow_path]
        bases += [part.slope.basis for part in yard.flow_path]
    else:
        if length is None:
            length = size**0.5
            bases.append(Basis.ASSUMED)
            notes.append(f"Yard {yard.name}: the flow length is assumed, the side of a square of its area.")
        reaches = [
            Reach(
                kind="sheet", length=length, slope=fall, surface=yard.surface, roughness=sheet_roughness(yard.surface)
            )
        ]
    kept = _within_the_sheet_limit(reaches)
    sheet = sum(reach.length for reach in reaches if reach.kind == "sheet")
    if sheet > SHEET_LIMIT * (1.0 + 1e-9):
        units = site.job.units
        notes.append(
            f"Yard {yard.name}: of {span(sheet, units)} of sheet flow only the first"
            f" {span(SHEET_LIMIT, units)} count as such; beyond, water gathers in rills and is taken as"
            " shallow flow."
        )
    return YardGround(
        size=size, slope=slope, reaches=kept, basis=least_sure(*bases), beyond=beyond, notes=tuple(notes)
    )  # fmt: skip


def yard_size(site: Site, yard: YardArea) -> float:
    """Area of a yard in plan: as given, by the shoelace formula from its outline, or off the ground [m²].

    Raises
    ------
    JobError
        If the outline names a place that does not exist, or no ground drains to the inlet of a yard from the ground.
    """
    return _share(site, yard, _drained(site, yard))[0] if yard.from_ground else _entered_size(site, yard, [])


def beside_the_ground(site: Site) -> list[str]:
    """For each inlet with entered yards: the ground that the shots show to drain to it, said beside them."""
    if site.terrain is None:
        return []
    units, notes = site.job.units, []
    for inlet in dict.fromkeys(yard.to for yard in site.job.yards if yard.to != AWAY):
        yards = [yard for yard in site.job.yards if yard.to == inlet]
        entered = [yard for yard in yards if not yard.from_ground]
        drained = site.terrain.area_to(inlet)
        if not entered or drained is None:
            continue
        names = ", ".join(yard.name for yard in entered)
        if len(entered) < len(yards):
            notes.append(f"Inlet {inlet} takes the ground by the shots and also {names}: see that none counts twice.")
            continue
        size = sum(yard_size(site, yard) for yard in entered)
        more = ""
        if drained.beyond > 0.0:
            more = f", and {write(drained.beyond, 'area', units)} of the surveyed ground beyond the boundary"
        notes.append(
            f"To inlet {inlet} are entered {write(size, 'area', units)} ({names}); by the shots"
            f" {write(drained.area, 'area', units)} of the lot drain to it{more}, every low spot full."
        )
    return notes


def _entered_size(site: Site, yard: YardArea, bases: list[Basis]) -> float:
    if yard.area is not None:
        bases.append(yard.area.basis)
        return yard.area.value
    named = [site.points[at.name].basis for at in yard.outline if at.name is not None and at.name in site.points]
    bases += named or [Basis.STATED]
    size = outline_area([plan_of(at, site.points, f"yards.{yard.name}.outline") for at in yard.outline])
    if size < 1e-6:
        raise fail(f"yards.{yard.name}.outline", "places that enclose next to nothing", "places round an area")
    return size


def _drained(site: Site, yard: YardArea) -> DrainedArea:
    """The ground by the shots, for a yard that is to be read off it."""
    where = f"yards.{yard.name}.from_ground"
    if yard.to == AWAY:
        raise fail(where, "a yard that sheds away", "a yard that sheds to an inlet")
    alike = [other.name for other in site.job.yards if _same_ground(other, yard)]
    if alike[0] != yard.name:
        raise fail(where, f"the ground of {yard.to} again, as in yard {alike[0]}", "each ground in one yard")
    drained = site.terrain.area_to(yard.to) if site.terrain is not None else None
    if drained is None or (drained.beyond if yard.beyond else drained.area) <= 0.0:
        kind = "ground beyond the boundary" if yard.beyond else "ground"
        raise fail(
            where, f"no {kind} that drains to {yard.to} by the shots", "an inlet that ground drains to",
            "Take shots around the inlet and up the slope, or give the area itself.",
        )  # fmt: skip
    return drained


def _same_ground(one: YardArea, other: YardArea) -> bool:
    return one.from_ground and one.to == other.to and one.beyond == other.beyond


def _share(site: Site, yard: YardArea, drained: DrainedArea) -> tuple[float, float]:
    """The yard's size, and how much of it lies beyond the boundary. [m²]

    Ground beyond counts once: in the yard that is marked so, or, where there is none, in the lot's.
    """
    if yard.beyond:
        return drained.beyond, drained.beyond
    apart = any(other.beyond and other.to == yard.to for other in site.job.yards)
    beyond = 0.0 if apart else drained.beyond
    return drained.area + beyond, beyond


def _shots_basis(site: Site) -> Basis:
    """Of the least sure of the levels by which the ground is known."""
    bases = [point.basis for point in site.points.values() if point.level is not None]
    bases += [group.basis for group in site.job.survey.shot_sets]
    return least_sure(*bases) if bases else Basis.ASSUMED


def _as_the_shots_show(
    site: Site, yard: YardArea, size: float, beyond: float, slope: float, length: float | None, fall: float
) -> str:
    units = site.job.units
    way = "" if length is None else f", its longest way {span(length, units)} at {percent(fall, 1)}"
    also = ""
    if beyond > 0.0 and not yard.beyond:
        also = f" Of it {write(beyond, 'area', units)} lie beyond the boundary."
    return (
        f"Yard {yard.name} is the ground that the shots show to drain to {yard.to}:"
        f" {write(size, 'area', units)}, {percent(slope, 1)} steep on the mean{way}.{also}"
    )


def _reach(part: FlowReach, usual: Surface) -> Reach:
    surface = part.surface or usual
    roughness, radius = part.roughness, None
    if part.kind == "sheet" and roughness is None:
        roughness = sheet_roughness(surface)
    if part.kind == "channel":
        depth, width = part.depth or 0.0, part.width or 0.0  # both are there: the job was read so
        area = (width + part.side_slope * depth) * depth
        radius = area / (width + 2.0 * depth * math.hypot(1.0, part.side_slope))
    return Reach(
        kind=part.kind, length=part.length, slope=part.slope.value, surface=surface, roughness=roughness, radius=radius
    )


def _within_the_sheet_limit(reaches: list[Reach]) -> tuple[Reach, ...]:
    """The reaches with sheet flow beyond its limit turned into shallow flow."""
    kept, left = [], SHEET_LIMIT
    for reach in reaches:
        if reach.kind != "sheet" or reach.length <= left * (1.0 + 1e-9):
            kept.append(reach)
        else:
            if left > 0.0:
                kept.append(_cut(reach, "sheet", left))
            kept.append(_cut(reach, "shallow", reach.length - left))
        left -= min(left, reach.length) if reach.kind == "sheet" else 0.0
    return tuple(kept)


def _cut(reach: Reach, kind: Literal["sheet", "shallow"], length: float) -> Reach:
    roughness = reach.roughness if kind == "sheet" else None
    return Reach(kind=kind, length=length, slope=reach.slope, surface=reach.surface, roughness=roughness)


__all__ = ["AWAY", "YardGround", "beside_the_ground", "yard_ground", "yard_size"]
