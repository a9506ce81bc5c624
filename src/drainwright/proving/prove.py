"""A finished job held against its design: ``prove(design, record)``."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence

from drainwright.design import Design
from drainwright.errors import Problem
from drainwright.job.firm_book import unknown_key
from drainwright.job.proof import ProofDocument
from drainwright.proving.basins import basin_rows, built_basin, float_rows, proof_of
from drainwright.proving.duty import on_main
from drainwright.proving.lines import grade_rows, ground_rows, hose_rows, inlets_to_test
from drainwright.proving.model import BasinProof, Proven, Row
from drainwright.proving.words import Words

OWN_AREA = "The basin is taken as round and of one width, less its riser; floats and pump in it are left out."


def prove(
    design: Design, document: ProofDocument, checkpoints: Sequence[str] = (), there: Container[str] | None = None
) -> Proven:
    """Hold what was measured of a finished job against its design.

    Parameters
    ----------
    design : Design
        As designed; the readings are judged by its figures.
    document : ProofDocument
        What was measured.
    checkpoints : sequence of str
        What was to be photographed before it was covered, in the order of the crew's packet: a row for each.
    there : container of str, optional
        Names of the photographs that are there; one that is not proves nothing. Left out: all that the record names.

    Returns
    -------
    Proven
        A row for everything that was to be proven, also for what was not done.

    Raises
    ------
    JobError
        If the record is another job's, lies before its visit, names what the job does not have, or holds readings
        that cannot be: all at once, with their lines.
    """
    problems = tuple(_problems(design, document, len(checkpoints)))
    if problems:
        raise document.refused(problems)
    words = Words(design.job.units)
    tests = {test.basin: number for number, test in enumerate(document.proof.basins)}
    rows: list[Row] = []
    proofs: list[BasinProof] = []
    notes: list[str] = [OWN_AREA] if tests else []
    for station in design.system.by_house:
        if station.name in tests:
            test = document.proof.basins[tests[station.name]]
            proof = proof_of(design, station, document, tests[station.name], words)
            proofs.append(proof)
            rows += basin_rows(design, station, test, proof, words)
            if on_main(design.system, station):
                notes.append(
                    f"{station.name}: other basins pump into its line. They must rest during the test; reasons of a "
                    "wrong flow are not worked out, and the relief hole is left out of the expected flow."
                )
        else:
            rows.append(
                Row(where=station.name, what="Pump's flow by drawdown", found="no test", wanted="as designed",
                    verdict="not done")
            )  # fmt: skip
        built = built_basin(document, station.name)
        if built is not None:
            rows += float_rows(station, built, words)
        else:
            rows.append(
                Row(where=station.name, what="Heights of the floats", found="not measured", wanted="as designed",
                    verdict="not done")
            )  # fmt: skip
    rows += hose_rows(design, document, words)
    rows += grade_rows(design, document)
    rows += ground_rows(design, document)
    taken = {photo.checkpoint: photo.file for photo in document.proof.photos if there is None or photo.file in there}
    rows += [
        Row(
            where=f"Photo {number}", what=what, found=taken.get(number, "none"), wanted="a photograph",
            verdict="pass" if number in taken else "not done",
        )
        for number, what in enumerate(checkpoints, start=1)
    ]  # fmt: skip
    signed = "; ".join(f"{one.name}{f', {one.role}' if one.role else ''}, {one.on}" for one in document.proof.signed)
    rows.append(
        Row(where="Record", what="Signed", found=signed or "by nobody", wanted="by who did it",
            verdict="pass" if signed else "not done")
    )  # fmt: skip
    return Proven(rows=tuple(rows), basins=tuple(proofs), notes=tuple(notes))


def _problems(design: Design, document: ProofDocument, checkpoints: int) -> Iterator[Problem]:
    proof, job = document.proof, design.job
    if job.number and proof.job != job.number:
        yield Problem(
            where="job", found=repr(proof.job), expected=repr(job.number), hint="this is another job's record"
        )
    if job.date is not None and proof.on < job.date:
        visit = job.date.isoformat()
        yield Problem(where="on", found=proof.on.isoformat(), expected=f"a day from {visit}, that of the visit, on")
    stations = [station.name for station in design.system.stations]
    gravity = [run.name for run in design.system.runs if not run.pressure]
    places = list(design.system.nodes)
    walls = [wall.name for wall in design.site.walls]
    built = proof.as_built
    yield from _named("basins", "basin", (one.basin for one in proof.basins), stations)
    yield from _named("hoses", "inlet", (one.inlet for one in proof.hoses), inlets_to_test(design))
    yield from _named("as_built.runs", "run", (one.run for one in built.runs), gravity)
    yield from _named("as_built.basins", "basin", (one.basin for one in built.basins), stations)
    yield from _named("as_built.places", "name", (one.name for one in built.places), places)
    yield from _named("as_built.ground", "wall", (one.wall for one in built.ground), walls)
    for number, photo in enumerate(proof.photos):
        if checkpoints and photo.checkpoint > checkpoints:
            yield Problem(
                where=f"photos[{number}].checkpoint", found=str(photo.checkpoint),
                expected=f"a number up to {checkpoints}, as in the crew's packet",
            )  # fmt: skip


def _named(where: str, key: str, names: Iterable[str], known: Sequence[str]) -> Iterator[Problem]:
    for number, name in enumerate(names):
        if name not in known:
            listed = ", ".join(known) or "none"
            yield unknown_key(f"{where}[{number}].{key}", name, known, f"one of the job's ({listed})")


__all__ = ["prove"]
