"""Commands of the contract: what was accepted, and whether the job still is that."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from drainwright.commands.shared import AsJson, Exit, JobFile, app, designed, emit, hushed, options_sound, read, stages

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.job.reading import Document
    from drainwright.offer.model import OptionSet

Record = Annotated[Path, typer.Argument(help="the record of the acceptance (JSON)", show_default=False)]


@app.command(epilog="Example: drainwright accept job.yaml --by 'M. Tamarind' --options battery --on 2026-03-20")
def accept(
    job: JobFile,
    by: Annotated[str, typer.Option(help="who accepts, as signed")],
    on: Annotated[str, typer.Option(help="the day, like 2026-03-20")],
    options: Annotated[str, typer.Option(help="keys of the options that are accepted, with commas")] = "",
    proposal: Annotated[Path | None, typer.Option(help="the proposal's PDF that was signed")] = None,
    to: Annotated[Path | None, typer.Option(help="file to write; default: acceptance.json beside the job")] = None,
) -> None:
    """Write down that the offer is accepted: who, when, which options, and the mark of all that is offered."""
    from drainwright.offer.record import acceptance, write_acceptance

    try:
        day = datetime.date.fromisoformat(on)
    except ValueError:
        _refused(f"--on: found {on!r}; expected a date like 2026-03-20")
    if not by.strip():
        _refused("--by: found nothing; expected a name")
    document = read(job, False)
    base, found = _offered(document, as_json=False)
    if not base.sound:
        _refused(f"{job}: found checks that fail; expected a design that may be signed (see 'drainwright design')")
    chosen = tuple(key.strip() for key in options.split(",") if key.strip())
    signed = b""
    if proposal is not None:
        try:
            signed = proposal.read_bytes()
        except OSError as error:
            _refused(f"--proposal: found {proposal}: {error.strerror}; expected the PDF that was signed")
        if not signed.startswith(b"%PDF-"):
            _refused(f"--proposal: found {proposal}, which is no PDF; expected the PDF that was signed")
    path = to or job.parent / "acceptance.json"
    try:
        record = acceptance(base, found, by=by.strip(), on=day, chosen=chosen, signed=signed)
        write_acceptance(path, record)
    except ValueError as error:
        _refused(str(error))
    except FileExistsError:
        _refused(f"{path} exists already; an acceptance is never written over")
    except OSError as error:
        _refused(f"{path}: {error.strerror}")
    typer.echo(f"Wrote {path}. The offer's mark is {record['mark']}.")


@app.command(epilog="Example: drainwright accepted job.yaml acceptance.json")
def accepted(job: JobFile, record: Record, as_json: AsJson = False) -> None:
    """Say whether the job still is what was accepted, and if not, what changed."""
    from drainwright.offer.accepting import changes, mark_of, offered
    from drainwright.offer.record import read_acceptance

    try:
        signed = read_acceptance(record)
    except ValueError as error:
        _refused(str(error))
    document = read(job, as_json)
    base, found = _offered(document, as_json)
    now = offered(base, found)
    mark = mark_of(now)
    changed = changes(signed["offered"], now)
    if as_json:
        emit(
            {
                "same": mark == signed["mark"], "accepted": signed["mark"], "now": mark,
                "changes": [{"key": key, "accepted": old, "now": new} for key, old, new in changed],
            }
        )  # fmt: skip
    elif mark == signed["mark"]:
        typer.echo(f"The job is what {signed['by']} accepted on {signed['on']} (mark {mark}).")
    else:
        typer.echo(f"The job is no longer what {signed['by']} accepted on {signed['on']}:")
        for key, old, new in changed:
            typer.echo(f"  {key}: {old} -> {new}")
    raise typer.Exit(Exit.SOUND if mark == signed["mark"] else Exit.FAILS)


def _offered(document: Document, as_json: bool) -> tuple[Design, OptionSet | None]:
    from drainwright.offer import options as offer_options

    options_sound(document, as_json)
    base = designed(document, as_json)
    with stages(document, as_json), hushed():
        found: Any = offer_options(base) if document.job.offer.options else None
    return base, found


def _refused(text: str) -> NoReturn:
    typer.echo(f"{text}. Nothing was written.", err=True)
    raise typer.Exit(Exit.WRONG_INPUT)
