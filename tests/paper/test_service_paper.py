"""The customer's page after a service visit."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design
from drainwright.job.service import FULL, read_service_text
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.service_checklist import service_checklist, service_checklist_spanish
from drainwright.paper.documents.service_paper import service_paper
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.documents.upkeep import upkeep
from drainwright.proving.service import serviced
from drainwright.quantities import percent

from ..conftest import EXAMPLES, designed
from .test_spanish import JOBS

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
    for name in ("service.pdf", "service-checklist.pdf", "service-checklist-es.pdf"):
        assert (tmp_path / "out" / name).read_bytes().startswith(b"%PDF"), name


@pytest.mark.parametrize("job", JOBS)
def test_the_checklist_is_whole_in_spanish(job: str) -> None:
    design = designed(job)
    spoken = translator_of(design)
    form = service_checklist(design)
    spoken.blocks(form.blocks)
    spoken.say(form.kind)
    assert not spoken.missing
    assert service_checklist_spanish(design).language == "es"


def test_every_care_that_a_job_may_have_is_said() -> None:
    """Those that no example has: a battery, a freeze relief, a house without gutters, one wall."""
    spoken = translator_of(designed("block-wall-house/job"))
    for text in (
        "Test the battery of SUMP (75 Ah) under load; it is replaced every 3 to 5 years.",
        "Look at the freeze relief on DL, 6 ft 0 in from SUMP: keep it clear of snow and soil. Water squirting there "
        "means the line beyond is frozen or blocked: call us.",
        "Clean the gutters, where there are any.",
        "At the east wall the filled ground settles: top it up so that it falls away from the house.",
        "every year",
    ):
        assert spoken.say(text) != text
    assert not spoken.missing


def test_the_checklist_has_the_cautions_and_room_for_what_a_record_asks(pumped: Design) -> None:
    text = " ".join(
        page.extract_text() for page in PdfReader(io.BytesIO(to_pdf(service_checklist(pumped), None))).pages
    )
    text = " ".join(text.split())
    for said in (
        "Nobody enters a basin",
        "before a bolted lid comes off",
        "Starts on the counter",
        "Silt found",
        "CB1",
    ):
        assert said in text, said
    for care in upkeep(pumped):
        assert care.what.split(":")[0] in text


def test_a_trap_is_emptied_at_the_depth_that_the_visits_reckon_with(pumped: Design) -> None:
    """The date of the next emptying is for a sump filled so far; the care of the job says the same share and depth."""
    care = " ".join(care.what for care in upkeep(pumped) if "silt" in care.what)
    (depth,) = {inlet.sump_depth for inlet in pumped.job.works.inlets if inlet.sump_depth > 0}
    assert f"before it fills {percent(FULL)} of its trap" in care
    assert Say(pumped.job.units).small(FULL * depth) in care
