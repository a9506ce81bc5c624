"""Edits as the yard's devices send them: answered one by one, harmless when sent again, in conflict when overtaken."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from drainwright.design import Design
from drainwright.office.api import operations, yard
from drainwright.office.app import make_app
from drainwright.office.settings import Settings
from drainwright.office.store import revisions
from drainwright.office.store.editing import Operation, said
from drainwright.office.store.jobs import open_job
from drainwright.office.views.first import first
from drainwright.office.who import Who, person_here

from .stored import keep_example

TEXT = """schema_version: 1
title: Wet cellar  # first call
survey:
  level_book:
    - {point: BM, backsight: 5.42 ft}
"""


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = make_app(Settings(store=f"sqlite:///{tmp_path / 'store.sqlite'}"))
    with TestClient(app, base_url="http://127.0.0.1") as found:
        found.headers["x-form-token"] = found.get("/api/v1/form-token").json()["form_token"]
        yield found


@pytest.fixture
def job(client: TestClient) -> str:
    store = client.app.state.store  # type: ignore[attr-defined]
    return open_job(store, person_here(store).firm, TEXT, "Ash").id


def edit(path: str, value: Any, was: Any = None) -> dict[str, Any]:
    return {"id": str(uuid.uuid4()), "path": path, "value": value, "was": was, "made": "2026-05-04T14:03:00.000Z"}


def sent(client: TestClient, job: str, *edits: dict[str, Any]) -> list[dict[str, Any]]:
    answer = client.post(f"/api/v1/jobs/{job}/operations", json={"operations": list(edits)})
    assert answer.status_code == 200, answer.text
    answers = {one["id"]: one for one in answer.json()["answers"]}
    assert len(answers) == len(edits)
    return [answers[one["id"]] for one in edits]


def text_now(client: TestClient, job: str) -> str:
    store = client.app.state.store  # type: ignore[attr-defined]
    return revisions.revision(store, person_here(store).firm, job).text


def test_edits_are_one_revision_and_sent_again_they_change_nothing(client: TestClient, job: str) -> None:
    edits = [
        edit("survey.level_book[+]", {"point": "A", "intermediate": "4 ft 1 in"}),
        edit("survey.points[W1]", {"name": "W1", "east": "3 ft", "north": "4 ft"}),
        edit("survey.points[W1].note", "low spot"),
    ]
    first = sent(client, job, *edits)
    assert {(one["state"], one["revision"]) for one in first} == {("applied", 2)}
    text = text_now(client, job)
    assert "# first call" in text
    survey = said(text)["survey"]
    assert survey["points"] == [{"name": "W1", "east": "3 ft", "north": "4 ft", "note": "low spot"}]
    assert [row["point"] for row in survey["level_book"]] == ["BM", "A"]
    sent(client, job, edit("survey.points[W1].note", "ditch", "low spot"))
    assert sent(client, job, *edits) == first  # with their first revision, though one was changed since
    assert said(text_now(client, job))["survey"]["points"][0]["note"] == "ditch"


def test_what_was_overtaken_is_a_conflict_and_the_others_are_made(client: TestClient, job: str) -> None:
    mine = edit("survey.level_book[0].backsight", "5.44 ft", "5.42 ft")
    sent(client, job, edit("survey.level_book[0].backsight", "5.43 ft", "5.42 ft"))
    found, other = sent(client, job, mine, edit("title", "Wet crawl space", "Wet cellar"))
    assert found["state"] == "conflict"
    assert (found["theirs"], found["who"], found["revision"]) == ("5.43 ft", "Owner", 2)
    assert other["state"] == "applied"
    assert said(text_now(client, job))["survey"]["level_book"][0]["backsight"] == "5.43 ft"
    again = edit("survey.level_book[0].backsight", "5.44 ft", found["theirs"])
    assert sent(client, job, again)[0]["state"] == "applied"


def test_the_only_row_of_a_list_is_taken_out(client: TestClient, job: str) -> None:
    """It was answered with a fault of the office, and every entry behind it waited on the phone for ever."""
    row = {"what": "gas", "by": "owner"}
    (added,) = sent(client, job, edit("utilities_absent[+]", row))
    assert added["state"] == "applied"
    gone = edit("utilities_absent[0]", None, row)
    (answer, other) = sent(client, job, gone, edit("survey.tape_accuracy", "1 in"))
    assert (answer["state"], other["state"]) == ("applied", "applied")
    assert not said(text_now(client, job)).get("utilities_absent")


def test_one_name_given_by_two_phones_is_a_conflict_and_rows_of_both_stand(client: TestClient, job: str) -> None:
    row = edit("survey.level_book[+]", {"point": "A", "intermediate": "4 ft"})
    sent(client, job, edit("survey.points[W1]", {"name": "W1", "east": "3 ft", "north": "4 ft"}), row)
    other = {"name": "W1", "east": "9 ft", "north": "4 ft"}
    more = edit("survey.level_book[+]", {"point": "B", "intermediate": "5 ft"})
    clash, added = sent(client, job, edit("survey.points[W1]", other), more)
    assert (clash["state"], clash["theirs"]["east"], added["state"]) == ("conflict", "3 ft", "applied")
    assert [one["point"] for one in said(text_now(client, job))["survey"]["level_book"]] == ["BM", "A", "B"]


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        ("survey.level_book[+]", {"point": "A", "foresight": "3.8u"}, "3.8u"),
        ("survey.points[W1]", {"name": "W1", "east": "3", "north": "4 ft"}, "a number without a unit"),
        ("survey.level_book[7].foresight", "3 ft", "nothing there"),
        ("survey..x", "3 ft", "survey..x"),
        ("survey.instrument", "guess", "guess"),
    ],
)
def test_what_cannot_stand_there_is_refused_and_said(
    client: TestClient, job: str, path: str, value: Any, told: str
) -> None:
    wrong, right = sent(client, job, edit(path, value), edit("title", "Damp cellar", "Wet cellar"))
    assert (wrong["state"], right["state"]) == ("refused", "applied")
    assert told in wrong["found"]
    assert wrong["expected"]
    assert said(text_now(client, job))["survey"] == said(TEXT)["survey"]


def test_a_walk_begun_is_kept_though_it_is_no_whole_walk_yet(client: TestClient, job: str) -> None:
    begun = [edit("survey.perimeter.start", "A"), edit("survey.perimeter.legs[B]", {"to": "B", "length": "40 ft"})]
    assert {one["state"] for one in sent(client, job, *begun)} == {"applied"}


def test_a_level_is_read_before_its_point_has_a_place(client: TestClient) -> None:
    job = keep_example(client.app.state.store, "block-wall-house")  # type: ignore[attr-defined]
    row = edit("survey.level_book[+]", {"point": "NEW", "intermediate": "4.1 ft"})
    tie = edit("survey.points[N2]", {"name": "N2", "along": ["NEW", "A"], "distance": "2 ft"})
    assert [one["state"] for one in sent(client, job, row, tie)] == ["applied", "applied"]
    (wrong,) = sent(client, job, edit("survey.level_book[+]", {"point": "NEW", "intermediate": "4.1 fet"}))
    assert wrong["state"] == "refused"  # what is wrong by itself still is


def test_a_job_of_nobody_here_and_a_body_of_another_kind_are_told(client: TestClient, job: str) -> None:
    assert client.post("/api/v1/jobs/none/operations", json={"operations": [edit("title", "x")]}).status_code == 404
    assert client.post(f"/api/v1/jobs/{job}/operations", json={"operations": []}).status_code == 422
    one = edit("title", "x", "Wet cellar")
    assert client.post(f"/api/v1/jobs/{job}/operations", json={"operations": [one, one]}).status_code == 422


CREW = Who(firm="f", person="p", name="Ash", role="crew")


def test_a_crew_writes_what_it_measures_and_no_prices() -> None:
    wrong = operations._operation(operations.Sent(id="1", path="works.runs[FD1].duty", value="x"), CREW)
    assert isinstance(wrong, operations.Reply)
    assert wrong.state == "refused"
    right = operations._operation(operations.Sent(id="2", path="survey.points[W1]", value={"name": "W1"}), CREW)
    assert isinstance(right, Operation)


def test_the_yard_gets_the_record_and_what_is_still_missing(client: TestClient, job: str) -> None:
    answer = client.get(f"/api/v1/jobs/{job}/yard")
    assert answer.json() == {"revision": 1, "record": said(TEXT)}
    still = client.get(f"/api/v1/jobs/{job}/yard/still").json()
    assert still["revision"] == 1
    assert any("house" in one for one in still["missing"])
    assert client.get("/api/v1/jobs/none/yard").status_code == 404
    assert "Yard" in client.get(f"/jobs/{job}/yard", headers={"accept": "text/html"}).text


def test_what_is_still_to_be_measured_is_told_in_whole_sentences(pumped: Design) -> None:
    shown = first(pumped)
    assert any(one.taken.endswith(".") for one in shown.unmeasured)
    told = yard._of(shown)
    assert len(told) >= len(shown.unmeasured) > 3
    assert not [one for one in told if ".," in one or ". (" in one or ".." in one]
