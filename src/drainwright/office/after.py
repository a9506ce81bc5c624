"""Records of a finished job, as the command line keeps them: its proof, its visits, a season. Each saving stands."""

from __future__ import annotations

import contextlib
import datetime
import itertools
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from types import MappingProxyType
from typing import Any

from drainwright.errors import JobError
from drainwright.job.proof import read_proof_text
from drainwright.job.season import read_season_text
from drainwright.job.service import read_service_text
from drainwright.job.writing import changed_text
from drainwright.office.store.files import PROOF, SEASON, VISITS, CameBetween, attach, attachments, content, of_kind
from drainwright.office.store.opening import Store
from drainwright.office.store.records import STAGES, Attachment, Job, Stage
from drainwright.office.uploads import OtherKindError, checked_upload
from drainwright.office.who import Who

YAML = "application/yaml"
PICTURES = ("image/jpeg", "image/png")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sort:
    """One sort of record."""

    key: str  # in addresses
    kind: str  # of its attachments
    file: str  # as the command line calls it
    noun: str
    read: Callable[[str, str], object]  # text and name; raises JobError


SORTS: Mapping[str, Sort] = MappingProxyType({
    one.key: one for one in (
        Sort(key="proof", kind=PROOF, file="proof.yaml", noun="record of what was proven", read=read_proof_text),
        Sort(key="visits", kind=VISITS, file="service.yaml", noun="record of visits", read=read_service_text),
        Sort(key="season", kind=SEASON, file="season.yaml", noun="record of a season", read=read_season_text),
    )
})  # fmt: skip


RECORDS = frozenset(one.kind for one in SORTS.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The newest saving of a record."""

    number: int  # of the savings, this one
    text: str
    saved: Attachment


def recorded(store: Store, firm: str, job: str, sort: Sort) -> Recorded | None:
    """The newest record of a sort; None where none was saved.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    number, found, data = of_kind(store, firm, job, sort.kind)
    text = data.decode("utf-8", "replace")  # a job that was packed elsewhere may bring anything; reading it tells
    return None if found is None else Recorded(number=number, text=text, saved=found)


def keep(
    store: Store, who: Who, job: str, sort: Sort, base: int | None, text: str, note: str = ""
) -> int:  # fmt: skip
    """Save a record; those before it stay.

    Parameters
    ----------
    store : Store
        Where.
    who : Who
        Saves it.
    job : str
        Id of the job.
    sort : Sort
        Of the record.
    base : int, optional
        Number of the saving that the text was made of, 0 for none; left out: whatever stands.
    text : str
        As the command line reads it.
    note : str
        Kept with this saving.

    Returns
    -------
    int
        Number of this saving.

    Raises
    ------
    JobError
        If the text is no such record.
    NotThereError
        If the firm has no such job.
    CameBetween
        If another saving came between.
    """
    sort.read(text, sort.file)
    attach(
        store,
        who.firm,
        job,
        text.encode(),
        name=sort.file,
        media_type=YAML,
        who=who.name,
        kind=sort.kind,
        after=base,
        note=note,
    )
    return of_kind(store, who.firm, job, sort.kind)[0] if base is None else base + 1


def edit(
    store: Store, who: Who, job: str, sort: Sort, base: int, blank: str, change: Callable[[Any], None]
) -> int:  # fmt: skip
    """Save a record with a change of its tree, comments kept; of a job that has none, the blank one changed.

    Parameters
    ----------
    store : Store
        Where.
    who : Who
        Saves it.
    job : str
        Id of the job.
    sort : Sort
        Of the record.
    base : int
        Number of the saving that the change was made on, 0 for none.
    blank : str
        What it begins as.
    change : callable
        Changes the tree that it is given, in place.

    Returns
    -------
    int
        Number of this saving.

    Raises
    ------
    JobError
        If what comes of it is no such record.
    NotThereError
        If the firm has no such job.
    CameBetween
        If another saving came between.
    """
    number, _, data = of_kind(store, who.firm, job, sort.kind)
    if number != base:
        raise CameBetween(base, number)
    if data:
        sort.read(data.decode("utf-8", "replace"), sort.file)  # nothing is typed into what cannot be read
    text = changed_text(data.decode("utf-8", "replace") or blank, change, is_job=False)
    return keep(store, who, job, sort, base, text)


def named_pictures(store: Store, firm: str, job: str, text: str) -> dict[str, Attachment]:
    """The pictures of a job by the names that its record of proof has for them; what does not hang there is left out.

    A WebP picture that came in hangs there as a JPEG, under its own name with that ending.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    try:
        names = [one.file for one in read_proof_text(text).proof.photos] if text else []
    except JobError:
        return {}  # what is wrong with it is told where it is held against the design
    there = {one.name: one for one in attachments(store, firm, job) if one.media_type in PICTURES}
    bare = {_bare(name): one for name, one in there.items()}
    found = {name: there.get(name) or bare.get(_bare(name)) for name in names}
    return {name: one for name, one in found.items() if one is not None}


def _bare(name: str) -> str:
    return PurePosixPath(name).with_suffix("").as_posix() if PurePosixPath(name).name else name


def small_pictures(store: Store, firm: str, named: Mapping[str, Attachment]) -> tuple[tuple[str, bytes], ...]:
    """Pictures by the record's names, as a paper shows them; one that cannot be read is left out."""
    from drainwright.exchange.photos import small_picture
    from drainwright.exchange.shots import FileError

    found = []
    for name, one in named.items():
        with contextlib.suppress(FileError):
            found.append((name, small_picture(content(store, firm, one.id), name)))
    return tuple(found)


def photographed(store: Store, who: Who, job: str, name: str, checkpoint: int, data: bytes, base: int) -> int:
    """Hang the photograph of a checkpoint on a job, and name it in the record of its proof.

    Parameters
    ----------
    store : Store
        Where.
    who : Who
        Brings it.
    job, name : str
        Id of the job, and what its records call it.
    checkpoint : int
        Number in the crew's packet.
    data : bytes
        A picture as it came.
    base : int
        Number of the saving that this is made on, 0 for none.

    Returns
    -------
    int
        Number of the saving that names it.

    Raises
    ------
    InputError
        If it is no picture that is taken.
    NotThereError
        If the firm has no such job.
    CameBetween
        If another saving came between.
    """
    found = checked_upload(data)
    if not found.is_picture:
        raise OtherKindError("file: found no picture; expected JPEG, PNG or WebP")
    there = {one.name for one in attachments(store, who.firm, job)}
    names = (f"checkpoint-{checkpoint}{f'-{more}' if more else ''}{found.ending}" for more in itertools.count())
    file = next(one for one in names if one not in there)
    blank = blank_proof(name)
    number = edit(store, who, job, SORTS["proof"], base, blank, lambda tree: _with_photo(tree, checkpoint, file))
    attach(
        store, who.firm, job, found.data, name=file, media_type=found.media_type, who=who.name,
        note=f"checkpoint {checkpoint}",
    )  # fmt: skip
    return number


def called(job: Job) -> str:
    """What the records of a job call it."""
    return job.number or job.id


def stage_that_follows(stage: Stage, key: str, record: Mapping[str, Any], *, passes: bool) -> Stage | None:
    """How far a job is by a record of it, where it stands at less; None where it does not.

    Parameters
    ----------
    stage : Stage
        At which it stands.
    key : str
        Of the record.
    record : Mapping of str to Any
        As it stands; empty: none.
    passes : bool
        Everything that was to be proven passes.
    """
    if not record:
        return None
    told: Stage = "serviced" if key in ("visits", "season") else "handed over" if passes else "digging"
    return told if STAGES.index(told) > STAGES.index(stage) else None


def blank_proof(job: str) -> str:
    """A record of proof with nothing measured yet, of today."""
    return f"schema_version: 1\njob: {json.dumps(job, ensure_ascii=False)}\non: {datetime.date.today()}\n"


def _with_photo(tree: Any, checkpoint: int, file: str) -> None:
    before = [one for one in tree.get("photos") or [] if one.get("checkpoint") != checkpoint]
    tree["photos"] = [*before, {"checkpoint": checkpoint, "file": file}]


__all__ = [
    "RECORDS", "SORTS", "YAML", "Recorded", "Sort", "blank_proof", "called", "edit", "keep", "named_pictures",
    "photographed", "recorded", "small_pictures", "stage_that_follows",
]  # fmt: skip
