"""The turns of a pumped line, sideways, up and down, and all that hangs on them."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest

from drainwright.build.fittings_count import legs
from drainwright.design import Design
from drainwright.hydraulics.fittings import fitting
from drainwright.paper.documents.cut_sheets import sheet_stations
from drainwright.system.bends import grade_breaks, inner_bends, line_bends, pipe_lengths

FOOT = 0.3048


def test_a_climb_to_the_kerb_takes_an_elbow_up_and_one_down() -> None:
    """Level for 21.9 ft, then 2.28 ft up in 3.13 ft: 36 degrees, by hand; two elbows, and 3.87 ft of pipe for 3.13."""
    distances = tuple(FOOT * x for x in (0.0, 10.0, 21.9, 25.03))
    inverts = tuple(FOOT * x for x in (97.82, 97.82, 97.82, 100.10))
    places = tuple((x, 0.0) for x in distances)
    up, down = line_bends(distances, places, inverts, level_start=True, level_end=True)
    assert (up.way, down.way) == ("up", "down")
    assert up.angle == down.angle == pytest.approx(36.07, abs=0.01)
    assert up.elbows == down.elbows == ("elbow-45",)
    assert up.distance == pytest.approx(21.9 * FOOT)
    assert pipe_lengths(distances, inverts)[-1] == pytest.approx((21.9 + 3.872) * FOOT, abs=1e-3)
    (alone,) = line_bends(distances, places, inverts, level_start=True, level_end=False)
    assert alone == up
    assert inner_bends((up, down), down.along) == (up,)


def test_a_bend_in_space_is_the_angle_between_both_legs() -> None:
    """Against NumPy's dot product: a quarter turn sideways that climbs 1 in 2 after it."""
    places = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0))
    (bend,) = line_bends((0.0, 4.0, 8.0), places, (0.0, 0.4, 2.4), level_start=False, level_end=False)
    one, two = np.array([4.0, 0.0, 0.4]), np.array([0.0, 4.0, 2.0])
    asked = math.degrees(math.acos(one @ two / np.linalg.norm(one) / np.linalg.norm(two)))
    assert bend.angle == pytest.approx(asked)
    assert (bend.way, bend.at) == ("", (4.0, 0.0))


def test_a_slight_rise_is_bent_in_the_pipe() -> None:
    places = ((0.0, 0.0), (5.0, 0.0), (10.0, 0.0))
    assert line_bends((0.0, 5.0, 10.0), places, (0.0, 0.0, 0.9), level_start=True, level_end=True) == ()  # 10.2 degrees
    found = line_bends((0.0, 5.0, 10.0), places, (0.0, 0.0, 1.1), level_start=True, level_end=True)  # 12.4
    assert [bend.elbows for bend in found] == [("elbow-22",), ("elbow-22",)]


def test_a_string_is_held_where_the_pipe_leaves_it() -> None:
    distances = np.linspace(0.0, 20.0, 21)
    inverts = np.interp(distances, [0.0, 6.0, 18.0, 20.0], [1.0, 0.7, 0.8, 2.0])
    assert grade_breaks(distances.tolist(), inverts.tolist(), 0.02) == (6, 18)
    told = [0, 6, 18, 20]
    assert np.abs(np.interp(distances, distances[told], inverts[told]) - inverts).max() < 0.02


def test_a_steep_end_is_ordered_reckoned_and_told(wrong: Design) -> None:
    """One list of bends stands behind order, head, cutting list and cut sheet."""
    system = wrong.system
    (station,) = system.stations
    run = system.run(station.discharge_run)
    (bend,) = [one for one in run.bends if one.way]
    assert bend.way == "up"
    ways = Counter((fit.kind, fit.way) for fit in system.fittings or () if fit.where == run.name and fit.way)
    assert ways == {(kind, "up"): count for kind, count in Counter(bend.elbows).items()}
    assert station.line is not None
    lost = {item.kind: item.coefficient for item in station.line.fittings}
    elbows = sum(len(one.elbows) for one in run.bends)
    assert lost["ell45"] == pytest.approx(elbows * fitting("ell45").loss_coefficient)
    assert math.fsum(legs(run)) == pytest.approx(run.pipe_length)
    assert run.pipe_length > run.length + 0.01
    assert any("grade break" in what and abs(place.distance - bend.distance) < 0.01
               for place, what in sheet_stations(wrong, run))  # fmt: skip
    assert any(line.key.startswith("fitting.elbow-22.sch40") for line in wrong.build.takeoff.lines)
