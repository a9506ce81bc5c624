"""The drawing set: every sheet on a page of its own true size; and the crew's part of it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from drainwright.design import Design
from drainwright.paper.documents.blocks import Document
from drainwright.paper.documents.shell import Sheets, drawn, plate

BUILT_FROM = re.compile(r"(?:plan|ground|profiles|trench|basin|holes|assembly|outlet|soakaway|wall)(?:-.*)?")
# the sheets that a crew builds from; the others tell storms, pumps' curves and what a remedy costs


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
    return _set(design, sheets, "drawings", "Drawings", sheets)


def crew_drawing_set(design: Design, sheets: Sheets) -> Document:
    """The sheets that the crew builds from: none of them tells an amount of money.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name.

    Returns
    -------
    Document
        As ``drawing_set``; each sheet keeps its number of the whole set.
    """
    built = [name for name in sheets if BUILT_FROM.fullmatch(name)]
    return _set(design, sheets, "drawings-crew", "Drawings for the crew", built)


def _set(design: Design, sheets: Sheets, name: str, kind: str, shown: Iterable[str]) -> Document:
    job = design.job
    names = tuple(shown)
    return Document(
        name=name, title=f"{kind}: {job.title}", kind=kind, job=job.number, author=job.firm.name,
        masthead=(), subject=(), paper="us-letter" if job.units == "US" else "a4", size=10, invented=job.demonstration,
        blocks=tuple(page for one in names for page in plate(one, sheets, whole=True)),
        drawings=drawn(sheets, *names),
    )  # fmt: skip


__all__ = ["crew_drawing_set", "drawing_set"]
