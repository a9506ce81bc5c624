"""The failures of the storm test at the terminal: what each does, what would prevent it, and what that costs."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from drainwright.build.remedies import PricedPrevention, PricedRemedy
from drainwright.console import add_row, heading, new_console, new_table
from drainwright.design import Design
from drainwright.findings.failure_words import GROUPS, Words, came_in, inside
from drainwright.storm.model import StormCase


def show_storm(design: Design, cases: Sequence[StormCase], found: Sequence[PricedPrevention]) -> None:
    """Print the cases by what has failed, then the remedies of those that do harm."""
    console = new_console()
    words = Words(units=design.job.units, crawl=design.job.house.floor_kind == "crawl space")
    for group, title in GROUPS.items():
        chosen = [case for case in cases if case.group == group]
        if not chosen:
            continue
        heading(console, title)
        table = new_table(("if", "left"), ("inside", "left"), ("at most comes in", "left"), ("warning", "left"))
        for case in chosen:
            warning = "" if case.alarm_to_slab is None else f"{words.hours(case.alarm_to_slab)} from the alarm"
            add_row(table, case.title, inside(case, words), came_in(case, words), warning)
        console.print(table)
        for case in chosen:
            if case.note:
                console.print(Text(f"  {case.key}: {case.note}."))
    if found:
        heading(console, "What would have prevented it, tried one at a time")
    for prevention in found:
        console.print(Text(f"  {prevention.title}", style="bold"))
        for one in prevention.remedies:
            console.print(Text(f"    {_told(one, words)}"))
    if any(one.cost.invented for prevention in found for one in prevention.remedies):
        console.print(Text("  Costs by invented prices, on top of the job's, built with it."))


def _told(one: PricedRemedy, words: Words) -> str:
    tried = one.tried
    if tried.remedy.kind == "alarm":
        left = "it does not sound before" if tried.warning is None else f"leaves {words.hours(tried.warning)} to act"
        return f"warns   {tried.remedy.title} ({one.cost.words}): {left}; keeps nothing dry by itself"
    works = "works  " if tried.prevents else "not enough"
    note = f"; {tried.remedy.note}" if tried.remedy.note else ""
    return f"{works} {tried.remedy.title} ({one.cost.words}){note}"


__all__ = ["show_storm"]
