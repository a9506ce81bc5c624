"""The storm test's chart: three flows told apart on scales that can be read, and the worst failure's water."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from drainwright.design import Design
from drainwright.paper.frame import Draft
from drainwright.paper.sheet import Polygon, Polyline, TextMark
from drainwright.paper.storm_chart import storm_draft
from drainwright.paper.storm_flows import flow_panels
from drainwright.quantities import write
from drainwright.storm.model import StationStorm, StormCase

from .sample import sample_design
from .test_drawings import text_box

PUMPED = 0.0012  # [m³/s]


def split(design: Design, by_gravity: float) -> Design:
    """The sample, with ``by_gravity`` at the outlet's peak beside what the pump lifts."""
    station = design.system.station
    assert station is not None
    sound = design.storm.cases[0]
    hump = np.exp(-(((sound.times - 3 * 3600) / 1500.0) ** 2))
    lifted = PUMPED * (hump > 0.5)
    own = StationStorm(
        name=station.name, highest=station.on, pump_starts=31, pump_seconds=1.0, starts_busiest_hour=8, pumped=1.0,
        level=sound.basin_level, inflow=0.0009 * hump, lifted=lifted,
    )  # fmt: skip
    sound = replace(sound, stations=(own,), inflow=own.inflow, outflow=lifted + by_gravity * hump)
    return replace(design, storm=replace(design.storm, cases=(sound, *design.storm.cases[1:])))


def drawn(design: Design) -> Draft:
    draft = storm_draft(design)
    assert draft is not None
    return draft


def texts(design: Design) -> list[str]:
    return [mark.text for mark in drawn(design).marks if isinstance(mark, TextMark)]


@pytest.fixture(name="sample", scope="module")
def _sample() -> Design:
    return sample_design()


def test_a_small_pumped_flow_has_a_scale_of_its_own(sample: Design) -> None:
    """18 gpm beside 250 gpm: one plot for the outlet, one for the basin. At 15 % of the peak they share one."""
    design = split(sample, 0.0158)
    said = texts(design)
    for name in ("Flow at the outlet", "Flow at the basin", "leaves at the outlet", "into the basin", "pumped"):
        assert said.count(name) == 1, name
    assert f"at most {write(PUMPED, 'flow', 'US')}" in said
    station = design.system.station
    for gravity, plots in ((0.0, 1), (PUMPED / 0.2, 1), (PUMPED / 0.1, 2)):
        sound = split(sample, gravity).storm.cases[0]
        panels = flow_panels(design.system, sound, station)
        assert len(panels) == plots
        for panel in panels:
            pumped = [curve for curve in panel.curves if curve.name.startswith("pumped")]
            most = max(float(curve.values.max()) for curve in panel.curves)
            assert all(float(curve.values.max()) >= 0.15 * most for curve in pumped)
    names = [
        curve.name for curve in flow_panels(design.system, split(sample, PUMPED).storm.cases[0], station)[0].curves
    ]
    assert names == ["leaves at the outlet", "into the basin", "pumped"]


@pytest.mark.parametrize("gravity", [0.0, PUMPED, 0.0158])
def test_no_words_cover_each_other(sample: Design, gravity: float) -> None:
    import shapely

    marks = [mark for mark in drawn(split(sample, gravity)).marks if isinstance(mark, TextMark)]
    boxes = [shapely.Polygon(text_box(mark)) for mark in marks]
    for first, box in enumerate(boxes):
        for second in range(first):
            assert box.intersection(boxes[second]).area < 1e-6, (marks[first].text, marks[second].text)


def test_the_worst_failure_is_drawn_where_the_floor_stays_dry(sample: Design) -> None:
    """The highest of the failures, named; nothing where none of them raises the water."""
    sound = sample.storm.cases[0]

    def failed(key: str, title: str, rise: float) -> StormCase:
        level = sound.basin_level + rise
        return replace(sound, key=key, title=title, failure_at=0.0, time_to_slab=None, basin_level=level)

    def with_cases(*cases: StormCase) -> Design:
        return replace(sample, storm=replace(sample.storm, cases=(sound, *cases)))

    def dashed(design: Design) -> int:
        return sum(isinstance(mark, Polyline) and mark.layer == "curve dashed" for mark in drawn(design).marks)

    dry = with_cases(failed("grate half clogged", "Grates clogged", 0.02), failed("pump dead", "Pump dead", 0.2))
    assert dashed(dry) == 1
    assert "dashed, the worst failure: Pump dead" in " ".join(texts(dry))
    none = with_cases(failed("pump dead", "Pump dead", 0.0))
    assert dashed(none) == 0
    assert "none of the failures below raises it higher" in " ".join(texts(none))


def test_the_moment_at_which_the_floor_gets_wet_is_on_the_chart(sample: Design) -> None:
    """Where it comes within half the chart's length again; a much later one is only written beside its bar."""
    cases = sample.storm.cases
    end = float(cases[0].times[-1])
    for wet, shown in ((0.5, True), (1.2, True), (3.0, False)):
        late = replace(cases[1], failure_at=0.0, time_to_slab=wet * end)
        design = replace(sample, storm=replace(sample.storm, cases=(cases[0], late)))
        reached = [mark for mark in drawn(design).marks if isinstance(mark, Polygon) and mark.layer == "bar dark"]
        assert len(reached) == (2 if shown else 1)  # one is the legend's


def test_a_failure_that_is_followed_longer_stays_on_the_chart(sample: Design) -> None:
    sound = sample.storm.cases[0]
    times = np.linspace(0.0, 12 * float(sound.times[-1]), 500)
    long = replace(
        sound, key="pump dead", title="Pump dead", times=times, basin_level=np.linspace(0.0, 1.0, 500) + 30.0
    )
    design = replace(sample, storm=replace(sample.storm, cases=(sound, long)))
    draft = drawn(design)
    right = draft.paper.inner[2]
    for mark in draft.marks:
        if isinstance(mark, Polyline):
            assert all(x <= right for x, _ in mark.points)
