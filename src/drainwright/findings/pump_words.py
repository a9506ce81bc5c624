"""Sentences about pumps for the answers: the count of downspouts, the wet season, the ranking, batteries, two pumps."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import groupby
from math import isinf

from drainwright.build.book import book_for
from drainwright.build.wording import money
from drainwright.findings.places import listed
from drainwright.findings.pumps import starts_words, switch_life
from drainwright.findings.rules import Case
from drainwright.quantities import write
from drainwright.system.lift.pump_model import BatteryUnit, StormCarried
from drainwright.system.lift.ranking import short_name
from drainwright.system.model import LiftStation, PumpChoice
from drainwright.system.trade import nominal_words

YEAR = 31557600.0  # [s]
NEXT_ONES = 2  # of the ranking that an answer names
NAMED = 4  # downspouts, at most, that an answer names


def pump_name(case: Case, pump: PumpChoice) -> str:
    """A pump as an answer names it; a generic one for a job in SI by its watts alone."""
    name = short_name(pump, case.job.units)
    if case.job.units == "US" or pump.chosen_by != "design" or pump.label_power is None:
        return name
    kind = next((word for word in (" high-flow", " high-head") if word in pump.name), "")
    return f"generic {write(pump.label_power, 'power', 'SI', 'W')}{kind}"


def _years(storms: Sequence[StormCarried]) -> str:
    """``2-year``, ``5- and 10-year``."""
    years = [f"{storm.return_period / YEAR:g}-" for storm in storms]
    return f"{listed(years)}year"


def _of(carried: int, total: int) -> str:
    if total == 1:
        return "the one downspout" if carried else "not even one downspout"
    return "none" if carried == 0 else f"all {total}" if carried == total else f"{carried} of {total}"


def carried_words(storms: Sequence[StormCarried], *, worn: bool) -> str:
    """``all 4 in the 2-year rain, 1 of 4 in the 5- and 10-year rain``."""
    parts = []
    for carried, group in groupby(storms, key=lambda storm: storm.carried_worn if worn else storm.carried):
        same = list(group)
        parts.append(f"{_of(carried, len(same[0].roofs))} in the {_years(same)} rain")
    return ", ".join(parts)


def downspout_count(case: Case, station: LiftStation) -> str:
    """How many downspouts the pump carries, rain by rain, new and worn; empty where no rain was counted."""
    storms = () if station.study is None else station.study.storms
    if not storms or not station.reaches:
        return ""
    roofs = storms[0].roofs
    order = f" ({', then '.join(roof.name for roof in roofs)})" if 1 < len(roofs) <= NAMED else ""
    new, old = carried_words(storms, worn=False), carried_words(storms, worn=True)
    said = (
        f"{'Counted one after the other' if len(roofs) > 1 else 'Counted'}{order}, behind ground and yard water and with its "
        f"margin, the pump carries {new}"
    )
    said += "; worn and without a margin the same." if new == old else f"; worn and without a margin {old}."
    full = next((storm for storm in storms if not isinf(storm.lasts)), None)
    if full is None:
        return said
    return (
        f"{said} The basin is no help beyond that: all that is led to it fills the room over its floats in "
        f"{case.hours(full.lasts)} of the {_years((full,))} rain."
    )


def season_words(case: Case, station: LiftStation) -> str:
    """Starts, energy and what they cost in a wet season, and how long the switch lasts; empty without ground water."""
    season = None if station.study is None else station.study.season
    if season is None or season.run_time <= 0.0 or not station.reaches:
        return ""
    turns = station.study is not None and station.study.pair is not None
    parts = [f"It makes {starts_words(season.starts)} on such a day" + (", half of them where two take turns" * turns)]
    if life := switch_life(station):
        parts.append(life)
    words = "; ".join(parts) + "."
    if season.energy is None:
        return words
    kilowatt_hours = season.energy / 3.6e6
    book = book_for(case.job.price_book)
    price = book.items.get("electricity.kwh")
    cost = "" if price is None else f", {money(Decimal(str(kilowatt_hours)) * price.price, book.currency, 0)} of power"
    by = (
        "by the power on its label over a motor's 60 % (assumed)"
        if season.power_assumed
        else "by the power on its sheet"
    )
    return f"{words} A wet season of {season.days:.0f} days (assumed) takes {kilowatt_hours:.0f} kWh{cost}, {by}."


def ranking_words(case: Case, station: LiftStation) -> str:
    """Why this pump, and why not the next ones."""
    if len(station.ranking) < 2:
        return ""
    first, *others = station.ranking
    told = []
    for line in others[:NEXT_ONES]:
        pipe = nominal_words(line.pipe, case.job.units)
        told.append(f"{pump_name(case, line.pump)} through {pipe} lifts {case.flow(line.flow)} ({line.reason})")
    why = f"it {first.reason}" if first.reason.startswith("keeps") else first.reason
    return f"The {pump_name(case, first.pump)} is taken: {why}. Next to it, {'; '.join(told)}."


def _ranged(unit: BatteryUnit) -> bool:
    """Whether the wet season's water is the high end of a range, over the likely flow between rains."""
    flows = {hours.water: hours.inflow for hours in unit.hours}
    return flows["wet season"] > flows.get("between rains", flows["wet season"]) * (1.0 + 1e-9)


def battery_words(case: Case, unit: BatteryUnit) -> str:
    """How long the battery lasts at each inflow."""
    if not unit.hours or not unit.reaches:
        return ""
    parts = []
    for hours in unit.hours:
        if isinf(hours.seconds):
            continue
        short = "" if hours.keeps_up else ", and the water gains on it"
        high = ", at the high end of its range" if hours.water == "wet season" and _ranged(unit) else ""
        parts.append(f"{case.hours(hours.seconds)} with the water of the {_WATERS[hours.water]}{high}{short}")
    return f"It lasts {listed(parts)}." if parts else ""


_WATERS = {
    "between rains": "time between rains, as is likely", "wet season": "wet season's high",
    "design rain": "design rain",
}  # fmt: skip


def dry_filling(case: Case, station: LiftStation) -> str:
    """How long the wet season's ground water alone takes to fill the basin, to its start and from there on."""
    starts, fills = (case.hours(volume / station.inflow_ground) for volume in (station.band_volume, station.reserve))
    return (
        f"Without rain the water takes {starts} to rise from the pump's stop to its start, and {fills} more to the lowest "
        "pipe: that is all the room a power cut has."
    )


def offered_words(case: Case, station: LiftStation) -> str:
    """What a generic battery unit would do here, where the job has none."""
    unit = None if station.study is None else station.study.offered
    if unit is None:
        return ""
    wet = next(hours for hours in unit.hours if hours.water == "wet season")
    lasts = (
        "" if isinf(wet.seconds) else f", and a battery of {unit.capacity:g} Ah would last {case.hours(wet.seconds)}"
    )
    return (
        f"A {unit.volts:g} V unit that draws {unit.current:g} A (generic, of our own making) would lift {case.flow(unit.flow)} at "
        f"this lift, of {case.flow(unit.open_flow)} at the end of its sheet: enough for the wet season's {case.flow(wet.inflow)}"
        f"{', at the high end of its range' if _ranged(unit) else ''}{lasts}."
    )


__all__ = [
    "battery_words", "carried_words", "downspout_count", "dry_filling", "offered_words", "pump_name", "ranking_words", "season_words",
]  # fmt: skip
