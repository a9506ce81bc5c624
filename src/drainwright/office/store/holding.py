"""What all writers on a job share: the job held against other writers, its diary, its new revisions."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import sqlalchemy as sa
from sqlalchemy.orm import Session

from drainwright.office.store import editing
from drainwright.office.store.beside import faults_with
from drainwright.office.store.editing import Operation
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.facts import Facts, facts_of
from drainwright.office.store.records import Revision, record_of
from drainwright.office.store.tables import Base, EventRow, JobRow, OperationRow, RevisionRow, now

_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")
_Row = TypeVar("_Row", bound=Base)


@dataclass(frozen=True, slots=True)
class Checked:
    """A text that can be kept, with what it tells."""

    text: str
    record: dict[str, Any]
    problems: tuple[str, ...]
    facts: Facts

    @classmethod
    def of(cls, text: str) -> Checked:
        """Check a text.

        Raises
        ------
        JobError
            If it cannot be parsed.
        """
        problems = editing.faults_of(text)
        record = editing.said(text)
        return cls(text, record, problems, facts_of(record))


def plain(name: str, text: str, most: int = 500, least: int = 0) -> str:
    """A text that any database keeps as it is.

    Raises
    ------
    StoreError
        If it is too short or too long, or holds control characters.
    """
    text = text.strip()
    if not least <= len(text) <= most:
        raise StoreError(f"{name}: found {len(text)} signs; expected {least} to {most}")
    if _CONTROL.search(text):
        raise StoreError(f"{name}: found a control character; expected plain text")
    return text


def own(session: Session, table: type[_Row], firm: str, id: str, what: str) -> _Row:
    """A row of the firm.

    Raises
    ------
    NotThereError
        If the firm has none of this id.
    """
    found = session.get(table, {"firm": firm, "id": id})
    if found is None:
        raise NotThereError(what, id)
    return found


def held(session: Session, firm: str, job: str) -> JobRow:
    """The job, which no other writer touches until the session ends.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    found = session.scalar(sa.select(JobRow).where(JobRow.firm == firm, JobRow.id == job).with_for_update())
    if found is None:
        raise NotThereError("job", job)
    return found


def revised(
    session: Session, job: JobRow, checked: Checked, who: str, what: str, *, parent: int | None,
    merged: int | None = None, operations: Sequence[editing.Operation] = (),
) -> Revision:  # fmt: skip
    """Add a revision to a job that is held, and show its facts in the list."""
    problems = faults_with(session, job, checked.text, checked.problems)
    made = RevisionRow(
        firm=job.firm, job=job.id, number=job.head + 1, parent=parent, merged=merged, text=checked.text,
        sha256=editing.sha256(checked.text), who=plain("who", who, 200), what=plain("what", what, 4000),
        problems=list(problems),
        operations=[one.plain for one in operations],
    )  # fmt: skip
    session.add(made)
    job.head += 1
    job.changed = now()
    job.faults = len(problems)
    shown(job, checked.facts)
    session.flush()
    return record_of(Revision, made)


def shown(job: JobRow, facts: Facts) -> None:
    """Show facts in the list of jobs."""
    job.title, job.number, job.customer_name = facts.title, facts.number, facts.customer_name
    job.place, job.missing, job.words = facts.place, list(facts.missing), facts.words


def noted(session: Session, job: JobRow, who: str, kind: str, words: str) -> EventRow:
    """Write a line into the diary of a job that is held."""
    newest = sa.select(sa.func.max(EventRow.number)).where(EventRow.firm == job.firm, EventRow.job == job.id)
    made = EventRow(
        firm=job.firm, job=job.id, number=(session.scalar(newest) or 0) + 1, who=who, kind=kind, words=words
    )
    session.add(made)
    session.flush()
    return made


def done_before(session: Session, firm: str, job: str, operations: Sequence[Operation]) -> dict[str, int]:
    """The revision that has it, of each operation that was made before."""
    found: dict[str, int] = {}
    given = {one.id: one for one in operations}
    of_job = sa.select(OperationRow).where(OperationRow.firm == firm, OperationRow.job == job)
    for row in session.scalars(of_job.where(OperationRow.id.in_(given))):
        if given[row.id].digest != row.digest:
            raise StoreError(f"operation {row.id}: found another edit than was made under this id before")
        found[row.id] = row.revision
    return found


__all__ = ["Checked", "done_before", "held", "noted", "own", "plain", "revised", "shown"]
