"""The command line: a thin door to the same functions that everything else calls.

Exit codes: 0 sound, 1 the design has findings that fail, 2 the input is wrong.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.errors import Problem
    from drainwright.job.reading import Document


class Exit(IntEnum):
    """What the command tells the shell."""

    SOUND = 0
    FAILS = 1
    WRONG_INPUT = 2
    STOPPED = 130  # by Ctrl-C, as shells count it


app = typer.Typer(
    name="drainwright",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="From one visit's measurements to a drainage job: designed, tested, safe to dig, priced, drawn, handed over.",
    epilog="Exit codes: 0 sound; 1 findings that fail; 2 input wrong. Start with: drainwright new my-job.yaml",
)

DEBUG = "DRAINWRIGHT_DEBUG"  # set to 1, a stage that breaks down shows where

JobFile = Annotated[Path, typer.Argument(help="the job document (YAML or JSON)", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="print JSON instead of tables")]


def _emit(data: Any) -> None:
    json.dump(data, sys.stdout, ensure_ascii=False, indent=2, allow_nan=False)
    sys.stdout.write("\n")


def _refuse(problems: tuple[Problem, ...], as_json: bool) -> NoReturn:
    """Print what is wrong with the input, all of it, and stop."""
    import dataclasses

    if as_json:
        _emit({"ok": False, "errors": [dataclasses.asdict(problem) for problem in problems]})
    else:
        for problem in problems:
            typer.echo(str(problem), err=True)
        many = "1 problem" if len(problems) == 1 else f"{len(problems)} problems"
        typer.echo(f"{many}; nothing was computed.", err=True)
    raise typer.Exit(Exit.WRONG_INPUT)


def _read(path: Path, as_json: bool) -> Document:
    from drainwright.errors import JobError
    from drainwright.job.reading import read_document

    try:
        return read_document(path)
    except JobError as error:
        _refuse(error.problems, as_json)


@contextmanager
def _stages(document: Document, as_json: bool) -> Iterator[None]:
    """Turn what a stage raises into problems with their lines; a stage that broke down is named, to be reported."""
    from drainwright.errors import JobError, Problem, StageError

    try:
        yield
    except JobError as error:
        _refuse(document.with_lines(error).problems, as_json)
    except StageError as error:
        if os.environ.get(DEBUG) == "1":
            raise
        problem = Problem(
            where="",
            found=f"values that the stage '{error.stage}' could not be carried through with ({error.__cause__})",
            expected="a design of any job that reads",
            hint="look for an odd value; this is a fault of Drainwright all the same: please report it, with the job "
            f"file and what {DEBUG}=1 shows",
            file=document.name,
        )
        _refuse((problem,), as_json)


def _design(document: Document, as_json: bool) -> Design:
    from drainwright.design import design

    with _stages(document, as_json):
        return design(document.job)


def _done(design: Design) -> NoReturn:
    raise typer.Exit(Exit.SOUND if design.sound else Exit.FAILS)


@app.command(epilog="Example: drainwright new my-job.yaml --units US")
def new(
    path: Annotated[Path, typer.Argument(help="where to write the starter job", show_default=False)],
    units: Annotated[str, typer.Option(help="US or SI")] = "US",
) -> None:
    """Write a commented starter job to fill in. Never overwrites a file."""
    from drainwright.job.starter import new_job_text

    if units not in ("US", "SI"):
        typer.echo(f"--units: found {units!r}; expected US or SI", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(new_job_text(units))
    except FileExistsError:
        typer.echo(f"{path} exists already; choose another name. Nothing was written.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    except OSError as error:
        typer.echo(f"{path}: {error.strerror}. Nothing was written.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    typer.echo(f"Wrote {path}. Fill it in, then: drainwright check {path}")


@app.command(epilog="Example: drainwright check examples/block-wall-house/job.yaml")
def check(job: JobFile, as_json: AsJson = False) -> None:
    """Read a job document and report everything that is wrong with it, with line numbers."""
    from drainwright.errors import stage
    from drainwright.field import survey

    document = _read(job, as_json)
    with _stages(document, as_json), stage("survey"):
        site = survey(document.job)
    if as_json:
        _emit({"ok": True, "errors": [], "notes": list(site.notes)})
        return
    from drainwright.terminal import show_check

    show_check(document.job, site)


@app.command(epilog="Example: drainwright design examples/block-wall-house/job.yaml")
def design(
    job: JobFile,
    as_json: AsJson = False,
    every: Annotated[bool, typer.Option("--all", help="list the checks that came out well, too")] = False,
) -> None:
    """Design the job and print it: water, system, storm test, dig, price and findings."""
    result = _design(_read(job, as_json), as_json)
    if as_json:
        from drainwright.results import design_to_plain

        _emit(design_to_plain(result))
    else:
        from drainwright.terminal import show_design

        show_design(result, every=every)
    _done(result)


@app.command(epilog="Example: drainwright answers examples/block-wall-house/job.yaml --number 1")
def answers(
    job: JobFile,
    as_json: AsJson = False,
    number: Annotated[int | None, typer.Option(min=1, max=25, help="one question only")] = None,
) -> None:
    """Answer the 25 questions that owners and inspectors ask, for this job."""
    result = _design(_read(job, as_json), as_json)
    chosen = [answer for answer in result.answers if number is None or answer.number == number]
    if as_json:
        from drainwright.results import plain

        _emit(plain(chosen))
        return
    from drainwright.terminal import show_answers

    show_answers(chosen)


@app.command(epilog="Example: drainwright papers examples/block-wall-house/job.yaml --to out/block-wall-house")
def papers(
    job: JobFile,
    to: Annotated[Path | None, typer.Option(help="folder to write; default: <job>-papers beside the job")] = None,
    as_json: AsJson = False,
) -> None:
    """Design the job and write everything that is handed over: PDFs, drawings, order, results."""
    from drainwright.errors import stage
    from drainwright.paper import write_papers
    from drainwright.terminal import progress

    document = _read(job, as_json)
    result = _design(document, as_json)
    folder = to or job.with_name(f"{job.stem}-papers")
    try:
        with _stages(document, as_json), progress("Writing the papers", quiet=as_json) as step, stage("papers"):
            written = write_papers(result, folder, step)
    except OSError as error:
        typer.echo(f"{folder}: {error.strerror or error}. The papers were not all written.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    except KeyboardInterrupt:
        typer.echo(f"Stopped; nothing in {folder} was changed.", err=True)
        raise typer.Exit(Exit.STOPPED) from None
    if as_json:
        _emit({"ok": True, "sound": result.sound, "folder": str(folder), "files": [path.name for path in written]})
    else:
        from drainwright.terminal import show_papers

        show_papers(result, folder, written)
    _done(result)


@app.command(epilog="Example: drainwright rain gauge.csv.gz --table noaa-table.csv")
def rain(
    record: Annotated[Path, typer.Argument(help="a rain record (CSV, or CSV under gzip)", show_default=False)],
    unit: Annotated[str | None, typer.Option(help="in or mm, where the heading does not say it")] = None,
    table: Annotated[Path | None, typer.Option(help="a NOAA Atlas 14 point table to set beside it")] = None,
    units: Annotated[str, typer.Option(help="US or SI, of what is printed")] = "US",
    as_json: AsJson = False,
) -> None:
    """Read a rain record: its gaps and faults, and the largest rain of each duration, beside a table if given."""
    from drainwright.errors import InputError, JobError
    from drainwright.exchange.rain_record import read_rain_record
    from drainwright.water.record_maxima import beside_table, maxima_of

    for name, value, known in (("--unit", unit, ("in", "mm", None)), ("--units", units, ("US", "SI"))):
        if value not in known:
            typer.echo(f"{name}: found {value!r}; expected {' or '.join(word for word in known if word)}", err=True)
            raise typer.Exit(Exit.WRONG_INPUT)
    try:
        found = read_rain_record(record, unit)  # type: ignore[arg-type]  # checked above
        maxima = maxima_of(found)
        rows = beside_table(maxima, None if table is None else table.read_bytes())
    except JobError as error:
        _refuse(error.problems, as_json)
    except (InputError, OSError) as error:
        typer.echo(f"{error}. Nothing was computed.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    if as_json:
        from drainwright.results import plain

        _emit({"step": found.step, "missing": found.missing, "yearly": found.yearly, "notes": found.notes,
               "suspects": plain(found.suspects), "maxima": plain(rows)})  # fmt: skip
        return
    from drainwright.terminal import show_rain

    show_rain(found, rows, units)  # type: ignore[arg-type]  # checked above


def _spoken(name: str, text: str | None) -> float | None:
    """A length given with its unit. [m]"""
    from drainwright.quantities import QuantityError, parse

    if text is None:
        return None
    try:
        length = parse(text, "length")
    except QuantityError as error:
        typer.echo(f"{name}: {error}", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    if not length > 0.0:
        typer.echo(f"{name}: found {text!r}; expected a length above zero", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    return length


def _written(folder: Path, contents: dict[str, bytes]) -> list[Path]:
    from drainwright.paper.documents.writing import write_all

    try:
        folder.mkdir(parents=True, exist_ok=True)
        return write_all(folder, contents)
    except OSError as error:
        typer.echo(f"{folder}: {error.strerror or error}. Nothing was written.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None


@app.command(epilog="Example: drainwright ground yard-points.csv --unit ft --to ground")
def ground(
    files: Annotated[
        list[Path], typer.Argument(help="points (CSV), GeoJSON, GeoTIFF or ASCII grid, LAS or LAZ", show_default=False)
    ],
    unit: Annotated[str | None, typer.Option(help="ft, m or us-survey-ft, where the file does not say it")] = None,
    level_unit: Annotated[str | None, typer.Option(help="of the levels, where it is another")] = None,
    columns: Annotated[str | None, typer.Option(help="of points without headings; default: P,N,E,Z,D")] = None,
    codes: Annotated[str | None, typer.Option(help="codes that are ground, with commas; default: all")] = None,
    spacing: Annotated[str | None, typer.Option(help="one shot in each square of this side, like '3 ft'")] = None,
    interval: Annotated[str | None, typer.Option(help="between contours, like '0.5 ft'")] = None,
    least: Annotated[str | None, typer.Option(help="low spots less deep are left out, like '1 in'")] = None,
    to: Annotated[Path | None, typer.Option(help="folder to write; default: <file>-ground beside the first")] = None,
    units: Annotated[str, typer.Option(help="US or SI, of what is printed and drawn")] = "US",
    as_json: AsJson = False,
) -> None:
    """Read ground that others measured: its surface, contours and low spots, printed, drawn and handed on."""
    from drainwright.errors import InputError
    from drainwright.exchange.files import read_shots
    from drainwright.exchange.shots import FileError, coded, said_unit
    from drainwright.field.ground_study import merged, study_ground
    from drainwright.paper.site_files import ground_files

    for name, value in (("--unit", unit), ("--level-unit", level_unit)):
        if value is not None and said_unit(value) is None:
            typer.echo(f"{name}: found {value!r}; expected ft, m or us-survey-ft", err=True)
            raise typer.Exit(Exit.WRONG_INPUT)
    if units not in ("US", "SI"):
        typer.echo(f"--units: found {units!r}; expected US or SI", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    wide, step, deep = (
        _spoken(*item) for item in (("--spacing", spacing), ("--interval", interval), ("--least", least))
    )
    letters = tuple(part.strip().upper() for part in columns.split(",")) if columns else ()
    wanted = tuple(codes.split(",")) if codes else ()
    try:
        read = [read_shots(path, said_unit(unit or ""), said_unit(level_unit or ""), letters) for path in files]
        shots = merged([coded(one, wanted) for one in read])
        study = study_ground(shots, units, wide, step, deep)  # type: ignore[arg-type]  # checked above
    except FileError as error:
        _refuse((error.problem,), as_json)
    except InputError as error:
        typer.echo(f"{error}. Nothing was computed.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    folder = to or files[0].with_name(f"{files[0].stem}-ground")
    written = _written(folder, ground_files(study, units))  # type: ignore[arg-type]
    if as_json:
        from drainwright.results import plain

        _emit({"shots": len(study.shots), "read": study.read, "spacing": study.spacing, "origin": plain(study.origin),
               "area": study.area, "lowest": study.lowest, "highest": study.highest, "interval": study.interval,
               "low_spots": plain(study.low_spots), "notes": plain(study.notes), "dropped": plain(study.shots.dropped),
               "folder": str(folder), "files": [path.name for path in written]})  # fmt: skip
        return
    from drainwright.terminal import show_ground

    show_ground(study, units, written)  # type: ignore[arg-type]


@app.command(epilog="Example: drainwright export examples/block-wall-house/job.yaml --to out/exchange")
def export(
    job: JobFile,
    to: Annotated[Path | None, typer.Option(help="folder to write; default: <job>-export beside the job")] = None,
    site_only: Annotated[bool, typer.Option("--site-only", help="the survey alone: design nothing")] = False,
    as_json: AsJson = False,
) -> None:
    """Write the site and the works for other programs: points (CSV), features (GeoJSON), a drawing (DXF)."""
    from drainwright.errors import stage
    from drainwright.field import survey
    from drainwright.paper.site_files import export_files

    document = _read(job, as_json)
    result = None if site_only else _design(document, as_json)
    with _stages(document, as_json), stage("export"):
        site = survey(document.job) if result is None else result.site
        contents = export_files(site, result)
    folder = to or job.with_name(f"{job.stem}-export")
    written = _written(folder, contents)
    if as_json:
        _emit({"ok": True, "folder": str(folder), "files": [path.name for path in written]})
        return
    from drainwright.terminal import show_files

    show_files(written)


@app.command(epilog="Example: drainwright schema > job.schema.json")
def schema() -> None:
    """Print the JSON Schema of the job document."""
    from drainwright.job.schema import job_schema

    _emit(job_schema())


@app.callback(invoke_without_command=True)
def _version(
    version: Annotated[bool, typer.Option("--version", help="print the version and stop")] = False,
) -> None:
    if version:
        from drainwright import __version__

        typer.echo(__version__)
        raise typer.Exit


def main() -> None:
    """Run the command line.

    The linear algebra under numpy gets one thread: a job's matrices are small, and on a busy machine its threads wait
    for each other far longer than they work. ``OPENBLAS_NUM_THREADS`` in the environment outranks that.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    app()


if __name__ == "__main__":
    main()
