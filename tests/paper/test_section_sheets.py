"""Trench sections and drilling sheets: what is drawn is as large as the model says, at the scale on the sheet."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from drainwright.build.model import Hole
from drainwright.build.wording import asked_guard, guarded
from drainwright.design import Design
from drainwright.job.works import OutletKind
from drainwright.paper.documents.hazards import risk_sheet
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.documents.spanish import Translator
from drainwright.paper.drawings import drawings
from drainwright.paper.drilling_sheet import Wall, least_between
from drainwright.paper.frame import MARGIN, finish
from drainwright.paper.measure import text_box
from drainwright.paper.outlet_detail import outlet_drafts
from drainwright.paper.outlet_ends import end_rows
from drainwright.paper.section import basin_drafts
from drainwright.paper.sheet import Circle, Polygon, Polyline, Sheet, TextMark
from drainwright.paper.svg import to_svg
from drainwright.paper.trench_section import build_ups, trench_drafts
from drainwright.paper.wall_section import wall_draft
from drainwright.paper.wording import Wording
from drainwright.system.catalogue import find_pipe
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.outlets.ends import bare_length
from drainwright.system.yard.basin_hole import HOLE_BED
from tests.paper.sample import designed

EXAMPLES = ("block-wall-house", "metric-basement", "sloping-lot", "soak-lot", "two-basins", "wrong-choices")
NEW = ("trench", "holes", "assembly", "outlet")
SVG = "{http://www.w3.org/2000/svg}"


def ratio(text: str) -> float:
    """Of a scale in words: 24 of ``1/2 in = 1 ft (1:24)``."""
    found = re.search(r"1:([\d./]+)", text)
    assert found is not None
    return float(found.group(1))


def named(design: Design, start: str) -> list[Sheet]:
    return [sheet for name, sheet in drawings(design).items() if re.fullmatch(rf"{start}(-\d+)?", name)]


def circles(sheet: Sheet, layer: str) -> list[tuple[float, float, float]]:
    """Centres and radii on the paper, read back from the SVG. [mm]"""
    groups = [group for group in ElementTree.fromstring(to_svg(sheet)).iter(f"{SVG}g") if group.get("class") == layer]
    return [
        (float(mark.attrib["cx"]), float(mark.attrib["cy"]), float(mark.attrib["r"]))
        for group in groups
        for mark in group.iter(f"{SVG}circle")
    ]


def rings(sheet: Sheet, layer: str, tag: str = "polygon") -> list[Sequence[tuple[float, float]]]:
    groups = [group for group in ElementTree.fromstring(to_svg(sheet)).iter(f"{SVG}g") if group.get("class") == layer]
    return [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in mark.attrib["points"].split())]
        for group in groups
        for mark in group.iter(f"{SVG}{tag}")
    ]


def spans(ring: Sequence[tuple[float, float]]) -> tuple[float, float]:
    x, y = zip(*ring, strict=True)
    return max(x) - min(x), max(y) - min(y)


@pytest.mark.parametrize("example", EXAMPLES)
def test_texts_are_apart_and_on_the_paper(example: str) -> None:
    seen = 0
    for start in NEW:
        for sheet in named(designed(example), start):
            seen += 1
            boxes = [shapely.Polygon(text_box(mark)) for mark in sheet.texts]
            assert all(shapely.box(0, 0, sheet.width, sheet.height).covers(box) for box in boxes), sheet.name
            pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T
            covered = [
                (sheet.texts[a].text, sheet.texts[b].text)
                for a, b in pairs
                if a < b and boxes[a].intersection(boxes[b]).area > 1e-6
            ]
            assert not covered, sheet.name
    assert seen


@pytest.mark.parametrize("example", EXAMPLES)
def test_trenches_are_drawn_to_scale(example: str) -> None:
    """Trench, stone and pipe of each build-up, measured on the paper, within a hundredth of the design's own."""
    design = designed(example)
    ups = build_ups(design)
    assert {run.name for up in ups for run in up.runs} == {
        trench.name for trench in design.build.dig.trenches if trench.kind == "run"
    }
    sheets = named(design, "trench")
    assert len(sheets) == math.ceil(len(ups) / 2)
    for number, sheet in enumerate(sheets):
        scale = 1000.0 / ratio(sheet.scale)
        pair = ups[2 * number : 2 * number + 2]
        across = sorted(2 * r for _, _, r in circles(sheet, "pipe"))
        assert across == pytest.approx(sorted(up.run.pipe.outside * scale for up in pair), rel=0.01)
        trenches = [spans(ring) for ring in rings(sheet, "trench-line", "polyline")]
        sizes = [(up.width * scale, up.station.cut * scale) for up in pair]
        assert trenches == [pytest.approx(size, rel=0.01) for size in sizes]
        stone = list(dict.fromkeys(spans(ring) for ring in rings(sheet, "stone") if len(ring) == 4))
        wanted = [
            (up.run.stone_width * scale, (up.run.stone_under + up.run.pipe.outside + up.run.stone_over) * scale)
            for up in pair
            if up.run.stone_width > 0 and up.stone_top < up.station.ground
        ]
        assert stone == [pytest.approx(size, rel=0.01) for size in wanted]


@pytest.mark.parametrize("example", [*EXAMPLES, "soak-lot", "long-house"])
def test_each_trench_has_its_notes_and_no_cover_below_nothing(example: str) -> None:
    """Notes that need more room than usual take it from the drawing: how people are guarded stands there."""
    design = designed(example)
    ups = build_ups(design)
    for number, sheet in enumerate(named(design, "trench")):
        pair = ups[2 * number : 2 * number + 2]
        words = [mark.text for mark in sheet.texts]
        assert words.count("Notes") == len(pair), sheet.name
        assert sum("Local rules and the competent" in " ".join(words[n : n + 2]) for n in range(len(words))) >= len(
            pair
        )
        assert not re.search(r" -\d[\d /]* (in|ft|mm|m) (to|of) ", " ".join(words)), sheet.name


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "two-basins", "wrong-choices"])
def test_holes_are_drawn_where_the_takeoff_has_them(example: str) -> None:
    """Each hole's height, size and way round from 12 o'clock, measured on the unrolled wall."""
    design = designed(example)
    stations = [s for s in design.system.by_house if any(h.node == s.name for h in design.build.takeoff.holes)]
    sheets = named(design, "holes")
    assert len(sheets) == len(stations) > 0
    for station, sheet in zip(stations, sheets, strict=True):
        scale = 1000.0 / ratio(sheet.scale)
        holes = [hole for hole in design.build.takeoff.holes if hole.node == station.name]
        outside = station.inside_diameter + 2 * BASIN_WALL
        (wall,) = [ring for ring in rings(sheet, "shell") if len(ring) == 4]
        wide, tall = spans(wall)
        assert tall == pytest.approx(station.depth * scale, rel=0.01)
        assert wide == pytest.approx(math.pi * outside * scale, rel=0.01)
        floor, left = max(y for _, y in wall), min(x for x, _ in wall)
        drawn = circles(sheet, "fitting")
        assert len(drawn) == len(holes)
        for hole, (x, y, r) in zip(holes, drawn, strict=True):
            assert 2 * r == pytest.approx(hole.diameter * scale, rel=0.01)
            assert floor - y == pytest.approx(hole.height * scale, rel=0.01)
            assert r < x - left < wide - r, "no hole is cut through where the wall is opened"
        twelve = (drawn[0][0] - left) / wide * 12 + holes[0].clock  # hours at the left edge
        for hole, (x, _, _) in zip(holes, drawn, strict=True):
            gone = ((x - left) / wide * 12 + hole.clock - twelve) % 12
            assert min(gone, 12 - gone) == pytest.approx(0.0, abs=0.01), "hours fall to the right, seen from outside"
        pipes = sorted(2 * r for _, _, r in circles(sheet, "pipe"))
        assert pipes == pytest.approx(sorted(find_pipe(hole.pipe).outside * scale for hole in holes), rel=0.01)


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "two-basins", "wrong-choices"])
def test_no_leader_line_runs_through_a_hole(example: str) -> None:
    """YD2's line ran over the hole of FD2: who follows it drills the wrong one."""
    sheet_of = {name: sheet for name, sheet in drawings(designed(example)).items() if name.startswith("holes")}
    assert sheet_of
    for sheet in sheet_of.values():
        holes = [shapely.Point(one.centre).buffer(one.radius) for one in sheet.marks
                 if isinstance(one, Circle) and one.layer == "fitting"]  # fmt: skip
        leaders = [shapely.LineString(one.points) for one in sheet.marks
                   if isinstance(one, Polyline) and one.layer == "leader line"]  # fmt: skip
        assert holes
        assert [leader.wkt for leader in leaders if any(leader.intersects(hole) for hole in holes)] == []


def test_the_basin_s_section_has_every_pump_float_and_its_bed() -> None:
    """Two pumps where two are designed, a float for each start and the alarm, and the stone that it stands on."""
    for path, pumps in (("block-wall-house", 2), ("metric-basement", 1)):
        design = designed(path)
        (station,) = design.system.stations
        assert (station.second_on is not None) == (pumps == 2)
        sheet = next(iter(basin_drafts(design)))
        bodies = [mark for mark in sheet.marks if mark.layer == "pump" and len(getattr(mark, "points", ())) == 10]
        assert len(bodies) == pumps
        lefts = {round(min(x for x, _ in body.points), 3) for body in bodies if isinstance(body, Polygon)}
        assert len(lefts) == pumps
        (bed,) = [mark for mark in sheet.marks if mark.layer == "stone" and isinstance(mark, Polygon)]
        mm = 1000.0 / ratio(sheet.scale)
        low, high = min(y for _, y in bed.points), max(y for _, y in bed.points)
        assert high - low == pytest.approx(HOLE_BED * mm, abs=1e-6)


def test_the_least_wall_between_two_holes() -> None:
    """On a wall 3 m round, an hour is 250 mm: holes of 100 mm at 12:00 and 1:00 leave 150 mm, over a step too."""
    station = designed("block-wall-house").system.by_house[0]
    wall = Wall(station=station, start=6.0)
    hour = wall.round / 12

    def hole(run: str, clock: float, height: float) -> Hole:
        return Hole(node="SUMP", run=run, diameter=0.1, height=height, clock=clock, pipe="d3034 4 in")

    assert least_between(wall, [hole("A", 12.0, 1.0)]) is None
    gap, pair = least_between(wall, [hole("A", 12.0, 1.0), hole("B", 1.0, 1.0)]) or (0.0, "")
    assert gap == pytest.approx(hour - 0.1)
    assert pair == "A and B"
    gap, _ = least_between(wall, [hole("A", 11.5, 1.0), hole("B", 0.5, 1.0)]) or (0.0, "")
    assert gap == pytest.approx(hour - 0.1), "round past 12"
    gap, _ = least_between(wall, [hole("A", 3.0, 1.0), hole("B", 3.0, 1.05)]) or (0.0, "")
    assert gap == pytest.approx(-0.05)


@pytest.mark.parametrize("example", ["sloping-lot", "wrong-choices"])
def test_an_open_end_is_drawn_to_scale(example: str) -> None:
    """The pipe's outside and bore, and its rise over what is shown of it; no apron where none is asked for."""
    design = designed(example)
    (fall,), (sheet,) = design.system.outfalls, named(design, "outlet")
    run = design.system.run(fall.run)
    scale = 1000.0 / ratio(sheet.scale)
    (outer,), (bore,) = rings(sheet, "pipe"), rings(sheet, "pipe-void")
    assert abs(outer[0][1] - outer[-1][1]) == pytest.approx(run.pipe.outside * scale, rel=0.01)
    assert abs(bore[0][1] - bore[-1][1]) == pytest.approx(run.pipe.inside * scale, rel=0.01)
    start = run.length - spans(bore)[0] / scale
    inverts = [station.invert for station in run.stations]
    level = float(np.interp(start, [station.distance for station in run.stations], inverts))
    end = bore[len(bore) // 2 - 1]
    assert bore[0][1] - end[1] == pytest.approx((run.invert_lower - level) * scale, abs=0.01 * spans(bore)[0])
    assert fall.apron_built == 0.0
    assert rings(sheet, "stone") == []


def test_where_the_crown_comes_out_of_the_ground() -> None:
    """At the end 3 in of a pipe show; 3 ft up it is 6 in deep: by proportion 1 ft of it is bare."""
    run = designed("sloping-lot").system.runs[0]
    stations = [
        replace(run.stations[0], distance=0.9144 * step, cover=cover)
        for step, cover in enumerate((0.5, 0.1524, -0.0762))
    ]
    run = replace(run, stations=tuple(stations), length=2 * 0.9144)
    assert bare_length(run) == pytest.approx(0.3048)
    assert bare_length(replace(run, stations=run.stations[:2], length=0.9144)) == 0.0


def test_an_apron_is_drawn_to_scale() -> None:
    """Its length and thickness in the cut; from above its length and widths, three bores of the pipe at its end."""
    design = designed("sloping-lot")
    (fall,) = design.system.outfalls
    built = replace(fall, apron_given=1.5, apron_thickness=0.2, apron_width=1.3)
    (draft,) = outlet_drafts(replace(design, system=replace(design.system, outfalls=(built,))))
    sheet = finish(draft, design.job, 1, 1)
    scale = 1000.0 / ratio(sheet.scale)
    cut, above = rings(sheet, "stone")
    assert spans(cut)[0] == pytest.approx(1.5 * scale, rel=0.01)
    assert cut[0][1] - cut[-1][1] == pytest.approx(0.2 * scale, rel=0.01)
    assert spans(above) == pytest.approx((1.5 * scale, 1.3 * scale), rel=0.01)
    assert math.dist(above[0], above[3]) == pytest.approx(3 * fall.diameter * scale, rel=0.01)


@pytest.mark.parametrize("kind", ["pop-up emitter", "street", "neighbour"])
def test_only_daylight_is_drawn_as_an_open_end(kind: OutletKind) -> None:
    """A pop-up emitter or a kerb must not be drawn as an open end with a guard."""
    design = designed("sloping-lot")
    assert outlet_drafts(design)
    falls = tuple(replace(fall, kind=kind) for fall in design.system.outfalls)
    assert outlet_drafts(replace(design, system=replace(design.system, outfalls=falls))) == []


INCH = 0.0254
ENDS: dict[str, dict[str, Any]] = {
    "kerb hole": {"kerb": 6 * INCH, "height": 0.5 * INCH, "core": 4.7 * INCH, "kind": "street"},
    "pop-up emitter": {"fitting": "4 in", "height": 0.0, "kind": "pop-up emitter"},
    "air gap": {"gap": 0.2, "gap_least": 0.2, "receiver": 0.25, "kind": "storm line", "ground": 29.2},
}


@pytest.mark.parametrize("form", ENDS)
def test_other_ends_are_drawn_with_their_sizes(form: str) -> None:
    """One sheet, to scale, its texts apart and inside the frame; each size of the table stands in its unit."""
    design = designed("sloping-lot")
    (open_end,) = design.system.ends
    end = replace(open_end, form=form, invert=29.3, **{"ground": 29.9} | ENDS[form])
    (draft,) = outlet_drafts(replace(design, system=replace(design.system, outfalls=(), ends=(end,))))
    sheet = finish(draft, design.job, 1, 1)
    scale = 1000.0 / ratio(sheet.scale)
    said = [mark.text for mark in sheet.marks if isinstance(mark, TextMark)]
    assert any(text.startswith(f"Outlet {end.name}") for text in said)
    pipe = rings(sheet, "pipe")[0 if form != "air gap" else 1]
    assert spans(pipe)[1] == pytest.approx(end.outside * scale, rel=0.01)
    rows = {row[0]: row[1:] for row in end_rows(Wording("US"), end)}
    assert rows["from the house"] == ("43 ft 8 1/8 in", "plan")
    assert all(size in said for size, _ in rows.values())
    if form == "kerb hole":
        gutter, kerb = (min(y for _, y in ring) for ring in rings(sheet, "concrete")[:2])  # a picture's y goes down
        assert gutter - kerb == pytest.approx(0.1524 * scale, rel=0.01)
        assert rows["concrete left over it"][0] == "1 1/8 in"
    if form == "air gap":
        receiver, line = rings(sheet, "pipe")
        bottom = max(y for _, y in line) - (end.outside - end.bore) / 2 * scale
        assert min(y for _, y in receiver) - bottom == pytest.approx(0.2 * scale, rel=0.01)


def test_an_end_without_a_guard_shows_none() -> None:
    design = designed("sloping-lot")
    ends = tuple(replace(end, guard=False) for end in design.system.ends)
    for system, shown in ((design.system, True), (replace(design.system, ends=ends), False)):
        (draft,) = outlet_drafts(replace(design, system=system))
        said = " ".join(mark.text for mark in draft.marks if isinstance(mark, TextMark))
        assert ("bars of the guard" in said) is shown
        assert ("comes off to clean" in said) is shown


def test_the_wall_s_sheet_tells_the_dig_of_the_wall_that_it_shows() -> None:
    """It said "at its deepest" of a shallower wall than the two beside it in the table, and its guard for all."""
    design = designed("block-wall-house")
    draft = wall_draft(design)
    assert draft is not None
    said = " ".join(mark.text for mark in draft.marks if isinstance(mark, TextMark))
    (deep,) = re.findall(r"This wall is dug to (.*?) at its deepest", said)
    shown = draft.title.removeprefix("Wall section: ").removesuffix(" wall")
    trench = next(one for one in design.build.dig.trenches if one.name == shown)
    assert deep == Wording("US").dug(trench.depth_greatest)
    assert "Not every wall asks the same" not in said
    (other,) = [one for one in design.build.dig.trenches if one.name == "south"]
    asks = replace(other, protection="slope or shield")
    dig = replace(design.build.dig, trenches=tuple(asks if one is other else one for one in design.build.dig.trenches))
    draft = wall_draft(replace(design, build=replace(design.build, dig=dig)))
    assert draft is not None
    said = " ".join(mark.text for mark in draft.marks if isinstance(mark, TextMark))
    assert "Not every wall asks the same: the safe-dig sheet tells each." in said


@pytest.mark.parametrize("room", [True, False])
def test_every_paper_asks_for_the_same_guard(room: bool) -> None:
    """Wall and trench sections offered a slope where the safe-dig sheet had no room for one: it went into a fence."""
    design = designed("block-wall-house")
    trenches = tuple(
        replace(
            one,
            protection="slope or shield",
            slope_meets=() if room else ("the boundary",),
            planned="",
            bars=(),
            over=(),
        )
        for one in design.build.dig.trenches
    )
    dig = replace(design.build.dig, trenches=trenches)
    design = replace(design, build=replace(design.build, dig=dig))
    wall = wall_draft(design)
    assert wall is not None
    papers = [" ".join(words_in(safe_dig_blocks(design))), " ".join(words_in(risk_sheet(design)))]
    sheets = [finish(draft, design.job, 1, 1) for draft in (wall, *trench_drafts(design))]
    papers += [" ".join(mark.text for mark in sheet.texts) for sheet in sheets]
    catalogue = Translator(frozenset())
    for said in papers:
        assert ("no room to slope" in said) is not room
        assert ("across to 1 up" in said) is room
        assert "slope or shield" not in said.replace("no slope or shield fits", "")
        assert "Drawn upright" not in said or room
    for one in {replace(one, name="") for one in trenches}:
        catalogue.say(f"Protection: {asked_guard(one)}.")
        catalogue.say(f"Nobody goes in unless its sides are {guarded(one)}.")
    catalogue.say("Drawn upright here.")
    catalogue.say("Not every run drawn here asks the same: the safe-dig sheet tells each.")
    assert not catalogue.missing


def words_in(thing: object) -> list[str]:
    """All words of blocks, whatever holds them."""
    if isinstance(thing, str):
        return [thing]
    if isinstance(thing, tuple | list):
        return [word for item in thing for word in words_in(item)]
    if is_dataclass(thing):
        return [word for item in fields(thing) for word in words_in(getattr(thing, item.name))]
    return []


def test_the_joint_is_drawn_to_scale() -> None:
    """The line that is there and ours, in true width, ours at 45 degrees; and the depth of the first."""
    design = designed("block-wall-house")
    (sheet,) = named(design, "outlet")
    scale = 1000.0 / ratio(sheet.scale)
    assert design.system.joined is not None
    there = design.system.joined.pipe
    ours, old, behind = rings(sheet, "pipe")
    assert spans(old)[1] == pytest.approx(there.outside * scale, rel=0.01)
    run = design.system.run(design.system.by_house[0].discharge_run)
    assert math.dist(ours[1], ours[2]) == pytest.approx(run.pipe.outside * scale, rel=0.01)
    (x0, y0), (x1, y1) = ours[0], ours[1]
    assert abs(math.atan2(y1 - y0, x1 - x0)) % (math.pi / 2) == pytest.approx(math.pi / 4, abs=0.01)
    assert x1 < x0, "it comes from upstream"
    assert spans(behind)[1] == pytest.approx(run.pipe.outside * scale, rel=0.01)
    (_, y, radius) = circles(sheet, "pipe")[0]
    (soil,) = rings(sheet, "soil")
    ground = design.system.nodes[design.system.discharge].ground
    depth = ground - run.invert_lower - there.inside / 2
    assert 2 * radius == pytest.approx(there.outside * scale, rel=0.01)
    assert y - min(at for _, at in soil) == pytest.approx(depth * scale, rel=0.01)


def test_profiles_tell_the_crown() -> None:
    """Its row of figures lies over that of the inverts by the pipe less one wall: 4.215 in less 0.120 in is 0.34 ft."""
    sheet = named(designed("block-wall-house"), "profiles")[1]
    heads = [mark for mark in sheet.texts if mark.text == "crown ft"]
    assert heads
    (invert,) = (mark for mark in sheet.texts if mark.text == "invert ft" and 0 < heads[0].at[1] - mark.at[1] < 6)

    def figures(head: TextMark) -> list[float]:
        row = [mark for mark in sheet.texts if abs(mark.at[1] - head.at[1]) < 0.01 and mark is not head]
        return [float(mark.text) for mark in sorted(row, key=lambda mark: mark.at[0])]

    assert np.subtract(figures(heads[0]), figures(invert)) == pytest.approx(0.34, abs=0.011)


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "two-basins", "sloping-lot"])
def test_the_name_of_the_stone_stands_off_the_fabric(example: str) -> None:
    """It once touched the fabric's line."""
    design = designed(example)
    draft = wall_draft(design)
    assert draft is not None
    sheet = finish(draft, design.job, 1, 1)
    (edge,) = (mark for mark in sheet.marks if isinstance(mark, Polyline) and mark.layer == "fabric")
    (name,) = (mark for mark in sheet.texts if mark.text.startswith("clean stone"))
    apart = shapely.Polygon(text_box(name)).distance(shapely.LineString(edge.points))
    assert apart > 0.8


def test_a_narrow_trench_is_drawn_as_large_as_its_sheet_allows() -> None:
    """The sections of narrow trenches stood small in the middle of an empty sheet; one alone still smaller."""
    for example, name in (("block-wall-house", "trench-2"), ("soak-lot", "trench")):
        draft = next(item for item in trench_drafts(designed(example)) if item.name == name)
        ups = [up for up in build_ups(designed(example)) if up.run.name in draft.title]
        [part] = draft.scaled
        assert part.ratio <= 8.0
        tall = 1000.0 * max(up.station.cut for up in ups) / part.ratio
        assert tall > 0.3 * (draft.paper.height - 2 * MARGIN)
        for mark in draft.marks:
            if isinstance(mark, TextMark):
                assert all(draft.paper.inner[0] <= x <= draft.paper.inner[2] + 0.5 for x, _ in text_box(mark)), (
                    mark.text
                )
