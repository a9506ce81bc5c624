"""The existing line that a discharge point joins: what else it carries, and how deep the water stands in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from drainwright.field.model import Site
from drainwright.hydraulics.openflow import flowing_depth
from drainwright.job.works import Discharge, JoinedLine
from drainwright.system.catalogue import find_pipe
from drainwright.system.network import Network
from drainwright.system.sized import outlet_level
from drainwright.water.model import Cause, Inflows
from drainwright.worksheet import quiet


def carried_besides(joins: JoinedLine, water: Inflows) -> tuple[float, float]:
    """What else a joined line carries at the design rain: of other downspouts, and from elsewhere [m³/s]."""
    roofs = (part.flow for part in water.contributions if part.entry in joins.other_roof and part.cause is Cause.ROOF)
    return sum(roofs), 0.0 if joins.other_flow is None else joins.other_flow.value


def same_line(site: Site, point: Discharge) -> tuple[Discharge, ...]:
    """The other discharge points of the job that join the same line, by the name that was given to it."""
    if point.joins is None or "name" not in point.joins.model_fields_set:
        return ()
    name = point.joins.name
    return tuple(
        other
        for other in site.job.works.discharge
        if other.name != point.name and other.joins is not None and other.joins.name == name
    )


def as_one(points: Sequence[Discharge]) -> JoinedLine:
    """The line that points join, as the first tells it, with what else any of them says that it takes."""
    told = [point.joins for point in points if point.joins is not None]
    roofs = tuple(dict.fromkeys(name for joins in told for name in joins.other_roof))
    flows = [joins.other_flow for joins in told if joins.other_flow is not None]
    most = max(flows, key=lambda flow: flow.value, default=None)
    return told[0].model_copy(update={"other_roof": roofs, "other_flow": most})


def joined_levels(
    site: Site, network: Network, water: Inflows, arriving: Mapping[str, Mapping[Cause, float]]
) -> dict[str, float]:
    """Water level at discharge points that join a line: what falls to them by gravity must run out against it.

    Parameters
    ----------
    site, network, water : Site, Network, Inflows
        The site, the lines as laid, and what comes.
    arriving : mapping
        Flow of each cause that arrives at each place. [m³/s]

    Returns
    -------
    mapping
        By the point's name: its invert and the depth at which the line runs with all that it carries, full where that
        is more than it can. A point with an air gap is left out. [m]
    """
    found = {}
    for point in site.job.works.discharge:
        joins = point.joins
        if joins is None or point.air_gap or point.name not in network.spots:
            continue
        pipe = find_pipe(joins.pipe)
        points = [point, *same_line(site, point)]  # which of them lies lower is not known: the whole at each
        load = sum(sum(arriving.get(one.name, {}).values()) for one in points)
        load += sum(carried_besides(as_one(points), water))
        rough = pipe.manning if joins.roughness is None else joins.roughness
        with quiet():
            depth = float(flowing_depth(load, pipe.inside, max(joins.grade.value, 0.0), rough))
        found[point.name] = outlet_level(site, network, point) + depth
    return found


__all__ = ["as_one", "carried_besides", "joined_levels", "same_line"]
