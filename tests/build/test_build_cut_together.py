"""All runs of one pipe are cut from the same sticks: what one leaves serves another."""

from __future__ import annotations

import math
import random
from itertools import chain

import pytest

from drainwright.build.model import CutPiece
from drainwright.build.sticks import best_sticks
from drainwright.build.takeoff.pipes import cutting_list
from drainwright.system.catalogue import find_pipe
from tests.conftest import designed

from .test_build_sticks import fewest

KERF = 0.004
STICK = 3.048


@pytest.mark.parametrize("path", ["block-wall-house/job", "two-basins/job", "metric-basement/job"])
def test_a_stick_serves_more_than_one_run(path: str) -> None:
    cuts = designed(path).build.takeoff.cuts
    assert any(len({piece.where for piece in cut.pieces}) > 1 for cut in cuts)


@pytest.mark.parametrize("seed", range(40))
def test_runs_are_cut_as_well_as_any_way_to_cut_them_together(seed: int) -> None:
    draw = random.Random(seed)
    runs = {name: [round(draw.uniform(0.15, 0.95) * STICK, 3) for _ in range(draw.randint(1, 3))] for name in "ABC"}
    wanted = [CutPiece(length=length, where=name, upright=False) for name, of in runs.items() for length in of]
    together = best_sticks([piece.length for piece in wanted], {STICK: 1.0}, KERF)
    assert together.count == fewest(list(chain(*runs.values())), STICK, KERF)
    assert together.count <= sum(best_sticks(of, {STICK: 1.0}, KERF).count for of in runs.values())
    made = cutting_list(find_pipe("d3034 4 in"), together, wanted)
    found = sorted((piece.where, piece.length) for cut in made for piece in cut.pieces)
    assert found == sorted((piece.where, piece.length) for piece in wanted)
    for cut in made:
        sawn = KERF * (len(cut.pieces) - 1)
        assert math.fsum(piece.length for piece in cut.pieces) + sawn <= STICK + 1e-9
        assert cut.rest >= 0.0


def test_the_rest_of_one_run_is_the_piece_of_another() -> None:
    """2 m and 1 m fit one stick of 3.048 m; each run for itself would buy one."""
    wanted = [CutPiece(length=2.0, where="A", upright=False), CutPiece(length=1.0, where="B", upright=False)]
    sticks = best_sticks([2.0, 1.0], {STICK: 1.0}, KERF)
    (cut,) = cutting_list(find_pipe("d3034 4 in"), sticks, wanted)
    assert [piece.where for piece in cut.pieces] == ["A", "B"]
    assert cut.rest == pytest.approx(0.048 - 2 * KERF)
