"""The code that opens a job's page: its address, and its squares as a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from urllib.parse import quote

from drainwright.job.firm import NUMBER
from drainwright.job.model import Job

QUIET = 4  # modules of white all round: ISO/IEC 18004, from memory


def page_address(job: Job) -> str:
    """The address of this job's page; empty where the firm has none, or the job no number."""
    number = job.number.strip()
    if not job.firm.job_page or not number:
        return ""
    return job.firm.job_page.replace(NUMBER, quote(number, safe=""))


def code_of(address: str) -> tuple[tuple[bool, ...], ...]:
    """The squares of the code of an address, row by row; true is dark.

    Parameters
    ----------
    address : str
        What a phone is to open.

    Returns
    -------
    tuple of tuple of bool
        A square without its white margin. Error correction is of level M: a worn print still reads.
    """
    import segno

    made = segno.make_qr(address, error="m")
    return tuple(tuple(bool(module) for module in row) for row in made.matrix)


def code_svg(squares: Sequence[Sequence[bool]]) -> str:
    """A code as one path, a rectangle for each run of dark squares in a row."""
    side = len(squares) + 2 * QUIET
    parts = []
    for down, row in enumerate(squares):
        across = 0
        for dark, run in groupby(row):
            count = len(tuple(run))
            if dark:
                parts.append(f"M{across + QUIET} {down + QUIET}h{count}v1h-{count}z")
            across += count
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" shape-rendering="crispEdges">'
        f'<rect width="{side}" height="{side}" fill="#ffffff"/><path d="{"".join(parts)}" fill="#000000"/></svg>'
    )


__all__ = ["QUIET", "code_of", "code_svg", "page_address"]
