"""Tides in ground water: J. G. Ferris (1951) after C. E. Jacob, in the form that Delft's exams of 2006 to 2022 print.

SEEN in the collection: s = A exp(-ax) sin(wt - ax), a = sqrt(w S / 2 kD). Its questions have no printed answers; their
inputs are used here, with that other form of the formula. The damping in an unconfined layer is checked against the
full equation in ``tests/hydraulics/test_boussinesq.py``.
"""

from __future__ import annotations

from math import exp, pi, sqrt

import pytest

from drainwright.hydraulics.tidal import tidal_lag, tidal_share

DAY = 86400.0
QUESTIONS = (  # kD [m2/d], S, period [d], distance [m]
    (900.0, 0.002, 0.5, 750.0),  # March 2018, question 2
    (500.0, 0.001, 0.5, 100.0),  # February 2007, question 3
)


@pytest.mark.parametrize(("transmissivity", "storage", "period", "distance"), QUESTIONS)
def test_printed_form(transmissivity: float, storage: float, period: float, distance: float) -> None:
    turn = 2 * pi / period
    a = sqrt(turn * storage / (2 * transmissivity))
    given = (distance, transmissivity / DAY, storage, period * DAY)
    assert tidal_share(*given) == pytest.approx(exp(-a * distance))
    assert tidal_lag(*given) == pytest.approx(a * distance / turn * DAY)


def test_a_hundredth_of_the_storage_is_a_tenth_of_the_lag() -> None:
    """February 2022, question 2.3: by how much the delay changes if S were 0.001 and not 0.1."""
    thick, thin = (tidal_lag(100.0, 0.01, storage, DAY) for storage in (0.1, 0.001))
    assert thick / thin == pytest.approx(10.0)
