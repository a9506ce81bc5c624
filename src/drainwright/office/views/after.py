"""A finished job held against its design: what its record of proof shows, and the papers of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from drainwright.design import Design
from drainwright.errors import JobError, Problem
from drainwright.job.proof import ProofDocument, read_proof_text
from drainwright.office.answers.asking import View
from drainwright.office.views.picking import for_a_page
from drainwright.paper.documents.blocks import Block, Heading, Notice
from drainwright.paper.documents.crew_checks import to_photograph
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.proof_paper import proof_paper
from drainwright.proving.as_built import AsBuilt, as_built, with_built
from drainwright.proving.lines import inlets_to_test
from drainwright.proving.model import BasinProof, Proven, Row, Verdict
from drainwright.proving.prove import prove
from drainwright.proving.starter import starter_text
from drainwright.results import indented, plain, proven_to_plain

Photos = tuple[str, ...]  # names that the record has for photographs that are there
BAD: tuple[Verdict, ...] = ("not", "cannot tell")
COUNTED: dict[Verdict, tuple[str, str]] = {  # of one, of several
    "not": ("does not pass", "do not pass"), "cannot tell": ("cannot be told", "cannot be told"),
    "not done": ("is not done", "are not done"), "pass": ("passes", "pass"),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ToProve:
    """What of a job is to be proven, by its own names."""

    basins: tuple[str, ...]
    inlets: tuple[str, ...]
    runs: tuple[str, ...]
    walls: tuple[str, ...]
    checkpoints: tuple[str, ...]
    starter: str  # a record to begin from
    units: str
    names: frozenset[str]  # of the job and its parts: the same in every language


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """What a basin's test came to."""

    basin: str
    rows: tuple[Row, ...]
    reasons: tuple[tuple[str, str], ...]  # how the readings stand to it, the reason


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofShown:
    """The page of a job's proof."""

    to_prove: ToProve
    problems: tuple[Problem, ...] = ()  # why it is not held against the design
    whole: bool = False
    counts: str = ""  # of the verdicts, in words
    bad: tuple[Row, ...] = ()  # what does not pass, then what cannot be told
    tested: tuple[Tested, ...] = ()
    blocks: tuple[Block, ...] = ()
    gone: tuple[str, ...] = ()  # photographs that are named and not there
    built: bool = False  # worked out anew as it was measured
    invented: bool = False


def proof_page(text: str, photos: Photos) -> View[ProofShown]:
    """The page of a job's proof; ``text``: the record, empty where none was saved."""
    return partial(_proof_page, text=text, photos=photos)


def proof_plain(text: str, photos: Photos) -> View[dict[str, Any]]:
    """What ``drainwright prove --json`` tells, or the problems of it."""
    return partial(_proof_plain, text=text, photos=photos)


def proof_paper_of(text: str, photos: tuple[tuple[str, bytes], ...]) -> View[bytes | tuple[Problem, ...]]:
    """The commissioning record as PDF, with its photographs as small JPEG pictures."""
    return partial(_proof_paper, text=text, photos=photos)


def built_of(text: str) -> View[bytes | tuple[Problem, ...] | None]:
    """The job document as built; None where nothing was measured anew."""
    return partial(_built, text=text)


def form(spanish: bool) -> View[bytes]:
    """The blank form for the last day, as PDF."""
    return partial(_form, spanish=spanish)


def checklist(spanish: bool) -> View[bytes]:
    """The blank checklist of a service visit, as PDF."""
    return partial(_checklist, spanish=spanish)


def starter(design: Design) -> bytes:
    """The record to begin from."""
    return starter_text(design).encode()


def to_prove(design: Design) -> ToProve:
    """What of a job is to be proven."""
    return ToProve(
        basins=tuple(station.name for station in design.system.by_house), inlets=tuple(inlets_to_test(design)),
        runs=tuple(run.name for run in design.system.runs if not run.pressure),
        walls=tuple(wall.name for wall in design.site.walls), checkpoints=to_photograph(design),
        starter=starter_text(design), units=design.job.units, names=translator_of(design).names,
    )  # fmt: skip


def _proof_page(design: Design, text: str, photos: Photos) -> ProofShown:
    shown = ProofShown(to_prove=to_prove(design))
    if not text:
        return shown
    try:
        document, found, built = _held(design, text, photos)
    except JobError as error:
        return replace(shown, problems=error.problems)
    proof = document.proof
    places = {row.where for row in found.rows}
    return replace(
        shown,
        to_prove=replace(shown.to_prove, names=shown.to_prove.names | places),
        whole=found.whole,
        counts=", ".join(
            f"{count} {one if count == 1 else more}"
            for verdict, (one, more) in COUNTED.items()
            if (count := found.count(verdict))
        ),
        bad=tuple(row for verdict in BAD for row in found.rows if row.verdict == verdict),
        tested=tuple(_tested(one, found) for one in found.basins),
        blocks=_blocks(proof_paper(design, proof, found, built).blocks),
        gone=tuple(one.file for one in proof.photos if one.file not in photos),
        built=built is not None,
        invented=proof.invented or design.job.demonstration,
    )


def _held(design: Design, text: str, photos: Photos) -> tuple[ProofDocument, Proven, AsBuilt | None]:
    document = read_proof_text(text)
    found, built = prove(design, document, to_photograph(design), photos), as_built(design, document)
    return document, with_built(found, built), built


def _tested(basin: BasinProof, found: Proven) -> Tested:
    return Tested(
        basin=basin.name, rows=tuple(row for row in found.rows if row.where == basin.name),
        reasons=tuple((one.reads, one.said) for one in basin.reasons),
    )  # fmt: skip


def _blocks(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    """What the paper tells, without the verdict and the reasons, which the page tells itself."""
    kept: list[Block] = []
    skipping = False
    for block in for_a_page(blocks):
        if isinstance(block, Heading):
            skipping = block.level == 2 and block.text.startswith(("What may stand behind", "Signed"))
        if not (skipping or isinstance(block, Notice)):
            kept.append(block)
    return tuple(kept)


def _proof_plain(design: Design, text: str, photos: Photos) -> dict[str, Any]:
    try:
        _, found, built = _held(design, text, photos)
    except JobError as error:
        return {"problems": plain(error.problems)}
    return proven_to_plain(found, built)


def _proof_paper(design: Design, text: str, photos: tuple[tuple[str, bytes], ...]) -> bytes | tuple[Problem, ...]:
    from drainwright.paper.documents.typeset import to_pdf

    try:
        document, found, built = _held(design, text, tuple(name for name, _ in photos))
    except JobError as error:
        return error.problems
    return to_pdf(proof_paper(design, document.proof, found, built, dict(photos)), document.proof.on)


def _built(design: Design, text: str) -> bytes | tuple[Problem, ...] | None:
    try:
        built = as_built(design, read_proof_text(text))
    except JobError as error:
        return error.problems
    return None if built is None else (indented(plain(built.design.job)) + "\n").encode()


def _form(design: Design, spanish: bool) -> bytes:
    from drainwright.paper.documents.proof_form import proof_form, proof_form_spanish
    from drainwright.paper.documents.typeset import to_pdf

    return to_pdf((proof_form_spanish if spanish else proof_form)(design), design.job.date)


def _checklist(design: Design, spanish: bool) -> bytes:
    from drainwright.paper.documents.service_checklist import service_checklist, service_checklist_spanish
    from drainwright.paper.documents.typeset import to_pdf

    return to_pdf((service_checklist_spanish if spanish else service_checklist)(design), design.job.date)


__all__ = [
    "ProofShown", "Tested", "ToProve", "built_of", "checklist", "form", "proof_page", "proof_paper_of", "proof_plain",
    "starter", "to_prove",
]  # fmt: skip
