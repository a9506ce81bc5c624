"""The command that carries a job through years of rain, from a record or made to its table."""

from __future__ import annotations

import json
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
    from drainwright.exchange.well_record import WellRecord
    from drainwright.job.reading import Document
    from drainwright.quantities import System
    from drainwright.storm.years.model import LongRun, SpellRain

MOST_YEARS = 1000


@app.command(epilog="Example: drainwright years examples/metric-basement/job.yaml --made 30 --to years")
def years(
    job: JobFile,
    rain: Annotated[Path | None, typer.Option(help="a rain record (CSV, also .gz); left out: rain is made")] = None,
    rain_unit: Annotated[str | None, typer.Option(help="in or mm, where the record does not say it")] = None,
    made: Annotated[
        int | None, typer.Option(help="so many years of rain, made to the job's own rain table; left out: 30")
    ] = None,
    seed: Annotated[
        int | None, typer.Option(help="of the made rain; the same seed makes the same rain; left out: 1")
    ] = None,
    yearly_rain: Annotated[str | None, typer.Option(help="mean of a year, like '45 in'; left out: assumed")] = None,
    well: Annotated[
        Path | None, typer.Option(help="a well's record (CSV, also .gz): the ground water moves as it shows")
    ] = None,
    well_unit: Annotated[str | None, typer.Option(help="ft, m or cm, where the record does not say it")] = None,
    well_depths: Annotated[bool, typer.Option("--well-depths", help="the record holds depths, not levels")] = False,
    out: Annotated[Path | None, typer.Option("--to", help="folder for years.json, tables and the risk paper")] = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="without the progress bar")] = False,
    as_json: AsJson = False,
) -> None:
    """Carry the job through decades of rain: the pump's hours, starts and energy, and how often the floor gets wet."""
    one_of("--rain-unit", rain_unit, (None, "in", "mm"))
    one_of("--well-unit", well_unit, (None, "ft", "m", "cm"))
    count, number = 30 if made is None else made, 1 if seed is None else seed
    _rain_sound(rain, rain_unit, count, number, {"--made": made, "--seed": seed, "--yearly-rain": yearly_rain})
    _well_sound(well, well_unit, well_depths)
    free_folder(out)
    document = read(job, as_json)
    asked = _Asked(rain, rain_unit, count, number, yearly_rain, well, well_unit, well_depths)
    design, found = _run(document, asked, as_json, quiet or as_json)
    written = [] if out is None else _written(out, design, found, document, as_json)
    if as_json:
        emit(_data(found, design))
        return
    from drainwright.terminal_years import show_years

    show_years(design, found, written)


class _Asked(NamedTuple):
    """What rain, and what ground water, a run is asked to take."""

    rain: Path | None  # a record; None: rain is made
    rain_unit: str | None
    made: int  # years of rain
    seed: int
    yearly_rain: str | None
    well: Path | None
    well_unit: str | None
    well_depths: bool


def _rain_sound(
    rain: Path | None, rain_unit: str | None, count: int, number: int, given: Mapping[str, object]
) -> None:  # fmt: skip
    """Stop at options of the rain that do not go together."""
    if not 1 <= count <= MOST_YEARS or number < 0:
        wrong(
            f"--made, --seed: found {count} and {number}; expected 1 to {MOST_YEARS} years and a seed of zero or more."
            " Nothing was computed."
        )
    odd = [name for name, value in given.items() if value is not None] if rain is not None else []
    if odd:
        wrong(
            f"{', '.join(odd)} beside --rain: expected them with made rain, or the record alone. Nothing was computed."
        )
    if rain is None and rain_unit is not None:
        wrong("--rain-unit without --rain: expected it with a rain record. Nothing was computed.")


def _well_sound(well: Path | None, well_unit: str | None, well_depths: bool) -> None:
    """Stop at options of a well that do not go together."""
    if well is None and (well_unit is not None or well_depths):
        alone = "--well-depths" if well_unit is None else "--well-unit"
        wrong(f"{alone} without --well: expected it with a well's record. Nothing was computed.")


def _run(document: Document, asked: _Asked, as_json: bool, still: bool) -> tuple[Design, LongRun]:
    """The job, designed and carried through its years."""
    from drainwright.console import busy, counted
    from drainwright.errors import InputError, stage
    from drainwright.storm.years.spells import spells_made_to
    from drainwright.storm.years.telling import run_years
    from drainwright.storm.years.water_table import water_table

    units = document.job.units
    try:
        yearly = _depth(asked.yearly_rain)
        with busy("Reading records", quiet=still):
            spells = None if asked.rain is None else _read_rain(asked.rain, asked.rain_unit, units)
            levels = None if asked.well is None else _read_well(asked.well, asked.well_unit, asked.well_depths)
        design = designed(document, as_json)
        if spells is None:
            with busy("Fitting made rain to the job's table", quiet=still):
                spells = spells_made_to(design.inflows.rain, yearly, asked.made, asked.seed, units)
        table = None if levels is None else water_table(levels, spells.begins)
        with stages(document, as_json), stage("years"), counted("Wet spells", quiet=still) as progress:
            return design, run_years(design.site, design.inflows, design.system, spells, progress, table)
    except InputError as error:
        wrong(f"{error}. Nothing was computed.")


def _written(out: Path, design: Design, found: LongRun, document: Document, as_json: bool) -> list[Path]:
    """The tables and the risk paper, in their folder."""
    from drainwright.errors import stage
    from drainwright.paper.documents.risk_paper import risk_files
    from drainwright.storm.years.tables import spells_table, years_table

    with stages(document, as_json), stage("papers"):
        drawn = risk_files(design.job, run=found, storm=design.storm)
    files = {
        "years.json": json.dumps(_data(found, design), indent=2).encode(),
        "years.csv": years_table(found, design.job.units), "spells.csv": spells_table(found, design.job.units),
        **drawn,
    }  # fmt: skip
    return written_files(out, files)


def _read_rain(path: Path, unit: str | None, units: System) -> SpellRain:
    """A rain record's wet spells, with what is odd in it."""
    from dataclasses import replace

    from drainwright.exchange.rain_record import read_rain_record, record_notes
    from drainwright.storm.years.spells import spells_of_record

    record = read_rain_record(path, unit)  # type: ignore[arg-type]  # checked before
    spells = spells_of_record(record)
    return replace(spells, notes=(*spells.notes, *(f"{record.name}: {note}" for note in record_notes(record, units))))


def _read_well(path: Path, unit: str | None, depths: bool) -> WellRecord:
    """A well's record, its errors in the words of this command's options."""
    from drainwright.errors import InputError
    from drainwright.exchange.well_record import read_well_record

    try:
        return read_well_record(path, unit, depths=depths)  # type: ignore[arg-type]  # checked before
    except InputError as error:
        raise InputError(str(error).replace("say so with --depths", "say so with --well-depths")) from None


def _depth(text: str | None) -> float | None:
    """Rain of a year. [m]"""
    from drainwright.errors import InputError
    from drainwright.quantities import QuantityError, parse

    if text is None:
        return None
    try:
        depth = parse(text, "length")
    except QuantityError as error:
        hint = f"; write {text.strip()!r} with its unit, like '45 in' or '1100 mm'" if _bare(text) else ""
        raise InputError(f"--yearly-rain: {error}{hint}") from None
    if not 0.05 <= depth <= 15.0:
        raise InputError(f"--yearly-rain: found {text!r}; expected 2 in to 590 in")
    return depth


def _bare(text: str) -> bool:
    """Whether a text is a number without a unit."""
    try:
        float(text)
    except ValueError:
        return False
    return True


def _data(found: LongRun, design: Design) -> dict[str, Any]:
    """For JSON: all but the spells, which have a table of their own; the design storm beside the years."""
    import dataclasses

    from drainwright.results import plain
    from drainwright.storm.years.beside import beside_years

    names = [field.name for field in dataclasses.fields(found) if field.name not in ("spells", "begins")]
    told = {name: plain(getattr(found, name)) for name in names}
    return {"begins": str(found.begins), **told, "design_storm": plain(beside_years(design.storm, found))}


__all__ = ["years"]
