"""Pipe sticks: the cheapest from which all pieces can be cut, the saw's kerf counted, of one length or of many."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.errors import InputError, require
from drainwright.kept import kept
from drainwright.system.bends import SHORTEST

KERF = 0.004  # width of a saw cut (common practice, no source) [m]
EFFORT = 500_000  # most sticks looked at before the search gives up its proof: a quarter of a second
MIXED_EFFORT = 60_000  # the same where stick lengths are mixed
SAME = 1e-7  # costs nearer than this are one


@dataclass(frozen=True, slots=True, kw_only=True)
class Sticks:
    """A cutting list."""

    stick: float  # length into which straight lengths are parted: no piece is longer [m]
    cuts: tuple[tuple[float, ...], ...]  # pieces of each stick, the longest first [m]
    lengths: tuple[float, ...]  # length sold that each of ``cuts`` is taken from [m]
    cost: float  # of all sticks: their count, or by the prices given
    least: float  # none can cost less

    @property
    def count(self) -> int:
        """Sticks to buy."""
        return len(self.cuts)

    @property
    def proven(self) -> bool:
        """Whether no list of these pieces is proven to cost less."""
        return self.cost <= self.least + SAME

    @property
    def bought(self) -> float:
        """Length bought [m]."""
        return math.fsum(self.lengths)


def split(length: float, stick: float) -> list[float]:
    """A straight length as whole sticks and the rest; a rest too short to join takes from the stick before it [m].

    Examples
    --------
    >>> split(7.0, 3.0), split(6.1, 3.0)
    ([3.0, 3.0, 1.0], [3.0, 2.8, 0.3])
    """
    require("above zero", np.greater, stick=stick)
    require("zero or more", np.greater_equal, length=length)
    full = math.floor(length / stick + 1e-9)
    rest = length - full * stick
    if rest <= 1e-6:
        return [stick] * full
    if full and rest < SHORTEST < stick / 2:
        return [stick] * (full - 1) + [stick - (SHORTEST - rest), SHORTEST]
    return [stick] * full + [rest]


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
    first, least = _first_fit(sizes, room), _least(sizes, room)
    best = first
    if len(first) > least:
        bound = least
        best, least = kept("sticks alike", (sizes, room, first, bound), lambda: _search(sizes, room, first, bound))
    cuts = [(piece,) for piece in whole] + [tuple(size - kerf for size in filled) for filled in best]
    return Sticks(stick=stick, cuts=tuple(cuts), lengths=(stick,) * len(cuts), cost=len(cuts), least=least + len(whole))


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
    sticks: list[list[float]] = []
    free: list[float] = []  # of each stick
    keys: list[float] = []  # the same, rounded: equal ones are tried once

    def fill(index: int, spare: float) -> None:
        nonlocal best, tried, stop
        if index == len(sizes):
            if len(sticks) < len(best):
                best = [list(filled) for filled in sticks]
                stop = len(best) == least
            return
        more = math.ceil((rests[index] - spare) / room - 1e-9)
        if len(sticks) + max(0, more) >= len(best):
            return
        tried += 1 + len(free)
        if tried > EFFORT:
            stop = True
            return
        size, seen = sizes[index], set()
        for number, left in enumerate(free):
            if size > left + 1e-9 or (key := keys[number]) in seen:
                continue
            seen.add(key)
            sticks[number].append(size)
            free[number], keys[number] = left - size, round(left - size, 9)
            fill(index + 1, spare - size)
            free[number], keys[number] = left, key
            sticks[number].pop()
            if stop:
                return
        if len(sticks) + 1 < len(best):
            sticks.append([size])
            free.append(room - size)
            keys.append(round(room - size, 9))
            fill(index + 1, spare + (room - size))
            for stack in (sticks, free, keys):
                stack.pop()

    fill(0, 0.0)
    return best, (len(best) if tried <= EFFORT else least)


def cut_mixed(pieces: Sequence[float], prices: Mapping[float, float], kerf: float = KERF) -> Sticks:
    """The cheapest sticks for a list of pieces, where sticks of more than one length are sold.

    Parameters
    ----------
    pieces : Sequence of float
        Lengths, each above zero and no longer than the longest stick. [m]
    prices : Mapping of float to float
        Price of a stick by its length [m], one or more, all above zero.
    kerf : float
        Lost at each cut, zero or more. [m]

    Returns
    -------
    Sticks
        ``cost`` is by the prices; of lists that cost the same one with the fewest sticks is sought, not proven.

    Raises
    ------
    InputError
        If a value is not finite or out of range, nothing is sold, or a piece is longer than every stick.

    Notes
    -----
    Bin packing with bins of several sizes, by branch and bound over the pieces in falling order. A stick in the making
    costs what the cheapest one that holds its pieces costs; no list costs less than what is paid so far, and for what
    is left beyond the room already paid for, the best price per length, rounded up to what prices can add up to.

    Examples
    --------
    >>> cut_mixed([3.0, 1.5, 1.0], {2.0: 2.0, 4.0: 3.0}, 0.0).lengths  # 3 and 1 from the long one, 1.5 from the short
    (4.0, 2.0)
    """
    if not prices:
        raise InputError(f"prices = {dict(prices)!r}: expected one stick length or more")
    require("above zero", np.greater, **{f"pieces[{i}]": piece for i, piece in enumerate(pieces)})
    require(
        "above zero", np.greater, **{f"prices[{i}]": value for i, pair in enumerate(prices.items()) for value in pair}
    )
    require("zero or more", np.greater_equal, kerf=kerf)
    longest = max(prices)
    if any(piece > longest + 1e-9 for piece in pieces):
        raise InputError(f"pieces = {max(pieces)!r}: expected no piece longer than the longest stick, {longest!r} m")
    rooms = _worth(prices, kerf)
    if len(rooms) == 1:
        ((_, price, length),) = rooms
        alike = cut_sticks(pieces, length, kerf)
        return replace(alike, cost=alike.cost * price, least=alike.least * price)
    sizes = sorted((piece + kerf for piece in pieces), reverse=True)
    start = min(
        (_first_fit(sizes, room) for room, _, _ in rooms if not sizes or sizes[0] <= room + 1e-9),
        key=lambda sticks: (round(_cost(sticks, rooms), 6), len(sticks)),
    )
    best, least = kept("sticks", (sizes, rooms, start), lambda: _search_mixed(sizes, rooms, start))
    taken = [_fitting(sum(filled), rooms) for filled in best]
    order = sorted(range(len(best)), key=lambda i: (-taken[i][2], [-size for size in best[i]]))
    return Sticks(
        stick=longest,
        cuts=tuple(tuple(size - kerf for size in best[i]) for i in order),
        lengths=tuple(taken[i][2] for i in order),
        cost=math.fsum(taken[i][1] for i in order),
        least=least,
    )


_Room = tuple[float, float, float]  # room with a kerf, price, length


def _worth(prices: Mapping[float, float], kerf: float) -> list[_Room]:
    """Stick lengths worth buying, the shortest first: none that a longer one undercuts."""
    kept: list[_Room] = []
    for length in sorted(prices, reverse=True):
        if not kept or prices[length] < kept[-1][1] - SAME:
            kept.append((length + kerf, prices[length], length))
    return kept[::-1]


def _fitting(filled: float, rooms: Sequence[_Room]) -> _Room:
    for room in rooms:
        if filled <= room[0] + 1e-9:
            return room
    raise InputError(f"filled = {filled!r}: expected no more than the longest stick holds")


def _cost(sticks: Sequence[Sequence[float]], rooms: Sequence[_Room]) -> float:
    return math.fsum(_fitting(sum(filled), rooms)[1] for filled in sticks)


def _grain(prices: Sequence[float]) -> float:
    """The largest sum of money of which all prices are multiples; 0 where they are no whole cents."""
    cents = [round(price * 100) for price in prices]
    if any(abs(price * 100 - count) > 1e-6 for price, count in zip(prices, cents, strict=True)):
        return 0.0
    return math.gcd(*cents) / 100


def _up(cost: float, grain: float) -> float:
    """The least cost that prices can add up to, at or above a bound."""
    return math.ceil(cost / grain - 1e-6) * grain if grain > 0.0 else cost


def _search_mixed(
    sizes: Sequence[float], rooms: Sequence[_Room], start: list[list[float]]
) -> tuple[list[list[float]], float]:
    """Branch and bound; gives the best list and what is proven to be the least cost."""
    rests = [math.fsum(sizes[index:]) for index in range(len(sizes) + 1)]
    rate = min(price / room for room, price, _ in rooms)
    best, best_cost, tried = start, _cost(start, rooms), 0
    grain = _grain([price for _, price, _ in rooms])
    bound = _up(rate * rests[0], grain)
    largest, last = rooms[-1][0] + 1e-9, len(sizes)

    sticks: list[list[float]] = []
    used: list[float] = []  # of each stick
    keys: list[float] = []  # the same, rounded: equal ones are tried once
    costs: list[float] = []  # of each stick
    spares: list[float] = []  # room that is paid for and empty, at the best price per length

    def hopeless(index: int, paid: float, spare: float) -> bool:
        """Whether nothing that costs less can come of it; where all pieces are placed nothing more has to."""
        least = paid + rate * max(0.0, rests[index] - spare)
        if grain > 0.0:
            least = math.ceil(least / grain - 1e-6) * grain
        return least > best_cost - SAME and index < last

    def fill(index: int, paid: float, spare: float) -> None:
        nonlocal best, best_cost, tried
        if tried > MIXED_EFFORT or best_cost <= bound + SAME:
            return
        if index == last:
            if (paid, len(sticks)) < (best_cost - SAME, 0) or (paid <= best_cost + SAME and len(sticks) < len(best)):
                best, best_cost = [list(filled) for filled in sticks], paid
            return
        tried += 1 + len(used)
        size, seen = sizes[index], set()
        for number, filled in enumerate(used):
            more = filled + size
            if more > largest or (key := keys[number]) in seen:
                continue
            seen.add(key)
            cost, was = costs[number], spares[number]
            dearer = _fitting(more, rooms)[1]
            empty = dearer / rate - more
            if hopeless(index + 1, paid + (dearer - cost), spare + (empty - was)):
                continue
            sticks[number].append(size)
            used[number], keys[number], costs[number], spares[number] = more, round(more, 9), dearer, empty
            fill(index + 1, paid + (dearer - cost), spare + (empty - was))
            used[number], keys[number], costs[number], spares[number] = filled, key, cost, was
            sticks[number].pop()
        cost = _fitting(size, rooms)[1]
        empty = cost / rate - size
        if hopeless(index + 1, paid + cost, spare + empty):
            return
        sticks.append([size])
        used.append(size)
        keys.append(round(size, 9))
        costs.append(cost)
        spares.append(empty)
        fill(index + 1, paid + cost, spare + empty)
        for stack in (sticks, used, keys, costs, spares):
            stack.pop()

    if not hopeless(0, 0.0, 0.0):
        fill(0, 0.0, 0.0)
    return best, (best_cost if tried <= MIXED_EFFORT else min(best_cost, bound))


def best_sticks(
    lengths: Sequence[float], prices: Mapping[float, float], kerf: float = KERF, parted: float | None = None
) -> Sticks:
    """Sticks for straight lengths, of one length or mixed: the cheapest, then the fewest.

    Parameters
    ----------
    lengths : Sequence of float
        Straight lengths between fittings, each split into whole sticks and a rest. [m]
    prices : Mapping of float to float
        Price of a stick by its length [m], one or more.
    kerf : float
        Lost at each cut. [m]
    parted : float, optional
        Part the lengths into whole sticks of this length, and only so. [m]

    Returns
    -------
    Sticks
        The choice. All lengths are parted by whole sticks of one length; the rests are cut from any.

    Raises
    ------
    InputError
        If nothing is sold, or a value is out of range.
    """
    if not prices:
        raise InputError(f"prices = {dict(prices)!r}: expected one stick length or more")
    options = []
    for stick in prices if parted is None else (parted,):
        pieces = [piece for length in lengths for piece in split(length, stick)]
        full = [piece for piece in pieces if piece > stick - 1e-9]
        rest = cut_mixed([piece for piece in pieces if piece <= stick - 1e-9], prices, kerf)
        options.append(
            Sticks(
                stick=stick,
                cuts=(*((piece,) for piece in full), *rest.cuts),
                lengths=(*(stick for _ in full), *rest.lengths),
                cost=len(full) * prices[stick] + rest.cost,
                least=len(full) * prices[stick] + rest.least,
            )
        )
    return min(options, key=lambda option: (round(option.cost, 6), option.count, -option.stick))


__all__ = ["EFFORT", "KERF", "MIXED_EFFORT", "Sticks", "best_sticks", "cut_mixed", "cut_sticks", "split"]
