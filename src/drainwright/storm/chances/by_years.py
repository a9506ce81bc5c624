"""The chance a year a second way: the job carried through years of rain, wet years counted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.quantities import percent
from drainwright.sources import cite
from drainwright.storm.chances.carried import Carried, carried
from drainwright.storm.chances.counting import counted
from drainwright.storm.chances.inputs import middles, uncertain_inputs
from drainwright.storm.chances.model import ByYears, Chance, Counted, Tally
from drainwright.storm.chances.sampling import drawn_inputs
from drainwright.storm.chances.truth import YEAR, Base, Truth
from drainwright.storm.chances.yearly import CAUSES
from drainwright.storm.surface.surfaces import Surfaces, surfaces_of
from drainwright.storm.years.model import SpellRain
from drainwright.storm.years.spells import spells_of_made, years_of
from drainwright.water.rain_process.made import made_rain
from drainwright.water.rain_process.model import FittedProcess

LEAST_READ = 0.8  # share of a year that must have been read for it to count: common practice, no source [-]
OUTAGES = 1  # of the seeds: that of the outages, beside a set's number


@dataclass(frozen=True, slots=True, kw_only=True)
class Rains:
    """The years of rain of each set of inputs."""

    name: str
    made: bool  # then no two sets share a year, and the rain's range bears on it
    years: int  # of each set
    of: Callable[[int, int], SpellRain]  # set, of how many
    notes: tuple[str, ...] = ()


def made_rains(process: FittedProcess, years: int, seed: int) -> Rains:
    """Years made by a process, other ones for each set.

    Raises
    ------
    InputError
        If there is less than one year.
    """
    if years < 1:
        raise InputError(f"years = {years!r}: expected one or more")

    def of(number: int, _: int) -> SpellRain:
        return spells_of_made(made_rain(process, years, seed, first_year=number * years))

    return Rains(
        name="rain made to the job's table", made=True, years=years, of=of, notes=(*process.notes, *process.assumed)
    )


def record_rains(rain: SpellRain, years: int) -> Rains:
    """Years of a record in a row for each set, from its first ones on to its last; all of it, where it has no more.

    Raises
    ------
    InputError
        If fewer than two of the record's years were read well enough, or less than one year is asked for.
    """
    known = [place for place, year in enumerate(rain.years) if year.share >= LEAST_READ]
    if years < 1 or len(known) < 2:
        raise InputError(
            f"{rain.name}: found {len(known)} years of which {percent(LEAST_READ)} were read, {years} asked for;"
            " expected two or more, and one or more"
        )
    whole = years_of(rain, known[0], known[-1] - known[0] + 1)
    each = min(years, len(whole.years))

    def of(number: int, sets: int) -> SpellRain:
        return years_of(whole, round(number * (len(whole.years) - each) / max(sets - 1, 1)), each)

    return Rains(name=rain.name, made=False, years=each, of=of, notes=rain.notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sets:
    """The job in readiness to be carried."""

    base: Base
    surfaces: Surfaces
    rains: Rains

    @classmethod
    def of(cls, base: Base, rains: Rains) -> Sets:
        """Of a job and its rain."""
        surfaces = surfaces_of(base.site, base.inflows, base.network.entries)
        return cls(base=base, surfaces=surfaces, rains=rains)

    def carry(self, values: dict[str, float], rain: SpellRain, seed: tuple[int, ...]) -> Carried:
        """One set through its years."""
        factor = values.get("rain", 1.0) if self.rains.made else 1.0
        return carried(Truth(self.base, values), self.surfaces, rain, seed, factor)

    def trial(self) -> int:
        """Carry the middle set through one set's years, to tell what a set costs; the number of years."""
        values = middles(uncertain_inputs(self.base.site, self.base.inflows, self.base.system))
        rain = self.rains.of(0, 1)
        self.carry(values, rain, (0,))
        return len(rain.years)


def by_years(
    sets: Sets, told: Chance, progress: Callable[[int, int], None] | None = None
) -> ByYears:  # fmt: skip
    """Carry each set of inputs of a chance through its years, and count the wet ones.

    Parameters
    ----------
    sets : Sets
        The job and its rain.
    told : Chance
        By design storms; its number of samples and seed draw the same sets.
    progress : callable, optional
        Told after each set how many are done, of how many.

    Returns
    -------
    ByYears
        Equal seeds give equal digits.

    Raises
    ------
    InputError
        As ``counted``.

    Notes
    -----
    Soil, water and pumps go on from each spell to the next; far ground water stands at the design's high level all
    year, as in every design storm. Power cuts and dead pumps are drawn at the rates that the design storms take
    (``drawn_outages``). The storms of the table in those years are run again by themselves, from rest, then only their
    heaviest part, then as much rain in the design's shape: which tells where the ways part.
    """
    uncertain = told.uncertain
    drawn = drawn_inputs(uncertain, told.samples, told.seed)
    wet = np.full((told.samples, sets.rains.years), np.nan)
    which: NDArray[np.int64] = np.zeros(wet.shape, np.int64)
    causes = dict.fromkeys(CAUSES, 0)
    tally = np.zeros(5, np.int64)
    read = 0.0
    for row, numbers in enumerate(drawn):
        values = dict(zip((item.key for item in uncertain), numbers.tolist(), strict=True))
        rain = sets.rains.of(row, told.samples)
        found = sets.carry(values, rain, (told.seed, OUTAGES, row))
        for place, (year, cause) in enumerate(zip(rain.years, found.causes, strict=True)):
            which[row, place] = year.year
            if year.share < LEAST_READ:
                continue
            wet[row, place] = float(cause is not None)
            if cause is not None:
                causes[cause] += 1
        read += sum(year.share for year in rain.years)
        tally += np.array([
            len(found.storms),
            *(sum(getattr(one, name) for one in found.storms) for name in ("carried", "rested", "alone", "shaped")),
        ])  # fmt: skip
        if progress is not None:
            progress(row + 1, told.samples)
    result = counted(wet, None if sets.rains.made else which)
    storms, through, rested, alone, shaped = (int(number) for number in tally)
    expected = read * YEAR / sets.base.inflows.rain.return_periods[0]
    ways = Tally(expected=expected, storms=storms, carried=through, rested=rested, alone=alone, shaped=shaped)
    agree = result.band.low <= told.sampling.high and told.sampling.low <= result.band.high
    return ByYears(
        counted=result, years_each=sets.rains.years, rain=sets.rains.name, made=sets.rains.made, by_cause=causes,
        tally=ways, agree=agree, why=_why(ways, result, told, agree), notes=_notes(sets.rains, result),
    )  # fmt: skip


def _of(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _why(ways: Tally, result: Counted, told: Chance, agree: bool) -> tuple[str, ...]:
    """Where the two ways part, by the storms that were run again."""
    found = [
        f"The rain brought {_of(ways.storms, 'storm')} of the table, in as many years as the table would bring "
        f"{ways.expected:.0f}; {ways.carried} of them wet the floor."
    ]
    for fewer, more, what in (
        (ways.rested, ways.carried, "soil and plant still wet from the rain before"),
        (ways.alone, ways.rested, "rain before and after the heaviest part, several bursts in a row"),
        (ways.shaped, ways.alone, "the storm's own shape, against the design storm's"),
    ):
        if more != fewer:
            side = "more" if more > fewer else "fewer"
            found.append(f"{what[:1].upper()}{what[1:]}: {abs(more - fewer)} {side} of the storms wet the floor.")
    if ways.carried and ways.carried == ways.rested == ways.alone == ways.shaped:
        found.append(
            "Wet soil before, several bursts and the storm's shape made no difference: run from rest, with their "
            "heaviest part alone and in the design storm's shape, as many wet the floor."
        )
    if ways.storms and not ways.carried + ways.rested + ways.alone + ways.shaped:
        found.append("Nor did any run by itself from rest, alone in its heaviest part or in the design storm's shape.")
    other = result.wet - ways.carried
    if other > 0:
        found.append(
            f"{_of(other, 'wet year')} without a wet storm of the table: smaller rain or dry weather, in an outage."
        )
    if result.wet == 0 and told.per_year > 0.0:
        found.append("None counted says only that the chance lies below the bound; it does not gainsay the other way.")
    if result.wet and agree:
        found.append("The two ways lie no further apart than the sets and years that were tried leave open.")
    return tuple(found)


def _notes(rains: Rains, result: Counted) -> tuple[str, ...]:
    ways = ", ".join(cite(key) for key in ("korn_graubard", "clopper_pearson"))
    notes = [
        f"{_of(result.years, 'year')} tell as much as {result.worth:.0f} with nothing in common: the years of a set "
        f"share its inputs{'' if rains.made else ', and the sets share the years of the record'}; the band counts on "
        f"it ({ways})."
    ]
    if result.alike is not None:
        notes.append(
            "No wet year was counted. The bound counts each set once, however alike its years; were all years "
            f"independent, it would be {result.alike:.2g} a year. More samples with fewer years each narrow it."
        )
    notes.append(
        "Ground water stands high all year, as in the design storms. Power cuts apart from storms count in its high "
        "season; a dead pump in every storm of the table, else in that season."
    )
    if not rains.made:
        notes.append("A record's rain is taken as read: the range of the table's depths does not bear on it.")
    return (*notes, *(f"Rain: {note}" for note in rains.notes))


__all__ = ["Rains", "Sets", "by_years", "made_rains", "record_rains"]
