"""Where the design storm's water goes: how much by each way, and how sure that is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from drainwright.design import Design
from drainwright.field.words import least_sure
from drainwright.findings.places import leads_to
from drainwright.job.values import Basis
from drainwright.water.model import Cause

Kind = Literal["pumped", "soaks away", "by gravity", "own line"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way that water takes."""

    kind: Kind
    name: str  # of the basins, soakaways or outlets that take it; of its own lines' places
    causes: Mapping[Cause, float]  # flow at the design rain [m³/s]
    basis: Basis  # of the least sure of its figures

    @property
    def flow(self) -> float:
        """All of it. [m³/s]"""
        return sum(self.causes.values())


def water_ways(design: Design) -> tuple[Way, ...]:
    """All water of the design rain, by the way that it leaves.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of Way
        Pumped, soaking away, by gravity, and by lines of its own that are no part of the works; only those that carry
        water. Their flows add up to all contributions.
    """
    system = design.system
    ends: tuple[tuple[Kind, tuple[str, ...]], ...] = (
        ("pumped", tuple(station.name for station in system.stations)),
        ("soaks away", tuple(soak.name for soak in system.soaks)),
        ("by gravity", tuple(dict.fromkeys((system.discharge, *(run.lower for run in system.runs))))),
    )
    found: dict[Kind, tuple[dict[str, None], dict[Cause, float], list[Basis]]] = {}
    for item in design.inflows.contributions:
        if item.flow <= 0:
            continue
        kind: Kind
        kind, name = next(
            ((kind, name) for kind, names in ends for name in names if leads_to(system, item.entry, name)),
            ("own line", item.entry),
        )
        if kind == "by gravity":
            name = _last(design, name)
        names, causes, bases = found.setdefault(kind, ({}, {}, []))
        names[name] = None
        causes[item.cause] = causes.get(item.cause, 0.0) + item.flow
        bases.append(item.basis)
    order: tuple[Kind, ...] = ("pumped", "soaks away", "by gravity", "own line")
    return tuple(
        Way(kind=kind, name=", ".join(found[kind][0]), causes=found[kind][1], basis=least_sure(*found[kind][2]))
        for kind in order
        if kind in found
    )


def _last(design: Design, start: str) -> str:
    """Where the gravity lines from a place end."""
    below = {run.upper: run.lower for run in design.system.runs if run.duty != "overflow"}
    here = start
    for _ in range(len(below)):
        here = below.get(here, here)
    return here


def pumped_to(design: Design) -> tuple[str, ...]:
    """The discharge points to which pumps lift, each once."""
    lifted = (design.system.run(station.discharge_run).lower for station in design.system.stations)
    return tuple(dict.fromkeys(_last(design, name) for name in lifted))


def unlifted_leaders(design: Design) -> tuple[str, ...]:
    """The discharge points at which leaders end without a pump, each once."""
    system = design.system
    leaders = [run for run in system.runs if run.duty == "leader" and not run.pressure]
    free = (run for run in leaders if not any(leads_to(system, run.upper, station.name) for station in system.stations))
    return tuple(dict.fromkeys(_last(design, run.lower) for run in free))


def totals(ways: tuple[Way, ...]) -> dict[Cause, float]:
    """Flow of each cause over some ways. [m³/s]"""
    return {cause: sum(way.causes.get(cause, 0.0) for way in ways) for cause in Cause}


__all__ = ["Kind", "Way", "pumped_to", "totals", "unlifted_leaders", "water_ways"]
