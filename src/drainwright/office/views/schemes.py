"""Other ways to drain the lot, side by side."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from drainwright.design import Design
from drainwright.schemes.draft import Draft


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One scheme."""

    key: str
    title: str
    summary: str
    works: bool
    fault: str
    helps: tuple[str, ...]
    pros: tuple[str, ...]
    cons: tuple[str, ...]
    asks: tuple[str, ...]
    drawn: bool  # it is the job as it stands


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One figure of all schemes."""

    name: str
    cells: tuple[str, ...]
    best: tuple[bool, ...]
    bad: tuple[bool, ...]
    differs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """All schemes of a job."""

    ways: tuple[Way, ...]
    rows: tuple[Row, ...]
    common: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]  # title, why it is not offered
    rankings: tuple[tuple[str, str], ...]  # criterion, the best first
    verdict: str
    how: str
    notes: tuple[str, ...]


def ways(design: Design) -> Ways:
    """Schemes of the job, designed and compared; takes several times as long as the design itself."""
    from drainwright.paper.schemes_rows import table_rows
    from drainwright.schemes import schemes

    found = schemes(design.job)
    titles = {scheme.key: scheme.title for scheme in found.schemes}
    return Ways(
        ways=tuple(
            Way(
                key=one.key, title=one.title, summary=one.summary, works=one.works, fault=one.fault, helps=one.helps,
                pros=one.pros, cons=one.cons, asks=one.asks, drawn=one.key == "as-drawn",
            )
            for one in found.schemes
        ),
        rows=tuple(
            Row(name=row.name, cells=row.cells, best=row.best, bad=row.bad, differs=len(set(row.cells)) > 1)
            for row in table_rows(found)
        ),
        common=found.common, missing=tuple((item.title, item.why) for item in found.missing),
        rankings=tuple(
            (one.criterion, "; ".join(" = ".join(titles[key] for key in place) for place in one.places))
            for one in found.rankings
        ),
        verdict=found.verdict, how=found.how, notes=found.notes,
    )  # fmt: skip


def draft_of(key: str) -> partial[Draft | None]:
    """The view that gives what a scheme writes into the job; None where it cannot be laid out."""
    return partial(_draft, key=key)


def _draft(design: Design, *, key: str) -> Draft | None:
    from drainwright.schemes import schemes

    found = schemes(design.job).laid_out(key)
    return None if found is None else found.draft


__all__ = ["Row", "Way", "Ways", "draft_of", "ways"]
