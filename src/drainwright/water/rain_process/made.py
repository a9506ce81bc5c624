"""Rain of any number of years, made from a process: only its wet spells are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.exchange.rain_record import RainRecord
from drainwright.water.rain_process.draws import Array, all_cells
from drainwright.water.rain_process.model import HOUR, YEAR, FittedProcess

APART = 6.0 * HOUR  # dry time that ends a wet spell: common practice, no source [s]
_GRAIN = 1e-9  # depths are kept to the millionth of a millimetre, below which machines differ [m]
_FIRST = np.datetime64("2001-01-01T00:00:00", "s")  # made years are numbered from here, each of 365.25 days


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MadeSpell:
    """A stretch of wet steps, with dry ones among them, from its first wet step to its last."""

    start: int  # number of its first step, from the begin of the first year
    depths: Array  # rain of each step, shape (n,) [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MadeRain:
    """Made rain."""

    spells: tuple[MadeSpell, ...]  # in order of time
    years: int
    first_year: int  # number of the first of them under its seed
    step: float  # [s]
    seed: int

    @property
    def steps_a_year(self) -> int:
        """Number of steps in a year, which has 365.25 days."""
        return round(YEAR / self.step)


def made_rain(
    process: FittedProcess, years: int, seed: int, step: float = 300.0, *, first_year: int = 0, apart: float = APART
) -> MadeRain:
    """Make rain.

    Parameters
    ----------
    process : FittedProcess
        The process.
    years : int
        How many years, one or more.
    seed : int
        Zero or more. Year k of a seed is the same, whichever other years are made with it.
    step : float
        A part of 6 hours. [s]
    first_year : int
        Number of the first year, zero or more.
    apart : float
        Dry time that ends a wet spell, one step or more. [s]

    Returns
    -------
    MadeRain
        Its spells. A spell never reaches over the end of a year.

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Years are independent: storms that began in the weeks before a year are drawn with it, and what reaches over its end
    is cut off. Steps go by the clock, so that the greatest rain of one step is less than that of as much time at any
    second: by 8 % at 5 min, 2.5 % at three steps in Fort Myers. Depths are
    rounded to a nanometre, so that machines whose logarithms differ in the last digit agree.
    """
    if years < 1 or seed < 0 or first_year < 0:
        raise InputError(
            f"years = {years!r}, seed = {seed!r}, first_year = {first_year!r}: expected one year or more, and a seed"
            " and first year of zero or more"
        )
    if not step > 0.0 or abs(6.0 * HOUR / step - round(6.0 * HOUR / step)) > 1e-9:
        raise InputError(f"step = {step!r} s: expected a part of 6 hours, like 300 s")
    if apart < step:
        raise InputError(f"apart = {apart!r} s: expected one step of {step:g} s or more")
    from drainwright.water.rain_process.loops import lay_down

    count = round(YEAR / step)
    steps = np.empty(count)
    spells: list[MadeSpell] = []
    for number in range(years):
        cells = all_cells(process.kinds, seed, first_year + number)
        steps[:] = 0.0
        lay_down(cells.start, cells.end, cells.intensity, step, steps)
        np.multiply(np.rint(steps / _GRAIN), _GRAIN, out=steps)
        for first, last in _spells(steps, apart / step):
            spells.append(MadeSpell(start=number * count + first, depths=steps[first : last + 1].copy()))
    return MadeRain(spells=tuple(spells), years=years, first_year=first_year, step=step, seed=seed)


def _spells(steps: Array, apart: float) -> Sequence[tuple[int, int]]:
    """First and last step of each stretch whose dry gaps are shorter than ``apart`` steps."""
    wet = np.flatnonzero(steps > 0.0)
    if not len(wet):
        return ()
    breaks = np.flatnonzero(np.diff(wet) - 1 >= apart)
    firsts = np.concatenate([wet[:1], wet[breaks + 1]]).tolist()
    lasts = np.concatenate([wet[breaks], wet[-1:]]).tolist()
    return list(zip(firsts, lasts, strict=True))


def as_record(made: MadeRain, name: str = "made rain") -> RainRecord:
    """Made rain as a record of wet steps, for whatever reads records. Its calendar is a mere numbering.

    Parameters
    ----------
    made : MadeRain
        The rain.
    name : str
        Of the record.

    Returns
    -------
    RainRecord
        Wet steps only, each stamped at its end, from 2001 on; without gaps. A made year has 365.25 days, so
        that its end falls up to 18 hours beside that of the calendar year.

    Raises
    ------
    InputError
        If no rain was made.
    """
    if not made.spells:
        raise InputError("made rain: found no rain in it; expected a process that rains")
    index = np.concatenate([spell.start + np.flatnonzero(spell.depths > 0.0) for spell in made.spells])
    depths = np.concatenate([spell.depths[spell.depths > 0.0] for spell in made.spells])
    seconds: NDArray[np.int64] = np.rint((index + 1) * made.step).astype(np.int64)
    return RainRecord(
        name=name, times=_FIRST + seconds.astype("timedelta64[s]"), depths=depths, step=made.step, wet_only=True,
        gaps=(), suspects=(),
    )  # fmt: skip


__all__ = ["APART", "MadeRain", "MadeSpell", "as_record", "made_rain"]
