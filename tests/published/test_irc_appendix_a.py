"""2018 International Residential Code, Appendix A, Table A.2.2, p. 822: K, L/d and feet of Schedule 40 pipe.

SEEN http://online.flipbuilder.com/mewf/mima/files/basic-html/page847.html.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.fittings import FITTINGS
from drainwright.hydraulics.pressure import equivalent_length

FOOT, INCH = 0.3048, 0.0254
INSIDE = {"1-1/2": 1.610, "2": 2.067, "3": 3.068, "4": 4.026}  # Schedule 40 [in]


@pytest.mark.parametrize(
    ("kind", "k", "ratio"),
    [
        ("ell45", 0.42, 14),
        ("ell90", 0.90, 30),
        ("return_bend", 2.00, 67),
        ("tee_branch", 1.80, 60),
        ("sweep90", 0.48, 16),
    ],
)
def test_k_and_length_ratio(kind: str, k: float, ratio: float) -> None:
    """Table A.2.2, K factor and L/d columns."""
    assert (FITTINGS[kind].loss_coefficient, FITTINGS[kind].length_ratio) == (k, ratio)


@pytest.mark.parametrize(
    ("kind", "size", "feet"),
    [
        ("ell45", "1-1/2", 1.88),
        ("ell90", "1-1/2", 4.02),
        ("return_bend", "1-1/2", 8.95),
        ("tee_branch", "1-1/2", 8.04),
        ("ell45", "2", 2.41),
        ("ell90", "2", 5.17),
        ("return_bend", "2", 11.5),
        ("tee_branch", "2", 10.3),
        ("ell45", "3", 3.58),
        ("ell90", "3", 7.67),
        ("ell45", "4", 4.70),
        ("ell90", "4", 10.1),
    ],
)
def test_feet_of_pipe(kind: str, size: str, feet: float) -> None:
    """Table A.2.2, equivalent feet by size."""
    length = equivalent_length(FITTINGS[kind].length_ratio, INSIDE[size] * INCH) / FOOT
    assert length == pytest.approx(feet, rel=0.005)
