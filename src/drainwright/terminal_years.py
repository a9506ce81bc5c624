"""Years of rain, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from drainwright.console import add_row, bullets, heading, new_console, new_table
from drainwright.design import Design
from drainwright.paper.documents.say import Say
from drainwright.paper.wording import Wording
from drainwright.storm.years.model import LEAST_READ, LongRun, Return

YEAR = 31557600.0  # [s]
SEEN = 0.001  # water over a grate that is told [m]
SHOWN = 40  # years in the table; more stand in the file


def show_years(design: Design, found: LongRun, written: Sequence[Path]) -> None:
    """Print a long run: what came of it, year by year, and what was taken for granted."""
    console, say = new_console(), Say(design.job.units)
    console.print(Text(answer(found)))
    spells = "1 wet spell" if len(found.spells) == 1 else f"{len(found.spells)} wet spells"
    heading(console, f"{found.record}, {_span(found.span)}, {spells}")
    table = new_table(("", "left"), ("", "left"))
    table.show_header = False
    if found.highest is not None:
        gap = found.slab_level - found.highest
        side = "under" if gap >= 0.0 else "over"
        add_row(
            table, "highest water at the house",
            f"{say.level(found.highest)}, {say.deep(abs(gap))} {side} the underside of the floor",
        )  # fmt: skip
    elif found.house_dry:
        add_row(table, "water at the house", "none: its drains stay dry")
    whole = found.span >= LEAST_READ * YEAR  # less tells of no year: pumps by the season, not by the calendar
    each = YEAR / found.span if whole else 1.0
    for station in found.stations:
        energy = "" if station.energy is None else f", {station.energy * each / 3.6e6:.0f} kWh"
        add_row(
            table, f"{station.name} in {'a year' if whole else _span(found.span)}",
            f"{station.starts * each:.0f} starts, {station.seconds * each / 3600.0:.0f} h, "
            f"{say.volume(station.pumped * each)}{energy}",
        )  # fmt: skip
    add_row(table, "water not accounted for", f"{found.worst_balance:.1e} of what moved, at worst")
    console.print(table)
    heading(console, "How often")
    often = new_table(("what", "left"), ("years reached", "right"), ("about once in", "right"), ("nine of ten", "left"))
    for each_return in found.returns:
        add_row(often, each_return.outcome.title, *_often(each_return))
    if found.returns:
        console.print(often)
    else:
        console.print(f"Not told: no year was read well enough to count, {LEAST_READ:.0%} of it or more.")
    heading(console, "Year by year")
    heads = ("year", "rain", "highest at the house", "over a grate", "starts", "pump hours")
    rows: list[tuple[str, ...]] = []
    small, watched = Wording(design.job.units).small, found.house_dry or found.highest is not None
    for year in found.years[:SHOWN]:
        level = "dry" if watched else ""
        if year.highest is not None:
            level = say.level(year.highest)
        pond = small(year.pond) if year.pond > SEEN else ""
        pumped = (f"{year.starts:.0f}", f"{year.pump_seconds / 3600.0:.0f}") if found.stations else ("", "")
        rows.append((f"{year.year}{'' if year.counts else ' *'}", say.rain(year.rain), level, pond, *pumped))
    told = [column for column in range(len(heads)) if any(row[column] for row in rows)]
    years = new_table(*((heads[column], "right" if column else "left") for column in told))
    for row in rows:
        add_row(years, *(row[column] for column in told))
    console.print(years)
    if len(found.years) > SHOWN:
        console.print(f"{len(found.years) - SHOWN} more years stand in years.csv (--out).")
    if not all(year.counts for year in found.years):
        console.print("* read too little to count among the yearly maxima")
    heading(console, "Taken for granted")
    bullets(console, found.notes)
    for path in written:
        console.print(str(path))


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
