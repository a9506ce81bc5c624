"""Commands after the job: what was built and measured, held against the design."""

from __future__ import annotations

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
    hushed,
    read,
    refuse,
    stages,
    written_files,
    wrong,
)

if TYPE_CHECKING:
    from drainwright.job.proof import ProofDocument
    from drainwright.proving.soil_learnt import SoilLearnt

RecordFile = Annotated[Path | None, typer.Argument(help="what was measured (YAML); left out: the blank forms")]


def _read_proof(path: Path, as_json: bool) -> ProofDocument:
    from drainwright.errors import JobError
    from drainwright.job.proof import read_proof

    try:
        return read_proof(path)
    except JobError as error:
        refuse(error.problems, as_json)


def _photos(folder: Path, names: list[str]) -> tuple[dict[str, bytes], list[str]]:
    """The photographs that a paper can show, and what is said of the others."""
    from drainwright.exchange.photos import small_photo
    from drainwright.exchange.shots import FileError

    shown: dict[str, bytes] = {}
    unseen = []
    for name in names:
        try:
            shown[name] = small_photo(folder / name)
        except FileError as error:
            unseen.append(str(error))
    return shown, unseen


@app.command(epilog="Example: drainwright prove job.yaml proof.yaml --to proven")
def prove(
    job: JobFile,
    record: RecordFile = None,
    to: Annotated[Path | None, typer.Option(help="folder to write the papers into; of forms: beside the job")] = None,
    as_json: AsJson = False,
) -> None:
    """Hold a finished job's measurements against its design; without them, write the forms to fill in at the site."""
    from drainwright.errors import JobError
    from drainwright.paper.documents.crew_checks import to_photograph
    from drainwright.paper.documents.proof_form import proof_form, proof_form_spanish
    from drainwright.paper.documents.proof_paper import proof_paper
    from drainwright.paper.documents.typeset import to_pdf
    from drainwright.proving.as_built import as_built, with_built
    from drainwright.proving.prove import prove as proven
    from drainwright.proving.starter import starter_text
    from drainwright.results import indented, plain, proven_to_plain

    free_folder(to)
    noted = None if record is None else _read_proof(record, as_json)
    document = read(job, as_json)
    base = designed(document, as_json)
    if noted is None:
        if as_json:
            wrong("RECORD: found none; expected a record of what was measured, for --json")
        folder = to or job.parent
        files = {
            "proof-form.pdf": to_pdf(proof_form(base), base.job.date),
            "proof-form-es.pdf": to_pdf(proof_form_spanish(base), base.job.date),
        }
        if not (folder / "proof.yaml").exists():
            files["proof.yaml"] = starter_text(base).encode()
        for path in written_files(folder, files):
            typer.echo(f"Wrote {path}")
        return
    try:
        found = proven(base, noted, to_photograph(base))
        with stages(document, as_json), hushed():
            built = as_built(base, noted)
        found = with_built(found, built)
    except JobError as error:
        refuse(error.problems, as_json)
    folder = Path() if record is None else record.parent
    photos, unseen = _photos(folder, [photo.file for photo in noted.proof.photos])
    files = {"proof.pdf": to_pdf(proof_paper(base, noted.proof, found, built, photos), noted.proof.on)}
    if built is not None:
        files["as-built.json"] = (indented(plain(built.design.job)) + "\n").encode()
    written = [] if to is None else written_files(to, files)
    if as_json:
        files_told = [str(path) for path in written]
        emit({"ok": True, **proven_to_plain(found, built), "files": files_told, "photos_not_shown": unseen})
    else:
        from drainwright.terminal_proof import show_proof

        show_proof(found, base.job.number, noted.proof, built, written)
        for fault in unseen:
            typer.echo(f"Not shown in the paper: {fault}")
    raise typer.Exit(Exit.FAILS if found.count("not") else Exit.SOUND)


@app.command(epilog="Example: drainwright service job.yaml service.yaml --to visit")
def service(
    job: JobFile,
    visits: Annotated[Path, typer.Argument(help="what was found at the visits (YAML)", show_default=False)],
    to: Annotated[
        Path | None, typer.Option(help="folder for the customer's page on the last visit and the next one's checklist")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Tell from the visits when the next one is due, how the pumps drift, and when each should be replaced."""
    from drainwright.errors import JobError
    from drainwright.job.service import read_service
    from drainwright.paper.documents.service_checklist import service_checklist, service_checklist_spanish
    from drainwright.paper.documents.service_paper import service_paper
    from drainwright.paper.documents.typeset import to_pdf
    from drainwright.paper.documents.upkeep import upkeep
    from drainwright.proving.service import serviced
    from drainwright.results import plain

    free_folder(to)
    try:
        noted = read_service(visits)
    except JobError as error:
        refuse(error.problems, as_json)
    base = designed(read(job, as_json), as_json)
    try:
        found = serviced(base, noted)
    except JobError as error:
        refuse(error.problems, as_json)
    cares = upkeep(base)
    written = []
    if to is not None:
        on = noted.service.visits[-1].on
        papers = {
            "service.pdf": service_paper(base, noted.service, found),
            "service-checklist.pdf": service_checklist(base),
            "service-checklist-es.pdf": service_checklist_spanish(base),
        }
        written = written_files(to, {name: to_pdf(paper, on) for name, paper in papers.items()})
    if as_json:
        emit({"ok": True, **plain(found), "checklist": plain(cares), "files": [str(path) for path in written]})
        return
    from drainwright.terminal_proof import show_service

    show_service(found, noted.service, base.job.units, [(care.when, care.what) for care in cares])
    for path in written:
        typer.echo(f"Wrote {path}")


@app.command(epilog="Example: drainwright season job.yaml season.yaml --into next-job.yaml")
def season(
    job: JobFile,
    counts: Annotated[Path, typer.Argument(help="rain and the pump's starts by day (YAML)", show_default=False)],
    into: Annotated[Path | None, typer.Option(help="the next job on that street: its ground begins with it")] = None,
    as_json: AsJson = False,
) -> None:
    """Learn the soil's conductivity from a season's pump counts and rain, with its band, for the next quote nearby."""
    from drainwright.errors import JobError
    from drainwright.job.season import read_season
    from drainwright.proving.soil_learnt import soil_learnt
    from drainwright.results import plain

    try:
        noted = read_season(counts)
    except JobError as error:
        refuse(error.problems, as_json)
    base = designed(read(job, as_json), as_json)
    try:
        found = soil_learnt(base, noted)
        if into is not None:
            _put_into(into, found, as_json)
    except JobError as error:
        refuse(error.problems, as_json)
    if as_json:
        emit({"ok": True, "told": found.learnt.told, **plain(found), "into": None if into is None else str(into)})
        return
    from drainwright.terminal_proof import show_season

    show_season(found, noted.season, base.job.units, into)


def _put_into(path: Path, found: SoilLearnt, as_json: bool) -> None:
    """Let the next job's ground begin with what was learnt."""
    from drainwright.job.writing import write_text
    from drainwright.proving.street import taken_into

    if not found.learnt.told:
        wrong("--into: found a season that teaches nothing; expected one that does. Nothing was written.")
    made = taken_into(read(path, as_json), found.entry)
    try:
        write_text(path, made.text)
    except OSError as error:
        wrong(f"{path}: {error.strerror}. Nothing was written.")
