"""What the views share: checks of one matter, blocks fit for a page, places on the worksheet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.findings.remedy_words import PROOF
from drainwright.office.views.model import Check, Drawing, Figure, Shown
from drainwright.paper.documents.blocks import (
    Abreast,
    Block,
    Code,
    Contents,
    Heading,
    Keep,
    Log,
    NewPage,
    Notice,
    PhotoBoxes,
    Plate,
    Signatures,
    Slots,
)  # fmt: skip
from drainwright.paper.documents.say import Say
from drainwright.worksheet import step_number

FOLDED = 3  # heads within a section from which each has its own fold
ON_THE_PAGE = "The page of the storm tells which remedy works alone"
_PAPER_ONLY = (Abreast, Code, Contents, Log, NewPage, PhotoBoxes, Plate, Signatures, Slots)
_NUMBERED = re.compile(r"^\d+\. ")
_SIGNS = re.compile(r"[^a-z0-9]+")
_WORST = (Severity.FAILS, Severity.CAUTION, Severity.OK)


def part(heading: str) -> str:
    """The anchor of a part of the worksheet."""
    return f"part-{_SIGNS.sub('-', heading.lower()).strip('-')}"


def step_at(design: Design, formula: str, value: float, where: str = "", otherwise: str = "Results") -> str:
    """The anchor of the step that gave a value; where none did, of the part of the worksheet that tells it."""
    number = step_number(design.steps, formula, value, where)
    return part(otherwise) if number is None else f"step-{number}"


def check_of(finding: Finding, say: Say) -> Check:
    """A finding as a page shows it."""
    held = f"{finding.figure}; limit {finding.limit}" if finding.limit else finding.figure
    return Check(
        id=finding.id, kind=finding.severity.value, title=finding.title, where=say.place(finding.where),
        message=finding.message, held=held, do=finding.advice.replace(PROOF, ON_THE_PAGE),
    )  # fmt: skip


def checks_of(design: Design, wings: Iterable[str]) -> tuple[tuple[Check, ...], int]:
    """Checks of some wings that fail or warn, the worst first, and how many came out well."""
    say, wanted = Say(design.job.units), frozenset(wings)
    found = [finding for finding in design.findings if finding.id.split("-")[0] in wanted]
    bad = sorted(
        (finding for finding in found if finding.severity is not Severity.OK),
        key=lambda finding: _WORST.index(finding.severity),
    )
    return tuple(check_of(finding, say) for finding in bad), len(found) - len(bad)


def for_a_page(blocks: Iterable[Block]) -> tuple[Block, ...]:
    """Blocks of the papers without what only paper needs; the page itself tells what fails and what is invented."""
    kept: list[Block] = []
    for block in blocks:
        if isinstance(block, Keep):
            kept += for_a_page(block.blocks)
        elif isinstance(block, Heading):
            kept.append(replace(block, text=_NUMBERED.sub("", block.text)))
        elif isinstance(block, Notice) and block.tone in ("invented", "fails"):
            continue
        elif not isinstance(block, _PAPER_ONLY):
            kept.append(block)
    return tuple(kept)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A head with what stands under it, to be opened."""

    head: str
    anchor: str
    lead: tuple[Block, ...]  # before the first section within it
    sections: tuple[Section, ...] = ()


def sections(
    blocks: Sequence[Block], level: int = 1, within: str = ""
) -> tuple[tuple[Block, ...], tuple[Section, ...]]:
    """Blocks by their heads of a level: what stands before the first, then a section each, which may hold sections."""
    starts = [number for number, block in enumerate(blocks) if isinstance(block, Heading) and block.level == level]
    found: list[Section] = []
    for start, end in pairwise([*starts, len(blocks)]):
        head, inside = blocks[start], tuple(blocks[start + 1 : end])
        assert isinstance(head, Heading)
        anchor = f"{within}.{part(head.text).removeprefix('part-')}" if within else part(head.text)
        anchor += f".{start}" if any(one.anchor == anchor for one in found) else ""
        lead, inner = sections(inside, level + 1, anchor) if level == 1 else (inside, ())
        if len(inner) < FOLDED:
            lead, inner = inside, ()
        found.append(Section(head=head.text, anchor=anchor, lead=lead, sections=inner))
    return tuple(blocks[: starts[0]]) if starts else tuple(blocks), tuple(found)


def shown(
    design: Design, *, says: Sequence[str], figures: Sequence[Figure], wings: Iterable[str],
    drawings: Sequence[Drawing] = (), blocks: Iterable[Block] = (),
) -> Shown:  # fmt: skip
    """A page of the answer."""
    checks, fine = checks_of(design, wings)
    return Shown(
        job=design.job.title, says=tuple(text for text in says if text), figures=tuple(figures), checks=checks,
        fine=fine, drawings=tuple(drawings), blocks=for_a_page(blocks), sound=design.sound,
        invented=design.job.demonstration,
    )  # fmt: skip


__all__ = ["Section", "check_of", "checks_of", "for_a_page", "part", "sections", "shown", "step_at"]
