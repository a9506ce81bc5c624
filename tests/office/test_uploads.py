"""Files that are sent in: known by what is in them; pictures made anew with nothing left of what the camera wrote."""

from __future__ import annotations

import datetime
import io
import re
import struct
import zlib

import pytest
from PIL import Image

from drainwright.errors import InputError
from drainwright.office.api.attachments import own_name
from drainwright.office.uploads import MOST_PIXELS, OtherKindError, TooLargeError, Upload, checked_upload


def picture(kind: str = "JPEG", size: tuple[int, int] = (40, 20), **more: object) -> bytes:
    made = Image.new("RGB", size, (200, 30, 30))
    made.paste((20, 20, 220), (0, 0, size[0] // 2, size[1]))  # blue on the left
    stream = io.BytesIO()
    made.save(stream, kind, **more)
    return stream.getvalue()


def photo(orientation: int = 6) -> bytes:
    exif = Image.Exif()
    exif[274] = orientation
    exif[271] = "a maker"
    exif.get_ifd(34665)[36867] = "2026:05:04 14:03:00"
    exif.get_ifd(34853).update({1: "S", 2: (52.0, 30.0, 36.0), 3: "W", 4: (13.0, 0.0, 0.0)})
    return picture(exif=exif, comment=b"<script>alert(1)</script>")


def test_a_photo_is_turned_upright_and_nothing_else_is_left_of_it() -> None:
    found = checked_upload(photo())
    assert (found.media_type, found.taken, found.place) == ("image/jpeg", None, None)
    again = Image.open(io.BytesIO(found.data))
    assert again.size == (20, 40)
    assert again.getpixel((10, 2))[2] > 150  # what was left is above after a quarter turn
    assert dict(again.getexif()) == {}
    for word in (b"script", b"a maker", b"2026", b"Exif"):
        assert word not in found.data


def test_time_and_place_are_kept_only_if_asked() -> None:
    found = checked_upload(photo(), keep_time=True, keep_place=True)
    assert found.taken == datetime.datetime(2026, 5, 4, 14, 3)
    assert found.place == pytest.approx((-52.51, -13.0))
    assert b"2026" not in found.data
    assert checked_upload(picture(), keep_time=True, keep_place=True).place is None


@pytest.mark.parametrize(("kind", "media_type"), [("PNG", "image/png"), ("WEBP", "image/jpeg"), ("JPEG", "image/jpeg")])
def test_pictures_of_each_kind_are_made_anew(kind: str, media_type: str) -> None:
    found = checked_upload(picture(kind))
    assert found.media_type == media_type
    assert Image.open(io.BytesIO(found.data)).size == (40, 20)


def test_what_hides_behind_a_picture_is_gone() -> None:
    for kind in ("PNG", "JPEG"):
        found = checked_upload(picture(kind) + b"PK\x03\x04 <script>alert(1)</script>")
        assert b"script" not in found.data
        assert b"PK\x03\x04" not in found.data


def bomb(side: int) -> bytes:
    """A PNG of a few kilobytes that says it has very many pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("side", [8000, 30_000, 2**31 - 1])
def test_a_picture_that_would_fill_the_memory_is_not_opened(side: int) -> None:
    assert side**2 > MOST_PIXELS
    with pytest.raises(TooLargeError, match="pixels"):
        checked_upload(bomb(side))


@pytest.mark.parametrize(
    "data",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"  \n<?xml version='1.0'?><svg onload='alert(1)'/>", b"<!DOCTYPE html><script>1</script>",
        b"PK\x03\x04" + bytes(40), b"MZ\x90\x00" + bytes(40), b"\x7fELF" + bytes(40), b"GIF89a" + bytes(40),
        b"\xff\xfe<\x00s\x00", b"bell\x07",
    ],
)  # fmt: skip
def test_other_kinds_are_refused(data: bytes) -> None:
    with pytest.raises(OtherKindError):
        checked_upload(data)


@pytest.mark.parametrize(
    "data", [b"", b"%PDF-1.7 begun and never ended", picture()[:200], picture("PNG")[:60], b"\xff\xd8\xff", bomb(7000)]
)
def test_damaged_files_are_refused(data: bytes) -> None:
    with pytest.raises(InputError) as told:
        checked_upload(data)
    assert not re.search(r"[A-Z][a-z]+Error|\(", str(told.value)), "a fault of the decoder's own is no word for people"


@pytest.mark.parametrize(
    ("kind", "words"),
    [("GIF", "a GIF picture"), ("BMP", "a BMP picture"), ("TIFF", "a TIFF picture"), ("HEIC", "a HEIC")],
)
def test_a_picture_of_another_kind_is_told_by_its_name_and_what_is_taken(kind: str, words: str) -> None:
    data = bytes(3) + b"\x18ftypheic" + b"\xff" * 40 if kind == "HEIC" else picture(kind)
    with pytest.raises(OtherKindError) as told:
        checked_upload(data)
    assert words in str(told.value)
    assert "JPEG, PNG, WebP, PDF or a text" in str(told.value)


def test_too_many_bytes_are_refused() -> None:
    with pytest.raises(TooLargeError):
        checked_upload(b"a" * 20_000_001)


def test_papers_and_texts_stay_as_they_are() -> None:
    for data, kind in ((b"%PDF-1.7\nx\n%%EOF\n", "application/pdf"), (b"a,b\n1,2\n", "text/plain; charset=utf-8")):
        found = checked_upload(data)
        assert (found.data, found.media_type) == (data, kind)


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("a.svg", "a.jpg"), ("../../etc/passwd", "etc/passwd.jpg"), ("/etc/x.png", "etc/x.jpg"), ("..", "file.jpg"),
        ("a\\..\\b.JPG", "a/b.jpg"), ("south wall", "south wall.jpg"), ("page.html", "page.jpg"), ("...", "....jpg"),
    ],
)  # fmt: skip
def test_names_lead_nowhere(name: str, kept: str) -> None:
    assert own_name(name, Upload(data=b"x", media_type="image/jpeg", ending=".jpg")) == kept
