"""The failures of the storm test at the terminal: what each does, what would prevent it, and what that costs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.padding import Padding
from rich.text import Text

from drainwright.build.remedies import PricedPrevention, PricedRemedy
from drainwright.console import add_row, heading, new_console, new_table
from drainwright.design import Design
from drainwright.findings.failure_words import GROUPS, Words, came_in, in_the_yard, inside, since, wet_words
from drainwright.findings.model import Severity
from drainwright.storm.failures.prevention import SPILT
from drainwright.storm.model import Storm, StormCase

AT_A_BASIN = ("alarm", "service", "second pump", "bigger pump", "battery")  # remedies that send a person there
HARDLY = "hardly any"  # less than half an inch over any grate, and next to nothing runs off
CARE = (
    "At a basin: water and electricity together kill. Switch its circuit off and unplug the pump before a hand or a "
    "tool goes in, stay off a wet floor while the power is on, and leave wiring to a licensed electrician. Nobody "
    "enters the basin, not even to help: it is a confined space."
)


def show_storm(design: Design, cases: Sequence[StormCase], found: Sequence[PricedPrevention]) -> None:
    """Print the cases by what has failed, then the remedies of those that do harm."""
    console = new_console()
    words = Words(units=design.job.units, crawl=design.job.house.floor_kind == "crawl space")
    for line in unsound(design):
        console.print(Text(line, style="bold red"))
    console.print(Text(answer(design.storm.storm, cases, words)))
    watched = any(_watched(case) for case in cases)
    if watched:
        console.print(Text(f"{words.wet}, {words.level(cases[0].slab_level)}."))
    inlets = {name for name, node in design.system.nodes.items() if node.kind == "inlet"}
    outside = any(in_the_yard(case, inlets, words) for case in cases)
    for group, title in GROUPS.items():
        chosen = [case for case in cases if case.group == group]
        if not chosen:
            continue
        heading(console, title)
        start = "the failure" if group else "the start of the rain"
        heads = ("if", f"{words.floor} wet, from {start}", "at most comes in", "from the alarm", "in the yard")
        rows = [
            (
                case.title, wet_words(case, words) if watched else "", came_in(case, words), _warning(case, words),
                (in_the_yard(case, inlets, words) or HARDLY) if outside else "",
            )
            for case in chosen
        ]  # fmt: skip
        told = [column for column in range(len(heads)) if any(row[column] for row in rows)]
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
        if prevention.cheapest is None:
            console.print(Padding(Text("no single measure that was tried prevents all of it"), (0, 0, 0, 4)))
        for one in prevention.remedies:
            console.print(Padding(Text(_told(one, words)), (0, 0, 0, 4)))
    if any(one.tried.remedy.kind in AT_A_BASIN for prevention in found for one in prevention.remedies):
        console.print(Padding(Text(CARE), (0, 0, 0, 2)))
    if any(one.cost.invented for prevention in found for one in prevention.remedies):
        console.print(Text("  Costs by invented prices, on top of the job's, built with it."))
    console.print()
    console.print(Text(_one_storm(design)))
    if len(cases) > 1:
        keys = ", ".join(repr(case.key) for case in cases)
        console.print(Text(f"One alone: --case with its words above, or its key: {keys}."))


def unsound(design: Design) -> Iterator[str]:
    """That the design has checks that fail, and whether it fails in the storm by itself."""
    fails = sum(finding.severity is Severity.FAILS for finding in design.findings)
    if fails:
        many = "1 check fails" if fails == 1 else f"{fails} checks fail"
        yield f"Not sound: {many}; 'drainwright design' lists what and why."
    if design.storm.cases[0].time_to_slab is not None:
        yield (
            "The floor gets wet with nothing broken: the design has to change before any failure counts, and no remedy "
            "below is one for that. See STM-01 in 'drainwright design'."
        )


def answer(storm: Storm, cases: Sequence[StormCase], words: Words) -> str:
    """What comes of the floor, in a sentence or two: with everything in order, then with one thing broken."""
    begin = f"In the {words.storm(storm)}"
    if not any(_watched(case) for case in cases):
        told = [f"{begin} nothing of this system can back up at the house: it has no drain and no basin there."]
        return " ".join([*told, *_more_outside(cases, words)])
    if len(cases) == 1:
        return f"{begin}, {cases[0].title[:1].lower()}{cases[0].title[1:]}: {inside(cases[0], words)}."
    sound, failed = cases[0], cases[1:]
    told = [f"{begin}, with everything working, {inside(sound, words)}."]
    wet = [case for case in failed if case.time_to_slab is not None]
    rising = sum(case.undecided for case in failed)
    if wet:
        soonest = min(wet, key=lambda case: case.time_to_slab or 0.0)
        told.append(
            f"{len(wet)} of {len(failed)} single failures bring{'s' if len(wet) == 1 else ''} water to it, the soonest "
            f"{since(soonest, soonest.time_to_slab or 0.0, words)}: {soonest.title}."
        )
    if rising:
        told.append(f"With {rising} the water still rises where the record ends.")
    if not wet and not rising:
        told.append("It stays dry with any one thing broken that was tried.")
    return " ".join([*told, *_more_outside(cases, words)])


def _more_outside(cases: Sequence[StormCase], words: Words) -> Iterator[str]:
    """How many failures let more water run off over the ground than the sound case, and which the most."""
    if len(cases) < 2:
        return
    usual, failed = cases[0].volume_lost, cases[1:]
    most = max(failed, key=lambda case: case.volume_lost)
    more = sum(case.volume_lost > usual + SPILT for case in failed)
    if more:
        yield (
            f"In the yard {more} of {len(failed)} let more water run off over the ground, the most "
            f"{words.volume(most.volume_lost - usual)} more: {most.title}."
        )


def _one_storm(design: Design) -> str:
    """What a single storm does not tell, and which commands do."""
    sharp = ""
    if design.job.rain.distribution == "nested":
        sharp = ", with the heaviest rain of every length in it: sharper than most real ones"
    return (
        f"This is one storm{sharp}. 'drainwright years' counts the wet years in years of rain, with nothing broken; "
        "'drainwright chance' tells the chance a year, failures with it. They need not agree."
    )


def _watched(case: StormCase) -> bool:
    """Whether water at the house could be seen in this case: it has a drain or a basin there."""
    return case.house_dry or case.highest_at_house is not None


def _warning(case: StormCase, words: Words) -> str:
    return "" if case.alarm_to_slab is None else words.hours(case.alarm_to_slab)


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
    return f"{works} {tried.remedy.title} ({one.cost.about}){note}"


__all__ = ["show_storm"]
