"""Checks of the firm's prices and rates: how old they are, and whether one is a slip of the pen."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from decimal import Decimal

from drainwright.build.book import Book, book_for, missing_shares, own_shares
from drainwright.build.model import PriceLine
from drainwright.build.sizes import (
    ENOUGH,
    PRICE_TIMES,
    RATE_TIMES,
    WAGE_TIMES,
    comparable,
    odd_prices,
    odd_rates,
    odd_shares,
)
from drainwright.build.stale import too_old
from drainwright.findings.offer import brief_percent
from drainwright.findings.rules import Case, Outcome, caution, ok, rule

MOST = 4  # things named one by one


def _own(case: Case, book: Book) -> tuple[PriceLine, ...]:
    """The lines of the price that rest on the firm's prices; a pump at its own sheet's price is none."""
    return tuple(line for line in _by_book(case) if not book.item(line.key).invented)


def _by_book(case: Case) -> tuple[PriceLine, ...]:
    """The lines of what is bought at a price of the book, not of its own."""
    keys = {line.key for line in case.build.takeoff.lines if line.own_price is None}
    return tuple(line for line in case.build.price.lines if line.key in keys)


def invented_part(case: Case) -> tuple[str, str]:
    """What of a price is invented, as a figure and in a sentence."""
    price = case.build.price
    book = book_for(case.job.price_book)
    if not _own(case, book) or case.job.price_book.book is None or case.job.price_book.book.invented:
        return price.book, "The prices are the demonstration book's, which is invented."
    lines = [line for line in _by_book(case) if book.item(line.key).invented]
    share = brief_percent(sum((line.amount for line in lines), Decimal(0)) / max(price.direct_cost, Decimal("0.01")))
    missing = ", ".join(name.rpartition(".")[2].replace("_", " ") for name in missing_shares(case.job.price_book))
    wage = f"Of the wage and the shares the demonstration book gives {missing}, which is invented. "
    prices = f"{len(lines)} prices of this job, {share} of its cost before overhead, are the demonstration book's."
    return f"{len(lines)} prices, {share} of the cost", (wage if book.invented_shares else "") + prices


def _listed(names: Sequence[str]) -> str:
    shown = list(dict.fromkeys(names))
    more = f" and {len(shown) - MOST} more" if len(shown) > MOST else ""
    return ", ".join(shown[:MOST]) + more


AHEAD = datetime.timedelta(days=366)  # a job is priced anew this long after its visit or start: common practice


@rule("PRC-01", "Prices of the day", "common_practice")
def age(case: Case) -> Iterator[Outcome]:
    """A price that was asked for long ago is not what will be paid; one of the far future is a slip."""
    book = book_for(case.job.price_book)
    own = _own(case, book)
    day = case.job.date or case.job.crew.start
    if not own or day is None:
        return
    last = max(day, case.job.crew.start or day) + AHEAD
    ahead = [line for line in own if book.item(line.key).dated > last]
    if ahead:
        yield caution(
            "price_book",
            f"{len(ahead)} of the firm's prices are dated long after this job: {_listed([a.description for a in ahead])}.",
            figure=f"dated {max(book.item(line.key).dated for line in ahead).isoformat()}",
            limit=f"no later than {last.isoformat()}",
            advice="Look at the dates in the book: a slip there would keep a price from ever growing old.",
        )
        return
    old = {one.key: one for one in too_old(book, (line.key for line in own), day)}
    allowed = sorted({book.days_good(line.key) for line in own})
    limit = " or ".join(f"{days} days" for days in allowed) + ("" if book.stale_after else " (common practice)")
    if not old:
        yield ok(
            "price_book", "Every price of the firm's is fresh enough.", figure=f"on {day.isoformat()}", limit=limit
        )
        return
    lines = [line for line in own if line.key in old]
    share = sum((line.amount for line in lines), Decimal(0)) / max(case.build.price.direct_cost, Decimal("0.01"))
    oldest = max(one.days for one in old.values())
    yield caution(
        "price_book",
        f"{len(old)} of the firm's {len({line.key for line in own})} prices in this job are old on {day.isoformat()}: "
        f"{_listed([line.description for line in lines])}. {brief_percent(share)} of the cost before overhead rests on them.",
        figure=f"{oldest} days",
        limit=limit,
        advice="Ask for these prices again, and date them in the book, before the offer goes out.",
    )


@rule("PRC-02", "No price of nothing", "common_practice")
def nothing(case: Case) -> Iterator[Outcome]:
    """What costs nothing in the book is mostly a price that nobody filled in."""
    own = _own(case, book_for(case.job.price_book))
    free = [line.description for line in own if line.unit_price == 0]
    if free:
        yield caution(
            "price_book",
            f"The firm's book gives no price to {_listed(free)}.",
            figure=f"0 for {len(free)} of {len(own)} lines",
            limit="a price above zero",
            advice="Fill the price in; where it is truly free, say so in its note.",
        )
    elif own:
        yield ok(
            "price_book", "Each of the firm's prices is above zero.", figure=f"{len(own)} lines", limit="above zero"
        )


@rule("PRC-03", "Prices near the usual", "common_practice")
def far_prices(case: Case) -> Iterator[Outcome]:
    """A price five times off is mostly one of another unit, or its point has moved."""
    book = book_for(case.job.price_book)
    own = _own(case, book)
    same = comparable(book)
    held = "the demonstration's" if same else "what the firm's other prices make likely"
    limit = f"less than {PRICE_TIMES} times {held}, and more than that part of it"
    far = list(odd_prices(book, (line.key for line in own)))
    for one in far:
        yield caution(
            "price_book",
            f"{one.name}: the firm's {one.figure} is far from {one.usual}"
            + (", which is invented, but of the usual size." if same else "."),
            figure=one.figure,
            limit=limit,
            advice="See that the price is for one unit as the book counts it, and its decimal point.",
        )
    if own and not far and (same or len(own) >= ENOUGH):
        yield ok(
            "price_book", "No price of the firm's is out of the ordinary.", figure=f"{len(own)} lines", limit=limit
        )


@rule("PRC-04", "Rates near the usual", "common_practice")
def far_rates(case: Case) -> Iterator[Outcome]:
    """A rate five times off is mostly one of another unit."""
    book = book_for(case.job.price_book)
    own = sum(rate.own for rate in book.rates.values())
    far = list(odd_rates(book))
    limit = f"{RATE_TIMES:g} times the demonstration's, or a part of it as small"
    for one in far:
        yield caution(
            "price_book",
            f"The firm's rate for '{one.name}' is {one.figure}.",
            figure=one.figure,
            limit=limit,
            advice="See that the rate is in its own unit, and for one person.",
        )
    if own and not far:
        yield ok("price_book", "No rate of the firm's is out of the ordinary.", figure=f"{own} rates", limit=limit)


@rule("PRC-05", "Wage and shares near the usual", "common_practice")
def far_shares(case: Case) -> Iterator[Outcome]:
    """A wage or a share with its decimal point elsewhere moves the whole price."""
    own = case.job.price_book
    book = book_for(own)
    far = list(odd_shares(book))
    wage = f"a wage within {WAGE_TIMES} times the demonstration's, " if comparable(book) else ""
    for one in far:
        yield caution(
            "price_book",
            f"The firm's {one.name} of {one.figure} is far from the usual: the whole price rests on it.",
            figure=one.figure,
            limit=one.usual,
            advice="See its decimal point, and what it is a share of, before anyone is shown a price.",
        )
    given = own_shares(own)
    if given and not far:
        yield ok(
            "price_book",
            "Neither the firm's wage nor a share of its price is out of the ordinary."
            if wage
            else "No share of the firm's price is out of the ordinary; its wage, in another money, was not looked at.",
            figure=f"{len(given)} of its own",
            limit=f"{wage}shares as firms have them",
        )


__all__ = ["age", "far_prices", "far_rates", "far_shares", "invented_part", "nothing"]
