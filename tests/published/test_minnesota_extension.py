"""Minnesota extension worksheet, Table F-18: friction of plastic pipe, feet for each 100 ft.

SEEN https://publicinfo.ci.orono.mn.us/WebLink/0/doc/94779/Page18.aspx (scan). The 1½ in rows above 30 gpm are
misprinted there and left out. Printed to 0.01 ft.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.pressure import hazen_williams_head_loss

FOOT, INCH, GPM = 0.3048, 0.0254, 6.30901964e-5
TABLE = {
    2.067: {
        10: 0.20, 12: 0.28, 14: 0.38, 16: 0.48, 18: 0.60, 20: 0.73, 25: 1.11, 30: 1.55, 35: 2.06, 40: 2.64,
        45: 3.28, 50: 3.99, 55: 4.76, 60: 5.60,
    },
    1.610: {10: 0.69, 12: 0.96, 14: 1.28, 16: 1.63, 18: 2.03, 20: 2.47, 25: 3.73, 30: 5.23},
    3.068: {20: 0.11, 25: 0.16, 30: 0.23, 35: 0.30, 40: 0.39, 45: 0.48, 50: 0.58, 55: 0.70, 60: 0.82},
}  # fmt: skip


@pytest.mark.parametrize(
    ("inches", "gpm", "feet"),
    [(inches, gpm, feet) for inches, rows in TABLE.items() for gpm, feet in rows.items()],
)
def test_friction_of_plastic_pipe(inches: float, gpm: float, feet: float) -> None:
    """Table F-18 against Hazen-Williams with C 150 and nominal Schedule 40 insides."""
    loss = hazen_williams_head_loss(gpm * GPM, 100 * FOOT, inches * INCH, 150.0) / FOOT
    assert loss == pytest.approx(feet, rel=0.02, abs=0.0061)
