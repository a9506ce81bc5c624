"""What a season at one job taught, put into the document of another on that street."""

from __future__ import annotations

import uuid
from collections.abc import Mapping

from pydantic import TypeAdapter, ValidationError

from drainwright.errors import JobError
from drainwright.job.loading import refusal
from drainwright.job.values import Conductivity, Fact
from drainwright.office.after import called
from drainwright.office.store import jobs, revisions
from drainwright.office.store.editing import NAME, Operation, said
from drainwright.office.store.opening import Store
from drainwright.office.store.records import STAGES, Job, Revision
from drainwright.office.who import Who
from drainwright.proving.street import measured_there

_FACT: TypeAdapter[Fact[float]] = TypeAdapter(Fact[Conductivity])
BEFORE = STAGES.index("digging")  # a job that is dug already begins from nothing


def next_jobs(store: Store, firm: str, of: str) -> tuple[Job, ...]:
    """The firm's jobs that may begin with it, the last changed first: not dug yet, and not the job of the season."""
    found = (one.job for one in jobs.listed(store, firm))
    return tuple(one for one in found if one.id != of and STAGES.index(one.stage) < BEFORE)


def taken_over(store: Store, who: Who, of: str, into: str, entry: Mapping[str, str]) -> Revision:
    """Let another job's ground begin with what was learnt, as a revision of it.

    Parameters
    ----------
    store : Store
        Where.
    who : Who
        Does it.
    of, into : str
        Ids of the job of the season, and of the other.
    entry : Mapping of str to str
        ``ground.conductivity`` for it; empty where the season taught nothing.

    Returns
    -------
    Revision
        Of the other job.

    Raises
    ------
    Conflict
        If somebody changed the same meanwhile; nothing was saved.
    JobError
        If the season taught nothing, or the soil of that lot was measured: that outranks the street.
    NotThereError
        If the firm has no such job.
    """
    here = jobs.job(store, who.firm, of)
    if not entry:
        raise refusal("a season that teaches nothing", "one that does; nothing was written", where="season")
    if of == into:
        raise refusal("the job of the season itself", "another job on its street", where="job")
    head = revisions.revision(store, who.firm, into)
    _let(head)
    taken = Operation(id=str(uuid.uuid4()), path="ground.conductivity", value=dict(entry))
    words = f"soil learnt by the season of job {called(here)}"
    return revisions.apply(store, who.firm, into, head.number, [taken], who.name, words[:500])


def _let(head: Revision) -> None:
    raw = said(head.text).get("ground") or {}
    there = raw.get("conductivity")
    try:
        fact = None if there is None else _FACT.validate_python(there, context={"document": True})
    except ValidationError:
        expected = "one that can be read, so that what was measured there is not written over"
        raise refusal(repr(there)[:100], expected, where="ground.conductivity", file=NAME) from None
    against = measured_there(bool(raw.get("hole_tests")), fact)
    if against is not None:
        raise JobError((against,))


__all__ = ["next_jobs", "taken_over"]
