"""The comparison of schemes as a document, and its picture."""

from __future__ import annotations

from drainwright.paper.documents.blocks import Document
from drainwright.paper.documents.shell import drawn, plate
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.frame import finish
from drainwright.paper.schemes_sheet import schemes_drafts
from drainwright.paper.svg import to_svg
from drainwright.schemes import SchemeSet


def schemes_files(found: SchemeSet) -> dict[str, bytes]:
    """The comparison as ``schemes.pdf`` and ``schemes.svg``.

    Parameters
    ----------
    found : SchemeSet
        The schemes of a job.

    Returns
    -------
    dict
        File contents by name; equal sets give equal bytes.
    """
    job = found.job
    drafts = schemes_drafts(found)
    sheets = {}
    for number, draft in enumerate(drafts, start=1):
        sheet = finish(draft, job, number, len(drafts))
        sheets[draft.name] = (sheet, to_svg(sheet))
    document = Document(
        name="schemes", title=f"Schemes compared: {job.title}", kind="Drawings", job=job.number, author=job.firm.name,
        masthead=(), subject=(), paper="us-letter" if job.units == "US" else "a4", size=10, invented=job.demonstration,
        blocks=tuple(page for name in sheets for page in plate(name, sheets, whole=True)),
        drawings=drawn(sheets, *sheets),
    )  # fmt: skip
    return {
        "schemes.pdf": to_pdf(document, job.date),
        **{f"{name}.svg": svg.encode("utf-8", "replace") for name, (_, svg) in sheets.items()},
    }


__all__ = ["schemes_files"]
