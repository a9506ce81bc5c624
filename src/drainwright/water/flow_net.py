"""The flow net of each footing drain: the ground at a drained wall, cut through, with the water's ways in it.

A second opinion on the seepage by another method, drawn: it is not part of the design, which rests on the slot formula.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.words import fine, level_words
from drainwright.hydraulics.seepage import dupuit_flow
from drainwright.job.values import Basis
from drainwright.job.works import Run
from drainwright.quantities import percent, write
from drainwright.water.ground import ASSUMED_LAYER, floor_underside, recharge_inflow
from drainwright.water.ground_lines import ON_WALL, across
from drainwright.water.model import Inflows, Seepage
from drainwright.worksheet import quiet

if TYPE_CHECKING:
    from drainwright.hydraulics.section_fem import SectionFlow
    from drainwright.hydraulics.section_mesh import Section

WALL_THICKNESS = 0.2032  # where nobody measures it: 8 in, common practice [m]
DROPS = 10  # equal drops of head between the undisturbed water and the drain
FEWEST, MOST = 4.0, 24.0  # flow channels of a net
SETTING_OUT = 0.003  # levels cannot be set out more closely [m]
LEAST_CAP = 0.05  # a slab this near above the footing's underside counts as so high above it [m]

Line = tuple[tuple[float, float], ...]  # distance outwards from the wall's face, level [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowNet:
    """The section at one drained wall. Distances run outwards from the wall's outer face; under the house negative."""

    run: str
    wall: str
    ground: Line  # the ground outside, from the wall outwards
    floor: float  # top of the lowest floor [m]
    floor_underside: float  # [m]
    footing: tuple[float, float]  # from where to where [m]
    footing_bottom: float  # [m]
    footing_top: float  # [m]
    wall_thickness: float  # as drawn, not measured [m]
    stone: tuple[float, float]  # from where to where [m]
    drain_level: float  # that the drain holds [m]
    barrier: float  # bottom of the water-bearing soil [m]
    far_level: float  # undisturbed water [m]
    far: float  # distance outside at which it stands [m]
    inner: float | None  # distance of the section's end under the house; None: no water comes from there [m]
    inner_closed: bool  # whether that end is the middle of a house drained on both sides
    middle: float  # distance of mid-house [m]
    conductivity: float  # [m/s]
    water_outside: Line  # the water table with the drain at work
    water_inside: Line  # under the house, from the footing inwards; slab's underside where water presses on it
    pressed: tuple[bool, ...]  # whether it does, at each place of ``water_inside``
    level_middle: float | None  # to which water would rise in a pipe through mid-slab; None: no house side [m]
    equipotentials: tuple[tuple[float, Line], ...]  # head and line; equal drops
    streamlines: tuple[Line, ...]  # towards the drain; between neighbours the flow is ``channel``
    drop: float  # head from one equipotential to the next [m]
    channel: (
        float  # flow between neighbouring streamlines: conductivity times drop, so that the meshes are square [m²/s]
    )
    flow: float  # to the drain [m²/s]
    from_outside: float  # its part from outside, with rain [m²/s]
    from_inside: float  # its part from under the house [m²/s]
    closed_form: float  # the slot formula between the same levels and distances [m²/s]
    design: float  # the design's figure for this run [m²/s]
    triangles: int
    converged: bool
    surface_error: float  # [m]
    basis: Basis
    notes: tuple[str, ...]

    @property
    def ratio(self) -> float:
        """Flow of the section over that of the slot formula between the same levels and distances [-]."""
        return self.flow / self.closed_form

    @property
    def design_ratio(self) -> float:
        """Flow of the section over the design's figure [-]."""
        return self.flow / self.design


def flow_nets(site: Site, inflows: Inflows, triangles: int = 3000) -> tuple[FlowNet, ...]:
    """The flow net at each footing drain that groundwater comes to.

    Parameters
    ----------
    site : Site
        The surveyed site.
    inflows : Inflows
        With the seepage of each drain.
    triangles : int
        About how many for each section.

    Returns
    -------
    tuple of FlowNet
        In the order of ``inflows.seepage``. Drains without a wall, without groundwater, or at a wall whose ground
        falls away below the drain's level have none.
    """
    runs = {run.name: run for run in site.job.works.runs}
    graded = {(line.run, line.wall): line.drain_level for line in inflows.ground_lines}
    found = []
    for seepage in inflows.seepage:
        run = runs[seepage.run]
        wall = _wall_of(site, run)
        if wall is not None and seepage.per_length > 0.0:
            width = run.stone_width if run.stone_width is not None else site.job.criteria.trench_width
            level = graded.get((run.name, wall.name), seepage.drain_level)
            net = _net(site, seepage, run, wall, width, triangles, level)
            found += [net] if net is not None else []
    return tuple(found)


def _wall_of(site: Site, run: Run) -> SiteWall | None:
    """The wall whose level the seepage rests on: the lowest footing beside the run, or of the house."""
    beside = [wall for wall in site.walls if wall.name in run.beside]
    return min(beside or site.walls, key=lambda wall: wall.footing_bottom, default=None)


def _net(
    site: Site, seepage: Seepage, run: Run, wall: SiteWall, width: float, triangles: int, graded: float
) -> FlowNet | None:  # fmt: skip
    from drainwright.hydraulics.section_lines import lines_at

    notes: list[str] = []
    cut = _section(site, seepage, run, wall, width, notes)
    if cut is None:
        return None
    section, width_across, ground = cut
    section, flow = _below_ground(section, ground, triangles, notes)
    if not flow.converged:
        sure = fine(flow.surface_error, site.job.units)
        notes.append(f"The water table of this section did not come to rest: it is sure to {sure} only.")
    lost = section.outer_level - section.drain_level
    drop = lost / DROPS
    channel = section.conductivity * drop  # square meshes, where they are neither too many nor too few
    channel = flow.to_drain / min(max(flow.to_drain / channel, FEWEST), MOST)
    equal = [
        (level, line)
        for level in (section.drain_level + number * drop for number in range(1, DROPS))
        for line in _lines(lines_at(flow.nodes, flow.triangles, flow.head, level))
    ]
    stone = (sum(section.stone) / 2, section.shelf)
    low, high = float(flow.stream.min()), float(flow.stream.max())
    numbers = [n for n in range(int(low / channel) - 1, int(high / channel) + 2) if low < n * channel < high and n != 0]
    ways = [
        _towards(line, stone)
        for number in numbers
        for line in _lines(lines_at(flow.nodes, flow.triangles, flow.stream, number * channel))[:1]
    ]
    with quiet():
        closed = _slot(section, run)
    if section.inner_level is None:
        notes.append(
            "The design counts water from both sides of the drain, which is the greater figure; here only the outside"
            " sends any."
        )
    if graded > seepage.drain_level + SETTING_OUT:
        notes.append(
            f"By its grade the drain holds the water beside this wall at {level_words(graded, site.job.units)} on the "
            f"mean, not at {level_words(seepage.drain_level, site.job.units)}: it lowers the water less than "
            "drawn here."
        )
    if any(flow.pressed):
        near = min(-float(x) for x, held in zip(flow.inside[:, 0], flow.pressed, strict=True) if held)
        notes.append(
            f"From {write(near, 'length', site.job.units)} inside the wall on, water presses on the slab from below,"
            " even with the drain at work."
        )
    project = wall.wall.footing_projection.value
    return FlowNet(
        run=run.name,
        wall=wall.name,
        ground=ground,
        floor=site.floor,
        floor_underside=floor_underside(site),
        footing=(-WALL_THICKNESS - project, project),
        footing_bottom=wall.footing_bottom,
        footing_top=wall.footing_top,
        wall_thickness=WALL_THICKNESS,
        stone=section.stone,
        drain_level=section.drain_level,
        barrier=section.barrier,
        far_level=section.outer_level,
        far=section.outer,
        inner=section.inner if section.housed else None,
        inner_closed=section.housed and section.inner_level is None,
        middle=-width_across / 2,
        conductivity=section.conductivity,
        water_outside=_line(flow.outside),
        water_inside=_line(flow.inside),
        pressed=flow.pressed,
        level_middle=_level_at(flow, -width_across / 2),
        equipotentials=tuple(equal),
        streamlines=tuple(ways),
        drop=drop,
        channel=channel,
        flow=flow.to_drain,
        from_outside=flow.from_outside + flow.from_rain,
        from_inside=flow.from_inside,
        closed_form=closed,
        design=seepage.per_length,
        triangles=len(flow.triangles),
        converged=flow.converged,
        surface_error=flow.surface_error,
        basis=seepage.basis,
        notes=tuple(notes),
    )


def _below_ground(
    section: Section, ground: Line, triangles: int, notes: list[str]
) -> tuple[Section, SectionFlow]:  # fmt: skip
    """The flow, with no more rain than the ground can take in: the water table stays below it."""
    import numpy as np

    from drainwright.hydraulics.section_fem import seep

    for share in (1.0, 0.5, 0.25, 0.1, 0.0):
        tried = replace(section, recharge=share * section.recharge)
        if tried.recharge >= section.conductivity:
            continue
        flow = seep(tried, triangles)
        top = np.interp(flow.outside[:, 0], [d for d, _ in ground], [level for _, level in ground])
        if share == 0.0 or section.recharge == 0.0 or bool(np.all(flow.outside[:, 1] <= top + 1e-6)):
            break
    if share < 1.0:
        notes.append(
            f"The recharge given would lift the water table above the ground: {percent(share)} of it is taken, the rest"
            " runs off."
        )
    return tried, flow


def _section(
    site: Site, seepage: Seepage, run: Run, wall: SiteWall, width: float, notes: list[str]
) -> tuple[Section, float, Line] | None:
    """What is to be computed, the house's width across it [m], and the ground line outside."""
    from drainwright.hydraulics.section_mesh import Section

    units = site.job.units
    project = wall.wall.footing_projection.value
    stone = (project, max(run.beside_offset + width / 2, project + 0.1))
    outer = max(run.beside_offset + seepage.influence, stone[1] + 0.5)
    ground = _ground(site, wall, outer)
    level = min(seepage.far_level, min(at for _, at in ground))
    if level < seepage.far_level:
        notes.append(
            f"The undisturbed water ({level_words(seepage.far_level, units)}) would stand above the ground here: the "
            f"section takes it at the ground, {level_words(level, units)}."
        )
    if level <= seepage.drain_level:
        return None
    barrier = site.barrier if site.barrier is not None else seepage.drain_level - ASSUMED_LAYER
    if site.barrier is None:
        notes.append(f"The bottom of the water-bearing soil is assumed at {level_words(barrier, units)}.")
    shelf = min(wall.footing_bottom, seepage.drain_level - 0.01)
    wide, beyond = _house_across(site, wall)
    inner: float | None = None
    inner_level: float | None = None
    cap = floor_underside(site) if site.job.house.floor_kind != "crawl space" else None
    if cap is not None and cap < shelf + LEAST_CAP:
        cap = shelf + LEAST_CAP
        notes.append("The slab lies no higher than the footing's underside: the section takes it just above.")
    if barrier >= shelf - 0.02:
        shelf = barrier = max(min(barrier, seepage.drain_level), shelf)
        notes.append("The tight layer lies at the footing: no water passes below it from the house's side.")
    else:
        drained = {name for item in site.job.works.runs if item.duty == "footing drain" for name in item.beside}
        if beyond in drained:
            inner = -wide / 2
            notes.append("The house is drained on both sides: no water crosses its middle.")
        else:
            inner, inner_level = -max(wide, seepage.influence - run.beside_offset), level
            notes.append("No drain lies beside the far wall: there the water stands undisturbed.")
        inner = min(inner, -WALL_THICKNESS - project - 0.5)
    section = Section(
        barrier=barrier,
        shelf=shelf,
        drain_level=seepage.drain_level,
        outer=outer,
        outer_level=level,
        stone=stone,
        footing=-WALL_THICKNESS - project,
        inner=inner,
        inner_level=inner_level,
        cap=cap,
        conductivity=seepage.conductivity,
        recharge=site.job.ground.recharge.value if site.job.ground.recharge is not None else 0.0,
    )
    return section, wide, ground


def _slot(section: Section, run: Run) -> float:
    """Dupuit's flow from each side between the section's own levels and distances, to a slot down to the barrier."""
    held = section.drain_level - section.barrier
    high = section.outer_level - section.barrier
    flow = float(dupuit_flow(section.conductivity, high, held, section.outer - run.beside_offset))
    if section.housed and section.inner is not None and section.inner_level is not None:
        flow += float(dupuit_flow(section.conductivity, high, held, run.beside_offset - section.inner))
    return flow + recharge_inflow(section.recharge, section.outer - run.beside_offset, 1.0)


def _ground(site: Site, wall: SiteWall, out: float) -> Line:
    middle = ((wall.start[0] + wall.end[0]) / 2, (wall.start[1] + wall.end[1]) / 2)
    places = [out * number / 8 for number in range(9)]
    return tuple(
        (d, float(site.surface.level(middle[0] + d * wall.outward[0], middle[1] + d * wall.outward[1])))
        for d in (max(place, 0.05) if place == 0.0 else place for place in places)
    )


def _house_across(site: Site, wall: SiteWall) -> tuple[float, str]:
    """The house's width from the middle of a wall straight inwards, and the wall met there."""
    met = across(site.outline, wall)
    if met is None:
        return wall.length, ""
    width, end = met
    other = min(
        (item for item in site.walls if item.name != wall.name),
        key=lambda item: _distance(end, item.start, item.end),
        default=None,
    )
    near = other is not None and _distance(end, other.start, other.end) <= ON_WALL
    return width, other.name if other is not None and near else ""


def _distance(at: Plan, a: Plan, b: Plan) -> float:
    side = (b[0] - a[0], b[1] - a[1])
    length = side[0] ** 2 + side[1] ** 2
    share = 0.0 if length == 0.0 else ((at[0] - a[0]) * side[0] + (at[1] - a[1]) * side[1]) / length
    share = min(max(share, 0.0), 1.0)
    return float(((at[0] - a[0] - share * side[0]) ** 2 + (at[1] - a[1] - share * side[1]) ** 2) ** 0.5)


def _level_at(flow: SectionFlow, distance: float) -> float | None:
    import numpy as np

    if len(flow.inside) == 0:
        return None
    return float(np.interp(-distance, -flow.inside[:, 0], flow.inside_head))


def _line(points: object) -> Line:
    import numpy as np

    return tuple((float(x), float(z)) for x, z in np.asarray(points))


def _lines(chains: tuple[object, ...]) -> list[Line]:
    return [line for chain in chains if len(line := _line(chain)) > 1]


def _towards(line: Line, place: tuple[float, float]) -> Line:
    """The line, turned so that it ends at its end that is nearer to the place."""

    def away(at: tuple[float, float]) -> float:
        return (at[0] - place[0]) ** 2 + (at[1] - place[1]) ** 2

    return line if away(line[-1]) <= away(line[0]) else line[::-1]


__all__ = ["DROPS", "FlowNet", "flow_nets"]
