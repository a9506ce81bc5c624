"""T. W. Sturm, Open Channel Hydraulics, Examples 2.5 and 4.6.

SEEN reworked in dustykat/ce-4353-webroot, lessons uniformflow/gutters.ipynb and weirs/weirs.ipynb.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.inlets import weir_flow
from drainwright.hydraulics.openflow import part_full_flow

FOOT = 0.3048
G = 9.80665


def test_sewer_at_eighty_percent_depth() -> None:
    """Example 4.6: 24 in PVC, n 0.009, S 0.003, y/D 0.8: 17.542 cfs (book 17.5; 1.49 for 1.486 is +0.3 %)."""
    flow = part_full_flow(0.8 * 2 * FOOT, 2 * FOOT, 0.003, 0.009) / FOOT**3
    assert flow == pytest.approx(17.542, rel=0.003)


def test_broad_crested_weir_running_free() -> None:
    """Example 2.5: L 10 ft, H 1.0 ft, Cd 0.848, Q = Cd (2/3)^1.5 √g L H^1.5: 26.2 cfs."""
    coefficient = 0.848 * (2 / 3) ** 1.5 * G**0.5
    assert weir_flow(10 * FOOT, FOOT, coefficient) / FOOT**3 == pytest.approx(26.2, rel=0.002)
