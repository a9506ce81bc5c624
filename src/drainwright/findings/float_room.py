"""Check of the heights between the floats, and what would make the room that they lack."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from drainwright.findings.rules import Case, Outcome, caution, ok, rule
from drainwright.findings.stations import each_station
from drainwright.system.lift.choice import ALARM_BELOW, FLOAT_ROOM, LEAST_BAND, starts_limit
from drainwright.system.model import LiftStation

SAME = 1e-6  # [m]


def _spare_band(case: Case, station: LiftStation) -> float:
    """How much lower the pump may start and still keep its starts and its shortest run [m]."""
    if station.pump.float_band is not None:
        return 0.0
    cycle = 1.0 / (4.0 * starts_limit(station.pump, case.job.criteria))
    volume = station.operating_flow * max(cycle, case.job.criteria.minimum_run)
    least = max(volume / (math.pi / 4.0 * station.inside_diameter**2), LEAST_BAND)
    return max(station.on - station.off - least, 0.0)


def _advice(case: Case, station: LiftStation, switches: int) -> str:
    """What makes the room: the alarm higher, the start lower, or a deeper basin, with its size."""
    levels = station.float_levels
    on, alarm, kind = levels["on"], levels["alarm"], station.pump.float_kind
    need = switches * FLOAT_ROOM[kind]
    highest = station.lowest_inlet - ALARM_BELOW
    if on + need <= highest + SAME:
        return f"Set the alarm {case.small(max(on + need, alarm) - station.floor)} above the floor."
    lower = on + need - max(highest, alarm)
    if lower <= _spare_band(case, station) + SAME:
        return (
            f"Set the start level {case.small(on - lower - station.floor)} above the floor: the band stays long enough."
        )
    deep = f"{case.small(station.depth + lower)} deep, {case.small(lower)} deeper"
    advice = f"Take a basin {deep}, or bring the lowest pipe in so much higher."
    upright = switches * FLOAT_ROOM["adjustable"]
    if kind == "wide angle" and on + upright <= max(highest, alarm) + SAME:
        advice += f" Or use switches on an upright rod, which do with {case.small(FLOAT_ROOM['adjustable'])}."
    return advice


@rule("LFT-44", "Room between floats", "common_practice")
@each_station
def float_room(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Switches that start something stand so far apart that each tells its own level, and ripples tell none."""
    least = FLOAT_ROOM[station.pump.float_kind]
    starts = sorted((level, name) for name, level in station.float_levels.items() if name != "off")
    gaps = [(two - one, f"{first} and {second}") for (one, first), (two, second) in pairwise(starts)]
    if not gaps:
        return
    gap, pair = min(gaps)
    figure, limit = f"{case.small(gap)} between {pair}", f"{case.small(least)} or more"
    if gap >= least - SAME:
        yield ok(where, "The floats stand far enough apart.", figure=figure, limit=limit)
    else:
        yield caution(
            where,
            f"Only {figure}: floats so near to each other tangle, and one wave may set off both.",
            figure=figure,
            limit=limit,
            advice=_advice(case, station, len(gaps)),
        )
