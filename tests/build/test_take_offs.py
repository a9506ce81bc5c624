"""What fittings hold of straight lengths, by hand from geometry, and the cutting list that takes it off."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from drainwright.build.model import CutPiece
from drainwright.build.sticks import best_sticks
from drainwright.build.take_offs import bend_take_off, held, wye_branch, wye_far
from drainwright.build.takeoff.pipes import cutting_list
from drainwright.design import Design

INCH = 0.0254
FOOT = 0.3048
FOUR = 4.215 * INCH  # outside of 4 in sewer and drain pipe: D3034 and D2729


def test_a_quarter_bend_holds_its_radius() -> None:
    assert bend_take_off(FOUR, math.pi / 2) == pytest.approx(FOUR)
    assert bend_take_off(FOUR, math.pi / 4) == pytest.approx(4.215 * 0.41421 * INCH, rel=1e-4)


def test_the_crotch_of_a_wye_lies_on_the_walls_of_both_pipes() -> None:
    """Its point is half a diameter from both axes: reckoned here from the axes, not by the formula."""
    for run, branch in ((FOUR, FOUR), (6.275 * INCH, FOUR), (FOUR, 3.25 * INCH)):
        far, along = wye_far(run, branch), wye_branch(run, branch)
        point = (far, run / 2)
        axis = (math.cos(math.pi / 4), math.sin(math.pi / 4))
        assert point[0] * axis[1] - point[1] * axis[0] == pytest.approx(branch / 2)
        assert point[0] * axis[0] + point[1] * axis[1] == pytest.approx(along)


def test_two_eighths_hold_what_a_quarter_bend_of_their_radius_does(gravity: Design) -> None:
    """FD1 turns a right angle, then 22-1/2 degrees, and goes through two wyes whose branches are as wide as itself."""
    ends = held(gravity.system.run("FD1"), gravity.system)
    assert [after for _, after in ends[:1]] == pytest.approx([FOUR], rel=1e-3)
    assert ends[1] == pytest.approx((FOUR, FOUR * math.tan(math.radians(11.25))), rel=1e-3)
    wyes, elbow = 2 * 1.20711 * FOUR, 2 * 0.19891 * FOUR
    assert ends[2][1] == pytest.approx(wyes + elbow, rel=1e-3)


def test_the_cutting_list_takes_it_off_and_the_order_does_not(gravity: Design) -> None:
    """By hand: YD1's first 25 ft 8.94 in end at two eighths, 4.215 in: a stick of 20 ft and 5 ft 4.72 in."""
    pieces = [piece for cut in gravity.build.takeoff.cuts for piece in cut.pieces if piece.where == "YD1"]
    assert min(abs(piece.sawn - (5 * FOOT + 4.72 * INCH)) for piece in pieces) < 0.05 * INCH
    runs = gravity.system.runs
    fittings = sum(math.fsum(ends) for run in runs for ends in held(run, gravity.system))
    every = [piece for cut in gravity.build.takeoff.cuts for piece in cut.pieces]
    assert sum(piece.held for piece in every) == pytest.approx(fittings)
    assert all(piece.sawn > 0.05 for piece in every)
    bought = sum(
        line.net * float(line.unit.split()[1]) for line in gravity.build.takeoff.lines if line.category == "pipe"
    )
    assert bought * FOOT == pytest.approx(sum(piece.length for piece in every))


def test_a_short_rest_is_left_and_the_whole_stick_before_it_is_cut() -> None:
    """14 ft 6 in by sticks of 10 ft, 8 in held: off the rest; 10 ft 11 in: the rest would be 3 in, so off the stick."""
    for length, held_, sawn in ((14.5, 8 * INCH, [10 * FOOT, 3.8333 * FOOT]), (10 + 11 / 12, 8 * INCH, None)):
        piece = CutPiece(length=length * FOOT, where="X", upright=False, held=held_)
        sticks = best_sticks([piece.length], {10 * FOOT: 1.0})
        found = [one for cut in cutting_list("p", sticks, [piece]) for one in cut.pieces]
        assert sum(one.sawn for one in found) == pytest.approx(length * FOOT - held_)
        assert min(one.sawn for one in found) > 0.1 - 1e-9
        if sawn is not None:
            assert sorted(one.sawn for one in found) == pytest.approx(sorted(sawn), abs=1e-4)


def test_nothing_is_held_at_basins_and_free_ends(pumped: Design) -> None:
    for run in pumped.system.runs:
        ends = held(run, pumped.system)
        assert ends[0][0] == 0.0
        if pumped.system.nodes[run.lower].kind == "basin":
            assert ends[-1][1] == 0.0
        assert all(one[1] > 0.0 and two[0] > 0.0 for one, two in pairwise(ends))
