"""The form for the last day and the commissioning record."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design
from drainwright.exchange.photos import LONGEST_SIDE
from drainwright.job.proof import read_proof_text
from drainwright.job.reading import job_of
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.proof_form import READS, proof_form, proof_form_spanish, pump_step
from drainwright.paper.documents.proof_paper import proof_paper
from drainwright.paper.documents.typeset import to_pdf
from drainwright.proving.as_built import as_built
from drainwright.proving.prove import prove
from drainwright.results import plain

from ..conftest import EXAMPLES, designed
from ..proving.worlds import Truth, basin_record, record
from .test_spanish import JOBS

HOUSE = EXAMPLES / "block-wall-house" / "job.yaml"


def words(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


@pytest.mark.parametrize("job", JOBS)
def test_the_form_is_whole_in_spanish(job: str) -> None:
    design = designed(job)
    spoken = translator_of(design)
    form = proof_form(design)
    spoken.blocks(form.blocks)
    spoken.say(form.kind)
    assert not spoken.missing
    assert proof_form_spanish(design).language == "es"


def test_the_form_has_the_cautions_and_room_for_every_reading(pumped: Design) -> None:
    text = words(to_pdf(proof_form(pumped), None))
    for said in ("Nobody enters a basin", "Unplug the pump before a hand", "No cord and no plug lies in water"):
        assert said in text
    for run in pumped.system.runs:
        assert run.pressure or run.name in text
    station = pumped.system.station
    assert station is not None
    whole = station.band_volume / station.operating_flow
    assert 0.5 * READS <= whole / pump_step(station) <= READS + 2


def test_the_record_tells_verdict_band_and_reason(metric: Design) -> None:
    station = metric.system.station
    assert station is not None
    document = read_proof_text(record(metric, basin_record(metric, station, Truth(wear=0.35))))
    found = prove(metric, document)
    paper = proof_paper(metric, document.proof, found)
    text = words(to_pdf(paper, None))
    assert "Not as designed" in text
    assert "DOES NOT PASS" in text
    assert "of its head gives this" in text
    assert " ± " in text
    assert paper.paper == "a4"


def test_the_record_tells_what_was_built_otherwise(metric: Design) -> None:
    run = metric.system.run("FD1")
    flat = f"{{run: FD1, upper: {run.invert_lower + 0.05:.4f} m, lower: {run.invert_lower:.4f} m}}"
    document = read_proof_text(record(metric, extra=f"as_built:\n  runs: [{flat}]\n"))
    built = as_built(metric, document)
    assert built is not None
    text = words(to_pdf(proof_paper(metric, document.proof, prove(metric, document), built), None))
    assert "upper invert" in text
    assert "What that changes" in text
    assert "Not measured, taken as designed" in text
    job = job_of(plain(built.design.job))  # reads again, and is the same job
    assert job.works.runs == built.design.job.works.runs


def test_the_command_writes_forms_then_judges_a_record(tmp_path: Path, pumped: Design) -> None:
    runner = CliRunner()
    made = runner.invoke(app, ["prove", str(HOUSE), "--to", str(tmp_path)])
    assert made.exit_code == 0, made.output
    assert {path.name for path in tmp_path.iterdir()} == {"proof-form.pdf", "proof-form-es.pdf", "proof.yaml"}
    station = pumped.system.station
    assert station is not None
    path = tmp_path / "proof.yaml"
    path.write_text(record(pumped, basin_record(pumped, station, Truth())), encoding="utf-8")
    judged = runner.invoke(app, ["prove", str(HOUSE), str(path), "--to", str(tmp_path / "proven"), "--json"])
    assert judged.exit_code == 0, judged.output
    told = json.loads(judged.stdout)
    assert told["ok"]
    assert not told["whole"]  # much is not done yet
    assert {row["verdict"] for row in told["rows"]} == {"pass", "not done"}
    assert (tmp_path / "proven" / "proof.pdf").read_bytes().startswith(b"%PDF-")
    shown = runner.invoke(app, ["prove", str(HOUSE), str(path)])
    assert "Not to be signed off yet." in shown.output
    path.write_text("schema_version: 1\njob: D-0117\n", encoding="utf-8")
    refused = runner.invoke(app, ["prove", str(HOUSE), str(path), "--json"])
    assert refused.exit_code == 2
    assert not json.loads(refused.stdout)["ok"]
    runner.invoke(app, ["prove", str(HOUSE), "--to", str(tmp_path)])
    assert path.read_text(encoding="utf-8") == "schema_version: 1\njob: D-0117\n"  # a record is never written over


def test_photographs_stand_in_the_record_and_what_cannot_be_shown_is_told(tmp_path: Path, pumped: Design) -> None:
    Image.new("RGB", (2400, 1800), "teal").save(tmp_path / "a.jpg")
    (tmp_path / "b.heic").write_bytes(b"of another kind")
    extra = "photos: [{checkpoint: 1, file: a.jpg}, {checkpoint: 2, file: b.heic}]\n"
    (tmp_path / "proof.yaml").write_text(record(pumped, extra=extra), encoding="utf-8")
    args = ["prove", str(HOUSE), str(tmp_path / "proof.yaml"), "--to", str(tmp_path / "proven")]
    done = CliRunner().invoke(app, args)
    assert done.exit_code in (0, 1), done.output
    told = " ".join(done.output.split())
    assert "Not shown in the paper: b.heic: found no picture that can be read" in told
    assert "a.jpg" not in told.partition("Not shown")[2]
    pdf = (tmp_path / "proven" / "proof.pdf").read_bytes()
    shown = [image.image for page in PdfReader(io.BytesIO(pdf)).pages for image in page.images]
    assert [(one.width, one.height) for one in shown if one is not None] == [(LONGEST_SIDE, LONGEST_SIDE * 3 // 4)]
    assert "b.heic, not shown here" in words(pdf)
    assert "a.jpg, not" not in words(pdf)
    assert b"Photograph of checkpoint 1" in pdf or "Photograph of checkpoint 1" in pdf.decode("utf-16-be", "ignore")
