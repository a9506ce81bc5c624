"""A study, on the terminal: in how many runs the floor got wet, how soon, and with which settings."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rich.text import Text

from drainwright.console import add_row, new_console, new_table
from drainwright.findings.failure_words import Words
from drainwright.paper.wording import Wording
from drainwright.studies.answers import YEARS, Answer, answers_of, units_of
from drainwright.studies.model import StudyResult
from drainwright.studies.tables import READABLE, RESULT


def show_study(result: StudyResult, folder: Path, notes: Iterable[str]) -> None:
    """Print the answers of a study, then where its tables are."""
    console, units = new_console(), units_of(result.study)
    words, write = Words(units=units, crawl=False), Wording(units)
    failed = f", {result.failed} of them failed (see the column 'error')" if result.failed else ""
    console.print(Text(result.study.title, style="bold"))
    console.print(Text(f"{len(result.study.runs)} runs{failed}; {result.fresh} done now."))
    found = answers_of(result)

    def water(level: float | None, told: str) -> str:
        if level is None:
            return ""
        return write.level(level) + (f" with {told}" if told else "")

    if found:
        heads = ("case", "floor wet in", "soonest, from the failure", "worst: water at the house", "best")
        rows = []
        for one in found:
            soonest = "" if one.soonest is None else words.hours(one.soonest)
            best = "" if one.best == one.worst else water(one.lowest, one.best)
            rows.append((one.case, _wet(one), soonest, water(one.highest, one.worst), best))
        told = [place for place in range(len(heads)) if any(row[place] for row in rows)]
        table = new_table(*((heads[place], "left") for place in told))
        for row in rows:
            add_row(table, *(row[place] for place in told))
        console.print(table)
    elif not result.failed:
        console.print("No drain or basin of these jobs is at the house: nothing is told of the floor.")
    for note in notes:
        console.print(Text(note))
    console.print(Text(f"Results: {folder / RESULT} (SI, all digits), {folder / READABLE} (the job's units)"))


def _wet(one: Answer) -> str:
    """In how many runs the floor got wet, and in how many that is open."""
    unit = "years" if one.case == YEARS else "runs"
    rising = f"; {one.rising} still rising" if one.rising else ""
    return f"{one.wet} of {one.runs} {unit}{rising}"


__all__ = ["show_study"]
