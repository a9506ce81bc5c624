"""Lines whose depth nobody knows, and those whose doubt nobody told, on every sheet and paper."""

from __future__ import annotations

import json
import re
from functools import cache

import pytest

from drainwright.design import Design, design
from drainwright.errors import JobError
from drainwright.job.reading import read_text
from drainwright.paper.documents.blocks import plain
from drainwright.paper.documents.crew import crew_packet
from drainwright.paper.documents.crew_spanish import crew_packet_spanish
from drainwright.paper.documents.lines_paper import line_blocks
from drainwright.paper.documents.marks import leaned_on
from drainwright.paper.documents.say import Say
from drainwright.paper.site_files import site_features
from drainwright.results import design_to_plain

from ..conftest import EXAMPLES
from .papers import sheets_of, text_of

FOLDER = EXAMPLES / "block-wall-house"
SEWER = "    depth: 3 ft, mapped\n    depth_uncertainty: 6 in\n"
WIRES = "    depth: 5 in, assumed\n    depth_uncertainty: 2 in\n"
CABLE = "    depth: 2 ft, mapped\n    depth_uncertainty: 6 in\n"
LINES = ("house sewer", "valve wires")


def changed(**depths: str) -> str:
    """The demonstration job, with other depths of its sewer, wires and cable."""
    text = (FOLDER / "job.yaml").read_text(encoding="utf-8")
    for name, old in (("sewer", SEWER), ("wires", WIRES), ("cable", CABLE)):
        assert text.count(old) == 1
        text = text.replace(old, depths.get(name, old))
    return text


@cache
def unknown() -> Design:
    deep = "    depth: unknown\n"
    text = changed(sewer=deep, wires=deep, cable="    depth: 2 ft, mapped\n")
    return design(read_text(text, "job.yaml", FOLDER).job)


def test_the_design_says_that_nobody_knows_how_deep_a_line_lies() -> None:
    job = unknown()
    met = [item for item in job.build.dig.crossings if item.utility in LINES]
    assert {item.utility for item in met} == set(LINES)
    assert all(item.clearance is None and item.utility_top is None for item in met)
    told = [item for item in job.findings if item.id == "DIG-01" and "nobody knows how deep" in item.message]
    assert {item.where for item in told} >= {"works.runs.FD1", "works.runs.YD1"}
    assert all(item.severity == "caution" for item in told)  # neither kills
    assert any(note.startswith("house sewer: depth unknown") for note in job.build.dig.notes)
    assert any(note.startswith("Nobody knows how deep the house sewer lies") for note in job.site.notes)  # ``check``
    known = [note for note in job.build.dig.notes if note.startswith("service cable")]
    assert all("1 ft less (assumed by how it is known" in note or "12 in less (assumed" in note for note in known)


def test_every_paper_says_unknown_and_none_a_figure_that_nobody_has() -> None:
    job = unknown()
    packet = str(plain(crew_packet(job, sheets_of(job)).blocks))
    assert "UNKNOWN: dig by hand from the surface" in packet
    assert "UNKNOWN: from the surface down" in packet
    assert "LEVEL IT: it could meet the pipe" in packet
    assert "depth unknown before: level it, then lay" in packet
    for text in (packet, text_of(job, "worksheet"), json.dumps(design_to_plain(job))):
        assert not re.search(r"\b(nan|inf|Infinity|NaN)\b", text)
    rows = str(plain(line_blocks(job, Say(job.job.units))))
    assert "2 ft ± 12 in assumed, from a map or record" in rows  # nobody told how far that may be off
    assert "7 in ± 2 in, measured" in rows


def test_the_customer_and_the_inspector_read_that_it_is_unknown() -> None:
    told = {item.what: item.value for item in leaned_on(unknown().job)}
    assert told["house sewer: depth"] == "unknown"
    assert "water service: depth" not in told
    assert "house sewer" in text_of(unknown(), "proposal")
    assert "unknown" in text_of(unknown(), "proposal")


def test_the_crew_reads_it_in_spanish() -> None:
    job = unknown()
    told = str(plain(crew_packet_spanish(job, sheets_of(job)).blocks))
    assert "textos de este paquete están en inglés" not in told
    for words in ("SE DESCONOCE: excavar a mano desde la superficie", "SE DESCONOCE: desde la superficie hacia abajo",
                  "pueden tocarse", "profundidad antes desconocida", "± 12 in supuesto"):  # fmt: skip
        assert words in told, words


def test_the_drawings_and_files_for_others_say_unknown() -> None:
    sheets = {name: " | ".join(mark.text for mark in sheet.texts) for name, (sheet, _) in sheets_of(unknown()).items()}
    assert "house sewer: depth UNKNOWN" in sheets["plan"]
    assert any("DEPTH UNKNOWN" in text for name, text in sheets.items() if name.startswith("profiles"))
    line = next(
        item for item in site_features(unknown().site)
        if item.layer == "buried line" and item.properties["name"] == "house sewer"
    )  # fmt: skip
    assert {len(at) for at in line.coordinates} == {2}
    assert "nobody knows its depth" in str(line.properties["note"])


@pytest.mark.parametrize(
    ("depth", "says"),
    [
        ("    depth: unknown\n    depth_uncertainty: 6 in\n", "of an unknown depth"),
        ("    depth:\n", "or 'unknown'"),
        ("    depth: deep\n", "a length"),
    ],
)
def test_what_is_no_depth_is_refused(depth: str, says: str) -> None:
    with pytest.raises(JobError, match=says):
        read_text(changed(sewer=depth), "job.yaml", FOLDER)


def test_an_exposed_line_has_a_depth() -> None:
    text = changed(sewer="    depth: unknown\n").replace("located_by: private locate", "located_by: exposed by hand")
    with pytest.raises(JobError, match="at which it was seen"):
        read_text(text, "job.yaml", FOLDER)
