"""Photographs made small enough to stand in a paper."""

from __future__ import annotations

import io
from pathlib import Path

from drainwright.exchange.shots import FileError, regular_file

MOST_BYTES = 40_000_000
MOST_PIXELS = 60_000_000  # a phone's has 12 to 50 million
LONGEST_SIDE = 1100  # 3 in at 350 dots an inch [px]
KINDS = ("JPEG", "PNG", "WEBP")
_WANTED = "a photograph: JPEG, PNG or WebP"


def small_photo(path: str | Path) -> bytes:
    """A photograph upright, small, and with nothing in it but the picture.

    Parameters
    ----------
    path : str | Path
        JPEG, PNG or WebP, at most 40 MB and 60 million pixels.

    Returns
    -------
    bytes
        JPEG, its longer side at most 1100 pixels; without place, time or camera.

    Raises
    ------
    FileError
        If it is no such picture, is damaged or too large.
    """
    path = Path(path)
    try:
        regular_file(path, MOST_BYTES)
    except FileError as error:
        raise FileError(error.problem.found, _WANTED, file=path.name) from None
    return small_picture(path.read_bytes(), path.name)


def small_picture(data: bytes, name: str) -> bytes:
    """The same of a picture that is no file; ``name`` is what a fault calls it.

    Raises
    ------
    FileError
        If it is no such picture, is damaged or too large.
    """
    from PIL import Image, ImageOps

    try:
        found = Image.open(io.BytesIO(data), formats=KINDS)
        if found.width * found.height > MOST_PIXELS:
            size = f"{found.width:,} by {found.height:,} pixels"
            raise FileError(size, f"at most {MOST_PIXELS / 1e6:.0f} million", file=name)
        found.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        upright = ImageOps.exif_transpose(found)
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        bare = Image.new("RGB", upright.size, "white")
        seen = upright.convert("RGBA")
        bare.paste(seen, mask=seen.getchannel("A"))
    except FileError:
        raise
    except Exception as error:  # what a damaged picture brings up is the decoder's own affair
        raise FileError(f"no picture that can be read ({type(error).__name__})", _WANTED, file=name) from None
    written = io.BytesIO()
    bare.save(written, "JPEG", quality=82)
    return written.getvalue()


__all__ = ["LONGEST_SIDE", "small_photo", "small_picture"]
