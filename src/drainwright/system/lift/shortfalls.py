"""What a choice of pump, line and basin falls short in, with figures; and why the firm's own pumps are not taken."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.hydraulics.wetwell import basin_volume, most_starts_per_hour
from drainwright.job.works import Pump
from drainwright.quantities import write
from drainwright.system.catalogue import nominal_size
from drainwright.system.lift.choice import DEPTHS, Chosen, Judged, Setting, exactly, port_size, starts_limit
from drainwright.system.trade import nominal_words
from drainwright.worksheet import quiet

NAMED = 4  # of the firm's pumps, at most, that a note names
SHARE = 1e-3  # of a figure within which two are the same


def missed_limit(kind: str, setting: Setting, chosen: Chosen) -> str:
    """One limit that is not kept: what there is, and what is wanted.

    Parameters
    ----------
    kind : str
        Of ``choice.SHORTFALLS``.
    setting : Setting
        What the station is fitted into.
    chosen : Chosen
        The choice that misses it.
    """
    criteria, units, levels = setting.criteria, setting.units, chosen.levels
    if kind == "flow":
        wanted = criteria.pump_margin * setting.inflow
        return f"the pump delivers {write(chosen.flow, 'flow', units)} where {write(wanted, 'flow', units)} is wanted"
    if kind == "worn":
        return f"the pump, worn, no longer lifts the {write(setting.inflow, 'flow', units)} that come at most"
    with quiet():
        volume = float(basin_volume(levels.diameter, levels.on - levels.off))
        speed = float(pipe_velocity(chosen.flow, chosen.option.line.pipe.inside))
    if kind == "velocity":
        low, high = criteria.minimum_velocity, criteria.maximum_velocity
        limit = f"{write(low, 'speed', units)} or more" if speed < low else f"{write(high, 'speed', units)} or less"
        return f"water in the discharge line moves at {write(speed, 'speed', units)} where {limit} is wanted"
    if kind == "starts":
        with quiet():
            starts = float(most_starts_per_hour(volume, chosen.flow))
        allowed = starts_limit(chosen.option.pump, criteria) * 3600.0
        return f"the pump starts {starts:.1f} times an hour at the worst inflow where {allowed:.3g} are wanted"
    style = "ft-in" if units == "US" else "mm"
    deep, usual = (write(depth, "length", units, style) for depth in (levels.depth, DEPTHS[-1]))
    return f"the basin is {deep} deep where common ones are {usual} at most"


def passed_over(setting: Setting, chosen: Chosen, judged: Sequence[Judged]) -> str | None:
    """Why none of the firm's own pumps is taken, pump by pump; None where one is, or none was given.

    Parameters
    ----------
    setting : Setting
        What the station is fitted into, the firm's pumps with it.
    chosen : Chosen
        What was taken.
    judged : sequence of Judged
        All options, those that fall least short first.
    """
    if setting.basin.pump is not None or not setting.pumps or chosen.option.firms:
        return None
    said = [_reason(setting, pump, judged) for pump in setting.pumps]
    more = len(said) - NAMED
    left = f"; so it is with the other {more}" if more > 0 else ""
    return f"{setting.basin.name}: none of the firm's own pumps is taken. {'; '.join(said[:NAMED])}{left}."


def _reason(setting: Setting, pump: Pump, judged: Sequence[Judged]) -> str:
    if pump.direct_current:
        return f"{pump.name}: it runs on a battery's direct current"
    best = next(item.option for item in judged if item.option.firms and item.option.pump.name == pump.name)
    found = exactly(setting, best)
    units, pipe = setting.units, best.line.pipe
    kinds = sorted(found.short, key=lambda kind: -found.short[kind])
    parts = [missed_limit(kind, setting, found) + (_for_band(setting, found) * (kind == "depth")) for kind in kinds]
    if nominal_size(pipe) < port_size(best.pump.discharge_size) - 1e-9:
        line, port = (nominal_words(size, units) for size in (pipe.nominal, best.pump.discharge_size))
        parts.append(f"its outlet of {port} is wider than the line of {line}, which the job names")
    through = f"{pump.name}, at its best through {nominal_words(pipe.nominal, units)}"
    return f"{through}: {', and '.join(parts or ['it costs more'])}"


def _for_band(setting: Setting, found: Chosen) -> str:
    """What asks for the room between the floats that makes a basin so deep."""
    pump, levels, criteria = found.option.pump, found.levels, setting.criteria
    if pump.float_band is not None or (setting.basin.on is not None and setting.basin.off is not None):
        return ""
    with quiet():
        volume = float(basin_volume(levels.diameter, levels.on - levels.off))
    allowed = starts_limit(pump, criteria)
    room = write(volume, "volume", setting.units, "gal" if setting.units == "US" else "L")
    lifts = f", since at {write(found.flow, 'flow', setting.units)} it needs {room}"
    if volume <= found.flow / (4.0 * allowed) * (1.0 + SHARE):
        return f"{lifts} between its floats to start no more than {allowed * 3600.0:.3g} times an hour"
    if volume <= found.flow * criteria.minimum_run * (1.0 + SHARE):
        return f"{lifts} between its floats to run {criteria.minimum_run:.0f} s at a time"
    return ""


__all__ = ["missed_limit", "passed_over"]
