"""A rain table brought to a job as a file: read, kept beside the job, named in its document, and read back."""

from __future__ import annotations

import datetime
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from drainwright.errors import JobError
from drainwright.job.rain_file import DepthTable, decoded, read_rain_table
from drainwright.office.store import revisions
from drainwright.office.store.beside import BESIDE, OF_FIRM
from drainwright.office.store.editing import Operation, said
from drainwright.office.store.files import attach, attachments, content
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Attachment, Revision

REPLACED = ("table", "return_periods", "source", "basis")  # what a job says of a table that a file takes the place of


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """The rain file of a job as it was read."""

    attachment: str
    name: str
    who: str
    at: datetime.datetime
    title: str
    return_periods: tuple[float, ...]  # [s]
    rows: tuple[tuple[float, tuple[float, ...]], ...]  # duration [s], depths [m]
    bounds: bool  # whether it has bounds of the depths


def bring(store: Store, firm: str, job: str, name: str, data: bytes, who: str) -> Revision:
    """Keep a rain file with a job and have the job name it; where it does already, the newer file counts.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and which.
    name : str
        As it was called where it came from.
    data : bytes
        Its content.
    who : str
        Who brings it.

    Returns
    -------
    Revision
        The newest, which names the file.

    Raises
    ------
    JobError
        If it is no table that can be read; with line and column, and nothing is kept.
    NotThereError
        If the firm has no such job.
    """
    kept = own_name(name)
    table = read_rain_table(decoded(data, name), kept)
    now = revisions.revision(store, firm, job)
    edits = [_edit(path, value) for path, value in _changes(said(now.text), kept)]
    note = f"{table.title}: {len(table.rows)} durations, {len(table.return_periods)} return periods"
    attach(store, firm, job, data, name=kept, media_type="text/csv", who=who, kind=BESIDE, pin="rain", note=note[:4000])
    return revisions.apply(store, firm, job, now.number, edits, who, f"rain from the file {kept}") if edits else now


def read_back(store: Store, firm: str, job: str, record: Mapping[str, Any]) -> ReadBack | None:
    """The rain file that a job names, as it reads; None where it names none, none is there, or it cannot be read."""
    rain = record.get("rain")
    name = rain.get("file") if isinstance(rain, Mapping) else None
    found = _hung(store, firm, job, name) if isinstance(name, str) else None
    if found is None:
        return None
    try:
        table = read_rain_table(decoded(content(store, firm, found.id), found.name), found.name)
    except JobError:
        return None  # told among the job's faults
    return _told(found, table)


def own_name(name: str) -> str:
    """A name by which a job may call for the file: no folder, plain signs, ending as a table.

    Examples
    --------
    >>> own_name("C:/down loads/PF Depth (1).csv"), own_name("pumps.csv"), own_name("..")
    ('PF-Depth-1.csv', 'rain-pumps.csv', 'rain.csv')
    """
    last = PurePosixPath(name.replace("\\", "/")).name
    stem = re.sub(r"[^A-Za-z0-9]+", "-", re.sub(r"\.[A-Za-z0-9]{1,4}$", "", last)).strip("-")[:80]
    plain = f"{stem or 'rain'}.csv"
    return f"rain-{plain}" if plain in OF_FIRM else plain


def _changes(record: Mapping[str, Any], name: str) -> list[tuple[str, Any]]:
    rain = record.get("rain")
    if not isinstance(rain, Mapping):
        return [("rain", {"file": name})]
    gone: list[tuple[str, Any]] = [(f"rain.{key}", None) for key in REPLACED if rain.get(key) is not None]
    return gone if rain.get("file") == name else [*gone, ("rain.file", name)]


def _edit(path: str, value: Any) -> Operation:
    return Operation(id=str(uuid.uuid4()), path=path, value=value)


def _hung(store: Store, firm: str, job: str, name: str) -> Attachment | None:
    found = [one for one in attachments(store, firm, job) if one.kind == BESIDE and one.name == name]
    return found[-1] if found else None


def _told(found: Attachment, table: DepthTable) -> ReadBack:
    return ReadBack(
        attachment=found.id, name=found.name, who=found.who, at=found.at, title=table.title,
        return_periods=table.return_periods, rows=table.rows, bounds=bool(table.low or table.high),
    )  # fmt: skip


__all__ = ["ReadBack", "bring", "own_name", "read_back"]
