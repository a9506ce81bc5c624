"""Each target by its name, with the right files that it starts from."""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

from fuzzing import targets as of
from fuzzing.targets import HOUSE, ROOT, SMALL, Target


def files(*paths: Path) -> Callable[[], tuple[bytes, ...]]:
    return lambda: tuple(path.read_bytes() for path in paths)


def texts(*written: str) -> Callable[[], tuple[bytes, ...]]:
    return lambda: tuple(text.encode() for text in written)


def _after(marks: str) -> Callable[[], tuple[bytes, ...]]:
    """The records that docs/after.md shows: those that hold a word."""
    shown = re.findall(r"```yaml\n(.*?)```", (ROOT / "docs" / "after.md").read_text("utf-8"), re.DOTALL)
    return texts(*(one for one in shown if marks in one))


def _small_json() -> tuple[bytes, ...]:
    import json

    from drainwright.job.loading import load

    return (json.dumps(load(SMALL.read_text("utf-8"), "small.yaml").record).encode(),)


def _png() -> bytes:
    """A picture of one grey dot."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\x80")) + chunk(b"IEND", b"")


def _cloud() -> tuple[bytes, ...]:
    """Three returns from the ground."""
    import io

    import laspy
    import numpy as np

    cloud = laspy.create(point_format=1, file_version="1.2")
    cloud.x, cloud.y, cloud.z = np.array([0.0, 1.0, 2.0]), np.array([0.0, 2.0, 1.0]), np.array([10.0, 10.1, 10.2])
    cloud.classification = np.full(3, 2, np.uint8)
    written = io.BytesIO()
    cloud.write(written)
    return (written.getvalue(),)


def _study() -> tuple[bytes, ...]:
    """Over the small job, which then lies beside it."""
    (of.folder() / "small.yaml").write_bytes(SMALL.read_bytes())
    written = (ROOT / "examples" / "leaves-study.yaml").read_bytes()
    return (written.replace(b"metric-basement/job.yaml", b"small.yaml").replace(b"100 yr", b"10 yr"),)


RAIN = """Point precipitation frequency estimates (inches)
Data type: Precipitation depth
PRECIPITATION FREQUENCY ESTIMATES
by duration for ARI (years):, 1,2,5,10,25
5-min:, 0.30,0.36,0.45,0.53,0.63
60-min:, 0.98,1.18,1.50,1.78,2.17
24-hr:, 2.20,2.64,3.33,3.96,4.95
"""
POINTS = "P (no),N (ft),E (ft),Z (ft),D\n1,10.5,20.25,99.80,GND\n2,12.0,24.00,99.65,EP\n3,15.0,29.00,99.40,\n"
METRES = "# unit: m\n1;10,5;20,25;99,80;GND\n2;11,5;20,25;99,80;GND\n"
PRICES = "key,price,dated,unit\nstone.57,58.00,2026-03-02,yd3\n"
WELL = "date,level (ft)\n2020-01-01,1.50\n2020-01-02,\n"
SHAPES = """{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point",
"coordinates":[-73.5,41.2,30.5]},"properties":{"name":"1"}},{"type":"Feature","geometry":{"type":"LineString",
"coordinates":[[-73.5,41.2,30.5],[-73.501,41.2,30.4]]},"properties":{}}]}"""
GRID = "ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\nNODATA_value -9999\n1 2 3\n4 -9999 6\n"
LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><path d="M0 0L40 20" fill="#123456"/></svg>'
PUMPS = "name, flow (gpm), head (ft), power (hp), port\nAlpha, 0, 24, 0.5, 2 in\nAlpha, 20, 18\nAlpha, 40, 5.5\n"
PIPES = "pipe, lengths (ft), hole (in)\nD2729 4 in, 10 14, 4-5/8\n"
LEVELS = "A,backsight,4 ft 2 in\nP,intermediate,5.25 ft\nQ,foresight,4.10 ft,3.9 ft,60 ft\nA,foresight,4.0 ft,,20 m\n"
WALK = "B,40 ft,-90 deg\nC,30 ft,-90 deg\nD,40 ft,-90°\nA,9.144 m,-90 deg\n"
SIZES = "12 ft 3-1/2 in|length\n0.5 gpm|flow\n90 deg|angle\n3 ft²|area"
RAINS = "time,precip_in\n2020-01-01T00:00,0.01\n2020-01-01T01:00,\n2020-01-01T02:00,0.20\n"

SEASON = "schema_version: 1\njob: D-0117\nbasin: SUMP\ndays:\n" + "".join(
    f"  - [2027-03-{day:02d}, {day % 3 / 10} in, {day}]\n" for day in range(1, 25)
)

TARGETS: dict[str, Target] = {
    "job": Target(read=of.job, seeds=files(SMALL, ROOT / "tests/job/formats/format_0.yaml"), longest=8192),
    "job-json": Target(read=of.job_json, seeds=_small_json, longest=8192),
    "level-book": Target(read=of.level_book, seeds=texts(LEVELS), longest=1024),
    "walk": Target(read=of.walk, seeds=texts(WALK), longest=1024),
    "quantity": Target(read=of.quantity, seeds=texts(*SIZES.split("\n")), longest=64),
    "book": Target(read=of.book, seeds=files(HOUSE / "book" / "prices.yaml"), longest=8192),
    "prices": Target(read=of.prices, seeds=texts(PRICES), longest=1024),
    "firm": Target(read=of.firm, seeds=files(HOUSE / "firm" / "firm.yaml")),
    "actuals": Target(read=of.actuals, seeds=files(HOUSE / "book" / "actuals.yaml")),
    "proof": Target(read=of.proof, seeds=_after("stretches:")),
    "service": Target(read=of.service, seeds=_after("visits:")),
    "season": Target(read=of.season, seeds=texts(SEASON)),
    "study": Target(read=of.study, seeds=_study),
    "pumps": Target(read=of.pumps, seeds=texts(PUMPS), longest=1024),
    "pipes": Target(read=of.pipes, seeds=texts(PIPES), longest=1024),
    "rain-table": Target(read=of.rain_table, seeds=texts(RAIN), longest=2048),
    "rain-record": Target(read=of.rain_record, seeds=texts(RAINS), longest=2048),
    "well-record": Target(read=of.well_record, seeds=texts(WELL), longest=1024),
    "points": Target(read=of.points, seeds=texts(POINTS, METRES), longest=1024),
    "geojson": Target(read=of.geojson, seeds=texts(SHAPES), longest=2048),
    "grid": Target(read=of.grid, seeds=texts(GRID), longest=1024),
    "cloud": Target(read=of.cloud, seeds=_cloud),
    "picture": Target(read=of.picture, seeds=lambda: (_png(),), longest=1024),
    "logo": Target(read=of.logo, seeds=texts(LOGO), longest=2048),
}  # fmt: skip

__all__ = ["TARGETS"]
