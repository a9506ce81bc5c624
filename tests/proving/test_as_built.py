"""The job as built: measured figures in place of designed ones, all of it worked out anew."""

from __future__ import annotations

import re

import pytest

from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.findings.model import Severity
from drainwright.job.proof import read_proof_text
from drainwright.proving.as_built import AsBuilt, as_built, with_built
from drainwright.proving.prove import prove
from drainwright.proving.words import Words

from .worlds import record


def rebuilt(design: Design, extra: str) -> AsBuilt:
    found = as_built(design, read_proof_text(record(design, extra=extra)))
    assert found is not None
    return found


def shot(design: Design, name: str, upper: float = 0.0, lower: float = 0.0) -> str:
    run = design.system.run(name)
    return f"    - {{run: {name}, upper: {run.invert_upper + upper:.5f} m, lower: {run.invert_lower + lower:.5f} m}}\n"


def test_built_as_designed_changes_nothing(metric: Design) -> None:
    found = rebuilt(metric, "as_built:\n  runs:\n" + shot(metric, "FD1"))
    assert found.moved == ()
    assert not found.difference.arisen
    assert not found.difference.settled
    assert found.design.system.run("FD1").pipe == metric.system.run("FD1").pipe
    assert "YD1" in found.unmeasured
    assert "FD1" not in found.unmeasured
    built, planned = found.design.system.stations[0], metric.system.stations[0]
    assert built.operating_flow == pytest.approx(planned.operating_flow, rel=1e-9)
    assert built.off - built.floor == pytest.approx(planned.off - planned.floor, abs=1e-9)


def test_a_drain_laid_too_flat_is_told_with_the_check_that_now_fails(metric: Design) -> None:
    run = metric.system.run("FD1")
    flat = 0.8 * run.grade * run.length  # a fifth of its grade is left
    found = rebuilt(metric, "as_built:\n  runs:\n" + shot(metric, "FD1", upper=-flat))
    assert [(one.where, one.what) for one in found.moved] == [("run FD1", "upper invert")]
    assert found.moved[0].off == pytest.approx(-flat, abs=1e-4)
    assert found.design.system.run("FD1").grade == pytest.approx(0.2 * run.grade, rel=1e-3)
    changed = [*found.difference.arisen, *(after for _, after in found.difference.otherwise)]
    assert any("FD1" in one.where or "FD1" in one.message for one in changed)
    assert not found.difference.sound[1] or found.difference.arisen


def test_the_grade_as_built_is_the_grade_that_was_shot(metric: Design) -> None:
    """One end beyond the rod's doubt and one within it: each was taken from elsewhere, and the grade was of neither."""
    run = metric.system.run("FD1")
    within, beyond = 0.002, 0.012  # of a rod read within 1/8 in
    document = read_proof_text(record(metric, extra="as_built:\n  runs:\n" + shot(metric, "FD1", within, beyond)))
    found = as_built(metric, document)
    assert found is not None
    [row] = [one for one in prove(metric, document).rows if one.where == "FD1" and one.what == "Grade re-shot"]
    assert found.design.system.run("FD1").grade == pytest.approx(row.figures["grade"], abs=1e-6)
    assert row.figures["grade"] == pytest.approx(run.grade + (within - beyond) / run.length, abs=1e-5)


def test_nothing_is_signed_off_while_a_check_of_the_job_as_built_fails(metric: Design) -> None:
    """Every measurement by itself passed, and the last line said that the job may be signed off."""
    run = metric.system.run("FD1")
    deep = "as_built:\n  runs:\n" + shot(metric, "FD1", -0.5, -0.5)
    document = read_proof_text(record(metric, extra=deep))
    built, found = as_built(metric, document), prove(metric, document)
    assert built is not None
    failing = [one for one in built.design.findings if one.severity is Severity.FAILS]
    assert any(run.name in one.message or run.name in one.where for one in failing)
    told = with_built(found, built)
    assert [row.said for row in told.rows[len(found.rows) :]] == [one.message for one in failing]
    assert told.count("not") == found.count("not") + len(failing)
    assert not told.whole
    as_drawn = read_proof_text(record(metric, extra="as_built:\n  runs:\n" + shot(metric, "FD1")))
    assert with_built(found, as_built(metric, as_drawn)) == found
    assert with_built(found, None) == found


def test_a_float_s_design_height_is_that_of_the_crew_s_papers(metric: Design) -> None:
    """The mark on the tape, not the level before it was rounded to one."""
    station = metric.system.stations[0]
    found = rebuilt(metric, f"as_built:\n  basins:\n    - {{basin: {station.name}, alarm: 800 mm}}\n")
    (moved,) = (one for one in found.moved if one.what == "alarm")
    assert moved.designed == Words("SI").small(station.float_levels["alarm"] - station.floor)


def test_floats_set_too_near_each_other_start_the_pump_too_often(metric: Design) -> None:
    station = metric.system.stations[0]
    off = station.off - station.floor
    text = f"as_built:\n  basins: [{{basin: {station.name}, off: {off:.4f} m, on: {off + 0.10:.4f} m}}]\n"
    found = rebuilt(metric, text)
    assert [one.what for one in found.moved] == ["on"]
    built = found.design.system.stations[0]
    assert built.starts > 2.0 * station.starts
    assert any(one.id.startswith("LFT") for one in found.difference.arisen)


def test_an_inlet_that_was_moved_has_its_run_moved(metric: Design) -> None:
    at = metric.system.nodes["CB1"].at
    text = f"as_built:\n  places: [{{name: CB1, at: ['{at[0] + 0.5:.3f} m', '{at[1]:.3f} m']}}]\n"
    found = rebuilt(metric, text)
    assert found.moved[0].off == pytest.approx(0.5, abs=2e-3)
    assert found.design.system.nodes["CB1"].at[0] == pytest.approx(at[0] + 0.5, abs=2e-3)


def test_nothing_measured_is_nothing_worked_out(metric: Design) -> None:
    assert as_built(metric, read_proof_text(record(metric))) is None


def test_what_cannot_be_moved_is_refused(metric: Design) -> None:
    with pytest.raises(JobError, match=re.escape("an inlet, a basin or a discharge point")) as caught:
        rebuilt(metric, "as_built:\n  places: [{name: C, at: [1 m, 1 m]}]\n")
    assert caught.value.problems[0].line
