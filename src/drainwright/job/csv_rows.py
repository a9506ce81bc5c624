"""Rows of a CSV file with their lines, safely."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator

from drainwright.job.loading import Spot, refusal

_LINE_END = re.compile(r"\r\n|\r|\n")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029]")


def csv_rows(text: str, name: str, where: str) -> Iterator[tuple[int, list[str]]]:
    """The cells of each row, stripped, with its line; empty rows, and rows that begin with #, are passed over.

    Parameters
    ----------
    text : str
        Comma-separated values.
    name, where : str
        File and part that the errors name.

    Yields
    ------
    int, list of str
        Line, counted from 1, and cells.

    Raises
    ------
    JobError
        At a control character, or a row that cannot be read.
    """
    lines = _LINE_END.split(text.rstrip("\r\n"))
    for number, line in enumerate(lines, start=1):
        if match := _CONTROL.search(line):
            found = f"a control character (U+{ord(match[0]):04X})"
            raise refusal(found, "plain text", where=where, file=name, spot=Spot(number, match.start() + 1))
    reader = csv.reader(lines, strict=True)
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            if any(stripped) and not stripped[0].startswith("#"):
                yield reader.line_num, stripped
    except csv.Error as error:
        spot = Spot(reader.line_num, 1)
        raise refusal(
            f"a row that cannot be read ({error})", "comma-separated values", where=where, file=name, spot=spot
        ) from None


__all__ = ["csv_rows"]
