"""What is told in several places is told by one rule: days with weather, a price's range, a margin."""

from __future__ import annotations

from decimal import Decimal

import pytest

from drainwright.build.wording import money_band
from drainwright.design import Design
from drainwright.findings.offer import brief_percent
from drainwright.office.views.price import price_figure
from drainwright.paper.documents.blocks import Notice
from drainwright.paper.documents.day_words import work_words
from drainwright.paper.documents.proposal_terms import price_band, price_first


def test_the_first_page_tells_days_with_the_weather(pumped: Design) -> None:
    plan = pumped.build.plan
    assert plan.doubt is not None
    assert plan.doubt.booked_bad > plan.doubt.days_bad
    (notice,) = price_first(pumped)
    assert isinstance(notice, Notice)
    assert work_words(plan) in notice.items
    weather = f"{plan.doubt.booked_likely} and {plan.doubt.booked_bad} with days lost to weather."
    assert weather in " ".join(notice.items)


def test_one_range(pumped: Design) -> None:
    price = pumped.build.price
    band = money_band(price.low, price.high, price.currency)
    assert band in price_band(price)
    assert price_figure(pumped).band == band
    assert any(band in answer.answer for answer in pumped.answers)


@pytest.mark.parametrize(
    ("share", "said"), [("0.2000", "20 %"), ("0.1996", "20 %"), ("0.3578", "35.8 %"), ("0.3575", "35.8 %")]
)
def test_one_rounding_of_a_margin(share: str, said: str) -> None:
    assert brief_percent(Decimal(share)) == said
