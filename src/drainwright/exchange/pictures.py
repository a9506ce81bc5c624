"""Pictures by their header: PNG or JPEG, and how many pixels. No picture is decoded."""

from __future__ import annotations

import base64
import binascii
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from drainwright.exchange.shots import FileError, regular_file

MOST_BYTES = 1_000_000
MOST_PIXELS = 25_000_000  # width times height; unpacked, four bytes each
_WANTED = "a picture, PNG or JPEG"


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What a picture's header says."""

    kind: Literal["png", "jpeg"]
    width: int  # [pixels]
    height: int  # [pixels]


def read_picture(path: str | Path) -> tuple[Picture, bytes]:
    """A picture's size, and its content as it stands.

    Raises
    ------
    FileError
        If it is no PNG or JPEG, is cut short, is larger than 1 MB, or has too many pixels.
    """
    path = Path(path)
    try:
        regular_file(path, MOST_BYTES)
        data = path.read_bytes()
    except FileError as error:
        problem = error.problem
        hint = "save it smaller, as a JPEG" if "MB" in problem.found else ""
        raise FileError(problem.found, problem.expected if hint else _WANTED, hint, path.name) from None
    return picture_size(data, path.name), data


def picture_size(data: bytes, file: str = "picture") -> Picture:
    """Read a picture's header; see ``read_picture``."""
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        picture = _png(data, file)
    elif data.startswith(b"\xff\xd8\xff"):
        picture = _jpeg(data, file)
    else:
        raise FileError("content that is neither PNG nor JPEG", _WANTED, file=file)
    if not (picture.width and picture.height) or picture.width * picture.height > MOST_PIXELS:
        raise FileError(
            f"{picture.width:,} by {picture.height:,} pixels", f"at most {MOST_PIXELS / 1e6:.0f} million", file=file
        )
    return picture


def _png(data: bytes, file: str) -> Picture:
    """The header chunk comes first, the end chunk last (PNG specification, 3rd ed., sec. 5.6 and 11.2)."""
    if len(data) < 33 or data[12:16] != b"IHDR" or b"IEND" not in data[-16:]:
        raise FileError("a PNG that is cut short", _WANTED, "copy the file again", file)
    if binascii.crc32(data[12:29]) != int.from_bytes(data[29:33], "big"):
        raise FileError("a PNG whose header is damaged", _WANTED, "copy the file again", file)
    width, height = (int.from_bytes(data[start : start + 4], "big") for start in (16, 20))
    return Picture(kind="png", width=width, height=height)


def _jpeg(data: bytes, file: str) -> Picture:
    """The frame header (ITU-T T.81, annex B.2.2) among the segments before the scan; the end marker at the end."""
    if b"\xff\xd9" not in data[-64:]:
        raise FileError("a JPEG that is cut short", _WANTED, "copy the file again", file)
    at, turned = 2, False
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:
            at += 1
            continue
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            if turned:
                raise FileError(
                    "a JPEG that is to be turned when it is shown (its EXIF orientation)", "an upright picture",
                    "turn it, save it, and read the pixels of the known places in that", file,
                )  # fmt: skip
            height, width = (int.from_bytes(data[start : start + 2], "big") for start in (at + 5, at + 7))
            return Picture(kind="jpeg", width=width, height=height)
        if marker in (0xD9, 0xDA):
            break
        if marker == 0xE1:
            turned = turned or _orientation(data[at + 4 : at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")]) != 1
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    raise FileError("a JPEG without a frame header", _WANTED, "copy the file again", file)


def _orientation(segment: bytes) -> int:
    """The EXIF orientation (tag 0x0112; TIFF 6.0 directory), 1 where none is said."""
    if not segment.startswith(b"Exif\x00\x00") or len(segment) < 14:
        return 1
    body = segment[6:]
    order: Literal["little", "big"] = "little" if body[:2] == b"II" else "big"
    start = int.from_bytes(body[4:8], order)
    for entry in range(start + 2, start + 2 + 12 * int.from_bytes(body[start : start + 2], order), 12):
        if int.from_bytes(body[entry : entry + 2], order) == 0x0112:
            return int.from_bytes(body[entry + 8 : entry + 10], order) or 1
    return 1


def data_uri(picture: Picture, data: bytes) -> str:
    """The picture as text that a document can carry (RFC 2397)."""
    return f"data:image/{picture.kind};base64,{base64.b64encode(data).decode('ascii')}"


def from_data_uri(text: str) -> tuple[Picture, bytes]:
    """The picture that such a text carries.

    Raises
    ------
    FileError
        If the text is damaged, or holds no picture of the kind that it names.
    """
    head, comma, body = text.partition(",")
    try:
        data = base64.b64decode(body, validate=True)
    except (binascii.Error, ValueError):
        data = b""
    if not comma or not data:
        raise FileError("a picture's text that is damaged", "data:image/png;base64,... or jpeg")
    if len(data) > MOST_BYTES:
        raise FileError(f"a picture of {len(data) / 1e6:.1f} MB", f"at most {MOST_BYTES / 1e6:.0f} MB")
    picture = picture_size(data)
    if f"image/{picture.kind};" not in head:
        raise FileError(f"a {picture.kind.upper()} that is called {head.partition('/')[2][:4]}", "its own kind")
    return picture, data


__all__ = ["MOST_BYTES", "Picture", "data_uri", "from_data_uri", "picture_size", "read_picture"]
