"""A whole job as one file: its text, all revisions, attachments, acceptances and diary; and such a file read back."""

from __future__ import annotations

import datetime
import io
import json
import re
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from drainwright.errors import InputError, JobError
from drainwright.job.loading import MOST_BYTES as MOST_TEXT
from drainwright.job.loading import short
from drainwright.office.store import files
from drainwright.office.store.beside import content_of, recheck
from drainwright.office.store.editing import NAME, Operation, sha256
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.holding import Checked, noted, own, plain, shown
from drainwright.office.store.opening import Store
from drainwright.office.store.records import STAGES, Job, record_of
from drainwright.office.store.tables import (
    AcceptanceRow,
    AttachmentRow,
    Base,
    EventRow,
    FirmRow,
    JobRow,
    OperationRow,
    ReminderRow,
    RevisionRow,
    new_id,
    now,
)

FORM = "drainwright job, whole"
VERSION = 1
MOST_PACKED = 400_000_000  # bytes of the file
MOST_UNPACKED = 600_000_000  # bytes of all that is in it
MOST_FILES = 20_000
MOST_RECORDS = 50_000_000  # bytes of one of the lists
_STAMP = (1980, 1, 1, 0, 0, 0)  # the same job gives the same file
_NAME = re.compile(r"job\.yaml|manifest\.json|records\.json|revisions/[0-9]{1,9}\.yaml|attachments/[0-9a-f]{64}")
_LISTS: Mapping[str, tuple[type[Base], tuple[str, ...]]] = {
    "revisions": (RevisionRow, ("number", "parent", "merged", "sha256", "who", "at", "what", "operations")),
    "attachments": (
        AttachmentRow, ("sha256", "size", "media_type", "name", "kind", "pin", "note", "who", "at", "archived")
    ),
    "acceptances": (AcceptanceRow, ("revision", "by", "at", "record")),
    "events": (EventRow, ("number", "at", "who", "kind", "words")),
    "reminders": (ReminderRow, ("due", "what", "who", "created", "done", "done_by")),
}  # fmt: skip


def pack(store: Store, firm: str, job: str) -> bytes:
    """A whole job as one ZIP file; the same job gives the same bytes.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and which.

    Returns
    -------
    bytes
        With ``manifest.json``, which has the digest of every other file. Links to customers are left out: they lead
        to this store.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.reading() as session:
        row = own(session, JobRow, firm, job, "job")
        records = {name: _told(session, kind, keys, firm, job) for name, (kind, keys) in _LISTS.items()}
        revisions = _rows(session, RevisionRow, firm, job)
        texts = {f"revisions/{one.number}.yaml": one.text.encode("utf-8") for one in revisions}
        contents: dict[str, bytes] = {NAME: texts[f"revisions/{row.head}.yaml"], **texts}
        for digest in sorted({one["sha256"] for one in records["attachments"]}):
            contents[f"attachments/{digest}"] = content_of(session, firm, digest)
        of_job = {"id": row.id, "stage": row.stage, "archived": row.archived, "head": row.head}
        of_job["created"] = row.created.isoformat()
    contents["records.json"] = _json(records)
    listed = {name: {"sha256": sha256(data), "size": len(data)} for name, data in contents.items()}
    manifest = {"form": FORM, "version": VERSION, "job": of_job, "files": listed}
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        for name, data in {"manifest.json": _json(manifest), **contents}.items():
            entry = zipfile.ZipInfo(name, _STAMP)
            entry.external_attr = 0o644 << 16
            how = zipfile.ZIP_STORED if name.startswith("attachments/") else zipfile.ZIP_DEFLATED
            packed.writestr(entry, data, compress_type=how)
    return stream.getvalue()


def unpack(store: Store, firm: str, data: bytes, who: str) -> Job:
    """Take in a whole job from one file, all of it or nothing.

    Parameters
    ----------
    store : Store
        Where.
    firm : str
        Whose it becomes.
    data : bytes
        What ``pack`` gave.
    who : str
        Who brings it.

    Returns
    -------
    Job
        With the id that it had, or one of its own where the firm has that job already.

    Raises
    ------
    NotThereError
        If there is no such firm.
    StoreError
        If the file is none of these, was changed, or is larger than it may be.
    """
    packed = _checked(data)
    who = plain("who", who, 200)
    head = Checked.of(packed.texts[len(packed.texts)])
    with store.writing() as session:
        if session.get(FirmRow, firm) is None:
            raise NotThereError("firm", firm)
        taken = session.get(JobRow, {"firm": firm, "id": packed.job["id"]}) is not None
        row = JobRow(
            firm=firm, id=new_id() if taken else packed.job["id"], stage=packed.job["stage"], head=len(packed.texts),
            archived=packed.job["archived"], created=_time(packed.job["created"]), changed=now(), customer=None,
            faults=len(head.problems),
        )  # fmt: skip
        shown(row, head.facts)
        session.add(row)
        session.flush()
        for digest, content in packed.contents.items():
            files.keep_content(session, firm, digest, content)
        try:
            session.add_all([*_made(packed, firm, row.id), *_operations(packed, firm, row.id)])
            session.flush()
        except IntegrityError:
            raise _refused("the same number or id twice", "each once") from None
        if packed.contents:
            recheck(session, row)
        noted(session, row, who, "taken in", f"taken in from a file, with {len(packed.texts)} revisions")
        return record_of(Job, row)


@dataclass(frozen=True, slots=True)
class _Packed:
    """What a file holds, checked."""

    job: dict[str, Any]
    records: dict[str, list[dict[str, Any]]]
    texts: dict[int, str]
    contents: dict[str, bytes]


def _rows(session: Session, kind: type[Base], firm: str, job: str) -> list[Any]:
    table: Any = kind
    order = table.number if "number" in kind.__table__.columns else table.id
    return list(session.scalars(sa.select(table).where(table.firm == firm, table.job == job).order_by(order)))


def _told(session: Session, kind: type[Base], keys: tuple[str, ...], firm: str, job: str) -> list[dict[str, Any]]:
    return [{key: _plain(getattr(row, key)) for key in ("id", *keys)} for row in _rows(session, kind, firm, job)]


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, datetime.date) else value


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode("utf-8")


def _checked(data: bytes) -> _Packed:
    read = _read(data)
    manifest = _object(read.pop("manifest.json", None), "manifest.json")
    if manifest.get("form") != FORM or manifest.get("version") != VERSION:
        raise _refused("another form", f"'{FORM}', version {VERSION}")
    listed = manifest.get("files")
    if not isinstance(listed, dict) or set(listed) != set(read):
        raise _refused("other files than its manifest lists", "just those")
    for name, content in read.items():
        if not isinstance(listed[name], dict) or listed[name].get("sha256") != sha256(content):
            raise _refused(f"{name} with another digest than the manifest has", "files as they were packed")
    records = _object(read.get("records.json"), "records.json")
    if set(records) != set(_LISTS) or not all(isinstance(one, list) for one in records.values()):
        raise _refused("records of another form", f"lists of {', '.join(_LISTS)}")
    for name, entries in records.items():
        for entry in entries:
            if not isinstance(entry, dict) or set(entry) != {"id", *_LISTS[name][1]}:
                raise _refused(f"an entry of {name} of another form", "id, " + ", ".join(_LISTS[name][1]))
            if not isinstance(entry.get("sha256", ""), str) or not isinstance(entry.get("operations", []), list):
                raise _refused(f"an entry of {name} of another form", "digests and edits as they were kept")
    packed = _Packed(_of_job(manifest.get("job")), records, _texts(read, records["revisions"]), _contents(read))
    if read.get(NAME) != packed.texts[len(packed.texts)].encode("utf-8"):
        raise _refused(f"{NAME} other than the newest revision", "the same text")
    if {one["sha256"] for one in records["attachments"]} != set(packed.contents):
        raise _refused("other attachments than the records name", "just those")
    return packed


def _read(data: bytes) -> dict[str, bytes]:
    """What a ZIP file holds: only names that such a file has, and no more bytes than are allowed."""
    if len(data) > MOST_PACKED:
        raise _refused(f"{len(data):,} bytes", f"at most {MOST_PACKED:,}")
    read: dict[str, bytes] = {}
    room = MOST_UNPACKED
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            entries = packed.infolist()
            if len(entries) > MOST_FILES:
                raise _refused(f"{len(entries):,} files", f"at most {MOST_FILES:,}")
            for entry in entries:
                name = entry.orig_filename
                if not _NAME.fullmatch(name) or name in read:
                    raise _refused(f"a file {short(name)} in it", "each of a job's own files once")
                if entry.flag_bits & 0x1 or entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                    raise _refused(f"{name} packed in another way", "plain or deflated, without a password")
                most = min(room, _most(name))
                with packed.open(entry) as stream:
                    content = stream.read(most + 1)
                if len(content) > most:
                    raise _refused(f"{name} with more than {most:,} bytes", "a file of the size that a job has")
                room -= len(content)
                read[name] = content
    except StoreError:
        raise
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, EOFError, OSError, ValueError) as error:
        raise _refused(f"no whole ZIP file ({error})", "a job that was packed here") from None
    except Exception as error:  # zlib's own, and what damaged headers bring up
        raise _refused(f"a damaged ZIP file ({type(error).__name__})", "a job that was packed here") from None
    return read


def _most(name: str) -> int:
    if name.startswith("attachments/"):
        return files.MOST_BYTES
    return MOST_TEXT * 4 if name.endswith(".yaml") else MOST_RECORDS


def _object(data: bytes | None, name: str) -> dict[str, Any]:
    try:
        found = json.loads((data or b"").decode("utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise _refused(f"no {name}, or one that cannot be read", "a job that was packed here")
    return found


def _no_number(name: str) -> None:
    raise ValueError(name)


def _of_job(found: Any) -> dict[str, Any]:
    wanted = {"id": str, "stage": str, "archived": bool, "head": int, "created": str}
    if not isinstance(found, dict) or any(not isinstance(found.get(key), kind) for key, kind in wanted.items()):
        raise _refused("a job of another form", ", ".join(wanted))
    if not re.fullmatch(r"[0-9a-f-]{36}", found["id"]) or found["stage"] not in STAGES:
        raise _refused("a job with an odd id or stage", f"a UUID, and one of {', '.join(STAGES)}")
    _time(found["created"])
    return found


def _texts(read: Mapping[str, bytes], revisions: list[dict[str, Any]]) -> dict[int, str]:
    """The texts by number: 1, 2, 3 and so on, each made of an earlier one."""
    texts = {}
    for number, one in enumerate(revisions, start=1):
        before = (one["parent"], one["merged"])
        earlier = all(part is None or (type(part) is int and 0 < part < number) for part in before)
        if type(one["number"]) is not int or one["number"] != number or not earlier:
            raise _refused("revisions with odd numbers", "1, 2, 3 and so on, each made of an earlier one")
        content = read.get(f"revisions/{number}.yaml", b"")
        if sha256(content) != one["sha256"]:
            raise _refused(f"revision {number} with another digest than its record has", "the text as it was saved")
        try:
            texts[number] = content.decode("utf-8")
            Checked.of(texts[number])
        except (UnicodeDecodeError, JobError) as error:
            raise _refused(f"revision {number} that cannot be parsed ({error})", "the text of a job") from None
    if not texts or len(texts) != sum(name.startswith("revisions/") for name in read):
        raise _refused("other revisions than the records name", "just those, at least one")
    return texts


def _contents(read: Mapping[str, bytes]) -> dict[str, bytes]:
    found = {name.removeprefix("attachments/"): data for name, data in read.items() if name.startswith("attachments/")}
    for digest, data in found.items():
        if files.checked_content(data) != digest:
            raise _refused(f"an attachment that does not bear its digest {digest}", "the content as it was kept")
    return found


def _made(packed: _Packed, firm: str, job: str) -> Iterable[Base]:
    """The rows of the lists, with ids of this store's own."""
    for name, (kind, keys) in _LISTS.items():
        for entry in packed.records[name]:
            values = {key: _value(kind, key, entry[key]) for key in keys}
            if kind is RevisionRow:
                text = packed.texts[values["number"]]
                values |= {"text": text, "problems": list(Checked.of(text).problems)}
            elif kind is AttachmentRow:
                values["size"] = len(packed.contents[values["sha256"]])
            yield kind(firm=firm, job=job, id=new_id(), **values)


def _value(kind: type[Base], key: str, value: Any) -> Any:
    """A value as its column takes it."""
    column = kind.__table__.columns[key]
    if value is None and column.nullable:
        return None
    if isinstance(column.type, sa.JSON):
        if not isinstance(value, list if key == "operations" else dict):
            raise _refused(f"{short(value)} as {key}", "what was kept")
        return value
    wanted = column.type.python_type
    if issubclass(wanted, datetime.datetime):
        return _time(value)
    if issubclass(wanted, datetime.date):
        return _time(f"{value}T00:00:00+00:00").date()
    if type(value) is not wanted:
        raise _refused(f"{short(value)} as {key}", "a value of its kind")
    if isinstance(value, str):
        return plain(key, value, getattr(column.type, "length", None) or 4000)
    if isinstance(value, int) and not 0 <= value < 2**31:
        raise _refused(f"{short(value)} as {key}", "a number that a store keeps")
    return value


def _operations(packed: _Packed, firm: str, job: str) -> Iterable[OperationRow]:
    """The edits that were made, so that they are not made again here."""
    for entry in packed.records["revisions"]:
        for told in entry["operations"]:
            try:
                one = Operation(**told)
            except (InputError, TypeError):
                raise _refused(f"an edit of another form ({short(told)})", "what was kept") from None
            yield OperationRow(firm=firm, job=job, id=one.id, revision=entry["number"], digest=one.digest)


def _time(value: Any) -> datetime.datetime:
    try:
        found = datetime.datetime.fromisoformat(value)
        if found.tzinfo is not None:
            return found.astimezone(datetime.UTC)
    except (OverflowError, TypeError, ValueError):
        pass
    raise _refused(f"{short(value)} as a time", "one as ISO 8601 has it, with its zone")


def _refused(found: str, expected: str) -> StoreError:
    return StoreError(f"packed job: found {found}; expected {expected}. Nothing was taken in")


__all__ = ["FORM", "MOST_PACKED", "MOST_UNPACKED", "pack", "unpack"]
