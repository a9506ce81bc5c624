"""Which water gravity takes to a way out and which a basin lifts there, in sentences."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Literal

from drainwright.findings.places import counted, leads_to, listed
from drainwright.quantities import write
from drainwright.water.model import Cause, Contribution, Inflows

if TYPE_CHECKING:
    from drainwright.findings.rules import Case
    from drainwright.system.model import GravityVerdict, System

_KIND = {Cause.ROOF: "roof", Cause.YARD: "yard", Cause.GROUND: "ground"}


def verdict_words(
    system: System, inflows: Inflows, verdict: GravityVerdict, units: Literal["US", "SI"]
) -> tuple[str, str]:
    """For which water a verdict of "not reached" holds, and what falls there all the same.

    Parameters
    ----------
    system : System
        As designed.
    inflows : Inflows
        The water by its entries.
    verdict : GravityVerdict
        On one of its ways out.
    units : "US" or "SI"
        Of the flow that is told.

    Returns
    -------
    tuple of str
        Such as ``" for footing drains FD1 and FD2, which SUMP lifts"`` and ``"118.8 gpm of roof and yard water falls
        there by gravity"``; each empty where there is nothing to tell apart.
    """
    stations = [station.name for station in system.stations]
    falls = [
        item for item in inflows.contributions if item.flow > 0.0 and leads_to(system, item.entry, verdict.discharge)
    ]
    if verdict.reaches or not stations or not (falls or verdict.discharge == system.discharge):
        return "", ""
    drains = [
        run.name
        for run in system.runs
        if run.duty == "footing drain" and any(leads_to(system, run.name, name) for name in stations)
    ]
    lifted = [
        item
        for item in inflows.contributions
        if item.flow > 0.0 and item.cause is not Cause.GROUND
        and any(leads_to(system, item.entry, name) for name in stations)
    ]  # fmt: skip
    what = [f"footing {'drain' if len(drains) == 1 else 'drains'} {listed(drains)}"] if drains else []
    what += [f"{kinds_of(lifted)} water"] if lifted else []
    those = f" for {listed(what)}, which {listed(stations)} {'lifts' if len(stations) == 1 else 'lift'}" if what else ""
    if not falls:
        return those, ""
    flow = write(sum(item.flow for item in falls), "flow", units)
    return those, f"{flow} of {kinds_of(falls)} water falls there by gravity"


def lack_words(verdict: GravityVerdict, units: Literal["US", "SI"]) -> str:
    """Why gravity does not reach a way out whose level would do; empty where it does, or where the level is the reason."""
    if verdict.lacks == "ground":
        above = write(verdict.above_ground, "length", units, *(("ft-in",) if units == "US" else ("mm", 0)))
        return f"its level would do, yet it lies {above} above the ground there, where nothing covers a pipe"
    return {
        "free water": "its level would do, yet the water that may stand there does not let it in",
        "way": "its level would do by the shortest way, but the runs as laid have not the fall or the room",
    }.get(verdict.lacks, "")


def reach_words(system: System, inflows: Inflows, verdict: GravityVerdict, units: Literal["US", "SI"]) -> str:
    """``gravity reaches it``, or for which water it does not, why, and what falls there all the same."""
    if verdict.reaches:
        return "gravity reaches it"
    those, falls = verdict_words(system, inflows, verdict, units)
    why = lack_words(verdict, units)
    return f"gravity does not reach it{those}{why and f': {why}'}{falls and f'; {falls}'}"


def kinds_of(items: Iterable[Contribution]) -> str:
    """``roof and yard``."""
    there = {item.cause for item in items}
    return listed([word for cause, word in _KIND.items() if cause in there])


def _by_gravity(system: System, roofs: Iterable[Contribution]) -> dict[str, str]:
    """Entries whose water gravity takes to a way out past every basin, each with that way out."""
    ends = [verdict.discharge for verdict in system.gravity]
    return {item.entry: end for item in roofs for end in ends if leads_to(system, item.entry, end)}


def past_words(system: System, roofs: Iterable[Contribution], led: Iterable[Contribution]) -> str:
    """Where the downspouts go that do not come to the basin at the house."""
    away = dict.fromkeys(item.entry for item in roofs if item not in list(led))
    fallen = {entry: end for entry, end in _by_gravity(system, roofs).items() if entry in away}
    rest = len(away) - len(fallen)
    parts = []
    if fallen:
        ends = listed(list(fallen.values()))
        parts.append(f"Gravity takes {listed(list(fallen))} to {ends}, past the basin.")
    if rest:
        parts.append(f"{counted(rest, 'other')} {'goes' if rest == 1 else 'go'} elsewhere.")
    return " ".join(parts)


def lead_away(case: Case, roofs: Iterable[Contribution]) -> str:
    """What to do with roof water that does not come to the basin: nothing more where gravity leads it away already."""
    entries = dict.fromkeys(item.entry for item in roofs)
    fallen = _by_gravity(case.system, roofs)
    rest = [entry for entry in entries if entry not in fallen]
    if entries and not rest:
        return f"Leave it so: gravity leads the roof water to {listed(list(fallen.values()))} already."
    barred = {outlet.kind for outlet in case.job.rules.outlets if outlet.standing.value == "forbidden"}
    barred |= {verdict.kind for verdict in case.system.gravity if verdict.lawful == "forbidden"}
    places = [word for word, kind in (("yard", "daylight"), ("street", "street")) if kind not in barred]
    water = f"the roof water of {listed(rest)}" if fallen else "roof water"
    if not places:
        return f"Lead {water} by gravity to a lawful way out; open ground and street are forbidden here."
    return f"Lead {water} to the {listed(places, 'or')} by gravity where the place allows."


__all__ = ["kinds_of", "lack_words", "lead_away", "past_words", "reach_words", "verdict_words"]
