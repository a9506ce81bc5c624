"""The chance of a wet floor at the terminal: the figure, its causes, its main reasons, what would lower it."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from drainwright.build.book import book_for
from drainwright.build.wording import money
from drainwright.console import add_row, heading, new_console, new_table
from drainwright.design import Design
from drainwright.findings.chance_words import (
    below,
    beside_storm,
    between,
    causes,
    choice_title,
    deep,
    headline,
    no_choices,
    one_in,
    over_years,
    price_words,
    reason_words,
    samples_words,
    upkeep_words,
    worth_words,
)
from drainwright.findings.failure_words import Words
from drainwright.findings.model import Severity
from drainwright.storm.chances.model import NO_HOUSE, ByYears, Chance
from drainwright.terminal_storm import AT_A_BASIN, CARE


def show_chance(told: Chance, design: Design) -> None:
    """Print the answer first, then what it comes of, what would lower it, and at last how it was reckoned."""
    console, book = new_console(), book_for(design.job.price_book)
    words = Words(units=design.job.units, crawl=design.job.house.floor_kind == "crawl space")
    _say(console, design.job.title)
    if not told.at_house:
        _say(console, f"Chance of water at the {words.floor}. {NO_HOUSE}")
        return
    failing = sum(finding.severity is Severity.FAILS for finding in design.findings)
    if failing:
        many = "1 check fails" if failing == 1 else f"{failing} checks fail"
        _say(console, f"Not sound as drawn: {many}, see `design`.", style="bold")
    _say(console, headline(told, words), style="bold")
    for line in filter(None, (over_years(told), samples_words(told), beside_storm(told, design.storm, words))):
        _say(console, line)
    rows = list(causes(told))
    if rows:
        heading(console, "What wets it, a year")
        table = new_table(
            ("cause", "left"), ("in the mean", "right"), ("nine times of ten, for so many samples", "left")
        )
        for row in rows:
            add_row(table, *row)
        console.print(table)
    for line in filter(None, (reason_words(told), deep(told, design.storm, words))):
        _say(console, line, 2)
    if told.by_years is not None:
        _both_ways(told, told.by_years)
    _remedies(told, words, book.currency, invented=book.invented)
    lines = list(worth_words(told, book.currency))
    if lines:
        heading(console, "What one more test would tell")
        _list(console, lines)
    heading(console, "How it was reckoned")
    _list(console, (f"{told.method}; {told.runs:,} runs, {told.samples} samples, seed {told.seed}", *told.notes))


def _say(console: Console, line: str, indent: int = 0, style: str = "") -> None:
    """At a terminal no word is cut at the edge; elsewhere a line stays one."""
    if console.is_terminal:
        console.print(Padding(Text(line, style=style), (0, 0, 0, indent)))
    else:
        console.print(Text(" " * indent + line), soft_wrap=True)


def _list(console: Console, lines: Iterable[str]) -> None:
    for line in lines:
        _say(console, f"- {line}", 2)


def _remedies(told: Chance, words: Words, currency: str, *, invented: bool) -> None:
    console = new_console()
    if told.per_year <= 0.0:
        return
    heading(console, "What would lower it")
    if not told.choices:
        _say(console, no_choices(told), 2)
        return
    heads = [("remedy", "left"), ("a year", "right"), ("nine times of ten", "left"), ("price", "right")]
    if told.losses is not None:
        heads.append(("30 years in all", "right"))
    table = new_table(*heads)  # type: ignore[arg-type]  # sides are literals

    def loss(key: str) -> list[str]:
        if told.losses is None:
            return []
        found = told.losses.get(key)
        return ["not priced" if found is None else _money(found, currency)]

    add_row(table, "as drawn", one_in(told.per_year), between(told.sampling), "", *loss("as drawn"))
    for choice in sorted(told.choices, key=lambda one: one.per_year):
        add_row(
            table, choice_title(choice, words), one_in(choice.per_year), between(choice.sampling),
            price_words(choice, currency), *loss(choice.key),
        )  # fmt: skip
    console.print(table)
    if told.best is not None:
        least = "as drawn, none of them" if told.best == "as drawn" else told.best
        _say(console, f"Least over 30 years, price and wet floors together, not discounted: {least}.", 2)
    _say(console, upkeep_words(invented=invented), 2)
    if any(choice.key in AT_A_BASIN for choice in told.choices):
        _say(console, CARE, 2)


def _money(amount: float, currency: str) -> str:
    return money(Decimal(str(amount)), currency, 0)


def _both_ways(told: Chance, second: ByYears) -> None:
    """Both ways side by side, and where they part."""
    count, console = second.counted, new_console()
    heading(console, "The same chance in two ways, a year")
    table = new_table(("", "left"), ("by design storms", "right"), ("by years of rain", "right"))
    band = between(count.band) if count.wet else f"less than {below(count.band.high)}"
    add_row(table, "in the mean", one_in(told.per_year), one_in(count.band.middle) if count.wet else "none counted")
    add_row(table, "nine times of ten", between(told.sampling), band)
    add_row(table, "rests on", f"{told.runs:,} runs", f"{count.wet} wet of {count.years:,} years")
    for cause, rate in told.by_cause.items():
        wet = second.by_cause.get(cause, 0)
        if rate > 0.0 or wet:
            add_row(table, cause, one_in(rate), f"{wet} wet")
    console.print(table)
    console.print("The bands have a part in common." if second.agree else "The bands have no part in common: see why.")
    _list(console, (*second.why, *second.notes))


__all__ = ["show_chance"]
