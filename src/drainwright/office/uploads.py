"""Files that are sent in: known by what is in them, pictures made anew, and refused where they are none of these."""

from __future__ import annotations

import datetime
import io
import re
from dataclasses import dataclass
from typing import Any

from drainwright.errors import InputError
from drainwright.office.store.files import MOST_BYTES

MOST_PIXELS = 60_000_000  # in a picture; a phone's has 12 to 50 million
LONGEST_SIDE = 4096  # a picture is made no larger [px]
PICTURES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}  # a phone's MPO opens as a JPEG
WANTED = "expected JPEG, PNG, WebP, PDF or a text"
_NAMED = (  # kinds of pictures that are not taken, by how they begin
    (re.compile(rb"GIF8[79]a"), "a GIF picture"),
    (re.compile(rb"BM"), "a BMP picture"),
    (re.compile(rb"II\*\0|MM\0\*"), "a TIFF picture"),
    (re.compile(rb"....ftyp(?:hei[cfmsx]|hev[cmsx]|mif1|msf1)", re.DOTALL), "a HEIC picture"),
    (re.compile(rb"....ftypavi[fs]", re.DOTALL), "an AVIF picture"),
)
_TAKEN, _PLACE, _DETAILS = 36867, 34853, 34665  # EXIF: DateTimeOriginal; the blocks GPS and Exif


class TooLargeError(InputError):
    """A file with more in it than is taken."""


class OtherKindError(InputError):
    """A file of a kind that is not taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """A file that may be kept."""

    data: bytes
    media_type: str
    ending: str  # of its name: ".jpg"
    taken: datetime.datetime | None = None  # by the camera's clock, which has no zone
    place: tuple[float, float] | None = None  # WGS 84 latitude and longitude [degrees]

    @property
    def is_picture(self) -> bool:
        """Whether it can be shown in a page."""
        return self.media_type.startswith("image/")


def checked_upload(data: bytes, *, keep_time: bool = False, keep_place: bool = False) -> Upload:
    """A file as it may be kept.

    Parameters
    ----------
    data : bytes
        As it came; neither its name nor what the browser calls it counts.
    keep_time, keep_place : bool
        Whether the person wants it told when and where a picture was taken; that is then all that is left of what
        the camera wrote.

    Returns
    -------
    Upload
        A picture turned upright and encoded anew, with nothing in it but the picture; a PDF, or a text, as it came.

    Raises
    ------
    TooLargeError
        If it is larger than the store keeps, or a picture of too many pixels.
    OtherKindError
        If it is no picture (JPEG, PNG, WebP), PDF or plain text in UTF-8.
    InputError
        If it is damaged.
    """
    if not data:
        raise InputError("file: found nothing in it; expected a picture, a PDF or a text")
    if len(data) > MOST_BYTES:
        raise TooLargeError(f"file: found {len(data):,} bytes; expected at most {MOST_BYTES:,}")
    if data.startswith(b"%PDF-"):
        if b"%%EOF" not in data[-2048:]:
            raise InputError("file: found a PDF without its end; expected a whole one")
        return Upload(data=data, media_type="application/pdf", ending=".pdf")
    if data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP"):
        return _picture(data, keep_time, keep_place)
    return _text(data)


def _picture(data: bytes, keep_time: bool, keep_place: bool) -> Upload:
    from PIL import Image, ImageOps

    try:
        found = Image.open(io.BytesIO(data), formats=tuple(PICTURES))
        wide, high = found.size
        if wide * high > MOST_PIXELS:
            raise TooLargeError(f"picture: found {wide:,} by {high:,} pixels; expected at most {MOST_PIXELS:,} in all")
        kind = "PNG" if found.format == "PNG" else "JPEG"
        exif = found.getexif()
        if kind == "JPEG":
            found.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        upright = ImageOps.exif_transpose(found)
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        bare = _bare(upright, kind)
    except InputError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise TooLargeError(f"picture: found very many pixels; expected at most {MOST_PIXELS:,} in all") from None
    except Exception:  # what a damaged picture brings up is the decoder's own affair
        raise InputError("picture: found a damaged one; expected a whole JPEG, PNG or WebP") from None
    stream = io.BytesIO()
    more: dict[str, Any] = {"optimize": True} if kind == "PNG" else {"quality": 88}
    bare.save(stream, kind, **more)
    made = stream.getvalue()
    if len(made) > MOST_BYTES:
        raise TooLargeError(f"picture: found {len(made):,} bytes once encoded anew; expected at most {MOST_BYTES:,}")
    return Upload(
        data=made, media_type=PICTURES[kind], ending=".png" if kind == "PNG" else ".jpg",
        taken=_taken(exif) if keep_time else None, place=_place(exif) if keep_place else None,
    )  # fmt: skip


def _bare(picture: Any, kind: str) -> Any:
    """The pixels alone: no EXIF, no comment, no profile, no further frames."""
    from PIL import Image

    clear = picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info
    mode = "RGBA" if kind == "PNG" and clear else "RGB"
    bare = Image.new(mode, picture.size)
    if clear and mode == "RGB":
        seen = picture.convert("RGBA")
        bare.paste((255, 255, 255), (0, 0, *picture.size))
        bare.paste(seen, mask=seen.getchannel("A"))
    else:
        bare.paste(picture.convert(mode))
    return bare


def _taken(exif: Any) -> datetime.datetime | None:
    told = exif.get_ifd(_DETAILS).get(_TAKEN)
    try:
        return datetime.datetime.strptime(str(told), "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def _place(exif: Any) -> tuple[float, float] | None:
    told = exif.get_ifd(_PLACE)
    try:
        found = [
            (-1 if str(told[sign]) in against else 1) * sum(float(part) / 60**n for n, part in enumerate(told[key]))
            for sign, key, against in ((1, 2, "S"), (3, 4, "W"))
        ]
    except (KeyError, TypeError, ValueError, ZeroDivisionError):
        return None
    right = all(abs(value) <= most for value, most in zip(found, (90, 180), strict=True))
    return (round(found[0], 6), round(found[1], 6)) if right else None


def _text(data: bytes) -> Upload:
    """A text: a rain record, a price book, points. Marks that a browser could run are no reason to refuse it, as no
    page ever shows it as anything but text.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise OtherKindError(f"file: found {_kind_of(data) or 'a kind that is not taken'}; {WANTED}") from None
    if any(sign < " " and sign not in "\t\r\n\f" for sign in text):
        if kind := _kind_of(data):
            raise OtherKindError(f"file: found {kind}; {WANTED}")
        raise OtherKindError("file: found control characters in a text; expected plain text in UTF-8")
    if text.lstrip()[:200].lower().startswith(("<svg", "<?xml", "<!doctype", "<html", "<script")):
        raise OtherKindError(f"file: found a page or a drawing with marks in it; {WANTED}")
    return Upload(data=data, media_type="text/plain; charset=utf-8", ending=".txt")


def _kind_of(data: bytes) -> str:
    """What a picture that is not taken is, in words; empty where that is not known."""
    return next((words for begins, words in _NAMED if begins.match(data)), "")


__all__ = ["MOST_PIXELS", "PICTURES", "OtherKindError", "TooLargeError", "Upload", "checked_upload"]
