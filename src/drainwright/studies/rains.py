"""The rains of a study: years of a record or of made rain, each with the stretch of years in which it is stepped.

Years that follow on each other are one stretch, so that each finds the ground and the basin as the year before left
them; a stretch begins as ``drainwright years`` begins.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import astuple, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drainwright.errors import InputError
from drainwright.quantities import percent
from drainwright.studies.model import digest

if TYPE_CHECKING:
    from drainwright.job.model import Job
    from drainwright.storm.years.model import SpellRain


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Years of rain in a row, and what each is to its runs."""

    key: str  # sha256 of its rain
    rain: SpellRain
    years: tuple[dict[str, Any], ...]


def stretch_of(rain: SpellRain, source: str, also: dict[str, Any] | None = None) -> Stretch:
    """A stretch of years; those of which nothing was read are left out of its runs.

    Parameters
    ----------
    rain : SpellRain
        All of it is stepped.
    source : str
        What the rain is called, before the year.
    also : dict, optional
        What else is said of each year.
    """
    held = [str(rain.begins), rain.span, rain.step, rain.apart, rain.made]
    held += [[astuple(spell) for spell in rain.spells], [astuple(year) for year in rain.years], rain.unread.tolist()]
    key = digest([*held, hashlib.sha256(rain.depths.astype("<f8").tobytes()).hexdigest()])
    years = tuple(
        {"source": f"{source} {year.year}", "year": year.year, "stretch": key, **(also or {})}
        for year in rain.years
        if year.share > 0.0
    )
    return Stretch(key=key, rain=rain, years=years)


def record_years(path: Path, unit: str | None, years: Sequence[int]) -> list[Stretch]:
    """Years of a record file, in stretches; the whole record where none is named.

    Raises
    ------
    InputError
        If the file cannot be read, or a year that is named was not read well enough.
    """
    from drainwright.exchange.rain_record import read_rain_record
    from drainwright.storm.years.spells import spells_of_record
    from drainwright.storm.years.telling import LEAST_READ

    whole = spells_of_record(read_rain_record(path, unit))  # type: ignore[arg-type]  # in or mm
    good = {year.year: place for place, year in enumerate(whole.years) if year.share >= LEAST_READ}
    if not years:
        return [stretch_of(whole, f"{path.name},")]
    missing = [year for year in years if year not in good]
    if missing:
        there = ", ".join(map(str, good)) or f"a year of which {percent(LEAST_READ)} was read: the record holds none"
        raise InputError(f"{path.name}: found no {missing[0]}, or too little of it; expected one of {there}")
    rows = _rows(good[year] for year in years)
    return [stretch_of(_part(whole, first, count), f"{path.name},") for first, count in rows]


def made_years(job: Job, seed: int, years: int, yearly_depth: float | None) -> Stretch:
    """Years of rain made from the job's rain table.

    Raises
    ------
    InputError
        If the table does not allow it.
    """
    from drainwright.storm.years.spells import spells_made_to
    from drainwright.water.rain import rain_table

    made = spells_made_to(rain_table(job.rain), yearly_depth, years, seed, job.units)
    return stretch_of(made, f"made rain, seed {seed}, year", {"seed": seed})


def _rows(places: Iterable[int]) -> list[tuple[int, int]]:
    """Places that follow on each other: the first and how many."""
    found: list[tuple[int, int]] = []
    for place in sorted(set(places)):
        if found and place == sum(found[-1]):
            found[-1] = (found[-1][0], found[-1][1] + 1)
        else:
            found.append((place, 1))
    return found


def _part(whole: SpellRain, first: int, count: int) -> SpellRain:
    """Some years of a record without the depths of the others."""
    from drainwright.storm.years.spells import years_of

    if count == len(whole.years):
        return whole
    part = years_of(whole, first, count)
    if not part.spells:
        return replace(part, depths=part.depths[:0])
    begin, end = part.spells[0].first, part.spells[-1].last + 1
    spells = tuple(replace(spell, first=spell.first - begin, last=spell.last - begin) for spell in part.spells)
    return replace(part, depths=part.depths[begin:end], spells=spells)


__all__ = ["Stretch", "made_years", "record_years", "stretch_of"]
