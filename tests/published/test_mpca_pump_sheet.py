"""Minnesota Pollution Control Agency pump selection worksheet: friction form and fitting lengths.

SEEN publicinfo.ci.orono.mn.us, documents 64257 page 16 and 62439 page 17 (scans); the lengths also, clean, in
piping-designer.com datasheet 2706.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.fittings import FITTINGS
from drainwright.hydraulics.pressure import equivalent_length, hazen_williams_head_loss

FOOT, INCH, GPM = 0.3048, 0.0254, 6.30901964e-5
INSIDE = {"1-1/2": 1.610, "2": 2.067, "3": 3.068}


@pytest.mark.parametrize(("gpm", "inches"), [(20, 1.61), (40, 2.067), (60, 2.067), (60, 3.068)])
def test_hazen_williams_form(gpm: float, inches: float) -> None:
    """hf = 10.5 L (Q/C)^1.852 / D^4.8655, in ft, gpm and in.

    The constant is 0.6 % above what the same form takes from ours (10.44, also usual, from memory), and 4.8655
    for 4.8704 makes another 0.5 % at 3 in.
    """
    printed = 10.5 * 100 * (gpm / 150) ** 1.852 / inches**4.8655
    ours = hazen_williams_head_loss(gpm * GPM, 100 * FOOT, inches * INCH, 150.0) / FOOT
    assert ours == pytest.approx(printed, rel=0.012)


@pytest.mark.parametrize(
    ("kind", "feet"),
    [
        ("gate_valve", (1.07, 1.38, 2.04)),
        ("ell90", (4.03, 5.17, 7.67)),
        ("ell45", (2.15, 2.76, 4.09)),
        ("tee_run", (2.68, 3.45, 5.11)),
        ("tee_branch", (8.05, 10.3, 15.3)),
        ("swing_check", (13.4, 17.2, 25.5)),
        ("angle_valve", (20.1, 25.8, 38.4)),
        ("globe_valve", (45.6, 58.6, 86.9)),
    ],
)
def test_equivalent_feet(kind: str, feet: tuple[float, float, float]) -> None:
    """Table of equivalent lengths, 1½, 2 and 3 in; its 45° elbow is 16 d where the IRC's (used here) is 14 d."""
    ratio = 16.0 if kind == "ell45" else FITTINGS[kind].length_ratio
    for size, length in zip(INSIDE, feet, strict=True):
        assert equivalent_length(ratio, INSIDE[size] * INCH) / FOOT == pytest.approx(length, rel=0.006)


def test_forty_five_degree_tables_differ() -> None:
    """A finding: 16 d here against the IRC's 14 d; both are inside the factor of two between tables."""
    assert equivalent_length(16.0, 2.067 * INCH) / FOOT == pytest.approx(2.76, rel=0.006)
    assert FITTINGS["ell45"].length_ratio == 14.0
