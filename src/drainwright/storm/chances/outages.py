"""Power cuts and dead pumps drawn into years of rain, at the rates that the chance by design storms takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.storm.chances.model import Sample
from drainwright.storm.chances.yearly import YEAR, Events
from drainwright.storm.years.model import SpellRain, WetSpell

DAY = 86400.0  # [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heavy:
    """A storm of the rain table within a wet spell: as much rain in the design's time as its commonest storm's."""

    spell: WetSpell
    start: float  # of the time with the most rain, from the start of the rain [s]
    first: int  # row of that time's first step within the spell
    last: int  # row after its last
    depth: float  # in that time [m]
    over: float  # a day after the spell: until then it counts as the storm's doing [s]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outages:
    """When the power is out, and when the pump of the station at the house is dead. [s]"""

    cuts: Sample  # (cuts, 2) from when to when, in order, none meets the next
    dead: Sample  # (times, 2) likewise

    def out(self, time: float) -> bool:
        """Whether the power is out at a time."""
        return bool(np.any((self.cuts[:, 0] <= time) & (time <= self.cuts[:, 1])))


def heavy_storms(rain: SpellRain, duration: float, least: float) -> tuple[Heavy, ...]:
    """The storms of years of rain that are of the rain table, one in a spell at most.

    Parameters
    ----------
    rain : SpellRain
        The years.
    duration : float
        Of the design storm. [s]
    least : float
        Depth of the table's commonest storm. [m]
    """
    rows, found = max(round(duration / rain.step), 1), []
    for spell in rain.spells:
        if spell.depth < least:
            continue
        fallen = np.concatenate([[0.0], np.cumsum(rain.depths[spell.first : spell.last + 1])])
        last = np.minimum(np.arange(fallen.size - 1) + rows, fallen.size - 1)
        within = fallen[last] - fallen[:-1]
        first = int(np.argmax(within))
        if within[first] >= least:
            over = spell.start + (fallen.size - 1) * rain.step + DAY
            start, end, depth = spell.start + first * rain.step, int(last[first]), float(within[first])
            found.append(Heavy(spell=spell, start=start, first=first, last=end, depth=depth, over=over))
    return tuple(found)


def _apart(spans: list[tuple[float, float]]) -> Sample:
    """Spans in order, those that meet made one."""
    joined: list[tuple[float, float]] = []
    for begin, end in sorted(spans):
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((begin, end))
    return np.array(joined, np.float64).reshape(-1, 2)


def drawn_outages(
    events: Events, heavy: tuple[Heavy, ...], span: float, duration: float, seed: tuple[int, ...]
) -> Outages:  # fmt: skip
    """Outages of years.

    Parameters
    ----------
    events : Events
        Their rates and lengths in one truth.
    heavy : tuple of Heavy
        Storms of the table, each of which may bring a cut, at any moment of its design's time alike.
    span : float
        All the years. [s]
    duration : float
        Of the design storm. [s]
    seed : tuple of int
        Equal seeds draw equal outages.

    Notes
    -----
    As ``yearly_rates`` has it: cuts apart from storms count in the part of the year only in which ground water stands
    high; a dead pump counts in every storm of the table and the day after it, else in that part of the year only. Each
    comes at any time alike, lengths are exponential.
    """
    dice = np.random.default_rng(seed)
    years = span / YEAR
    alone = dice.random(dice.poisson(events.season * events.cuts * years)) * span
    cuts = [(start, start + length) for start, length in _lasting(dice, alone, events.cut_length)]
    for storm in heavy:
        brings, place, length = dice.random() < events.cut_with_storm, dice.random(), dice.exponential()
        if brings:
            start = storm.start + place * duration
            cuts.append((start, start + length * events.cut_length))
    failed = dice.random(dice.poisson(events.failures * years)) * span
    dead = [(start, start + length) for start, length in _lasting(dice, failed, events.unnoticed)]
    high = dice.random(len(dead)) < events.season
    known = [one for one, wet in zip(dead, high, strict=True) if wet]
    for (begin, end), wet in zip(dead, high, strict=True):
        met = [] if wet else [storm for storm in heavy if storm.spell.start < end and begin < storm.over]
        known += [(max(begin, storm.spell.start), min(end, storm.over)) for storm in met]
    return Outages(cuts=_apart(cuts), dead=_apart(known))


def _lasting(dice: np.random.Generator, starts: Sample, mean: float) -> list[tuple[float, float]]:
    """Starts, each with how long it lasts."""
    return list(zip(starts.tolist(), (mean * dice.exponential(size=starts.size)).tolist(), strict=True))


__all__ = ["Heavy", "Outages", "drawn_outages", "heavy_storms"]
