"""The command that carries a job through years of rain, from a record or made to its table."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from drainwright.commands.shared import AsJson, Exit, JobFile, app, designed, emit, one_of, read, stages, written_files

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.storm.years.model import LongRun, SpellRain

MOST_YEARS = 1000


@app.command(epilog="Example: drainwright years examples/metric-basement/job.yaml --made 30 --out years")
def years(
    job: JobFile,
    rain: Annotated[Path | None, typer.Option(help="a rain record (CSV, also .gz); left out: rain is made")] = None,
    rain_unit: Annotated[str | None, typer.Option(help="in or mm, where the record does not say it")] = None,
    made: Annotated[int, typer.Option(help="so many years of rain, made to the job's own rain table")] = 30,
    seed: Annotated[int, typer.Option(help="of the made rain; the same seed makes the same rain")] = 1,
    yearly_rain: Annotated[str | None, typer.Option(help="mean of a year, like '45 in'; left out: assumed")] = None,
    well: Annotated[
        Path | None, typer.Option(help="a well's record (CSV, also .gz): the ground water moves as it shows")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="folder for years.json, tables and the risk paper")] = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="without the progress bar")] = False,
    as_json: AsJson = False,
) -> None:
    """Carry the job through decades of rain: the pump's hours, starts and energy, and how often the floor gets wet."""
    from drainwright.console import counted
    from drainwright.errors import InputError, stage
    from drainwright.exchange.well_record import read_well_record
    from drainwright.storm.years.telling import run_years
    from drainwright.storm.years.water_table import water_table

    one_of("--rain-unit", rain_unit, (None, "in", "mm"))
    if not 1 <= made <= MOST_YEARS or seed < 0:
        typer.echo(
            f"--made, --seed: found {made} and {seed}; expected 1 to {MOST_YEARS} years and a seed of zero or more."
            " Nothing was computed.",
            err=True,
        )
        raise typer.Exit(Exit.WRONG_INPUT)
    if (rain is None and rain_unit is not None) or (rain is not None and yearly_rain is not None):
        odd = "--rain-unit without --rain" if rain is None else "--yearly-rain beside --rain"
        typer.echo(f"{odd}: expected the one with a record, the other with made rain. Nothing was computed.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    document = read(job, as_json)
    design = designed(document, as_json)
    try:
        with stages(document, as_json), stage("rain"):
            spells = _rain(design, rain, rain_unit, made, seed, yearly_rain)
            table = None if well is None else water_table(read_well_record(well), spells.begins)
        with (
            stages(document, as_json),
            stage("years"),
            counted("Wet spells", quiet=quiet or as_json) as progress,
        ):
            found = run_years(design.site, design.inflows, design.system, spells, progress, table)
    except InputError as error:
        typer.echo(f"{error}. Nothing was computed.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    written = []
    if out is not None:
        from drainwright.paper.documents.risk_paper import risk_files

        with stages(document, as_json), stage("papers"):
            drawn = risk_files(design.job, run=found)
        files = {
            "years.json": json.dumps(_data(found), indent=2).encode(), "years.csv": _years_table(found),
            "spells.csv": _spells_table(found), **drawn,
        }  # fmt: skip
        written = written_files(out, files)
    if as_json:
        emit(_data(found))
        return
    from drainwright.terminal_years import show_years

    show_years(design, found, written)


def _rain(
    design: Design, record: Path | None, unit: str | None, made: int, seed: int, yearly: str | None
) -> SpellRain:  # fmt: skip
    """Rain of the record, or made."""
    from drainwright.storm.years.spells import spells_made_to, spells_of_record

    if record is not None:
        from drainwright.exchange.rain_record import read_rain_record

        return spells_of_record(read_rain_record(record, unit))  # type: ignore[arg-type]  # checked before
    return spells_made_to(design.inflows.rain, _depth(yearly), made, seed)


def _depth(text: str | None) -> float | None:
    """Rain of a year. [m]"""
    from drainwright.errors import InputError
    from drainwright.quantities import QuantityError, parse

    if text is None:
        return None
    try:
        depth = parse(text, "length")
    except QuantityError as error:
        raise InputError(f"--yearly-rain: {error}") from None
    if not 0.05 <= depth <= 15.0:
        raise InputError(f"--yearly-rain: found {text!r}; expected 2 in to 590 in")
    return depth


def _data(found: LongRun) -> dict[str, Any]:
    """For JSON: all but the spells, which have a table of their own."""
    import dataclasses

    from drainwright.results import plain

    names = [field.name for field in dataclasses.fields(found) if field.name not in ("spells", "begins")]
    return {"begins": str(found.begins), **{name: plain(getattr(found, name)) for name in names}}


def _table(heading: Sequence[str], rows: Sequence[Sequence[Any]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heading)
    writer.writerows([["" if cell is None else cell for cell in row] for row in rows])
    return text.getvalue().encode()


def _years_table(found: LongRun) -> bytes:
    names = [station.name for station in found.stations]
    heading = ["year", "read_share", "counts", "rain_m", "highest_at_house_m", "deepest_pond_m", "pond_at"]
    heading += ["spilled_m3", "seconds_at_slab"]
    heading += [f"{name}_{what}" for name in names for what in ("starts", "run_h", "pumped_m3", "energy_kWh")]
    rows: list[list[Any]] = []
    for year in found.years:
        row: list[Any] = [year.year, round(year.share, 4), year.counts, round(year.rain, 5), year.highest, year.pond]
        row += [year.pond_at, year.spilled, year.slab_seconds]
        for station in year.stations:
            energy = None if station.energy is None else station.energy / 3.6e6
            row += [round(station.starts, 1), station.seconds / 3600.0, station.pumped, energy]
        rows.append(row)
    return _table(heading, rows)


def _spells_table(found: LongRun) -> bytes:
    heading = ["start_s", "length_s", "rain_m", "most_in_a_step_m", "highest_at_house_m", "deepest_pond_m"]
    heading += ["spilled_m3", "starts", "run_s", "seconds_at_slab"]
    rows = [
        [one.start, one.seconds, one.depth, one.peak, one.highest, one.pond, one.spilled, one.starts, one.pump_seconds,
         one.slab_seconds]
        for one in found.spells
    ]  # fmt: skip
    return _table(heading, rows)


__all__ = ["years"]
