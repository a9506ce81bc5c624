"""The API's answers: what a design tells, papers, what if; offers, hours and service; the firm's own."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from drainwright.job.book_starter import new_book_text
from tests.office.test_api import call
from tests.office.visitors import Visitor, browser, office

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sloping-lot" / "job.yaml"


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    with office(tmp_path_factory.mktemp("answers"), local=True) as made:
        yield made


@pytest.fixture(scope="module")
def program(app: FastAPI) -> Visitor:
    return browser(app)


@pytest.fixture(scope="module")
def job(program: Visitor) -> str:
    found: str = call(program, "POST", "/jobs", json={"text": EXAMPLE.read_text(encoding="utf-8")}).json()["id"]
    return found


@pytest.fixture(scope="module")
def whole(program: Visitor, job: str) -> dict[str, object]:
    answer = program.get(f"/api/v1/jobs/{job}/results")
    assert answer.status_code == 200, answer.text
    found: dict[str, object] = answer.json()
    return found


def test_results_are_those_of_the_command(whole: dict[str, object]) -> None:
    from drainwright.design import design
    from drainwright.job.reading import read_job
    from drainwright.results import design_to_plain

    own = json.loads(json.dumps(design_to_plain(design(read_job(EXAMPLE))), allow_nan=False))
    assert whole == own


def test_what_is_picked_agrees_with_the_whole(program: Visitor, job: str, whole: dict[str, object]) -> None:
    found = program.get(f"/api/v1/jobs/{job}/design").json()
    assert found["sound"] == whole["sound"]
    assert found["total"] == whole["build"]["price"]["total"]  # type: ignore[index]
    assert program.get(f"/api/v1/jobs/{job}/findings").json() == whole["findings"]
    assert program.get(f"/api/v1/jobs/{job}/answers").json() == whole["answers"]
    for reader in ("customer", "crew"):
        assert program.get(f"/api/v1/jobs/{job}/answers", params={"reader": reader}).json()


def test_storm_cases(program: Visitor, job: str) -> None:
    cases = program.get(f"/api/v1/jobs/{job}/storm").json()
    assert len(cases) > 1
    one = program.get(f"/api/v1/jobs/{job}/storm/{cases[1]['key']}").json()
    assert one["case"]["key"] == cases[1]["key"]
    assert len(json.dumps(one)) > len(json.dumps(cases[1]))
    assert program.get(f"/api/v1/jobs/{job}/storm/flood").status_code == 404


def test_what_if_changes_nothing_that_is_saved(program: Visitor, job: str) -> None:
    found = call(program, "POST", f"/jobs/{job}/what-if", json={"changes": {"ground.texture": "clay"}})
    assert found.status_code == 200, found.text
    assert found.json()["price"]["before"] != found.json()["price"]["after"]
    assert program.get(f"/api/v1/jobs/{job}/document").json()["number"] == 1
    wrong = call(program, "POST", f"/jobs/{job}/what-if", json={"changes": {"crew.king": 2}})
    assert wrong.status_code == 422
    assert wrong.json()["errors"][0]["where"].startswith("crew")


def test_papers_come_by_name_with_their_types(program: Visitor, job: str) -> None:
    names = program.get(f"/api/v1/jobs/{job}/papers").json()
    assert {"proposal.pdf", "order.csv", "plan.svg"} <= set(names)
    for name, kind, begins in (
        ("place-sheet.pdf", "application/pdf", b"%PDF-"), ("order.csv", "text/csv; charset=utf-8", b""),
        ("plan.svg", "image/svg+xml", b"<"), ("drawing.dxf", "image/vnd.dxf", b""),
    ):  # fmt: skip
        found = program.get(f"/api/v1/jobs/{job}/papers/{name}")
        assert (found.status_code, found.headers["content-type"]) == (200, kind), name
        assert found.content.startswith(begins)
        assert found.headers["content-disposition"] == f'attachment; filename="{name}"'
    for name in ("x.pdf", "..%2f..%2fetc%2fpasswd", "proposal.PDF", "proposal.exe"):
        assert program.get(f"/api/v1/jobs/{job}/papers/{name}").status_code == 404


def test_a_document_that_is_no_job_yet_is_told(program: Visitor) -> None:
    made = call(program, "POST", "/jobs", json={"text": "schema_version: 1\ntitle: Wet cellar\n"}).json()
    found = program.get(f"/api/v1/jobs/{made['id']}/design")
    assert found.status_code == 422
    assert {"survey", "house"} <= {one["where"] for one in found.json()["errors"]}


def test_an_offer_is_accepted_and_the_link_taken_back(program: Visitor, job: str, whole: dict[str, object]) -> None:
    link = call(program, "POST", f"/jobs/{job}/links", json={"days": 3}).json()
    assert link["path"] == f"/c/{link['token']}"
    assert link["token"] not in program.get(f"/api/v1/jobs/{job}/links").text
    assert call(program, "DELETE", f"/links/{link['link']['id']}").json()["revoked"] is not None
    signed: dict[str, object] = {"by": "M. Tamarind", "on": "2026-04-20", "revision": 1}
    answer = call(program, "POST", f"/jobs/{job}/acceptances", json=signed)
    if whole["sound"]:
        assert answer.status_code == 422  # at prices that are not the firm's own
        assert "the demonstration's or of an invented book" in answer.json()["detail"]
        signed["demonstration_prices"] = True
        answer = call(program, "POST", f"/jobs/{job}/acceptances", json=signed)
        assert answer.status_code == 201, answer.text
        assert "demonstration prices" in answer.text
        assert len(answer.json()["record"]["mark"]) == 64
        assert len(program.get(f"/api/v1/jobs/{job}/acceptances").json()) == 1
    else:
        assert answer.status_code == 422
        assert "checks that fail" in answer.json()["detail"]
    wrong = call(program, "POST", f"/jobs/{job}/acceptances", json={**signed, "options": ["king"]})
    assert wrong.status_code == 422


def test_hours_and_service(program: Visitor, job: str) -> None:
    assert program.get(f"/api/v1/jobs/{job}/hours").status_code == 404
    assert call(program, "PUT", f"/jobs/{job}/hours", json={"text": "tasks: [x\n"}).status_code == 422
    visit = call(program, "POST", f"/jobs/{job}/service", json={"due": "2027-04-01", "what": "look at the pump"})
    assert visit.status_code == 201, visit.text
    done = call(program, "POST", f"/service/{visit.json()['id']}/done").json()
    assert done["done_by"]
    assert program.get("/api/v1/service").json() == []
    assert len(program.get("/api/v1/service", params={"done": True}).json()) == 1


def test_customers_and_books(program: Visitor) -> None:
    made = call(program, "POST", "/customers", json={"name": "R. Bramble"}).json()
    told = call(program, "PATCH", f"/customers/{made['id']}", json={"phone": "555-0142"}).json()
    assert (told["name"], told["phone"]) == ("R. Bramble", "555-0142")
    import datetime

    text = new_book_text(datetime.date(2026, 3, 2))
    wrong = call(program, "POST", "/books", json={"kind": "price book", "name": "spring", "text": "x: 1\n"})
    assert wrong.status_code == 422
    book = call(program, "POST", "/books", json={"kind": "price book", "name": "spring", "text": text}).json()
    put = {"base": 1, "text": text + "\n"}
    assert call(program, "PUT", f"/books/{book['id']}", json=put).json()["number"] == 2
    late = call(program, "PUT", f"/books/{book['id']}", json=put)
    assert (late.status_code, late.json()["theirs"]["revision"]) == (409, 2)
    assert [one["number"] for one in program.get(f"/api/v1/books/{book['id']}/revisions").json()] == [2, 1]
    assert program.get(f"/api/v1/books/{book['id']}/prices.csv").text.startswith("key,description,unit,price")
    assert program.get("/api/v1/who").json()["role"] == "owner"
    assert "password" not in program.get("/api/v1/firm/people").text
