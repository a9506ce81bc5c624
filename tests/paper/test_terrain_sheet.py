"""The sheet of a job's ground: what is known is drawn in its place, and what is unsure or missing says so."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
import shapely

from drainwright.design import Design
from drainwright.field.terrain_model import RunOn, Terrain
from drainwright.paper.frame import finish, further_tables
from drainwright.paper.ground_tints import shape_of, tints_of
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import Circle, Polygon, Polyline, Sheet
from drainwright.paper.terrain_marks import slope_words, worst_slope
from drainwright.paper.terrain_panel import drained_rows, low_spot_rows
from drainwright.paper.terrain_sheet import terrain_page, terrain_sheet
from drainwright.paper.wording import Wording
from tests.conftest import designed as whole
from tests.paper.sample import designed

EXAMPLES = ["block-wall-house", "metric-basement", "sloping-lot", "wrong-choices"]


def terrain_of(design: Design) -> Terrain:
    assert design.site.terrain is not None
    return design.site.terrain


def sheets_of(design: Design) -> dict[str, Sheet]:
    """The ground's sheets alone, which are quickly drawn."""
    ground = terrain_sheet(design)
    draft, rest = (None, []) if ground is None else ground.drawn()
    drafts = [] if draft is None else [draft, *further_tables(rest, design.job.units, draft.name, draft.title)]
    return {draft.name: finish(draft, design.job, number, len(drafts)) for number, draft in enumerate(drafts, start=1)}


def sheet_of(design: Design) -> Sheet:
    return sheets_of(design)["ground"]


def texts(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in sheet.texts)


def with_terrain(design: Design, **changes: object) -> Design:
    return replace(design, site=replace(design.site, terrain=replace(terrain_of(design), **changes)))  # type: ignore[arg-type]


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_inlet_low_spot_wall_and_next_shot_is_on_the_sheet(example: str) -> None:
    design = designed(example)
    terrain, sheet = terrain_of(design), sheet_of(design)
    said = texts(sheet)
    drawn = [mark for each in sheets_of(design).values() for mark in each.marks]  # the legend may need a further sheet
    crosses = [mark for mark in drawn if isinstance(mark, Circle) and mark.layer == "next shot"]
    assert len(crosses) == len(terrain.next_shots) + 1, "and one in the legend"
    for number, shot in enumerate(terrain.next_shots, start=1):
        assert any(mark.text == f"{number}" and mark.layer == "text next shot" for mark in sheet.texts)
        assert shot.why.split(":")[0][:25] in said
    for node in design.system.nodes.values():
        if node.kind == "inlet":
            assert f"{node.name} takes" in said
    for number, spot in enumerate(terrain.low_spots, start=1):
        assert f"low {number}{'' if spot.sure else ' unsure'}" in said
    strong = [mark for mark in sheet.marks if mark.layer in ("slope away", "slope towards")]
    assert len(strong) >= len(terrain.wall_slopes)


@pytest.mark.parametrize("example", EXAMPLES)
def test_drained_ground_adds_up_to_the_lot_less_the_house(example: str) -> None:
    """The areas as the table prints them, in feet or metres, against lot less house: rounding apart."""
    design = designed(example)
    terrain = terrain_of(design)
    rows, said = drained_rows(design, terrain)
    printed = sum(float(row[1].split(" ")[0].replace(",", "")) for row in rows)
    unit = 0.3048**2 if design.job.units == "US" else 1.0
    assert printed == pytest.approx((terrain.lot_area - terrain.house_area) / unit, abs=0.5 * len(rows) + 1.0 / unit)
    whole = float(said.removeprefix("Sum ").split(" ")[0].replace(",", ""))
    assert whole == pytest.approx((terrain.lot_area - terrain.house_area) / unit, abs=0.51)
    assert said.replace(" ", "") in texts(sheet_of(design)).replace(" ", "")


def test_the_table_of_low_spots_is_the_terrains() -> None:
    """Block-wall house: W1 stands 2.95 in deep over 265 sq ft; 0.0754 m and 24.6 m² by hand."""
    design = designed("block-wall-house")
    rows = low_spot_rows(design, terrain_of(design))
    assert [row[0] for row in rows] == ["low 1", "low 2"]
    for row, spot in zip(rows, terrain_of(design).low_spots, strict=True):
        assert float(row[2].split(" ")[0]) == pytest.approx(spot.area / 0.3048**2, abs=0.5)
        assert float(row[4]) == pytest.approx(spot.spill_level / 0.3048, abs=0.005)
    assert rows[1][5].endswith("unsure")


def test_unsure_low_spots_have_no_fill_of_water() -> None:
    design = designed("block-wall-house")
    spots = terrain_of(design).low_spots
    sure = sum(len(spot.rings) for spot in spots if spot.sure)

    def count(sheet: Sheet, layer: str) -> int:
        return sum(isinstance(mark, Polygon) and mark.layer == layer for mark in sheet.marks)

    sheet = sheet_of(design)
    assert count(sheet, "low spot") == sure + 1, "and the legend's"
    all_sure = with_terrain(design, low_spots=tuple(replace(spot, sure=True) for spot in spots))
    assert count(sheet_of(all_sure), "low spot unsure") == 0


@pytest.mark.parametrize(
    ("units", "run", "fall", "said"),
    [
        ("US", 3.048, 0.1524, "falls 6 in in 10 ft"),
        ("US", 3.048, -0.0762, "falls 3 in to the house in 10 ft"),
        ("US", 3.048, 0.001, "level for 10 ft"),
        ("SI", 3.048, 0.062, "falls 62 mm in 3.05 m"),
    ],
)
def test_falls_at_a_wall_in_words(units: str, run: float, fall: float, said: str) -> None:
    assert slope_words(Wording(units), run, fall) == said  # type: ignore[arg-type]


def test_ground_that_falls_to_the_house_is_in_the_warning_colour() -> None:
    design = designed("block-wall-house")
    for slope in terrain_of(design).wall_slopes:
        worst = worst_slope(slope)
        assert worst is not None
        assert worst[2] / worst[1] == pytest.approx(slope.least)
    marks = sheet_of(design).texts
    assert {mark.layer for mark in marks if "to the house" in mark.text and mark.text.startswith("falls 1 1/4")} == {
        "text warning"
    }
    assert {mark.layer for mark in marks if mark.text == "falls 7/8 in in 10 ft"} == {"text"}


def test_water_over_the_boundary_comes_in_not_out() -> None:
    """An arrow's tip lies nearer to the middle of the lot than its tail, from whichever end the stretch runs."""
    design = designed("block-wall-house")
    stretch = terrain_of(design).run_on[0]
    for entry in (stretch, replace(stretch, start=stretch.end, end=stretch.start)):
        sheet = sheet_of(with_terrain(design, run_on=(replace(entry, area=55.7),)))
        arrows = [
            mark.points for mark in sheet.marks if isinstance(mark, Polyline) and mark.layer == "run-on"
        ][:-1]  # fmt: skip
        house = next(mark for mark in sheet.marks if mark.layer == "house")
        assert isinstance(house, Polygon)
        centre = shapely.Polygon(house.points).centroid
        assert len(arrows) >= 1
        for tail, tip in arrows:
            assert math.dist(tip, (centre.x, centre.y)) < math.dist(tail, (centre.x, centre.y))
        assert "at least 600 ft² behind it" in texts(sheet)


def test_ground_round_the_shots_is_grey_and_leaves_the_shots_white() -> None:
    """Sloping lot: bare ground all round; grey covers what lies beyond the shots and nothing within them."""
    design = designed("sloping-lot")
    sheet = sheet_of(design)
    grey = shapely.union_all(
        [shapely.Polygon(mark.points) for mark in sheet.marks if isinstance(mark, Polygon) and mark.layer == "unknown"]
    )
    house = next(mark for mark in sheet.marks if mark.layer == "house")
    assert isinstance(house, Polygon)
    assert grey.intersection(shapely.Polygon(house.points)).area < 1e-6
    ratio = 180.0 / 1000.0
    legend = 24.0  # of the legend's patch [mm²]
    bare = terrain_of(design).bare
    assert (grey.area - legend) * ratio**2 == pytest.approx(bare, rel=0.03), (
        "the cells' figure is good to a few percent"
    )


def test_a_job_whose_land_is_not_known_has_no_sheet() -> None:
    design = designed("metric-basement")
    bare = replace(design, site=replace(design.site, terrain=None))
    assert sheets_of(bare) == {}


def test_many_low_spots_and_runs_of_water_keep_their_texts_apart() -> None:
    """Thirty low spots and water over every side: names are dropped or told beside the drawing, never overlaid."""
    design = designed("block-wall-house")
    terrain = terrain_of(design)
    lot = design.site.boundary
    spots = tuple(
        replace(terrain.low_spots[0], name=f"S{n}", at=(-6.0 + 4.0 * (n % 6), -8.0 + 5.0 * (n // 6)), sure=n % 2 == 0)
        for n in range(30)
    )
    sides = tuple(
        RunOn(side=f"side {n}", start=a, end=b, length=math.dist(a, b), area=10.0 * n, goes_to={"CB1": 10.0 * n})
        for n, (a, b) in enumerate(zip(lot, (*lot[1:], lot[0]), strict=True))
    )
    sheets = sheets_of(with_terrain(design, low_spots=spots, run_on=sides))
    for name in [name for name in sheets if name.startswith("ground")]:
        boxes = [shapely.Polygon(text_box(mark)) for mark in sheets[name].texts]
        pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T
        assert not [(a, b) for a, b in pairs if a < b and boxes[a].intersection(boxes[b]).area > 1e-6]
        paper = shapely.box(0, 0, sheets[name].width, sheets[name].height)
        assert all(paper.covers(box) for box in boxes)


def test_a_side_is_named_once_with_all_that_comes_in_over_it() -> None:
    """Three stretches of one side: arrows over each, one label with their ground together."""
    design = designed("block-wall-house")
    west = (
        RunOn(side="west side", start=(-8.5, n), end=(-8.5, n + 3.0), length=3.0, area=10.0, goes_to={"CB1": 10.0})
        for n in (-2.0, 4.0, 10.0)
    )
    sheet = sheet_of(with_terrain(design, run_on=tuple(west)))
    assert texts(sheet).count("water comes in here") == 1
    assert "at least 323 ft² behind it" in texts(sheet)  # 3 x 10 m²
    arrows = [mark for mark in sheet.marks if mark.layer == "run-on"]
    assert len(arrows) >= 3


def test_a_long_legend_of_the_terrain_page_has_room() -> None:
    """Of ten basins the last row of the legend hung below the drawing and was cut."""
    page = terrain_page(whole("long-house/job"))
    assert page is not None
    low = [text.text for text in page.sheet.texts if text.at[1] < 0.5]
    assert low == []


@pytest.mark.parametrize("example", ["long-house", "block-wall-house", "metric-basement"])
def test_ground_of_neighbouring_inlets_never_has_one_tint(example: str) -> None:
    """Tints were given in turn: two inlets side by side had the same, and their ground read as one."""
    terrain = designed(example).site.terrain
    assert terrain is not None
    inlets = [
        (area.to, tint, shape_of(area.rings).buffer(terrain.cell))
        for area, tint in zip(terrain.drained, tints_of(terrain), strict=True)
        if area.kind == "inlet"
    ]
    assert all(tint for _, tint, _ in inlets)
    touching = [(one, other) for one, other in combinations(inlets, 2) if one[2].intersects(other[2])]
    assert touching or example != "long-house"
    assert not [(one[0], other[0]) for one, other in touching if one[1] == other[1]]
