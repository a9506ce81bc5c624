"""Pumps ranked with reasons: the one taken, what the next ones give, and why they come after."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.field.words import Units
from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.hydraulics.wetwell import basin_volume, most_starts_per_hour
from drainwright.quantities import percent
from drainwright.system.catalogue import nominal_size
from drainwright.system.lift.choice import Chosen, Judged, Option, Setting, exactly, judge_options, port_size
from drainwright.system.lift.duty import at_level, worn
from drainwright.system.lift.pump_model import RankedPump
from drainwright.system.model import PumpChoice
from drainwright.system.trade import nominal_words, pump_words
from drainwright.worksheet import quiet

LARGE_LINE = 3.0  # nominal size from which a discharge line needs a word [in]
LINES = 6  # of the ranking, at most: it must fit a paper
_SHORT_WORDS = {
    "flow": "lifts too little at this head",
    "worn": "once worn no longer lifts the peak inflow",
    "velocity": "moves the water in its line too slowly or too fast",
    "starts": "starts too often with the room that its floats have",
    "depth": "needs a deeper basin than common ones",
}


def ranking(setting: Setting, chosen: Chosen, judged: Sequence[Judged] | None = None) -> tuple[RankedPump, ...]:
    """The choice ranked: one line for each pump's curve, with its best discharge pipe and basin.

    Parameters
    ----------
    setting : Setting
        What the station is fitted into.
    chosen : Chosen
        What was taken: it stands first.
    judged : sequence of Judged, optional
        All options, where they are known already.

    Returns
    -------
    tuple of RankedPump
        At most ``LINES``: then the firm's own that keep every limit, then others that do by cost, then those that
        fall short, by how much. The firm's own are shown before generic ones that rank higher, one of these at least.
    """
    judged = judge_options(setting) if judged is None else judged
    seen = {chosen.option.pump.curve}
    after: list[Judged] = []
    for item in judged:
        if item.option.pump.curve not in seen:
            seen.add(item.option.pump.curve)
            after.append(item)
    after.sort(key=_order)
    own_cost = next(item.cost for item in judged if _same(item.option, chosen.option))
    firms = [item for item in after if item.option.firms][: LINES - 2]
    generic = [item for item in after if not item.option.firms][: LINES - 1 - len(firms)]
    shown = sorted((*firms, *generic), key=_order)
    others = [_line(setting, exactly(setting, item.option), item.cost, chosen, own_cost) for item in shown]
    return (_line(setting, chosen, own_cost, chosen, own_cost), *others)


def _order(item: Judged) -> tuple[bool, bool, float, float]:
    """What keeps every limit first, the firm's own before others; then by how much falls short, and by cost."""
    return item.short > 0.0, not item.option.firms and item.short <= 0.0, item.short, item.cost


def _same(one: Option, other: Option) -> bool:
    return one.pump == other.pump and one.line.pipe == other.line.pipe and one.diameter == other.diameter


def _line(setting: Setting, found: Chosen, cost: float, chosen: Chosen, own_cost: float) -> RankedPump:
    levels, line, pump = found.levels, found.option.line, found.option.pump
    middle = (levels.on + levels.off) / 2.0
    with quiet():
        point = at_level(pump.curve, line, middle, levels.floor)
        old = at_level(worn(pump.curve, setting.criteria.pump_wear), line, middle, levels.floor)
        volume = float(basin_volume(levels.diameter, levels.on - levels.off))
        starts = float(most_starts_per_hour(volume, point.flow)) / 3600.0 if point.flow > 0.0 else 0.0
        speed = float(pipe_velocity(point.flow, line.pipe.inside))
    return RankedPump(
        pump=pump,
        pipe=line.pipe.nominal,
        diameter=levels.diameter,
        flow=point.flow,
        head=point.head,
        worn_flow=old.flow,
        velocity=speed,
        starts=starts,
        run=volume / point.flow if point.flow > 0.0 else math.inf,
        spare_head=pump.curve.shutoff - (line.highest - levels.off),
        port_fits=nominal_size(line.pipe) >= port_size(pump.discharge_size) - 1e-9,
        cost=cost,
        short=tuple(sorted(found.short, key=lambda kind: -found.short[kind])),
        taken=found is chosen,
        firms=found.option.firms or pump.chosen_by != "design",
        reason=_reason(setting, found, cost, chosen, own_cost),
    )


def _reason(setting: Setting, found: Chosen, cost: float, chosen: Chosen, own_cost: float) -> str:
    if found is chosen:
        if setting.basin.pump is not None:
            return "the job names it"
        if found.option.firms and set(found.short) == {"depth"}:
            return "none keeps every limit, and of those that want a basin deeper than common ones it is the firm's own"
        if found.short:
            return f"none keeps every limit, and this one falls least short: it {missed(found)}"
        if found.option.firms:
            return "keeps every limit, of the firm's own pumps"
        none = ", which none of the firm's own does" if any(not pump.direct_current for pump in setting.pumps) else ""
        return f"keeps every limit{none}, at the least cost"
    dearer = cost > own_cost * 1.005 > 0.0
    more = f"; pump, line and basin cost about {percent(cost / own_cost - 1.0)} more" if dearer else ""
    if found.short:
        return missed(found) + (more if set(found.short) == set(chosen.short) else "")
    if chosen.option.firms and not found.option.firms:
        return "keeps every limit, but is not one of the firm's own"
    return "keeps every limit" + more


def missed(found: Chosen) -> str:
    """What a choice falls short in, in words, the worst first."""
    kinds = sorted(found.short, key=lambda kind: -found.short[kind])
    return ", ".join(_SHORT_WORDS[kind] for kind in kinds)


def line_for_pump(setting: Setting, chosen: Chosen, judged: Sequence[Judged]) -> str | None:
    """A note where the discharge line saves a bigger pump; None where it does not, or was not ours to choose."""
    if setting.line_pipe is not None or setting.basin.pump is not None or chosen.short:
        return None
    size = nominal_size(chosen.option.line.pipe)
    smaller = [item for item in judged if nominal_size(item.option.line.pipe) < size - 1e-9]
    name = f"{setting.basin.name}: a discharge line of {nominal_words(chosen.option.line.pipe.nominal, setting.units)}"
    fitting = [item for item in smaller if item.short <= 0.0]
    if not fitting:
        return f"{name} is needed: no pump of the list does it through a smaller one." if size >= LARGE_LINE else None
    best = min(fitting, key=lambda item: item.cost)
    if best.option.pump_cost <= chosen.option.pump_cost * 1.001:
        return None
    pump, pipe = (
        short_name(best.option.pump, setting.units),
        nominal_words(best.option.line.pipe.nominal, setting.units),
    )
    return f"{name} saves a bigger pump: through {pipe} it would take the {pump}."


def short_name(pump: PumpChoice, units: Units) -> str:
    """A pump's name without the kind of its float."""
    return pump_words(pump, units).partition(",")[0]


__all__ = ["LINES", "line_for_pump", "missed", "ranking", "short_name"]
