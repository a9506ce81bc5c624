"""Records in CSV, a time and a value a row: what rain and well records share."""

from __future__ import annotations

import csv
import gzip
import re
import zlib
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError

Times = NDArray[np.datetime64]
Rows = Sequence[tuple[int, Sequence[str]]]  # line of the file, counted from 1, and its cells

MOST_BYTES = 200_000_000  # unpacked: a century of minutes has about 50 million
MISSING = frozenset({"", "na", "nan", "null", "none", "m", "-", "-99", "-999", "-999.0", "-9999", "-9999.0"})
MISSING_WORDS = "nothing, -, M, NA, NaN, null, none, -99, -999 or -9999"  # the same for a person
TIME_WORDS = ("time", "date", "datetime", "timestamp", "stamp")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}(?:[ T]\d{2}:\d{2}(?::\d{2})?)?")


def rows_of(path: Path) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The heading and the rows of a CSV file, or of one under gzip; comments (#) and empty lines are left out.

    Raises
    ------
    InputError
        If the file cannot be read or is empty.
    """
    try:
        read = enumerate(csv.reader(_text(path).splitlines()), start=1)
        rows = [(number, row) for number, row in read if row and not row[0].startswith("#")]
    except csv.Error as error:  # a cell of more than 131,072 characters
        raise InputError(f"{path.name}: cannot be read ({error}); expected a CSV file") from None
    if not rows:
        raise InputError(f"{path.name}: found an empty file; expected a heading and rows of time and value")
    return rows[0][1], rows[1:]


_WANTED = "expected a CSV file with a heading and rows of time and value"


def _text(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():  # a pipe may never end
            found = "a folder" if path.is_dir() else "no regular file"
            raise InputError(f"{path.name}: cannot be read ({found}); {_WANTED}")
        with path.open("rb") as stream:
            magic = stream.read(2)
            stream.seek(0)
            data = (gzip.GzipFile(fileobj=stream) if magic == b"\x1f\x8b" else stream).read(MOST_BYTES + 1)
    except (OSError, EOFError, zlib.error) as error:  # missing, broken under gzip
        reason = getattr(error, "strerror", None) or error
        raise InputError(f"{path.name}: cannot be read ({reason}); {_WANTED}") from None
    if len(data) > MOST_BYTES or b"\x00" in data:
        raise InputError(f"{path.name}: found more than {MOST_BYTES:,} bytes, or no text; expected a CSV file")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def times_of(kept: Rows, column: int, name: str) -> Times:
    """The times of a column, rising.

    Raises
    ------
    InputError
        If there are fewer than two, or one is not written like 2024-06-03 14:05, does not exist, or is not later than
        the one above it.
    """
    if len(kept) < 2:
        raise InputError(f"{name}: found {len(kept)} rows under the heading; expected two or more")
    texts = []
    for number, row in kept:
        text = row[column].strip() if column < len(row) else ""
        if not _ISO.fullmatch(text):
            raise InputError(
                f"{name}, line {number}: found the time {text[:30]!r}; expected one like 2024-06-03 14:05 or 2024-06-03"
            )
        texts.append(text)
    try:
        times = np.array(texts, dtype="datetime64[s]")
    except ValueError:
        for number, text in zip((number for number, _ in kept), texts, strict=True):
            try:
                np.datetime64(text, "s")
            except ValueError:
                raise InputError(f"{name}, line {number}: found {text!r}; expected a time that exists") from None
        raise
    back = np.flatnonzero(np.diff(times) <= np.timedelta64(0, "s"))
    if len(back):
        number = kept[int(back[0]) + 1][0]
        word = "the same time as" if times[back[0] + 1] == times[back[0]] else "a time before that of"
        raise InputError(f"{name}, line {number}: found {word} the row above it; expected rising times, each once")
    return times


__all__ = ["MISSING", "MISSING_WORDS", "TIME_WORDS", "Rows", "Times", "rows_of", "times_of"]
