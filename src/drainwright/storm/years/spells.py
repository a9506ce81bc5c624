"""Wet spells of a rain record or of made rain: the only time that costs anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.exchange.rain_record import RainRecord
from drainwright.quantities import System, percent
from drainwright.storm.years.model import Series, SpellRain, WetSpell, YearRead
from drainwright.water.record_maxima import STEP_FACTORS

if TYPE_CHECKING:
    from drainwright.water.rain import RainTable
    from drainwright.water.rain_process.made import MadeRain

APART = 6 * 3600.0  # dry time that parts two spells: common practice, no source [s]
YEAR = 31557600.0  # of made rain [s]
FINE = 300.0  # rain in longer steps hides its peaks [s]
LONGEST = 3600.0  # steps beyond this tell nothing of a small lot's flows [s]
LEAST_OF_YEAR = 86400.0  # of a calendar year within a record: less is no year of it [s]
OTHER_STEP = 0.05  # share of the rain that may come in rows of another step: common practice, no source [-]
SECOND = np.timedelta64(1, "s")


def _groups(rows: NDArray[np.int64], step: float, apart: float) -> list[tuple[int, int]]:
    """Groups of wet rows that lie no further apart: the first and last row of each."""
    if rows.size == 0:
        return []
    parts = np.flatnonzero(np.diff(rows) * step > apart + step) + 1
    starts, ends = np.concatenate([[0], parts]), np.concatenate([parts, [rows.size]]) - 1
    return list(zip(rows[starts].tolist(), rows[ends].tolist(), strict=True))


def _rain(
    name: str, begins: np.datetime64, span: float, step: float, apart: float, wet: dict[int, float],
    years: Sequence[YearRead], unread: Series, made: bool, notes: Sequence[str],
) -> SpellRain:  # fmt: skip
    rows = np.array(sorted(wet), np.int64)
    groups = _groups(rows, step, apart)
    depths: list[Series] = []
    spells, place = [], 0
    for first, last in groups:
        depth = np.array([wet.get(row, 0.0) for row in range(int(first), int(last) + 1)])
        spells.append(
            WetSpell(first=place, last=place + depth.size - 1, start=first * step, depth=float(depth.sum()))
        )  # fmt: skip
        depths.append(depth)
        place += depth.size
    return SpellRain(
        name=name, begins=begins, span=span, step=step, apart=apart,
        depths=np.concatenate(depths) if depths else np.zeros(0), spells=tuple(spells), years=tuple(years),
        unread=unread, made=made, notes=tuple(notes),
    )  # fmt: skip


def spells_of_record(record: RainRecord, apart: float = APART) -> SpellRain:
    """The wet spells of a rain record.

    Parameters
    ----------
    record : RainRecord
        As read: gaps and suspects are time that nobody knows, and count as dry.
    apart : float
        Dry time that parts two spells, one step or more. [s]

    Returns
    -------
    SpellRain

    Raises
    ------
    InputError
        If the record's steps are longer than an hour or of two lengths, or it holds no rain.
    """
    if record.step > LONGEST:
        raise InputError(
            f"{record.name}: found steps of {record.step / 3600.0:g} h; expected an hour or less, since a small lot's"
            " flows pass in minutes"
        )
    _one_step(record)
    begins = record.times[0] - np.timedelta64(round(record.step), "s")  # a stamp is taken as the end of its step
    seconds = (record.times - begins) / SECOND - record.step
    rows = np.round(seconds / record.step).astype(np.int64)
    wet: dict[int, float] = {}
    for row, depth in zip(rows.tolist(), record.depths.tolist(), strict=True):
        if depth > 0.0:
            wet[row] = wet.get(row, 0.0) + depth
    if not wet:
        raise InputError(f"{record.name}: found no rain; expected some")
    unread = [((gap.start - begins) / SECOND, (gap.end - begins) / SECOND - record.step) for gap in record.gaps]
    unread += [(at, at + record.step) for at in seconds[np.isnan(record.depths)].tolist()]
    lost = np.array(sorted(unread)).reshape(-1, 2)
    note = f"{record.name}: steps of {record.step / 60.0:g} min"
    if len(lost):
        many = "1 stretch" if len(lost) == 1 else f"{len(lost)} stretches"
        note += f", {many} without readings, {percent(record.missing)} of the time, taken as dry"
    notes = [note]
    if record.step > FINE:
        notes.append(
            f"steps of {record.step / 60.0:g} min hide the peaks within them: what small roofs and yards bring for"
            " minutes comes out too low, and with it ponds and starts. The greatest rain of so long a time at any"
            f" moment is {percent(STEP_FACTORS[0] - 1.0)} more on the mean than that of a step by the clock; how much"
            " more falls in single minutes the record does not tell, and nothing is made up"
        )
    if record.wet_only:
        notes.append(
            "the record lists wet steps only: missing and dry time look the same, and all of it counts as read"
        )
    return _rain(
        record.name, begins, float(record.span), record.step, max(apart, record.step), wet,
        _years(begins, float(record.span), lost), lost, False, notes,
    )  # fmt: skip


def _one_step(record: RainRecord) -> None:
    """Refuse a record whose rain comes in rows of another step than its usual: it would fall too hard, or too soft."""
    if record.wet_only:
        return  # dry rows are left out, so that times between rows tell nothing
    since = np.diff(record.times) / SECOND
    fallen = np.nan_to_num(record.depths[1:])
    longer = (since > 1.5 * record.step) & (fallen > 0.0)
    share = float(np.sum(fallen[longer])) / max(float(np.nansum(record.depths)), 1e-12)
    if share > OTHER_STEP:
        steps, counts = np.unique(since[longer], return_counts=True)
        raise InputError(
            f"{record.name}: found {percent(share)} of the rain in rows that follow after another time than its step of"
            f" {record.step / 60.0:g} min, as of {steps[np.argmax(counts)] / 60.0:g} min; expected one step all"
            " through: keep the part with the finest, or list dry steps too"
        )


def _years(begins: np.datetime64, span: float, unread: Series) -> list[YearRead]:
    """The calendar years of a record, but for slivers of a day at its ends, and how much of each was read."""
    first = int(begins.astype("datetime64[Y]").astype(int)) + 1970
    last = int((begins + np.timedelta64(round(span), "s")).astype("datetime64[Y]").astype(int)) + 1970
    found = []
    for year in range(first, last + 1):
        start = float((np.datetime64(f"{year:04d}-01-01T00:00:00", "s") - begins) / SECOND)
        end = float((np.datetime64(f"{year + 1:04d}-01-01T00:00:00", "s") - begins) / SECOND)
        inside = max(0.0, min(end, span) - max(start, 0.0))
        if inside < min(LEAST_OF_YEAR, 0.5 * span):
            continue  # the last minutes before a record's first year, or none of the year after it
        lost = float(np.sum(np.clip(np.minimum(unread[:, 1], end) - np.maximum(unread[:, 0], start), 0.0, None)))
        found.append(YearRead(year=year, start=start, end=end, share=max(0.0, inside - lost) / (end - start)))
    return found


def years_of(rain: SpellRain, first: int, count: int) -> SpellRain:
    """Some years of rain in a row by themselves; a spell belongs to the year in which it begins.

    Raises
    ------
    InputError
        If there are not so many years from the first on.
    """
    if first < 0 or count < 1 or first + count > len(rain.years):
        raise InputError(f"first = {first!r}, count = {count!r}: expected years among the {len(rain.years)} there are")
    chosen = rain.years[first : first + count]
    begin, end = max(chosen[0].start, 0.0), min(chosen[-1].end, rain.span)
    spells = tuple(
        replace(spell, start=spell.start - begin) for spell in rain.spells if begin <= spell.start < end
    )  # fmt: skip
    years = tuple(replace(year, start=year.start - begin, end=year.end - begin) for year in chosen)
    lost = np.clip(rain.unread, begin, end) - begin
    return replace(
        rain, begins=rain.begins + np.timedelta64(round(begin), "s"), span=end - begin, spells=spells, years=years,
        unread=lost[lost[:, 1] > lost[:, 0]],
    )  # fmt: skip


def spells_of_made(rain: MadeRain, apart: float = APART, notes: Sequence[str] = ()) -> SpellRain:
    """The wet spells of made rain: years of 365.25 days, all of them known."""
    wet: dict[int, float] = {}
    for spell in rain.spells:
        for place, depth in enumerate(spell.depths.tolist()):
            if depth > 0.0:
                wet[spell.start + place] = depth
    years = [
        YearRead(year=rain.first_year + number + 1, start=number * YEAR, end=(number + 1) * YEAR, share=1.0)
        for number in range(rain.years)
    ]
    name = f"{rain.years} made {'year' if rain.years == 1 else 'years'}, seed {rain.seed}"
    return _rain(
        name, np.datetime64("2001-01-01T00:00:00", "s"), rain.years * YEAR, rain.step, apart, wet, years,
        np.zeros((0, 2)), True, notes,
    )  # fmt: skip


def spells_made_to(
    table: RainTable, yearly_depth: float | None, years: int, seed: int, units: System = "SI"
) -> SpellRain:
    """The wet spells of rain that is made to a rain table.

    Parameters
    ----------
    table : RainTable
        To which the process is fitted.
    yearly_depth : float, optional
        Mean rain of a year; left out, it is assumed. [m]
    years : int
        One or more.
    seed : int
        The same seed makes the same rain.
    units : {"US", "SI"}
        Of the notes.

    Raises
    ------
    InputError
        If the table does not allow it.
    """
    from drainwright.water.rain_process import fit_process, made_rain

    process = fit_process(table, yearly_depth, units=units)
    source = table.source or "as given"
    notes = [f"rain made to the job's table: {source}", *process.notes, *process.assumed]
    return spells_of_made(made_rain(process, years, seed), notes=notes)


__all__ = ["APART", "FINE", "spells_made_to", "spells_of_made", "spells_of_record", "years_of"]
