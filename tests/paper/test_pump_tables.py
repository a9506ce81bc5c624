"""The tables beside the pump's chart: what they say, and that they stay on the sheet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from drainwright.design import Design
from drainwright.hydraulics.pump import PumpCurve
from drainwright.paper.curve_chart import pump_drafts
from drainwright.paper.frame import Draft
from drainwright.paper.sheet import TextMark

from ..conftest import designed


def texts(draft: Draft) -> list[TextMark]:
    return [mark for mark in draft.marks if isinstance(mark, TextMark)]


def said(draft: Draft) -> str:
    return " | ".join(mark.text for mark in texts(draft))


@pytest.mark.parametrize("job", ["block-wall-house/job", "metric-basement/job"])
def test_levels_and_ranking_stand_on_the_sheet(job: str) -> None:
    design = designed(job)
    (draft,) = pump_drafts(design)
    found = said(draft)
    station = design.system.station
    assert station is not None
    assert all(f"| {place} |" in found for place in ("off", "middle", "on", "alarm", "rim"))
    assert "worn 15 %" in found
    assert "Pumps ranked" in found
    for line in station.ranking:
        assert line.reason[:40] in found
    left, bottom, right, top = draft.paper.inner
    for mark in texts(draft):
        assert left - 1e-6 <= mark.at[0] <= right + 1e-6
        assert bottom - 1e-6 <= mark.at[1] <= top + 1e-6


def test_a_pump_that_the_job_names_is_not_ranked(wrong: Design) -> None:
    (draft,) = pump_drafts(wrong)
    assert "Pumps ranked" not in said(draft)


def test_a_long_sheet_is_thinned_and_stays_on_the_paper(pumped: Design) -> None:
    station = pumped.system.station
    assert station is not None
    flows = tuple(float(flow) for flow in np.linspace(0.0, 0.005, 30))
    long = PumpCurve(flows=flows, heads=tuple(10.0 - 1500.0 * flow for flow in flows))
    other = replace(station, pump=replace(station.pump, curve=long))
    (draft,) = pump_drafts(replace(pumped, system=replace(pumped.system, stations=(other,))))
    assert "Data sheet, 8 of its 30 points" in said(draft)
    assert min(mark.at[1] for mark in texts(draft)) >= draft.paper.inner[1]
