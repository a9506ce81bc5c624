"""Parts of the drawings: label placement, scales, setting out, curves, wording."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.paper.axes import round_step, ticks
from drainwright.paper.curve_chart import line_curve
from drainwright.paper.frame import View, detail_scale, plan_scale
from drainwright.paper.label import Label, Obstacle, covered_lengths, place_labels
from drainwright.paper.measure import fit, text_width, wrap
from drainwright.paper.section import basin_drafts
from drainwright.paper.setting_out import taped_places
from drainwright.paper.sheet import Circle, Polygon, Polyline, TextMark
from drainwright.paper.storm_panels import thin
from drainwright.paper.symbols import hatch
from drainwright.paper.tags import spread
from drainwright.paper.wording import Wording
from tests.paper.sample import FOOT, designed, sample_design

FRAME = (0.0, 0.0, 100.0, 80.0)
places = st.tuples(st.floats(0, 100), st.floats(0, 80))


def test_what_a_box_covers_of_a_line_is_what_a_geometry_library_says() -> None:
    chance = np.random.default_rng(4)
    half, at, angle = chance.uniform(0.1, 20, (500, 2)), chance.uniform(0, 60, (500, 2)), chance.uniform(0, 7, 500)
    corners = half[:, None] * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]]).transpose(2, 0, 1)
    quads = corners @ turn.transpose(0, 2, 1) + at[:, None]
    quads[::2] = quads[::2, ::-1]  # either way round
    segments = chance.uniform(0, 60, (500, 2, 2))
    segments[:100, 1, 0] = segments[:100, 0, 0]  # upright
    expected = shapely.length(shapely.intersection(shapely.polygons(quads), shapely.linestrings(segments)))
    assert np.count_nonzero(expected) > 100
    np.testing.assert_allclose(covered_lengths(quads, segments), expected, atol=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.lists(places, min_size=1, max_size=25), st.lists(places, min_size=2, max_size=6))
def test_places_that_are_not_looked_at_could_not_be_taken(
    at: list[tuple[float, float]], path: list[tuple[float, float]]
) -> None:
    whole = [(10 * round(x / 10), 10 * round(y / 10)) for x, y in at]  # costs that are equal
    labels = [Label(lines=(f"N{number}",), at=place, droppable=number % 3 == 0) for number, place in enumerate(whole)]
    labels.append(Label(lines=("a run, 4 in",), at=path[0], path=tuple(path)))
    line = Obstacle(points=tuple(path), weight=2.0)
    few = place_labels(labels, frame=FRAME, lines=[line])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("drainwright.paper.label.FIRST", 10**6)
        assert place_labels(labels, frame=FRAME, lines=[line]) == few


@settings(max_examples=25, deadline=None)
@given(st.lists(places, min_size=1, max_size=25), st.lists(places, min_size=2, max_size=6))
def test_placed_labels_touch_nothing(at: list[tuple[float, float]], path: list[tuple[float, float]]) -> None:
    labels = [Label(lines=(f"N{number}", "rim 99.13"), at=place, strong=True) for number, place in enumerate(at)]
    labels.append(Label(lines=("a run, 4 in", "12 ft at 1.04 %"), at=path[0], path=tuple(path)))
    blocked = (((40.0, 30.0), (60.0, 30.0), (60.0, 45.0), (40.0, 45.0)),)
    placement = place_labels(labels, frame=FRAME, blocked=blocked, lines=[Obstacle(points=tuple(path), weight=2.0)])
    boxes = [shapely.Polygon(item.box) for item in placement.placed]
    for number, box in enumerate(boxes):
        assert shapely.box(*FRAME).buffer(1e-6).covers(box)
        assert not box.intersects(shapely.Polygon(blocked[0]))
        assert not any(box.intersects(other) for other in boxes[:number])
    assert len(placement.placed) + len(placement.unplaced) == len(labels)  # nothing gets lost


def test_a_label_without_room_is_handed_back_or_dropped() -> None:
    wide = "far too wide a text for so small a frame"
    placement = place_labels(
        [Label(lines=(wide,), at=(5, 5)), Label(lines=(wide,), at=(5, 5), droppable=True)], frame=(0, 0, 10, 10)
    )
    assert (len(placement.placed), len(placement.unplaced), len(placement.dropped)) == (0, 1, 1)


def test_a_label_goes_near_when_it_can_and_gets_a_leader_when_it_cannot() -> None:
    near = place_labels([Label(lines=("N1",), at=(50, 40))], frame=FRAME)
    assert near.placed[0].leader is None
    block = ((38.0, 30.0), (62.0, 30.0), (62.0, 50.0), (38.0, 50.0))
    far = place_labels([Label(lines=("N1",), at=(50, 40))], frame=FRAME, blocked=[block])
    assert far.placed[0].leader is not None


@pytest.mark.parametrize(
    ("feet", "room", "scale"), [(40.0, 130.0, "1 in = 8 ft (1:96)"), (40.0, 102.0, "1 in = 10 ft (1:120)")]
)
def test_plan_scales_are_standard(feet: float, room: float, scale: str) -> None:
    """40 ft at 1 in = 8 ft is 5 in, 127 mm; at 1 in = 10 ft it is 4 in, 101.6 mm: arithmetic, no source."""
    assert plan_scale("US", feet * FOOT, 0.0, (room, 1.0)).words == scale


def test_a_scale_draws_to_size() -> None:
    scale = plan_scale("US", 40 * FOOT, 0.0, (102.0, 1.0))
    view = View(across=scale, up=scale, origin=(1.0, 2.0), at=(10.0, 20.0))
    x, y = view((1.0 + 10 * FOOT, 2.0))
    assert (x - 10.0, y) == (pytest.approx(25.4), 20.0)
    assert detail_scale("US", 1.0, 1.0, (100.0, 100.0)).words == "1 in = 1 ft (1:12)"
    assert detail_scale("SI", 1.0, 1.0, (100.0, 100.0)).words == "1:10"
    with pytest.raises(InputError, match="fits on the paper"):
        plan_scale("US", 1e6, 1.0, (100.0, 100.0))


def test_setting_out_brings_every_place_back() -> None:
    design = sample_design()
    at = {node.name: node.at for node in design.system.nodes.values()}
    corners = {point.name: (point.east, point.north) for point in design.site.points.values()}
    for place in taped_places(design):
        a, b = corners[place.start], corners[place.end]
        unit = ((b[0] - a[0]) / math.dist(a, b), (b[1] - a[1]) / math.dist(a, b))
        back = (
            a[0] + place.along * unit[0] + place.out * unit[1], a[1] + place.along * unit[1] - place.out * unit[0]
        )  # fmt: skip
        if place.name in at:
            assert back == pytest.approx(at[place.name], abs=1e-9)
        assert place.check == pytest.approx(math.dist(a, back))


def test_the_basin_is_taped_from_the_south_wall() -> None:
    """The job itself fixes it so: 50 ft along A to B, 6 ft out."""
    basin = next(place for place in taped_places(sample_design()) if place.name == "SUMP")
    assert (basin.start, basin.end) == ("A", "B")
    assert basin.along == pytest.approx(50 * FOOT, abs=1e-9)
    assert basin.out == pytest.approx(6 * FOOT, abs=1e-9)


def test_the_line_curve_starts_at_the_static_head_and_rises() -> None:
    design = sample_design()
    station = design.system.station
    assert station is not None
    curve = line_curve(station, design.system.run("DL"), station.on)
    assert curve.head(0.0) == pytest.approx(station.static_head - (station.on - station.off))
    assert np.all(np.diff(np.asarray(curve.head(np.linspace(0.0, 0.004, 9)))) > 0)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(0, 100), min_size=1, max_size=12))
def test_spread_keeps_order_and_gap(wanted: list[float]) -> None:
    found = spread(wanted, 4.0, -50.0, 150.0)
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    heights = [found[index] for index in order]
    assert all(b - a >= 4.0 - 1e-9 for a, b in itertools.pairwise(heights))
    assert spread([0.0, 10.0], 4.0, -50.0, 150.0) == [0.0, 10.0]  # nothing moves without need


def test_thinned_curves_keep_their_peaks() -> None:
    times = np.linspace(0.0, 10.0, 20001)
    values = np.where(np.abs(times - 4.321) < 0.0006, 7.0, np.sin(times))
    t, v = thin(times, values, 100.0)
    assert len(t) < 1000
    assert v.max() == 7.0
    assert v.min() == values.min()
    assert np.all(np.diff(t) > 0)


def test_round_steps_and_ticks() -> None:
    assert round_step(9.0, 9) == 1.0
    assert round_step(9.1, 9) == 2.0
    assert round_step(0.03, 4) == pytest.approx(0.01)
    assert ticks(0.5, 2.0, 0.5) == [0.5, 1.0, 1.5, 2.0]


def test_hatch_stays_inside() -> None:
    ring = ((0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (9.0, 8.0), (9.0, 15.0), (0.0, 15.0))
    shape = shapely.Polygon(ring).buffer(1e-6)
    lines = [mark for mark in hatch("house hatch", ring) if isinstance(mark, Polyline)]
    assert len(lines) > 5
    assert all(shape.covers(shapely.LineString(mark.points)) for mark in lines)


def test_texts_are_cut_and_wrapped_to_width() -> None:
    assert fit("short", 50.0, 2.0) == "short"
    cut = fit("a text that is much too long", 15.0, 2.0)
    assert cut.endswith("…")
    assert text_width(cut, 2.0) <= 15.0
    rows = wrap("one two three four five", 12.0, 2.0)
    assert " ".join(rows) == "one two three four five"
    assert all(text_width(row, 2.0) <= 12.0 for row in rows)


def test_wording_in_both_units() -> None:
    us, si = Wording("US"), Wording("SI")
    assert (us.length(42.5 * FOOT), si.length(12.954)) == ("42 ft 6 in", "12.95 m")
    assert (us.small(0.3556), si.small(0.3556)) == ("14 in", "356 mm")
    assert (us.level(97.42 * FOOT), si.level(29.6936)) == ("97.42 ft", "29.694 m")
    assert us.drill(0.0254 * 3 / 16) == "3/16 in"
    assert us.drill(0.0254 * 1.5) == "1 1/2 in"


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement"])
def test_no_pipe_of_the_basin_hides_another(example: str) -> None:
    """Five more drains at heights that coincide: each stands free of the others, of the riser and of the line out."""
    design = designed(example)
    station = design.system.station
    assert station is not None
    first = next(run for run in design.system.runs if run.lower == station.name)
    more = tuple(
        replace(first, name=f"E{number}", invert_lower=first.invert_lower + 0.06 * (number % 3)) for number in range(3)
    )
    system = replace(design.system, runs=(*design.system.runs, *more))
    (sheet,) = basin_drafts(replace(design, system=system))
    rings = [shapely.Polygon(mark.points) for mark in sheet.marks if isinstance(mark, Polygon) and mark.layer == "pipe"]
    ends = [
        shapely.Point(mark.centre).buffer(mark.radius, 32)
        for mark in sheet.marks
        if isinstance(mark, Circle) and mark.layer == "pipe"
    ]
    assert ends
    for number, end in enumerate(ends):
        for other in [*ends[number + 1 :], *rings]:
            assert end.intersection(other).area < 1e-6
    texts = [mark.text for mark in sheet.marks if isinstance(mark, TextMark)]
    assert any("turned into the section" in text for text in texts)
    for run in (*more, first):
        assert run.name in texts
