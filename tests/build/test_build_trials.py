"""How sure the days are: the laws against closed forms, the trials against plans made one by one and other draws."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.days_doubt import BAD, LIKELY, LOST, days_doubt
from drainwright.build.schedule import Doubt, Work, arrange
from drainwright.build.trials import ThreePoint, drawn_hours, drivers, ends, shared_parts, three_points
from drainwright.build.working_days import WorkingDays
from drainwright.errors import InputError
from drainwright.job.firm import Crew
from drainwright.job.values import Basis

from .sample import make_site, make_system
from .test_build_days import nets


def work(key: str, hours: float, *after: str, doubt: tuple[Doubt, ...] = (), most: int = 99, wait: float = 0.0) -> Work:
    return Work(key=key, title=key, hours=hours, quantity="", after=after, most=most, wait=wait, doubt=doubt)


OWN = (Doubt("", 0.7, 1.8),)


@given(st.floats(0.1, 50.0), st.floats(0.3, 1.0), st.floats(1.0, 3.0))
def test_mean_and_variance_are_those_of_the_beta_law(likely: float, low: float, high: float) -> None:
    """Malcolm, Roseboom, Clark and Fazar 1959 for the mean; the variance of the beta law itself by scipy."""
    point = ThreePoint(low * likely, likely, high * likely)
    if point.high - point.low < 1e-6 * likely:
        return
    wide = point.high - point.low
    law = stats.beta(1 + 4 * (likely - point.low) / wide, 1 + 4 * (point.high - likely) / wide, point.low, wide)
    assert point.mean == pytest.approx(law.mean(), rel=1e-9)
    assert point.variance == pytest.approx(law.var(), rel=1e-9)
    shares = np.array([0.05, 0.5, 0.8])
    assert point.at(shares) == pytest.approx(law.ppf(shares), rel=1e-7)


def test_a_middle_law_has_the_variance_of_perts_sixth() -> None:
    """Even on both sides: (high - low)² / 28, where PERT's own rule of thumb says / 36."""
    assert ThreePoint(2.0, 5.0, 8.0).variance == pytest.approx(36 / 28)


def test_three_points_out_of_order_are_refused() -> None:
    with pytest.raises(InputError, match="in this order"):
        ThreePoint(3.0, 2.0, 4.0)


def test_drawn_hours_have_the_moments_of_their_law() -> None:
    works = [work("a", 10.0, doubt=OWN), work("b", 4.0, doubt=(Doubt("soil", 0.9, 1.5), Doubt("", 0.8, 1.2)))]
    hours = drawn_hours(works, 20_000)
    for column, item in enumerate(works):
        point = three_points(item)
        assert hours[:, column].mean() == pytest.approx(point.mean, rel=2e-3)
        assert hours[:, column].var() == pytest.approx(point.variance, rel=2e-2)
        assert point.low <= hours[:, column].min()
        assert hours[:, column].max() <= point.high


@settings(max_examples=30, deadline=None)
@given(st.floats(0.3, 1.0), st.floats(1.0, 3.0))
def test_the_table_of_the_law_is_the_law(low: float, high: float) -> None:
    item = work("a", 10.0, doubt=(Doubt("", low, high),))
    drawn = np.sort(drawn_hours([item], 512)[:, 0])
    exact = three_points(item).at((np.arange(512) + 0.5) / 512)
    assert drawn == pytest.approx(exact, rel=2e-4)


def test_causes_add_by_their_squares() -> None:
    item = work("dig", 1.0, doubt=(Doubt("", 0.5, 2.0), Doubt("soil", 0.5, 2.0)))
    assert three_points(item).high == pytest.approx(2 ** math.sqrt(2))
    assert three_points(item).low == pytest.approx(2 ** -math.sqrt(2))
    causes, parts = shared_parts([item])
    assert causes == ("soil",)
    assert parts[0, 0] ** 2 == pytest.approx(0.5)


def test_what_hits_all_hits_them_together() -> None:
    soil = (Doubt("soil", 0.7, 1.8),)
    both = drawn_hours([work("a", 10.0, doubt=soil), work("b", 20.0, doubt=soil)], 4000)
    assert np.corrcoef(both.T)[0, 1] == pytest.approx(1.0)
    half = (Doubt("soil", 0.7, 1.8), Doubt("", 0.7, 1.8))
    some = drawn_hours([work("a", 10.0, doubt=half), work("b", 20.0, doubt=half)], 4000)
    assert np.corrcoef(some.T)[0, 1] == pytest.approx(0.5, abs=0.04)
    apart = drawn_hours([work("a", 10.0, doubt=OWN), work("b", 20.0, doubt=OWN)], 4000)
    assert abs(np.corrcoef(apart.T)[0, 1]) < 0.05
    kept = [drawn.sum(axis=1).std() / drawn.std(axis=0).sum() for drawn in (both, some, apart)]
    assert kept == sorted(kept, reverse=True)
    assert kept[0] == pytest.approx(1.0)


@settings(max_examples=40, deadline=None)
@given(nets(largest=8), st.integers(1, 4), st.floats(4.0, 12.0), st.booleans())
def test_every_trial_is_the_plan_of_its_own_hours(works: list[Work], people: int, day: float, dated: bool) -> None:
    """Each trial against ``arrange`` with that trial's hours, in the order of choice that the likely hours gave."""
    calendar = WorkingDays(start=datetime.date(2026, 4, 15)) if dated else WorkingDays()
    offsets = calendar.offsets(400)
    likely = np.array([[item.hours for item in works]])
    found = ends(works, likely, people, day, offsets[None, :])
    placed = arrange(works, people, day, calendar)
    assert found[0] == pytest.approx([item.end for item in placed], abs=1e-6)


def test_trials_with_other_hours_follow_the_same_rule() -> None:
    """A chain and a free work: where the order of choice cannot change, each trial is a plan of its own."""
    works = [
        work("dig", 20.0, doubt=OWN),
        work("coat", 6.0, "dig", doubt=OWN, most=2, wait=24.0),
        work("fill", 10.0, "coat", doubt=OWN),
    ]
    calendar = WorkingDays(start=datetime.date(2026, 4, 15))
    hours = drawn_hours(works, 64)
    found = ends(works, hours, 3, 8.0, np.repeat(calendar.offsets(60)[None, :], 64, axis=0))
    for row in range(64):
        mine = [replace(item, hours=float(hours[row, column])) for column, item in enumerate(works)]
        assert found[row] == pytest.approx([item.end for item in arrange(mine, 3, 8.0, calendar)], abs=1e-6)


def test_a_chain_of_one_crew_is_the_sum_of_its_laws() -> None:
    """One person, one work after the other: the span is the sum of independent laws, here by exact convolution."""
    works = [work("a", 10.0, doubt=OWN)]
    for name, before, hours in (("b", "a", 6.0), ("c", "b", 14.0), ("d", "c", 8.0)):
        works.append(work(name, hours, before, doubt=OWN))
    hours = drawn_hours(works, 8192)
    last = ends(works, hours, 1, 8.0, np.repeat(np.arange(60)[None, :], 8192, axis=0)).max(axis=1)
    step = 0.005
    density = np.array([1.0])
    start = 0.0
    for item in works:
        point = three_points(item)
        wide = point.high - point.low
        law = stats.beta(
            1 + 4 * (point.likely - point.low) / wide, 1 + 4 * (point.high - point.likely) / wide, point.low, wide
        )
        edges = np.arange(point.low, point.high + step, step)
        density = np.convolve(density, np.diff(law.cdf(edges)))
        start += point.low + step / 2
    cumulated = np.cumsum(density)
    for share in (0.5, 0.8):
        exact = start + step * np.searchsorted(cumulated, share)
        assert np.quantile(last, share) == pytest.approx(exact, rel=4e-3)
    mean = sum(three_points(item).mean for item in works)
    deviation = math.sqrt(sum(three_points(item).variance for item in works))
    assert last.mean() == pytest.approx(mean, rel=2e-3)
    assert np.quantile(last, 0.8) == pytest.approx(stats.norm(mean, deviation).ppf(0.8), rel=1e-2)


def test_median_and_eight_of_ten_against_other_draws() -> None:
    """Plain normal numbers and scipy's beta law, in 200,000 draws: half and eight of ten of the hours."""
    rows = [
        work("a", 30.0, doubt=(Doubt("soil", 0.8, 1.5), Doubt("", 0.8, 1.3))),
        work("b", 20.0, "a", doubt=(Doubt("soil", 0.8, 1.5), Doubt("", 0.9, 1.6))),
        work("c", 25.0, "b", doubt=(Doubt("", 0.6, 1.4),)),
    ]
    generator = np.random.default_rng(7)
    count = 200_000
    common = generator.standard_normal(count)
    total = np.zeros(count)
    for item in rows:
        wide = [math.log(one.high / one.low) for one in item.doubt]
        part = wide[0] / math.hypot(*wide) if item.doubt[0].cause else 0.0
        mixed = stats.norm.cdf(part * common + math.sqrt(1 - part**2) * generator.standard_normal(count))
        low = item.hours * math.exp(-math.hypot(*(math.log(one.low) for one in item.doubt)))
        high = item.hours * math.exp(math.hypot(*(math.log(one.high) for one in item.doubt)))
        span = high - low
        law = stats.beta(1 + 4 * (item.hours - low) / span, 1 + 4 * (high - item.hours) / span, low, span)
        total += np.interp(mixed, np.linspace(0, 1, 2001), law.ppf(np.linspace(0, 1, 2001)))
    found = drawn_hours(rows).sum(axis=1)  # as many trials as a plan has
    for share in (LIKELY, BAD):
        assert np.quantile(found, share) == pytest.approx(np.quantile(total, share), rel=1.5e-2)


def test_drivers_add_up_and_name_the_largest() -> None:
    works = [
        work("dig", 40.0, doubt=(Doubt("soil", 0.7, 1.8), Doubt("", 0.95, 1.05))),
        work("lay", 10.0, doubt=(Doubt("", 0.8, 1.2),)),
    ]
    found = drivers(works, drawn_hours(works))
    assert sum(found.values()) == pytest.approx(1.0)
    assert next(iter(found)) == "soil"
    assert found["soil"] > 0.9


def test_no_weather_books_as_many_days_as_are_worked() -> None:
    works = [work("dig", 60.0, doubt=OWN), work("fill", 30.0, "dig", doubt=OWN)]
    book = demonstration_book()
    dry = days_doubt(works, Crew.model_validate({"size": 2, "lost_days": [0.0] * 12}), book)
    assert dry is not None
    assert (dry.booked_likely, dry.booked_bad) == (dry.days_likely, dry.days_bad)
    assert dry.weather_basis is Basis.STATED
    wet = days_doubt(works, Crew.model_validate({"size": 2, "lost_days": [0.5] * 12}), book)
    assert wet is not None
    assert wet.days_likely == dry.days_likely
    assert wet.booked_likely == pytest.approx(1 + (dry.days_likely - 1) / 0.5, abs=1)
    assert dry.end_likely is None


def test_days_lost_are_a_negative_binomial() -> None:
    """Days that are surely worked, each lost by its share: the least number of days for so many good ones, by scipy."""
    works = [work("dig", 79.9)]
    crew = Crew.model_validate({"size": 1, "start": "2026-06-01", "lost_days": [0.3] * 12})
    found = days_doubt(works, crew, demonstration_book())
    assert found is not None
    assert found.days_likely == found.days_bad == 10
    law = stats.nbinom(9, 0.7, loc=10)  # the first day stands
    for booked, share in ((found.booked_likely, LIKELY), (found.booked_bad, BAD)):
        off = 2.5 * math.sqrt(share * (1 - share) / found.trials)
        assert law.cdf(booked - 1) - off < share <= law.cdf(booked) + off
    dates = WorkingDays(start=datetime.date(2026, 6, 1)).dates(40)
    assert found.end_likely == dates[found.booked_likely - 1]


def test_assumed_weather_is_marked() -> None:
    found = build_side(make_site(), make_system()).plan.doubt
    assert found is not None
    assert found.weather_basis is Basis.ASSUMED
    assert 0 < LOST < 0.5
    assert found.days_likely <= found.days_bad
    assert found.booked_bad >= found.days_bad
    assert found.labour_bad > found.labour_likely > Decimal(0)


def test_equal_jobs_have_equal_doubt() -> None:
    one, other = (build_side(make_site(), make_system()).plan for _ in range(2))
    assert one == other


def test_hours_in_doubt_are_skewed_towards_more() -> None:
    """The mean lies above the plan's own hours: ranges reach farther up than down."""
    plan = build_side(make_site(), make_system()).plan
    assert plan.doubt is not None
    assert plan.doubt.hours_mean > plan.hours
    mean = sum((task.low + 4 * task.hours + task.high) / 6 for task in plan.tasks)
    assert plan.doubt.hours_mean == pytest.approx(mean, rel=5e-3)


def test_no_work_has_no_doubt() -> None:
    assert days_doubt([], Crew(), demonstration_book()) is None
    still = days_doubt([work("wait", 0.0)], Crew(), demonstration_book())
    assert still is not None
    assert still.days_bad == 1
    with pytest.raises(InputError, match="ring"):
        ends([work("a", 1.0, "b"), work("b", 1.0, "a")], np.ones((2, 2)), 1, 8.0, np.arange(9)[None, :].repeat(2, 0))
