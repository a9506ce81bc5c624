"""NOAA Atlas 14 with its 90 % bounds, as served for one place (SEEN; shared data, not in the tree)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from drainwright.job.rain_file import read_rain_table
from drainwright.job.values import Basis
from drainwright.water.input_ranges import RAIN

FILE = Path(__file__).resolve().parents[3] / "shared" / "data" / "idf" / "ann_arbor_mi_depth_in_all.csv"

pytestmark = pytest.mark.skipif(not FILE.is_file(), reason="the shared rain tables are not beside this tree")


def test_the_range_of_a_mapped_depth_is_that_of_a_published_table() -> None:
    """Ann Arbor, Volume 8 Version 2: 5 min to 2 h, 5 to 100 years, mean of bound over depth: 0.84 and 1.19."""
    read = read_rain_table(FILE.read_text(encoding="utf-8"))
    depths = np.array([row for _, row in read.rows])[:6, 2:7]
    low, high = (np.array(rows)[:6, 2:7] / depths for rows in (read.low, read.high))
    assert (low.mean(), high.mean()) == pytest.approx(RAIN[Basis.MAPPED], abs=0.005)
    assert low.min() > RAIN[Basis.ASSUMED][0]
    assert high.max() < RAIN[Basis.ASSUMED][1]
