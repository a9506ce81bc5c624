"""Fences and other things to be spared stand on the plan: a neighbour's fence beside a dig was on no sheet."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.job.model import Job
from drainwright.paper.plan import plan_marks, setting
from drainwright.paper.plan_panel import plan_items
from drainwright.paper.sheet import Circle, Polyline
from tests.conftest import designed

FENCE = {"name": "fence of the neighbour", "kind": "fence", "at": ["-4 ft, -12 ft", "-4 ft, 20 ft"]}
POOL = {"name": "garden pool", "kind": "pool", "at": ["6 ft, -20 ft", "12 ft, -20 ft", "12 ft, -14 ft"]}
WELL = {"name": "old well", "kind": "well", "at": ["20 ft, -16 ft"]}


def with_things(*things: object) -> Design:
    base = designed("block-wall-house/job")
    given = base.job.model_dump(mode="json", by_alias=True, exclude_unset=True)
    given["property"]["protected"] = list(things)
    job = Job.model_validate(given)
    return replace(base, job=job)


def test_a_fence_stands_on_the_plan_with_its_crosses_and_its_name() -> None:
    design = with_things(FENCE)
    chosen = setting(design)
    drawn = plan_marks(design, chosen.view, chosen.window)
    marks = [mark for mark in drawn.marks if isinstance(mark, Polyline) and mark.layer == "fence"]
    run = max(marks, key=lambda mark: math.dist(mark.points[0], mark.points[-1]))
    long = math.dist(run.points[0], run.points[-1])
    ends = [chosen.view((-4 * 0.3048, north * 0.3048)) for north in (-12, 20)]
    assert long == pytest.approx(math.dist(*ends), abs=0.01)
    assert (len(marks) - 1) // 2 == math.floor(long / 7.0 + 0.5)
    assert [label for _, label in drawn.labels if "fence of the neighbour" in label.lines]
    assert "fence" in dict(plan_items(design))
    assert "fence" not in dict(plan_items(with_things(POOL)))


def test_other_things_to_be_spared_stand_there_by_their_outline_or_place() -> None:
    design = with_things(POOL, WELL)
    chosen = setting(design)
    drawn = plan_marks(design, chosen.view, chosen.window)
    [ring] = [mark for mark in drawn.marks if isinstance(mark, Polyline) and mark.layer == "spared"]
    assert len(ring.points) == 4
    assert ring.points[0] == ring.points[-1]
    assert any(isinstance(mark, Circle) and mark.layer == "spared" for mark in drawn.marks)
    told = {line for _, label in drawn.labels for line in label.lines}
    assert {"garden pool", "old well"} <= told
