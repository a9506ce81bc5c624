"""Trials of the rules of the offer: deposit, stage payments, the least charge."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from drainwright.build.model import Payment
from drainwright.findings.rules import Case

from .change import Change, Trial, as_designed, fact, job, put


def paid(*stages: tuple[str, str, str]) -> Change:
    """Payments on a price of a thousand: when, what, and the share of the cost that is spent by then."""

    def change(case: Case) -> Case:
        total, before, made = Decimal("1000.00"), Decimal(0), []
        for when, amount, done in stages:
            before += Decimal(amount)
            made.append(
                Payment(when=when, amount=Decimal(amount), paid=before, share=before / total, done=Decimal(done))  # type: ignore[arg-type]
            )
        case = put("build", "payments", to=tuple(made))(case)
        return replace(case, build=replace(case.build, price=replace(case.build.price, total=total)))

    return change


def least(raised: bool) -> Change:
    """A least charge that raises the price, or does not."""

    def change(case: Case) -> Case:
        case = job("offer", "minimum_charge", to=Decimal("50000.00"))(case)
        return put("build", "price", "minimum", to=Decimal("50000.00") if raised else None)(case)

    return change


LIMIT = job("rules", "deposit_fraction", to=fact(0.3))
OVER = paid(("signing", "300.01", "0"), ("completion", "699.99", "1"))
TRIALS = (
    Trial("OFF-01", "ok", as_designed, where="offer.stages"),
    Trial("OFF-01", "ok", lambda case: LIMIT(paid(("signing", "300", "0"), ("completion", "700", "1"))(case))),
    Trial("OFF-01", "fails", lambda case: LIMIT(OVER(case)), says="$300.01"),
    Trial(
        "OFF-01", "fails",
        lambda case: job("rules", "deposit_cap", to=fact(100.0))(
            paid(("signing", "200", "0"), ("completion", "800", "1"))(case)
        ),
        says="$100.00",
    ),
    Trial("OFF-01", None, paid(("completion", "1000", "1"))),
    Trial("OFF-02", "ok", as_designed),
    Trial(
        "OFF-02", "caution", paid(("signing", "100", "0"), ("drains laid", "500", "0.55"), ("completion", "400", "1")),
        says="60 % paid",
    ),
    Trial("OFF-02", "ok", paid(("signing", "100", "0"), ("drains laid", "450", "0.55"), ("completion", "450", "1"))),
    Trial(
        "OFF-02", None,
        lambda case: job("rules", "payments_follow_work", to=fact(False))(
            paid(("signing", "100", "0"), ("drains laid", "500", "0.55"), ("completion", "400", "1"))(case)
        ),
    ),
    Trial("OFF-03", "ok", as_designed),
    Trial("OFF-03", "caution", paid(("drains laid", "960", "0.9"), ("completion", "40", "1")), says="4 % on"),
    Trial("OFF-03", "ok", paid(("drains laid", "950", "0.9"), ("completion", "50", "1"))),
    Trial("OFF-04", None, as_designed),
    Trial("OFF-04", "caution", least(True), says="$50,000.00"),
    Trial("OFF-04", "ok", least(False)),
    Trial("OFF-05", "ok", as_designed),
    Trial("OFF-05", "caution", put("build", "price", "contingency", to=Decimal("12.00")), says="$12.00"),
    Trial("OFF-05", None, put("build", "plan", "doubt", to=None)),
)  # fmt: skip
