"""Public rain records through the reader: figures of the data's own description, faults found, units told.

The records are US, Dutch and Greek public data (NOAA, KNMI CC BY 4.0, the Greek data bank), shared beside the tree.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from drainwright.exchange.rain_record import RainRecord, read_rain_record, record_notes
from drainwright.water.record_maxima import maxima_of, window_sums, yearly_maxima

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "data" / "rain"
INCH = 0.0254

pytestmark = pytest.mark.skipif(not FOLDER.is_dir(), reason="the shared rain records are not beside this tree")


def record(name: str) -> RainRecord:
    return read_rain_record(FOLDER / f"{name}.csv.gz")


def test_boston_hours() -> None:
    """Described: 170,928 rows, no missing step; five wrong values of 9.96 to 9.99 in on 2008-01-18; without them the
    largest hour is 1.61 in (2007-07-30 07:00), the largest 24 h 6.26 in (ending 1996-10-21 04:00), the mean of
    1997-2015 41.75 in a year, the median yearly maximum 0.86 in (1 h) and 3.13 in (24 h)."""
    boston = record("boston_logan_hourly")
    assert (len(boston.times), boston.step, boston.gaps, boston.wet_only) == (170_928, 3600.0, (), False)
    assert [str(suspect.time)[:13] for suspect in boston.suspects] == [
        f"2008-01-18T{hour:02d}" for hour in (2, 4, 5, 6, 9)
    ]
    assert all(9.955 < suspect.depth / INCH < 9.995 for suspect in boston.suspects)
    calendar = boston.times.astype("datetime64[Y]").astype(int) + 1970
    assert np.nansum(boston.depths[calendar >= 1997]) / 19 / INCH == pytest.approx(41.75, abs=0.005)
    for duration, largest, at, median in (
        (3600.0, 1.61, "2007-07-30T07", 0.86),
        (86400.0, 6.26, "1996-10-21T04", 3.13),
    ):
        found = yearly_maxima(boston, duration)
        assert found.largest / INCH == pytest.approx(largest, abs=1e-6)
        assert str(found.largest_at).startswith(at)
        assert found.years == tuple(range(1997, 2016))  # half of 1996 was not read: it does not count here
        sums = window_sums(boston, duration)
        every = [sums[calendar == year].max() for year in range(1996, 2016)]
        assert np.median(every) / INCH == pytest.approx(median, abs=0.006)  # the description counts the half year


def test_miami_days() -> None:
    """Described: 25,959 days, none missing, largest 14.85 in, mean year about 60.3 in."""
    miami = record("miami_airport_daily")
    assert (len(miami.times), miami.step, miami.gaps, miami.suspects) == (25_959, 86400.0, (), ())
    assert yearly_maxima(miami, 86400.0).largest / INCH == pytest.approx(14.85)
    assert miami.yearly / INCH == pytest.approx(60.3, rel=0.02)


def test_greek_five_minutes_have_gaps() -> None:
    """Described: 48,209 rows, 1,353.63 mm in all, largest 7.431 mm, not continuous, 70 gaps of more than an hour."""
    greece = record("greece_5min_1954_1956")
    assert (len(greece.times), greece.step) == (48_209, 300.0)
    assert np.nansum(greece.depths) == pytest.approx(1.35363, abs=1e-6)
    assert np.nanmax(greece.depths) == pytest.approx(7.431e-3)
    assert sum(gap.seconds > 3600.0 for gap in greece.gaps) == 70
    assert all(maxima.years == () and maxima.median is None for maxima in maxima_of(greece))
    assert any("gaps" in note for note in record_notes(greece, "SI"))


def test_southeastern_quarters_list_wet_steps_only() -> None:
    """Described: 10,086 rows of wet intervals only, far too many (2,083) at 00:00; largest 50.8 mm in 15 minutes."""
    wet = record("southeast_us_15min_nonzero")
    assert (len(wet.times), wet.step, wet.wet_only, wet.gaps) == (10_086, 900.0, True, ())
    assert any("00:00" in note for note in record_notes(wet, "SI"))
    assert yearly_maxima(wet, 900.0).largest == pytest.approx(0.0508)


def test_dutch_hours_are_ends_of_hours() -> None:
    """Described: yearly rain 676, 776, 791, 761 mm for 2019-2022 stamps at the ends of hours; largest 51.3 mm."""
    dutch = record("vlissingen_hourly_rain_evap")
    begins = (dutch.times - np.timedelta64(1, "h")).astype("datetime64[Y]").astype(int) + 1970
    yearly = [float(np.nansum(dutch.depths[begins == year])) * 1000 for year in range(2019, 2023)]
    assert yearly == pytest.approx([676, 776, 791, 761], abs=0.6)
    assert np.nanmax(dutch.depths) == pytest.approx(0.0513)
