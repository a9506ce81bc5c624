"""Whether the firm's prices, rates, wage and shares are of the usual size: a slip of the decimal point is not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from statistics import median
from types import MappingProxyType

from drainwright.build.book import Book, demonstration_book
from drainwright.build.wording import money

PRICE_TIMES = 5  # a price that many times the one it is held against, or that part of it, is of another unit or a slip
ENOUGH = 6  # prices of the firm's own beside which one of another currency is judged
RATE_TIMES = 5.0  # the same of a rate
WAGE_TIMES = 4  # the same of a wage
#: Shares between which a firm mostly lies; none at all is a choice. Common practice, no source.
USUAL_SHARES: Mapping[str, tuple[Decimal, Decimal]] = MappingProxyType({
    "burden": (Decimal("0.05"), Decimal("1.5")), "overhead": (Decimal("0.03"), Decimal("0.75")),
    "contingency": (Decimal("0.01"), Decimal("0.35")), "profit_margin": (Decimal("0.02"), Decimal("0.5")),
    "sales_tax": (Decimal("0.01"), Decimal("0.3")),
})  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Odd:
    """A figure of another size than usual."""

    where: str  # path in the firm's book: "labour.wage", "items.stone.57"
    name: str  # in words
    figure: str
    usual: str


def _far(value: float, known: float, times: float) -> bool:
    return value > 0 and known > 0 and not 1 / times <= value / known <= times


def comparable(book: Book) -> bool:
    """Whether the book's money is that of the demonstration, so that sums can be held against each other."""
    return book.currency == demonstration_book().currency


def odd_prices(book: Book, keys: Iterable[str]) -> Iterator[Odd]:
    """Prices five times off the demonstration's; those that only the firm has, and prices of nothing, are not told.

    In another currency the demonstration's sums say nothing, but its proportions do: there a price is held against what
    the firm's own prices make of the demonstration's in the middle, where there are ``ENOUGH`` of them.
    """
    usual = demonstration_book()
    same = comparable(book)
    rate = Decimal(1) if same else _exchange(book)
    if rate is None:
        return
    for key in dict.fromkeys(keys):
        item, known = book.item(key), usual.items.get(key)
        if known is None or item.price <= 0 or known.price <= 0 or (item.invented and not same):
            continue
        times = item.price / (known.price * rate)
        if times >= PRICE_TIMES or times * PRICE_TIMES <= 1:
            yield Odd(
                where=f"items.{key}",
                name=item.description,
                figure=f"{money(item.price, book.currency)} a unit",
                usual=money((known.price * rate).quantize(Decimal("0.01")), book.currency)
                + ("" if same else ", by the firm's other prices"),
            )


def _exchange(book: Book) -> Decimal | None:
    """How many times the demonstration's the firm's own prices are in the middle; None: too few of them."""
    usual = demonstration_book().items
    times = [
        item.price / usual[key].price
        for key, item in book.items.items()
        if not item.invented and key in usual and item.price > 0 and usual[key].price > 0
    ]
    return median(times) if len(times) >= ENOUGH else None


def odd_rates(book: Book) -> Iterator[Odd]:
    """The firm's rates five times off the demonstration's."""
    usual = demonstration_book().rates
    for key, rate in book.rates.items():
        if rate.own and _far(rate.value, usual[key].value, RATE_TIMES):
            yield Odd(
                where=f"rates.{key}",
                name=key.replace(".", " "),
                figure=f"{rate.value / usual[key].value:.3g} times the usual",
                usual=f"{usual[key].value:g} {rate.unit}",
            )


def odd_shares(book: Book) -> Iterator[Odd]:
    """A wage of nothing or four times off the demonstration's, and shares and taxes outside of what is usual."""
    usual = demonstration_book()
    if book.wage == 0:
        each = f"{money(book.wage, book.currency)} an hour"
        yield Odd(where="labour.wage", name="wage", figure=each, usual="more than nothing")
    elif comparable(book) and _far(float(book.wage), float(usual.wage), WAGE_TIMES):
        least, most = (money(wage, usual.currency) for wage in (usual.wage / WAGE_TIMES, usual.wage * WAGE_TIMES))
        each = f"{money(book.wage, book.currency)} an hour"
        yield Odd(where="labour.wage", name="wage", figure=each, usual=f"{least} to {most} an hour")
    shares = {
        "labour.burden": ("burden", book.burden),
        **{f"shares.{name}": (name, getattr(book, name)) for name in USUAL_SHARES if name != "burden"},
        **{f"tax.{category}": ("sales_tax", rate) for category, rate in book.tax_rates.items()},
    }
    for where, (name, share) in shares.items():
        low, high = USUAL_SHARES[name]
        if share != 0 and not low <= share <= high:
            words = where.replace("tax.", "tax on ").removeprefix("labour.").removeprefix("shares.").replace("_", " ")
            yield Odd(where=where, name=words, figure=_percent(share), usual=f"{_percent(low)} to {_percent(high)}")


def odd_sizes(book: Book, keys: Iterable[str]) -> tuple[Odd, ...]:
    """All that is of another size than usual: wage and shares, the firm's prices of these items, its rates."""
    return (*odd_shares(book), *odd_prices(book, keys), *odd_rates(book))


def _percent(share: Decimal) -> str:
    return f"{float(100 * share):.3g} %"


__all__ = [
    "PRICE_TIMES", "RATE_TIMES", "WAGE_TIMES", "Odd", "comparable", "odd_prices", "odd_rates", "odd_shares",
    "odd_sizes",
]  # fmt: skip
