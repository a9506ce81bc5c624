"""Fabric by the roll: strips as wide as the stone's girth with its lap, and the rolls they come from."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from drainwright.build.model import Roll
from drainwright.build.stone import END_LAP, TOP_LAP, Bed
from drainwright.build.units import FOOT

WIDTHS = tuple(FOOT * width for width in (3.0, 4.0, 6.0, 7.5, 12.5, 15.0))  # of rolls sold, from memory [m]
LENGTHS = tuple(FOOT * length for length in (50.0, 100.0, 300.0))  # of rolls sold, from memory [m]
MOST = 6  # rolls of the shorter lengths that are tried beside the longest


def strips(bed: Bed) -> tuple[float, list[tuple[str, float, float]]]:
    """The roll width for a bed's fabric, and its strips: more than one, lapped along their sides, if none is so wide.

    Returns
    -------
    float, list
        Width of the roll; run, width wanted and length with laps of each strip. [m]
    """
    width, length = bed.strip
    if width <= WIDTHS[-1] + 1e-9:
        return next(sold for sold in WIDTHS if width <= sold + 1e-9), [(bed.run, width, length)]
    number = math.ceil((width - TOP_LAP) / (WIDTHS[-1] - TOP_LAP) - 1e-9)
    each = (width - TOP_LAP) / number + TOP_LAP
    return next(sold for sold in WIDTHS if each <= sold + 1e-9), [(bed.run, each, length)] * number


def fewest(length: float, sold: Sequence[float] = LENGTHS, lap: float = END_LAP) -> tuple[int, ...]:
    """How many rolls of each length sold: the least length that covers ``length``, each join lapped; then the fewest.

    Examples
    --------
    >>> fewest(40.0, (15.0, 30.0), 0.5)  # 30 + 15, one lap of 0.5 between them
    (1, 1)
    """
    longest = sold[-1]
    full = max(0, math.floor(length / longest) - 1)
    choices = itertools.product(*(range(MOST + 1) for _ in sold[:-1]), range(full, full + 4))
    fit = (
        counts
        for counts in choices
        if sum(counts)
        and math.fsum(n * one for n, one in zip(counts, sold, strict=True)) - (sum(counts) - 1) * lap >= length - 1e-9
    )
    return min(
        fit, key=lambda counts: (round(math.fsum(n * one for n, one in zip(counts, sold, strict=True)), 6), sum(counts))
    )


def rolls(beds: Iterable[Bed], waste: float) -> tuple[Roll, ...]:
    """Rolls to buy for all beds.

    Parameters
    ----------
    beds : Iterable of Bed
        Those with fabric count.
    waste : float
        Beyond the laps, of the length. [-]

    Returns
    -------
    tuple of Roll
        By width; each size of a width is one entry, and its strips are those of the width.
    """
    by_width: dict[float, list[tuple[str, float, float]]] = {}
    for bed in beds:
        if bed.fabric > 0:
            width, cut = strips(bed)
            by_width.setdefault(width, []).extend(cut)
    found = []
    for width in sorted(by_width):
        cut = by_width[width]
        counts = fewest(math.fsum(length for _, _, length in cut) * (1 + waste))
        found += [
            Roll(width=width, length=length, count=count, strips=tuple(cut))
            for length, count in zip(LENGTHS, counts, strict=True)
            if count
        ]
    return tuple(found)


__all__ = ["LENGTHS", "WIDTHS", "fewest", "rolls", "strips"]
