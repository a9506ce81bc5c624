"""The choice of sticks by all that hangs on it: sticks, couplings, cement, primer, and the hours of the joints."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from itertools import chain, combinations, product
from typing import TypeVar

from drainwright.build.book import Book
from drainwright.build.model import TakeoffLine
from drainwright.build.sticks import Sticks, best_sticks

Made = TypeVar("Made")
MOST = 128  # choices that are all tried; beyond, pipe by pipe


def choices(pieces: Sequence[float], prices: Mapping[float, float]) -> tuple[Sticks, ...]:
    """The sticks that straight lengths can be cut from: each set of lengths sold, parted by each length of the set.

    Parameters
    ----------
    pieces : Sequence of float
        Straight lengths between fittings. [m]
    prices : Mapping of float to float
        Price of a stick by its length [m], one or more.

    Returns
    -------
    tuple of Sticks
        The cheapest sticks come first, then the fewest.

    Notes
    -----
    What can be had without one length is among what can be had with it, so that a length out of stock never makes a
    choice of all these cheaper.
    """
    sets = chain.from_iterable(combinations(sorted(prices), count) for count in range(1, len(prices) + 1))
    found = [
        best_sticks(pieces, {stick: prices[stick] for stick in some}, parted=parted) for some in sets for parted in some
    ]
    found.sort(key=lambda one: (round(one.cost, 6), one.count, -one.stick))
    return tuple({(one.stick, one.cuts, one.lengths): one for one in reversed(found)}.values())[::-1]


def whole_cost(lines: Iterable[TakeoffLine], fittings: int, book: Book) -> Decimal:
    """What lines and the hours of fittings add to the price with tax; no rounding between.

    Parameters
    ----------
    lines : iterable of TakeoffLine
        What is bought.
    fittings : int
        Made up by hand, each at the book's rate.
    book : Book
        Prices, wage, shares and tax.

    Returns
    -------
    Decimal
        In the book's currency.
    """
    bought = [(book.item(line.key), Decimal(str(line.quantity))) for line in lines]
    goods = sum((item.price * count for item, count in bought), Decimal(0))
    labour = Decimal(str(fittings * book.rate("fitting"))) * book.wage * (1 + book.burden)
    taxed: list[tuple[str, Decimal]] = [(item.category, item.price * count) for item, count in bought if item.taxable]
    taxed += [("labour", labour)] if book.taxes("labour") else []
    shares = (1 + book.overhead) * (1 + book.contingency) / (1 - book.profit_margin)
    return (goods + labour) * shares + book.tax(taxed)


def cheapest(
    options: Mapping[str, Sequence[Sticks]], make: Callable[[dict[str, Sticks]], Made], cost: Callable[[Made], Decimal]
) -> Made:
    """The choice for all pipes that costs least as a whole; of equal ones the first.

    Parameters
    ----------
    options : Mapping of str to Sequence of Sticks
        By pipe, from ``choices``.
    make : function of dict to Made
        What is counted with one choice for each pipe.
    cost : function of Made to Decimal
        Its whole cost.

    Returns
    -------
    Made
        Of all choices where there are no more than ``MOST``; else pipe after pipe, from the cheapest sticks, until
        nothing gets cheaper.
    """
    names = list(options)
    best = make({name: options[name][0] for name in names})
    least = cost(best)
    if math.prod(len(some) for some in options.values()) <= MOST:
        for picked in product(*options.values()):
            tried = make(dict(zip(names, picked, strict=True)))
            if (found := cost(tried)) < least:
                best, least = tried, found
        return best
    chosen = {name: options[name][0] for name in names}
    better = True
    while better:
        better = False
        for name in names:
            for one in options[name]:
                tried = make({**chosen, name: one})
                if (found := cost(tried)) < least:
                    best, least, better = tried, found, True
                    chosen[name] = one
    return best


__all__ = ["cheapest", "choices", "whole_cost"]
