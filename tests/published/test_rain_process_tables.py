"""Made rain beside the public tables and records it was fitted to. The files are shared data, not in the tree.

No published set of parameters with its statistics was found to be read whole, so the formulas are checked against
brute force in tests/water and not against a paper's table. Sources of the process: Onof and Wang, Hydrol. Earth Syst.
Sci. 24 (2020), abstract SEEN; Rodriguez-Iturbe, Cox and Isham (1987, 1988) and Kaczmarska et al. (2014) from memory.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from drainwright.errors import JobError
from drainwright.exchange.rain_record import read_rain_record
from drainwright.job.rain_file import read_rain_table
from drainwright.job.values import Basis
from drainwright.water.rain import RainTable
from drainwright.water.rain_process import fit_process, fit_to_record
from drainwright.water.rain_process.moments import covariance, dry_share
from drainwright.water.rain_process.rare import of_period, yearly_greatest
from drainwright.water.rain_process.record_fit import statistics
from drainwright.water.record_maxima import yearly_maxima

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"

pytestmark = pytest.mark.skipif(not DATA.is_dir(), reason="the shared rain files are not beside this tree")

PLACES = ("champaign_il_depth_in", "pulaski_va_depth_in", "ann_arbor_mi_depth_in_all", "fort_myers_fl_depth_in")


def table_of(name: str) -> RainTable:
    read = read_rain_table((DATA / "idf" / f"{name}.csv").read_text(encoding="utf-8"))
    return RainTable(
        durations=tuple(duration for duration, _ in read.rows),
        return_periods=read.return_periods,
        depths=tuple(depths for _, depths in read.rows),
        source=read.title,
        basis=Basis.MAPPED,
    )


@pytest.mark.parametrize("name", PLACES)
def test_years_made_of_a_table_show_the_table(name: str) -> None:
    """5 min to 24 h, 2 to 100 years, in 1,000 years of a seed of their own; ``pytest -s`` prints the tables.

    As found: within 12 % to 25 years but for Florida's 15 min (17 % too much, where the table itself has a bend between
    15 and 30 min), and within 17 % to 100 years, where ten of 1,000 years decide (6 % or so by chance). A finding: the
    rarest rain of 3 to 12 h comes out low by a tenth as often as not (Champaign 6 h, 100 years: 17 %).
    """
    fitted = fit_process(table_of(name))
    shape = (10, 6)
    wanted = np.array([each.wanted for each in fitted.misfit]).reshape(shape)
    durations = np.array([each.duration for each in fitted.misfit]).reshape(shape)[:, 0]
    made = of_period(yearly_greatest(fitted.kinds, 1000, 77, durations), np.array([2.0, 5.0, 10.0, 25.0, 50.0, 100.0]))
    share = made / wanted - 1.0
    print(f"\n{name}: misfit in % by duration (rows, 5 min to 24 h) and period (2 to 100 years)")
    print(np.round(100 * share).astype(int))
    assert np.abs(share).max() < 0.20
    assert np.abs(share[:, :3]).max() < 0.14
    assert np.abs(share).mean() < 0.055
    told = np.array([each.share for each in fitted.misfit]).reshape(shape)
    assert np.abs(told - share)[:, :4].max() < 0.12  # what the fit tells of itself holds for other draws


@pytest.mark.parametrize("name", ["newbury_nh_depth_in_lower90", "wasco_ca_depth_in_lower90"])
def test_a_table_of_lower_bounds_is_refused(name: str) -> None:
    with pytest.raises(JobError):
        table_of(name)


def test_statistics_of_the_greek_five_minutes() -> None:
    """Seventeen months; its gaps are taken for dry. A finding: the process holds 5 min together more than the gauge
    does (correlation of neighbours 0.81 for 0.62), since a cell does not waver; and it makes a median year's 5 minutes
    of 5 mm where the largest of 17 months was 7.4 mm, but an hour of 24 mm beside 29 mm."""
    record = read_rain_record(DATA / "rain" / "greece_5min_1954_1956.csv.gz")
    fitted = fit_to_record(record, gaps_dry=True)
    for step in (300.0, 900.0, 3600.0, 21600.0, 86400.0):
        seen = statistics(record, step, gaps_dry=True)
        assert np.sqrt(covariance(fitted.kinds, step) / seen.variance) == pytest.approx(1.0, abs=0.08)
        assert (1 - dry_share(fitted.kinds, step)) / (1 - seen.dry) == pytest.approx(1.0, abs=0.15)
    medians = 1000 * np.median(yearly_greatest(fitted.kinds, 200, 5, np.array([300.0, 3600.0])), axis=1)
    assert medians == pytest.approx([5.0, 23.9], rel=0.1)


def test_extremes_of_the_southeast_from_its_statistics_alone() -> None:
    """Twenty years of 15 min, fitted to second moments and dry shares, not to extremes. A finding: the median year's
    24 h comes out 5 % low, its hour 6 % high and its 15 minutes a quarter high, partly since made windows begin at any
    second (1.13, as the record's step factor has it) and the gauge tips at 2.54 mm."""
    record = read_rain_record(DATA / "rain" / "southeast_us_15min_nonzero.csv.gz")
    fitted = fit_to_record(record)
    made = np.median(yearly_greatest(fitted.kinds, 300, 5, np.array([900.0, 3600.0, 86400.0])), axis=1)
    seen = [yearly_maxima(record, duration).median for duration in (900.0, 3600.0, 86400.0)]
    assert made / np.array(seen) == pytest.approx([1.26, 1.06, 0.95], abs=0.06)
