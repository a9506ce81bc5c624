"""What goes out comes in again: points, features and drawings of a site, of a design, of ground by itself."""

from __future__ import annotations

import dataclasses
import io
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design, design
from drainwright.errors import InputError
from drainwright.exchange.files import read_shots
from drainwright.exchange.points_csv import points_text, read_points
from drainwright.exchange.shots import FileError, Shots
from drainwright.field.building import building_in
from drainwright.field.ground_study import GroundStudy, merged, study_ground
from drainwright.job.reading import read_job
from drainwright.paper.ground_sheet import ground_sheet
from drainwright.paper.sheet import TextMark
from drainwright.paper.site_files import areas_of, export_files, ground_files, site_points
from drainwright.paper.svg import to_svg

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "block-wall-house" / "job.yaml"
DATA = ROOT.parent / "shared" / "data"
TENTH = 1e-4  # a tenth of a millimetre [m]


@pytest.fixture(scope="module")
def example() -> Design:
    return design(read_job(EXAMPLE))


@pytest.fixture(scope="module")
def exported(example: Design) -> dict[str, bytes]:
    return export_files(example.site, example)


def bowl(count: int = 41) -> Shots:
    """A dish 0.2 m deep in level ground, in a national grid."""
    east, north = (a.ravel() for a in np.meshgrid(*[np.arange(count, dtype=float)] * 2))
    away = np.hypot(east - 20, north - 20)
    level = 50 - 0.2 * np.clip(1 - away / 8, 0, None) - 0.001 * np.abs(east - 20)
    names = tuple(str(n) for n in range(len(east)))
    return Shots(source="bowl.csv", east=east + 770_000.25, north=north + 6_277_000.5, level=level, names=names)


@pytest.fixture(scope="module")
def study() -> GroundStudy:
    return study_ground(bowl(), "SI", interval=0.05)


def test_points_of_a_site_read_back_to_a_tenth_of_a_millimetre(
    example: Design, exported: dict[str, bytes], tmp_path: Path
) -> None:
    (tmp_path / "points.csv").write_bytes(exported["points.csv"])
    again = read_points(tmp_path / "points.csv")
    assert again.unit == "ft"
    assert len(again) > 20
    for number, name in enumerate(again.names):
        point = example.site.points[name]
        assert point.level is not None
        assert math.dist((again.east[number], again.north[number], again.level[number]),
                         (point.east, point.north, point.level)) < TENTH  # fmt: skip
    levelled = {p.name for p in example.site.points.values() if p.level is not None and p.way != "level only"}
    assert set(again.names) == levelled


def test_the_same_points_through_geojson(example: Design, exported: dict[str, bytes], tmp_path: Path) -> None:
    tree = json.loads(exported["site.geojson"])
    assert tree["frame"]["unit"] == "m"
    tree["features"] = [f for f in tree["features"] if f["properties"]["layer"] == "point"]
    (tmp_path / "site.geojson").write_text(json.dumps(tree))
    again, points = read_shots(tmp_path / "site.geojson"), site_points(example.site)
    assert again.names == points.names
    assert np.abs(again.plan - points.plan).max() < TENTH
    assert np.abs(again.level - points.level).max() < TENTH


def test_all_that_a_site_and_its_works_have_goes_out(example: Design, exported: dict[str, bytes]) -> None:
    features = json.loads(exported["site.geojson"])["features"]
    layers: dict[str, list[Any]] = {}
    for feature in features:
        layers.setdefault(feature["properties"]["layer"], []).append(feature)
    site, terrain = example.site, example.site.terrain
    assert terrain is not None
    assert len(layers["wall"]) == len(site.walls)
    assert len(layers["buried line"]) == len(site.utilities)
    assert len(layers["tree"]) == len(site.trees)
    assert len(layers["contour"]) == len(terrain.contours)
    assert len(layers["run"]) == len(example.system.runs)
    for feature, area in zip(layers["drained area"], [a for a in terrain.drained if a.rings], strict=True):
        shape = shapely.geometry.shape(feature["geometry"])
        assert shape.is_valid
        assert all(piece.exterior.is_ccw for piece in shape.geoms)
        assert feature["properties"]["to"] == area.to
    alone = {f["properties"]["layer"] for f in json.loads(export_files(site)["site.geojson"])["features"]}
    assert alone == set(layers) - {"run", "node"}


def read_dxf(data: bytes) -> Any:
    import ezdxf

    return ezdxf.read(io.StringIO(data.decode()))


def test_the_drawing_holds_points_and_contours_at_their_levels(example: Design, exported: dict[str, bytes]) -> None:
    space = read_dxf(exported["site.dxf"]).modelspace()
    points = {tuple(round(v, 3) for v in p.dxf.location) for p in space.query('POINT[layer=="SURVEY-POINT"]')}
    corner = example.site.points["A"]
    assert tuple(round(v / 0.3048, 3) for v in (corner.east, corner.north, corner.level or 0.0)) in points
    levels = {
        round(line.dxf.elevation * 0.3048, 6) for line in space.query("LWPOLYLINE") if "CONTOUR" in line.dxf.layer
    }
    assert example.site.terrain is not None
    assert levels == {round(contour.level, 6) for contour in example.site.terrain.contours}
    alone = read_dxf(export_files(example.site)["site.dxf"]).modelspace()
    assert not alone.query('*[layer=="NODE"]')
    assert len(alone.query('LWPOLYLINE[layer=="HOUSE"]')) == 1


def test_equal_studies_give_equal_files(study: GroundStudy) -> None:
    assert ground_files(study, "SI") == ground_files(study_ground(bowl(), "SI", interval=0.05), "SI")


def test_a_dish_is_found_and_drawn_where_it_lies(study: GroundStudy) -> None:
    """A cone 0.2 m deep and 8 m in radius holds pi r² h / 3 = 13.4 m³; its triangles on a 1 m grid a little less."""
    (spot,) = study.standing
    assert study.area == pytest.approx(1600.0)
    assert spot.at == (20.0 + 0.25, 20.0 + 0.5)
    assert study.origin == (770_000.0, 6_277_000.0)
    assert spot.depth == pytest.approx(0.2 - 0.02 + 0.012, abs=0.02)
    files = ground_files(study, "SI")
    features = json.loads(files["ground.geojson"])["features"]
    (low,) = [f for f in features if f["properties"]["layer"] == "low spot" and f["properties"]["name"] == spot.name]
    shape = shapely.geometry.shape(low["geometry"])
    assert shape.area == pytest.approx(spot.area, rel=1e-6)
    assert shape.contains(shapely.Point(770_020.25, 6_277_020.5))
    space = read_dxf(files["ground.dxf"]).modelspace()
    assert len(space.query('POINT[layer=="SHOT"]')) == 41 * 41
    assert len(space.query('LWPOLYLINE[layer=="LOW-SPOT"]')) >= 1


def test_points_of_ground_read_back(study: GroundStudy, tmp_path: Path) -> None:
    files = ground_files(study, "US")
    (tmp_path / "p.csv").write_bytes(files["points.csv"])
    again, first = read_points(tmp_path / "p.csv"), bowl()
    assert np.abs(again.plan - first.plan).max() < TENTH
    assert np.abs(again.level - first.level).max() < TENTH


@pytest.mark.parametrize("units", ["US", "SI"])
def test_the_sheet_keeps_its_texts_on_paper_and_apart(study: GroundStudy, units: Any) -> None:
    from drainwright.paper.measure import text_box

    sheet = ground_sheet(study, units)
    boxes = [shapely.Polygon(text_box(mark)) for mark in sheet.marks if isinstance(mark, TextMark)]
    paper = shapely.box(0, 0, sheet.width, sheet.height)
    assert all(paper.contains(one) for one in boxes)
    tree = shapely.STRtree(boxes)
    pairs = tree.query(boxes, predicate="overlaps").T
    assert all(boxes[a].intersection(boxes[b]).area < 0.2 for a, b in pairs)
    texts = " ".join(mark.text for mark in sheet.texts)
    for words in ("low 1", "1,681", "relief", "Read this first"):
        assert words in texts
    assert to_svg(sheet).startswith("<svg")


def test_five_thousand_shots_are_studied(tmp_path: Path) -> None:
    """The reading, the surface, the contours and the low spots; drawing and process start apart."""
    rng = np.random.default_rng(4)
    east, north = rng.uniform(0, 150, (2, 5000))
    level = 30 + 0.02 * east + 0.3 * np.sin(east / 9) * np.cos(north / 11)
    (tmp_path / "p.csv").write_text(points_text(Shots(source="x", east=east, north=north, level=level)))
    found = study_ground(read_points(tmp_path / "p.csv"), "SI")
    assert len(found.shots) == 5000
    assert found.low_spots


def test_what_cannot_be_studied() -> None:
    line = Shots(source="x", east=np.arange(5.0), north=np.arange(5.0), level=np.zeros(5))
    with pytest.raises(InputError, match="all in one line"):
        study_ground(line)
    with pytest.raises(InputError, match="expected three or more"):
        study_ground(line.where([False] * 5, "none"))
    with pytest.raises(InputError, match="at most 400 levels"):
        study_ground(bowl(), interval=1e-4)
    with pytest.raises(InputError, match="files = 0"):
        merged([])


def test_shallow_dishes_are_told_by_a_rod_and_not_from_the_air() -> None:
    deep = bowl()
    level = 50 + (deep.level - 50) * 0.2  # 4 cm
    by_rod = dataclasses.replace(deep, level=level)
    assert len(study_ground(by_rod, "SI").standing) == 1
    assert not study_ground(dataclasses.replace(by_rod, names=()), "SI").standing
    assert len(study_ground(dataclasses.replace(by_rod, names=()), "SI", least_depth=0.01).standing) == 1


def test_an_island_in_the_water_is_a_hole() -> None:
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    island = ((4.0, 4.0), (4.0, 6.0), (6.0, 6.0), (6.0, 4.0))
    (area,) = areas_of((square, island))
    assert shapely.Polygon(area[0], area[1:]).area == pytest.approx(96.0)


def test_several_files_make_one_ground() -> None:
    first = bowl()
    west = first.where(first.east < 770_020, "east")
    east = first.where(first.east >= 770_020, "west")
    both = merged([west, east])
    assert len(both) == len(first)
    assert sorted(both.names) == sorted(first.names)


def run(*arguments: str) -> Any:
    return CliRunner().invoke(app, list(arguments))


def test_ground_on_the_command_line(tmp_path: Path) -> None:
    path = tmp_path / "bowl.csv"
    path.write_text(points_text(bowl(), "US survey ft"))
    result = run("ground", str(path), "--units", "SI", "--interval", "50 mm")
    assert result.exit_code == 0, result.output
    assert "1,681" in result.output
    assert "low 1" in result.output
    folder = tmp_path / "bowl-ground"
    assert {one.name for one in folder.iterdir()} == {"ground.svg", "ground.geojson", "ground.dxf", "points.csv"}
    told = json.loads(run("ground", str(path), "--json", "--to", str(tmp_path / "o"), "--spacing", "3 m").stdout)
    assert told["spacing"] == 3.0
    assert told["dropped"]["thinned"] > 1000


def with_building(order: str = "abcd", inside: bool = False) -> Shots:
    """A bowl with a house in its middle, its corners shot at the eaves; ``inside``: with the ground under it."""
    ground, corners = bowl(), {"a": (16.0, 16.0), "b": (24.0, 16.0), "c": (24.0, 24.0), "d": (16.0, 24.0)}
    east, north = ground.east - 770_000.25, ground.north - 6_277_000.5
    if not inside:
        ground = ground.where(~((east > 15.9) & (east < 24.1) & (north > 15.9) & (north < 24.1)), "under the house")
    at = np.array([corners[one] for one in order])
    return dataclasses.replace(
        ground, east=np.append(ground.east, at[:, 0] + 770_000.25),
        north=np.append(ground.north, at[:, 1] + 6_277_000.5),
        level=np.append(ground.level, [53.0] * len(at)), names=(*ground.names, *(f"B{one}" for one in order)),
        codes=("GND",) * len(ground) + ("BLDG",) * len(at), dropped={},
    )  # fmt: skip


def test_a_building_is_cut_out_and_its_eaves_are_no_ground() -> None:
    whole = with_building()
    ground, outline = building_in(whole, "bldg")
    assert shapely.Polygon(outline).area == pytest.approx(64.0)
    assert ground.dropped == {"corners of the building": 4}
    found, bare = study_ground(ground, "SI", building=outline), study_ground(ground, "SI")
    house = shapely.Polygon(found.building)
    assert found.highest < 50.1 < 53.0 == study_ground(whole, "SI").highest
    assert found.area == pytest.approx(bare.area - 64.0)
    across = [shapely.Polygon(spot.rings[0], spot.rings[1:]).intersection(house).area for spot in bare.low_spots]
    assert max(across) > 30.0  # a low spot drawn over the house, which nobody can stand in
    water = [shapely.Polygon(spot.rings[0], spot.rings[1:]) for spot in found.low_spots]
    assert water
    assert all(one.intersection(house).area < 0.01 for one in water)
    tilted = dataclasses.replace(ground, level=ground.level + 0.02 * (ground.east - 770_000.25))
    bare, tilt = study_ground(tilted, "SI"), study_ground(tilted, "SI", building=outline)
    assert any(house.contains(shapely.Point(one.at)) for one in bare.arrows)
    assert tilt.arrows
    assert not any(house.contains(shapely.Point(one.at)) for one in tilt.arrows)
    files = ground_files(found, "SI")
    layers = {one["properties"]["layer"]: one for one in json.loads(files["ground.geojson"])["features"]}
    assert shapely.Polygon(layers["house"]["geometry"]["coordinates"][0]).area == pytest.approx(64.0)
    assert "Other buildings" in files["ground.svg"].decode()
    roof, outline = building_in(with_building(inside=True), "BLDG")
    assert any("shots inside the building" in note for note in study_ground(roof, "SI", building=outline).notes)


def test_corners_out_of_order_give_their_hull_and_say_so() -> None:
    ground, outline = building_in(with_building("acbd"), "BLDG", ("gnd", "bldg"))
    assert shapely.Polygon(outline).area == pytest.approx(64.0)
    assert "do not follow each other" in ground.notes[-1]
    assert ground.dropped == {}  # --codes names them: they were shot on the ground
    with pytest.raises(FileError, match="0 corners"):
        building_in(bowl(), "BLDG")
    with pytest.raises(FileError, match="2 corners"):
        building_in(with_building("ab"), "BLDG")


def test_a_building_on_the_command_line(tmp_path: Path) -> None:
    path = tmp_path / "yard.csv"
    path.write_text(points_text(with_building(), "m"))
    told = json.loads(run("ground", str(path), "--json", "--building", "BLDG", "--codes", "GND").stdout)
    assert len(told["building"]) == 4
    assert told["highest"] < 50.1
    refused = run("ground", str(path), "--building", "SHED")
    assert refused.exit_code == 2
    assert "BLDG" in refused.output


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--unit", "yard"], "expected ft, m or us-survey-ft"),
        (["--units", "old"], "expected US or SI"),
        (["--spacing", "3"], "--spacing"),
        (["--interval", "0 m"], "above zero"),
        (["--unit", "m", "--codes", "GND"], "a file without codes"),
        ([], "found no unit"),
    ],
)
def test_wrong_words_on_the_command_line(arguments: list[str], said: str, tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    path.write_text("1,0,0,5\n2,9,0,5\n3,0,9,4\n")
    result = run("ground", str(path), "--to", str(tmp_path / "o"), *arguments)
    assert result.exit_code == 2
    assert said in result.output
    assert not (tmp_path / "o").exists()


def test_export_on_the_command_line(tmp_path: Path) -> None:
    result = run("export", str(EXAMPLE), "--to", str(tmp_path), "--site-only", "--json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["files"] == ["points.csv", "site.geojson", "site.dxf"]


@pytest.mark.skipif(not DATA.exists(), reason="the public data are not beside this checkout")
@pytest.mark.parametrize(
    ("name", "unit", "relief"),
    [("survey/hillside_points_PNEZD.csv", "m", 17.152), ("terrain/montpellier_block_ground_1m.asc", "m", None),
     ("terrain/autzen_trim_intl_feet.laz", None, None)],
)  # fmt: skip
def test_public_ground(name: str, unit: Any, relief: float | None) -> None:
    pytest.importorskip("rasterio")
    found = study_ground(read_shots(DATA / name, unit), "SI")
    assert relief is None or found.relief == pytest.approx(relief, abs=1e-3)
    assert found.contours
    assert all(spot.depth >= found.least_depth for spot in found.low_spots)
    assert set(ground_files(found, "US")) == {"ground.svg", "ground.geojson", "ground.dxf", "points.csv"}
