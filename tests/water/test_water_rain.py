"""The rain table: its checks, its interpolation, and the storms made from it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from site_of import RAIN

from drainwright.errors import InputError
from drainwright.job.place import Rain
from drainwright.job.values import Basis
from drainwright.water.rain import SECONDS_A_YEAR, RainTable, rain_table
from drainwright.water.storms import NRCS_CURVES, design_storm, nested_depths, nrcs_fraction, scaled_increments

INCH = 0.0254
TABLE = rain_table(Rain.model_validate(RAIN))
TEN = 10 * SECONDS_A_YEAR
DURATIONS = st.floats(150.0, 86400.0)
PERIODS = st.floats(2.0, 25.0).map(lambda years: years * SECONDS_A_YEAR)


def test_what_stands_in_the_table_comes_back() -> None:
    assert TABLE.depth(900.0, TEN) == 1.10 * INCH
    assert TABLE.intensity(3600.0, 25 * SECONDS_A_YEAR) == pytest.approx(2.5 * INCH / 3600)
    assert (TABLE.basis, TABLE.source) == (Basis.MAPPED, "invented table")


def test_between_rows_and_columns_the_geometric_mean_halfway() -> None:
    """Straight on logarithmic paper: midway in the logarithm of time stands the geometric mean of the depths."""
    assert TABLE.depth((900.0 * 3600.0) ** 0.5, TEN) == pytest.approx((1.1 * 2.1) ** 0.5 * INCH)
    period = (10.0 * 25.0) ** 0.5 * SECONDS_A_YEAR
    assert TABLE.depth(3600.0, period) == pytest.approx((2.1 * 2.5) ** 0.5 * INCH)


@given(DURATIONS, DURATIONS, PERIODS)
def test_intensity_falls_and_depth_rises_with_duration(one: float, other: float, period: float) -> None:
    short, long = sorted((one, other))
    assert TABLE.intensity(long, period) <= TABLE.intensity(short, period) * (1 + 1e-9)
    assert TABLE.depth(long, period) >= TABLE.depth(short, period) * (1 - 1e-9)


@given(DURATIONS, PERIODS, PERIODS)
def test_depth_rises_with_return_period(duration: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert TABLE.depth(duration, high) >= TABLE.depth(duration, low) * (1 - 1e-9)


@pytest.mark.parametrize(
    ("duration", "years"), [(149.0, 10.0), (86500.0, 10.0), (600.0, 1.9), (600.0, 26.0), (float("nan"), 10.0)]
)
def test_outside_the_table_is_refused(duration: float, years: float) -> None:
    with pytest.raises(InputError, match="which the rain table covers"):
        TABLE.depth(duration, years * SECONDS_A_YEAR)


def test_below_the_shortest_row_the_line_goes_on_to_its_half() -> None:
    """5 and 15 min hold 0.55 and 1.10 in: depth as duration to the power log 2 / log 3."""
    assert TABLE.depth(150.0, TEN) == pytest.approx(0.55 * INCH * 0.5 ** (np.log(2) / np.log(3)))


def test_a_single_row_answers_for_itself_only() -> None:
    table = RainTable(durations=(600.0,), return_periods=(TEN,), depths=((0.02,),), source="", basis=Basis.STATED)
    assert table.depth(600.0, TEN) == 0.02
    with pytest.raises(InputError):
        table.depth(500.0, TEN)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"depths": ((0.01, 0.02), (0.03, 0.02))}, "rarer rain is no smaller"),
        ({"depths": ((0.02, 0.03), (0.015, 0.04))}, "longer rain is no smaller"),
        ({"depths": ((0.01, 0.02), (0.05, 0.06))}, "no longer rain can be"),
        ({"depths": ((0.01, 0.02), (0.015, float("nan")))}, "above zero throughout"),
        ({"depths": ((0.0, 0.02), (0.015, 0.03))}, "above zero throughout"),
        ({"depths": ((0.01, 0.02),)}, "expected 2 rows of 2 values"),
        ({"durations": (600.0, 300.0)}, "durations"),
        ({"return_periods": (TEN, TEN)}, "return_periods"),
        ({"durations": ()}, "at least one"),
    ],
)
def test_impossible_tables_are_refused(change: dict[str, object], words: str) -> None:
    table = RainTable(
        durations=(300.0, 600.0), return_periods=(SECONDS_A_YEAR, TEN), depths=((0.01, 0.02), (0.015, 0.03)),
        source="", basis=Basis.STATED,
    )  # fmt: skip
    with pytest.raises(InputError, match=words):
        replace(table, **change)


def test_rows_and_columns_in_any_order() -> None:
    mixed = {
        **RAIN,
        "return_periods": RAIN["return_periods"][::-1],
        "table": [{**row, "depths": row["depths"][::-1]} for row in RAIN["table"][::-1]],
    }
    assert rain_table(Rain.model_validate(mixed)) == TABLE


def test_a_file_must_have_been_read_before() -> None:
    with pytest.raises(InputError, match=r"rain\.csv"):
        rain_table(Rain.model_validate({"file": "rain.csv"}))


@given(st.sampled_from([60.0, 150.0, 300.0]), st.integers(1, 72), PERIODS)
def test_nested_storm_holds_the_table_at_every_centred_duration(step: float, half: int, period: float) -> None:
    depths = nested_depths(TABLE, period, 2 * 72 * step, step)
    window = 2 * half * step
    middle = depths[72 - half : 72 + half].sum()
    shortest = TABLE.shortest
    expected = TABLE.depth(max(window, shortest), period) * min(1.0, window / shortest)
    assert middle == pytest.approx(expected)


@given(st.integers(3, 61), PERIODS)
def test_nested_storm_rises_to_the_middle_and_falls_alike(count: int, period: float) -> None:
    depths = nested_depths(TABLE, period, count * 300.0, 300.0)
    assert len(depths) == count
    assert depths == pytest.approx(depths[::-1])
    assert np.all(np.diff(depths[: (count + 1) // 2]) >= -1e-12)


@pytest.mark.parametrize("period", [2 * TEN / 10, 7.3 * TEN / 10, TEN])
def test_depths_of_many_durations_are_those_of_each(period: float) -> None:
    durations = np.geomspace(TABLE.shortest, TABLE.durations[-1], 41)
    each = [TABLE.depth(float(duration), period) for duration in durations]
    np.testing.assert_allclose(TABLE.depths_of(durations, period), each, rtol=1e-12)
    with pytest.raises(InputError):
        TABLE.depths_of(np.append(durations, 2.0 * TABLE.durations[-1]), period)


@pytest.mark.parametrize("distribution", ["nested", "block", *NRCS_CURVES])
def test_storms_hold_their_depth(distribution: str) -> None:
    storm = design_storm(TABLE, TEN, 6 * 3600.0, distribution, 300.0)  # type: ignore[arg-type]
    hours = 24 if distribution.startswith("type") else 6
    assert len(storm.times) == hours * 12
    assert storm.intensity.sum() * storm.step == pytest.approx(storm.depth)
    assert storm.depth == TABLE.depth(hours * 3600.0, TEN)
    assert f"{hours} h" in storm.name
    assert "10-year" in storm.name


def test_storms_that_cannot_be() -> None:
    with pytest.raises(InputError, match="divides"):
        design_storm(TABLE, TEN, 3600.0, "nested", 700.0)
    with pytest.raises(InputError, match="distribution"):
        design_storm(TABLE, TEN, 3600.0, "type V", 300.0)  # type: ignore[arg-type]
    with pytest.raises(InputError, match="covers"):
        design_storm(TABLE, TEN, 48 * 3600.0, "nested", 3600.0)
    with pytest.raises(InputError, match="0 to 86400"):
        nrcs_fraction(86401.0, "type II")
    with pytest.raises(InputError, match="do not fall"):
        scaled_increments(np.array([0.5, 0.4]), 1.0)


def test_bounds_come_from_the_table_or_from_the_spread_or_not_at_all() -> None:
    assert TABLE.bounds(900.0, TEN) is None
    low, high = replace(TABLE, spread=0.2).bounds(900.0, TEN) or (0.0, 0.0)
    assert (low / INCH, high / INCH) == pytest.approx((0.88, 1.32))
    scaled = replace(
        TABLE,
        low=tuple(tuple(0.9 * depth for depth in row) for row in TABLE.depths),
        high=tuple(tuple(1.3 * depth for depth in row) for row in TABLE.depths),
    )
    low, high = scaled.bounds(1234.0, TEN) or (0.0, 0.0)  # between rows: bounds are interpolated as depths are
    assert (low, high) == pytest.approx((0.9 * TABLE.depth(1234.0, TEN), 1.3 * TABLE.depth(1234.0, TEN)))
    with pytest.raises(InputError, match="which the rain table covers"):
        scaled.bounds(100.0, TEN)


def test_bounds_on_the_wrong_side_are_refused() -> None:
    with pytest.raises(InputError, match="low <= depth <= high"):
        replace(TABLE, low=tuple(tuple(1.1 * depth for depth in row) for row in TABLE.depths))
    with pytest.raises(InputError, match="as many rows"):
        replace(TABLE, high=TABLE.depths[:-1])
