"""Design flows: every cause kept apart, gathered down the tree of lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from drainwright.job.works import Run
from drainwright.system.model import SizedRun
from drainwright.system.network import Line, Network
from drainwright.water.model import Cause, Inflows

Causes = Mapping[Cause, float]
NOTHING: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """Design flows of lines at their lower ends and of spots."""

    lines: Mapping[str, Causes]  # [m³/s]
    spots: Mapping[str, Causes]  # all that arrives or enters there [m³/s]


def summed(*flows: Causes) -> dict[Cause, float]:
    """Flows added cause by cause [m³/s]."""
    return {cause: sum(flow.get(cause, 0.0) for flow in flows) for cause in Cause}


def entries(water: Inflows) -> dict[str, dict[Cause, float]]:
    """Design flow of each cause at each entry [m³/s]."""
    found: dict[str, dict[Cause, float]] = {}
    for part in water.contributions:
        at = found.setdefault(part.entry, dict.fromkeys(Cause, 0.0))
        at[part.cause] += part.flow
    return found


def drain_runs(lines: Iterable[Line | SizedRun]) -> tuple[Run, ...]:
    """The footing drains among lines as runs of the works, as a job would name them."""
    return tuple(
        Run.model_validate(
            {"name": line.name, "duty": "footing drain", "from": line.upper, "to": line.lower, "beside": line.walls}
        )
        for line in lines
        if line.duty == "footing drain"
    )


def gather(
    network: Network,
    at: Mapping[str, Causes],
    pumped: Mapping[str, float] = NOTHING,
    clogged: Mapping[str, Causes] | None = None,
) -> Gathered:
    """Flows gathered down the tree.

    Parameters
    ----------
    network : Network
        Lines upstream first.
    at : mapping
        Flow of each cause at each entry: spots, and footing drains by their line. [m³/s]
    pumped : mapping, optional
        The pump's flow of each basin: what goes on below its discharge line is that, not the inflow. The causes share
        it as they share the inflow. [m³/s]
    clogged : mapping, optional
        What enters at each entry with clogged grates: a second case. Each line and spot is given the greater flow of
        the two, so that neither a clean grate nor the one below a clogged one finds its pipe too small. [m³/s]

    Returns
    -------
    Gathered
        Flows of lines and spots. An overflow is sized for all that comes to its upper end, and passes nothing on.
    """
    found = _gathered(network, at, pumped)
    if clogged is None or clogged == at:
        return found
    other = _gathered(network, clogged, pumped)
    return Gathered(lines=_greater(found.lines, other.lines), spots=_greater(found.spots, other.spots))


def _greater(first: Mapping[str, Causes], second: Mapping[str, Causes]) -> dict[str, Causes]:
    """Of two cases, by each name the one of the greater sum."""
    return {name: max(first[name], second[name], key=lambda flow: sum(flow.values())) for name in first}


def _gathered(network: Network, at: Mapping[str, Causes], pumped: Mapping[str, float]) -> Gathered:
    spots: dict[str, Causes] = {name: summed(at.get(name, {})) for name in network.spots}
    lines: dict[str, Causes] = {}
    for line in network.lines:
        flow = summed(spots[line.upper], at.get(line.name, {}) if line.name not in network.spots else {})
        lines[line.name] = flow
        if line.duty == "overflow":
            continue
        total = sum(flow.values())
        lifted = pumped.get(line.upper)
        if lifted is not None and total > 0.0:
            flow = {cause: part * lifted / total for cause, part in flow.items()}
        spots[line.lower] = summed(spots[line.lower], flow)
    return Gathered(lines=lines, spots=spots)


def unplaced(network: Network, water: Inflows) -> tuple[str, ...]:
    """Notes on water that enters nowhere in the network."""
    known = {*network.spots, *(line.name for line in network.lines)}
    return tuple(
        f"The water of {part.source} goes to {part.entry}, which is no place of the works: it is not counted."
        for part in water.contributions
        if part.entry not in known and part.flow > 0.0
    )


__all__ = ["Causes", "Gathered", "drain_runs", "entries", "gather", "summed", "unplaced"]
