"""The readers: each takes bytes as they came, and starts from files that are right."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from fuzzing.told import carried

ROOT = Path(__file__).resolve().parents[1]
SMALL = ROOT / "tests" / "job" / "small.yaml"
HOUSE = ROOT / "examples" / "block-wall-house"


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A reader."""

    read: Callable[[bytes], object]
    seeds: Callable[[], tuple[bytes, ...]]
    longest: int = 4096  # bytes that are tried at most


def text_of(data: bytes) -> str:
    """What an editor might have saved."""
    return data.decode("utf-8", "replace")


@cache
def folder() -> Path:
    """Where files of readers that take a path lie for a moment: in memory where there is such a place."""
    memory = Path("/dev/shm")
    return Path(tempfile.mkdtemp(prefix="drainwright-fuzz-", dir=memory if memory.is_dir() else None))


def by_path(read: Callable[[Path], object], name: str) -> Callable[[bytes], object]:
    """A reader of a path as one of bytes."""

    def of_bytes(data: bytes) -> object:
        path = folder() / name
        path.write_bytes(data)
        return read(path)

    return of_bytes


# -- documents ----------------------------------------------------------------------------------------------------


def job(data: bytes) -> object:
    from drainwright.job.loading import decode
    from drainwright.job.reading import read_text

    return read_text(decode(data, "job.yaml"), "job.yaml")


def job_json(data: bytes) -> object:
    from drainwright.job.reading import read_text

    return read_text(text_of(data), "job.json")


def book(data: bytes) -> object:
    from drainwright.job.book_file import read_book_text

    return read_book_text(text_of(data))


def prices(data: bytes) -> object:
    from drainwright.job.book_csv import price_edits
    from drainwright.job.book_file import read_book_text

    return price_edits(read_book_text((HOUSE / "book" / "prices.yaml").read_text("utf-8")), text_of(data))


def firm(data: bytes) -> object:
    from drainwright.job.firm_file import read_firm_text

    return read_firm_text(text_of(data))


def actuals(data: bytes) -> object:
    from drainwright.job.actuals import read_actuals_text

    return read_actuals_text(text_of(data))


def proof(data: bytes) -> object:
    from drainwright.job.proof import read_proof_text

    return read_proof_text(text_of(data))


def service(data: bytes) -> object:
    from drainwright.job.service import read_service_text

    return read_service_text(text_of(data))


def season(data: bytes) -> object:
    from drainwright.job.season import read_season_text

    return read_season_text(text_of(data))


def study(data: bytes) -> object:
    from drainwright.studies.reading import read_study

    return by_path(read_study, "study.yaml")(data)


# -- the survey ---------------------------------------------------------------------------------------------------


@cache
def _small() -> Mapping[str, Any]:
    from drainwright.job.loading import load

    record: Mapping[str, Any] = load(SMALL.read_text("utf-8"), "small.yaml").record
    return record


def level_book(data: bytes) -> object:
    """Rows of point, sight and reading, as typed with commas; the survey is reduced where the rows can be read."""
    rows = []
    for line in text_of(data).splitlines()[:200]:
        point, sight, reading, *rest = [*line.split(","), *[""] * 5][:5]
        row = {"point": point.strip(), sight.strip() or "intermediate": reading.strip()}
        if rest[0].strip():
            row["backsight"] = rest[0].strip()
        if rest[1].strip():
            row["distance"] = rest[1].strip()
        rows.append(row)
    return _surveyed({"level_book": rows})


def walk(data: bytes) -> object:
    """Sides walked round the house: to, length and turn."""
    legs = []
    for line in text_of(data).splitlines()[:100]:
        to, length, turn = [*line.split(","), *[""] * 3][:3]
        legs.append({"to": to.strip(), "length": length.strip(), **({"turn": turn.strip()} if turn.strip() else {})})
    begin = {"start": "A", "at": "0 ft, 0 ft", "bearing": "90 deg", "legs": legs}
    points = [point for point in _small()["survey"]["points"] if point["name"] not in ("A", "B", "C", "D")]
    book = [{"point": "BM", "backsight": "4 ft"}, *({"point": name, "intermediate": "4 ft"} for name in "ABCDPQ")]
    mark = {"name": "BM", "elevation": "100 ft"}
    return _surveyed({"perimeter": begin, "points": points, "level_book": book, "benchmark": mark})


def _surveyed(part: Mapping[str, Any]) -> object:
    from drainwright.field import survey
    from drainwright.job.reading import read_record

    record = {**_small(), "survey": {**_small()["survey"], **part}}
    return survey(read_record(record, "small.yaml").job)


# -- tables and ground -----------------------------------------------------------------------------------------------


def pumps(data: bytes) -> object:
    from drainwright.job.pump_file import read_pumps

    return read_pumps(text_of(data))


def pipes(data: bytes) -> object:
    from drainwright.job.pipe_file import read_pipes

    return read_pipes(text_of(data))


def rain_table(data: bytes) -> object:
    from drainwright.job.rain_file import read_rain_table

    return read_rain_table(text_of(data))


def rain_record(data: bytes) -> object:
    from drainwright.exchange.rain_record import read_rain_record

    return by_path(read_rain_record, "rain.csv")(data)


def well_record(data: bytes) -> object:
    from drainwright.exchange.well_record import read_well_record

    return by_path(read_well_record, "well.csv")(data)


def points(data: bytes) -> object:
    from drainwright.exchange.points_csv import read_points

    return by_path(read_points, "points.csv")(data)


def geojson(data: bytes) -> object:
    from drainwright.exchange.geojson import read_geojson

    return by_path(read_geojson, "points.geojson")(data)


def grid(data: bytes) -> object:
    from drainwright.exchange.grids import read_grid

    return by_path(lambda path: read_grid(path, "m", "m"), "grid.asc")(data)


def cloud(data: bytes) -> object:
    from drainwright.exchange.clouds import read_cloud

    return by_path(lambda path: read_cloud(path, "m", "m"), "cloud.las")(data)


# -- values and pictures ---------------------------------------------------------------------------------------------


def quantity(data: bytes) -> object:
    from drainwright.quantities import parse

    words, _, dimension = text_of(data).partition("|")
    return parse(words, dimension if dimension in ("length", "area", "flow", "angle", "volume", "speed") else "length")


def picture(data: bytes) -> object:
    from drainwright.exchange.pictures import picture_size

    return picture_size(data)


def logo(data: bytes) -> object:
    from drainwright.exchange.logos import clean_svg

    return clean_svg(data)


def refused_or_read(target: Target) -> Callable[[bytes], bool]:
    """The reader with what it may answer."""
    return lambda data: carried(lambda: target.read(data))


__all__ = ["HOUSE", "ROOT", "SMALL", "Target", "by_path", "folder", "refused_or_read", "text_of"]
