"""Subdrains by the US services' facilities criteria, and the reach of a line by Powers.

SEEN UFC 3-270-04 (15 March 2001) sec. 12.6, p. 83, https://buildingcriteria1.tpub.com/ufc_3_270_04/ufc_3_270_040090.htm:
least slope 0.15 ft in 100 ft; 6 in of filter or more round every subsurface drain. SEEN, citing Powers 1992,
https://scribd.com/document/350300371/: Sichardt's constant 3000 for wells, 1500 to 2000 for lines (m, m/s).
"""

from __future__ import annotations

import pytest

from drainwright.design import Design
from drainwright.hydraulics.influence import SICHARDT_LINE, SICHARDT_RADIAL, sichardt_influence
from drainwright.job.works import Criteria

INCH = 0.0254


def test_drains_fall_more_than_asked(pumped: Design) -> None:
    """0.15 %; the default is seven times that, and every footing drain of the demonstration keeps it."""
    assert Criteria().minimum_grade > 0.0015
    drains = [run for run in pumped.system.runs if run.duty == "footing drain"]
    assert drains
    assert all(run.grade >= 0.0015 for run in drains)


def test_six_inches_of_stone_over_and_beside_and_a_finding_below(pumped: Design) -> None:
    """Over it 6 in and beside it 6 in or more; under it the program lays the 2 in of IRC R405.1, not 6."""
    for run in (one for one in pumped.system.runs if one.duty == "footing drain"):
        assert run.stone_over >= 6 * INCH - 1e-9
        assert (run.stone_width - run.pipe.outside) / 2 >= 6 * INCH - 1e-9


def test_sichardts_constants() -> None:
    """3000 for a well, and for a line one of the range printed."""
    assert SICHARDT_RADIAL == 3000.0
    assert 1500.0 <= SICHARDT_LINE <= 2000.0
    assert sichardt_influence(5.0, 1e-3) == pytest.approx(SICHARDT_LINE * 5.0 * 1e-3**0.5)
