"""Work at walls that are bared in short lengths: first all odd lengths, closed again, then the even ones."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from drainwright.build.panels import BaredLength
from drainwright.build.portions import portion
from drainwright.build.schedule import Work

EVEN = "-even"
HELD = "-held"  # of work in a dig that may not be entered
NO_REST = "not begun on the last day before a weekend"
ODD_FIRST = f"only the odd lengths of the safe-dig sheet's table, an unopened length between each two; {NO_REST}"
ODD_FILLED = f"ODD LENGTHS FILLED AND TAMPED, seen by the competent person, before any even length is opened; {NO_REST}"
#: Ends of what is buried until its neighbour is laid: common practice, no source.
WRAPPED = "each open end of pipe and of stone wrapped in fabric and tied, its place and depth taped and photographed"
ONCE_EACH = "inspect"
AT_THE_END = ("shape", "paving-back", "lay-finish", "restore", "finish")  # these wait for both passes


def in_passes(
    works: Sequence[Work],
    shares: Mapping[str, float],
    length: str,
    amounts: Mapping[str, float] | None = None,
    *,
    even_part: float = 0.5,
) -> tuple[Work, ...]:
    """Split the work at the walls into two passes, the second after the first is backfilled.

    Parameters
    ----------
    works : Sequence of Work
        As if the walls were bared whole, in the order of the papers.
    shares : mapping of str to float
        For each work that touches the walls, the part of it that is done there: over 0, at most 1. [-]
    length : str
        The length bared at once, in words.
    amounts : mapping of str to float, optional
        The same parts of the amounts, where they are not those of the hours. [-]
    even_part : float
        Of the walls, what the even lengths have; an inspector comes once to each pass. [-]

    Returns
    -------
    tuple of Work
        The same hours and loads in all, and neither pass begun on the last day before a weekend. The first pass keeps
        the works' keys and takes all that is not at the walls; cure waits count in each pass, for each has its own
        coats.
    """
    split = {work.key for work in works if 0.0 < shares.get(work.key, 0.0) <= 1.0}

    def even(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(name + EVEN if name in split else name for name in names)

    first: list[Work] = []
    second: list[Work] = []
    last: list[Work] = []
    for work in works:
        if work.key in AT_THE_END:
            last.append(replace(work, after=tuple(dict.fromkeys((*work.after, *even(work.after))))))
        elif work.key not in split:
            first.append(work)
        else:
            later_part = 0.5 if work.key == ONCE_EACH else even_part
            part = shares[work.key] * later_part
            taken = (amounts or {}).get(work.key, shares[work.key]) * later_part
            whole = shares[work.key] == 1.0
            later = round(work.loads * part)
            opens = work.key.removesuffix(HELD) == "open"
            of = f" of {length} at most" if opens else ""
            first.append(
                replace(
                    work,
                    title=f"{work.title} (odd lengths{of}{'' if whole else ' at the walls, and all elsewhere'})",
                    hours=work.hours * (1 - part),
                    quantity=portion(work.quantity, 1 - part, 1 - taken),
                    loads=work.loads - later,
                    hold=_with(ODD_FIRST, work.hold)
                    if opens
                    else _with(WRAPPED, work.hold)
                    if work.key == "backfill" and "pipe" in split
                    else work.hold,
                    rests=opens,
                )
            )
            second.append(
                replace(
                    work,
                    key=work.key + EVEN,
                    title=f"{work.title} (even lengths{of}{'' if whole else ' at the walls'})",
                    hours=work.hours * part,
                    quantity=portion(work.quantity, part, taken),
                    loads=later,
                    after=("backfill", f"backfill{HELD}") if opens else even(work.after),
                    hold=_with(ODD_FILLED, work.hold) if opens else work.hold,
                    held=even(work.held),
                    rests=opens,
                )
            )
    return (*first, *second, *last)


def even_share(lengths: Sequence[BaredLength]) -> float:
    """What the even lengths have of all that is bared. [-]"""
    return math.fsum(one.end - one.start for one in lengths if not one.odd) / math.fsum(
        one.end - one.start for one in lengths
    )


def in_lengths(keys: Iterable[str]) -> bool:
    """Whether works of these keys bare walls in lengths, one half closed before the other is opened."""
    return f"open{EVEN}" in keys


def _with(first: str, hold: str) -> str:
    return f"{first}; {hold}" if hold else first


__all__ = ["EVEN", "HELD", "even_share", "in_lengths", "in_passes"]
