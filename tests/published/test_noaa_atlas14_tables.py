"""NOAA Atlas 14 point tables as served: read, interpolated and nested. The files are shared data, not in the tree."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from drainwright.job.place import Rain
from drainwright.job.rain_file import read_rain_table
from drainwright.job.values import Basis
from drainwright.water.rain import SECONDS_A_YEAR, RainTable
from drainwright.water.storms import design_storm, nested_depths

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "data" / "idf"
PLACES = ("champaign_il", "pulaski_va", "fort_myers_fl")
INCH = 0.0254

pytestmark = pytest.mark.skipif(not FOLDER.is_dir(), reason="the shared rain tables are not beside this tree")


def table_of(place: str) -> RainTable:
    read = read_rain_table((FOLDER / f"{place}_depth_in.csv").read_text(encoding="utf-8"))
    return RainTable(
        durations=tuple(duration for duration, _ in read.rows),
        return_periods=read.return_periods,
        depths=tuple(depths for _, depths in read.rows),
        source=read.title,
        basis=Basis.MAPPED,
    )


@pytest.mark.parametrize(
    ("place", "duration", "years", "depth"),
    [("pulaski_va", 300, 10, 0.452), ("pulaski_va", 3600, 100, 2.58), ("fort_myers_fl", 86400, 25, 9.05)],
)
def test_printed_depths_come_back(place: str, duration: float, years: float, depth: float) -> None:
    assert table_of(place).depth(duration, years * SECONDS_A_YEAR) / INCH == pytest.approx(depth)


@pytest.mark.parametrize("place", PLACES)
def test_a_row_left_out_is_found_again(place: str) -> None:
    """Interpolation between real rows twice as far apart meets the row between them within 10 % (as found:
    9.7 % at 30 min in Fort Myers, 5 % and less as a rule)."""
    whole = table_of(place)
    for left_out in range(1, len(whole.durations) - 1):
        rest = RainTable(
            durations=whole.durations[:left_out] + whole.durations[left_out + 1 :],
            return_periods=whole.return_periods,
            depths=whole.depths[:left_out] + whole.depths[left_out + 1 :],
            source=whole.source,
            basis=whole.basis,
        )
        for period, depth in zip(whole.return_periods, whole.depths[left_out], strict=True):
            assert rest.depth(whole.durations[left_out], period) == pytest.approx(depth, rel=0.10)


@pytest.mark.parametrize("place", PLACES)
def test_half_of_the_shortest_row_follows_the_five_to_ten_minute_line(place: str) -> None:
    """A 150 s rain is shorter than the table: more intense than 5 min, by a third or so."""
    table = table_of(place)
    for period in table.return_periods:
        ratio = table.intensity(150.0, period) / table.intensity(300.0, period)
        assert 1.1 < ratio < 1.4


@pytest.mark.parametrize("place", PLACES)
def test_nested_storm_holds_every_row_of_the_table(place: str) -> None:
    table = table_of(place)
    depths = nested_depths(table, 25 * SECONDS_A_YEAR, 86400.0, 300.0)
    for duration in (600.0, 1800.0, 3600.0, 7200.0, 10800.0, 21600.0, 43200.0, 86400.0):
        steps = round(duration / 300.0)
        start = (len(depths) - steps) // 2
        assert depths[start : start + steps].sum() == pytest.approx(table.depth(duration, 25 * SECONDS_A_YEAR))


def test_type_ii_curve_does_not_follow_the_place() -> None:
    """A finding: milder than the place's own 5 minutes in Illinois (0.72), sharper than its 15 in Florida (1.63)."""
    period = 25 * SECONDS_A_YEAR

    def burst(place: str, steps: int) -> float:
        table = table_of(place)
        curve = design_storm(table, period, 86400.0, "type II", 300.0)
        assert np.sum(curve.intensity) * 300.0 == pytest.approx(table.depth(86400.0, period))
        deepest = np.convolve(curve.intensity * 300.0, np.ones(steps), "valid").max()
        return float(deepest / table.depth(300.0 * steps, period))

    assert burst("champaign_il", 1) < 0.8
    assert burst("fort_myers_fl", 3) > 1.5


def test_a_job_takes_the_table() -> None:
    from drainwright.job.place import RainRow
    from drainwright.job.values import si
    from drainwright.water.rain import rain_table

    read = read_rain_table((FOLDER / "pulaski_va_depth_in.csv").read_text(encoding="utf-8"))
    rain = Rain(
        return_periods=tuple(si(period) for period in read.return_periods),
        table=tuple(RainRow(duration=si(d), depths=tuple(si(x) for x in depths)) for d, depths in read.rows),
    )
    assert rain_table(rain).depths == table_of("pulaski_va").depths
