"""The figures of a designed scheme that are set beside those of the others."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

from drainwright.build.crossings import hand_dug
from drainwright.build.model import DigKind
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.schemes.model import Comparison, Failure
from drainwright.schemes.wet_walls import at_wet_walls
from drainwright.storm.model import StormCase
from drainwright.system.model import LiftStation, SizedRun

DEEP = 1.524  # from this depth a trench wants protection, 5 ft: 29 CFR 1926.652 [m]
DUG: dict[DigKind, str] = {
    "run": "trench of {}", "wall": "opened wall {}", "basin": "basin {}", "inlet": "pit of {}",
    "soakaway": "soakaway {}",
}  # fmt: skip
Ends = frozenset[tuple[str, str, str, bool]]  # cause, source, where it leaves, whether it is lifted
Ways = frozenset[tuple[str, str, str, tuple[str, ...]]]  # the same with the basins from which it is lifted


def compared(design: Design) -> Comparison:
    """The figures of one scheme.

    Parameters
    ----------
    design : Design
        The scheme, designed.

    Returns
    -------
    Comparison
        Taken from the stages' records; nothing is reckoned anew but sums along runs.
    """
    build, system = design.build, design.system
    price, dig = build.price, build.dig
    cases = design.storm.cases
    sound = next((case for case in cases if case.key == "sound"), None)
    kinds = Counter(crossing.kind for crossing in dig.crossings)
    stations = _stations(design)
    deepest = max(dig.trenches, key=lambda trench: trench.depth_greatest, default=None)
    return Comparison(
        price=price.total,
        price_low=price.low,
        price_high=price.high,
        currency=price.currency,
        days=build.plan.days,
        hours=build.plan.hours,
        pipe=sum(run.length for run in system.runs),
        earth=dig.bank_volume,
        hand_dig=hand_dug(dig.crossings),
        crossings=len(dig.crossings),
        met=tuple(sorted(kinds.items(), key=lambda item: (-item[1], item[0]))),
        deep=_deep(design),
        deepest=0.0 if deepest is None else deepest.depth_greatest,
        deepest_at="" if deepest is None else DUG[deepest.kind].format(deepest.name),
        in_wedge=len({wedge.item for wedge in dig.wedges if wedge.inside}),
        roots=len(dig.roots),
        head_room=None if sound is None else _room(sound),
        house_dry=sound is not None and sound.house_dry,
        pump_margin=min((_margin(station) for station in stations), default=None),
        pumps=sum(1 + (station.second_on is not None) for station in stations),
        energy=_energy(stations),
        failures=tuple(_failure(case) for case in cases if case is not sound),
        grates=sum(node.kind == "inlet" for node in system.nodes.values()),
        outlets=tuple(sorted({end for _, _, end, _ in ends_of(design)})),
        fails=_ids(design, Severity.FAILS),
        warns=_ids(design, Severity.CAUTION),
        conflicts=system.conflicts,
        water_known=design.site.water_table is not None or (sound is not None and _nothing_there(sound)),
        at_wet_walls=at_wet_walls(design),
    )


def _nothing_there(case: StormCase) -> bool:
    """Whether no drain and no basin is at the house."""
    return case.highest_at_house is None and not case.house_dry


def _stations(design: Design) -> tuple[LiftStation, ...]:
    return design.system.stations


def _ids(design: Design, severity: Severity) -> tuple[str, ...]:
    return tuple(finding.id for finding in design.findings if finding.severity is severity)


def _room(case: StormCase) -> float | None:
    """The floor less the highest water at the house [m]."""
    return None if case.highest_at_house is None else case.slab_level - case.highest_at_house


def _margin(station: LiftStation) -> float:
    """Pump flow over the design inflow [-]."""
    return math.inf if station.inflow <= 0.0 else station.operating_flow / station.inflow


def _energy(stations: tuple[LiftStation, ...]) -> float | None:
    """Energy of all pumps in a year, where each station's is reckoned [J]."""
    years = [
        None if station.study is None or station.study.season is None else station.study.season.energy
        for station in stations
    ]
    known = [year for year in years if year is not None]
    return sum(known) if known and len(known) == len(years) else None


def _failure(case: StormCase) -> Failure:
    hours = None if case.time_to_slab is None else case.time_to_slab / 3600.0
    return Failure(
        key=case.key, title=case.title, hours=hours, head_room=_room(case), rising=case.undecided,
        ended=case.ended / 3600.0,
    )  # fmt: skip


def _deep(design: Design) -> float:
    """Length dug deeper than ``DEEP``: of runs by their stations, of opened walls where no drain runs beside [m]."""
    beside = {name for run in design.system.runs for name in run.walls}
    found = sum(_deep_of(run) for run in design.system.runs)
    for trench in design.build.dig.trenches:
        if trench.kind == "wall" and trench.name not in beside and trench.depth_mean > DEEP:
            found += trench.length
    return found


def _deep_of(run: SizedRun) -> float:
    total = 0.0
    for one, other in pairwise(run.stations):
        step = other.distance - one.distance
        over = (one.cut - DEEP, other.cut - DEEP)
        if max(over) <= 0.0:
            continue
        total += step if min(over) >= 0.0 else step * max(over) / (max(over) - min(over))
    return total


def ends_of(design: Design) -> Ends:
    """Where each source of water leaves the works, and whether it is lifted on its way."""
    return frozenset((cause, source, end, bool(basins)) for cause, source, end, basins in ways_of(design))


def ways_of(design: Design) -> Ways:
    """Where each source of water leaves the works, and the basins from which it is lifted on its way."""
    leaving: dict[str, SizedRun] = {run.upper: run for run in design.system.runs if run.duty != "overflow"}
    kinds = {"downspout": "roof", "inlet": "yard"}
    nodes = design.system.nodes
    found = set()

    def end(run: SizedRun | None, start: str) -> tuple[str, tuple[str, ...]]:
        here, seen, basins = start, set(), []
        while run is not None and run.name not in seen:
            seen.add(run.name)
            if nodes[run.upper].kind == "basin":
                basins.append(run.upper)
            here = run.lower
            run = leaving.get(here)
        return here, tuple(basins)

    for node in nodes.values():
        if node.kind in kinds and node.name in leaving:
            found.add((kinds[node.kind], node.name, *end(leaving[node.name], node.name)))
    for run in design.system.runs:
        if run.duty == "footing drain":
            found |= {("ground", wall, *end(run, run.upper)) for wall in run.walls}
    return frozenset(found)


__all__ = ["DEEP", "Ways", "compared", "ends_of", "ways_of"]
