"""Photographs for a paper: upright, small, and nothing left in them but the picture."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from drainwright.exchange.photos import LONGEST_SIDE, small_photo
from drainwright.exchange.shots import FileError


def camera(path: Path, turned: int = 1) -> Path:
    """What a phone writes: a wide picture, red on the left, with a place and which side is up."""
    picture = Image.new("RGB", (3000, 2000), "blue")
    picture.paste("red", (0, 0, 1500, 2000))
    exif = picture.getexif()
    exif[274] = turned  # Orientation
    exif[271] = "Camera of somebody"
    exif.get_ifd(34853)[1] = "N"  # GPS
    picture.save(path, "JPEG", exif=exif)
    return path


def test_a_camera_s_picture_is_small_upright_and_bare(tmp_path: Path) -> None:
    data = small_photo(camera(tmp_path / "a.jpg", turned=6))  # the camera was held upright: its right side is down
    made = Image.open(io.BytesIO(data))
    assert (made.format, made.height, len(made.getexif())) == ("JPEG", LONGEST_SIDE, 0)
    assert made.width == pytest.approx(LONGEST_SIDE * 2 / 3, abs=1)
    assert b"Camera of somebody" not in data
    top, bottom = made.getpixel((made.width // 2, 20)), made.getpixel((made.width // 2, made.height - 20))
    assert (top[0] > 200, bottom[2] > 200) == (True, True)  # red above, blue below


def test_what_is_seen_through_is_white(tmp_path: Path) -> None:
    Image.new("RGBA", (40, 30), (0, 0, 0, 0)).save(tmp_path / "a.png")
    made = Image.open(io.BytesIO(small_photo(tmp_path / "a.png")))
    assert made.size == (40, 30)
    assert min(made.getpixel((20, 15))) > 250


@pytest.mark.parametrize("data", [b"", b"no picture", b"\xff\xd8\xff\xe0 cut short", b"GIF89a" + bytes(40)])
def test_what_is_no_picture_is_refused_in_words(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "odd.heic"
    path.write_bytes(data)
    with pytest.raises(FileError, match=r"odd\.heic: found .*; expected a photograph: JPEG, PNG or WebP"):
        small_photo(path)


def test_a_file_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="gone"):
        small_photo(tmp_path / "gone.jpg")
