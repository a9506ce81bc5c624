"""HEC-22, Urban Drainage Design Manual, 3rd ed., FHWA-NHI-10-009, 2009 (rev. 2013): runoff, chapters 3 and 4.

The flows of Example 3-3, with C, i and A, were seen in a public quotation; all else is from memory, and says so.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.openflow import manning_velocity
from drainwright.water.paths import Reach, gathered_time
from drainwright.water.runoff import composite, rational_flow
from drainwright.water.travel import PAVED, kinematic_time, shallow_velocity

HECTARE = 1e4
MM_PER_HOUR = 1 / 3.6e6


def test_example_3_1_weighted_coefficients() -> None:
    """From memory: unimproved grass 0.25 and grass 0.22 on 8.95 and 8.60 ha: 0.235; with 2.20 ha of pavement at 0.90
    and 0.66 ha of lawn at 0.15 beside 7.52 and 7.17 ha: 0.315. The two means are seen (Example 3-3).
    """  # fmt: skip
    assert composite([0.25, 0.22], [8.95, 8.60]) == pytest.approx(0.235, abs=0.0005)
    assert composite([0.90, 0.15, 0.25, 0.22], [2.20, 0.66, 7.52, 7.17]) == pytest.approx(0.315, abs=0.0005)


@pytest.mark.parametrize(("coefficient", "intensity", "flow"), [(0.235, 48.0, 0.55), (0.315, 58.0, 0.89)])
def test_example_3_3_rational_flow(coefficient: float, intensity: float, flow: float) -> None:
    """Seen: 17.55 ha, before 48 mm/h and 0.55 m³/s, after 58 mm/h and 0.89 m³/s, to the printed figure."""
    assert rational_flow(coefficient, intensity * MM_PER_HOUR, 17.55 * HECTARE) == pytest.approx(flow, abs=0.005)


def test_equation_3_3_sheet_flow() -> None:
    """Eq. 3-3, from memory: T = 6.92/i^0.4 (nL/√S)^0.6 min. HDS-2 prints 6.9; a wave by Manning gives 6.99.

    Ours is HDS-2's: 0.3 % below HEC-22's, 1.3 % below the exact, which is to the safe side.
    """
    ours = kinematic_time(0.15, 30.0, 0.005, 40.0 * MM_PER_HOUR)
    published = 60 * 6.92 / 40.0**0.4 * (0.15 * 30.0 / 0.005**0.5) ** 0.6
    exact = (0.15 * 30.0 / 0.005**0.5) ** 0.6 / (40.0 * MM_PER_HOUR) ** 0.4
    assert ours == pytest.approx(published, rel=0.004)
    assert ours / exact == pytest.approx(6.9 / 6.988, rel=1e-4)
    assert ours < published < exact


@pytest.mark.parametrize(
    ("intercept", "slope", "velocity"), [(0.619, 1.0, 0.62), (0.619, 4.0, 1.24), (0.491, 1.0, 0.49)]
)
def test_table_3_3_shallow_velocity(intercept: float, slope: float, velocity: float) -> None:
    """Eq. 3-4, from memory: V = k S^0.5, S in percent; k = 0.619 paved, 0.491 unpaved (Table 3-3)."""
    assert shallow_velocity(10 * intercept, slope / 100) == pytest.approx(velocity, rel=0.01)
    assert pytest.approx(10 * 0.619, rel=0.001) == PAVED


def gutter_velocity(spread: float, cross: float, along: float, roughness: float) -> float:
    """Eq. 4-2 over T² Sx/2, from memory: V = 0.752/n SL^0.5 Sx^0.67 T^0.67. [m/s]"""
    return float(0.752 / roughness * along**0.5 * cross**0.67 * spread**0.67)


def test_a_shallow_gutter_runs_slower_by_the_whole_section() -> None:
    """A finding: HEC-22 sums a gutter strip by strip over its depth (0.376 in eq. 4-2); Manning by the whole section,
    R = A/P, gives 0.315, so that a wide triangular channel is told 16 % slower, its time 19 % longer.

    Spread 2 m, cross slope 2 %, grade 1 %, n = 0.016. The rest of the way matters more than a gutter's half minute.
    """  # fmt: skip
    spread, cross, along, roughness = 2.0, 0.02, 0.01, 0.016
    depth = spread * cross
    radius = 0.5 * spread * depth / (depth + (spread**2 + depth**2) ** 0.5)
    ours = float(manning_velocity(radius, along, roughness))
    assert ours / gutter_velocity(spread, cross, along, roughness) == pytest.approx(0.315 / 0.376, rel=0.03)
    reach = Reach(
        kind="channel", length=50.0, slope=along, surface="asphalt", roughness=roughness, radius=radius
    )  # fmt: skip
    assert gathered_time(reach) == pytest.approx(50.0 / ours)


def test_a_gutter_flow_printed() -> None:
    """Example 4-1, from memory: T = 2.5 m, Sx 2 %, SL 1 %, n = 0.016: 0.04 m³/s (1.4 ft³/s), by the velocity above."""
    flow = gutter_velocity(2.5, 0.02, 0.01, 0.016) * 2.5**2 * 0.02 / 2
    assert flow == pytest.approx(0.04, abs=0.005)
