"""The tables beside the pump's chart: what they say, and that they stay on the sheet."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from drainwright.design import Design
from drainwright.hydraulics.pump import PumpCurve
from drainwright.paper.curve_chart import pump_drafts
from drainwright.paper.frame import Draft
from drainwright.paper.measure import text_box
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
    assert re.search(r"Data sheet, [3-8] of its 30 points", said(draft)), (
        "thinned until the panel ends above the ranking"
    )
    assert min(mark.at[1] for mark in texts(draft)) >= draft.paper.inner[1]


@pytest.mark.parametrize("points", [0, 5, 12])
def test_the_panel_ends_above_the_ranking(pumped: Design, points: int) -> None:
    """The panel's last note lay on the rule under "Pumps ranked"."""
    station = pumped.system.station
    assert station is not None
    if points:
        flows = tuple(float(flow) for flow in np.linspace(0.0, 0.005, points))
        curve = PumpCurve(flows=flows, heads=tuple(10.0 - 1500.0 * flow for flow in flows))
        station = replace(station, pump=replace(station.pump, curve=curve))
    (draft,) = pump_drafts(replace(pumped, system=replace(pumped.system, stations=(station,))))
    head = next(mark for mark in texts(draft) if mark.text == "Pumps ranked")
    below = [mark for mark in texts(draft) if mark.at[1] < head.at[1]]
    top = max(corner[1] for corner in text_box(head))
    notes = [mark for mark in texts(draft) if "falls from on to off" in mark.text]
    assert notes
    assert all(min(corner[1] for corner in text_box(mark)) > top for mark in notes)
    assert len([mark for mark in below if mark.text == "why"]) == 1
