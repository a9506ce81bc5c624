"""Checks of the offer: what is paid when, within the place's limits."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from drainwright.build.model import Payment
from drainwright.build.payments import LEAST
from drainwright.build.price import deposit
from drainwright.build.wording import money
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.worksheet import quiet

SHARE = Decimal("0.005")  # payments are held against the work to half a percent [-]


def brief_percent(share: Decimal) -> str:
    """``35.8 %``, without needless decimals."""
    return percent(share.quantize(Decimal("0.001")), 1).replace(".0 %", " %")


@rule("OFF-01", "Deposit within the place's limit", "common_practice")
def first_payment(case: Case) -> Iterator[Outcome]:
    """What is asked on signing is no more than the place allows."""
    price, rules = case.build.price, case.job.rules
    asked = next((item for item in case.build.payments if item.when == "signing"), None)
    if asked is None:
        return
    cap = rules.deposit_cap
    share = Decimal(str(rules.deposit_fraction.value))
    with quiet():  # the price has recorded it
        limit = deposit(price.total, share, None if cap is None else Decimal(str(cap.value)))
    told = {
        "figure": f"{money(asked.amount, price.currency)} on signing",
        "limit": f"{money(limit, price.currency)}: {price.deposit_rule}",
        "basis": rules.deposit_fraction.basis,
    }
    if asked.amount > limit:
        yield fails(
            "offer.stages",
            "The deposit is more than the place allows.",
            advice="Ask for less on signing and more once work stands; look up the place's rule.",
            **told,
        )
    else:
        yield ok("offer.stages", "The deposit keeps the place's limit.", **told)


def paid_ahead(item: Payment) -> bool:
    """Whether a stage asks for more by then than the work that surely stands: no invoice is written for it."""
    return item.when not in ("signing", "completion") and item.share > item.done + SHARE


@rule("OFF-02", "Payments follow the work", "common_practice")
def ahead_of_work(case: Case) -> Iterator[Outcome]:
    """Apart from the deposit nobody pays for work that does not stand yet."""
    rule_ = case.job.rules.payments_follow_work
    currency = case.build.price.currency
    for item in case.build.payments:
        if item.when in ("signing", "completion") or not rule_.value:
            continue
        figure, limit = (
            f"{brief_percent(item.share)} paid",
            f"{brief_percent(item.done)} of the cost surely spent by then",
        )
        if paid_ahead(item):
            yield caution(
                "offer.stages",
                f"With the payment when '{item.when}' the customer has paid {money(item.paid, currency)}, ahead of the "
                "work that stands.",
                figure=figure,
                limit=limit,
                advice="Move a part of it to a later stage.",
                basis=rule_.basis,
            )
        else:
            yield ok(
                "offer.stages", f"The payment when '{item.when}' stays behind the work.", figure=figure, limit=limit,
                basis=rule_.basis,
            )  # fmt: skip


@rule("OFF-03", "Something due at the end", "common_practice")
def at_the_end(case: Case) -> Iterator[Outcome]:
    """A part of the price waits until the works have been tried with water."""
    price = case.build.price
    last = case.build.payments[-1] if case.build.payments else None
    if last is None or price.total <= 0:
        return
    share = last.amount / price.total
    figure, limit = f"{brief_percent(share)} on completion", f"{brief_percent(LEAST)} or more"
    if share < LEAST:
        yield caution(
            "offer.stages",
            "Almost nothing is due when the works are tried: the customer has no hold on their being finished.",
            figure=figure,
            limit=limit,
            advice="Keep 5 to 10 % for the water test and the handover.",
        )
    else:
        yield ok("offer.stages", "A part of the price waits for the water test.", figure=figure, limit=limit)


@rule("OFF-04", "Least charge", "common_practice")
def least_charge(case: Case) -> Iterator[Outcome]:
    """Where the firm's least charge sets the price, the work itself does not."""
    price = case.build.price
    if case.job.offer.minimum_charge is None:
        return
    least = f"{money(case.job.offer.minimum_charge, price.currency)} or more"
    worked = f"{money(price.before_tax, price.currency)} before tax"
    if price.minimum is None:
        yield ok("offer.minimum_charge", "The work is worth more than the least charge.", figure=worked, limit=least)
    else:
        yield caution(
            "offer.minimum_charge",
            "The firm's least charge sets the price: the work alone comes to less.",
            figure=f"{brief_percent(price.margin)} margin",
            limit=least,
            advice="Say so to the customer, or look for what else is worth doing on the same visit.",
        )


@rule("OFF-05", "Contingency and slow days", "common_practice")
def slow_days(case: Case) -> Iterator[Outcome]:
    """The contingency is worth the hours by which eight jobs of ten stay within."""
    price, doubt = case.build.price, case.build.plan.doubt
    if doubt is None or price.labour <= 0:
        return
    more = max(Decimal("0.00"), doubt.labour_bad - price.labour)
    figure = f"{money(price.contingency, price.currency)} of contingency"
    limit = f"{money(more, price.currency)} or more: labour in eight cases of ten, over what is reckoned"
    if more > price.contingency:
        yield caution(
            "price_book",
            "The contingency does not carry the hours of a slow job: in two cases of ten the profit pays for them.",
            figure=figure,
            limit=limit,
            advice="Raise the contingency, or measure what the hours hang on.",
            basis=Basis.ASSUMED,
        )
    else:
        yield ok("price_book", "The contingency carries a slow job.", figure=figure, limit=limit, basis=Basis.ASSUMED)


__all__ = ["ahead_of_work", "at_the_end", "brief_percent", "first_payment", "least_charge", "paid_ahead", "slow_days"]
