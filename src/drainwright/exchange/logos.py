"""A firm's logo: PNG or JPEG that can be decoded, or an SVG built anew of plain shapes only."""

from __future__ import annotations

import base64
import binascii
import json
import re
from functools import lru_cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from drainwright.exchange.pictures import data_uri, picture_size
from drainwright.exchange.shots import FileError, regular_file

MOST_BYTES = 200_000
MOST_WIDE = 5.0  # width over height
MOST_HIGH = 2.0  # height over width
MOST_SHAPES = 2000
_SVG = "http://www.w3.org/2000/svg"
_WANTED = "a logo, PNG, JPEG or SVG"
_HEAD = "data:image/svg+xml;base64,"
SHAPES = frozenset(
    ("svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "title", "desc")
)  # fmt: skip
TRAITS = frozenset(
    (
        "viewBox", "width", "height", "d", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "points",
        "transform", "fill", "fill-rule", "fill-opacity", "stroke", "stroke-width", "stroke-linecap",
        "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray", "stroke-opacity", "opacity", "version", "id",
        "preserveAspectRatio",
    )
)  # fmt: skip
_SAFE = re.compile(r"[-+.,#%()\sA-Za-z0-9]*")


def read_logo(path: str | Path) -> str:
    """A logo's file as a data URI (RFC 2397), checked and, where it is an SVG, built anew.

    Raises
    ------
    FileError
        If it is none, too large or too long, cannot be decoded, or has in it what a logo does not need.
    """
    path = Path(path)
    regular_file(path, MOST_BYTES)
    return _checked(path.read_bytes(), path.name)


@lru_cache(maxsize=4)
def logo_of(uri: str) -> str:
    """A logo that a document carries as a data URI, checked like a file; see ``read_logo``."""
    try:
        data = base64.b64decode(uri.partition(",")[2], validate=True)
    except (binascii.Error, ValueError):
        raise FileError("a logo's text that is damaged", f"a file's name, or {_HEAD}...") from None
    if len(data) > MOST_BYTES:
        raise FileError(f"a logo of {len(data):,} bytes", f"at most {MOST_BYTES:,}")
    return _checked(data, "logo")


def logo_json(uri: str) -> bytes:
    """The content of a checked logo as a JSON list of bytes: the compiler of papers takes text files only."""
    return json.dumps(list(base64.b64decode(uri.partition(",")[2])), separators=(",", ":")).encode()


def _checked(data: bytes, name: str) -> str:
    if data.startswith((b"\x89PNG", b"\xff\xd8\xff")):
        picture = picture_size(data, name)
        _proportion(picture.width, picture.height, name)
        uri = data_uri(picture, data)
    else:
        uri = _HEAD + base64.b64encode(clean_svg(data, name)).decode("ascii")
    _decoded(uri, name)
    return uri


def _proportion(width: float, height: float, name: str) -> None:
    if not (height > 0 and width > 0 and width <= MOST_WIDE * height and height <= MOST_HIGH * width):
        raise FileError(
            f"a logo {width:g} by {height:g}",
            f"at most {MOST_WIDE:g} times as wide as high, or {MOST_HIGH:g} times as high as wide", file=name,
        )  # fmt: skip


def clean_svg(data: bytes, name: str = "logo.svg") -> bytes:
    """An SVG built anew of shapes alone: no script, style, text, picture, link, or anything from outside.

    Raises
    ------
    FileError
        Names the first part that a logo may not have.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError("content that is neither PNG, JPEG nor SVG in UTF-8", _WANTED, file=name) from None
    if "<!" in re.sub(r"<!--.*?-->", "", text, flags=re.DOTALL):
        raise FileError("a document type, an entity or CDATA", "an SVG of plain shapes", "save it as plain SVG", name)
    try:
        root = ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError) as error:
        raise FileError(f"content that is no SVG ({str(error)[:60]})", _WANTED, file=name) from None
    if root.tag != f"{{{_SVG}}}svg":
        raise FileError(f"the element {_bare(root.tag)[:40]!r} at the top", "an SVG", file=name)
    if sum(1 for _ in root.iter()) > MOST_SHAPES:
        raise FileError(f"more than {MOST_SHAPES:,} shapes", "a simpler logo", file=name)
    box = (root.get("viewBox") or "").replace(",", " ").split()
    try:
        _, _, width, height = (float(part) for part in box)
    except ValueError:
        raise FileError("an SVG without a viewBox of four numbers", "viewBox='0 0 width height'", file=name) from None
    _proportion(width, height, name)
    built = _built(root, name, 0)
    built.attrib.pop("width", None)
    built.attrib.pop("height", None)
    built.set("xmlns", _SVG)
    return ElementTree.tostring(built, encoding="unicode").encode()


def _built(element: ElementTree.Element, name: str, depth: int) -> ElementTree.Element:
    kind = element.tag.removeprefix(f"{{{_SVG}}}") if isinstance(element.tag, str) else "?"
    if kind not in SHAPES:
        raise FileError(
            f"the element {_bare(kind)[:40]!r}", f"only {', '.join(sorted(SHAPES))}",
            "turn letters into paths and colours into fills, then save it as plain SVG", name,
        )  # fmt: skip
    if depth > 30:
        raise FileError("groups more than 30 deep", "a simpler logo", file=name)
    made = ElementTree.Element(kind)
    for trait, value in element.attrib.items():
        if trait.startswith("{") and not trait.startswith(("{http://www.w3.org/1999/xlink}", f"{{{_SVG}}}")):
            continue  # notes of a drawing program
        if trait not in TRAITS or not _SAFE.fullmatch(value) or "url" in value.lower():
            raise FileError(
                f"{_bare(trait)[:40]}={value[:40]!r} in {kind}", "shapes with plain numbers and colours",
                "save it as plain SVG, with colours as attributes", name,
            )  # fmt: skip
        made.set(trait, value)
    made.extend([_built(child, name, depth + 1) for child in element if kind not in ("title", "desc")])
    return made


def _bare(tag: str) -> str:
    return tag.rpartition("}")[2]


def _decoded(uri: str, name: str) -> None:
    """Have the library that sets the papers decode it once: what it cannot, no paper can show."""
    import typst

    files: Any = {"main.typ": b'#image(bytes(json("logo.json")), height: 12mm)', "logo.json": logo_json(uri)}
    try:
        typst.compile(files, ignore_system_fonts=True)
    except typst.TypstError as error:
        raise FileError(f"a damaged picture ({str(error)[:80]})", _WANTED, "save or copy it again", name) from None


__all__ = ["MOST_BYTES", "clean_svg", "logo_json", "logo_of", "read_logo"]
