"""The water table across the house, at a right angle to each drained wall: with the drains, and without."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.words import least_sure
from drainwright.hydraulics.watertable import half_fall_time, head_beside_drain, head_between, radial_resistance
from drainwright.job.works import Run
from drainwright.water.ground import ASSUMED_LAYER, PIPE_BED, Ground, floor_underside, ground_of
from drainwright.water.model import GroundLine, Inflows, Seepage
from drainwright.water.open_water import water_name
from drainwright.water.soil import capillary_rise_by_texture
from drainwright.water.uncertainty import with_bands
from drainwright.worksheet import place, quiet

OUTSIDE = (1.0, 0.6, 0.3, 0.15, 0.05)  # places outside, as shares of the drain's reach [-]
INSIDE = 12  # parts of the section under the house
ON_WALL = 0.30  # nearer than this to a wall line the section ends at that wall [m]
NO_FALL = 0.001  # a lowering below this is none [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    """A section across the house from one drain."""

    offset: float  # from the drain to the wall [m]
    width: float  # of the house along the section [m]
    opposite: Seepage | None  # of the drain along the opposite wall, if there is one
    wet: float  # wet perimeter of this drain's stone [m]
    wet_opposite: float  # of the other's [m]
    span: float  # from the drain to the other drain, or to undisturbed water [m]


def ground_lines(
    site: Site, ground: Ground, seepage: Sequence[Seepage], held: Mapping[str, float] | None = None
) -> tuple[GroundLine, ...]:
    """Water table across the house for each wall that a footing drain lies beside.

    Parameters
    ----------
    site : Site
        The surveyed site.
    ground : Ground
        As ``ground_of`` gives it.
    seepage : sequence of Seepage
        Of every footing drain, as ``seepage_into`` gives it.
    held : mapping, optional
        Level that the drain holds beside each wall, by the wall's name, once the drains are graded; a wall that is
        left out has its drain as low as ``seepage`` says. [m]

    Returns
    -------
    tuple of GroundLine
        One for each wall beside a footing drain, in the order of the job; none for a drain that names no wall.

    Notes
    -----
    Steady Dupuit flow with Ernst's radial resistance at the drain; under the roof no rain comes down. Between two
    drains on opposite walls the water stands level, as much over the drains as the flow from outside needs to gather
    to them; a drain that lies no lower than the water table draws none. With a drain on one side only, the water is
    taken as undisturbed at the far wall, or at the end of Sichardt's reach where that lies beyond: rain comes down
    again there, so it stands no higher. Springs from below, and drains along the side walls, are not in it.
    """
    drains = {run.name: run for run in site.job.works.runs if run.duty == "footing drain"}
    by_run = {item.run: item for item in seepage}
    beside = {name: run for run in drains.values() for name in run.beside}
    walls = {wall.name: wall for wall in site.walls}
    at_wall = {name: _holding(by_run[run.name], name, held or {}) for name, run in beside.items()}
    graded = ", drains as graded" if held else ""
    lines = []
    for run in drains.values():
        lowest = by_run[run.name].drain_level
        bottom = ground.barrier if ground.barrier is not None else lowest - ASSUMED_LAYER
        for name in run.beside:
            own = _holding(by_run[run.name], name, held or {})
            section = _section(site, walls[name], run, own, beside, at_wall)
            if section is not None:
                with place(f"runs.{run.name}", f"water table across the house at {name}{graded}"):
                    lines.append(_line(site, ground, own, bottom, name, section))
    return tuple(lines)


def _holding(seepage: Seepage, wall: str, held: Mapping[str, float]) -> Seepage:
    return replace(seepage, drain_level=held.get(wall, seepage.drain_level))


def across(outline: Sequence[Plan], wall: SiteWall) -> tuple[float, Plan] | None:
    """How wide the house is behind the middle of a wall, and where the far side is met.

    Returns
    -------
    tuple of float and Plan, or None
        Width [m] and place; None where the wall does not look into the house.
    """
    east, north = (wall.start[0] + wall.end[0]) / 2, (wall.start[1] + wall.end[1]) / 2
    de, dn = -wall.outward[0], -wall.outward[1]
    nearest = math.inf
    for (e1, n1), (e2, n2) in zip(outline, [*outline[1:], outline[0]], strict=True):
        turn = de * (n2 - n1) - dn * (e2 - e1)
        if abs(turn) < 1e-12:
            continue
        along = ((e1 - east) * (n2 - n1) - (n1 - north) * (e2 - e1)) / turn
        share = ((e1 - east) * dn - (n1 - north) * de) / turn
        if along > ON_WALL and -1e-9 <= share <= 1.0 + 1e-9:
            nearest = min(nearest, along)
    if math.isinf(nearest):
        return None
    return nearest, (east + nearest * de, north + nearest * dn)


def _section(
    site: Site, wall: SiteWall, run: Run, own: Seepage, beside: dict[str, Run], at_wall: dict[str, Seepage]
) -> _Section | None:
    met = across(site.outline, wall)
    if met is None:
        return None
    width, end = met
    for other in site.walls:
        if other.name != wall.name and other.name in beside and off_wall(other, end) <= ON_WALL:
            far = beside[other.name]
            return _Section(
                offset=run.beside_offset,
                width=width,
                opposite=at_wall[other.name],
                wet=_wet(site, run),
                wet_opposite=_wet(site, far),
                span=run.beside_offset + width + far.beside_offset,
            )
    span = max(run.beside_offset + width, own.influence)
    wet = _wet(site, run)
    return _Section(offset=run.beside_offset, width=width, opposite=None, wet=wet, wet_opposite=wet, span=span)


def _wet(site: Site, run: Run) -> float:
    """Wet perimeter of a drain's stone: its bottom, and its sides up to the pipe's invert [m]."""
    width = run.stone_width if run.stone_width is not None else site.job.criteria.trench_width
    return width + 2.0 * PIPE_BED


def off_wall(wall: SiteWall, at: Plan) -> float:
    """Distance of a place from a wall line [m]."""
    (e1, n1), (e2, n2) = wall.start, wall.end
    length = max(math.dist(wall.start, wall.end), 1e-9)
    share = ((at[0] - e1) * (e2 - e1) + (at[1] - n1) * (n2 - n1)) / length**2
    share = min(1.0, max(0.0, share))
    return math.dist(at, (e1 + share * (e2 - e1), n1 + share * (n2 - n1)))


def _line(site: Site, ground: Ground, own: Seepage, bottom: float, wall: str, section: _Section) -> GroundLine:
    far = max(own.far_level, bottom)
    sunk = min(own.far_level - bottom, 0.0)  # water that stands below the layer: nothing moves, and nothing lowers it
    head = far - bottom
    reach = max(own.influence, 1e-6)
    two = section.opposite
    # Under the house water comes to a drain only from an undrained side, or from one whose drain lies too high.
    near = _beside(ground, own, bottom, head, section.wet, _ways(reach, section.span, two is None or _idle(two)))
    other = head
    if two is not None:
        with quiet():
            other = _beside(ground, two, bottom, head, section.wet_opposite, _ways(reach, section.span, _idle(own)))
    middle = section.offset + section.width / 2.0
    outside = np.array(OUTSIDE) * reach
    inside = np.linspace(0.0, section.span, INSIDE + 1)
    inside = np.sort(np.unique(np.append(inside, middle)))
    with quiet():
        out = np.asarray(head_between(outside, near, head, reach, ground.conductivity, ground.recharge))
        under = np.asarray(head_between(inside, near, other, section.span, ground.conductivity))
    level = bottom + float(head_between(middle, near, other, section.span, ground.conductivity))
    fall = None
    if far - level > NO_FALL and head + near > 0.0 and ground.drainable_porosity > 0.0:
        diffusivity = ground.conductivity * 0.5 * (head + min(near, other)) / ground.drainable_porosity
        fall = float(half_fall_time(diffusivity, section.span - middle if _idle(own) else middle, section.span))
    at_drain = min(max(own.drain_level, bottom), far)
    under[0] = at_drain - bottom
    places = (*(-float(value) for value in outside), *(float(value) for value in inside))
    texture = site.job.ground.texture
    return GroundLine(
        run=own.run,
        wall=wall,
        distance=places,
        without_drain=(own.far_level,) * len(places),
        with_drain=tuple(bottom + sunk + float(value) for value in (*out, *under)),
        drain_level=own.drain_level,
        middle=middle,
        level_without=own.far_level,
        level_with=level + sunk,
        floor_underside=floor_underside(site),
        capillary_rise=capillary_rise_by_texture(texture.value),
        time_to_fall=fall,
        method=_method(own, section, far - level > NO_FALL),
        basis=least_sure(own.basis, ground.porosity_basis, texture.basis, site.floor_basis),
    )


def _ways(reach: float, span: float, under: bool) -> float:
    """Sum over the sides that feed a drain of 1 / (2 distance to undisturbed water) [1/m]."""
    return 0.5 / reach + (0.5 / span if under else 0.0)


def _idle(drain: Seepage) -> bool:
    """Whether a drain lies no lower than the water table, so that none comes to it."""
    return drain.drain_level >= drain.far_level


def _beside(ground: Ground, drain: Seepage, bottom: float, head: float, wet: float, ways: float) -> float:
    """Head over the layer's bottom beside a drain, past the gathering flow [m]."""
    held = min(max(drain.drain_level - bottom, 0.0), head)
    if held <= 0.0 or held >= head:
        return held
    rain = ground.recharge * drain.influence / (2.0 * ground.conductivity)
    loss = radial_resistance(held, wet)
    return min(float(head_beside_drain(head, held, loss, ways, rain)), head)


def _method(own: Seepage, section: _Section, falls: bool) -> str:
    if section.opposite is not None:
        words = "Dupuit between the drains of both walls, Ernst at the drains, no rain under the roof"
    elif section.span > section.offset + section.width + 1e-9:
        words = (
            "Dupuit from the drain to undisturbed water beyond the far wall, Ernst at the drain, no rain under the roof"
        )
    else:
        words = "Dupuit from the drain to undisturbed water at the far wall, Ernst at the drain, no rain under the roof"
    if own.bound:
        words += f"; the {water_name(own.bound)} holds the level outside"
    if falls and _idle(own):
        words += "; beside this wall the drain lies no lower than the water table and lowers nothing"
    return words if falls else "the drain stands no lower than the water table: nothing falls"


def with_graded_drains(site: Site, inflows: Inflows, held: Mapping[str, float]) -> Inflows:
    """The inflows with the water under the house reckoned anew, each drain where its grade puts it.

    Parameters
    ----------
    site : Site
        The surveyed site.
    inflows : Inflows
        As ``water.inflows`` gives them: each drain as low all along as the lowest footing beside it.
    held : mapping
        Level that the drain holds beside each wall, by the wall's name. [m]

    Returns
    -------
    Inflows
        The same flows, which stay those of drains that lie low all along: the greater figure.
    """
    if not inflows.ground_lines or not held:
        return inflows
    with quiet():
        ground = ground_of(site)
    lines = ground_lines(site, ground, inflows.seepage, held)
    return with_bands(site, replace(inflows, ground_lines=lines))


__all__ = ["across", "ground_lines", "off_wall", "with_graded_drains"]
