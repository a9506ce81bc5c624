"""After the job: its proof put in by page and program, held against the design, closed to who may not."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from fastapi import FastAPI
from httpx import Response
from PIL import Image
from pypdf import PdfReader
from typer.testing import CliRunner

from drainwright.cli import app as program
from drainwright.design import Design
from drainwright.job.proof import read_proof_text
from drainwright.job.season import read_season_text
from drainwright.job.service import read_service_text
from drainwright.office.after import SORTS, recorded
from drainwright.office.examples import begin_example, example_of
from drainwright.office.store import files, people
from drainwright.office.store.editing import said
from drainwright.office.store.jobs import add_firm, open_job
from drainwright.office.store.records import Stage
from drainwright.office.store.revisions import revision
from drainwright.office.who import Who
from drainwright.proving.soil_learnt import soil_learnt
from drainwright.proving.street import entry_text

from . import visitors
from .finished import choked, wet, worn
from .firm_pages import EXAMPLES, Office, office
from .stored import keep_example
from .visitors import PEOPLE, browser, staffed


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("after")) as found:
        yield found


@pytest.fixture
def job(here: Office) -> str:
    return keep_example(here.store, "block-wall-house")


def api(here: Office, method: str, path: str, **body: Any) -> Response:
    return here.client.request(method, f"/api/v1{path}", headers={"x-form-token": here.token}, json=body or None)


def picture(kind: str = "JPEG") -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (60, 40), (90, 120, 60)).save(made, kind)
    return made.getvalue()


def words(data: bytes) -> str:
    return " ".join(" ".join(one.extract_text() for one in PdfReader(io.BytesIO(data)).pages).split())


def test_a_proof_is_put_in_and_tells_what_to_look_at(here: Office, job: str, pumped: Design) -> None:
    way, text = f"/jobs/{job}/after/proof", choked(pumped)
    assert "Nothing is put in yet" in here.get(way).text
    assert here.get(f"/jobs/{job}/after/files/proof.pdf").status_code == 404
    sent = here.post(way, {"file": ("proof.yaml", text.encode())}, base="0")
    assert sent.headers["location"] == f"{way}?saved=1"
    page = unescape(here.get(way).text)
    assert "Not to be signed off yet" in page
    look = page.partition("What to look at")[2].partition("by its test")[0]
    assert "Pump’s flow by drawdown" in look.replace("'", "’")
    assert "valve" in page.partition("What may stand behind its flow")[2].partition("</ul>")[0]
    assert "Nobody enters a basin" in page
    assert "As built" in page
    assert "DOES NOT PASS" in words(here.get(f"/jobs/{job}/after/files/proof.pdf").content)
    assert json.loads(here.get(f"/jobs/{job}/after/files/as-built.json").content)["number"] == pumped.job.number
    assert here.get(f"/jobs/{job}/after/files/proof.yaml").text == text
    assert f"Put in by {here.who.name}" in re.sub(r"<[^>]+>", "", here.get(f"/jobs/{job}/after").text)
    late = here.post(way, base="0", text=text)
    assert late.status_code == 409
    assert "Look at what stands now" in late.text


def test_programs_are_told_what_the_command_tells(here: Office, job: str, pumped: Design, tmp_path: Path) -> None:
    text = choked(pumped)
    (tmp_path / "proof.yaml").write_text(text, encoding="utf-8")
    source = str(EXAMPLES / "block-wall-house" / "job.yaml")
    said = json.loads(CliRunner().invoke(program, ["prove", source, str(tmp_path / "proof.yaml"), "--json"]).output)
    way = f"/jobs/{job}/after/proof"
    assert api(here, "GET", way).status_code == 404
    assert api(here, "PUT", way, base=0, text=text).json() == {"number": 1}
    assert api(here, "PUT", way, base=0, text=text).status_code == 409
    found = api(here, "GET", f"{way}/told").json()
    for name in ("whole", "rows", "basins", "notes", "as_built"):
        assert found[name] == said[name], name
    assert any(row["verdict"] == "not" for row in found["rows"])
    assert api(here, "GET", way).headers["number"] == "1"
    assert words(api(here, "GET", f"/jobs/{job}/after/files/proof-form-es.pdf").content)
    assert "Nadie entra en un cárcamo" in words(here.get(f"/jobs/{job}/after/files/service-checklist-es.pdf").content)
    assert "Nobody enters a basin" in words(here.get(f"/jobs/{job}/after/files/service-checklist.pdf").content)
    assert "service-checklist-es.pdf" in here.get(f"/jobs/{job}/after/visits").text
    assert api(here, "GET", f"/jobs/{job}/after/files/plan.svg").status_code == 404
    assert api(here, "PUT", way, text="job: 1\n").status_code == 422
    assert api(here, "PUT", way, text=text.replace(pumped.job.number, "X-1")).status_code == 201
    refused = api(here, "GET", f"{way}/told")
    assert refused.status_code == 422
    assert "another job's record" in refused.text
    assert "does not fit the job" in here.get(way).text


@pytest.mark.parametrize(("key", "made", "command"), [("visits", worn, "service"), ("season", wet, "season")])
def test_programs_are_told_the_same_of_visits_and_seasons(
    here: Office, job: str, pumped: Design, tmp_path: Path, key: str, made: Callable[[Design], str], command: str
) -> None:
    text, file = made(pumped), tmp_path / "record.yaml"
    file.write_text(text, encoding="utf-8")
    source = str(EXAMPLES / "block-wall-house" / "job.yaml")
    said = json.loads(CliRunner().invoke(program, [command, source, str(file), "--json"]).output)
    way = f"/jobs/{job}/after/{key}"
    assert api(here, "PUT", way, base=0, text=text).json() == {"number": 1}
    found = api(here, "GET", f"{way}/told").json()
    left = {"ok", "files", "into"}
    assert {name: value for name, value in found.items() if name != "number"} == {
        name: value for name, value in said.items() if name not in left
    }
    assert api(here, "PUT", way, text=text.replace(pumped.job.number, "X-1")).status_code == 201
    assert api(here, "GET", f"{way}/told").status_code == 422


def test_visits_are_noted_one_by_one_and_the_next_follows(here: Office, job: str) -> None:
    way = f"/jobs/{job}/after/visits"
    first = {"part": "visit", "base": "0", "units": "US", "in_service": "2026-12-01", "on": "2027-12-01", "by": "Ash"}
    wrong = here.post(f"{way}/one", **first, **{"flow:SUMP": "many", "found:roots": "yes"})
    assert wrong.status_code == 422
    assert "many" in wrong.text
    assert "visits[0].basins[0].flow" in wrong.text
    assert here.post(f"{way}/one", **first, **{"flow:SUMP": "66.1", "starts:SUMP": "8,120", "found:roots": "yes"})
    later = {
        "part": "visit",
        "base": "1",
        "units": "US",
        "on": "2028-06-01",
        "found:roots": "yes",
        "done": "flushed FD1",
    }
    assert here.post(f"{way}/one", **later).headers["location"] == f"{way}?saved=2"
    kept = recorded(here.store, here.who.firm, job, SORTS["visits"])
    assert kept is not None
    service = read_service_text(kept.text).service
    assert [visit.found for visit in service.visits] == [("roots",), ("roots",)]
    assert service.visits[0].basins[0].flow == pytest.approx(66.1 * 3.785411784e-3 / 60)
    assert service.visits[0].basins[0].starts == 8120
    page = unescape(here.get(way).text)
    assert "every 3 months" in page  # six by the site's trees, halved by roots at two visits
    assert "66.1 gpm, 8,120 starts" in page
    assert "Next visit by" in words(here.get(f"/jobs/{job}/after/files/service.pdf").content)
    assert here.post(f"{way}/one", **{**later, "base": "1"}).status_code == 409
    due = re.search(r'href="(/firm/service\?[^"]+)"', here.get(way).text)
    assert due is not None
    assert f'value="{parse_qs(urlsplit(unescape(due[1])).query)["due"][0]}"' in here.get(unescape(due[1])).text


def test_a_proof_is_typed_thing_by_thing(here: Office, job: str, pumped: Design) -> None:
    way, inch = f"/jobs/{job}/after/proof", 0.0254
    test = read_proof_text(choked(pumped)).proof.basins[0]
    shown = {
        one.while_: "\n".join(f"{look.time:.1f}, {look.tape / inch:.3f}" for look in one.readings)
        for one in test.stretches
    }
    typed = {"units": "US", "part": "basin", "basin": "SUMP", "tape_from": "rim", "alarm_sounds": "yes", **shown}
    wrong = here.post(f"{way}/one", base="0", **{**typed, "pumping": "0, 20\n10"})
    assert wrong.status_code == 422
    assert "a time and a length" in wrong.text
    assert "0, 20\n10" in wrong.text
    assert here.post(f"{way}/one", base="0", **typed).headers["location"] == f"{way}?saved=1"
    inlet = next(one.name for one in pumped.job.works.inlets if one.sump_depth > 0)
    things: list[dict[str, str]] = [
        {"part": "hose", "inlet": inlet, "bucket": "5", "fills": "34, 35, 34", "came": "yes"},
        {"part": "run", "run": "FD1", "upper": "97.93", "lower": "97.02 ft"},
        {"part": "floats", "basin": "SUMP", "on": "27", "off": "3", "alarm": "34"},
        {"part": "ground", "wall": "west", "near": "99.80", "far": "99.20"},
        {"part": "ground", "wall": "west", "near": "99.70", "far": "99.20"},
        {"part": "signed", "name": "R. Alder", "role": "crew lead", "on": "2099-01-02"},
    ]
    for base, thing in enumerate(things, start=1):
        assert here.post(f"{way}/one", base=str(base), units="US", **thing).status_code == 303, thing
    kept = recorded(here.store, here.who.firm, job, SORTS["proof"])
    assert kept is not None
    proof = read_proof_text(kept.text).proof
    read = [look.tape for one in proof.basins[0].stretches for look in one.readings]
    assert read == pytest.approx([look.tape for one in test.stretches for look in one.readings], abs=0.001 * inch)
    assert proof.basins[0].alarm_sounds is True
    assert proof.basins[0].relief_squirts is None
    assert (proof.hoses[0].bucket, proof.hoses[0].fills) == (pytest.approx(5 * 231 * inch**3), (34.0, 35.0, 34.0))
    assert proof.as_built.runs[0].upper.offset == pytest.approx(97.93 * 0.3048)
    assert proof.as_built.basins[0].on == pytest.approx(27 * inch)
    assert [one.near.offset for one in proof.as_built.ground] == [pytest.approx(99.70 * 0.3048)]
    assert proof.signed[0].role == "crew lead"
    assert here.post(f"{way}/one", base="7", units="US", part="lid").status_code == 422


def test_a_season_is_pasted_and_gives_the_next_jobs_ground(here: Office, job: str, pumped: Design) -> None:
    way = f"/jobs/{job}/after/season"
    days = "\n".join(line[5:].rstrip("]") for line in wet(pumped).splitlines() if line.startswith("  - ["))
    few = here.post(f"{way}/one", part="season", base="0", units="US", basin="SUMP", reach="20", days=days[:40])
    assert few.status_code == 422
    assert days[:20] in few.text
    sent = here.post(f"{way}/one", part="season", base="0", units="US", basin="SUMP", reach="20", days=days)
    assert sent.headers["location"] == f"{way}?saved=1"
    page = unescape(here.get(way).text)
    assert "in 95 of 100" in page
    kept = recorded(here.store, here.who.firm, job, SORTS["season"])
    assert kept is not None
    found = soil_learnt(pumped, read_season_text(kept.text))
    assert found.learnt.told
    assert entry_text(found.entry) in page
    assert "another lot’s soil is not this one’s" in page
    assert days.splitlines()[7] in page.partition("<textarea")[2]


def test_what_a_season_taught_is_taken_into_the_next_job_and_over_no_measurement(
    here: Office, job: str, pumped: Design
) -> None:
    way = f"/jobs/{job}/after/season"

    def begun(ground: str, title: str = "Next door", stage: Stage = "visited") -> str:
        return open_job(here.store, here.who.firm, f"title: {title}\nunits: US\n{ground}", "Ash", stage=stage).id

    bare, tested, dug = begun(""), begun("ground: {conductivity: '3 ft/day, measured'}\n"), begun("", "Dug", "digging")
    faulty = begun("ground: {conductivity: fast}\n")
    assert api(here, "POST", f"{way}/into", job=bare).status_code == 404  # there is no season yet
    assert api(here, "PUT", way, text=wet(pumped)).status_code == 201
    page = here.get(way).text
    assert all((f'<option value="{one}"' in page) == there for one, there in ((bare, True), (dug, False), (job, False)))
    done = here.post(f"{way}/into", job=bare)
    assert (done.status_code, done.headers["location"]) == (303, f"{way}?into={bare}")
    assert f"/jobs/{bare}/facts/ground" in here.get(done.headers["location"]).text
    head = revision(here.store, here.who.firm, bare)
    found = soil_learnt(pumped, read_season_text(wet(pumped)))
    assert said(head.text)["ground"]["conductivity"] == found.entry
    assert (head.number, head.what) == (2, f"soil learnt by the season of job {pumped.job.number}")
    for one in (tested, faulty, job):
        before = revision(here.store, here.who.firm, one).text
        assert api(here, "POST", f"{way}/into", job=one).status_code == 422
        assert here.post(f"{way}/into", job=one).status_code == 409
        assert revision(here.store, here.who.firm, one).text == before
    page = here.post(f"{way}/into", job=tested).text
    assert "what was measured there outranks the street" in page
    assert api(here, "POST", f"{way}/into", job="nothing").status_code == 404
    assert here.post(f"{way}/into", job="nothing").status_code == 404
    assert api(here, "POST", f"{way}/into", job=bare).json() == {"number": 2}  # the same again makes no revision


def test_a_job_without_a_pump_asks_for_no_counts(here: Office) -> None:
    dry = keep_example(here.store, "sloping-lot")
    page = here.get(f"/jobs/{dry}/after/season").text
    assert "there is no pump whose starts could be counted" in page
    assert "<textarea" not in page
    assert "A basin, pumped down" not in here.get(f"/jobs/{dry}/after/proof").text
    assert "A hose into an inlet" in here.get(f"/jobs/{dry}/after/proof").text


def test_a_photograph_is_hung_and_named_and_one_that_is_not_there_proves_nothing(here: Office, job: str) -> None:
    way = f"/jobs/{job}/after/proof"
    sent = here.post(f"{way}/photos", {"photo": ("a.jpg", picture())}, base="0", checkpoint="2")
    assert sent.status_code == 303
    again = here.post(f"{way}/photos", {"photo": ("b.webp", picture("WEBP"))}, base="1", checkpoint="2")
    assert again.status_code == 303
    kept = recorded(here.store, here.who.firm, job, SORTS["proof"])
    assert kept is not None
    photos = read_proof_text(kept.text).proof.photos
    assert [(one.checkpoint, one.file) for one in photos] == [(2, "checkpoint-2-1.jpg")]
    rows = api(here, "GET", f"{way}/told").json()["rows"]
    assert {row["where"]: row["verdict"] for row in rows}["Photo 2"] == "pass"
    hung = [one for one in files.attachments(here.store, here.who.firm, job) if one.name == "checkpoint-2-1.jpg"]
    api(here, "PATCH", f"/attachments/{hung[0].id}", archived=True)
    rows = api(here, "GET", f"{way}/told").json()["rows"]
    assert {row["where"]: row["verdict"] for row in rows}["Photo 2"] == "not done"
    assert "not among this job’s pictures" in here.get(way).text
    wrong = here.post(f"{way}/photos", {"photo": ("a.gif", picture("GIF"))}, base="2", checkpoint="1")
    assert wrong.status_code == 422
    assert "JPEG, PNG" in wrong.text


def test_a_record_is_no_plain_attachment(here: Office, job: str, pumped: Design) -> None:
    assert api(here, "PUT", f"/jobs/{job}/after/proof", text=choked(pumped)).status_code == 201
    (hung,) = [one for one in files.attachments(here.store, here.who.firm, job) if one.kind == files.PROOF]
    assert api(here, "PATCH", f"/attachments/{hung.id}", archived=True).status_code == 422
    headers = {"x-form-token": here.token}
    way = f"/api/v1/jobs/{job}/attachments"
    sent = here.client.post(way, params={"name": "a", "kind": files.PROOF}, content=b"job: 1", headers=headers)
    assert sent.status_code == 422


@pytest.mark.parametrize("data", [b"\xff\xfe broken", b"job: 1\n", b"photos: [1]\ndays: [[1]]\nvisits: 3\n"])
def test_a_record_that_cannot_be_read_is_told_and_replaced(here: Office, job: str, pumped: Design, data: bytes) -> None:
    """As it may come with a whole job that was packed elsewhere."""
    for key, made in (("proof", choked), ("visits", worn), ("season", wet)):
        files.attach(
            here.store, here.who.firm, job, data, name="a", media_type="text/plain", who="Ash", kind=SORTS[key].kind
        )
        way = f"/jobs/{job}/after/{key}"
        page = here.get(way)
        assert page.status_code == 200
        assert "does not fit the job" in page.text
        assert api(here, "GET", f"{way}/told").status_code == 422
        assert api(here, "GET", way).status_code == 200
        assert here.post(way, base="1", text=made(pumped)).status_code == 303
    typed = {"base": "2", "units": "US", "part": "run", "run": "FD1", "upper": "97.93", "lower": "97.02"}
    assert here.post(f"/jobs/{job}/after/proof/one", **typed).status_code == 303


def test_a_crew_puts_it_in_and_nobody_from_outside(tmp_path: Path, pumped: Design) -> None:
    text = choked(pumped)
    with visitors.office(tmp_path) as served:
        app: FastAPI = served
        firm = staffed(app)
        example, boss = example_of("block-wall-house"), people.person_by_email(app.state.store, "owner@example.org")
        assert example is not None
        assert boss is not None
        who = Who(firm=firm, person=boss.id, name=boss.name, role="owner")
        job = begin_example(app.state.store, who, example).id
        way = f"/jobs/{job}/after/proof"
        crew = browser(app)
        crew.enters("crew@example.org")
        assert crew.submit(way, files={"file": ("proof.yaml", text.encode())}, data={"base": "0"}).status_code == 303
        page = crew.get(way, headers=PEOPLE)
        assert "What to look at" in page.text
        assert "as-built.json" not in page.text
        assert crew.get(f"/jobs/{job}/after/files/as-built.json").status_code == 403
        assert crew.get(f"/api/v1/jobs/{job}/after/files/as-built.json").status_code == 403
        stranger = browser(app)
        for door in (way, f"/jobs/{job}/after", f"/jobs/{job}/after/files/proof.pdf"):
            assert stranger.get(door, headers=PEOPLE, follow_redirects=False).status_code == 303, door
        assert stranger.get(f"/api/v1{way}").status_code == 401
        assert stranger.submit(way, data={"base": "1", "text": text}).status_code == 401
        other = add_firm(app.state.store, "Another").id
        people.add_person(app.state.store, other, "Oak", "oak@example.org", "owner", visitors.known_hash())
        rival = browser(app)
        rival.enters("oak@example.org")
        assert rival.get(f"/api/v1{way}").status_code == 404
        assert rival.get(f"/jobs/{job}/after/files/proof.yaml").status_code == 404
