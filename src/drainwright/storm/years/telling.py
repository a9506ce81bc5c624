"""A long run, told: by spell and year, and how often what should not be comes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from drainwright.field.model import Site
from drainwright.quantities import System as UnitSystem
from drainwright.quantities import percent, write
from drainwright.storm.engine.plant import AWAY, FAR, FORCED, IN, OUT, STEPS
from drainwright.storm.network import slab_level
from drainwright.storm.surface.soil_store import EVAPORATION
from drainwright.storm.years.model import (
    LEAST_READ,
    BadOutcome,
    LongRun,
    Return,
    SpellRain,
    SpellTold,
    StationYear,
    WetSpell,
    YearTold,
)  # fmt: skip
from drainwright.storm.years.running import TOLERANCE, Sums, Told, run_course
from drainwright.storm.years.water_table import WaterTable
from drainwright.system.lift.season import MOTOR_EFFICIENCY, drawn_power, energy_of, pumps_of
from drainwright.system.model import LiftStation, System
from drainwright.water.extremes import return_of
from drainwright.water.model import Inflows
from drainwright.worksheet import quiet

POND = 0.1524  # over a grate, six inches: common practice, no source [m]
SPILL = 0.1  # over a rim and away in a year: common practice, no source [m³]
SEED = 1966  # of the bands


def _stations(system: System, told: Told, sums: Sums) -> tuple[StationYear, ...]:
    found = []
    for place, name in enumerate(told.network.stations):
        station = system.station_named(name)
        seconds, second = float(sums.seconds[place]), float(sums.second[place])
        with quiet():
            energy = None if station is None else energy_of(station, seconds, second)
        found.append(
            StationYear(
                name=name,
                starts=float(sums.starts[place]),
                seconds=seconds,
                second_seconds=second,
                pumped=float(sums.pumped[place]),
                energy=energy,
            )
        )
    return tuple(found)


def _house(told: Told, sums: Sums) -> tuple[float | None, float | None]:
    """Highest water at the house, and when; None: its drains stayed dry, or it has no drain or basin."""
    at = told.network.highest_at_house(sums.highest)
    if at is None:
        return None, None
    return float(sums.highest[at]), float(sums.highest_at[at])


def _pond(told: Told, sums: Sums) -> tuple[float, str | None]:
    """Deepest water over a grate, and which."""
    grates = told.plant.grates
    if not grates.pond.size:
        return 0.0, None
    deep = sums.highest[grates.pond] - grates.rim
    worst = int(np.argmax(deep))
    deepest = max(float(deep[worst]), 0.0)
    return deepest, told.network.names[int(grates.body[worst])] if deepest > 0.0 else None


def _spilled(told: Told, sums: Sums) -> float:
    """What left the plant over rims for good [m³]."""
    return float(np.sum(sums.spilled[told.plant.overland.target < 0]))


def run_years(
    site: Site, inflows: Inflows, system: System, rain: SpellRain, progress: Callable[[int, int], None] | None = None,
    table: WaterTable | None = None,
) -> LongRun:  # fmt: skip
    """Carry a design through years of rain, with everything working.

    Parameters
    ----------
    site, inflows, system
        The design.
    rain : SpellRain
        Wet spells of a record or of made rain.
    progress : callable, optional
        Told after each spell how many are done, of how many.
    table : WaterTable, optional
        By which the far ground water moves; left out, it stands at the design's level.

    Returns
    -------
    LongRun
        By spell and year; how often each bad outcome comes, by rank and by a law of extremes, with its band.

    Raises
    ------
    InputError, JobError
        As ``build_network`` and ``surfaces_of``.

    Notes
    -----
    Without a well's record far ground water stands at the level of the design, the wet season's, all year: pump hours
    and starts are then upper ends, and the floor's chance on the safe side. Grates are as clogged as the criteria say,
    the soil as wet at the first spell as the design storm finds it, and as the weather leaves it from then on. The
    power never fails and the pump does not wear: ``drainwright storm`` and ``drainwright chance`` ask what then.
    """
    told = run_course(site, inflows, system, rain, progress, table)
    spells = tuple(_spell(told, item) for item in told.spells)
    years = []
    for year, sums in zip(rain.years, told.years, strict=True):
        highest, at = _house(told, sums)
        pond, where = _pond(told, sums)
        years.append(
            YearTold(
                year=year.year,
                share=year.share,
                counts=year.share >= LEAST_READ,
                rain=sums.rain,
                highest=highest,
                highest_at=at,
                pond=pond,
                pond_at=where,
                spilled=_spilled(told, sums),
                slab_seconds=sums.above,
                stations=_stations(system, told, sums),
            )
        )
    whole = _whole(told)
    best = max(range(len(spells)), key=lambda i: spells[i].highest or -math.inf, default=None)
    highest, _ = _house(told, whole)
    if best is not None and highest is not None and (spells[best].highest or -math.inf) < highest - 1e-9:
        best = None
    totals = told.totals
    return LongRun(
        record=rain.name, begins=rain.begins, span=rain.span, step=rain.step, made=rain.made,
        slab_level=slab_level(site), spells=spells, years=tuple(years),
        returns=_returns(site, system, told, years), stations=_stations(system, told, whole),
        volumes={
            "in": float(totals[IN]), "ground": float(totals[FAR]), "out": float(totals[OUT]),
            "away": float(totals[AWAY]), "stored": told.stored,
        },
        worst_balance=told.worst_balance, steps=int(totals[STEPS]), highest=highest, highest_spell=best,
        house_dry=bool(told.network.house.size) and highest is None,
        sources=(), notes=_notes(site, system, rain, totals[FORCED], table),
    )  # fmt: skip


def _whole(told: Told) -> Sums:
    """All years together."""
    first = told.years[0]
    whole = Sums(nodes=len(first.highest), stations=len(first.starts), over=len(first.spilled))
    for year in told.years:
        higher = year.highest > whole.highest
        whole.highest = np.where(higher, year.highest, whole.highest)
        whole.highest_at = np.where(higher, year.highest_at, whole.highest_at)
        whole.starts += year.starts
        whole.seconds += year.seconds
        whole.second += year.second
        whole.pumped += year.pumped
        whole.spilled += year.spilled
        whole.busiest = np.maximum(whole.busiest, year.busiest)
        whole.above += year.above
        whole.rain += year.rain
    return whole


def _spell(told: Told, item: tuple[WetSpell, float, Sums]) -> SpellTold:
    spell, seconds, sums = item
    highest, at = _house(told, sums)
    return SpellTold(
        start=spell.start,
        seconds=seconds,
        depth=sums.rain,
        peak=sums.peak,
        highest=highest,
        highest_at=at,
        pond=_pond(told, sums)[0],
        spilled=_spilled(told, sums),
        starts=float(np.sum(sums.starts)),
        pump_seconds=float(np.sum(sums.seconds)),
        slab_seconds=sums.above,
    )


def _returns(site: Site, system: System, told: Told, years: Sequence[YearTold]) -> tuple[Return, ...]:
    """How often each bad outcome comes."""
    counted = [place for place, year in enumerate(years) if year.counts]
    if not counted:
        return ()
    asked: list[tuple[BadOutcome, list[float]]] = []
    if told.network.house.size:
        floor = "crawl-space soil" if site.job.house.floor_kind == "crawl space" else "underside of the floor"
        outcome = BadOutcome(key="slab", title=f"Water at the {floor}", unit="m", threshold=slab_level(site))
        bed = float(np.min(told.plant.stores.stage[told.network.house, 0]))  # a dry year's water, if any, is lower
        levels = [years[place].highest for place in counted]
        asked.append((outcome, [bed if level is None else level for level in levels]))
    if told.plant.grates.pond.size:
        deep = write(POND, "length", site.job.units, "in" if site.job.units == "US" else "mm", 0)
        outcome = BadOutcome(key="pond", title=f"Water {deep} deep over a grate", unit="m", threshold=POND)
        asked.append((outcome, [years[place].pond for place in counted]))
    outcome = BadOutcome(key="spill", title="Water runs off over a rim", unit="m3", threshold=SPILL)
    asked.append((outcome, [years[place].spilled for place in counted]))
    several = len(told.network.stations) > 1
    for number, name in enumerate(told.network.stations):
        station = system.station_named(name)
        if station is None:
            continue
        outcome = BadOutcome(
            key=f"starts: {name}" if several else "starts",
            title=f"The pump of {name} starts more often in an hour than its sheet allows",
            unit="1/h",
            threshold=station.pump.starts_limit * 3600.0 + 1.0,
        )
        asked.append((outcome, [float(told.years[place].busiest[number]) for place in counted]))
    found = []
    for outcome, maxima in asked:
        noise = 2.0 * TOLERANCE if outcome.unit == "m" else 0.0  # of the stepper: a law would be fitted to its errors
        told_by = return_of(maxima, outcome.threshold, SEED, noise)
        found.append(
            Return(
                outcome=outcome,
                years=tuple(years[place].year for place in counted),
                maxima=tuple(maxima),
                plotted=told_by.plotted,
                reached=told_by.reached,
                law=told_by.law,
                by_rank=told_by.by_rank,
                by_law=told_by.by_law,
                low=told_by.low,
                high=told_by.high,
                beyond=told_by.beyond,
                words=told_by.why,
            )
        )
    return tuple(found)


def _notes(site: Site, system: System, rain: SpellRain, forced: float, table: WaterTable | None) -> tuple[str, ...]:
    units = site.job.units
    still = (
        "far ground water stands at its design level, the wet season's, all year: years with a dry season have fewer "
        "hours, starts and kWh"
    )
    notes = [
        *rain.notes,
        *((still,) if table is None else table.notes),
        f"grates {percent(site.job.criteria.grate_clogging)} clogged, the power never out, the pump as new",
        f"the soil dries between storms by its texture and {_dried(units)} of evaporation a day, assumed",
    ]
    for station in system.stations:
        notes += [*_flow_notes(station, units), *_energy_notes(station)]
    if forced > 0.0:
        notes.append(f"{forced:.0f} steps are not right to the tolerance: the plant is at odds with itself")
    return tuple(notes)


def _dried(units: UnitSystem) -> str:
    """What evaporates in a day, in the job's units."""
    return write(EVAPORATION * 86400.0, "length", units, "in" if units == "US" else "mm", 2 if units == "US" else 0)


def _flow_notes(station: LiftStation, units: UnitSystem) -> list[str]:
    """Of which ground water the hours are: the likely flow; and what the high end of its range would ask."""
    season = None if station.study is None else station.study.season
    if season is None or season.likely <= 0.0:
        return []
    told = f"{station.name}: hours and energy are those of the likely ground water, {_flow(season.likely, units)}"
    if season.inflow <= season.likely:
        return [told]
    energy = "" if season.energy is None else f" and {season.energy / season.days / 3.6e6:.2g} kWh"
    high = f"{_flow(season.inflow, units)}, ground water alone takes {season.run_time / 3600.0:.1f} h{energy} a day"
    return [f"{told}; at the high end of its range, {high}"]


def _flow(value: float, units: UnitSystem) -> str:
    """A flow; a metric trickle in litres a minute."""
    return write(value, "flow", units, "L/min" if units == "SI" and value < 1e-4 else None)


def _energy_notes(station: LiftStation) -> list[str]:
    """How the energy of a station is known."""
    pumps = pumps_of(station)
    with quiet():
        powers = [drawn_power(pump) for pump in (pumps if station.second_on is not None else pumps[:1])]
    notes = []
    if any(power is None for power, _ in powers):
        notes.append(f"{station.name}: a pump's sheet does not say what it draws; where it ran no energy is told")
    if any(assumed for _, assumed in powers):
        notes.append(f"{station.name}: energy by the label power and {percent(MOTOR_EFFICIENCY)} efficiency, assumed")
    if len({power for power, _ in powers}) > 1:
        notes.append(f"{station.name}: two makes of pumps; the first leads, the second runs above its own float only")
    return notes


__all__ = ["LEAST_READ", "run_years"]
