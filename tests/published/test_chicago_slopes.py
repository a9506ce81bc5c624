"""Chicago Municipal Code, Table 18-29-704.1: least slopes of horizontal drains.

SEEN https://codelibrary.amlegal.com/codes/chicago/latest/chicago_il/0-0-0-2691996: 2-1/2 in or less 1/4 in per ft,
3 to 6 in 1/8, 8 in or more 1/16. Written for drains in and under buildings; the program's default least grade is
that of 3 to 6 in, and it is the job's to change.
"""

from __future__ import annotations

import pytest

from drainwright.job.works import Criteria
from drainwright.system.catalogue import PIPES


def test_the_default_least_grade_is_that_of_3_to_6_in() -> None:
    """1/8 in per ft, 1.04 %."""
    assert Criteria().minimum_grade == pytest.approx(0.125 / 12)


def test_no_gravity_pipe_is_of_the_sizes_that_need_more() -> None:
    """2-1/2 in or less needs 1/4 in per ft: pipe so small is in the catalogue for pressure alone."""
    gravity = [pipe for pipe in PIPES.values() if not pipe.key.startswith("sch40")]
    assert gravity
    assert min(pipe.inside for pipe in gravity) > 2.5 * 0.0254
