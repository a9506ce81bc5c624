"""From cost to price, in Decimal to the cent. Margin is of the price, mark-up is of the cost."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from drainwright.build.book import Book
from drainwright.build.model import CrewPlan, Price, PriceLine, Takeoff, UnitPrice
from drainwright.build.wording import BASIS_WORDS, money
from drainwright.errors import InputError
from drainwright.job.place import Rules
from drainwright.worksheet import Card, catalogued, place

CENT = Decimal("0.01")
ZERO = Decimal("0.00")
TRAVEL = "The way to the job and back"
UNWORKED = "Paid but not worked: short days, up to the least that is paid"


def cents(amount: Decimal) -> Decimal:
    """Rounded to the cent, half up."""
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)


@catalogued(
    Card(
        title="Price from cost by margin: profit is a share of the price",
        symbol="P",
        expression="cost over (1 - margin), to the cent",
        units={"cost": "currency", "margin": "-", "result": "currency"},
        source="common_practice",
        expression_kind="procedure",
    )
)
def price_by_margin(cost: Decimal, margin: Decimal) -> Decimal:
    """Price before tax from a margin: P = C / (1 - m). A margin of 20 % is a mark-up of 25 %.

    Parameters
    ----------
    cost : Decimal
        Zero or more.
    margin : Decimal
        Share of the price, from 0 to under 1.

    Returns
    -------
    Decimal
        Price, to the cent.

    Raises
    ------
    InputError
        If the cost is negative or the margin is out of range.

    Examples
    --------
    >>> price_by_margin(Decimal("100.00"), Decimal("0.20"))
    Decimal('125.00')
    """
    if not (cost.is_finite() and cost >= 0):
        raise InputError(f"cost = {cost}: expected an amount, zero or more")
    if not (margin.is_finite() and 0 <= margin < 1):
        raise InputError(f"margin = {margin}: expected a share of the price, from 0 to under 1")
    return cents(cost / (1 - margin))


@catalogued(
    Card(
        title="Deposit: the smaller of a share of the price and a cap",
        symbol="D",
        expression="min(share times total, cap), rounded down to the cent",
        units={"total": "currency", "share": "-", "cap": "currency", "result": "currency"},
        source="common_practice",
        expression_kind="procedure",
    )
)
def deposit(total: Decimal, share: Decimal, cap: Decimal | None) -> Decimal:
    """Largest deposit the place's rule allows.

    Parameters
    ----------
    total : Decimal
        Price with tax.
    share : Decimal
        Share of it, from 0 to 1.
    cap : Decimal or None
        Greatest amount; None where there is no cap.

    Returns
    -------
    Decimal
        Deposit, never over the limit: rounded down to the cent.

    Examples
    --------
    >>> deposit(Decimal("20000.00"), Decimal("0.10"), Decimal("1000"))
    Decimal('1000.00')
    """
    amount = total * share
    return (amount if cap is None else min(amount, cap)).quantize(CENT, rounding="ROUND_DOWN")


def price(
    takeoff: Takeoff,
    plan: CrewPlan,
    book: Book,
    rules: Rules,
    *,
    allowed: Sequence[UnitPrice] = (),
    minimum: Decimal | None = None,
) -> Price:
    """Cost, overhead, contingency, profit, tax and deposit.

    Parameters
    ----------
    takeoff : Takeoff
        What to get.
    plan : CrewPlan
        The hours.
    book : Book
        Prices and shares.
    rules : Rules
        The place's deposit rule.
    allowed : sequence of UnitPrice
        Unforeseen work; what each includes is in the price at its unit price.
    minimum : Decimal, optional
        The firm's least price before tax; what lacks to it is profit.

    Returns
    -------
    Price
        Each line rounded to the cent, and every sum the exact sum of its rounded parts. ``low`` has no
        contingency, ``high`` has it twice.

    Raises
    ------
    InputError
        If the book has no price for a line.
    """
    lines = (*_labour(plan, book), *_materials(takeoff, book))
    labour, materials = _sum(lines, "labour"), _sum(lines, "material")
    other = _sum(lines, "haul", "hire", "permits")
    direct = labour + materials + other
    overhead = cents(direct * book.overhead)
    contingency = cents((direct + overhead) * book.contingency)
    cost = direct + overhead + contingency
    with place("price_book", "price before tax"):
        worked = price_by_margin(cost, book.profit_margin)
    allowances, tax = _allowed(allowed)
    tax += cents(book.tax((line.category, line.amount) for line in lines if line.taxable))
    before_tax = max(worked + allowances, ZERO if minimum is None else cents(minimum))
    raised = before_tax - worked - allowances
    profit = worked - cost + raised
    first, rule = _deposit(before_tax + tax, rules, book)
    return Price(
        lines=lines,
        labour=labour,
        materials=materials,
        other=other,
        direct_cost=direct,
        overhead=overhead,
        contingency=contingency,
        cost=cost,
        profit=profit,
        allowances=allowances,
        minimum=minimum if raised > 0 else None,
        margin=_share(profit, before_tax),
        markup=_share(profit, cost),
        before_tax=before_tax,
        tax=tax,
        total=before_tax + tax,
        deposit=first,
        deposit_rule=rule,
        low=_total(direct + overhead, book, allowances, minimum) + tax,
        high=_total(direct + overhead + 2 * contingency, book, allowances, minimum) + tax,
        currency=book.currency,
        book=f"{book.name}, {book.dated.isoformat()}",
        invented=book.invented_for(line.key for line in takeoff.lines if line.own_price is None),
    )


def _allowed(allowed: Sequence[UnitPrice]) -> tuple[Decimal, Decimal]:
    """What allowances include, before tax, and its tax."""
    counts = [(one, Decimal(str(one.included))) for one in allowed if one.included > 0]
    before_tax = sum((cents(one.before_tax * count) for one, count in counts), ZERO)
    return before_tax, sum((cents(one.tax * count) for one, count in counts), ZERO)


def _deposit(total: Decimal, rules: Rules, book: Book) -> tuple[Decimal, str]:
    """The deposit, and the rule that it goes by, in words."""
    with place("rules.deposit_fraction"):
        cap = rules.deposit_cap
        share = Decimal(str(rules.deposit_fraction.value))
        first = deposit(total, share, None if cap is None else Decimal(str(cap.value)))
    rule = f"{share * 100:f}".rstrip("0").rstrip(".") + " % of the total"
    if cap is not None:
        rule += f", no more than {money(Decimal(str(cap.value)), book.currency)}"
    return first, f"{rule} ({BASIS_WORDS[rules.deposit_fraction.basis]})"


def _total(cost: Decimal, book: Book, allowances: Decimal, minimum: Decimal | None) -> Decimal:
    worked = cents(cost / (1 - book.profit_margin)) + allowances
    return worked if minimum is None else max(worked, cents(minimum))


def _share(part: Decimal, whole: Decimal) -> Decimal:
    return Decimal("0.0000") if whole == 0 else (part / whole).quantize(Decimal("0.0001"))


def _sum(lines: tuple[PriceLine, ...], *categories: str) -> Decimal:
    return sum((line.amount for line in lines if line.category in categories), ZERO)


def _labour(plan: CrewPlan, book: Book) -> list[PriceLine]:
    hour = cents(book.wage * (1 + book.burden))
    return [
        PriceLine(
            key=f"labour.{task.key}",
            description=f"{task.title}, with somebody standing by at live lines" if task.watch > 0 else task.title,
            quantity=task.hours,
            unit="h",
            unit_price=hour,
            amount=cents(Decimal(str(task.hours)) * hour),
            category="labour",
            taxable=book.taxes("labour"),
        )
        for task in plan.tasks
    ] + [
        PriceLine(
            key=f"labour.{key}",
            description=title,
            quantity=hours,
            unit="h",
            unit_price=hour,
            amount=cents(Decimal(str(hours)) * hour),
            category="labour",
            taxable=book.taxes("labour"),
        )
        for key, title, hours in (("travel", TRAVEL, plan.travel), ("unworked", UNWORKED, plan.unworked))
        if hours > 0
    ]


def _materials(takeoff: Takeoff, book: Book) -> list[PriceLine]:
    lines = []
    for line in takeoff.lines:
        item = book.item(line.key)
        if item.unit != line.unit:
            raise InputError(f"unit = {line.unit!r}: expected {item.unit!r}, the price book's unit of {line.key!r}")
        each = item.price if line.own_price is None else cents(Decimal(str(line.own_price)))
        lines.append(
            PriceLine(
                key=line.key,
                description=line.description,
                quantity=line.quantity,
                unit=line.unit,
                unit_price=each,
                amount=cents(Decimal(str(line.quantity)) * each),
                category=item.category,
                taxable=item.taxable,
            )
        )
    return lines


__all__ = ["CENT", "TRAVEL", "UNWORKED", "cents", "deposit", "price", "price_by_margin"]
