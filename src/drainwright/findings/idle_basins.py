"""A basin to which no water comes."""

from __future__ import annotations

from collections.abc import Iterator
from math import dist

from drainwright.findings.rules import Case, Outcome, caution, ok, rule
from drainwright.findings.stations import each_station
from drainwright.system.model import LiftStation

NOTHING = 1e-9  # flow that counts as none [m³/s]


@rule("LFT-43", "A basin that gets no water", "common_practice")
@each_station
def idle_basin(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A basin, a pump and a discharge line are dear: they need water to lift, and a line that brings it."""
    coming = [run.name for run in case.system.runs if run.lower == station.name]
    figure, limit = case.flow(station.inflow), "more than none"
    if station.inflow > NOTHING:
        text = f"{station.name} gets {case.flow(station.inflow)} in the design rain."
        yield ok(where, text, figure=figure, limit=limit, basis=case.water_basis)
        return
    brings = (
        "no line leads to it" if not coming else f"what leads to it ({', '.join(coming)}) brings none by these figures"
    )
    yield caution(
        where,
        f"{station.name} gets no water: {brings}.",
        figure=figure,
        limit=limit,
        advice=f"Leave it out, or lead {_nearby(case, station)}.",
        basis=case.water_basis,
    )


def _nearby(case: Case, station: LiftStation) -> str:
    """The line to another basin that begins nearest, in words."""
    others = {other.name for other in case.system.stations} - {station.name}
    runs = [run for run in case.system.runs if not run.pressure and run.lower in others]
    if not runs:
        return "a drain or an inlet to it"
    near = min(runs, key=lambda run: (dist(run.route[0], station.at), run.name))
    return f"{near.name} to it rather than to {near.lower}, where the levels allow it"


__all__ = ["idle_basin"]
