"""Clouds of points, LAS and LAZ: the points on the ground."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np

from drainwright.errors import InputError
from drainwright.exchange.grids import unit_of_factor
from drainwright.exchange.ground_filter import ground_points
from drainwright.exchange.shots import (
    HIGHEST,
    LOWEST,
    METRES,
    MOST_KEPT,
    FileError,
    LengthUnit,
    Shots,
    regular_file,
)

MOST_BYTES = 1_000_000_000
MOST_POINTS = 60_000_000  # by the header, before anything is unpacked
MOST_RECORDS = 1000  # after the points
CHUNK = 500_000
GROUND = 2  # ASPRS LAS specification 1.4, table 17: ground
UNCLASSED = (0, 1)  # created, never classified; unclassified
NOISE = (7, 18)
MISSING = "pip install drainwright[clouds]"
_WANTED = "a LAS or LAZ cloud of points"
# GeoTIFF keys (OGC 19-008r4, sec. 7): model type, projected system, linear unit, vertical unit
_MODEL, _SYSTEM, _LINEAR, _VERTICAL = 1024, 3072, 3076, 4099
_UNIT_CODES: dict[int, LengthUnit] = {9001: "m", 9002: "ft", 9003: "US survey ft"}  # EPSG


def read_cloud(
    path: str | Path,
    unit: LengthUnit | None = None,
    level_unit: LengthUnit | None = None,
) -> Shots:
    """Read the ground of a cloud.

    Parameters
    ----------
    path : str | Path
        LAS, or LAZ.
    unit : {"m", "ft", "US survey ft"}, optional
        Of the plan; left out, the file's coordinate system must say it.
    level_unit : same, optional
        Of the heights; left out: as the file says, else as the plan, and the notes say so.

    Returns
    -------
    Shots
        The points classed as ground; where no point has any class, those that ``ground_points`` takes for ground.

    Raises
    ------
    FileError
        If the library is missing, the file is damaged, too large, in degrees, or without a unit, or has classes and
        none of them is ground.
    """
    path = Path(path)
    size = regular_file(path, MOST_BYTES)
    with path.open("rb") as stream:
        _check_start(stream.read(375), size, path.name)
    try:
        import laspy
    except ImportError:
        raise FileError("a cloud, and no library to read it", "the extra 'clouds'", MISSING, path.name) from None
    try:
        with laspy.open(path) as cloud:
            _check_header(cloud.header, size, path)
            units = _units(cloud.header, unit, level_unit, path.name)
            return _read(cloud, units, path.name)
    except FileError:
        raise
    except Exception as error:  # the libraries below raise what they like on damaged files, a RuntimeError among it
        words = " ".join(str(error).split())[:120]
        raise FileError(f"a cloud that cannot be read ({words})", _WANTED, "copy the file again", path.name) from None


def _check_start(start: bytes, size: int, file: str) -> None:
    """The public header block, whose counts are trusted by the library (LAS specification 1.4 R15, table 3)."""
    if not start.startswith(b"LASF"):
        raise FileError("content that is no LAS", _WANTED, file=file)
    head, points, records = (
        int.from_bytes(start[a:b], "little") for a, b in ((94, 96), (96, 100), (100, 104))
    )  # fmt: skip
    last = int.from_bytes(start[243:247], "little") if start[25:26] >= b"\x04" and head >= 375 else 0
    if len(start) < 227 or head < 227 or head + 54 * records > points or points > size or last > MOST_RECORDS:
        raise FileError("a header that is damaged", _WANTED, "copy the file again", file)


def _check_header(header: Any, size: int, path: Path) -> None:
    count = int(header.point_count)
    if count == 0:
        raise FileError("no points", _WANTED, file=path.name)
    if count > MOST_POINTS:
        raise FileError(
            f"{count:,} points", f"at most {MOST_POINTS:,}", "cut out the lot and its surroundings before", path.name
        )
    if not header.are_points_compressed and header.offset_to_point_data + count * header.point_format.size > size:
        raise FileError(
            f"{count:,} points by the header, in a file of {size:,} bytes", "a whole file", "copy it again", path.name
        )
    frame = np.concatenate([header.scales, header.offsets])
    if not np.all(np.isfinite(frame)) or not np.all(header.scales > 0.0):
        raise FileError("a scale or offset that is no number", "a whole file", file=path.name)


def _units(
    header: Any, unit: LengthUnit | None, level_unit: LengthUnit | None, file: str
) -> tuple[LengthUnit, LengthUnit, list[str]]:
    plan, height = _said(header, file)
    if unit is not None and plan is not None and unit != plan:
        raise FileError(f"{plan} as the unit in the file, and {unit} given", "one of them", file=file)
    if level_unit is not None and height is not None and level_unit != height:
        raise FileError(f"{height} as the unit of heights in the file, and {level_unit} given", "one", file=file)
    plan = plan or unit
    if plan is None:
        raise FileError("a cloud that does not say its unit", "a unit that is given: m, ft, or US survey ft", file=file)
    height = height or level_unit
    notes = [] if height else [f"The cloud does not say the unit of its heights: taken as its plan's, {plan}."]
    return plan, height or plan, notes


def _said(header: Any, file: str) -> tuple[LengthUnit | None, LengthUnit | None]:
    """The units that the file's coordinate system says: by its GeoTIFF keys, else by its text."""
    keys: dict[int, int] = {}
    text = ""
    for record in [*header.vlrs, *(header.evlrs or ())]:
        if record.user_id.strip("\x00") != "LASF_Projection":
            continue
        if record.record_id == 34735:
            table = np.frombuffer(record.record_data_bytes(), dtype="<u2")
            table = table[: len(table) // 4 * 4].reshape(-1, 4)[1:]
            keys = {int(key): int(value) for key, where, _, value in table.tolist() if where == 0}
        elif record.record_id == 2112:
            text = record.record_data_bytes().split(b"\x00")[0].decode("latin-1")
    if keys.get(_MODEL) == 2 or (not keys and text.startswith(("GEOGCS", "GEOGCRS"))):
        raise FileError(
            "a cloud in longitude and latitude", "a cloud in metres or feet",
            "project it to the place's own map grid before", file,
        )  # fmt: skip
    plan, height = (_UNIT_CODES.get(keys.get(key, 0)) for key in (_LINEAR, _VERTICAL))
    if text:
        plan = plan or _unit_in(text, ("PROJCS[", "PROJCRS["))
        height = height or _unit_in(text, ("VERT_CS[", "VERTCRS["))
    if plan is None and keys.get(_SYSTEM, 0) not in (0, 32767):
        plan = _unit_of_system(keys[_SYSTEM])
    return plan, height


def _unit_in(text: str, heads: tuple[str, ...]) -> LengthUnit | None:
    """The last length unit of that part of a well-known text."""
    start = max(text.find(head) for head in heads)
    if start < 0:
        return None
    part = text[start:]
    if heads[0].startswith("PROJ"):
        ends = [at for head in ("VERT_CS[", "VERTCRS[") if (at := part.find(head)) >= 0]
        part = part[: min(ends)] if ends else part
    factors = [float(found) for found in re.findall(r'(?:LENGTH)?UNIT\["[^"]*",\s*([0-9.eE+-]+)', part)]
    known = [unit for factor in factors if (unit := unit_of_factor(factor)) is not None]
    return known[-1] if known else None


def _unit_of_system(code: int) -> LengthUnit | None:
    """The unit of a coordinate system by its EPSG code, where the library of grids is there to tell."""
    try:
        from rasterio.crs import CRS
        from rasterio.errors import CRSError
    except ImportError:
        return None
    try:
        system = CRS.from_epsg(code)
        return unit_of_factor(float(system.linear_units_factor[1])) if system.is_projected else None
    except CRSError:
        return None


def _read(cloud: Any, units: tuple[LengthUnit, LengthUnit, list[str]], file: str) -> Shots:
    plan, height, notes = units
    parts: list[np.ndarray[tuple[int, int], np.dtype[np.float64]]] = []
    classes: dict[int, int] = {}
    kept = read = 0
    classed = False
    for points in cloud.chunk_iterator(CHUNK):
        kinds = np.asarray(points.classification).astype(np.int64)
        for kind, count in zip(*np.unique(kinds, return_counts=True), strict=True):
            classes[int(kind)] = classes.get(int(kind), 0) + int(count)
        read += len(kinds)
        if not classed and GROUND in classes:  # what came before the first ground point is none
            classed, parts, kept = True, [], 0
        use = kinds == GROUND if classed else np.isin(kinds, UNCLASSED)
        rows = np.stack([np.asarray(points.x), np.asarray(points.y), np.asarray(points.z)], axis=1)[use]
        rows = rows * (METRES[plan], METRES[plan], METRES[height])
        kept += len(rows)
        if kept > MOST_KEPT:
            raise FileError(
                f"more than {MOST_KEPT:,} ground points", "fewer", "cut out the lot and its surroundings before", file
            )
        parts.append(rows)
    if read != cloud.header.point_count:
        raise FileError(f"{read:,} points of {cloud.header.point_count:,}", "a whole file", "copy it again", file)
    if not classed and set(classes) - set(UNCLASSED) - set(NOISE):
        there = ", ".join(str(kind) for kind in sorted(classes))
        raise FileError(
            f"points of the classes {there}, none of them ground (2)", "ground points, or points without classes",
            "class the ground before", file,
        )  # fmt: skip
    rows = np.concatenate(parts) if parts else np.empty((0, 3))
    if not len(rows):
        raise FileError("no ground points", _WANTED, file=file)
    if np.any((rows[:, 2] < LOWEST) | (rows[:, 2] > HIGHEST)):
        raise FileError("heights that no ground has", "heights of ground", "check the unit of heights", file)
    dropped = {"not ground": read - kept}
    if not classed:
        try:
            ground = ground_points(rows[:, 0], rows[:, 1], rows[:, 2])
        except InputError as error:
            raise FileError(str(error), "a smaller piece", "cut out the lot before", file) from None
        dropped["not ground"] += int((~ground).sum())
        rows = rows[ground]
        notes = [
            *notes, "The points have no classes: the ground was told from what stands on it by a filter "
            "(progressive morphological, Zhang and others 2003). Hedges, cars and steep banks may mislead it.",
        ]  # fmt: skip
    return Shots(
        source=file, east=rows[:, 0], north=rows[:, 1], level=rows[:, 2], unit=plan, level_unit=height,
        notes=tuple(notes), dropped={reason: count for reason, count in dropped.items() if count},
    )  # fmt: skip


__all__ = ["read_cloud"]
