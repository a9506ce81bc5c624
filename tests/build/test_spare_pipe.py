"""Pipe is bought by the cutting list: what it leaves is waste, none spare, but for sticks that the book asks for."""

from __future__ import annotations

import math

import pytest

from drainwright.build.takeoff.whole import NO_SPARE, SPARE
from tests.build.test_build_book import built
from tests.conftest import designed


def test_the_order_says_that_no_pipe_is_spare() -> None:
    """129 ft laid and 130 ft bought looked like an order with waste in it."""
    takeoff = designed("block-wall-house/job").build.takeoff
    assert NO_SPARE in takeoff.notes
    assert all("no spare" in line.note for line in takeoff.lines if line.category == "pipe")


@pytest.mark.parametrize("share", [0.001, 0.05, 0.5])
def test_the_book_buys_whole_spare_sticks_of_each_pipe(share: float) -> None:
    """The spare ones of a pipe are the fewest of its longest stick that make the share of what is laid.

    The lengths that are cut may be others than without: what is bought in all costs least.
    """
    takeoff = built(waste={"pipe": f"{100 * share} %"}).takeoff
    assert SPARE in takeoff.notes
    assert NO_SPARE not in takeoff.notes
    lines = [line for line in takeoff.lines if line.category == "pipe"]
    for pipe in {cut.pipe for cut in takeoff.cuts}:
        mine = [cut for cut in takeoff.cuts if cut.pipe == pipe]
        laid = math.fsum(piece.length for cut in mine for piece in cut.pieces)
        longest = max(cut.length for cut in mine)
        name = f"pipe.{pipe.replace(' in', 'in').replace(' ', '-')}."
        for line in (line for line in lines if line.key.startswith(name)):
            cut = [one for one in mine if line.key.endswith(f".{round(one.length / 0.3048)}ft")]
            spare = line.quantity - len(cut)
            assert line.waste == pytest.approx(line.quantity / line.net - 1)
            if cut[0].length == longest:
                assert (spare - 1) * longest < share * laid <= spare * longest + 1e-6
                assert f"and {spare:.0f} spare" in line.note
            else:
                assert spare == 0


def test_spare_pipe_moves_no_price_of_a_book_that_asks_for_none() -> None:
    assert built(waste={"pipe": "0 %"}).takeoff == built().takeoff
