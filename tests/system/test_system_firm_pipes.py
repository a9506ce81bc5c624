"""The firm's pipes: what a design chooses among, in which lengths and through which holes."""

from __future__ import annotations

from pathlib import Path

import pytest

from drainwright.design import design
from drainwright.errors import JobError
from drainwright.job.firm import FirmPipe
from drainwright.job.reading import read_text
from drainwright.job.values import si
from drainwright.system.catalogue import FOOT, INCH, PRESSURE_PIPES, candidates
from drainwright.system.firm_pipes import shelf_of

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def test_without_pipes_of_its_own_a_firm_chooses_from_the_catalogue() -> None:
    shelf = shelf_of(())
    assert shelf.gravity(perforated=True, driven=False) == candidates(perforated=True)
    assert shelf.pressure(0.0) == PRESSURE_PIPES


def test_a_firm_chooses_among_its_own_and_from_the_catalogue_where_it_has_none() -> None:
    shelf = shelf_of((FirmPipe(pipe="d2729 6 in perforated"), FirmPipe(pipe="Schedule 40, 2 in")))
    assert [one.key for one in shelf.gravity(perforated=True, driven=False)] == ["d2729 6 in perforated"]
    assert shelf.gravity(perforated=False, driven=True) == candidates(perforated=False, driven=True)
    assert [one.key for one in shelf.pressure(1.5)] == ["sch40 2 in"]
    assert [one.key for one in shelf.pressure(3.0)] == ["sch40 3 in", "sch40 4 in"]
    assert [one.key for one in shelf.pressure(9.0)] == ["sch40 4 in"]


def test_lengths_and_holes_are_the_firms() -> None:
    shelf = shelf_of((FirmPipe(pipe="d3034 4 in", lengths=(si(14 * FOOT),), hole=si(5.0 * INCH)),))
    pipe = shelf.named("SDR 35 4 in")
    assert pipe.sticks == (14 * FOOT,)
    assert pipe.hole == 5.0 * INCH
    assert shelf.named("d3034 6 in").hole == 6.5 * INCH


@pytest.mark.parametrize(
    ("pipe", "where"),
    [
        (FirmPipe(pipe="d2729 9 in"), "pipes[1].pipe"),
        (FirmPipe(pipe="SDR 35 6 in"), "pipes[1].pipe"),
        (FirmPipe(pipe="d3034 4 in", lengths=(si(21 * FOOT),)), "pipes[1].lengths"),
        (FirmPipe(pipe="d3034 4 in", hole=si(4.2 * INCH)), "pipes[1].hole"),
        (FirmPipe(pipe="d3034 4 in", hole=si(6.3 * INCH)), "pipes[1].hole"),
    ],
)
def test_what_is_no_such_pipe_is_refused(pipe: FirmPipe, where: str) -> None:
    with pytest.raises(JobError) as caught:
        shelf_of((FirmPipe(pipe="d3034 6 in"), pipe))
    assert [one.where for one in caught.value.problems] == [where]


def test_a_design_and_its_order_are_of_the_firms_pipes() -> None:
    text = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
    plain = design(read_text(text).job)
    chosen = {run.pipe.key for run in plain.system.runs}
    assert {"d3034 4 in", "d2729 4 in perforated"} <= chosen
    ours = "\npipes:\n  - {pipe: d2729 6 in perforated}\n  - {pipe: d3034 6 in, lengths: [14 ft], hole: 7 in}\n"
    result = design(read_text(text + ours).job)
    assert {run.pipe.key for run in result.system.runs} == {"d2729 6 in perforated", "d3034 6 in"}
    bought = {line.key for line in result.build.takeoff.lines if line.key.startswith("pipe.d3034")}
    assert bought == {"pipe.d3034-6in.14ft"}
