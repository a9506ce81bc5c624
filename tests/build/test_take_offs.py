"""What fittings hold of straight lengths, by hand from geometry, and the cutting list that takes it off."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import get_args

import pytest

from drainwright.build.fittings_count import inside_bodies, legs, named
from drainwright.build.model import CutPiece
from drainwright.build.sticks import best_sticks
from drainwright.build.take_offs import bend_take_off, held, riser_held, wye_branch, wye_far
from drainwright.build.takeoff.pipes import cutting_list, standing
from drainwright.design import Design
from drainwright.system.catalogue import PIPES
from drainwright.system.fittings import Kind
from drainwright.system.make_up import MAKE_UP, make_up

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
    """FD1 turns a right angle, then 22-1/2 degrees, and goes through two wyes whose branches are as wide as itself.

    Its corner's cleanout stands on a tee of 4.215 in, which lies in the length after the turn.
    """
    fittings = named(gravity.job, gravity.system)[0]
    ends = held(gravity.system.run("FD1"), gravity.system, fittings)
    assert [after for _, after in ends[:1]] == pytest.approx([FOUR], rel=1e-3)
    assert ends[1][0] == pytest.approx(FOUR, rel=1e-3)
    tees = sum(1 for fit in fittings if fit.where == "FD1" and fit.kind == "tee")
    small = FOUR * math.tan(math.radians(11.25))
    wyes = 2 * 1.20711 * FOUR  # its last leg comes to them as a wye's branch does: no elbow more
    assert ends[1][1] + ends[2][1] == pytest.approx(small + wyes + tees * FOUR, rel=1e-3)


def test_the_cutting_list_takes_it_off_and_so_does_the_order(gravity: Design) -> None:
    """By hand: YD1's first 25 ft 8.94 in end at two eighths, 4.215 in: a stick of 20 ft and 5 ft 4.72 in."""
    pieces = [piece for cut in gravity.build.takeoff.cuts for piece in cut.pieces if piece.where == "YD1"]
    assert min(abs(piece.length - (5 * FOOT + 4.72 * INCH)) for piece in pieces) < 0.05 * INCH
    fittings, risers = named(gravity.job, gravity.system)
    system = gravity.system
    whole = math.fsum(
        math.fsum(legs(run, inside_bodies(gravity.job, system, run)))
        - math.fsum(math.fsum(ends) for ends in held(run, system, fittings))
        for run in system.runs
    ) + math.fsum(standing(riser, system, fittings).length for riser in risers)
    every = [piece for cut in gravity.build.takeoff.cuts for piece in cut.pieces]
    assert sum(piece.length for piece in every) == pytest.approx(whole)
    assert all(piece.length > 0.05 for piece in every)
    bought = sum(
        line.net * float(line.unit.split()[1]) for line in gravity.build.takeoff.lines if line.category == "pipe"
    )
    assert bought * FOOT == pytest.approx(sum(piece.length for piece in every))


def test_couplings_take_their_stops_off_the_last_piece_of_pipe_without_bells() -> None:
    """45 ft of Schedule 40 by sticks of 20 ft: two couplings, each with a stop of 3/16 in; belled pipe has none."""
    piece = CutPiece(length=45 * FOOT, where="X", upright=False)
    sticks = best_sticks([piece.length], {20 * FOOT: 1.0})
    for key, rest in (("sch40 2 in", 5 * FOOT - 2 * 3 / 16 * INCH), ("d3034 4 in", 5 * FOOT)):
        found = [one.length for cut in cutting_list(PIPES[key], sticks, [piece]) for one in cut.pieces]
        assert sorted(found) == pytest.approx([rest, 20 * FOOT, 20 * FOOT])


def test_ends_of_the_block_wall_house_by_hand(pumped: Design) -> None:
    """What stands at each run's ends, from the outside diameters of ASTM D3034 and Schedule 40 (ASTM D1785)."""
    system = pumped.system
    fittings = named(pumped.job, system)[0]
    ends = {run.name: held(run, system, fittings) for run in system.runs}
    assert ends["FD1"][0][0] == pytest.approx(FOUR)  # two eighths up to the cleanout at F: a quarter bend
    assert ends["FD2"][0][0] == pytest.approx(FOUR)
    assert ends["L1"][0][0] == pytest.approx(1.5 * FOUR)  # the long sweep under the downspout
    assert ends["YD1"][0][0] == ends["YD2"][0][0] == 0.0  # from catch basins
    three = 3.5 * INCH
    # the first riser's elbow, then through the wye where the second joins: 3.5/2 + 3.5/√2
    assert ends["DL"][0][0] == pytest.approx(three + three / 2 + three / math.sqrt(2))
    # into the existing 4 in line's wye; a reducer of 4 in; an adapter's stop
    assert ends["DL"][-1][1] == pytest.approx(three / 2 + FOUR / math.sqrt(2) + FOUR / 4 + 3 / 16 * INCH)
    for run in system.runs:
        if system.nodes[run.lower].kind == "basin":
            assert ends[run.name][-1][1] in (pytest.approx(0.0), pytest.approx(FOUR))  # a tee may stand in that length
        assert all(one[1] > 0.0 and two[0] > 0.0 for one, two in pairwise(ends[run.name]))
    # FD2: two eighths at C and at B, 72 degrees at 32.7 ft, and a tee at each of both turns
    turned = FOUR + FOUR * (math.tan(math.pi / 8) + math.tan(math.pi / 16)) / 2
    assert turned == pytest.approx(FOUR * 1.3, rel=0.02)
    assert sum(below for _, below in ends["FD2"]) >= 2 * FOUR + turned


def test_risers_of_the_block_wall_house_by_hand(pumped: Design) -> None:
    """Over two eighths, a tee, a long sweep and a pump's pipe."""
    system = pumped.system
    fittings, risers = named(pumped.job, system)
    off = {riser.foot: riser_held(riser, system, fittings) for riser in risers}
    three, port = 3.5 * INCH, 1.9 * INCH
    assert off["elbow-45"] == pytest.approx(FOUR / 2 + 2 * INCH)
    assert off["tee"] == pytest.approx(2 * INCH)
    assert off["sweep-90"] == pytest.approx(FOUR)
    assert off["male-adapter"] == pytest.approx(0.25 * port + (0.25 + 2.0 + 0.5 + 1.0 + 0.5) * three)


def test_the_table_says_for_each_fitting_what_it_rests_on() -> None:
    kinds = set(get_args(Kind))
    assert set(MAKE_UP) <= kinds
    assert all(row.why and row.source and row.diameters + row.fixed > 0.0 for row in MAKE_UP.values())
    turned = {"elbow-22", "elbow-45", "elbow-90", "wye"}
    assert kinds - set(MAKE_UP) - turned == {"gasket", "downspout", "air-gap", "flexible"}
    assert make_up("flexible", FOUR) == 0.0
