"""Water at every place of the network: level, freeboard, losses; grates, leaders, and runs that part their flow."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from drainwright.field.model import Site
from drainwright.hydraulics.arrays import GRAVITY
from drainwright.hydraulics.conduit import critical
from drainwright.hydraulics.fittings import fitting
from drainwright.hydraulics.line_surface import bend_loss
from drainwright.hydraulics.openflow import full_friction_slope
from drainwright.hydraulics.parting import parting
from drainwright.system.flows import Causes
from drainwright.system.model import LiftStation, NodeKind
from drainwright.system.network import Spot
from drainwright.system.surface.clogged import Clogged
from drainwright.system.surface.grates import Grated, grate_of, grate_waters
from drainwright.system.surface.surface_line import Reach, WaterLine
from drainwright.system.surface.water_model import LeaderWater, NodeWater, PartedRun
from drainwright.worksheet import quiet

STOREY = 2.4384  # gutter above the ground, where nothing is said: 8 ft, assumed [m]
SHOWN: tuple[NodeKind, ...] = ("inlet", "junction", "downspout", "basin")


def node_waters(
    site: Site,
    spots: Mapping[str, Spot],
    reaches: Sequence[Reach],
    lines: Mapping[str, WaterLine],
    entries: Mapping[str, Causes],
    stations: Sequence[LiftStation],
    clogged: Clogged,
) -> dict[str, NodeWater]:
    """Water at the places of the network at the design flow.

    Parameters
    ----------
    site : Site
        The site, for the criteria and the ground.
    spots : mapping
        Places by their names.
    reaches : sequence of Reach
        The gravity lines, upstream first.
    lines : mapping
        Their water lines.
    entries : mapping
        Design flow of each cause that enters at each place. [m³/s]
    stations : sequence of LiftStation
        Their basins' water is the level at which the pump starts.
    clogged : Clogged
        What the grates let pass, as it was counted before the pipes were sized.

    Returns
    -------
    mapping
        By the place's name; places from which nothing leaves by gravity are left out, but for basins.
    """
    found: dict[str, NodeWater] = {}
    inlets = {inlet.name: inlet for inlet in site.job.works.inlets}
    main = {reach.upper: reach for reach in reaches if not reach.overflow}
    for name, reach in main.items():
        line, spot = lines[reach.name], spots[name]
        if spot.kind not in SHOWN:
            continue
        crown = reach.invert_upper + reach.pipe.inside
        found[name] = NodeWater(
            level=line.node_level,
            rim=spot.rim,
            losses=line.losses,
            surcharged=line.node_level > crown + 1e-9,
            leader=leader_water(reach, line, spot) if spot.kind == "downspout" else None,
        )
    for station in stations:
        found[station.name] = NodeWater(level=station.on, rim=station.rim)
    grated = {}
    for name, water in found.items():
        grate = grate_of(inlets.get(name)) if spots[name].kind == "inlet" else None
        comes = entries.get(name, {})  # all that enters at an inlet itself comes over the ground
        if grate is not None:
            grated[name] = Grated(grate=grate, at=spots[name].at, rim=water.rim, comes=comes, level=water.level)
    for name, grate_water in grate_waters(site, grated, clogged.passed, clogged.follow).items():
        water = found[name]
        found[name] = NodeWater(
            level=water.level, rim=water.rim, losses=water.losses, surcharged=water.surcharged, grate=grate_water
        )
    return found


def leader_water(reach: Reach, line: WaterLine, spot: Spot) -> LeaderWater:
    """A downspout's leader: how high water stands in it, and what it carries full under the head to foot and gutter.

    The full pipe ends at the tailwater, or at the middle between critical depth and crown where it falls freely; its
    losses are friction, bends, and the elbow at the downspout's foot.
    """
    pipe, flow = reach.pipe, reach.flow
    with quiet():
        one = float(full_friction_slope(1.0, pipe.inside, pipe.manning))
    area = 0.25 * math.pi * pipe.inside**2
    k = 1.0 + fitting("ell90").loss_coefficient + sum(bend_loss(turn) for _, turn in reach.turns)
    per_square = one * reach.length + k / (2.0 * GRAVITY * area**2)  # head over flow squared
    end = max(line.tail, reach.invert_lower + 0.5 * (critical(reach.section, flow) + pipe.inside))

    def carries(head: float) -> float:
        return math.sqrt(max(head - end, 0.0) / per_square)

    crown = reach.invert_upper + pipe.inside
    return LeaderWater(
        foot=spot.ground,
        standing=max(line.node_level - crown, 0.0),
        to_foot=carries(spot.ground),
        to_gutter=carries(spot.ground + STOREY),
        flow=flow,
    )


def parted_runs(reaches: Sequence[Reach], lines: Mapping[str, WaterLine]) -> dict[str, PartedRun]:
    """Drains whose upper end has an overflow that the water reaches: how their inflow parts.

    Returns
    -------
    mapping
        By the drain's name. Water that comes to its upper end from elsewhere is not in the figures.
    """
    found = {}
    for reach in reaches:
        over = next((other for other in reaches if other.overflow and other.upper == reach.upper), None)
        if over is None or reach.overflow or reach.gain <= 0.0:
            continue
        with quiet():
            parts = parting(
                reach.section, reach.knots, reach.inverts, reach.gain, reach.pipe.manning, over.invert_upper,
                lines[reach.name].tail,
            )  # fmt: skip
        found[reach.name] = PartedRun(
            over=over.name, distance=parts.distance, level=parts.level, back=parts.first, on=parts.second,
            sill=over.invert_upper,
        )  # fmt: skip
    return found


__all__ = ["leader_water", "node_waters", "parted_runs"]
