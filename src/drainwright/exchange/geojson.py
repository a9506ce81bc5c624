"""GeoJSON (RFC 7946): ground shots from points with a height; features out, in local metres, and said so."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from drainwright.exchange.shots import (
    METRES,
    FileError,
    LengthUnit,
    Origin,
    Shots,
    counted,
    read_text,
    said_unit,
    short,
    tangent_plane,
)

MOST_BYTES = 60_000_000
MOST_POINTS = 400_000
WIDEST = 20_000.0  # of ground in longitude and latitude: a plane is good for no more [m]
HEIGHTS = ("elevation", "elev", "level", "height", "z", "altitude", "alt")
NAMES = ("name", "point", "id", "p", "no", "number")
CODES = ("code", "desc", "description", "d", "feature")
FRAME = "frame"  # our member at the top: {"unit": "m", "axes": "east, north, level"}
_GEOMETRY = frozenset({"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"})


@dataclass(slots=True)
class _Found:
    rows: list[tuple[float, float, float]] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    passed: dict[str, int] = field(default_factory=dict)


def read_geojson(path: str | Path, unit: LengthUnit | None = None, level_unit: LengthUnit | None = None) -> Shots:
    """Read the points of a GeoJSON file.

    Parameters
    ----------
    path : str | Path
        A FeatureCollection, Feature or geometry. Points and MultiPoints whose third coordinate, or whose property
        ``elevation`` (``elev``, ``level``, ``height``, ``z``), gives a height; other shapes are counted, and
        passed over.
    unit : {"m", "ft", "US survey ft"}, optional
        Given, or said by the file's member ``frame``, the coordinates are local, east and north in that unit. Else
        they are longitude and latitude, as the standard has it, and are laid on a plane that touches the earth at
        their middle (``tangent_plane``).
    level_unit : same, optional
        Of the heights; left out: as the plan, or metres with longitude and latitude (RFC 7946 sec. 3.1.1).

    Returns
    -------
    Shots
        The points.

    Raises
    ------
    FileError
        If it is no GeoJSON, or a point has no height.
    """
    path = Path(path)
    tree = _tree(read_text(path, MOST_BYTES), path.name)
    found = _Found()
    for number, feature in enumerate(_features(tree, path.name), start=1):
        _take(found, feature, number, path.name)
    if not found.rows:
        there = counted([f"{count} {kind}" for kind, count in found.passed.items()]) or "no features"
        raise FileError(there, "points with heights", file=path.name)
    frame = tree.get(FRAME)
    said = said_unit(str(frame.get("unit", ""))) if isinstance(frame, dict) else None
    if unit is not None and said is not None and unit != said:
        raise FileError(f"{said} as the unit in the file, and {unit} given", "one of them", file=path.name)
    plan_unit = unit or said
    rows = np.array(found.rows)
    notes = [
        f"{count} of {kind} passed over: only points with heights are ground shots."
        for kind, count in found.passed.items()
    ]
    origin = None
    if plan_unit is None:
        rows, origin = _laid_flat(rows, METRES[level_unit or "m"], path.name)
        notes.append("Longitude and latitude, laid on the plane that touches the earth at the middle of the points.")
        level_unit = level_unit or "m"
    else:
        rows = rows * (METRES[plan_unit], METRES[plan_unit], METRES[level_unit or plan_unit])
    return Shots(
        source=path.name, east=rows[:, 0], north=rows[:, 1], level=rows[:, 2],
        names=tuple(found.names) if any(found.names) else (), codes=tuple(found.codes) if any(found.codes) else (),
        unit=plan_unit or "m", level_unit=level_unit or plan_unit or "m", origin=origin, notes=tuple(notes),
    )  # fmt: skip


def _tree(text: str, file: str) -> dict[str, Any]:
    wanted = "a GeoJSON FeatureCollection, Feature or geometry"
    try:
        tree = json.loads(text, parse_constant=lambda word: _refuse_number(word, file))
    except json.JSONDecodeError as error:
        raise FileError(f"text that is not JSON ({error.msg})", wanted, file=file, line=error.lineno) from None
    except (RecursionError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        raise FileError("nesting or numbers beyond all measure", wanted, file=file) from None
    if not isinstance(tree, dict) or "type" not in tree:
        raise FileError("JSON without a 'type'", wanted, file=file)
    return tree


def _refuse_number(word: str, file: str) -> float:
    raise FileError(word, "finite numbers", file=file)


def _features(tree: Mapping[str, Any], file: str) -> Iterator[Mapping[str, Any]]:
    kind = tree["type"]
    if kind == "FeatureCollection":
        features = tree.get("features")
        if not isinstance(features, list) or not all(isinstance(item, dict) for item in features):
            raise FileError("a FeatureCollection without a list of 'features'", "features", file=file)
        yield from features
    elif kind == "Feature":
        yield tree
    elif kind == "GeometryCollection":
        for geometry in tree.get("geometries") or ():
            yield {"type": "Feature", "geometry": geometry}
    elif isinstance(kind, str) and kind in _GEOMETRY:
        yield {"type": "Feature", "geometry": tree}
    else:
        raise FileError(f"the type {short(str(kind))}", "FeatureCollection, Feature or a geometry", file=file)


def _take(found: _Found, feature: Mapping[str, Any], number: int, file: str) -> None:
    geometry = feature.get("geometry")
    if geometry is None:
        found.passed["no geometry"] = found.passed.get("no geometry", 0) + 1
        return
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    properties = feature.get("properties")
    given = {str(k).lower(): v for k, v in properties.items()} if isinstance(properties, dict) else {}
    if kind not in ("Point", "MultiPoint"):
        name = str(kind)[:30]
        found.passed[name] = found.passed.get(name, 0) + 1
        return
    places = geometry.get("coordinates")
    places = [places] if kind == "Point" else places
    if not isinstance(places, list):
        raise FileError(f"feature {number} without coordinates", "a list of numbers", file=file)
    height = next((given[key] for key in HEIGHTS if key in given and given[key] is not None), None)
    label = feature.get("id") if "id" in feature else next((given[key] for key in NAMES if key in given), "")
    code = next((given[key] for key in CODES if key in given), "")
    for place in places:
        if not isinstance(place, list) or len(place) < 2:
            raise FileError(f"feature {number} at {short(str(place))}", "a list of two or three numbers", file=file)
        values = [*place[:2], place[2] if len(place) > 2 else height]
        if values[2] is None:
            raise FileError(
                f"feature {number} without a height", "a third coordinate, or a property 'elevation'", file=file
            )
        if not all(_is_number(value) for value in values):
            raise FileError(f"feature {number} at {short(str(values))}", "finite numbers", file=file)
        found.rows.append((float(values[0]), float(values[1]), float(values[2])))
        found.names.append("" if label is None else str(label)[:60])
        found.codes.append("" if code is None else str(code)[:60])
    if len(found.rows) > MOST_POINTS:
        raise FileError(f"more than {MOST_POINTS:,} points", "fewer", "thin the points before", file)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9 and math.isfinite(value)


def _laid_flat(rows: Any, level_metres: float, file: str) -> tuple[Any, Origin]:
    if np.any(np.abs(rows[:, 0]) > 180.0) or np.any(np.abs(rows[:, 1]) > 90.0):
        raise FileError(
            "coordinates that are no longitude and latitude", "the unit of local coordinates",
            "say the unit, such as m, and two known places", file,
        )  # fmt: skip
    levels = rows[:, 2] * level_metres
    origin = Origin(
        longitude=float(np.median(rows[:, 0])), latitude=float(np.median(rows[:, 1])), height=float(np.median(levels))
    )
    east, north = tangent_plane(rows[:, 0], rows[:, 1], origin)
    width = max(float(np.ptp(east)), float(np.ptp(north)))
    if width > WIDEST or float(np.abs(rows[:, 0] - origin.longitude).max()) > 90.0:
        raise FileError(
            f"points {width / 1000:,.0f} km apart, read as longitude and latitude", "a lot and its surroundings",
            "where the coordinates are local say their unit, such as m", file,
        )  # fmt: skip
    return np.stack([east, north, levels], axis=1), origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """One thing to be written. Places are (east, north) or (east, north, level); ``kind`` as the standard calls it."""

    kind: str  # "Point", "LineString", "MultiLineString", "Polygon", "MultiPolygon"
    layer: str  # what it is: "shot", "contour", "low spot"
    coordinates: Any  # nested as the kind asks
    properties: Mapping[str, Any] = field(default_factory=dict)


def features_text(features: Sequence[Feature], title: str) -> str:
    """Write features as GeoJSON in local metres.

    Parameters
    ----------
    features : sequence of Feature
        What to write. [m]
    title : str
        Name of the collection.

    Returns
    -------
    str
        A FeatureCollection, one feature a line. RFC 7946 means longitude and latitude (sec. 4) unless both sides
        have agreed otherwise: the member ``frame`` says that these are local east, north and level in metres.
    """
    rows = [
        json.dumps(
            {
                "type": "Feature",
                "geometry": {"type": item.kind, "coordinates": _rounded(item.coordinates)},
                "properties": {"layer": item.layer, **item.properties},
            },
            ensure_ascii=False, allow_nan=False,
        )
        for item in features
    ]  # fmt: skip
    frame = {"unit": "m", "axes": "east, north, level", "note": "local metres, not longitude and latitude"}
    head = {"type": "FeatureCollection", "name": title, FRAME: frame}
    return json.dumps(head, ensure_ascii=False)[:-1] + ',\n"features": [\n' + ",\n".join(rows) + "\n]}\n"


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 5) + 0.0
    if isinstance(value, (list, tuple)):
        return [_rounded(item) for item in value]
    return _rounded(float(value))


def closed(ring: Sequence[Sequence[float]]) -> list[Sequence[float]]:
    """A ring with its first place again at its end, as the standard has it."""
    return [*ring, ring[0]]


__all__ = ["FRAME", "Feature", "closed", "features_text", "read_geojson"]
