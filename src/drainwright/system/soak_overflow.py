"""The overflow of a soakaway: a line from the last place before it to the discharge point that the job names."""

from __future__ import annotations

from drainwright.field.model import Site
from drainwright.job.works import Discharge
from drainwright.quantities import write
from drainwright.system.network import Line, Network, Spot, with_lines
from drainwright.system.propose import Yard, free_name
from drainwright.system.ways import MOST_VERTICES, route_length

SOAKING = ("dry well", "infiltration trench")


def soak_overflows(site: Site, network: Network, yard: Yard) -> Network:
    """The network with the overflow lines that its soakaways name and the job does not give.

    Parameters
    ----------
    site : Site
        With the job's discharge points.
    network : Network
        Complete but for these.
    yard : callable
        Makes the map of the yard.

    Returns
    -------
    Network
        No line may leave the soakaway itself: the overflow leaves the inlet, junction or downspout from which its line
        comes, and runs once water stands back there. Where a pump lifts the water none is laid; the notes say so.
    """
    points = {point.name: point for point in site.job.works.discharge}
    for point in points.values():
        soak = point.soak
        to = points.get(soak.overflow) if soak is not None and soak.overflow is not None else None
        coming = [line for line in network.lines if line.lower == point.name and line.duty != "overflow"]
        if point.kind in SOAKING and to is not None and to is not point and coming:
            network = _laid(site, network, yard, point, to, [network.spots[line.upper] for line in coming])
    return network


def _laid(site: Site, network: Network, yard: Yard, soak: Discharge, to: Discharge, feet: list[Spot]) -> Network:
    """The network with one soakaway's overflow."""
    if any(line.duty == "overflow" and line.lower == to.name for line in network.lines):
        return network  # the job's own
    pressed = {line.upper for line in network.lines if line.duty == "discharge line"}
    free = [spot for spot in feet if spot.kind != "basin" and spot.name not in pressed]
    if not free:
        said = (
            f"{soak.name}: its water is pumped to it, so no overflow to {to.name} is laid: nothing runs back that way."
        )
        return with_lines(network, (), {}, [said])
    end, found = network.spots[to.name].at, yard()
    spot = min(free, key=lambda one: (round(found.cost_between(end, one.at), 6), one.name))
    route = found.way(spot.at, end)
    if not 2 <= len(route) <= MOST_VERTICES:
        return with_lines(network, (), {}, [f"{soak.name}: no way for a pipe was found from {spot.name} to {to.name}."])
    name = free_name("OF", [line.name for line in network.lines])
    line = Line(name=name, duty="overflow", upper=spot.name, lower=to.name, route=route, proposed=True)
    words = found.why(route)
    length = write(route_length(route), "length", site.job.units)
    note = (
        f"Proposed: overflow {name} from {spot.name} to {to.name}, {length} long, for what {soak.name} cannot take; "
        f"it is sized for all that comes to {spot.name}."
    ) + (f" It {'; '.join(words)}." if words else "")
    return with_lines(network, [line], {}, [note])


__all__ = ["soak_overflows"]
