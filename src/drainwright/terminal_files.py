"""What the command line prints of files that others made: ground, rain, wells. Computes nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from rich.text import Text

from drainwright.console import Units, add_row, bullets, heading, new_console, new_table
from drainwright.exchange.rain_record import rain_depth, record_notes
from drainwright.quantities import write

if TYPE_CHECKING:
    from drainwright.exchange.rain_record import RainRecord
    from drainwright.exchange.well_record import WellRecord
    from drainwright.field.ground_study import GroundStudy
    from drainwright.water.high_water import SeasonalHigh
    from drainwright.water.record_maxima import MaximaRow


def show_rain(record: RainRecord, rows: Sequence[MaximaRow], units: Units) -> None:
    """Print what a rain record shows: its step, faults and gaps, and the largest rain of each duration."""
    console = new_console()
    start, end = (str(time.astype("datetime64[D]")) for time in (record.times[0], record.times[-1]))
    heading = f"{record.name}: {len(record.times):,} rows of {_span(record.step)}, {start} to {end}"
    console.print(Text(heading, style="bold"))
    whole = record.span >= 365 * 86400.0
    mean = f"Mean rain {rain_depth(record.yearly, units)} a year." if whole else "Shorter than a year: no yearly mean."
    console.print(Text(mean))
    bullets(console, record_notes(record, units))
    tabled = any(row.table_two_year is not None or row.table_ten_year is not None for row in rows)
    right: Literal["left", "right"] = "right"
    beside = (("table, 2-yr", right), ("table, 10-yr", right)) if tabled else ()
    table = new_table(
        ("duration", "right"), ("years", "right"), ("median of a year", "right"), ("10-yr, Gumbel", "right"),
        ("largest", "right"), ("that ended at", "left"), *beside,
    )  # fmt: skip
    for row in rows:
        median, ten, two_table, ten_table = (
            "-" if depth is None else rain_depth(depth, units)
            for depth in (row.median, row.ten_year, row.table_two_year, row.table_ten_year)
        )
        largest = rain_depth(row.largest, units)
        cells = (two_table, ten_table) if tabled else ()
        add_row(table, _span(row.duration), str(row.years), median, ten, largest, row.largest_at, *cells)
    console.print(table)
    text = "Median and Gumbel are of years read at least 80 %, raised by what whole steps of the clock miss."
    console.print(Text(text))


def _span(seconds: float) -> str:
    for unit, length in (("days", 86400.0), ("h", 3600.0)):
        if seconds >= length and (unit == "h" or seconds > length):
            return f"{seconds / length:g} {unit}"
    return f"{seconds / 60:g} min" if seconds >= 60.0 else f"{seconds:g} s"


def show_ground(study: GroundStudy, units: Units, written: Sequence[Path]) -> None:
    """Print what some files say of the ground, and what was written."""
    from drainwright.paper.ground_sheet import remarks, spot_rows, summary

    console = new_console()
    console.print(Text(f"Ground: {study.title}", style="bold"))
    table = new_table(("", "left"), ("", "right"))
    table.show_header = False
    for words, figure in summary(study, units):
        add_row(table, words, figure)
    console.print(table)
    if study.standing:
        heading(console, "Low spots, full")
        table = new_table(
            ("", "left"), ("deep", "right"), ("area", "right"), ("holds", "right"), ("spills at", "right"),
            ("bottom at", "left"), ("", "left"),
        )  # fmt: skip
        for cells, spot in zip(spot_rows(study, units), study.standing, strict=False):
            add_row(table, *cells[:5], spot.name, "" if spot.sure else f"not sure: {spot.why_unsure}")
        console.print(table)
        rest = len(study.standing) - len(spot_rows(study, units))
        if rest > 0:
            console.print(Text(f"  and {rest} less deep (all in ground.geojson)"))
    bullets(console, remarks(study, units))
    show_files(written)


def show_files(written: Sequence[Path]) -> None:
    """Print which files were written."""
    console = new_console()
    for path in written:
        console.print(Text(f"  {path}  ({path.stat().st_size / 1000:,.0f} kB)"))


def show_well(record: WellRecord, high: SeasonalHigh, units: Units) -> None:
    """Print how high a well's record says that the water stands in a wet season."""
    console = new_console()
    start, end = (str(time.astype("datetime64[D]")) for time in (record.times[0], record.times[-1]))
    kind, sign = ("depths", -1.0) if record.depths else ("levels", 1.0)
    title = f"{record.name}: {len(record.times):,} {kind} ({record.heading}), {start} to {end}"
    console.print(Text(title, style="bold"))
    if record.missing:
        rows = "1 row holds" if record.missing == 1 else f"{record.missing:,} rows hold"
        console.print(Text(f"{rows} no {kind[:-1]}."))
    unit = "ft" if units == "US" else "m"
    table = new_table(("seasonal high water", "left"), ("below the mark" if record.depths else "level", "right"))
    for words, level in (
        ("mean of the three highest fortnightly readings of each year", high.mean_highest),
        ("mean of each year's highest reading", high.mean_yearly_highest),
        ("not passed in nine tenths of all readings", high.nine_tenths),
        ("highest ever read", high.highest),
    ):
        add_row(table, words, "-" if level is None else write(sign * level, "length", units, unit, 2))
    console.print(table)
    years = f"{len(high.years)} years counted, from April to March"
    console.print(Text(f"{years}." if high.enough else f"{years}: eight or more make a mean."))
    if record.depths:
        text = "Depths are below the record's own mark: level that mark, and take the depth from it, for a job."
    else:
        text = "Levels are over the record's own datum: level a mark at the well before they enter a job."
    console.print(Text(text))


__all__ = ["show_files", "show_ground", "show_rain", "show_well"]
