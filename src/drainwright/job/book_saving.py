"""Save a changed price book so that no other writer's change is lost."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from drainwright.errors import JobError
from drainwright.job.book_file import NOUN, BookDocument, read_book_text
from drainwright.job.firm_book import FirmBook
from drainwright.job.loading import decode, read_bytes, refusal
from drainwright.job.writing import write_text

MOST_NAMED = 5  # changed entries in a message


def save_book(path: str | Path, read: BookDocument, text: str) -> None:
    """Put a changed text in the place of the one that was read, unless somebody wrote the file in between.

    Parameters
    ----------
    path : str | Path
        The book's file.
    read : BookDocument
        As it was before the change.
    text : str
        The whole changed book.

    Raises
    ------
    JobError
        If the file is no longer what was read; names the entries that changed, and nothing is written.
    OSError
        If it cannot be written.

    Notes
    -----
    The texts are held against each other by their digest, under a lock that writers of a book hold where the system has
    such locks; elsewhere only the moment between the comparison and the writing is left open.
    """
    path = Path(path)
    with _held(path):
        now = decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), str(path))
        if _digest(now) != _digest(read.text):
            raise refusal(
                f"a book that somebody else changed since it was read ({', '.join(_changed(read, now, str(path)))})",
                f"the text that was read (digest {_digest(read.text)[:12]})",
                "nothing was written; run the command again, it takes the book as it is now",
                file=str(path),
            )
        write_text(path, text)


def _digest(text: str) -> str:
    """SHA-256 of a text."""
    return hashlib.sha256(text.encode()).hexdigest()


@contextmanager
def _held(path: Path) -> Iterator[None]:
    """Only one writer at a time, by a lock on the book's folder."""
    try:
        import fcntl
    except ImportError:  # no such locks on this system
        yield
        return
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def _changed(read: BookDocument, now: str, name: str) -> list[str]:
    """The first entries that differ between two states of a book."""
    try:
        there = read_book_text(now, name).book
    except JobError:
        return ["it is no longer a price book that can be read"]
    found = []
    for field in FirmBook.model_fields:
        old, new = getattr(read.book, field), getattr(there, field)
        if isinstance(old, Mapping) and isinstance(new, Mapping):
            found += [f"{field}.{key}" for key in dict.fromkeys([*old, *new]) if old.get(key) != new.get(key)]
        elif old != new:
            found.append(field)
    more = len(found) - MOST_NAMED
    return [*found[:MOST_NAMED], *([f"and {more} more"] if more > 0 else [])] or ["comments or layout only"]


__all__ = ["save_book"]
