"""What was typed after a job is changed and taken out, and sent from a device's queue: nothing of it is lost."""

from __future__ import annotations

import re
import uuid
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest
from httpx import Response

from drainwright.design import Design
from drainwright.job.loading import load
from drainwright.office.after import SORTS, recorded, stage_that_follows
from drainwright.office.pages.after_entries import PARTS, alike, noted, put, standing, take_out
from drainwright.office.pages.fields import Sent
from drainwright.office.store import jobs

from .finished import choked, wet, worn
from .firm_pages import Office, office
from .stored import keep_example

RUN = {"run": "FD1", "upper": "97.93", "lower": "97.02"}


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("entries")) as found:
        yield found


@pytest.fixture
def job(here: Office) -> str:
    return keep_example(here.store, "block-wall-house")


def sent(here: Office, job: str, *operations: dict[str, Any]) -> list[dict[str, Any]]:
    body = {"operations": [{"id": str(uuid.uuid4()), **one} for one in operations]}
    headers = {"x-form-token": here.token}
    answer: Response = here.client.post(f"/api/v1/jobs/{job}/operations", headers=headers, json=body)
    assert answer.status_code == 200, answer.text
    found: list[dict[str, Any]] = answer.json()["answers"]
    return found


def record_of(here: Office, job: str, key: str) -> dict[str, Any]:
    kept = recorded(here.store, here.who.firm, job, SORTS[key])
    assert kept is not None
    SORTS[key].read(kept.text, "record")
    return load(kept.text, "record", "a record").record


@pytest.mark.parametrize(("key", "made"), [("proof", choked), ("visits", worn)])
def test_every_entry_of_a_record_goes_into_its_form_and_comes_out_the_same(pumped: Design, key: str, made: Any) -> None:
    record = load(made(pumped), "record", "a record").record
    entries = noted(record, key)
    assert entries
    assert all(one.changes for one in entries)
    for one in entries:
        part = PARTS[one.part]
        entry = part.read(Sent(one.texts, {}), "US")
        assert alike(part, standing(record, part, entry), entry, "US")


def test_a_season_goes_into_its_form_and_comes_out_the_same(pumped: Design) -> None:
    record, part = load(wet(pumped), "record", "a record").record, PARTS["season"]
    entry = standing(record, part, {})
    assert entry is not None
    assert part.texts is not None
    assert len(part.read(Sent(part.texts(entry), {}), "SI")["days"]) == 60


def test_what_no_form_fills_stays_when_an_entry_is_changed() -> None:
    """A basin's measured rim and diameter were lost when its floats were noted again."""
    tree: dict[str, Any] = {
        "as_built": {"basins": [{"basin": "SUMP", "rim": "99 ft", "diameter": "18 in", "on": "1 in"}]}
    }
    part = PARTS["floats"]
    put(tree, part, part.read(Sent({"basin": "SUMP", "on": "27", "off": "3"}, {}), "US"))
    kept = {"basin": "SUMP", "rim": "99 ft", "diameter": "18 in", "on": "27 in", "off": "3 in"}
    assert tree["as_built"]["basins"] == [kept]
    take_out(tree, part, {"basin": "SUMP"})
    assert tree == {"as_built": {}}


def test_a_test_with_more_than_its_form_has_room_for_is_not_changed_in_it() -> None:
    looks = [["0 s", "20 in"], ["10 s", "21 in"]]
    stretches = [{"while": "pumping", "readings": looks}, {"while": "pumping", "readings": looks}]
    (one,) = noted({"basins": [{"basin": "SUMP", "stretches": stretches}]}, "proof")
    assert not one.changes
    (same,) = noted({"basins": [{"basin": "SUMP", "stretches": stretches[:1]}]}, "proof")
    assert same.changes
    assert same.texts["pumping"] == "0 s, 20 in\n10 s, 21 in"


def test_an_entry_is_changed_and_taken_out_by_its_forms_without_script(here: Office, job: str) -> None:
    way = f"/jobs/{job}/after/proof"
    assert here.post(f"{way}/one", base="0", units="US", part="run", **RUN).status_code == 303
    page = unescape(here.get(way).text)
    assert "Run FD1: upper 97.93 ft; lower 97.02 ft" in re.sub(r"<[^>]+>", "", page)
    (change,) = re.findall(rf'href="({way}\?change=run&which=FD1)#form-run"', page)
    opened = here.get(change).text.partition('id="form-run"')[2]
    assert 'value="97.93 ft"' in opened.partition("</form>")[0]
    assert opened.startswith(" open")
    assert here.post(f"{way}/one", base="1", units="US", part="run", **RUN | {"lower": "96.9"}).status_code == 303
    assert [one["lower"] for one in record_of(here, job, "proof")["as_built"]["runs"]] == ["96.9 ft"]
    late = here.post(f"{way}/one", base="1", units="US", part="run", out="yes", run="FD1")
    assert late.status_code == 409
    assert here.post(f"{way}/one", base="2", units="US", part="run", out="yes", run="FD1").status_code == 303
    assert "runs" not in record_of(here, job, "proof").get("as_built", {})


def test_visits_are_changed_and_taken_out_and_the_last_one_stays(here: Office, job: str, pumped: Design) -> None:
    way = f"/jobs/{job}/after/visits"
    assert here.post(way, base="0", text=worn(pumped)).status_code == 303
    form = unescape(here.get(f"{way}?change=visit&which=2028-12-01").text).partition('id="form-visit"')[2]
    assert 'value="2028-12-01"' in form
    assert re.search(r'name="flow:SUMP" value="[0-9.]+ L/min"', form)
    for base, day in enumerate(("2028-12-01", "2027-12-01", "2029-12-01"), start=1):
        one = {"part": "visit", "out": "yes", "on": day, "units": "US"}
        assert here.post(f"{way}/one", base=str(base), **one).status_code == 303, day
    assert [one["on"] for one in record_of(here, job, "visits")["visits"]] == ["2030-12-01"]
    last = here.post(f"{way}/one", base="4", part="visit", out="yes", on="2030-12-01", units="US")
    assert last.status_code == 422


def test_entries_from_a_devices_queue_make_one_saving_and_do_no_harm_twice(here: Office, job: str) -> None:
    first = {"id": str(uuid.uuid4()), "path": "after.proof.run", "value": RUN, "was": None}
    hose = {"inlet": "CB1", "bucket": "5", "fills": "34, 35", "came": "yes"}
    answers = sent(here, job, first, {"path": "after.proof.hose", "value": hose, "was": None})
    assert [(one["state"], one["revision"]) for one in answers] == [("applied", 1), ("applied", 1)]
    changed = {"path": "after.proof.run", "value": RUN | {"lower": "96.9 ft"}, "was": RUN}
    assert sent(here, job, changed)[0]["state"] == "applied"
    assert sent(here, job, first)[0] == {**sent(here, job, first)[0], "state": "applied", "revision": 2}
    record = record_of(here, job, "proof")
    assert record["as_built"]["runs"] == [{"run": "FD1", "upper": "97.93 ft", "lower": "96.9 ft"}]
    assert record["hoses"][0]["fills"] == ["34 s", "35 s"]
    out = {"path": "after.proof.hose", "value": None, "was": hose}
    assert sent(here, job, out)[0]["state"] == "applied"
    assert "hoses" not in record_of(here, job, "proof")


def test_an_entry_that_somebody_changed_meanwhile_is_a_conflict_and_theirs_is_told(here: Office, job: str) -> None:
    sent(here, job, {"path": "after.proof.run", "value": RUN, "was": None})
    other = {"path": "after.proof.run", "value": RUN | {"upper": "98.1"}, "was": None}
    (answer,) = sent(here, job, other)
    assert (answer["state"], answer["who"]) == ("conflict", here.who.name)
    assert answer["theirs"] == {"run": "FD1", "upper": "97.93 ft", "lower": "97.02 ft"}
    assert sent(here, job, other | {"was": answer["theirs"]})[0]["state"] == "applied"
    gone = {"path": "after.proof.run", "value": None, "was": RUN}
    assert sent(here, job, gone)[0]["state"] == "conflict"
    assert record_of(here, job, "proof")["as_built"]["runs"][0]["upper"] == "98.1 ft"


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("after.proof.lid", RUN, "after.proof.lid"),
        ("after", RUN, "after"),
        ("after.visits.run", RUN, "after.visits.run"),
        ("after.proof.run", 7, "no fields"),
        ("after.proof.run", {"run": ["FD1"]}, "no fields"),
        ("after.proof.run", None, "no fields"),
        ("after.proof.run", RUN | {"upper": "high"}, "high"),
        ("after.visits.visit", {"on": "soon", "in_service": "2026-12-01"}, "soon"),
    ],
)
def test_what_cannot_stand_in_a_record_is_refused_in_words(
    here: Office, job: str, path: str, value: Any, words: str
) -> None:
    (answer,) = sent(here, job, {"path": path, "value": value, "was": None})
    assert answer["state"] == "refused"
    assert words in answer["found"]
    assert recorded(here.store, here.who.firm, job, SORTS["proof"]) is None


def test_a_visit_and_a_jobs_own_value_come_in_one_sending(here: Office, job: str) -> None:
    visit = {"on": "2027-12-01", "in_service": "2026-12-01", "flow:SUMP": "66.1", "found:roots": "yes"}
    title = here.client.get(f"/api/v1/jobs/{job}/yard").json()["record"]["title"]
    answers = sent(
        here, job, {"path": "after.visits.visit", "value": visit, "was": None},
        {"path": "title", "value": "Wet floors, mended", "was": title},
    )  # fmt: skip
    assert [one["state"] for one in answers] == ["applied", "applied"]
    (kept,) = record_of(here, job, "visits")["visits"]
    assert kept["basins"] == [{"basin": "SUMP", "flow": "66.1 gpm"}]


def test_a_stage_is_offered_by_a_record_and_moved_by_a_person_alone(here: Office, job: str) -> None:
    way = f"/jobs/{job}/after/visits"
    assert "stands at" not in here.get(way).text
    visit = {"part": "visit", "units": "US", "in_service": "2026-12-01", "on": "2027-12-01", "base": "0"}
    assert here.post(f"{way}/one", **visit).status_code == 303
    assert jobs.job(here.store, here.who.firm, job).stage == "designed"
    assert "stands at “Designed”" in unescape(here.get(way).text)
    told = here.post(f"/jobs/{job}/office", stage="serviced", why="by its visits", back="after/visits")
    assert told.headers["location"] == way
    assert jobs.job(here.store, here.who.firm, job).stage == "serviced"
    assert "stands at" not in here.get(way).text
    away = here.post(f"/jobs/{job}/office", stage="serviced", back="//elsewhere.example")
    assert away.headers["location"] == f"/jobs/{job}/history"


def test_the_stage_that_a_record_tells() -> None:
    assert stage_that_follows("accepted", "proof", {"job": "A"}, passes=True) == "handed over"
    assert stage_that_follows("accepted", "proof", {"job": "A"}, passes=False) == "digging"
    assert stage_that_follows("handed over", "proof", {"job": "A"}, passes=True) is None
    assert stage_that_follows("handed over", "season", {"job": "A"}, passes=False) == "serviced"
    assert stage_that_follows("called", "visits", {}, passes=False) is None


def test_the_photograph_of_a_checkpoint_is_named_put_otherwise_and_taken_out_by_what_stood_there(
    here: Office, job: str
) -> None:
    way, one, other = "after.proof.photo", {"checkpoint": "2", "file": "a.jpg"}, {"checkpoint": "2", "file": "b.jpg"}
    assert sent(here, job, {"path": way, "value": one, "was": None})[0]["state"] == "applied"
    (late,) = sent(here, job, {"path": way, "value": other, "was": None})
    assert (late["state"], late["theirs"]) == ("conflict", one)
    (mine,) = sent(here, job, {"path": way, "value": other, "was": late["theirs"]})  # as a person chose
    assert mine["state"] == "applied"
    assert record_of(here, job, "proof")["photos"] == [{"checkpoint": 2, "file": "b.jpg"}]
    assert sent(here, job, {"path": way, "value": None, "was": one})[0]["state"] == "conflict"
    assert sent(here, job, {"path": way, "value": None, "was": other})[0]["state"] == "applied"
    assert "photos" not in record_of(here, job, "proof")
    (bare,) = sent(here, job, {"path": way, "value": {"checkpoint": "2"}, "was": None})
    assert (bare["state"], bare["expected"]) != ("applied", None)


def test_the_day_stands_in_no_field_of_a_float(here: Office, job: str) -> None:
    """The height at which the pump starts is called ``on``, as a day is: the form opened with today's date in it."""
    page = here.get(f"/jobs/{job}/after/proof").text
    assert re.findall(r'<input id="floats-on" name="on" value="([^"]*)"', page) == [""]
    assert re.findall(r'<input id="signed-on" name="on" value="([^"]*)"', page) != [""]
