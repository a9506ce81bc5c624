"""Save jobs: every state is kept; whoever was not on the newest one is told what came between."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from drainwright.office.store import comparing, editing, merging
from drainwright.office.store.comparing import Change
from drainwright.office.store.editing import Operation
from drainwright.office.store.errors import Conflict, NotThereError, StoreError
from drainwright.office.store.holding import Checked, done_before, held, noted, revised
from drainwright.office.store.opening import Store
from drainwright.office.store.paths import written
from drainwright.office.store.records import Revision, record_of
from drainwright.office.store.tables import JobRow, OperationRow, RevisionRow

MOST_OPERATIONS = 2000  # in one call
_TRIES = 50

Found = TypeVar("Found")


def revision(store: Store, firm: str, job: str, number: int | None = None) -> Revision:
    """A revision of a job; the newest if no number is given.

    Raises
    ------
    NotThereError
        If the firm has no such job, or the job no such revision.
    """
    with store.reading() as session:
        return _revision(session, firm, job, number)


def history(store: Store, firm: str, job: str) -> tuple[Revision, ...]:
    """All revisions of a job, the newest first.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.reading() as session:
        _revision(session, firm, job, None)
        rows = session.scalars(
            sa.select(RevisionRow)
            .where(RevisionRow.firm == firm, RevisionRow.job == job)
            .order_by(RevisionRow.number.desc())
        )
        return tuple(record_of(Revision, row) for row in rows)


def compare(store: Store, firm: str, job: str, old: int, new: int) -> tuple[Change, ...]:
    """What changed from one revision to another, by path.

    Raises
    ------
    NotThereError
        If the firm has no such job, or the job no such revision.
    """
    with store.reading() as session:
        texts = [_revision(session, firm, job, number).text for number in (old, new)]
    return comparing.compare(editing.said(texts[0]), editing.said(texts[1]))


def save(
    store: Store, firm: str, job: str, base: int, text: str, who: str, what: str = "",
    operations: Sequence[Operation] = (),
) -> Revision:  # fmt: skip
    """Save a text as a new revision.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and which.
    base : int
        Number of the revision that the text was made of.
    text : str
        YAML. It may be no whole job yet: then the revision lists its faults.
    who, what : str
        Who saves, and what changed in words; left out: the paths that changed.
    operations : sequence of Operation
        The edits that made the text, kept with it. Sent again when all of them are made, they change nothing.

    Returns
    -------
    Revision
        The new one, or the base itself where the text is the same.

    Raises
    ------
    Conflict
        If the base is not the newest revision; nothing was saved.
    JobError
        If the text cannot be parsed.
    NotThereError
        If the firm has no such job, or the job no such revision.
    """
    checked = Checked.of(text)
    before = revision(store, firm, job, base)
    if before.text == text and before.number == revision(store, firm, job).number:
        return before
    words = what or _words(editing.said(before.text), checked.record)
    with store.writing() as session:
        row = held(session, firm, job)
        done = done_before(session, firm, job, operations)
        if operations and len(done) == len(operations):
            return _revision(session, firm, job, max(done.values()))
        if row.head == base:
            left = [one for one in operations if one.id not in done]
            made = revised(session, row, checked, who, words, parent=base, operations=left)
            _keep(session, made, left)
            return made
        theirs = _revision(session, firm, job, None)
    raise _conflict(before, theirs, text)


def merge(store: Store, firm: str, job: str, base: int, text: str, who: str, what: str = "") -> Revision:
    """Save a text that was made of an older revision, brought together with the newest where they do not overlap.

    Both are kept: the text as it is in one revision, and what came of the two in the next.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and which.
    base : int
        Number of the revision that the text was made of.
    text : str
        YAML.
    who, what : str
        Who saves, and what changed in words; left out: the paths that changed.

    Returns
    -------
    Revision
        The newest one.

    Raises
    ------
    Conflict
        If both changed the same; nothing was saved.
    JobError
        If the text cannot be parsed.
    NotThereError
        If the firm has no such job, or the job no such revision.
    """
    mine = Checked.of(text)
    before = revision(store, firm, job, base)
    old = editing.said(before.text)
    words = what or _words(old, mine.record)

    def attempt() -> Revision | None:
        theirs = revision(store, firm, job)
        if theirs.number == base:
            return save(store, firm, job, base, text, who, words)
        stands = editing.said(theirs.text)
        found = merging.merge(old, stands, mine.record)
        if found.overlapping:
            raise _conflict(before, theirs, text)
        changes = comparing.compare(stands, found.record)
        both = Checked.of(editing.with_both(before.text, theirs.text, text, found.record, changes))
        with store.writing() as session:
            row = held(session, firm, job)
            if row.head != theirs.number:
                return None
            own = revised(session, row, mine, who, words, parent=base)
            return revised(
                session, row, both, who, f"revisions {theirs.number} and {own.number} brought together",
                parent=theirs.number, merged=own.number,
            )  # fmt: skip

    return _settled(attempt)


def settle(
    store: Store, firm: str, job: str, base: int, theirs: int, mine: str, chosen: Mapping[str, bool], who: str
) -> Revision:  # fmt: skip
    """Save what a person chose where two changed the same: mine is kept as a revision, then what came of both.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and which.
    base, theirs : int
        Numbers of the revision that mine was made of, and of the newest one that the person was shown.
    mine : str
        YAML.
    chosen : mapping of str to bool
        For each path that overlaps, whether mine shall stand there; paths that are left out stand as theirs.
    who : str
        Who chose.

    Returns
    -------
    Revision
        The newest one.

    Raises
    ------
    Conflict
        If yet another revision came between; nothing was saved.
    JobError
        If mine cannot be parsed.
    """
    own = Checked.of(mine)
    before, other = (revision(store, firm, job, number) for number in (base, theirs))
    stands = editing.said(other.text)
    found = merging.merge(editing.said(before.text), stands, own.record)
    record = merging.settled(found, stands, own.record, chosen)
    changes = comparing.compare(stands, record)
    both = Checked.of(editing.with_both(before.text, other.text, mine, record, changes))
    with store.writing() as session:
        row = held(session, firm, job)
        if row.head == theirs:
            kept = revised(session, row, own, who, _words(editing.said(before.text), own.record), parent=base)
            words = f"revisions {theirs} and {kept.number} brought together, by choice"
            return revised(session, row, both, who, words, parent=theirs, merged=kept.number)
        newest = _revision(session, firm, job, None)
    raise _conflict(before, newest, mine)


def apply(
    store: Store, firm: str, job: str, base: int, operations: Sequence[Operation], who: str, what: str = ""
) -> Revision:
    """Make edits by path in the newest revision, wherever nobody else changed the same since the base.

    An edit that was made already is not made again, whichever call it came in.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and which.
    base : int
        Number of the revision that the edits were made on.
    operations : sequence of Operation
        In their order. Where one tells what stood there (``was``), and just that stands there now, it is made even if
        somebody changed the part in between.
    who, what : str
        Who edits, and what changed in words; left out: the paths that changed.

    Returns
    -------
    Revision
        The one that has the last of the edits.

    Raises
    ------
    Conflict
        If somebody else changed the same; none of these edits was made.
    InputError
        If a path leads nowhere.
    StoreError
        If an edit's id was used for another.
    NotThereError
        If the firm has no such job, or the job no such revision.
    """
    if not 0 < len(operations) <= MOST_OPERATIONS:
        raise StoreError(f"operations: found {len(operations)}; expected 1 to {MOST_OPERATIONS}")
    if len({one.id for one in operations}) < len(operations):
        raise StoreError("operations: found an id twice; expected each edit with its own")

    def attempt() -> Revision | None:
        with store.reading() as session:
            before = _revision(session, firm, job, base)
            head = _revision(session, firm, job, None)
            done = done_before(session, firm, job, operations)
        left = [one for one in operations if one.id not in done]
        if not left:
            return revision(store, firm, job, max(done.values()))
        stands = editing.said(head.text)
        made = _performed(before, head, stands, left)
        unchanged = comparing.same(made, stands)
        checked = None if unchanged else Checked.of(editing.operated(head.text, left, made))
        try:
            with store.writing() as session:
                row = held(session, firm, job)
                if row.head != head.number:
                    return None
                if checked is not None:
                    words = what or _words(stands, made)
                    head = revised(session, row, checked, who, words, parent=head.number, operations=left)
                _keep(session, head, left)
        except IntegrityError:  # the same edits were sent twice at once
            return None
        return head

    return _settled(attempt)


def applied(store: Store, firm: str, job: str, operations: Sequence[Operation]) -> dict[str, int]:
    """The revision that has it, by id, of each edit that was made before.

    Raises
    ------
    StoreError
        If an edit's id was used for another.
    """
    with store.reading() as session:
        return done_before(session, firm, job, operations)


def restore(store: Store, firm: str, job: str, number: int, who: str) -> Revision:
    """Make the text of an old revision the newest one; all that came between stays in the history.

    Raises
    ------
    NotThereError
        If the firm has no such job, or the job no such revision.
    """
    old = revision(store, firm, job, number)
    checked = Checked.of(old.text)
    with store.writing() as session:
        row = held(session, firm, job)
        words = f"revision {number} restored"
        made = revised(session, row, checked, who, words, parent=row.head)
        noted(session, row, who, "restored", words)
        return made


def _settled(attempt: Callable[[], Found | None]) -> Found:
    """What came of the attempt at which no other writer was quicker."""
    for _ in range(_TRIES):
        found = attempt()
        if found is not None:
            return found
    raise StoreError("the job is changed by others faster than this can be saved; nothing was saved, try again")


def _revision(session: Session, firm: str, job: str, number: int | None) -> Revision:
    head = session.scalar(sa.select(JobRow.head).where(JobRow.firm == firm, JobRow.id == job))
    if head is None:
        raise NotThereError("job", job)
    wanted = head if number is None else number
    row = session.scalar(
        sa.select(RevisionRow).where(RevisionRow.firm == firm, RevisionRow.job == job, RevisionRow.number == wanted)
    )
    if row is None:
        raise NotThereError("revision", str(wanted))
    return record_of(Revision, row)


def _keep(session: Session, made: Revision, operations: Sequence[Operation]) -> None:
    session.add_all(
        OperationRow(firm=made.firm, job=made.job, id=one.id, revision=made.number, digest=one.digest)
        for one in operations
    )


def _performed(
    before: Revision, head: Revision, stands: dict[str, Any], operations: Sequence[Operation]
) -> dict[str, Any]:
    """What stands, with the operations made; refused where somebody else changed the same."""
    old = editing.said(before.text)
    since = comparing.compare(old, stands)
    made = copy.deepcopy(stands)
    clashes = []
    for one in operations:
        steps = editing.settled(old, one.path)
        now = _value(made, steps)
        known = any(comparing.same(now, value) for value in (one.value, one.was) if not _unsaid(value))
        if not known and any(editing.touches(change, steps) for change in since):
            clashes.append(written(steps))
            continue
        editing.perform(made, one)
    if clashes:
        raise _conflict(before, head, editing.tried(before.text, operations), tuple(sorted(set(clashes))))
    return made


def _unsaid(value: Any) -> bool:
    return value is editing.UNSAID


def _value(record: Any, steps: Any) -> Any:
    """What stands at a path; None where nothing does."""
    try:
        return comparing.reached(record, steps)
    except ValueError:
        return None


def _conflict(base: Revision, theirs: Revision, mine: str, overlapping: tuple[str, ...] | None = None) -> Conflict:
    old, new, own = (editing.said(text) for text in (base.text, theirs.text, mine))
    if overlapping is None:
        overlapping = merging.merge(old, new, own).overlapping
    return Conflict(
        base, theirs, mine, tuple(change.path for change in comparing.compare(old, new)),
        tuple(change.path for change in comparing.compare(old, own)), overlapping,
    )  # fmt: skip


def _words(old: dict[str, Any], new: dict[str, Any]) -> str:
    """What changed, by the paths of the first few."""
    paths = [change.path for change in comparing.compare(old, new)]
    if not paths:
        return "comments and layout"
    return ", ".join(paths[:4]) + (f" and {len(paths) - 4} more" if len(paths) > 4 else "")


__all__ = [
    "MOST_OPERATIONS", "applied", "apply", "compare", "history", "merge", "restore", "revision", "save", "settle",
]  # fmt: skip
