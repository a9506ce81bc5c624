"""How far a job moves a rate: laws, a second way by a grid, and how often the interval holds the truth."""

from __future__ import annotations

import doctest
import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import floats, integers, lists
from scipy import stats

from drainwright.errors import InputError
from drainwright.learning import shrinkage
from drainwright.learning.shrinkage import EIGHTY, Belief, Moved, Seen, expected_scatter, shrink, surprise

VALUES = floats(0.05, 300.0)
SDS = floats(0.02, 0.8)
TIMES = floats(0.2, 5.0)


def belief(
    value: float = 0.75, unsure: float = 0.3, spread: float = 0.25, *, slower: int = -1, key: str = "a"
) -> Belief:
    return Belief(key=key, value=value, slower=slower, unsure=unsure, spread=spread)


def seen(times: float, noise: float = 0.1, *, done: float = 1.0, task: str = "t", **on: float) -> Seen:
    """A task that took so many times the hours planned of what was done."""
    return Seen(task=task, planned=10.0, hours=10.0 * times * done, done=done, hangs_on=on or {"a": 1.0}, noise=noise)


def alone(before: Belief, *tasks: Seen) -> Moved:
    (moved,) = shrink({before.key: before}, tasks)
    return moved


def test_the_example_holds() -> None:
    assert doctest.testmod(shrinkage).failed == 0


@given(VALUES, SDS, SDS, TIMES, SDS)
def test_one_rate_is_the_normal_mean_with_known_variance(
    value: float, unsure: float, spread: float, times: float, noise: float
) -> None:
    """Gelman and others, 3rd ed. 2013, 2.5 (from memory): precisions add, the mean is weighted by them."""
    moved = alone(belief(value, unsure, spread), seen(times, noise))
    ours, theirs = 1 / unsure**2, 1 / (spread**2 + noise**2)
    observed = math.log(value / times)
    assert math.log(moved.after.value) == pytest.approx(
        (ours * math.log(value) + theirs * observed) / (ours + theirs), rel=1e-9, abs=1e-9
    )
    assert moved.after.unsure == pytest.approx((ours + theirs) ** -0.5, rel=1e-9)
    assert moved.observed == pytest.approx(value / times, rel=1e-6)


@given(VALUES, SDS, SDS, TIMES, SDS, integers(0, 1))
def test_the_value_after_lies_between_before_and_observed(
    value: float, unsure: float, spread: float, times: float, noise: float, slower: int
) -> None:
    moved = alone(belief(value, unsure, spread, slower=1 if slower else -1), seen(times, noise))
    low, high = sorted((value, moved.observed))
    assert low * (1 - 1e-12) <= moved.after.value <= high * (1 + 1e-12)
    assert moved.after.unsure < unsure
    assert 0 < moved.weight < 1
    assert (moved.after.value > value) == (moved.observed > value) or times == pytest.approx(1.0)


@given(floats(0.05, 0.6), floats(0.1, 0.5), floats(0.1, 0.5), lists(floats(0.4, 2.5), min_size=2, max_size=3))
def test_several_rates_of_several_tasks_stay_between_too(
    unsure: float, spread: float, share: float, times: list[float]
) -> None:
    beliefs = {key: belief(1.0, unsure * (1 + number), spread, key=key) for number, key in enumerate("abc")}
    tasks = [seen(one, a=share, b=1 - share, c=1.0) for one in times]
    for moved in shrink(beliefs, tasks):
        low, high = sorted((moved.before.value, moved.observed))
        assert low * (1 - 1e-9) <= moved.after.value <= high * (1 + 1e-9)
        assert moved.after.unsure <= moved.before.unsure


@pytest.mark.parametrize("times", [0.5, 0.9, 1.3, 2.2])
def test_equal_jobs_without_end_bring_the_rate_to_what_was_seen(times: float) -> None:
    here = belief(2.0)
    gaps = []
    for _ in range(400):
        here = alone(here, Seen(task="t", planned=10.0 * 2.0 / here.value, hours=10.0 * times, done=1.0,
                                hangs_on={"a": 1.0}, noise=0.1)).after  # fmt: skip
        gaps.append(abs(math.log(here.value * times / 2.0)))
    assert all(later < earlier for earlier, later in itertools.pairwise(gaps))
    assert gaps[-1] < 0.003
    assert here.unsure == pytest.approx((1 / 0.3**2 + 400 / (0.25**2 + 0.1**2)) ** -0.5, rel=1e-9)


@given(lists(floats(0.4, 2.5), min_size=2, max_size=5))
def test_the_order_of_jobs_does_not_matter_where_a_task_hangs_on_one_rate(hours: list[float]) -> None:
    """The plan of a later job is made with the rate of the earlier, as it is in use."""

    def after(order: list[float]) -> Belief:
        here = belief(2.0)
        for taken in order:
            here = alone(here, Seen(task="t", planned=10.0 * 2.0 / here.value, hours=10.0 * taken, done=1.0,
                                    hangs_on={"a": 1.0}, noise=0.1)).after  # fmt: skip
        return here

    one, other = after(hours), after(hours[::-1])
    assert one.value == pytest.approx(other.value, rel=1e-12)
    assert one.unsure == pytest.approx(other.unsure, rel=1e-12)


def test_nor_where_it_hangs_on_several_since_the_ties_are_kept() -> None:
    """To the rounding of the ties; the plan is held here, for its shares would move with the rates."""

    def after(order: list[float]) -> dict[str, float]:
        here = {"a": belief(1.0, key="a"), "b": belief(1.0, 0.2, key="b")}
        for times in order:
            on = {"a": 0.7, "b": 0.3} if times > 1 else {"a": 0.3, "b": 0.7}
            planned = math.prod(here[key].value ** -share for key, share in on.items())
            task = Seen(task="t", planned=planned, hours=times, done=1.0, hangs_on=on, noise=0.1)
            here = {one.before.key: one.after for one in shrink(here, [task])}
        return {key: one.value for key, one in here.items()}

    one, other = after([1.4, 0.8, 1.2]), after([1.2, 0.8, 1.4])
    for key in one:
        assert one[key] == pytest.approx(other[key], rel=1e-4)
    assert shrink({"a": belief(1.0, key="a"), "b": belief(1.0, 0.2, key="b")}, [seen(1.2, a=0.7, b=0.3)])[0].after.tied


def test_the_amount_of_work_is_taken_out_of_the_hours() -> None:
    before = belief()
    assert alone(before, seen(1.2, done=1.0)).after == alone(before, seen(1.2, done=2.5)).after


def test_a_rate_in_hours_a_piece_moves_the_other_way() -> None:
    assert alone(belief(slower=1), seen(1.5)).after.value > 0.75
    assert alone(belief(slower=-1), seen(1.5)).after.value < 0.75


def test_two_tasks_of_one_job_tell_less_than_two_jobs() -> None:
    """The job's own deviation is in both."""
    before = belief()
    together = alone(before, seen(1.4, task="open"), seen(1.4, task="trench"))
    apart = alone(alone(before, seen(1.4)).after, seen(1.4))
    assert together.after.unsure > apart.after.unsure
    single = alone(before, seen(1.4))
    assert single.after.unsure > together.after.unsure


def test_a_grid_over_rate_and_job_finds_the_same() -> None:
    """By brute force: prior times likelihood on a grid of the rate and of the job's own deviation, then moments."""
    before, task = belief(0.75, 0.35, 0.22), seen(1.45, 0.12)
    moved = alone(before, task)
    rate = np.linspace(-2.5, 2.5, 1501)  # error of ln(hours a unit)
    own = np.linspace(-1.8, 1.8, 1201)
    deviation = task.slower_by - rate[:, None] - own[None, :]
    posterior = (
        stats.norm.pdf(rate, 0, 0.35)[:, None]
        * stats.norm.pdf(own, 0, 0.22)[None, :]
        * stats.norm.pdf(deviation, 0, 0.12)
    )
    over_rate = posterior.sum(axis=1)
    over_rate /= over_rate.sum()
    mean = float(over_rate @ rate)
    assert math.log(0.75 / moved.after.value) == pytest.approx(mean, abs=1e-6)
    assert moved.after.unsure == pytest.approx(math.sqrt(over_rate @ (rate - mean) ** 2), rel=1e-6)


def test_two_rates_in_one_task_by_scipy() -> None:
    """The joint normal of both rates and the task, conditioned on the task by its covariance from random draws."""
    beliefs = {"a": belief(1.0, 0.3, 0.2, key="a"), "b": belief(1.0, 0.15, 0.3, key="b")}
    task = seen(1.3, 0.1, a=0.6, b=0.4)
    draws = np.random.default_rng(7).standard_normal((400_000, 5)) * [0.3, 0.15, 0.2, 0.3, 0.1]
    told = 0.6 * (draws[:, 0] + draws[:, 2]) + 0.4 * (draws[:, 1] + draws[:, 3]) + draws[:, 4]
    for moved, column in zip(shrink(beliefs, [task]), (0, 1), strict=True):
        slope, _, _, _, _ = stats.linregress(told, draws[:, column])
        assert -math.log(moved.after.value) == pytest.approx(slope * task.slower_by, abs=2e-3)
        rest = np.std(draws[:, column] - slope * told)
        assert moved.after.unsure == pytest.approx(rest, rel=5e-3)


@pytest.mark.parametrize("jobs", [1, 3, 12])
def test_the_interval_of_eight_in_ten_holds_the_truth_of_five_hundred_firms(jobs: int) -> None:
    """Each firm has a true rate, drawn round the book's, and each job its own."""
    draw = np.random.default_rng(20260424)
    held = 0
    for _ in range(500):
        true = 0.75 * math.exp(draw.normal(0, 0.3))
        here = belief()
        for _ in range(jobs):
            rate = true * math.exp(draw.normal(0, 0.25))
            hours = 8.0 / rate * math.exp(draw.normal(0, 0.1))
            here = alone(here, Seen(task="t", planned=8.0 / here.value, hours=hours, done=1.0, hangs_on={"a": 1.0},
                                    noise=0.1)).after  # fmt: skip
        low, high = here.band
        held += low <= true <= high
    assert 0.75 <= held / 500 <= 0.85


def test_the_interval_holds_where_tasks_are_sums_of_several_rates() -> None:
    """Hours are sums over rates, and the rule takes their logarithm for linear: the interval still holds the truth."""
    draw = np.random.default_rng(20260425)
    amounts = {"x": np.array([8.0, 3.0, 0.0]), "y": np.array([0.0, 5.0, 6.0])}
    held = total = 0
    for _ in range(500):
        keys = ("a", "b", "c")
        true = np.exp(draw.normal(0, 0.3, 3))
        here = {key: belief(1.0, key=key) for key in keys}
        for _ in range(4):
            rates = true * np.exp(draw.normal(0, 0.25, 3))
            tasks = []
            for name, amount in amounts.items():
                parts = amount / np.array([here[key].value for key in keys])
                hours = float((amount / rates).sum() * math.exp(draw.normal(0, 0.1)))
                on = {key: float(part / parts.sum()) for key, part in zip(keys, parts, strict=True) if part > 0}
                tasks.append(Seen(task=name, planned=float(parts.sum()), hours=hours, done=1.0, hangs_on=on, noise=0.1))
            here = {moved.before.key: moved.after for moved in shrink(here, tasks)}
        for key, rate in zip(keys, true, strict=True):
            low, high = here[key].band
            held += low <= rate <= high
            total += 1
    assert total == 1500
    assert 0.75 <= held / total <= 0.85


def test_the_quantile_of_eight_in_ten() -> None:
    assert pytest.approx(stats.norm.ppf(0.9), abs=1e-12) == EIGHTY


def test_a_surprise_is_counted_in_what_was_expected() -> None:
    beliefs = {"a": belief()}
    task = seen(2.0)
    assert expected_scatter(beliefs, task) == pytest.approx(math.sqrt(0.3**2 + 0.25**2 + 0.1**2))
    assert surprise(beliefs, task) == pytest.approx(math.log(2.0) / math.sqrt(0.1625))
    assert surprise(beliefs, seen(0.5)) == pytest.approx(-surprise(beliefs, task))


@pytest.mark.parametrize(
    "task",
    [
        Seen(task="t", planned=0.0, hours=1.0, done=1.0, hangs_on={"a": 1.0}, noise=0.1),
        Seen(task="t", planned=1.0, hours=0.0, done=1.0, hangs_on={"a": 1.0}, noise=0.1),
        Seen(task="t", planned=1.0, hours=math.inf, done=1.0, hangs_on={"a": 1.0}, noise=0.1),
        Seen(task="t", planned=1.0, hours=1.0, done=-1.0, hangs_on={"a": 1.0}, noise=0.1),
        Seen(task="t", planned=1.0, hours=1.0, done=1.0, hangs_on={"a": 1.0}, noise=0.0),
        Seen(task="t", planned=1.0, hours=1.0, done=1.0, hangs_on={"b": 1.0}, noise=0.1),
    ],
)
def test_what_cannot_be_is_refused(task: Seen) -> None:
    with pytest.raises(InputError, match="expected"):
        shrink({"a": belief()}, [task])


def test_nothing_seen_moves_nothing() -> None:
    assert shrink({"a": belief()}, []) == ()
