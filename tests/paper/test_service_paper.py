"""The customer's page after a service visit."""

from __future__ import annotations

import io
from pathlib import Path

from pypdf import PdfReader
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design
from drainwright.job.service import read_service_text
from drainwright.paper.documents.service_paper import service_paper
from drainwright.paper.documents.typeset import to_pdf
from drainwright.proving.service import serviced

from ..conftest import EXAMPLES

HEAD = "schema_version: 1\njob: {job}\nin_service: 2026-04-01\ninvented: true\nvisits:\n"


def record(design: Design, shares: tuple[float, ...], more: str = "") -> str:
    station = design.system.stations[0]
    rows = [
        f"  - {{on: {2027 + number}-04-01, basins: [{{basin: {station.name}, "
        f"flow: {station.inflow * share * 60000:.3f} L/min, starts: {8000 * (number + 1)}}}]"
        f"{more if number == len(shares) - 1 else ''}}}\n"
        for number, share in enumerate(shares)
    ]
    return HEAD.format(job=design.job.number) + "".join(rows)


def page(design: Design, text: str) -> str:
    document = read_service_text(text)
    pdf = PdfReader(io.BytesIO(to_pdf(service_paper(design, document.service, serviced(design, document)), None)))
    assert len(pdf.pages) == 1
    return " ".join(pdf.pages[0].extract_text().split())


def test_it_tells_what_was_seen_and_done_and_when_the_pump_is_due(metric: Design) -> None:
    more = ", by: R. Alder, found: [roots], done: [flushed FD1], note: The lid was loose."
    text = page(metric, record(metric, (1.30, 1.25, 1.20, 1.15), more))
    document = read_service_text(record(metric, (1.30, 1.25, 1.20, 1.15), more))
    (pump,) = serviced(metric, document).pumps
    assert pump.likely is not None
    assert pump.earliest is not None
    for said in (
        "Next visit by", "Roots in the pipes", "flushed FD1", "The lid was loose", "32,000 times", "band assumed",
        f"{pump.likely.day} {pump.likely:%B %Y}", f"{pump.earliest.day} {pump.earliest:%B %Y} to",
        "Nobody enters a basin",
    ):  # fmt: skip
        assert said in text, said


def test_two_visits_tell_no_drift_and_nothing_done_is_said(metric: Design) -> None:
    text = page(metric, record(metric, (1.30, 1.25)))
    assert "2 readings; three or more tell" in text
    assert "Nothing is noted as done" in text
    assert "No roots, sand or leaves are noted" in text
    assert "a year less" not in text


def test_the_command_writes_it(tmp_path: Path, metric: Design) -> None:
    visits = tmp_path / "service.yaml"
    visits.write_text(record(metric, (1.3, 1.25, 1.2)), encoding="utf-8")
    job = EXAMPLES / "metric-basement" / "job.yaml"
    told = CliRunner().invoke(app, ["service", str(job), str(visits), "--to", str(tmp_path / "out")])
    assert told.exit_code == 0, told.output
    assert (tmp_path / "out" / "service.pdf").read_bytes().startswith(b"%PDF")
