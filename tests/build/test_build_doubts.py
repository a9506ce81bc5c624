"""What may make hours more or less: ranges of the trade, what nobody measured, what the firm has learned."""

from __future__ import annotations

import dataclasses
from types import MappingProxyType
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.doubts import RANGES, with_doubts
from drainwright.build.handling import hand_shares
from drainwright.build.schedule import Work
from drainwright.build.trials import three_points

from .sample import make_site, make_system

BOOK = demonstration_book()


def doubted(key: str, book: Any = BOOK, **changes: Any) -> Work:
    site = make_site(**changes)
    dig = build_side(site, make_system()).dig
    shares = hand_shares(dig, site, make_system())
    (found,) = with_doubts([Work(key=key, title=key, hours=10.0, quantity="")], site, dig, shares, book)
    return found


def causes(item: Work) -> set[str]:
    return {one.cause for one in item.doubt}


def test_the_ranges_hold_the_rates_of_the_book() -> None:
    """Ranges as the book's own notes tell them: common practice, no source."""
    for name, slow, fast in RANGES.values():
        rate = BOOK.rates[name]
        assert min(slow, fast) <= rate.value <= max(slow, fast)
        for number in (slow, fast):
            assert f"{number:g}" in rate.note or f"{number:.1f}" in rate.note, name


def test_a_wall_takes_by_the_range_of_its_rate() -> None:
    own = next(one for one in doubted("clean").doubt if one.cause == "")
    assert (own.low, own.high) == pytest.approx((40 / 60, 40 / 25))
    basin = next(one for one in doubted("basin").doubt if one.cause == "")
    assert (basin.low, basin.high) == pytest.approx((3 / 4.5, 6 / 4.5))


def test_soil_hits_the_digging_alone_and_more_where_it_is_assumed() -> None:
    assert "hardness of the soil" in causes(doubted("open"))
    assert "hardness of the soil" not in causes(doubted("coat-1"))
    assumed = doubted("open", ground={"texture": "sandy loam, assumed"})
    assert three_points(assumed).high > three_points(doubted("open")).high
    assert all(one.low <= 1 <= one.high for one in assumed.doubt)


def test_a_rate_that_the_firm_has_learned_is_as_sure_as_its_jobs_agree() -> None:
    rates = dict(BOOK.rates)
    rates["clean"] = dataclasses.replace(rates["clean"], spread=0.05, unsure=0.02)
    own = dataclasses.replace(BOOK, rates=MappingProxyType(rates))
    assert three_points(doubted("clean", own)).high < three_points(doubted("clean")).high
    assert three_points(doubted("coat-1", own)) == three_points(doubted("coat-1"))


def test_both_passes_are_in_doubt_alike() -> None:
    assert doubted("open").doubt == doubted("open-even").doubt
    assert doubted("coat-1").doubt == doubted("coat-2-even").doubt
