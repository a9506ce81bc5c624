"""The command that sets schemes side by side, and takes one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from drainwright.commands.shared import AsJson, JobFile, app, emit, hushed, read, stages, written_files, wrong

if TYPE_CHECKING:
    from drainwright.job.reading import Document
    from drainwright.schemes import Scheme, SchemeSet


@app.command(epilog="Example: drainwright schemes examples/block-wall-house/job.yaml --redraw --to out/schemes")
def schemes(
    job: JobFile,
    redraw: Annotated[
        bool,
        typer.Option("--redraw", help="lay out anew all but discharge points, inlets and walls, though runs are drawn"),
    ] = False,
    out: Annotated[Path | None, typer.Option("--to", help="folder for schemes.pdf and schemes.svg")] = None,
    take: Annotated[str | None, typer.Option(help="a scheme's key, to write as a job of its own")] = None,
    to: Annotated[Path | None, typer.Option("--save", help="file for the scheme that is taken")] = None,
    force: Annotated[bool, typer.Option("--force", help="let --save replace a file")] = False,
    as_json: AsJson = False,
) -> None:
    """Set really different ways to drain the lot side by side; take one as a job to go on with."""
    if (take is None) != (to is None):
        _wrong("--take and --save: found one without the other; expected both, or none")
    document = read(job, as_json)
    if to is not None:
        _free(to, document, force)
    from drainwright.schemes import schemes as compare

    with stages(document, as_json), hushed():
        found = compare(document.job, redraw=redraw)
    chosen = None if take is None else found.laid_out(take)
    if take is not None and chosen is None:
        known = ", ".join(scheme.key for scheme in (*found.schemes, *found.refused)) or "no scheme is offered"
        why = next((f" {item.title}: {item.why}." for item in found.missing if item.key == take), "")
        _wrong(f"--take: found {take!r}; expected {known}.{why}")
    written = _papers(found, document, out, as_json)
    if chosen is not None and to is not None:
        _write(chosen, document, to)
    if as_json:
        from drainwright.results import plain

        emit(
            {
                "schemes": [
                    {
                        "key": scheme.key, "title": scheme.title, "summary": scheme.summary, "pros": scheme.pros,
                        "cons": scheme.cons, "asks": scheme.asks, "comparison": plain(scheme.comparison),
                        "sound": scheme.design.sound, "works": scheme.works, "fault": scheme.fault,
                        "helps": scheme.helps,
                    }
                    for scheme in found.schemes
                ],
                "how": found.how, "common": plain(found.common),
                "missing": plain(found.missing), "rankings": plain(found.rankings), "verdict": found.verdict,
                "notes": plain(found.notes), "files": [path.name for path in written],
                "taken": None if to is None else str(to),
                "taken_works": None if chosen is None else chosen.works,
            }
        )  # fmt: skip
        return
    from drainwright.terminal_schemes import show_schemes

    show_schemes(found, written, None if chosen is None else (chosen.key, to))


def _wrong(text: str) -> NoReturn:
    wrong(f"{text.rstrip(chr(46))}. Nothing was written.")


def _free(to: Path, document: Document, force: bool) -> None:
    """Refuse a file that must not be written."""
    if (to.suffix.lower() == ".json") != document.is_json:
        _wrong(f"--save: found the ending {to.suffix!r}; expected {'.json' if document.is_json else '.yaml'}")
    if document.path is not None and to.exists() and to.samefile(document.path):
        _wrong("--save: found the job itself; expected another file: the job as measured stays")
    if to.exists() and not force:
        _wrong(f"{to} exists already; choose another name, or give --force")


def _papers(found: SchemeSet, document: Document, out: Path | None, as_json: bool) -> list[Path]:
    if out is None:
        return []
    from drainwright.errors import stage
    from drainwright.paper.documents.schemes_paper import schemes_files

    with stages(document, as_json), stage("papers"):
        contents = schemes_files(found)
    return written_files(out, contents)


def _write(scheme: Scheme, document: Document, to: Path) -> None:
    """Write a scheme as a job document: the job's own text with its works filled in."""
    from drainwright.job.writing import changed, write_text

    text = changed(document, scheme.draft.write_into).text
    try:
        write_text(to, text)
    except OSError as error:
        _wrong(f"{to}: {error.strerror or error}")
