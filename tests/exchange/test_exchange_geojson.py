"""GeoJSON in and out; longitude and latitude against a general projection library."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from drainwright.exchange.geojson import Feature, closed, features_text, read_geojson
from drainwright.exchange.shots import FileError, Origin, tangent_plane


def write(folder: Path, tree: Any) -> Path:
    path = folder / "ground.geojson"
    path.write_text(tree if isinstance(tree, str) else json.dumps(tree), encoding="utf-8")
    return path


def point(*at: float, **properties: Any) -> dict[str, Any]:
    return {"type": "Feature", "geometry": {"type": "Point", "coordinates": list(at)}, "properties": properties}


def collection(*features: Any) -> dict[str, Any]:
    return {"type": "FeatureCollection", "features": list(features)}


def test_points_multipoints_and_heights_by_property(tmp_path: Path) -> None:
    many = {"type": "MultiPoint", "coordinates": [[3, 4, 5], [6, 7, 8]]}
    line = {"type": "LineString", "coordinates": [[0, 0], [1, 1]]}
    tree = collection(
        point(1, 2, 3, name="A", code="GND"), point(2, 3, Elevation=9.5),
        {"type": "Feature", "geometry": many, "properties": None}, {"type": "Feature", "geometry": line},
        {"type": "Feature", "geometry": None},
    )  # fmt: skip
    shots = read_geojson(write(tmp_path, tree), "ft", "m")
    assert (shots.east / 0.3048).tolist() == pytest.approx([1, 2, 3, 6])
    assert shots.level.tolist() == [3, 9.5, 5, 8]
    assert shots.names == ("A", "", "", "")
    assert shots.codes[0] == "GND"
    assert any("1 of LineString" in note for note in shots.notes)
    assert any("1 of no geometry" in note for note in shots.notes)
    bare = read_geojson(write(tmp_path, many), "m")
    assert len(bare) == 2


def test_longitude_and_latitude_against_a_projection_library(tmp_path: Path) -> None:
    """PROJ's azimuthal equidistant projection about the same place, lengths raised from ellipsoid to ground."""
    warp = pytest.importorskip("rasterio.warp")
    rng = np.random.default_rng(3)
    lon, lat, height = -88.2574, 40.0962, 1600.0
    at = np.stack([lon + rng.uniform(-4e-3, 4e-3, 40), lat + rng.uniform(-3e-3, 3e-3, 40)])
    system = f"+proj=aeqd +lat_0={lat} +lon_0={lon} +ellps=WGS84 +units=m"
    x, y = warp.transform("EPSG:4326", system, at[0].tolist(), at[1].tolist())
    for level in (0.0, height):
        east, north = tangent_plane(at[0], at[1], Origin(longitude=lon, latitude=lat, height=level))
        raised = 1.0 + level / 6.371e6
        assert np.abs(east - np.array(x) * raised).max() < 2e-3
        assert np.abs(north - np.array(y) * raised).max() < 2e-3
    shots = read_geojson(write(tmp_path, collection(*(point(a, b, 200.0) for a, b in at.T.tolist()))))
    assert shots.origin is not None
    assert np.hypot(shots.east[1] - shots.east[0], shots.north[1] - shots.north[0]) == pytest.approx(
        np.hypot(x[1] - x[0], y[1] - y[0]) * (1 + 200 / 6.371e6), abs=1e-3
    )
    assert shots.to_frame((float(at[0, 3]), float(at[1, 3]))) == pytest.approx(
        (shots.east[3], shots.north[3]), abs=1e-9
    )


@pytest.mark.parametrize(
    ("tree", "found"),
    [
        ("{", "text that is not JSON"),
        ("[1, 2]", "JSON without a 'type'"),
        ({"type": "Topology"}, "the type 'Topology'"),
        ({"type": [{"type": "Feature"}]}, "the type"),  # a list for a word broke the reading
        ({"type": "FeatureCollection"}, "without a list of 'features'"),
        (collection(), "no features"),
        (collection(point(1, 2)), "feature 1 without a height"),
        (collection(point(1, 2, 3), point(1, 2, True)), "feature 2 at"),
        (collection(point(1, 2, 3), point(1, 2, elevation="high")), "feature 2 at"),
        ('{"type": "Point", "coordinates": [1, NaN, 3]}', "NaN"),
        ('{"type": "Point", "coordinates": [1, 1e400, 3]}', "feature 1 at"),
        ('{"type": "Point", "coordinates": {"a": 1}}', "feature 1 at"),
        (collection({"type": "Feature", "geometry": {"type": "Polygon", "coordinates": []}}), "1 Polygon"),
        ("[" * 100_000, "nesting"),
        (collection(point(500000, 4600000, 3)), "no longitude and latitude"),
        (collection(point(200, 45, 3)), "no longitude and latitude"),
        (collection(point(45, 95, 3)), "no longitude and latitude"),
        (collection(point(0, 0, 3), point(40, 20, 3)), "km apart"),
    ],
)
def test_broken_files(tree: Any, found: str, tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        read_geojson(write(tmp_path, tree))
    assert found in caught.value.problem.found


def test_what_is_written_reads_back_and_says_that_it_is_local(tmp_path: Path) -> None:
    ring = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]
    features = [
        Feature(kind="Point", layer="shot", coordinates=(1.23456789, -2.0, 30.5), properties={"name": "A"}),
        Feature(kind="Polygon", layer="low spot", coordinates=[closed(ring)]),
    ]
    text = features_text(features, "Ground of an “invented” lot")
    tree = json.loads(text)
    assert tree["frame"]["note"] == "local metres, not longitude and latitude"
    assert tree["features"][1]["geometry"]["coordinates"] == [[[0, 0], [1, 0], [1, 1], [0, 0]]]
    shots = read_geojson(write(tmp_path, text))
    assert shots.east[0] == pytest.approx(1.23456789, abs=1e-5)
    assert shots.names == ("A",)
    assert shots.origin is None
    with pytest.raises(FileError, match="m as the unit in the file, and ft given"):
        read_geojson(write(tmp_path, text), "ft")
