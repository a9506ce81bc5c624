"""The API: jobs, documents, attachments, whole jobs; how it refuses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from httpx import Response

from tests.office.full import YARD
from tests.office.test_uploads import photo
from tests.office.visitors import Visitor, browser, office

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sloping-lot" / "job.yaml"


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    with office(tmp_path_factory.mktemp("api"), local=True) as made:
        yield made


@pytest.fixture(scope="module")
def program(app: FastAPI) -> Visitor:
    return browser(app)


def call(program: Visitor, method: str, path: str, **more: Any) -> Response:
    headers = {"x-form-token": program.token(), **more.pop("headers", {})}
    return program.request(method, f"/api/v1{path}", headers=headers, **more)


@pytest.fixture
def job(program: Visitor) -> str:
    made = call(program, "POST", "/jobs", json={"text": YARD})
    assert made.status_code == 201, made.text
    found: str = made.json()["id"]
    assert made.headers["location"] == f"/api/v1/jobs/{found}"
    return found


def test_jobs_are_begun_found_moved_on_and_laid_away(program: Visitor) -> None:
    starter = call(program, "POST", "/jobs", json={"units": "SI"}).json()
    named = call(program, "POST", "/jobs", json={"text": "title: A marble mill\n"}).json()
    found = program.get("/api/v1/jobs", params={"words": "MARBLE"}).json()
    assert [one["job"]["id"] for one in found] == [named["id"]]
    assert "firm" in found[0]["job"]
    moved = call(program, "PUT", f"/jobs/{named['id']}/stage", json={"stage": "visited"})
    assert moved.json()["stage"] == "visited"
    assert call(program, "PUT", f"/jobs/{named['id']}/stage", json={"stage": "x"}).status_code == 422
    assert call(program, "PUT", f"/jobs/{starter['id']}/archived", json={"archived": True}).json()["archived"] is True
    assert starter["id"] not in program.get("/api/v1/jobs").text
    assert starter["id"] in program.get("/api/v1/jobs", params={"archived": True}).text
    assert call(program, "POST", f"/jobs/{named['id']}/diary", json={"words": "rang back"}).status_code == 201
    assert [one["words"] for one in program.get(f"/api/v1/jobs/{named['id']}/diary").json()][:2] == [
        "rang back", "called -> visited",
    ]  # fmt: skip


def test_a_job_has_a_tag(program: Visitor, job: str) -> None:
    for path in (f"/api/v1/jobs/{job}", f"/api/v1/jobs/{job}/document", f"/api/v1/jobs/{job}/document.yaml"):
        first = program.get(path)
        again = program.get(path, headers={"if-none-match": first.headers["etag"]})
        assert (first.status_code, again.status_code, again.content) == (200, 304, b"")
        assert "private" in first.headers["cache-control"]


def test_a_document_is_saved_on_the_revision_it_was_made_of(program: Visitor, job: str) -> None:
    path = f"/jobs/{job}/document"
    first = program.get(f"/api/v1{path}").json()
    assert (first["number"], first["text"]) == (1, YARD)
    saved = call(program, "PUT", path, json={"base": 1, "text": YARD.replace("Wet cellar", "Damp cellar")})
    assert (saved.status_code, saved.json()["number"]) == (201, 2)
    same = call(program, "PUT", path, json={"base": 2, "text": saved.json()["text"]})
    assert (same.status_code, same.json()["number"]) == (200, 2)
    late = call(program, "PUT", path, json={"base": 1, "text": YARD.replace("Wet cellar", "Dry cellar")})
    assert late.status_code == 409
    told = late.json()
    assert told["type"] == "about:blank"
    assert (told["base"]["revision"], told["theirs"]["revision"]) == (1, 2)
    assert "Dry cellar" in told["mine"]["text"]
    assert told["paths"]["overlapping"] == ["title"]
    other = YARD.replace("wet: true", "wet: false")
    assert call(program, "PUT", path, json={"base": 1, "text": other}).status_code == 409
    merged = call(program, "PUT", path, json={"base": 1, "text": other, "merge": True})
    assert merged.status_code == 201
    assert "Damp cellar" in merged.json()["text"]
    assert "wet: false" in merged.json()["text"]


def test_revisions_are_listed_compared_and_restored(program: Visitor, job: str) -> None:
    call(program, "PUT", f"/jobs/{job}/document", json={"base": 1, "text": YARD.replace("Wet", "Damp")})
    listed = program.get(f"/api/v1/jobs/{job}/revisions").json()
    assert [one["number"] for one in listed] == [2, 1]
    assert "text" not in listed[0]
    changed = program.get(f"/api/v1/jobs/{job}/compare", params={"old": 1, "new": 2}).json()
    assert [(one["path"], one["old"], one["new"]) for one in changed] == [("title", "Wet cellar", "Damp cellar")]
    assert call(program, "POST", f"/jobs/{job}/restore", json={"number": 1}).json()["text"] == YARD
    assert program.get(f"/api/v1/jobs/{job}/revisions/9").status_code == 404


def test_what_cannot_be_parsed_is_refused_with_its_line(program: Visitor, job: str) -> None:
    answer = call(program, "PUT", f"/jobs/{job}/document", json={"base": 1, "text": "title: [open\n"})
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["errors"][0]["expected"]


def test_a_photo_hangs_on_a_job(program: Visitor, job: str) -> None:
    put = {"name": "south.heic", "note": "crack", "pin": "house.walls[south]", "keep_time": True}
    made = call(program, "POST", f"/jobs/{job}/attachments", params=put, content=photo())
    assert made.status_code == 201, made.text
    kept = made.json()["attachment"]
    assert (kept["name"], kept["media_type"]) == ("south.jpg", "image/jpeg")
    assert kept["note"] == "crack\nTaken 2026-05-04 14:03 by the camera's clock."
    assert made.json()["place"] is None
    shown = program.get(f"/api/v1/attachments/{kept['id']}")
    assert shown.headers["content-type"] == "image/jpeg"
    assert "sandbox" in shown.headers["content-security-policy"]
    assert [one["id"] for one in program.get(f"/api/v1/jobs/{job}/attachments").json()] == [kept["id"]]
    assert call(program, "PATCH", f"/attachments/{kept['id']}", json={"archived": True}).json()["archived"] is True
    assert program.get(f"/api/v1/jobs/{job}/attachments").json() == []


def test_files_of_other_kinds_and_sizes_are_refused(program: Visitor, job: str) -> None:
    path = f"/jobs/{job}/attachments"
    svg = b"<svg><script>alert(1)</script></svg>"
    assert call(program, "POST", path, params={"name": "a.jpg"}, content=svg).status_code == 415
    assert call(program, "POST", path, params={"name": "a.jpg"}, content=b"").status_code == 422
    assert call(program, "POST", path, params={"name": "a.jpg"}, content=bytes(21_000_001)).status_code == 413
    streamed = call(program, "POST", path, params={"name": "a"}, content=iter([b"a" * 1_000_000] * 22))
    assert streamed.status_code == 413
    assert "21 megabytes" in streamed.json()["detail"]
    assert program.get(f"/api/v1{path}").json() == []


def test_a_whole_job_goes_out_and_comes_in(program: Visitor, job: str) -> None:
    packed = program.get(f"/api/v1/jobs/{job}/whole")
    assert packed.headers["content-type"] == "application/zip"
    again = call(program, "POST", "/jobs/import", content=packed.content)
    assert again.status_code == 201
    assert again.json()["id"] != job
    assert call(program, "POST", "/jobs/import", content=b"PK nothing").status_code == 422


@pytest.mark.parametrize(
    ("method", "path", "more", "status"),
    [
        ("POST", "/jobs", {"content": b"{", "headers": {"content-type": "application/json"}}, 400),
        ("POST", "/jobs", {"json": {"texts": "x"}}, 422),
        ("POST", "/jobs", {"json": {"text": "title: \x00\n"}}, 422),
        ("POST", "/jobs", {"json": {"customer": "nobody"}}, 404),
        ("GET", "/jobs/none", {}, 404),
        ("GET", "/jobs?most=0", {}, 422),
        ("GET", "/jobs?skip=99999999999999999999999", {}, 422),
        ("DELETE", "/jobs", {}, 405),
    ],
)
def test_refusals_are_problem_details(
    program: Visitor, method: str, path: str, more: dict[str, Any], status: int
) -> None:
    answer = call(program, method, path, **more)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == status
