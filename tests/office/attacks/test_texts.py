"""Scripts in every text, names that lead elsewhere, and files that a document must not reach."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI

from drainwright.job.loading import load
from drainwright.office.store import files
from drainwright.office.who import person_here
from tests.office.attacks.doors import doors, fillings
from tests.office.test_api import call
from tests.office.visitors import PEOPLE, Visitor, browser, office

EXAMPLE = Path(__file__).resolve().parents[3] / "examples" / "sloping-lot" / "job.yaml"
MARK = "<script>alert(1)</script>"
BREAKS_OUT = "'\"><img src=x onerror=alert(2)>"
NASTY = MARK + BREAKS_OUT
FREE = {"title", "notes", "note", "address", "town", "description", "what", "words", "warranty", "exclusions", "terms",
        "phone", "licence", "license", "email", "why", "remark", "cancellation"}  # fmt: skip


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    with office(tmp_path_factory.mktemp("texts"), local=True) as made:
        yield made


@pytest.fixture(scope="module")
def program(app: FastAPI) -> Visitor:
    return browser(app)


def poisoned(record: Any, key: str = "") -> Any:
    """A job with a script in every text that is free."""
    if isinstance(record, dict):
        made = {name: poisoned(value, name) for name, value in record.items()}
        if key in {"customer", "firm"} and "name" in made:
            made["name"] = f"{made['name']} {NASTY}"
        return made
    if isinstance(record, list):
        return [poisoned(one, key) for one in record]
    return f"{record} {NASTY}" if isinstance(record, str) and key in FREE else record


@pytest.fixture(scope="module")
def job(program: Visitor) -> str:
    record = poisoned(load(EXAMPLE.read_text(encoding="utf-8"), "job.yaml").record)
    text = json.dumps(record, default=str, ensure_ascii=False)
    assert text.count("onerror") > 5
    made = call(program, "POST", "/jobs", json={"text": text})
    assert made.status_code == 201, made.text
    found: str = made.json()["id"]
    design = program.get(f"/api/v1/jobs/{found}/design")
    assert design.status_code == 200, design.text  # else the pages would show none of it
    return found


def test_a_script_in_a_text_is_shown_and_never_run(app: FastAPI, program: Visitor, job: str) -> None:
    customer = call(program, "POST", "/customers", json={"name": NASTY, "address": NASTY, "note": NASTY}).json()
    put = {"name": f"{NASTY}.csv", "note": NASTY, "pin": NASTY, "kind": "paper"}
    hung = call(program, "POST", f"/jobs/{job}/attachments", params=put, content=b"a,b\n").json()["attachment"]
    call(program, "POST", f"/jobs/{job}/diary", json={"kind": "note", "words": NASTY})
    call(program, "POST", f"/jobs/{job}/service", json={"due": "2027-01-01", "what": NASTY})
    ids = {"job": job, "customer": customer["id"], "attachment": hung["id"], "token": "x" * 43, "link": "x",
           "book": "x", "reminder": "x", "person": "x"}  # fmt: skip
    shown = 0
    for door in doors(app):
        if door.method != "GET":
            continue
        for values in fillings(door, ids):
            answer = program.get(door.at(values), headers=PEOPLE)
            kind = answer.headers.get("content-type", "").partition(";")[0]
            if kind in {"text/html", "image/svg+xml", "application/xhtml+xml"}:
                assert MARK not in answer.text, door
                assert "<img src=x" not in answer.text, door
                shown += "alert(" in answer.text
            else:
                assert answer.headers["x-content-type-options"] == "nosniff"
    assert shown >= 6


def test_what_was_typed_comes_back_as_text(program: Visitor) -> None:
    for path, data in (("/jobs/new", {"title": NASTY, "name": NASTY, "text": NASTY}), ("/nowhere" + BREAKS_OUT, {})):
        answer = program.submit(path, data=data)
        assert "<img src=x" not in answer.text
        assert MARK not in answer.text
    assert "<img src=x" not in program.get("/sign-in?back=" + BREAKS_OUT, headers=PEOPLE).text
    for path in ("/?q=" + BREAKS_OUT, "/firm/customers?q=" + BREAKS_OUT, "/jobs/new?customer=" + BREAKS_OUT):
        assert "<img src=x" not in program.get(path, headers=PEOPLE).text


@pytest.mark.parametrize(
    "name", ["../../../etc/passwd", "..%2f..%2f..%2fetc%2fpasswd", "%2e%2e/%2e%2e/etc/passwd", "/etc/passwd"]
)
def test_names_lead_to_no_file_of_the_machine(program: Visitor, job: str, name: str) -> None:
    for path in (f"/assets/{name}", f"/api/v1/jobs/{job}/papers/{name}", f"/jobs/{job}/drawings/{name}.svg",
                 f"/jobs/{job}/papers/{name}", f"/jobs/{job}/revisions/{name}.yaml"):  # fmt: skip
        answer = program.get(path)
        assert answer.status_code in {404, 405, 422}, path
        assert "root:" not in answer.text


@pytest.mark.parametrize("key", ["price_book", "rain", "pumps_file", "logo"])
def test_a_document_reaches_no_file_but_those_beside_it(program: Visitor, key: str, tmp_path: Path) -> None:
    secret = tmp_path / "secret.csv"
    secret.write_text("a secret of the machine\n")
    record = load(EXAMPLE.read_text(encoding="utf-8"), "job.yaml").record
    up = "../" * 12
    for name in (str(secret), f"{up}{str(secret)[1:]}"):
        changed = json.loads(json.dumps(record, default=str))
        match key:
            case "price_book":
                changed["price_book"] = {"file": name}
            case "rain":
                changed["rain"] = {**changed["rain"], "table_file": name, "file": name, "record": name}
            case "logo":
                changed["firm"] = {**changed.get("firm", {}), "logo": name}
            case _:
                changed[key] = name
        made = call(program, "POST", "/jobs", json={"text": json.dumps(changed)})
        answer = program.get(f"/api/v1/jobs/{made.json()['id']}/results")
        assert "a secret of the machine" not in made.text + answer.text
        assert answer.status_code == 422, answer.text[:300]


def test_a_file_beside_a_job_lies_in_its_folder_alone(app: FastAPI, program: Visitor, tmp_path: Path) -> None:
    store = app.state.store
    one = person_here(store)
    text = EXAMPLE.read_text(encoding="utf-8") + "\n# another\n"
    made = call(program, "POST", "/jobs", json={"text": text}).json()["id"]
    files.attach(store, one.firm, made, b"x", name="../../outside.txt", media_type="text/plain", who="x", kind="beside")
    answer = program.get(f"/api/v1/jobs/{made}/design")
    assert answer.status_code == 422
    assert "outside.txt" in answer.text
