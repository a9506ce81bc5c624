"""The command that tells the chance of a wet floor, and what one more measurement would tell."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from drainwright.commands.shared import (
    AsJson,
    JobFile,
    app,
    designed,
    emit,
    free_folder,
    one_of,
    read,
    stages,
    written_files,  # fmt: skip
    wrong,
)

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.job.reading import Document
    from drainwright.storm.chances.by_years import Rains
    from drainwright.storm.chances.model import Chance

MOST_YEARS = 1000  # of each plant


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
    out: Annotated[Path | None, typer.Option("--to", help="folder for chance.json, chance.pdf and its drawing")] = None,
    as_json: AsJson = False,
) -> None:
    """Tell the chance a year of water above the slab, what it hangs on, and what one more measurement would tell."""
    from drainwright.results import plain

    cost = _cost(wet_floor_cost)
    _sound(samples, seed, years, rain, rain_unit)
    free_folder(out)
    document = read(job, as_json)
    asked = _Asked(samples, seed, cost, years, rain, rain_unit)
    silent = quiet or as_json
    design, told, prices = _reckoned(document, asked, as_json, silent)
    data = {**plain(told), "prices": prices}
    if as_json:
        emit(data)
    else:
        from drainwright.terminal_chance import show_chance

        show_chance(told, design)
    if out is not None:
        _write(out, design, told, data, document, as_json)


class _Asked(NamedTuple):
    """How the chance is asked for."""

    samples: int
    seed: int
    cost: float | None  # of one wet floor
    years: int | None  # of rain, for the second way
    rain: Path | None
    rain_unit: str | None


def _sound(samples: int, seed: int, years: int | None, rain: Path | None, rain_unit: str | None) -> None:
    """Stop at options that are out of range or do not go together."""
    if samples < 8 or samples > 4096 or seed < 0:
        wrong(
            f"--samples, --seed: found {samples} and {seed}; expected 8 to 4096 samples and a seed of zero or more."
            " Nothing was computed."
        )
    one_of("--rain-unit", rain_unit, (None, "in", "mm"))
    if years is not None and not 1 <= years <= MOST_YEARS:
        wrong(f"--years: found {years}; expected 1 to {MOST_YEARS}. Nothing was computed.")
    if (rain is not None and years is None) or (rain_unit is not None and rain is None):
        odd = "--rain without --years" if rain is not None else "--rain-unit without --rain"
        wrong(f"{odd}: expected both or neither. Nothing was computed.")


def _reckoned(
    document: Document, asked: _Asked, as_json: bool, quiet: bool
) -> tuple[Design, Chance, dict[str, float]]:  # fmt: skip
    """The job, designed, its chance, and what each option of it costs."""
    from drainwright.console import counted
    from drainwright.errors import InputError, stage
    from drainwright.storm.chances.study import chance as reckoned

    years, rain = asked.years, asked.rain
    try:
        rains = None if rain is None or years is None else _recorded(rain, asked.rain_unit, years)
        design = designed(document, as_json)
        with stages(document, as_json):
            prices = _prices(design)
        with (
            stages(document, as_json),
            stage("chance"),
            counted(
                "Plants through the storms, as drawn and with each remedy", quiet=quiet or not sys.stderr.isatty()
            ) as progress,
        ):
            told = reckoned(
                design.site, design.inflows, design.system, samples=asked.samples, seed=asked.seed,
                wet_floor_cost=asked.cost, prices=prices, progress=progress,
            )  # fmt: skip
        if years is not None:
            with stages(document, as_json), stage("years"):
                told = _by_years(design, told, years, rains, quiet)
    except InputError as error:
        wrong(f"{error}. Nothing was computed.")
    return design, told, prices


def _write(
    out: Path, design: Design, told: Chance, data: Mapping[str, Any], document: Document, as_json: bool
) -> None:  # fmt: skip
    """The figures, the paper and its drawing, in their folder."""
    from drainwright.errors import stage
    from drainwright.paper.documents.risk_paper import risk_files

    with stages(document, as_json), stage("papers"):
        drawn = risk_files(design.job, chance=told, storm=design.storm)
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
            rains = made_rains(fit_process(design.inflows.rain, None, units=design.job.units), years, told.seed)
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
        wrong(f"--wet-floor-cost: found {text!r}; expected an amount above zero, like 8000")
    return cost


def _prices(design: Design) -> dict[str, float]:
    """Of the options, by the job's price book; without those whose price it does not tell apart from the drawn one."""
    from drainwright.design import remedy_cost
    from drainwright.storm.chances.study import options_of

    found = options_of(design.site, design.inflows, design.system)
    totals = {
        option.key: float(remedy_cost(design, option.remedy).total) for option in found if option.remedy is not None
    }
    return {key: total for key, total in totals.items() if total > 0.0}


__all__ = ["chance"]
