"""Years of rain, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from drainwright.console import add_row, bullets, heading, new_console, new_table
from drainwright.design import Design
from drainwright.findings.failure_words import Words
from drainwright.findings.pumps import years_words
from drainwright.findings.years_words import CHANCE, storm_beside
from drainwright.paper.documents.say import Say
from drainwright.paper.wording import Wording
from drainwright.quantities import height_beside, percent
from drainwright.storm.years.beside import beside_years
from drainwright.storm.years.model import LEAST_READ, LongRun, Return, YearTold
from drainwright.system.lift.season import switch_cycles

YEAR = 31557600.0  # [s]
SEEN = 0.001  # water over a grate that is told [m]
MOST_APART = 2  # stations with columns of their own
SHOWN = 40  # years in the table; more stand in the file


def show_years(design: Design, found: LongRun, written: Sequence[Path]) -> None:
    """Print a long run: what came of it, year by year, and what was taken for granted."""
    console, say = new_console(), Say(design.job.units)
    console.print(Text(design.job.title, style="bold"))
    console.print(Text(answer(found)))
    beside = beside_years(design.storm, found)
    if beside is not None:
        crawl = design.job.house.floor_kind == "crawl space"
        console.print(Text(storm_beside(beside, Words(units=design.job.units, crawl=crawl))))
    if found.stations:
        console.print(Text(CHANCE))
    spells = "1 wet spell" if len(found.spells) == 1 else f"{len(found.spells)} wet spells"
    heading(console, f"{found.record}, {spells}" if found.made else f"{found.record}, {_span(found.span)}, {spells}")
    table = new_table(("", "left"), ("", "left"))
    table.show_header = False
    if found.highest is not None:
        gap = found.slab_level - found.highest
        floor = "crawl-space soil" if design.job.house.floor_kind == "crawl space" else "underside of the floor"
        add_row(
            table, "highest water at the house",
            f"{say.level(found.highest)}, {height_beside(-gap, say.deep, 'above')} the {floor}, "
            f"{say.level(found.slab_level)}",
        )  # fmt: skip
    elif found.house_dry:
        add_row(table, "water at the house", "none: its drains stay dry")
    whole = found.span >= LEAST_READ * YEAR  # less tells of no year: pumps by the season, not by the calendar
    each = YEAR / found.span if whole else 1.0
    lasting = {built.name: switch_cycles(built.pump) for built in design.system.stations}
    for station in found.stations:
        wear = ""
        if station.starts > 0.0 and whole:
            lasts = lasting[station.name]
            wear = f"; the {lasts:,} starts that a switch lasts in {years_words(lasts / (station.starts * each))}"
        energy = "" if station.energy is None else f", {station.energy * each / 3.6e6:.0f} kWh"
        add_row(
            table, f"{station.name} in {'a year' if whole else _span(found.span)}",
            f"{station.starts * each:.0f} starts, {station.seconds * each / 3600.0:.0f} h, "
            f"{say.volume(station.pumped * each)}{energy}{wear}",
        )  # fmt: skip
    if table.row_count:
        console.print(table)
    heading(console, "How often")
    often = new_table(("what", "left"), ("years reached", "right"), ("about once in", "right"), ("nine of ten", "left"))
    for each_return in found.returns:
        add_row(often, each_return.outcome.title, *_often(each_return))
    if found.returns:
        console.print(often)
    else:
        console.print(f"Not told: no year was read well enough to count, {percent(LEAST_READ)} of it or more.")
    heading(console, "Year by year")
    names = [station.name for station in found.stations] if len(found.stations) <= MOST_APART else ["all pumps"]
    pumps = [head for name in names for head in (f"{name} starts", f"{name} hours")]
    below = "below the soil" if design.job.house.floor_kind == "crawl space" else "below the floor"
    heads = ("year", "rain", "at the house", below, "over a grate", *pumps)
    rows = [_row(design, found, year) for year in found.years[:SHOWN]]
    told = [column for column in range(len(heads)) if any(row[column] for row in rows)]
    years = new_table(*((heads[column], "right" if column else "left") for column in told))
    for row in rows:
        add_row(years, *(row[column] for column in told))
    console.print(years)
    if len(found.years) > SHOWN:
        console.print(f"{len(found.years) - SHOWN} more years stand in years.csv (--to).")
    if not all(year.counts for year in found.years):
        console.print("* read too little to count among the yearly maxima")
    heading(console, "Taken for granted")
    bullets(console, found.notes)
    console.print(f"Water not accounted for: {found.worst_balance:.1e} of what moved, at worst.")
    for path in written:
        console.print(str(path))


def _row(design: Design, found: LongRun, year: YearTold) -> tuple[str, ...]:
    """A year in the table: its water, its distance from the floor, each pump; of a year that was not read no more."""
    if year.share <= 0.0:
        pumps = len(found.stations) if len(found.stations) <= MOST_APART else 1
        return (f"{year.year} *", "not read", "", "", "", *([""] * 2 * pumps))
    say = Say(design.job.units)
    level, under = ("dry" if found.house_dry or found.highest is not None else ""), ""
    if year.highest is not None:
        gap = found.slab_level - year.highest
        level = say.level(year.highest)
        under = say.deep(gap) if gap >= 0.0 else f"{say.deep(-gap)} above"
    pond = Wording(design.job.units).small(year.pond) if year.pond > SEEN else ""
    each = [(one.starts, one.seconds) for one in year.stations]
    told = each if len(each) <= MOST_APART else [(year.starts, year.pump_seconds)]
    ran = [text for starts, seconds in told for text in (f"{starts:.0f}", f"{seconds / 3600.0:.0f}")]
    return (f"{year.year}{'' if year.counts else ' *'}", say.rain(year.rain), level, under, pond, *ran)


def answer(found: LongRun) -> str:
    """Whether water came to the floor in these years, in a sentence."""
    slab = found.outcome("slab")
    if slab is None:
        why = "no year was read well enough"
        if not found.house_dry and found.highest is None:
            why = "no drain or basin of this system is at the house"
        return f"How often water comes to the floor is not told: {why}."
    years = f"{len(slab.years)} {'year' if len(slab.years) == 1 else 'years'}"
    if slab.reached:
        return f"With everything working water came to the floor in {slab.reached} of {years}."
    bound = "" if slab.low is None else f": that is rarer than about once in {_years(f'{slab.low:.0f}')}"
    return f"With everything working no water came to the floor in {years}{bound}."


def _span(seconds: float) -> str:
    """A span of rain, in words."""
    return _years(f"{seconds / YEAR:.3g}") if seconds >= YEAR else f"{seconds / 86400.0:.1f} days"


def _years(number: str) -> str:
    """A number of years, in words."""
    return f"{number} year" if number == "1" else f"{number} years"


def _often(found: Return) -> tuple[str, str, str]:
    """How often, in words."""
    reached = f"{found.reached} of {len(found.years)}"
    if found.reached == len(found.years):
        return reached, "every year", ""
    if found.beyond:
        least = "" if found.low is None else f"rarer than {_years(f'{found.low:.0f}')}"
        return reached, "not reached", least
    by = found.by_law if found.by_law is not None else found.by_rank
    told = "not told" if by is None else _years(f"{by:.3g}")
    if found.low is None:
        return reached, told, ""
    if found.high is None:
        return reached, told, f"over {_years(f'{found.low:.3g}')}"
    return reached, told, f"{found.low:.3g} to {_years(f'{found.high:.3g}')}"


__all__ = ["show_years"]
