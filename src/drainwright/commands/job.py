"""Commands on a job: new, check, design, answers, papers, export, schema."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from drainwright.commands.shared import (
    AsJson,
    Exit,
    JobFile,
    app,
    designed,
    done,
    emit,
    options_sound,
    read,
    stages,
    written_files,
    wrong,
)

Told = TypeVar("Told")


class Reader(StrEnum):
    """Who is told the answers."""

    OFFICE = "office"
    CUSTOMER = "customer"
    CREW = "crew"


class Documents(StrEnum):
    """Documents that have a JSON Schema."""

    JOB = "job"
    BOOK = "book"
    FIRM = "firm"
    ACTUALS = "actuals"
    PROOF = "proof"
    SERVICE = "service"
    SEASON = "season"
    STUDY = "study"


@app.command(epilog="Example: drainwright new my-job.yaml --units US")
def new(
    path: Annotated[Path, typer.Argument(help="where to write the starter job", show_default=False)],
    units: Annotated[str, typer.Option(help="US or SI")] = "US",
) -> None:
    """Write a commented starter job to fill in. Never overwrites a file."""
    from drainwright.job.starter import new_job_text

    if units not in ("US", "SI"):
        wrong(f"--units: found {units!r}; expected US or SI")
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(new_job_text(units))
    except FileExistsError:
        wrong(f"{path} exists already; choose another name. Nothing was written.")
    except OSError as error:
        wrong(f"{path}: {error.strerror}. Nothing was written.")
    typer.echo(f"Wrote {path}. Fill it in, then: drainwright check {path}")


@app.command(epilog="Example: drainwright check examples/block-wall-house/job.yaml")
def check(job: JobFile, as_json: AsJson = False) -> None:
    """Read a job document and report everything that is wrong with it, with line numbers."""
    from drainwright.build.book import book_for
    from drainwright.build.sizes import odd_sizes
    from drainwright.errors import stage
    from drainwright.field import survey
    from drainwright.field.usual import unusual

    document = read(job, as_json)
    options_sound(document, as_json)
    with stages(document, as_json), stage("survey"):
        site = survey(document.job)
    book = book_for(document.job.price_book)
    far = odd_sizes(book, (key for key, item in book.items.items() if not item.invented))
    if as_json:
        from drainwright.results import plain

        odd = {"figures": plain(unusual(site)), "prices": plain(far)}
        closes = {
            "level_book": None if site.level_book is None else site.level_book.closes,
            "perimeter": None if site.traverse is None else site.traverse.closes,
        }
        emit({"ok": True, "errors": [], "slips": plain(site.slips), "closes": closes, "unusual": odd,
              "notes": list(site.notes)})  # fmt: skip
        return
    from drainwright.terminal_check import show_check

    show_check(document.job, site, far)


@app.command(epilog="Example: drainwright design examples/block-wall-house/job.yaml")
def design(
    job: JobFile,
    as_json: AsJson = False,
    every: Annotated[bool, typer.Option("--all", help="list the checks that came out well, too")] = False,
) -> None:
    """Design the job and print it: water, system, storm test, dig, price and findings."""
    result = designed(read(job, as_json), as_json)
    if as_json:
        from drainwright.results import design_to_plain

        emit(design_to_plain(result))
    else:
        from drainwright.terminal import show_design

        show_design(result, every=every)
    done(result)


@app.command(epilog="Example: drainwright answers examples/block-wall-house/job.yaml --number 1 --for customer")
def answers(
    job: JobFile,
    as_json: AsJson = False,
    number: Annotated[int | None, typer.Option(min=1, max=25, help="one question only")] = None,
    reader: Annotated[Reader, typer.Option("--for", help="all of it, or as the papers tell it")] = Reader.OFFICE,
) -> None:
    """Answer the 25 questions that owners and inspectors ask, for this job."""
    result = designed(read(job, as_json), as_json)
    if reader is Reader.OFFICE:
        from drainwright.terminal_answers import show_answers

        _tell([answer for answer in result.answers if number in (None, answer.number)], show_answers, as_json)
    elif reader is Reader.CUSTOMER:
        from drainwright.paper.documents.told import customer_answers
        from drainwright.terminal_answers import show_customer

        told = customer_answers(result)
        _tell([answer for answer in told if number in (None, answer.number)], show_customer, as_json)
    else:
        from drainwright.paper.documents.told import crew_answers
        from drainwright.terminal_answers import show_crew

        asked = crew_answers(result)
        _tell([answer for answer in asked if number in (None, answer.number)], show_crew, as_json)


def _tell(answers: list[Told], show: Callable[[list[Told]], None], as_json: bool) -> None:
    """Print answers, as JSON or for a person."""
    if as_json:
        from drainwright.results import plain

        emit(plain(answers))
    else:
        show(answers)


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

    document = read(job, as_json)
    options_sound(document, as_json)
    result = designed(document, as_json)
    folder = to or job.with_name(f"{job.stem}-papers")
    try:
        with stages(document, as_json), progress("Writing the papers", quiet=as_json) as step, stage("papers"):
            written = write_papers(result, folder, step)
    except OSError as error:
        wrong(f"{folder}: {error.strerror or error}. The papers were not all written.")
    except KeyboardInterrupt:
        typer.echo(f"Stopped; nothing in {folder} was changed.", err=True)
        raise typer.Exit(Exit.STOPPED) from None
    if as_json:
        emit({"ok": True, "sound": result.sound, "folder": str(folder), "files": [path.name for path in written]})
    else:
        from drainwright.terminal import show_papers

        show_papers(result, folder, written)
    done(result)


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

    document = read(job, as_json)
    result = None if site_only else designed(document, as_json)
    with stages(document, as_json), stage("export"):
        site = survey(document.job) if result is None else result.site
        contents = export_files(site, result)
    folder = to or job.with_name(f"{job.stem}-export")
    written = written_files(folder, contents)
    if as_json:
        emit({"ok": True, "folder": str(folder), "files": [path.name for path in written]})
        return
    from drainwright.terminal_files import show_files

    show_files(written)


@app.command(epilog="Example: drainwright schema --keys works.runs")
def schema(
    of: Annotated[Documents, typer.Argument(help="the document that it describes")] = Documents.JOB,
    keys: Annotated[
        str,
        typer.Option(help="print in words what may stand under this key, like works.runs; . for the whole document"),
    ] = "",
) -> None:
    """Print the JSON Schema of the job document, or of one that stands beside it; or its keys in words."""
    from drainwright.errors import InputError
    from drainwright.job.schema import book_schema, job_schema, record_schema
    from drainwright.job.schema_words import keys_in_words

    if of is Documents.STUDY:
        from drainwright.studies.reading import study_schema

        told = study_schema()
    elif of is Documents.BOOK:
        told = book_schema()
    else:
        told = job_schema() if of is Documents.JOB else record_schema(of.value)
    if not keys:
        emit(told)
        return
    try:
        typer.echo(keys_in_words(told, keys))
    except InputError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
