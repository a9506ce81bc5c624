"""Pictures: what their headers say, and broken ones."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest

from drainwright.exchange.pictures import data_uri, from_data_uri, picture_size, read_picture
from drainwright.exchange.shots import FileError

rasterio = pytest.importorskip("rasterio")


def picture(path: Path, width: int = 40, height: int = 30) -> Path:
    bands = np.random.default_rng(0).integers(0, 255, (3, height, width), dtype=np.uint8)
    driver = "PNG" if path.suffix == ".png" else "JPEG"
    with (
        pytest.warns(rasterio.errors.NotGeoreferencedWarning),
        rasterio.open(path, "w", driver=driver, width=width, height=height, count=3, dtype="uint8") as out,
    ):
        out.write(bands)
    return path


@pytest.mark.parametrize("name", ["p.png", "p.jpg"])
def test_size_by_the_header(name: str, tmp_path: Path) -> None:
    found, data = read_picture(picture(tmp_path / name))
    assert (found.width, found.height) == (40, 30)
    assert found.kind == ("png" if name == "p.png" else "jpeg")
    again, same = from_data_uri(data_uri(found, data))
    assert (again, same) == (found, data)
    with pytest.raises(FileError, match="cut short"):
        picture_size(data[: len(data) // 2])


def exif(orientation: int) -> bytes:
    body = b"MM\x00*\x00\x00\x00\x08" + struct.pack(">HHHIHH", 1, 0x0112, 3, 1, orientation, 0)
    segment = b"Exif\x00\x00" + body
    return b"\xff\xe1" + struct.pack(">H", len(segment) + 2) + segment


def test_a_jpeg_that_is_shown_turned_is_refused(tmp_path: Path) -> None:
    data = picture(tmp_path / "p.jpg").read_bytes()
    assert picture_size(data[:2] + exif(1) + data[2:]).width == 40
    with pytest.raises(FileError, match="EXIF orientation"):
        picture_size(data[:2] + exif(6) + data[2:])


def test_broken_pictures(tmp_path: Path) -> None:
    header = struct.pack(">4sIIBBBBB", b"IHDR", 60_000, 60_000, 8, 2, 0, 0, 0)
    huge = b"\x89PNG\r\n\x1a\n\x00\x00\x00\r" + header + struct.pack(">I", zlib.crc32(header)) + b"\0\0\0\0IEND\0\0\0\0"
    cases = {
        "60,000 by 60,000 pixels": huge,
        "header is damaged": huge[:22] + b"\x01" + huge[23:],
        "neither PNG nor JPEG": b"GIF89a" + b"\x00" * 40,
        "without a frame header": b"\xff\xd8\xff\xe0\x00\x04ab\xff\xd9",
        "an empty file": b"",
        "1 MB": b"\x89PNG" + b"\x00" * 1_000_000,
    }
    for found, data in cases.items():
        path = tmp_path / "p.png"
        path.write_bytes(data)
        with pytest.raises(FileError, match=found):
            read_picture(path)
    for text in ("data:image/png;base64,!!", "data:image/png;base64,", "nothing", "data:image/png;base64,AAAA"):
        with pytest.raises(FileError):
            from_data_uri(text)
    jpeg, data = read_picture(picture(tmp_path / "p.jpg"))
    with pytest.raises(FileError, match="that is called png"):
        from_data_uri(data_uri(jpeg, data).replace("jpeg", "png"))
