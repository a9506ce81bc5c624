"""The command that tells the chance of a wet floor, and what one more measurement would tell."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from drainwright.commands.shared import (
    AsJson,
    Exit,
    JobFile,
    app,
    designed,
    emit,
    free_folder,
    one_of,
    read,
    stages,
    written_files,
)  # fmt: skip

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.storm.chances.by_years import Rains
    from drainwright.storm.chances.model import ByYears, Chance, Driver, Interval

MOST_YEARS = 1000  # of each plant
WIDE = 1.0  # a band of a share wider than all there is tells nothing [-]


@app.command(epilog="Example: drainwright chance examples/metric-basement/job.yaml --samples 64")
def chance(
    job: JobFile,
    samples: Annotated[int, typer.Option(help="plants that are tried, each as it may truly be; 8 or more")] = 128,
    seed: Annotated[int, typer.Option(help="the same seed gives the same digits")] = 1979,
    wet_floor_cost: Annotated[
        str | None, typer.Option(help="what one wet floor costs, like 8000: then remedies and tests are set against it")
    ] = None,
    years: Annotated[
        int | None,
        typer.Option(help="carry each plant through so many years of rain too, and count the wet ones: a second way"),
    ] = None,
    rain: Annotated[
        Path | None, typer.Option(help="those years' rain record (CSV, also .gz); left out: rain is made")
    ] = None,
    rain_unit: Annotated[str | None, typer.Option(help="in or mm, where the record does not say it")] = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="without the progress bar and the cost")] = False,
    out: Annotated[Path | None, typer.Option(help="folder for chance.json, chance.pdf and its drawing")] = None,
    as_json: AsJson = False,
) -> None:
    """Tell the chance a year of water above the slab, what it hangs on, and what one more measurement would tell."""
    from drainwright.errors import InputError, stage
    from drainwright.results import plain
    from drainwright.storm.chances.study import chance as reckoned

    cost = _cost(wet_floor_cost)
    if samples < 8 or samples > 4096 or seed < 0:
        typer.echo(
            f"--samples, --seed: found {samples} and {seed}; expected 8 to 4096 samples and a seed of zero or more."
            " Nothing was computed.",
            err=True,
        )
        raise typer.Exit(Exit.WRONG_INPUT)
    one_of("--rain-unit", rain_unit, (None, "in", "mm"))
    if years is not None and not 1 <= years <= MOST_YEARS:
        typer.echo(f"--years: found {years}; expected 1 to {MOST_YEARS}. Nothing was computed.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    if (rain is not None and years is None) or (rain_unit is not None and rain is None):
        odd = "--rain without --years" if rain is not None else "--rain-unit without --rain"
        typer.echo(f"{odd}: expected both or neither. Nothing was computed.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    free_folder(out)
    document = read(job, as_json)
    try:
        rains = None if rain is None or years is None else _recorded(rain, rain_unit, years)
        design = designed(document, as_json)
        with stages(document, as_json):
            prices = {} if cost is None else _prices(design)
        with stages(document, as_json), stage("chance"):
            told = reckoned(
                design.site, design.inflows, design.system, samples=samples, seed=seed, wet_floor_cost=cost,
                prices=prices,
            )  # fmt: skip
        if years is not None:
            with stages(document, as_json), stage("years"):
                told = _by_years(design, told, years, rains, quiet or as_json)
    except InputError as error:
        typer.echo(f"{error}. Nothing was computed.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    data = {**plain(told), "prices": prices}
    if as_json:
        emit(data)
    else:
        _show(told, prices, design)
    if out is not None:
        from drainwright.paper.documents.risk_paper import risk_files

        with stages(document, as_json), stage("papers"):
            drawn = risk_files(design.job, chance=told)
        for path in written_files(out, {"chance.json": json.dumps(data, indent=2).encode(), **drawn}):
            typer.echo(f"Written: {path}", err=as_json)


def _recorded(record: Path, unit: str | None, years: int) -> Rains:
    """The rain of a record's years, for each sampled plant."""
    from drainwright.exchange.rain_record import read_rain_record
    from drainwright.storm.chances.by_years import record_rains
    from drainwright.storm.years.spells import spells_of_record

    return record_rains(spells_of_record(read_rain_record(record, unit)), years)  # type: ignore[arg-type]  # checked before


def _by_years(
    design: Design, told: Chance, years: int, rains: Rains | None, quiet: bool
) -> Chance:  # fmt: skip
    """The chance with its second way, whose cost is told before it starts."""
    import time
    from dataclasses import replace

    from drainwright.console import busy, counted
    from drainwright.storm.chances.by_years import Sets, by_years, made_rains
    from drainwright.storm.chances.truth import Base

    if rains is None:
        from drainwright.water.rain_process import fit_process

        with busy("Fitting made rain to the job's table", quiet=quiet):
            rains = made_rains(fit_process(design.inflows.rain, None), years, told.seed)
    sets = Sets.of(Base.of(design.site, design.inflows, design.system), rains)
    if not quiet:
        sets.trial()  # the first one also readies what is compiled
        begun = time.monotonic()
        each = sets.trial()
        seconds = (time.monotonic() - begun) * told.samples
        typer.echo(
            f"Years of rain: {told.samples} plants through {each} each, {told.samples * each} in all; by a trial some "
            f"{_span(seconds)} on this machine.",
            err=True,
        )
    with counted("Plants through their years", quiet=quiet) as progress:
        return replace(told, by_years=by_years(sets, told, progress))


def _span(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 90.0 else f"{seconds / 60.0:.0f} min"


def _cost(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        cost = float(text.strip().lstrip("$").replace(",", ""))
    except ValueError:
        cost = 0.0
    if not 0.0 < cost < 1e12:
        typer.echo(f"--wet-floor-cost: found {text!r}; expected an amount above zero, like 8000", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    return cost


def _prices(design: Design) -> dict[str, float]:
    """Of the options, by the job's price book."""
    from drainwright.build.remedies import cost_of
    from drainwright.storm.chances.study import options_of

    found = options_of(design.site, design.inflows, design.system)
    return {
        option.key: float(cost_of(option.remedy, design.site, design.system).total)
        for option in found
        if option.remedy is not None
    }


def one_in(rate: float) -> str:
    """A chance as people say it."""
    if rate <= 0.0:
        return "none"
    if rate > 0.5:
        return f"{rate:.0%}"
    return f"1 in {1.0 / rate:,.0f}" if rate > 1e-4 else "less than 1 in 10,000"


def _between(interval: Interval) -> str:
    low, high = one_in(interval.low), one_in(interval.high)
    return f"{low} to {high}" if low != high else low


def _show(told: Chance, prices: dict[str, float], design: Design) -> None:
    from rich.text import Text

    from drainwright.build.book import book_for
    from drainwright.build.wording import money
    from drainwright.console import new_console
    from drainwright.storm.chances.model import NO_HOUSE

    console = new_console()

    def say(line: str) -> None:
        """At a terminal no word is cut at the edge; elsewhere a line stays one."""
        console.print(Text(line), soft_wrap=not console.is_terminal)

    floor = "crawl-space soil" if design.job.house.floor_kind == "crawl space" else "slab"
    book = book_for(design.job.price_book)

    def priced(amount: float) -> str:
        return money(Decimal(str(amount)), book.currency, 0)

    if not told.at_house:
        say(f"Chance of water above the {floor}. {NO_HOUSE}")
        return
    if told.per_year > 0.0:
        in_thirty = f"{told.over_30_years:.0%}" if told.over_30_years >= 0.005 else "less than 1%"
        say(f"Chance of water above the {floor}: {one_in(told.per_year)} a year; {in_thirty} in 30 years.")
        say(f"  As the inputs are known, nine times of ten: {_between(told.inputs)} a year.")
        say(f"  How far {told.samples} samples leave the mean open: {_between(told.sampling)} a year.")
    else:
        say(f"Chance of water above the {floor}: in none of {told.samples} samples did the water reach it.")
    for cause, rate in told.by_cause.items():
        if rate > 0.0:
            say(f"  {cause}: {one_in(rate)} a year")
    if told.by_years is not None:
        _show_years(told, told.by_years)
    for title, drivers in (
        ("What the highest water hangs on in a storm" + _power(told), told.drivers),
        (f"What it hangs on whether that water reaches the {floor}", told.wet_drivers),
    ):
        rows = [row for driver in drivers if (row := _driver(driver)) is not None][:5]
        if rows:
            say(f"{title} (share of the variance: alone, with others):")
            for row in rows:
                say(row)
    for worth in told.worth:
        test = f"{worth.test[0].upper()}{worth.test[1:]} ({worth.name})"
        if worth.narrowing > 0.0:
            say(
                f"{test} would narrow the chance from {_between(worth.before)} to {_between(worth.after)} a year, on "
                f"average ({worth.narrowing:.0%} of its standard deviation)."
            )
        else:
            say(f"{test} would not narrow the chance by more than so few samples may seem to by themselves.")
        if worth.sample is not None and worth.perfect is not None:
            if worth.sample <= worth.perfect:
                sure = f"{priced(worth.sample)} for the choice below, before its own price; at most "
                say(f"  Worth about {sure}{priced(worth.perfect)}.")
            else:
                say(f"  Worth some {priced(worth.sample)} at most for the choice below: so few samples tell no more.")
    if told.losses is not None:
        say("Price and wet floors over 30 years, not discounted:")
        for key, loss in sorted(told.losses.items(), key=lambda item: item[1]):
            say(
                f"  {key}: about {priced(loss)}" + (f" (of it {priced(prices[key])} to build)" if key in prices else "")
            )
        say(f"  Least: {told.best}." + (" What is built is priced by invented prices." if book.invented else ""))
    say(f"Reckoned by {told.method}; {told.runs} runs, seed {told.seed}.")
    for note in told.notes:
        say(f"Note: {note}")


def below(chance: float) -> str:
    """An upper bound of a chance as people say it: never less than it is."""
    return f"1 in {int(1.0 / chance):,}" if chance < 0.5 else f"{chance:.0%}"


def _show_years(told: Chance, second: ByYears) -> None:
    """Both ways side by side, and where they part."""
    from drainwright.console import add_row, bullets, heading, new_console, new_table

    count, console = second.counted, new_console()
    heading(console, "The same chance in two ways, a year")
    table = new_table(("", "left"), ("by design storms", "right"), ("by years of rain", "right"))
    band = _between(count.band) if count.wet else f"less than {below(count.band.high)}"
    add_row(table, "in the mean", one_in(told.per_year), one_in(count.band.middle) if count.wet else "none counted")
    add_row(table, "nine times of ten", _between(told.sampling), band)
    add_row(table, "rests on", f"{told.runs:,} runs", f"{count.wet} wet of {count.years:,} years")
    for cause, rate in told.by_cause.items():
        wet = second.by_cause.get(cause, 0)
        if rate > 0.0 or wet:
            add_row(table, cause, one_in(rate), f"{wet} wet")
    console.print(table)
    console.print("The bands have a part in common." if second.agree else "The bands have no part in common: see why.")
    bullets(console, (*second.why, *second.notes))


def _power(told: Chance) -> str:
    return " in which the power goes" if any(item.key == "cuts" for item in told.uncertain) else ""


def _driver(driver: Driver) -> str | None:
    if driver.first is None or driver.total is None:
        return None
    if driver.total.high - driver.total.low > WIDE:
        return f"  {driver.name}: matters, but too seldom in so few samples to say how much"
    return (
        f"  {driver.name}: {max(driver.first.middle, 0.0):.0%}, {max(driver.total.middle, 0.0):.0%} "
        f"({max(driver.total.low, 0.0):.0%} to {driver.total.high:.0%})"
    )


__all__ = ["below", "chance", "one_in"]
