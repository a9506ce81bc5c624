"""Decades of rain through the plant, spell by spell, with the state carried from each to the next."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np

from drainwright.field.model import Site
from drainwright.storm.engine.plant import AWAY, FAR, FORCED, IN, OUT, STEPS, Floats, Plant, Run, State
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.network import Network, build_network
from drainwright.storm.surface.surfaces import Surfaces, rest, resting, run_off, running_dry, surfaces_of
from drainwright.storm.years.model import SpellRain, WetSpell
from drainwright.storm.years.water_table import WaterTable, lowest_shift
from drainwright.system.model import System
from drainwright.water.model import Inflows

TOLERANCE = 0.002  # greatest error of a level in one step [m]
LONGEST_TAIL = 6 * 3600.0  # in which surfaces run dry at the rain's own step [s]
STANDS = 5 * 86400.0  # a water table that moves is taken to stand so long in dry weather [s]


@dataclass(slots=True, kw_only=True)
class Sums:
    """What runs of the stepper add up to."""

    nodes: int
    stations: int
    over: int
    highest: Floats = field(init=False)
    highest_at: Floats = field(init=False)
    starts: Floats = field(init=False)
    seconds: Floats = field(init=False)
    second: Floats = field(init=False)  # run time of the second pumps [s]
    pumped: Floats = field(init=False)
    spilled: Floats = field(init=False)
    busiest: Floats = field(init=False)
    above: float = 0.0
    rain: float = 0.0  # [m]
    peak: float = 0.0  # most rain in one step [m]

    def __post_init__(self) -> None:
        self.highest, self.highest_at = np.full(self.nodes, -math.inf), np.zeros(self.nodes)
        self.starts, self.seconds, self.second, self.pumped = (np.zeros(self.stations) for _ in range(4))
        self.busiest = np.zeros(self.stations)
        self.spilled = np.zeros(self.over)

    def add(self, run: Run, watched: int, busiest: Floats) -> None:
        """Take in a run."""
        self.starts += run.start_count
        self.seconds += run.pump_seconds
        self.second += run.second_seconds
        self.pumped += run.pumped
        self.busiest = np.maximum(self.busiest, busiest)
        self.add_water(run, watched)

    def add_water(self, run: Run, watched: int) -> None:
        """Take in where a run's water stood and spilled, and not what the pumps did."""
        higher = run.highest > self.highest
        self.highest = np.where(higher, run.highest, self.highest)
        self.highest_at = np.where(higher, run.highest_at, self.highest_at)
        self.spilled += run.over
        self.above += float(np.max(run.above[:watched], initial=0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """All that a long run books, before it is told by year and outcome."""

    network: Network
    plant: Plant
    spells: tuple[tuple[WetSpell, float, Sums], ...]  # with how long each took until the surfaces were dry [s]
    years: tuple[Sums, ...]
    totals: Floats  # summed
    stored: float  # more than at the start [m³]
    worst_balance: float
    ran: float  # water that ran off the surfaces [m³]


def sound_plant(site: Site, system: System, network: Network) -> Plant:
    """The plant with everything working, its grates as clogged as the criteria say."""
    from drainwright.storm.failures.failure import Failure, failed

    none = forcing_of(np.array([0.0, 1.0]), np.zeros(0, np.int64), np.zeros((1, 0)))
    usual = site.job.criteria.grate_clogging
    plant, _ = failed(network.plant, none, network, system, Failure(key="sound", title="", clogging=usual))
    return plant


def _busiest(run: Run, stations: int, span: float) -> Floats:
    """Most starts of each station within an hour; where cycles were passed over, the mean of the run at least."""
    found = run.start_count * 3600.0 / max(span, 3600.0)
    for s in range(stations):
        times = run.starts[run.starts[:, 1] == s, 0]
        if times.size:
            within = np.arange(1, times.size + 1) - np.searchsorted(times, times - 3600.0, side="right")
            found[s] = max(float(np.max(within)), found[s])
    return found


@dataclass(slots=True, kw_only=True)
class _Course:
    """A long run on its way."""

    step: Callable[..., Run]
    packed: Any
    plant: Plant
    network: Network
    state: State
    entry: Any
    totals: Floats
    table: WaterTable | None
    least: float  # to which the far ground water falls at most, against the design's [m]
    worst: float = 0.0

    def go(self, edges: Floats, inflow: Floats) -> Run:
        """Step on to the last edge."""
        before = float(np.sum(self.state.volume) + np.sum(self.state.in_line))
        shift = None
        if self.table is not None:
            shift = np.maximum(self.table.shift(0.5 * (edges[1:] + edges[:-1])), self.least)
        forcing = forcing_of(edges, self.entry, inflow, shift)
        run = self.step(self.packed, forcing, self.state, TOLERANCE, False, True)
        self.state = run.state
        after = float(np.sum(run.state.volume) + np.sum(run.state.in_line))
        totals = run.totals
        error = abs(totals[IN] + totals[FAR] - totals[OUT] - totals[AWAY] - (after - before))
        moved = abs(totals[IN]) + abs(totals[FAR]) + abs(totals[OUT]) + abs(totals[AWAY])
        self.worst = max(self.worst, error / max(moved, 1e-3))
        self.totals += totals
        return run


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """A stretch of a long run: a wet spell until the surfaces are dry, or the dry time after it."""

    spell: WetSpell | None  # None: dry
    edges: Floats  # from its start to its end [s]
    inflow: Floats  # (steps, entries) [m³/s]
    peak: float = 0.0  # most rain in one step [m]
    ran: float = 0.0  # [m³]


def pieces(
    surfaces: Surfaces, rain: SpellRain, rain_factor: float = 1.0, soil_factor: float = 1.0
) -> Iterator[Piece]:  # fmt: skip
    """What comes to the plant through years of rain, wet and dry in turn, each from where the last ended.

    Parameters
    ----------
    surfaces : Surfaces
        The soil is as wet at the start as the design storm finds it, and as the weather leaves it from then on.
    rain : SpellRain
        Wet spells; between them it is dry.
    rain_factor, soil_factor : float
        As for ``run_off``.
    """
    from drainwright.storm.years.merging import MOST, SMALL, merged

    begins = [spell.start for spell in rain.spells]
    nothing = np.zeros((1, len(surfaces.entries)))
    first = begins[0] if begins else rain.span
    if first > 0.0:
        yield Piece(spell=None, edges=np.array([0.0, first]), inflow=nothing)
    dry_tail, state = min(running_dry(surfaces), LONGEST_TAIL), resting(surfaces)
    for number, spell in enumerate(rain.spells):
        following = begins[number + 1] if number + 1 < len(begins) else rain.span
        depths = rain.depths[spell.first : spell.last + 1]
        after = max(following - spell.start - depths.size * rain.step, 0.0)
        tail = int(min(math.ceil(dry_tail / rain.step), after // rain.step))
        fallen = np.concatenate([depths, np.zeros(tail)]) / rain.step
        off = run_off(surfaces, state, fallen, rain.step, rain_factor, soil_factor)
        wet_end = spell.start + (depths.size + tail) * rain.step
        edges = spell.start + rain.step * np.arange(depths.size + tail + 1.0)
        edges, inflow = merged(edges, off.inflow, SMALL, MOST)
        yield Piece(spell=spell, edges=edges, inflow=inflow, peak=float(np.max(depths)), ran=off.ran)
        if following > wet_end:
            yield Piece(spell=None, edges=np.array([wet_end, following]), inflow=nothing)
        state = rest(surfaces, off.state, max(following - wet_end, 0.0), soil_factor)


def cut_up(start: float, end: float, cuts: Floats) -> list[tuple[float, float]]:
    """A stretch of time, cut at the ends of years."""
    inner = [float(cut) for cut in cuts if start < cut < end]
    marks = [start, *inner, end]
    return [(a, b) for a, b in pairwise(marks) if b > a]


def run_course(
    site: Site, inflows: Inflows, system: System, rain: SpellRain, progress: Callable[[int, int], None] | None = None,
    table: WaterTable | None = None,
) -> Told:  # fmt: skip
    """Step the plant through the rain.

    Parameters
    ----------
    site, inflows, system
        The design.
    rain : SpellRain
        Wet spells; between them it is dry.
    progress : callable, optional
        Told after each spell how many are done, of how many.
    table : WaterTable, optional
        By which the far ground water moves; left out, it stands at the design's level.

    Returns
    -------
    Told
    """
    from drainwright.storm.engine.packing import packed
    from drainwright.storm.engine.stepper import step

    network = build_network(site, inflows, system)
    plant = sound_plant(site, system, network)
    surfaces: Surfaces = surfaces_of(site, inflows, network.entries)
    entry = np.array([network.entries[name] for name in surfaces.entries], np.int64)
    watched, stations = len(network.house), len(network.stations)
    course = _Course(
        step=step, packed=packed(plant), plant=plant, network=network, state=state_of(plant, network.start),
        entry=entry, totals=np.zeros(FORCED + 1), table=table, least=lowest_shift(plant.ground),
    )  # fmt: skip
    cuts = np.array([year.end for year in rain.years])
    starts = np.array([year.start for year in rain.years])

    def sums() -> Sums:
        return Sums(nodes=len(network.names), stations=stations, over=len(plant.overland.source))

    years = [sums() for _ in rain.years]
    told: list[tuple[WetSpell, float, Sums]] = []
    ran = 0.0

    def of_year(time: float) -> Sums:
        return years[min(max(int(np.searchsorted(starts, time + 1e-6, side="right")) - 1, 0), len(years) - 1)]

    def dry(until: float, *also: Sums) -> None:
        for begin, end in cut_up(float(course.state.clock[0]), until, cuts):
            parts = 1 if table is None else math.ceil((end - begin) / STANDS)
            run = course.go(np.linspace(begin, end, parts + 1), np.zeros((parts, entry.size)))
            of_year(begin).add(run, watched, _busiest(run, stations, end - begin))
            for one in also:
                one.add_water(run, watched)

    for piece in pieces(surfaces, rain):
        begin, end, spell = float(piece.edges[0]), float(piece.edges[-1]), piece.spell
        if spell is None:
            dry(end, *(own for _, _, own in told[-1:]))
            continue
        ran += piece.ran
        run = course.go(piece.edges, piece.inflow)
        own, busiest = sums(), _busiest(run, stations, end - begin)
        own.rain, own.peak = spell.depth, piece.peak
        for one in (own, of_year(spell.start)):
            one.add(run, watched, busiest)
        of_year(spell.start).rain += spell.depth
        told.append((spell, end - begin, own))
        if progress is not None:
            progress(len(told), len(rain.spells))
    stored = float(np.sum(course.state.volume) + np.sum(course.state.in_line) - np.sum(network.start))
    return Told(
        network=network, plant=plant, spells=tuple(told), years=tuple(years),
        totals=course.totals, stored=stored, worst_balance=course.worst, ran=ran,
    )  # fmt: skip


__all__ = ["STEPS", "TOLERANCE", "Piece", "Sums", "Told", "cut_up", "pieces", "run_course", "sound_plant"]
