"""Pipe sticks: the fewest sticks from which all pieces can be cut, the saw's kerf counted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError, require

KERF = 0.004  # width of a saw cut (common practice, no source) [m]
EFFORT = 500_000  # most sticks looked at before the search gives up its proof: a quarter of a second


@dataclass(frozen=True, slots=True, kw_only=True)
class Sticks:
    """A cutting list."""

    stick: float  # length sold [m]
    count: int
    least: int  # no fewer can do
    cuts: tuple[tuple[float, ...], ...]  # pieces of each stick, the longest first [m]

    @property
    def proven(self) -> bool:
        """Whether the count is proven to be the least."""
        return self.count == self.least

    @property
    def bought(self) -> float:
        """Length bought [m]."""
        return self.count * self.stick


def split(length: float, stick: float) -> list[float]:
    """A straight length as whole sticks and the rest [m]."""
    require("above zero", np.greater, stick=stick)
    require("zero or more", np.greater_equal, length=length)
    full = math.floor(length / stick + 1e-9)
    rest = length - full * stick
    return [stick] * full + ([rest] if rest > 1e-6 else [])


def cut_sticks(pieces: Sequence[float], stick: float, kerf: float = KERF) -> Sticks:
    """The fewest sticks for a list of pieces: first-fit decreasing, then a search that proves or improves it.

    Parameters
    ----------
    pieces : Sequence of float
        Lengths, each above zero and no longer than the stick. [m]
    stick : float
        Length sold, above zero. [m]
    kerf : float
        Lost at each cut, zero or more; the last piece of a stick may need none. [m]

    Returns
    -------
    Sticks
        With the cutting list; ``proven`` tells whether no fewer sticks can do.

    Raises
    ------
    InputError
        If a value is not finite or out of range, or a piece is longer than the stick.

    Notes
    -----
    A stick of length S takes pieces whose sum, with a kerf between them, is at most S. That is bin packing with
    sizes (piece + kerf) in bins of (S + kerf). The search is branch and bound over the pieces in falling order;
    after a fixed effort it keeps the best list and its lower bound.

    Examples
    --------
    >>> cut_sticks([2.0, 2.0, 1.0, 1.0], 3.0, 0.0).count
    2
    """
    require("above zero", np.greater, stick=stick, **{f"pieces[{i}]": piece for i, piece in enumerate(pieces)})
    require("zero or more", np.greater_equal, kerf=kerf)
    if any(piece > stick + 1e-9 for piece in pieces):
        raise InputError(f"pieces = {max(pieces)!r}: expected no piece longer than the stick, {stick!r} m")
    whole = [piece for piece in pieces if piece > stick - 1e-9]
    sizes = sorted((piece + kerf for piece in pieces if piece <= stick - 1e-9), reverse=True)
    room = stick + kerf
    best = _first_fit(sizes, room)
    least = _least(sizes, room)
    if len(best) > least:
        best, least = _search(sizes, room, best, least)
    cuts = [(piece,) for piece in whole] + [tuple(size - kerf for size in filled) for filled in best]
    return Sticks(stick=stick, count=len(cuts), least=least + len(whole), cuts=tuple(cuts))


def _first_fit(sizes: Sequence[float], room: float) -> list[list[float]]:
    sticks: list[list[float]] = []
    for size in sizes:
        for filled in sticks:
            if sum(filled) + size <= room + 1e-9:
                filled.append(size)
                break
        else:
            sticks.append([size])
    return sticks


def _least(sizes: Sequence[float], room: float) -> int:
    """By length, and by pieces over half a stick, of which no two share one."""
    by_length = math.ceil(math.fsum(sizes) / room - 1e-9)
    return max(by_length, sum(1 for size in sizes if size > room / 2 + 1e-9))


def _search(sizes: Sequence[float], room: float, best: list[list[float]], least: int) -> tuple[list[list[float]], int]:
    """Branch and bound; gives the best list and what is proven to be the least."""
    tried = 0
    rests = [math.fsum(sizes[index:]) for index in range(len(sizes) + 1)]
    stop = False

    def fill(index: int, sticks: list[list[float]], free: list[float]) -> None:
        nonlocal best, tried, stop
        if stop:
            return
        if index == len(sizes):
            if len(sticks) < len(best):
                best = [list(filled) for filled in sticks]
                stop = len(best) == least
            return
        more = math.ceil((rests[index] - math.fsum(free)) / room - 1e-9)
        if len(sticks) + max(0, more) >= len(best):
            return
        tried += 1 + len(free)
        if tried > EFFORT:
            stop = True
            return
        size, seen = sizes[index], set()
        for number, left in enumerate(free):
            key = round(left, 9)
            if size <= left + 1e-9 and key not in seen:
                seen.add(key)
                sticks[number].append(size)
                free[number] -= size
                fill(index + 1, sticks, free)
                free[number] += size
                sticks[number].pop()
        if len(sticks) + 1 < len(best):
            sticks.append([size])
            free.append(room - size)
            fill(index + 1, sticks, free)
            sticks.pop()
            free.pop()

    fill(0, [], [])
    return best, (len(best) if tried <= EFFORT else least)


def best_sticks(lengths: Sequence[float], sold: Sequence[float], kerf: float = KERF) -> Sticks:
    """Sticks for straight lengths, from the stick length that buys least (then the one with fewest joints).

    Parameters
    ----------
    lengths : Sequence of float
        Straight lengths between fittings, each split into whole sticks and a rest. [m]
    sold : Sequence of float
        Stick lengths sold, one or more. [m]
    kerf : float
        Lost at each cut. [m]

    Returns
    -------
    Sticks
        The choice.

    Raises
    ------
    InputError
        If nothing is sold, or a value is out of range.
    """
    if not sold:
        raise InputError(f"sold = {sold!r}: expected one stick length or more")
    options = [
        cut_sticks([piece for length in lengths for piece in split(length, stick)], stick, kerf) for stick in sold
    ]
    return min(options, key=lambda option: (round(option.bought, 6), -option.stick))


__all__ = ["EFFORT", "KERF", "Sticks", "best_sticks", "cut_sticks", "split"]
