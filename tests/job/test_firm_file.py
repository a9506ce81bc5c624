"""A firm's settings beside its jobs: who outranks whom, what a colour and a logo must be."""

from __future__ import annotations

import base64
import json
import zlib
from pathlib import Path
from xml.etree import ElementTree

import pytest

from drainwright.errors import JobError
from drainwright.exchange.logos import clean_svg, logo_json, read_logo
from drainwright.exchange.shots import FileError
from drainwright.job import read_text
from drainwright.job.accent import contrast_on_white, darkened
from drainwright.job.firm_file import read_firm_text
from drainwright.job.model import Job

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
FIRM = 'schema_version: 1\nname: Alder and Daughters\nphone: 555-0100\ncolour: "#204a87"\nlogo: mark.svg\n'
LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><path d="M0 0 L40 20" stroke="#204a87"/></svg>'


def job_with(firm: str, folder: Path) -> Job:
    kept = SMALL if "\nfirm:" not in SMALL else SMALL[: SMALL.index("\nfirm:")] + "\n"
    return read_text(f"{kept}\n{firm}\n", folder=folder).job


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "firm.yaml").write_text(FIRM, encoding="utf-8")
    (tmp_path / "mark.svg").write_text(LOGO, encoding="utf-8")
    return tmp_path


def test_the_job_outranks_the_file(folder: Path) -> None:
    firm = job_with("firm: {file: firm.yaml, phone: 555-0199}", folder).firm
    assert (firm.name, firm.phone, firm.colour, firm.file) == ("Alder and Daughters", "555-0199", "#204a87", None)
    assert firm.logo.startswith("data:image/svg+xml;base64,")


def test_what_was_read_reads_again_without_its_files(folder: Path) -> None:
    firm = job_with("firm: {file: firm.yaml}", folder).firm
    again = read_text(f'{SMALL}\nfirm: {{name: A, logo: "{firm.logo}"}}\n').job.firm
    assert again.logo == firm.logo


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("schema_version: 1\n", ("the key 'name'", "required")),
        ("schema_version: 1\nname: A\nlicense: 1\n", ("'license'", "'licence'")),
        ("schema_version: 1\nname: A\nfile: other.yaml\n", ("'file'",)),
        ('schema_version: 1\nname: A\ncolour: "#f2c94c"\n', ("'#f2c94c'", "1.5", "4.5 or more", "of the same hue")),
        ("schema_version: 1\nname: A\ncolour: teal\n", ("teal", "#0e3f5f")),
    ],
)
def test_wrong_settings_are_told(text: str, words: tuple[str, ...]) -> None:
    with pytest.raises(JobError) as caught:
        read_firm_text(text)
    assert all(word in str(caught.value) for word in words), str(caught.value)
    assert "firm.yaml" in str(caught.value)


@pytest.mark.parametrize("firm", ["{file: none.yaml}", "{file: ../firm.yaml}", "{logo: none.svg}"])
def test_files_that_are_not_there(firm: str, folder: Path) -> None:
    with pytest.raises(JobError, match=r"expected a file in the job's folder or below"):
        job_with(f"firm: {firm}", folder)


def test_contrast_against_published_pairs() -> None:
    # Web Content Accessibility Guidelines 2.2, definitions of relative luminance and contrast ratio (seen). Black on
    # white is 21 by the definition; pure blue has L = 0.0722 and so 1.05 / 0.1222, pure red 1.05 / 0.2626.
    assert contrast_on_white("#000000") == pytest.approx(21.0)
    assert contrast_on_white("#ffffff") == pytest.approx(1.0)
    assert contrast_on_white("#0000ff") == pytest.approx(1.05 / 0.1222)
    assert contrast_on_white("#ff0000") == pytest.approx(1.05 / 0.2626)
    # Greys known as the last that pass and the first that fail 4.5:1 on white (from memory): #767676 and #777777.
    assert contrast_on_white("#767676") >= 4.5 > contrast_on_white("#777777")


@pytest.mark.parametrize("colour", ["#ffffff", "#f2c94c", "#00ff00", "#9ad0ff"])
def test_a_darker_one_of_the_hue_passes(colour: str) -> None:
    assert contrast_on_white(darkened(colour)) >= 4.5


def svg(inner: str, head: str = 'viewBox="0 0 40 20"') -> bytes:
    spaces = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f"<svg {spaces} {head}>{inner}</svg>".encode()


@pytest.mark.parametrize(
    "data",
    [
        svg("<script>alert(1)</script>"),
        svg('<image xlink:href="http://elsewhere.example/a.png"/>'),
        svg('<use xlink:href="#a"/>'),
        svg('<path d="M0 0" onload="alert(1)"/>'),
        svg('<rect width="4" height="4" fill="url(http://elsewhere.example/#g)"/>'),
        svg('<rect width="4" height="4" fill="url(#g)"/>'),
        svg('<path d="M0 0" style="background:url(x)"/>'),
        svg("<style>path{}</style>"),
        svg("<foreignObject/>"),
        svg('<path xlink:href="x" d="M0 0"/>'),
        svg("<text>A</text>"),
        svg("", head=""),
        svg("", head='viewBox="0 0 400 20"'),
        b'<!DOCTYPE svg [<!ENTITY a "b">]>' + svg("<title>&a;</title>"),
        b"<html/>",
        b"\xff\xfe\x00",
        svg("<g>" * 40 + "</g>" * 40),
        svg("<path/>" * 3000),
    ],
)
def test_a_logo_has_shapes_only(data: bytes) -> None:
    with pytest.raises(FileError):
        clean_svg(data)


def test_a_plain_logo_is_built_anew() -> None:
    built = clean_svg(svg('<g fill="#123456"><!-- note --><path d="M0 0 L4 4"/><circle r="2"/></g>'))
    kinds = [element.tag.rpartition("}")[2] for element in ElementTree.fromstring(built).iter()]
    assert kinds == ["svg", "g", "path", "circle"]
    assert b"note" not in built
    assert clean_svg(built) == built


def png(body: bytes) -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = chunk(b"IHDR", (2).to_bytes(4, "big") * 2 + b"\x08\x02\x00\x00\x00")
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def test_pictures_are_decoded_once(tmp_path: Path) -> None:
    whole = png(zlib.compress((b"\x00" + b"\x40" * 6) * 2))
    (tmp_path / "a.png").write_bytes(whole)
    assert bytes(json.loads(logo_json(read_logo(tmp_path / "a.png")))) == whole
    (tmp_path / "b.png").write_bytes(png(b"no picture"))
    with pytest.raises(FileError, match="damaged"):
        read_logo(tmp_path / "b.png")


def test_a_hostile_data_uri_is_no_way_round() -> None:
    uri = "data:image/svg+xml;base64," + base64.b64encode(svg("<script/>")).decode()
    with pytest.raises(JobError, match="script"):
        read_text(f'{SMALL}\nfirm: {{logo: "{uri}"}}\n')
