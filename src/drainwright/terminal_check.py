"""What ``drainwright check`` prints. Computes nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from drainwright.console import Units, add_row, bullets, heading, new_console, new_table
from drainwright.field.model import CLOSES_WITHIN
from drainwright.field.set_levels import OFF
from drainwright.field.usual import unusual
from drainwright.quantities import write

if TYPE_CHECKING:
    from drainwright.build.sizes import Odd
    from drainwright.field.model import Site
    from drainwright.job.model import Job


def show_check(job: Job, site: Site, far: Sequence[Odd] = ()) -> None:
    """Print that a job reads, what looks like a slip, how the survey closes and what was assumed.

    Parameters
    ----------
    job : Job
        The job document.
    site : Site
        Its survey, reduced.
    far : sequence of Odd
        Prices and rates of the firm's that are far from the usual.
    """
    console = new_console()
    slips = tuple(slip.message for slip in site.slips)
    wrongs = (*slips, *_open_closures(job.units, site), *_off_sets(job.units, site))
    odd = [f"{one.where}: {one.message}" for one in unusual(site)]
    odd += [f"price_book, {one.where}: found {one.figure}; usual is {one.usual}." for one in far]
    if wrongs:
        wrong = "1 measurement looks" if len(wrongs) == 1 else f"{len(wrongs)} measurements look"
        console.print(Text(f"{job.title}: the job document reads; {wrong} wrong.", style="bold yellow"))
        heading(console, "Measure again")
        bullets(console, wrongs)
    else:
        misses = site.level_book is not None and site.level_book.closes is False
        console.print(
            Text(f"{job.title}: the job document {'reads' if odd or misses else 'is in order'}.", style="bold")
        )
    if odd:
        heading(console, "Of another size than usual: look again")
        bullets(console, odd)
    units = job.units
    table = new_table(("survey", "left"), ("figure", "right"), ("", "left"))
    if site.traverse is not None:
        note = "adjusted" if site.traverse.adjusted else "not adjusted"
        add_row(
            table,
            "perimeter walk closes within",
            write(site.traverse.misclosure, "length", units, "in" if units == "US" else "mm"),
            note if site.traverse.closes else f"{note}; MORE THAN 1 part in {CLOSES_WITHIN}",
        )
    book = site.level_book
    if book is not None and book.misclosure is not None and book.allowable is not None:
        word = "within" if book.closes else "more than" if book.within_readings else "MORE THAN"
        read = ", within what two rod readings can be off" if word == "more than" else ""
        limit, value = (_level(units, level) for level in (book.allowable, book.misclosure))
        add_row(table, "level book misclosure", value, f"{word} the allowable {limit}{read}")
    elif book is not None:
        add_row(table, "level book misclosure", "-", "not closed on a benchmark: blunders cannot show")
    add_row(table, "points with a level", str(sum(point.level is not None for point in site.points.values())), "")
    console.print(table)
    notes = tuple(note for note in site.notes if note not in slips)
    if notes:
        console.print(Text("Assumed or left open", style="bold"))
        bullets(console, notes)


def _level(units: Units, level: float) -> str:
    return write(level, "length", units, *(("ft", 3) if units == "US" else ("mm", 1)))


def _open_closures(units: Units, site: Site) -> Iterator[str]:
    """A level book or a walk that misses its start by more than it may."""
    book, walk = site.level_book, site.traverse
    short = book is not None and book.within_readings  # a short round is allowed less than a rod can be read
    if book is not None and book.misclosure is not None and book.allowable is not None and not (book.closes or short):
        missed, allowed = (_level(units, abs(level)) for level in (book.misclosure, book.allowable))
        yield f"The level book misses its benchmark by {missed}, more than the allowable {allowed}: level it again."
    if walk is not None and not walk.closes:
        missed, around = (write(length, "length", units) for length in (walk.misclosure, walk.perimeter))
        yield (
            f"The perimeter walk misses its start by {missed} in {around}, more than 1 part in {CLOSES_WITHIN}: "
            "tape the longest sides again."
        )


def _off_sets(units: Units, site: Site) -> Iterator[str]:
    """Shot sets on another datum than the level book, and levelled shots that lie alone off a set."""

    def apart(value: float) -> str:
        size = write(abs(value), "length", units, "ft" if units == "US" else "m")
        return f"{size} {'above' if value > 0.0 else 'below'}"

    for one in site.set_levels:
        if one.compared and abs(one.off) > OFF:
            many = "1 of your shots" if one.compared == 1 else f"{one.compared} of your shots"
            yield f"The levels of {one.name} lie {apart(one.off)} {many}: look at its 'level_shift'."
        for name, off in one.odd:
            yield f"{name} lies {apart(off)} the ground of {one.name}: read the rod there again."


__all__ = ["show_check"]
