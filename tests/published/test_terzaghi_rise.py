"""K. Terzaghi: capillary rise of soil, hc = C / (e D10), C 0.1 to 0.5 cm². From memory."""

from __future__ import annotations

import pytest

from drainwright.hydraulics.seepage import capillary_rise_soil


@pytest.mark.parametrize(("constant", "rise"), [(0.1, 0.8333), (0.5, 4.1667)])
def test_fine_sand_by_both_ends_of_the_constant(constant: float, rise: float) -> None:
    """By hand: void ratio 0.6, D10 0.02 mm: 0.1 cm² / (0.6 x 0.002 cm) = 83.3 cm; with 0.5 cm² five times that."""
    assert capillary_rise_soil(0.6, 0.02e-3, constant * 1e-4) == pytest.approx(rise, abs=1e-4)
