"""The picture under the plan: where it lies, how faint it is, and that it reaches the PDF."""

from __future__ import annotations

import math
import re
import struct
import zlib
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from drainwright.design import Design, design
from drainwright.exchange.pictures import data_uri, picture_size
from drainwright.job.reading import read_job
from drainwright.paper.drawings import drawings
from drainwright.paper.dxf import to_dxf
from drainwright.paper.plan import setting
from drainwright.paper.plan_page import page_plan
from drainwright.paper.sheet import Picture
from drainwright.paper.svg import to_svg

EXAMPLE = Path(__file__).parents[2] / "examples" / "block-wall-house" / "job.yaml"
PIXEL = 0.1  # of the invented photo [m]
FOOT = 0.3048


def invented_photo() -> np.ndarray:
    """The lot from above, 36 m by 40 m: grass, a drive, a roof of the house's shape, a tree. Rows from the north."""
    north, east = np.mgrid[400:0:-1, 0:360] * PIXEL
    east, north = east - 9.0, north - 15.0
    rng = np.random.default_rng(7)
    rows = np.empty((400, 360, 3))
    rows[:] = (96, 130, 72)
    rows += rng.normal(0, 9, rows.shape[:2])[:, :, None]
    rows[(east > 15) & (east < 18)] = (150, 148, 142)
    rows[(east >= 0) & (east <= 42.5 * FOOT) & (north >= 0) & (north <= 28 * FOOT)] = (128, 78, 62)
    rows[np.hypot(east + 5, north - 9) < 2.5] = (44, 78, 40)
    return np.clip(rows, 0, 255).astype(np.uint8)


def png(rows: np.ndarray) -> bytes:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", rows.shape[1], rows.shape[0], 8, 2, 0, 0, 0)
    body = b"".join(b"\x00" + row.tobytes() for row in rows)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(body)) + chunk(b"IEND", b"")


def with_photo(turned: bool = False) -> Design:
    """The example with the photo under it; turned, as if the camera had been held with south-east up."""
    data = png(invented_photo())
    uri = data_uri(picture_size(data), data)
    pixels = {"A": (90.0, 250.0), "B": (90.0 + 425 * FOOT, 250.0)}
    if turned:  # the same picture hung by places that turn it by 30 degrees about A
        turn = math.radians(30.0)
        reach = 425 * FOOT
        pixels["B"] = (90.0 + reach * math.cos(turn), 250.0 + reach * math.sin(turn))
    job = read_job(EXAMPLE)
    known = [{"at": name, "in_file": at} for name, at in pixels.items()]
    tree: dict[str, Any] = job.model_dump(mode="json", by_alias=True, exclude_none=True)
    tree["survey"]["backdrop"] = {"picture": uri, "known": known, "note": "invented photo"}
    return design(type(job).model_validate(tree, context={"document": True}))


@lru_cache(maxsize=1)
def example() -> Design:
    return with_photo()


def picture_of(found: Any) -> Picture:
    (picture,) = (mark for mark in found.marks if isinstance(mark, Picture) and mark.layer == "backdrop")
    return picture


def test_the_known_pixels_lie_under_their_points() -> None:
    for made in (example(), with_photo(turned=True)):
        view = setting(made).view
        picture = picture_of(drawings(made)["plan"])
        laid = made.site.backdrop
        assert laid is not None
        assert made.job.survey.backdrop is not None
        assert laid.misfit < 0.05
        for known in made.job.survey.backdrop.known:
            right, down = (value * picture.width / laid.width for value in known.in_file)
            cosine, sine = math.cos(picture.turn), math.sin(picture.turn)
            at = (picture.corner[0] + right * cosine + down * sine, picture.corner[1] + right * sine - down * cosine)
            point = made.site.points[str(known.at.name)]
            assert math.dist(at, view((point.east, point.north))) < view.across.on_paper(0.05)
    assert picture.turn == pytest.approx(math.radians(30.0), abs=0.01)
    sheet = drawings(made)["plan"]
    match = re.search(r"translate\((\S+) (\S+)\) rotate\((\S+)\)", to_svg(sheet))
    assert match is not None
    right, down, turn = (float(value) for value in match.groups())
    assert (right, sheet.height - down) == pytest.approx(picture.corner, abs=1e-3)
    assert turn == pytest.approx(-30.0, abs=0.5)  # in SVG, where down is positive, a turn to the left is negative


def test_it_lies_lowest_is_faint_and_cut_to_the_window() -> None:
    sheet = drawings(example())["plan"]
    assert isinstance(sheet.marks[0], Picture)
    svg = to_svg(sheet)
    assert svg.count("<image ") == 2, "the photo, and the firm's logo"
    assert re.search(r'<g clip-path="url\(#window-of-backdrop\)" opacity="0\.38">', svg)
    assert any("invented photo. Measured lines rule" in mark.text for mark in sheet.texts)
    assert isinstance(picture_of(page_plan(example()).sheet), Picture)
    plain = to_svg(drawings(design(read_job(EXAMPLE)))["plan"])
    assert "window-of-backdrop" not in plain


def test_the_pdf_shows_it_and_the_dxf_leaves_it_out() -> None:
    typst = pytest.importorskip("typst")
    svg = to_svg(drawings(example())["plan"])
    main = b'#set page(width: auto, height: auto, margin: 0pt)\n#image("x.svg")'
    pdf = typst.compile({"main.typ": main, "x.svg": svg.encode()})
    assert b"/Subtype /Image" in pdf or b"/Subtype/Image" in pdf
    assert "IMAGE" not in to_dxf(example()).split("ENTITIES")[1].split("OBJECTS")[0]
