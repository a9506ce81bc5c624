"""Whose price each line of the cost rests on: the firm's own and of when, the job's, or an invented one."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from drainwright.build.book import SHARES, book_for, own_shares
from drainwright.build.model import Build, PriceLine
from drainwright.build.stale import too_old
from drainwright.job.model import Job

Whose = Literal["firm's", "job's", "sheet's", "demonstration's", "example's"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """A line of what is bought, hired and paid, with whose price it is."""

    line: PriceLine
    whose: Whose  # "sheet's": of a pump's own data sheet; "example's": of a book that says it is invented
    dated: datetime.date | None  # of the firm's and the job's prices
    old: bool  # older than the firm's book lets it be, on the job's day


def marked_lines(job: Job, build: Build) -> tuple[Marked, ...]:
    """Each line that is no labour, in the order of the takeoff, with whose price it is.

    Parameters
    ----------
    job : Job
        Its price book, and its day: of the visit, else of the start; without either no price is told old.
    build : Build
        Takeoff and price, made with that book.

    Returns
    -------
    tuple of Marked
        A price that is not the firm's is never told old: an invented one has no age.
    """
    own = job.price_book
    book = book_for(own)
    day = job.date or job.crew.start
    lines = [line for line in build.price.lines if line.category != "labour"]
    old = set() if day is None else {one.key for one in too_old(book, (line.key for line in lines), day)}
    firm = {} if own.book is None else own.book.items
    found = []
    for taken, line in zip(build.takeoff.lines, lines, strict=True):
        item = book.item(line.key)
        whose: Whose = (
            "sheet's" if taken.own_price is not None
            else "job's" if line.key in own.prices
            else "firm's" if line.key in firm and not item.invented
            else "example's" if line.key in firm
            else "demonstration's"
        )  # fmt: skip
        dated = item.dated if whose in ("firm's", "job's") else None
        found.append(Marked(line=line, whose=whose, dated=dated, old=dated is not None and line.key in old))
    return tuple(found)


def marked_shares(job: Job) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The wage and the shares that are the firm's own, and those that are not."""
    own = own_shares(job.price_book)
    return tuple(name for name in SHARES if name in own), tuple(name for name in SHARES if name not in own)


__all__ = ["Marked", "Whose", "marked_lines", "marked_shares"]
