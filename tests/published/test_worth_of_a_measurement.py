"""The worth of a measurement where it is known in closed form.

Raiffa and Schlaifer, Applied Statistical Decision Theory, 1961: two acts whose difference is a straight line in a
normal quantity; the worth of knowing it is the unit normal loss times its standard deviation, and that of a sample
uses the standard deviation of the mean as it will stand afterwards. Definition of the unit normal loss SEEN on a
public page of mathematics; its tabled values (0.3989 at 0, 0.1978 at 0.5, 0.0833 at 1, 0.0085 at 2) from memory.
"""

from __future__ import annotations

import numpy as np
import pytest

from drainwright.errors import InputError
from drainwright.storm.chances.worth import after_test, perfect_information, sample_information, unit_loss


@pytest.mark.parametrize(("z", "loss"), [(0.0, 0.3989), (0.5, 0.1978), (1.0, 0.0833), (2.0, 0.0085)])
def test_unit_normal_loss(z: float, loss: float) -> None:
    assert unit_loss(z) == pytest.approx(loss, abs=6e-5)


def test_perfect_and_sample_information() -> None:
    x, y = np.random.default_rng(3).standard_normal((2, 40000))
    losses = np.column_stack([np.zeros(x.size), 100.0 + 200.0 * x + 50.0 * y])  # the second act wins where it is low
    assert perfect_information(x, losses) == pytest.approx(200.0 * unit_loss(0.5), rel=0.03)
    assert perfect_information(y, losses) == pytest.approx(50.0 * unit_loss(2.0), abs=0.6)
    noise = 1.5
    left = 200.0 / np.sqrt(1.0 + noise**2)
    assert sample_information(x, losses, noise, 5) == pytest.approx(left * unit_loss(100.0 / left), rel=0.06)
    assert sample_information(x, losses, noise, 5) < perfect_information(x, losses)


def test_what_bears_on_nothing_is_worth_nothing() -> None:
    x, y = np.random.default_rng(3).standard_normal((2, 4000))
    losses = np.column_stack([np.zeros(x.size), 300.0 + 50.0 * y])
    assert perfect_information(x, losses) == 0.0
    assert perfect_information(np.ones(8), np.arange(16.0).reshape(8, 2)) == 0.0


def test_narrowing_of_a_normal_figure() -> None:
    """Prior N(0, 1), a test of standard error 1: a band of 1.645 / sqrt(2) each way is left, 29 % is taken away."""
    x = np.random.default_rng(8).standard_normal(3000)
    band, share = after_test(x, x, 1.0, 4)
    assert (band[2] - band[0]) / 2.0 == pytest.approx(1.645 / np.sqrt(2.0), rel=0.03)
    assert share == pytest.approx(1.0 - np.sqrt(0.5), abs=0.02)
    _, other = after_test(np.random.default_rng(9).standard_normal(3000), x, 1.0, 4)
    assert other < 0.01
    with pytest.raises(InputError):
        after_test(x, x, 0.0, 4)


def test_few_samples_and_an_exact_test_of_what_does_not_matter_narrow_nothing() -> None:
    """So that no narrowing is told that is only the smallness of the sample."""
    shares = []
    for seed in range(20):
        x, figure = np.random.default_rng(seed).standard_normal((2, 32))
        shares.append(after_test(x, figure, 0.001, seed)[1])
    assert np.mean(shares) < 0.05
