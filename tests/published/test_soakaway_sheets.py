"""Soakaways and mounds against published sheets, notes and an independent integral.

- An engineer's calculation sheet after BRE Digest 365, 2008, on a public document host. SEEN.
- A township's ordinance with an example of an infiltration trench. SEEN.
- M. S. Hantush, Water Resources Research 3(1), 1967: values of S* from his table, from memory; the form of his
  equation SEEN in public notes, and held here against the integral of the well function over the rectangle, which is
  the same solution written in another way.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from scipy.integrate import dblquad
from scipy.special import exp1

from drainwright.hydraulics.mounding import mound_function, mound_rise
from drainwright.hydraulics.soakage import side_outflow, trench_area
from drainwright.system.outlets.soak_sizing import SoakSize

FOOT = 0.3048


def test_sheet_of_2008_after_digest_365() -> None:
    """Pit 2.0 by 1.5 m, 1.5 m deep, 30 % voids, f = 44.6e-6 m/s."""
    pit = SoakSize(kind="infiltration trench", length=2.0, width=1.5, depth=1.5)
    rate = 44.6e-6
    half_sides = pit.perimeter * pit.depth / 2.0
    assert half_sides == pytest.approx(5.25)  # printed As50
    assert half_sides * rate == pytest.approx(234.1e-6, abs=0.06e-6)  # printed outflow factor
    assert side_outflow(pit.perimeter, pit.depth, rate, 86400.0) == pytest.approx(20.2, abs=0.05)  # printed at 24 h
    assert pit.body(0.30, rate).storage == pytest.approx(1.35, abs=0.06)  # printed 1.3
    # printed: the storage of 1.0 m³ that is needed is half empty after 37 min 1 s; the sheet's own digits give 1.04 m³
    assert 0.5 * 1.04 / (half_sides * rate) == pytest.approx(37 * 60 + 1, abs=2.0)


def test_township_example_of_a_trench() -> None:
    """140 ft³ from 2.04 in on 824 ft², 40 % voids, 3 ft deep: 117 ft² of bottom, 20 ft by 6 ft; soaking not counted."""
    volume = 2.04 / 12 * 824 * FOOT**3
    area = float(trench_area(volume, 0.40, 3 * FOOT, 0.0, 7200.0)) / FOOT**2
    assert area == pytest.approx(117.0, abs=0.5)
    assert round(area / 6) in (19, 20)  # 19.5: printed as 20


@pytest.mark.parametrize(
    ("first", "second", "printed"), [(0.02, 0.02, 0.0041), (0.02, 0.04, 0.0073), (0.02, 0.06, 0.0101)]
)
def test_first_values_of_hantush_table(first: float, second: float, printed: float) -> None:
    """From memory; the third comes out 0.0100 here and by quadrature: a last digit of the table or of the memory."""
    assert mound_function(first, second) == pytest.approx(printed, abs=1.01e-4)


@pytest.mark.parametrize(("along", "across"), [(0.0, 0.0), (3.0, 0.0), (8.0, 4.0)])
def test_mound_is_that_of_the_well_function_spread_over_the_rectangle(along: float, across: float) -> None:
    seep, time, half_l, half_w, k, porosity, head = 1e-6, 86400.0, 5.0, 1.0, 1e-5, 0.2, 3.0
    ours = mound_rise(seep, time, half_l, half_w, k, porosity, head, along, across)
    mean = head + 0.5 * ours
    spread = k * mean / porosity * time
    east = sorted({-half_l - along, 0.0, half_l - along}) if abs(along) < half_l else [-half_l - along, half_l - along]
    north = (
        sorted({-half_w - across, 0.0, half_w - across})
        if abs(across) < half_w
        else [-half_w - across, half_w - across]
    )
    whole = sum(  # cut where the place itself lies, at which the well function has no end
        dblquad(lambda y, x: exp1((x * x + y * y) / (4 * spread)), *sides, *ends, epsrel=1e-6)[0]
        for sides in pairwise(east)
        for ends in pairwise(north)
    )
    assert (head + ours) ** 2 - head**2 == pytest.approx(seep / (2 * math.pi * k) * whole, rel=1e-4)


def test_mound_over_wide_ground_is_all_the_water_that_came() -> None:
    """Under the middle of a field far wider than the water spreads, nothing flows aside: rise = w t / porosity."""
    ours = mound_rise(1e-7, 1e5, 500.0, 500.0, 1e-6, 0.25, 2.0)
    assert ours == pytest.approx(1e-7 * 1e5 / 0.25, rel=1e-3)
