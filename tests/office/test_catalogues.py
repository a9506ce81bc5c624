"""The firm's pumps and pipes: listed, added, changed, brought in and given out, and what designs make of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from httpx import Response

from drainwright.job.pipe_file import read_pipes
from drainwright.job.pump_file import read_pumps
from drainwright.job.pump_table import COLUMNS
from drainwright.office.questions import question_of
from drainwright.office.store import books, jobs
from drainwright.office.store.books import PIPES, PUMPS, StaleBook, add_book, book_history, save_the_book, the_book
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.opening import Store
from drainwright.office.who import OWNER
from drainwright.system.catalogue import find_pipe
from drainwright.system.trade import pipe_words

from .firm_pages import EXAMPLES, Office, office

ALPHA = {"name": "Alpha 60", "points": "0, 30\n30 gpm at 24 ft\n85, 1", "power": "1/2", "float": "adjustable",
         "price": "402.50", "battery": "no", "was": "", "units": "US"}  # fmt: skip
TABLE = "name,flow (gpm),head (ft)\nBeta,0,20\nBeta,30,5\n"


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Office]:
    with office(tmp_path) as found:
        yield found


def api(here: Office, method: str, path: str, **body: Any) -> Response:
    headers = {"x-form-token": here.token}
    return here.client.request(method, f"/api/v1{path}", headers=headers, json=body or None)


def pumps(here: Office) -> dict[str, Any]:
    kept = the_book(here.store, here.who.firm, PUMPS)
    assert kept is not None
    return {one.name: one for one in read_pumps(kept.text)}


def ticked(page: str) -> dict[str, str]:
    """The form of the pipes as a browser would send it."""
    form = page.partition('class="prices"')[2].partition("</form>")[0]
    sent = {}
    for tag in re.findall(r"<input [^>]*>", form):
        name, value = (unescape(found[1]) if (found := re.search(rf'{part}="([^"]*)"', tag)) else ""
                       for part in (" name", " value"))  # fmt: skip
        if 'type="checkbox"' not in tag or " checked" in tag:
            sent[name] = value
    return sent


def test_the_one_book_of_a_kind_begins_once_and_names_what_it_was_made_of(store: Store) -> None:
    firm, other = (jobs.add_firm(store, name).id for name in ("Example Drainage Company", "Another"))
    assert the_book(store, firm, PUMPS) is None
    with pytest.raises(NotThereError):
        save_the_book(store, firm, PUMPS, 3, TABLE, "Ash")
    first = save_the_book(store, firm, PUMPS, 0, TABLE, "Ash")
    assert (first.number, the_book(store, firm, PUMPS)) == (1, first)
    with pytest.raises(StaleBook) as caught:
        save_the_book(store, firm, PUMPS, 0, "other", "Birch")
    assert caught.value.theirs == first
    second = save_the_book(store, firm, PUMPS, 1, TABLE + "Beta,40,1\n", "Birch", "a point")
    assert [one.number for one in book_history(store, firm, first.book)] == [2, 1]
    assert the_book(store, firm, PUMPS) == second
    assert the_book(store, other, PUMPS) is None
    books.lay_book_away(store, firm, first.book)
    assert the_book(store, firm, PUMPS) is None
    for unknown in ((firm, "hats"), ("nobody", PUMPS)):
        with pytest.raises(StoreError):
            save_the_book(store, *unknown, 0, TABLE, "Ash")


def test_the_pipes_lie_beside_the_jobs(store: Store) -> None:
    firm = jobs.add_firm(store, "Example Drainage Company").id
    job = jobs.open_job(store, firm, "title: Wet cellar\n", "Ash").id
    save_the_book(store, firm, PIPES, 0, "pipe\nd3034 4 in\n", "Ash")
    assert [(one.name, one.content) for one in question_of(store, firm, job).files] == [
        ("pipes.csv", b"pipe\nd3034 4 in\n")
    ]


def test_a_pump_is_added_changed_renamed_and_taken_out(here: Office) -> None:
    assert "None yet" in here.get("/firm/pumps").text
    answer = here.post("/firm/pumps/one", **ALPHA, base="0")
    assert answer.headers["location"] == "/firm/pumps?saved=1"
    assert pumps(here)["Alpha 60"].label_power == pytest.approx(372.85, abs=0.01)
    listed = here.get("/firm/pumps").text
    assert "Alpha 60" in listed
    assert "402.50" in listed
    text = here.get("/firm/pumps/one?name=Alpha 60").text
    assert "30, 24" in text
    assert 'value="402.5"' in text
    here.post("/firm/pumps/one", **{**ALPHA, "name": "Beta", "price": "10"}, base="1")
    here.post("/firm/pumps/one", **{**ALPHA, "name": "Alpha", "was": "Alpha 60"}, base="2")
    assert list(pumps(here)) == ["Alpha", "Beta"]
    here.post("/firm/pumps/one", was="Alpha", do="remove", base="3")
    assert list(pumps(here)) == ["Beta"]
    last = here.post("/firm/pumps/one", was="Beta", do="remove", base="4")
    assert last.status_code == 422
    assert here.get("/firm/pumps/one?name=Alpha").status_code == 404
    here.post("/firm/pumps/restore", number="3", base="4")
    assert list(pumps(here)) == ["Alpha", "Beta"]
    assert here.get("/firm/pumps/pumps.csv?number=1").text.count("Alpha 60") == 3


def test_the_form_has_all_that_the_table_keeps(here: Office) -> None:
    """A column without a field would be dropped by whoever saves the pump again."""
    here.post("/firm/pumps/one", **{**ALPHA, "switch": "30000"}, base="0")
    assert pumps(here)["Alpha 60"].switch_starts == 30_000
    text = here.get("/firm/pumps/one?name=Alpha 60").text
    assert [word for word, *_ in COLUMNS if f'name="{word}"' not in text] == []
    assert 'value="30000"' in text


@pytest.mark.parametrize(
    ("part", "typed", "field"),
    [("points", "0, 30", "points"), ("points", "0, 30\n5, 40", "points"), ("weight", "heavy", "weight"),
     ("price", "free", "price"), ("name", "# A", "name"), ("port", "wide", "port")],
)  # fmt: skip
def test_a_refused_pump_comes_back_filled_in(here: Office, part: str, typed: str, field: str) -> None:
    answer = here.post("/firm/pumps/one", **{**ALPHA, part: typed}, base="0")
    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.text
    assert typed in unescape(answer.text)
    assert the_book(here.store, here.who.firm, PUMPS) is None


def test_of_two_who_change_the_pumps_the_later_is_asked(here: Office) -> None:
    here.post("/firm/pumps/one", **ALPHA, base="0")
    here.post("/firm/pumps/one", **{**ALPHA, "name": "Beta"}, base="1")
    late = here.post("/firm/pumps/one", **{**ALPHA, "name": "Gamma"}, base="1")
    assert late.status_code == 409
    assert 'value="Gamma"' in late.text
    assert list(pumps(here)) == ["Alpha 60", "Beta"]
    base = re.search(r'name="base" value="(\d+)"', late.text)
    assert base is not None
    here.post("/firm/pumps/one", **{**ALPHA, "name": "Gamma"}, base=base[1])
    assert list(pumps(here)) == ["Alpha 60", "Beta", "Gamma"]


def test_pumps_come_from_a_table_beside_those_that_are_there(here: Office) -> None:
    here.post("/firm/pumps/one", **ALPHA, base="0")
    here.post("/firm/pumps/import", {"file": ("p.csv", TABLE.encode())}, base="1")
    assert list(pumps(here)) == ["Alpha 60", "Beta"]
    wrong = here.post("/firm/pumps/import", {"file": ("p.csv", b"name,flow (gpm)\n")}, base="2")
    assert wrong.status_code == 422
    assert 'id="file-error"' in wrong.text
    assert here.post("/firm/pumps/import", base="2").status_code == 422
    here.post("/firm/pumps/import", {"file": ("p.csv", TABLE.encode())}, base="2", whole="yes")
    assert list(pumps(here)) == ["Beta"]


def test_pipes_are_chosen_by_ticks(here: Office) -> None:
    fields = ticked(here.get("/firm/pipes").text)
    assert not any(name.startswith("lay:") for name in fields)
    assert here.post("/firm/pipes", **fields).status_code == 422  # none chosen
    fields |= {"lay:d3034 4 in": "yes", "lay:sch40 2 in": "yes", "hole:sch40 2 in": "2.75"}
    del fields["length:d3034 4 in:10"]
    assert here.post("/firm/pipes", **fields).headers["location"] == "/firm/pipes?saved=1"
    kept = the_book(here.store, here.who.firm, PIPES)
    assert kept is not None
    sch40, d3034 = read_pipes(kept.text)
    assert (sch40.pipe, sch40.lengths, sch40.hole) == ("sch40 2 in", (), pytest.approx(0.06985))
    assert d3034.lengths == pytest.approx((14 * 0.3048, 20 * 0.3048))
    again = ticked(here.get("/firm/pipes").text)
    assert {**fields, "base": "1"} == again
    assert here.post("/firm/pipes", **again).headers["location"] == "/firm/pipes"  # nothing changed
    wrong = here.post("/firm/pipes", **{**again, "hole:sch40 2 in": "1"})
    assert wrong.status_code == 422
    assert 'id="sch40-2-in-error"' in wrong.text
    late = here.post("/firm/pipes", **{**again, "base": "0"}, **{"lay:d2729 4 in": "yes"})
    assert late.status_code == 409
    assert ticked(late.text)["lay:d2729 4 in"] == "yes"
    here.post("/firm/pipes/import", {"file": ("p.csv", b"pipe\nd2729 4 in perforated\n")}, base="1")
    assert here.get("/firm/pipes/pipes.csv").text.splitlines()[1] == "d2729 4 in perforated,,"
    assert here.post("/firm/pipes/import", {"file": ("p.csv", b"pipe\nhose\n")}, base="2").status_code == 422


def test_programs_read_and_change_the_catalogues(here: Office) -> None:
    assert api(here, "GET", "/pumps").json() == {"revision": 0, "pumps": []}
    sheet = {"name": "Alpha", "curve": [{"flow": "0 gpm", "head": "30 ft"}, {"flow": "60 gpm", "head": "5 ft"}]}
    assert api(here, "POST", "/pumps", base=0, pump=sheet).json() == {"revision": 1}
    told = api(here, "GET", "/pumps").json()
    assert told["pumps"][0]["curve"][1] == {"flow": "60 gpm", "head": "5 ft"}
    changed = {**told["pumps"][0], "name": "Alpha 2", "price": "12"}
    assert api(here, "POST", "/pumps", base=1, was="Alpha", pump=changed).status_code == 201
    stale = api(here, "POST", "/pumps", base=1, pump=sheet)
    assert (stale.status_code, stale.json()["theirs"]["revision"]) == (409, 2)
    refused = api(here, "POST", "/pumps", base=2, pump={**sheet, "name": "B", "weight": "heavy"}).json()
    assert refused["errors"][0]["where"] == "weight"
    assert api(here, "PUT", "/pumps/table", base=2, text=TABLE, whole=False).json() == {"revision": 3}
    assert api(here, "POST", "/pumps/remove", base=3, name="Alpha 2").json() == {"revision": 4}
    assert api(here, "POST", "/pumps/remove", base=4, name="Beta").status_code == 422
    assert read_pumps(api(here, "GET", "/pumps/table").text) == read_pumps(TABLE)

    assert api(here, "GET", "/pipes/table").status_code == 404
    pipe = {"pipe": "d3034 4 in", "lengths": ["10 ft"], "hole": "4.5 in"}
    assert api(here, "PUT", "/pipes", base=0, pipes=[pipe]).json() == {"revision": 1}
    assert api(here, "GET", "/pipes").json() == {"revision": 1, "pipes": [pipe]}
    wrong = api(here, "PUT", "/pipes", base=1, pipes=[pipe, {"pipe": "hose"}]).json()
    assert wrong["errors"][0]["where"] == "pipes[1].pipe"
    assert api(here, "PUT", "/pipes/table", base=1, text="pipe\nsch40 2 in\n", whole=False).status_code == 201
    assert [one["pipe"] for one in api(here, "GET", "/pipes").json()["pipes"]] == ["d3034 4 in", "sch40 2 in"]
    assert api(here, "POST", "/books", kind="pumps", name="x", text="stone: 1\n").status_code == 422


def test_a_jobs_design_takes_the_firms_pump_and_pipe(here: Office) -> None:
    add_book(here.store, here.who.firm, PUMPS, "Pumps", PUMP_THAT_SERVES, "Ash")
    save_the_book(here.store, here.who.firm, PIPES, 0, "pipe\nsch40 3 in\nd3034 6 in\n", "Ash")
    begun = here.post("/jobs/new", from_="nothing", title="Wet cellar").headers["location"]
    text = here.get(f"{begun}/text").text
    assert "pumps_file: pumps.csv" in text
    assert "pipes_file: pipes.csv" in text
    example = (EXAMPLES / "block-wall-house" / "job.yaml").read_text(encoding="utf-8")
    example = example.replace("firm: {file: firm/firm.yaml}", "").replace("price_book: {file: book/prices.yaml}", "")
    job = jobs.open_job(here.store, here.who.firm, example + "\npumps_file: pumps.csv\npipes_file: pipes.csv\n", OWNER)
    told = here.get(f"/jobs/{job.id}/system").text
    assert "Alpha 60" in told
    solid = [pipe_words(find_pipe(f"d3034 {size} in"), "US") for size in (4, 6)]
    assert [words in unescape(told) for words in solid] == [False, True]


PUMP_THAT_SERVES = """name, flow (gpm), head (ft), power (hp), port, float, solids (in), price, input (W), battery
Alpha 60, 0, 30, 0.5, 1-1/2 in, adjustable, 0.5, 402.5, 610, no
Alpha 60, 30, 24
Alpha 60, 60, 13
Alpha 60, 85, 1
"""
