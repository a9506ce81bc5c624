"""The failures of the storm test at the terminal: what each does, what would prevent it, and what that costs."""

from __future__ import annotations

from collections.abc import Sequence

from rich.padding import Padding
from rich.text import Text

from drainwright.build.remedies import PricedPrevention, PricedRemedy
from drainwright.console import add_row, heading, new_console, new_table
from drainwright.design import Design
from drainwright.findings.failure_words import GROUPS, Words, came_in, inside
from drainwright.storm.model import StormCase

AT_A_BASIN = ("alarm", "service", "second pump", "bigger pump", "battery")  # remedies that send a person there
CARE = (
    "At a basin: water and electricity together kill. Switch its circuit off and unplug the pump before a hand or a "
    "tool goes in, stay off a wet floor while the power is on, and leave wiring to a licensed electrician. Nobody "
    "enters the basin, not even to help: it is a confined space."
)


def show_storm(design: Design, cases: Sequence[StormCase], found: Sequence[PricedPrevention]) -> None:
    """Print the cases by what has failed, then the remedies of those that do harm."""
    console = new_console()
    words = Words(units=design.job.units, crawl=design.job.house.floor_kind == "crawl space")
    console.print(Text(answer(design.storm.storm.name, cases, words)))
    for group, title in GROUPS.items():
        chosen = [case for case in cases if case.group == group]
        if not chosen:
            continue
        heading(console, title)
        heads = ("if", "inside", "at most comes in", "warning")
        rows = [(case.title, inside(case, words), came_in(case, words), _warning(case, words)) for case in chosen]
        told = [column for column, head in enumerate(heads) if column < 2 or any(row[column] for row in rows)]
        table = new_table(*((heads[column], "left") for column in told))
        for row in rows:
            add_row(table, *(row[column] for column in told))
        console.print(table)
        for case in chosen:
            if case.note:
                console.print(Padding(Text(f"{case.key}: {case.note}."), (0, 0, 0, 2)))
    if found:
        heading(console, "What would have prevented it, tried one at a time")
    for prevention in found:
        harm = _harm(next((case for case in cases if case.title == prevention.title), None), design, words)
        console.print(Padding(Text(f"{prevention.title}{harm}", style="bold"), (0, 0, 0, 2)))
        for one in prevention.remedies:
            console.print(Padding(Text(_told(one, words)), (0, 0, 0, 4)))
    if any(one.tried.remedy.kind in AT_A_BASIN for prevention in found for one in prevention.remedies):
        console.print(Padding(Text(CARE), (0, 0, 0, 2)))
    if any(one.cost.invented for prevention in found for one in prevention.remedies):
        console.print(Text("  Costs by invented prices, on top of the job's, built with it."))


def answer(name: str, cases: Sequence[StormCase], words: Words) -> str:
    """What comes of the floor, in a sentence or two: with everything in order, then with one thing broken."""
    storm = f"In the {name}"
    if not any(case.house_dry or case.highest_at_house is not None for case in cases):
        return f"{storm} nothing of this system can back up at the house: it has no drain and no basin there."
    if len(cases) == 1:
        return f"{storm}, {cases[0].title[:1].lower()}{cases[0].title[1:]}: {inside(cases[0], words)}."
    sound, failed = cases[0], cases[1:]
    told = [f"{storm}, with everything working, {inside(sound, words)}."]
    wet = [case for case in failed if case.time_to_slab is not None]
    rising = sum(case.undecided for case in failed)
    if wet:
        soonest = min(wet, key=lambda case: case.time_to_slab or 0.0)
        told.append(
            f"{len(wet)} of {len(failed)} single failures bring{'s' if len(wet) == 1 else ''} water to it, the soonest "
            f"{words.hours(soonest.time_to_slab or 0.0)} after it strikes: {soonest.title}."
        )
    if rising:
        told.append(f"With {rising} the water still rises where the record ends.")
    if not wet and not rising:
        told.append("It stays dry with any one thing broken that was tried.")
    return " ".join(told)


def _warning(case: StormCase, words: Words) -> str:
    return "" if case.alarm_to_slab is None else f"{words.hours(case.alarm_to_slab)} from the alarm"


def _harm(case: StormCase | None, design: Design, words: Words) -> str:
    """What a failure does that leaves the floor dry, and has remedies all the same."""
    if case is None or not case.dry:
        return ""
    more = words.volume(case.volume_lost - design.storm.cases[0].volume_lost)
    return f" (the {words.floor} stays dry, but {more} more run off over the ground)"


def _told(one: PricedRemedy, words: Words) -> str:
    tried = one.tried
    if tried.remedy.kind == "alarm":
        left = "it does not sound before" if tried.warning is None else f"leaves {words.hours(tried.warning)} to act"
        return f"warns   {tried.remedy.title} ({one.cost.words}): {left}; keeps nothing dry by itself"
    works = "not enough" if not tried.prevents else "guards " if tried.remedy.visits else "works  "
    note = f"; {tried.remedy.note}" if tried.remedy.note else ""
    return f"{works} {tried.remedy.title} (about {one.cost.words}){note}"


__all__ = ["show_storm"]
