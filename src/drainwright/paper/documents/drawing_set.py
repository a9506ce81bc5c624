"""The drawing set: every sheet on a page of its own true size."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.documents.blocks import Document
from drainwright.paper.documents.shell import Sheets, drawn, plate


def drawing_set(design: Design, sheets: Sheets) -> Document:
    """All sheets at their scale.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name.

    Returns
    -------
    Document
        One page a sheet, nothing added: the sheets have their own title blocks.
    """
    job = design.job
    return Document(
        name="drawings", title=f"Drawings: {job.title}", kind="Drawings", job=job.number, author=job.firm.name,
        masthead=(), subject=(), paper="us-letter" if job.units == "US" else "a4", size=10, invented=job.demonstration,
        blocks=tuple(page for name in sheets for page in plate(name, sheets, whole=True)),
        drawings=drawn(sheets, *sheets),
    )  # fmt: skip


__all__ = ["drawing_set"]
