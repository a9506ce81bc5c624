"""The journal of a study: one line a run, written whole, never changed; and the lock on its folder."""

from __future__ import annotations

import errno
import json
import os
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from drainwright.studies.model import Outcome, StudyError, version

NAME, LOCK = "journal.jsonl", ".lock"


def line_of(outcome: Outcome) -> bytes:
    """A run's line: a check sum, then what it gave as JSON, and by which version."""
    record = {"by": version(), "key": outcome.key, "figures": dict(outcome.figures), "error": outcome.error}
    text = json.dumps(record, ensure_ascii=True, allow_nan=True).encode()
    return b"%08x %s\n" % (zlib.crc32(text), text)


def outcome_of(line: bytes) -> tuple[Outcome, bool] | None:
    """What a line tells, and whether this version wrote it; None of a line that is not whole."""
    check, _, text = line.rstrip(b"\n").partition(b" ")
    if not line.endswith(b"\n") or check != b"%08x" % zlib.crc32(text):
        return None
    record = json.loads(text)
    by = record.get("by", ("", 1))  # the first form of the line did not say
    return Outcome(key=record["key"], figures=record["figures"], error=record["error"]), tuple(by) == version()


class Journal:
    """The journal in a folder, open for writing; a torn end is cut off as it is opened."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self.found: dict[str, Outcome] = {}
        self.dropped = 0  # lines that were not whole
        self.older = 0  # lines that another version wrote
        self.added = 0
        self._handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o644)
        self._end = self._read()

    def _read(self) -> int:
        """Read what is there; the end of the last whole line."""
        data = self.path.read_bytes()
        end = data.rfind(b"\n") + 1
        lines = data.splitlines(keepends=True)
        for line in lines:
            told = outcome_of(line)
            if told is None:
                self.dropped += 1
            elif not told[1]:
                self.older += 1
            else:
                self.found[told[0].key] = told[0]  # a run done again after it failed: the later line stands
        if end < len(data):
            os.ftruncate(self._handle, end)
        return end

    def add(self, outcomes: Sequence[Outcome]) -> None:
        """Write outcomes to the disk, all of them or none.

        Raises
        ------
        StudyError
            If they cannot be written; what stood in the journal before is whole.
        """
        data = b"".join(line_of(outcome) for outcome in outcomes)
        try:
            os.lseek(self._handle, self._end, os.SEEK_SET)
            done = 0
            while done < len(data):
                wrote = os.write(self._handle, data[done:])
                if wrote == 0:
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                done += wrote
            os.fsync(self._handle)
        except OSError as error:
            with suppress(OSError):  # what is torn is dropped as the journal is opened again
                os.ftruncate(self._handle, self._end)
            raise StudyError(
                f"{self.path}: cannot be written ({error.strerror}). {len(self.found)} runs are kept; make room and"
                " start the study again: it goes on from there"
            ) from error
        self._end += len(data)
        self.added += len(outcomes)
        self.found.update((outcome.key, outcome) for outcome in outcomes)

    def close(self) -> None:
        """Close the file."""
        os.close(self._handle)


@contextmanager
def journal_in(folder: Path) -> Iterator[Journal]:
    """The journal of a folder, for one person at a time.

    Raises
    ------
    StudyError
        If another study is at work in the folder.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / LOCK).open("a+b") as lock:
        if not _locked(lock):
            raise StudyError(
                f"{folder}: another study is at work in this folder; wait for it, or choose another folder"
            )
        journal = Journal(folder)
        try:
            yield journal
        finally:
            journal.close()


def _locked(file: IO[bytes]) -> bool:
    """Lock a file until it is closed; whether nobody else had."""
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        except OSError:
            return False
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


__all__ = ["LOCK", "NAME", "Journal", "journal_in", "line_of", "outcome_of"]
