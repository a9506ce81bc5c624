"""Pipe is bought by the cutting list: what it leaves is waste, and the order says that nothing of it is spare."""

from __future__ import annotations

from drainwright.build.takeoff.whole import NO_SPARE
from tests.conftest import designed


def test_the_order_says_that_no_pipe_is_spare() -> None:
    """129 ft laid and 130 ft bought looked like an order with waste in it."""
    takeoff = designed("block-wall-house/job").build.takeoff
    assert NO_SPARE in takeoff.notes
    assert all("no spare" in line.note for line in takeoff.lines if line.category == "pipe")
