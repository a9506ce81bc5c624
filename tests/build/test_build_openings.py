"""Pieces beside walls that are bared in short lengths: each goes down in its own numbered opening."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import pytest

from drainwright.build.book import demonstration_book
from drainwright.build.fittings_count import named
from drainwright.build.openings import Stretch, in_openings, stretches
from drainwright.build.panels import BESIDE, bared_lengths
from drainwright.build.take_offs import held
from drainwright.build.takeoff.pipes import count
from drainwright.build.units import FOOT
from drainwright.design import Design
from drainwright.field.model import Plan
from drainwright.system.model import System

from .sample import GROUND, feet, make_node, make_run, make_site, make_wall


def drained(*route: Plan, length: float = 24.0, closed: bool = False) -> System:
    """A drain 1 ft off a wall, to a junction where the next drain begins; something may come in at its upper end."""
    low = GROUND - 5 * FOOT
    runs = [make_run("FD", route, low, low, ends=("a", "b"), walls=("front",))]
    runs.append(make_run("ON", (route[-1], feet(length + 30, -1)), low, low, ends=("b", "c")))
    if closed:
        runs.append(make_run("IN", (feet(-30, -1), route[0]), low, low, ends=("z", "a")))
    nodes = {name: make_node(name, "junction", route[0], low) for name in "abcz"}
    return System(nodes=nodes, runs=tuple(runs), gravity=(), joined=None, discharge="OUT")


SITE = make_site(walls=(make_wall("front", feet(0, 0), feet(24, 0), footing=GROUND - 6 * FOOT),))
PANEL = 8 * FOOT


def test_a_drain_is_parted_where_its_wall_s_openings_end() -> None:
    """Three openings of 8 ft; past the wall's end its dig goes 0.75 m on, and there the trench is one of its own."""
    system = drained(feet(0, -1), feet(40, -1))
    found = stretches(system.runs[0], SITE, bared_lengths(SITE, system, PANEL))
    assert [part.openings for part in found] == [(1,), (2,), (3,), ()]
    ends = [0.0, 8 * FOOT, 16 * FOOT, 24 * FOOT + BESIDE, 40 * FOOT]
    assert [part.start for part in found] == pytest.approx(ends[:-1])
    assert [part.end for part in found] == pytest.approx(ends[1:])


def test_a_drain_that_runs_the_other_way_meets_the_openings_the_other_way_round() -> None:
    system = drained(feet(24, -1), feet(4, -1))
    found = stretches(system.runs[0], SITE, bared_lengths(SITE, system, PANEL))
    assert [part.openings for part in found] == [(3,), (2,), (1,)]
    assert [part.length for part in found] == pytest.approx([8 * FOOT, 8 * FOOT, 4 * FOOT])


def test_a_piece_too_short_to_join_is_laid_with_its_neighbour_and_bears_both_numbers() -> None:
    parts = (
        Stretch(start=0.0, end=2.0, openings=(1,)), Stretch(start=2.0, end=4.0, openings=(2,)),
        Stretch(start=4.0, end=9.0, openings=()),
    )  # fmt: skip
    assert [(one.start, one.end, one.openings) for one in in_openings(parts, 1.9, 4.2)] == [(1.9, 4.2, (2, 1))]
    assert [one.openings for one in in_openings(parts, 1.0, 6.0)] == [(1,), (2,), ()]
    assert in_openings((), 0.0, 2.0) == ()


@pytest.mark.parametrize(
    ("start", "end", "closed", "slips"),
    [
        (0, 40, False, 1),  # openings 1, 2, 3: the second lies between pipes
        (9, 40, False, 0),  # begins in 2, with nothing above it: room to slide
        (9, 40, True, 1),  # begins in 2 where another drain comes in
        (23, 1, False, 1),  # the other way round
    ],
)
def test_an_even_opening_at_a_free_end_takes_no_slip_coupling(start: int, end: int, closed: bool, slips: int) -> None:
    system = drained(feet(start, -1), feet(end, -1), closed=closed)
    fittings = count(SITE, system, demonstration_book(), PANEL).fittings
    assert Counter(item.kind for item in fittings if item.where == "FD")["slip-coupling"] == slips


def test_every_opening_of_the_half_basement_has_its_piece(metric: Design) -> None:
    """FD1 goes round three walls from their first opening to their last: 1 to 14, each once and none longer."""
    design = metric
    bared = {item.number: item for item in bared_lengths(design.site, design.system, design.build.dig.wall_panel)}
    pieces = [piece for cut in design.build.takeoff.cuts for piece in cut.pieces if piece.openings]
    assert sorted(number for piece in pieces for number in piece.openings) == sorted(bared)
    for piece in pieces:
        (number,) = piece.openings
        assert piece.length <= bared[number].end - bared[number].start + BESIDE + 1e-6
    run, own = design.system.run("FD1"), named(design.job, design.system)[0]
    laid = [piece for cut in design.build.takeoff.cuts for piece in cut.pieces if piece.where == "FD1"]
    inside = design.system.stations[0].inside_diameter / 2 - 0.0508
    fitted = math.fsum(math.fsum(ends) for ends in held(run, design.system, own))
    whole = math.fsum(piece.length for piece in laid if not piece.upright)
    assert whole == pytest.approx(run.length - inside - fitted)
    numbers = sorted(bared)
    assert all(two == one + 1 for one, two in pairwise(numbers))
