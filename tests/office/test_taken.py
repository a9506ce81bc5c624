"""What a job took: noted row by row, held against the plan, learnt by the price book and taken back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from httpx import Response

from drainwright.job.actuals import read_actuals_text
from drainwright.job.book_file import read_book_text
from drainwright.office.store.books import PRICES, save_the_book, the_book
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.files import CameBetween
from drainwright.office.store.jobs import add_firm, open_job
from drainwright.office.store.opening import Store
from drainwright.office.taken import keep, taken, told, written
from drainwright.office.who import Who

from .firm_pages import EXAMPLES, Office, office
from .stored import keep_example

FOLDER = EXAMPLES / "block-wall-house" / "book"
ACTUALS = (FOLDER / "actuals.yaml").read_text(encoding="utf-8")
BOOK = (FOLDER / "prices.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("taken")) as found:
        yield found


@pytest.fixture
def job(here: Office) -> str:
    return keep_example(here.store, "block-wall-house")


def fields_of(page: str) -> dict[str, str]:
    """The form of what the job took, as a browser would send it."""
    form = page.partition('class="taken"')[2].partition("</form>")[0]
    sent = {}
    for tag in re.findall(r"<input [^>]*>", form):
        name, value = (re.search(rf'{part}="([^"]*)"', tag) for part in (" name", " value"))
        assert name is not None
        sent[unescape(name[1])] = unescape(value[1]) if value else ""
    for name_, inner in re.findall(r'<select name="([^"]*)".*?>(.*?)</select>', form, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected>', inner)
        sent[name_] = chosen[1] if chosen else ""
    for name_, text in re.findall(r'<textarea [^>]*name="([^"]*)"[^>]*>\n(.*?)</textarea>', form, re.S):
        sent[name_] = unescape(text)
    return sent


def api(here: Office, method: str, path: str, **body: Any) -> Response:
    return here.client.request(method, f"/api/v1{path}", headers={"x-form-token": here.token}, json=body or None)


def test_what_a_job_took_is_kept_by_job_on_what_it_was_made_of(store: Store) -> None:
    firm = add_firm(store, "Example Drainage Company").id
    who = Who(firm=firm, person="1", name="Ash", role="owner")
    one, other = (open_job(store, firm, f"title: {title}\n", "Ash").id for title in ("Wet", "Damp"))
    assert taken(store, firm, one) is None
    assert keep(store, who, one, 0, ACTUALS) == 1
    first = taken(store, firm, one)
    assert first is not None
    assert (first.number, first.text, first.who) == (1, ACTUALS, "Ash")
    assert taken(store, firm, other) is None
    assert keep(store, who, other, 0, ACTUALS) == 1
    with pytest.raises(CameBetween):
        keep(store, who, one, 0, ACTUALS)
    assert keep(store, who, one, None, ACTUALS) == 2
    with pytest.raises(NotThereError):
        taken(store, add_firm(store, "Another").id, one)


def test_a_crew_notes_hours_and_neither_reads_nor_loses_what_was_paid(store: Store) -> None:
    firm = add_firm(store, "Example Drainage Company").id
    owner, crew = (Who(firm=firm, person=role, name="Ash", role=role) for role in ("owner", "crew"))
    job = open_job(store, firm, "title: Wet cellar\n", "Ash").id
    keep(store, owner, job, 0, ACTUALS)
    seen = told(crew, taken(store, firm, job))
    assert "purchases" not in seen
    assert "61.5" not in seen
    keep(store, crew, job, 1, seen.replace('"hours": 4.0', '"hours": 5.0'))
    kept = taken(store, firm, job)
    assert kept is not None
    after, before = (read_actuals_text(text).actuals for text in (kept.text, ACTUALS))
    assert after.work[0].hours == 5.0
    assert after.purchases == before.purchases


def test_what_is_written_says_the_same() -> None:
    read = read_actuals_text(ACTUALS)
    assert read_actuals_text(written(read.actuals)).digest == read.digest


def test_hours_are_noted_row_by_row_and_held_against_the_plan(here: Office, job: str) -> None:
    way = f"/jobs/{job}/hours"
    fields = fields_of(here.get(way).text)
    assert fields["base"] == "0"
    fields |= {"work:0:task": "trench-all", "work:0:hours": "49", "work:0:day": "2026-04-15", "finished": "2026-04-24"}
    fields |= {"work:1:task": "other", "work:1:hours": "6", "work:1:what": "a buried step", "loads": "8"}
    fields |= {"purchases:0:item": "stone.57", "purchases:0:quantity": "12", "purchases:0:price": "61.50"}
    fields |= {"purchases:0:date": "2026-04-15", "weather_days": "2026-04-23 rain all day"}
    assert here.post(way, **fields).headers["location"] == f"{way}?saved=1"
    page = here.get(way).text
    assert "Not held against" not in page
    assert "49.0 h" in page
    assert "a buried step" in page
    assert "1 day lost to the weather" in page
    again = fields_of(page)
    assert {name: again[name] for name in ("work:0:task", "work:0:hours", "purchases:0:price", "base", "loads")} == {
        "work:0:task": "trench-all", "work:0:hours": "49", "purchases:0:price": "61.50", "base": "1", "loads": "8",
    }  # fmt: skip
    kept = taken(here.store, here.who.firm, job)
    assert kept is not None
    actuals = read_actuals_text(kept.text).actuals
    assert [one.task for one in actuals.work] == ["trench-all", "other"]
    assert actuals.weather_days[0].what == "rain all day"
    assert "Look at these again" not in page
    again |= {"work:1:hours": "", "work:1:what": "", "work:0:hours": "490", "purchases:0:price": "6.15"}
    assert here.post(way, **again).status_code == 303
    look = here.get(way).text
    assert "Look at these again" in look
    assert look.count("a slip of the point") == 2
    late = here.post(way, **again)
    assert late.status_code == 409
    assert here.get(f"{way}/beside.csv").text.count("\n") > 20
    assert here.get(f"{way}/beside.txt").status_code == 404


@pytest.mark.parametrize(
    ("name", "typed", "error"),
    [("work:0:hours", "many", "work-0-error"), ("work:0:task", "", "work-0-error"),
     ("purchases:0:quantity", "-1", "purchases-0-error"), ("finished", "May", "finished-error"),
     ("weather_days", "Monday", "weather_days-error"), ("loads", "few", "loads-error")],
)  # fmt: skip
def test_a_wrong_row_is_told_beside_it(here: Office, job: str, name: str, typed: str, error: str) -> None:
    fields = fields_of(here.get(f"/jobs/{job}/hours").text)
    fields |= {"work:0:task": "trench-all", "work:0:hours": "49", "finished": "2026-04-24"}
    fields |= {"purchases:0:item": "stone.57", "purchases:0:quantity": "12", "purchases:0:price": "61.50"}
    fields |= {"purchases:0:date": "2026-04-15", name: typed}
    answer = here.post(f"/jobs/{job}/hours", **fields)
    assert answer.status_code == 422
    assert f'id="{error}"' in answer.text
    assert typed in answer.text
    assert taken(here.store, here.who.firm, job) is None


def test_a_job_is_learnt_from_with_reasons_and_taken_back(here: Office, job: str) -> None:
    firm = here.who.firm
    before = the_book(here.store, firm, PRICES)
    if before is None:
        before = save_the_book(here.store, firm, PRICES, 0, BOOK, "Ash")
    way = f"/firm/learn/{job}"
    assert "Nothing is noted yet" in here.get(way).text
    wrong = here.post(f"/jobs/{job}/hours/file", {"file": ("a.yaml", b"job: 1\n")}, base="0")
    assert wrong.status_code == 422
    brought = here.post(f"/jobs/{job}/hours/file", {"file": ("a.yaml", ACTUALS.encode())}, base="0")
    assert brought.status_code == 303
    page = here.get(way).text
    assert "stone.57" in page
    assert "h planned" in page  # a reason
    base = str(before.number)
    assert here.post(way, base="77", noted="1").status_code == 409
    assert here.post(way, base=base, noted="1").status_code == 303
    after = the_book(here.store, firm, PRICES)
    assert after is not None
    book = read_book_text(after.text).book
    assert [one.job for one in book.learnt] == ["D-0117"]
    assert book.items["stone.57"].price == Decimal("61.50")
    shown = here.get(way).text
    assert f"Take {book.learnt[0].id} back" in shown
    assert here.post(way, base=str(after.number), noted="1").status_code == 422  # once only
    undone = here.post(f"{way}/undo", base=str(after.number), learning=book.learnt[0].id)
    assert undone.status_code == 303
    back = the_book(here.store, firm, PRICES)
    assert back is not None
    assert back.text == before.text
    assert here.post(f"{way}/undo", base=str(back.number), learning="L1").status_code == 409


def test_programs_note_compare_learn_and_take_back(here: Office, job: str) -> None:
    firm = here.who.firm
    kept = the_book(here.store, firm, PRICES) or save_the_book(here.store, firm, PRICES, 0, BOOK, "Ash")
    assert api(here, "GET", f"/jobs/{job}/hours").status_code == 404
    assert api(here, "GET", f"/jobs/{job}/hours/beside").status_code == 404
    assert api(here, "GET", f"/learn/{job}").status_code == 404
    assert api(here, "PUT", f"/jobs/{job}/hours", base=0, text="job: 1\n").status_code == 422
    assert api(here, "PUT", f"/jobs/{job}/hours", base=0, text=ACTUALS).json() == {"number": 1}
    assert api(here, "PUT", f"/jobs/{job}/hours", base=0, text=ACTUALS).status_code == 409
    read = api(here, "GET", f"/jobs/{job}/hours")
    assert (read.text, read.headers["number"]) == (ACTUALS, "1")
    beside = api(here, "GET", f"/jobs/{job}/hours/beside").json()
    assert next(one for one in beside["hours"] if one["taken"] == "49.0 h")["difference"]
    found = api(here, "GET", f"/learn/{job}").json()
    assert all(one["why"] for one in found["changes"])
    assert api(here, "POST", f"/learn/{job}", base=found["base"] + 1, noted=1).status_code == 409
    made = api(here, "POST", f"/learn/{job}", base=found["base"], noted=found["noted"]).json()
    assert api(here, "POST", f"/learn/{job}/undo", base=found["base"]).status_code == 409
    assert api(here, "POST", f"/learn/{job}/undo", base=made["revision"]).status_code == 201
    after = the_book(here.store, firm, PRICES)
    assert after is not None
    assert after.text == kept.text
    assert api(here, "GET", f"/jobs/{job}/hours/compared").json()["job"] == "D-0117"
