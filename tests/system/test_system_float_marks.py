"""Floats on the marks of a tape."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from system_stations import setting, station_of

from drainwright.system.lift.float_marks import MARKS, float_marks, tether_length
from drainwright.system.model import LiftStation

INCH = 0.0254
STATION, _ = station_of(setting())


def with_levels(off: float, band: float, room: float, second: bool) -> LiftStation:
    """A station with its levels at heights above the floor; the lowest pipe so far above on."""
    on = off + band
    alarm = on + max(room - 0.0254, 0.5 * room)
    return replace(
        STATION,
        off=STATION.floor + off,
        on=STATION.floor + on,
        alarm=STATION.floor + alarm,
        second_on=STATION.floor + (on + alarm) / 2 if second else None,
        lowest_inlet=STATION.floor + on + room,
        pump=replace(STATION.pump, minimum_depth=min(off, 0.0762)),
    )


def kept(station: LiftStation, heights: dict[str, float]) -> set[str]:
    """What a set of heights keeps, told anew."""
    inlet, band = station.lowest_inlet - station.floor, station.on - station.off
    rising = list(heights.values())
    found = set()
    if heights["off"] > station.pump.minimum_depth - 1e-8:
        found.add("wet")
    if all(b > a for a, b in itertools.pairwise(rising)):
        found.add("order")
    if heights["on"] - heights["off"] > band - 1e-8:
        found.add("starts")
    if heights["on"] < inlet - 3 * INCH + 1e-8:
        found.add("3 in below the pipe")
    if heights["alarm"] < inlet + 1e-8:
        found.add("alarm")
    starts = [height for name, height in heights.items() if name != "off"]
    if all(b - a > 2 * INCH - 1e-8 for a, b in itertools.pairwise(starts)):
        found.add("2 in between floats")
    return found


@given(
    off=st.floats(0.03, 0.4), band=st.floats(0.06, 0.9), room=st.floats(0.03, 0.5), second=st.booleans(),
    units=st.sampled_from(["US", "SI"]),
)  # fmt: skip
def test_marks_keep_all_that_the_levels_kept(
    off: float, band: float, room: float, second: bool, units: Literal["US", "SI"]
) -> None:
    station = with_levels(off, band, room, second)
    found = float_marks(station, units)
    exact = {"off": off, "on": off + band, "second on": station.second_on, "alarm": station.alarm - station.floor}
    exact["second on"] = None if station.second_on is None else station.second_on - station.floor
    before = kept(station, {name: value for name, value in exact.items() if value is not None})
    after = kept(station, {mark.name: mark.above_floor for mark in found.marks})
    assert before <= after
    assert found.step in (0.0, *MARKS[units])
    for mark in found.marks:
        assert abs(mark.moved) <= 2.0 * MARKS[units][0] + 1e-9
        if found.step:
            assert abs(mark.above_floor / found.step - round(mark.above_floor / found.step)) < 1e-6
        assert mark.above_floor + mark.below_rim == pytest.approx(station.rim - station.floor)
        assert mark.above_floor + mark.below_inlet == pytest.approx(station.lowest_inlet - station.floor)


def test_a_usual_station_lands_on_quarter_inches() -> None:
    found = float_marks(STATION, "US")
    assert found.step == pytest.approx(0.25 * INCH)
    metric = float_marks(STATION, "SI")
    assert metric.step == pytest.approx(0.005)
    on, off = found.of("on"), found.of("off")
    assert on is not None
    assert off is not None
    area = math.pi / 4 * STATION.inside_diameter**2
    assert found.band_volume == pytest.approx(area * (on.above_floor - off.above_floor))
    assert found.band_volume >= STATION.band_volume * (1 - 1e-9)
    assert found.of("second on") is None


def test_a_tight_place_takes_finer_marks() -> None:
    """No quarter inch lies between what the starts and the pipe allow, but a finer mark does."""
    band, off = 12.03 * INCH, 3.0 * INCH
    station = with_levels(off, band, 3.07 * INCH, False)  # on may rise by 0.07 in at most
    found = float_marks(station, "US")
    assert found.step in (pytest.approx(INCH / 8), pytest.approx(INCH / 16))
    on = found.of("on")
    assert on is not None
    assert on.below_inlet >= 3 * INCH - 1e-9


def test_a_tether_swings_45_degrees_up_and_down() -> None:
    assert tether_length(0.254) * 2 * math.sin(math.pi / 4) == pytest.approx(0.254)
    wide = replace(STATION, pump=replace(STATION.pump, float_kind="wide angle"))
    found = float_marks(wide, "US")
    on, off = found.of("on"), found.of("off")
    assert on is not None
    assert off is not None
    assert found.tether == pytest.approx(tether_length(on.above_floor - off.above_floor))
    assert found.tether_room == pytest.approx(STATION.inside_diameter / 2 - 0.10)
    assert float_marks(STATION, "US").tether is None


def test_the_alarm_never_rounds_up_past_the_lowest_pipe() -> None:
    """Alarm 40.19 in, pipe 40.20 in: the nearest mark, 40.25, would ring too late."""
    station = replace(
        with_levels(3.0 * INCH, 20.0 * INCH, 17.20 * INCH, False), alarm=STATION.floor + 40.19 * INCH
    )  # fmt: skip
    alarm = float_marks(station, "US").of("alarm")
    assert alarm is not None
    assert alarm.above_floor == pytest.approx(40.0 * INCH)
    assert alarm.below_inlet > 0.0
