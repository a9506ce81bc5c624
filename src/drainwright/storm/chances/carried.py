"""One truth carried through years of rain with its outages: which years are wet, and which storms of the table."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from drainwright.storm.chances.inputs import events_of
from drainwright.storm.chances.outages import Heavy, Outages, drawn_outages, heavy_storms
from drainwright.storm.chances.truth import AFTER, CUT_ON, TOLERANCE, YEAR, Truth
from drainwright.storm.chances.yearly import CAUSES
from drainwright.storm.engine.plant import NEVER, Floats, State
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.failures.failure import failed, parted
from drainwright.storm.surface.surfaces import Surfaces, resting, run_off
from drainwright.storm.years.model import SpellRain
from drainwright.storm.years.running import cut_up, pieces

STORM, STORM_CUT, STORM_DEAD, DRY_CUT, DRY_DEAD = CAUSES


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A storm of the table, and whether it brought water to the slab: carried, from rest, alone, in design's shape."""

    carried: bool
    rested: bool
    alone: bool
    shaped: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What years did to one truth."""

    causes: tuple[str | None, ...]  # of each year: what was amiss when water first reached the slab; None: it did not
    storms: tuple[Met, ...]


class _Walk:
    """A plant on its way, sound or with the pump at the house dead."""

    def __init__(self, truth: Truth, surfaces: Surfaces, heavy: tuple[Heavy, ...], outages: Outages) -> None:
        from drainwright.storm.engine.packing import packed
        from drainwright.storm.engine.stepper import step

        setup = truth.setup
        network = setup.network
        self.entry = np.array([network.entries[name] for name in surfaces.entries], np.int64)
        self.watched, self.heavy, self.outages, self.step = network.house.size, heavy, outages, step
        nothing = forcing_of(np.array([0.0, 1.0]), self.entry, np.zeros((1, self.entry.size)))
        self.ready: dict[bool, Any] = {}
        for dead in (False, True):
            plant, _ = failed(network.plant, nothing, network, setup.system, truth.fault(dead=dead))
            self.ready[dead] = packed(plant)
            if not dead:
                self.rest: State = state_of(plant, network.start)
        self.state = self.rest

    def from_rest(self, time: float) -> None:
        """Start anew, at a time."""
        clock = np.array([time, *self.rest.clock[1:]])
        self.state = self.rest._replace(clock=clock)

    def go(self, edges: Floats, inflow: Floats) -> tuple[float, str | None]:
        """Step on to the last edge: when water stood at the slab first, infinite if not, and what was amiss then."""
        begin, end, dead = float(edges[0]), float(edges[-1]), self.outages.dead
        cuts = [(float(a), float(b)) for a, b in self.outages.cuts if a < end and b > begin]
        left = forcing_of(edges, self.entry, inflow, None, cuts)
        found: tuple[float, str | None] = (math.inf, None)
        marks = sorted({float(mark) for mark in dead.ravel() if begin + 1.0 < mark < end - 1.0})
        for mark in [*marks, end]:
            now = float(left.edges[0])
            part, left = parted(left, mark) if mark < end else (left, left)
            is_dead = bool(np.any((dead[:, 0] <= now + 1.0) & (now + 1.0 < dead[:, 1])))
            run = self.step(self.ready[is_dead], part, self.state, TOLERANCE, False, True)
            self.state = run.state
            first = float(np.min(run.reached[: self.watched], initial=NEVER))
            if first < NEVER and not math.isfinite(found[0]):
                found = first, self._amiss(first, is_dead)
        return found

    def _amiss(self, time: float, dead: bool) -> str:
        wet = any(storm.spell.start <= time <= storm.over for storm in self.heavy)
        if self.outages.out(time):
            return STORM_CUT if wet else DRY_CUT
        if dead:
            return STORM_DEAD if wet else DRY_DEAD
        return STORM  # also where what lesser rain has left is no storm's of the table

    def alone(self, surfaces: Surfaces, start: float, rain: Floats, step: float, soil_factor: float) -> bool:
        """Whether rain by itself, on soil and plant at rest, brings water to the slab. [m/s], [s]"""
        fallen = np.append(rain, np.zeros(math.ceil(AFTER / step)))
        off = run_off(surfaces, resting(surfaces), fallen, step, 1.0, soil_factor)
        edges = start + step * np.arange(fallen.size + 1.0)
        self.from_rest(start)
        on = np.append(edges, edges[-1] + CUT_ON), np.vstack([off.inflow, np.zeros((1, self.entry.size))])
        return math.isfinite(self.go(*on)[0])


def true_surfaces(surfaces: Surfaces, truth: Truth) -> Surfaces:
    """Roofs and yards as large as they are in a truth."""
    return replace(
        surfaces,
        roof_area=surfaces.roof_area * truth.values.get("roof areas", 1.0),
        width=surfaces.width * truth.values.get("yard areas", 1.0),
    )


def carried(truth: Truth, surfaces: Surfaces, rain: SpellRain, seed: tuple[int, ...], rain_factor: float) -> Carried:
    """Carry a truth through years of rain.

    Parameters
    ----------
    truth : Truth
        Ground, pumps and outages as they truly are.
    surfaces : Surfaces
        As designed.
    rain : SpellRain
        The years.
    seed : tuple of int
        Of the outages.
    rain_factor : float
        By which the true rain differs from what is given.

    Returns
    -------
    Carried
        Whether water stood at the slab in each year of the rain, and in each of its storms of the table.
    """
    base, values = truth.base, truth.values
    table, duration, soil = base.inflows.rain, base.duration, values.get("yard soil", 1.0)
    heavy = heavy_storms(rain, duration, table.depth(duration, table.return_periods[0]))
    outages = drawn_outages(events_of(values), heavy, rain.span, duration, seed)
    scaled = true_surfaces(surfaces, truth)
    walk = _Walk(truth, scaled, heavy, outages)
    ends = np.array([year.end for year in rain.years])
    starts = np.array([year.start for year in rain.years])
    causes: list[str | None] = [None] * len(rain.years)
    reached: list[float] = []

    def book(found: tuple[float, str | None], begin: float) -> None:
        time, cause = found
        if cause is None:
            return
        reached.append(time)
        year = min(max(int(np.searchsorted(starts, begin + 1e-6, side="right")) - 1, 0), len(causes) - 1)
        causes[year] = causes[year] or cause

    for piece in pieces(scaled, rain, rain_factor, soil):
        begin, end = float(piece.edges[0]), float(piece.edges[-1])
        if piece.spell is not None:
            book(walk.go(piece.edges, piece.inflow), begin)
            continue
        for first, last in cut_up(begin, end, ends):
            book(walk.go(np.array([first, last]), piece.inflow), first)
    times = np.array(reached)
    return Carried(
        causes=tuple(causes),
        storms=tuple(_met(walk, truth, scaled, rain, storm, times, rain_factor) for storm in heavy),
    )


def _met(
    walk: _Walk, truth: Truth, surfaces: Surfaces, rain: SpellRain, storm: Heavy, times: Floats, factor: float
) -> Met:  # fmt: skip
    """A storm, carried and taken out of its years."""
    spell, soil = storm.spell, truth.values.get("yard soil", 1.0)
    depths = rain.depths[spell.first : spell.last + 1]
    within = depths[storm.first : storm.last]

    def alone(start: float, fallen: Floats, step: float) -> bool:
        return walk.alone(surfaces, start, factor * fallen / step, step, soil)

    design = truth.base.storm(_period(truth, storm.depth) / YEAR)
    return Met(
        carried=bool(np.any((times >= spell.start) & (times <= storm.over))),
        rested=alone(spell.start, depths, rain.step),
        alone=alone(storm.start, within, rain.step),
        shaped=alone(storm.start, np.asarray(design.intensity) * design.step, design.step),
    )


def _period(truth: Truth, depth: float) -> float:
    """Return period of so much rain in the design's time; the rarest of the table where it is more. [s]"""
    table, duration = truth.base.inflows.rain, truth.base.duration
    depths = [table.depth(duration, period) for period in table.return_periods]
    return float(np.exp(np.interp(math.log(depth), np.log(depths), np.log(table.return_periods))))


__all__ = ["Carried", "Met", "carried", "true_surfaces"]
