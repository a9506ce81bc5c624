"""The price book goes on, and a job keeps the one that it is priced with until a person prices it anew."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from drainwright.office.questions import question_of
from drainwright.office.store import books, files, jobs, links
from drainwright.office.store.beside import BESIDE, KEPT, beside_of
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store
from drainwright.office.store.packing import pack, unpack
from drainwright.office.store.pricing import reprice, take_newest
from drainwright.office.store.revisions import history, revision

from .firm_pages import Office, office

JOB = "title: Wet wall\nprice_book: {file: prices.yaml}\n"
BOOK = """schema_version: 1
name: Ours
dated: 2026-03-02
labour: {wage: "31.00"}
stale_after: 90
items:
  stone.57: 58.00
"""
DEARER = BOOK.replace("58.00", "63.00")
FRESH = datetime.date(2026, 4, 1)
LATE = datetime.date(2026, 8, 1)


@pytest.fixture
def firm(store: Store) -> str:
    return jobs.add_firm(store, "Example Drainage Company").id


def saved(store: Store, firm: str, base: int, text: str) -> None:
    books.save_the_book(store, firm, books.PRICES, base, text, "Ash")


def book_of(store: Store, firm: str, job: str) -> str:
    """The book that a job is designed with, as pages and store have it."""
    asked = {one.name: one.content for one in question_of(store, firm, job).files}["prices.yaml"]
    with store.reading() as session:
        assert beside_of(session, firm, job)["prices.yaml"] == asked
    return asked.decode()


def words(store: Store, firm: str, job: str, today: datetime.date = FRESH) -> tuple[str, ...]:
    alone = jobs.one_listed(store, firm, job, today).priced
    in_list = {one.job.id: one.priced for one in jobs.listed(store, firm, today=today)}
    assert in_list[job] == alone
    return alone


def test_an_open_job_keeps_its_book_and_says_so_until_it_is_priced_anew(store: Store, firm: str) -> None:
    saved(store, firm, 0, BOOK)
    job = jobs.open_job(store, firm, JOB, "Ash").id
    other = jobs.open_job(store, firm, "title: Without a book\nnotes: no prices.yaml here\n", "Ash").id
    assert words(store, firm, job) == ()
    saved(store, firm, 1, DEARER)
    assert book_of(store, firm, job) == BOOK
    assert words(store, firm, job) == ("priced with revision 1 of the price book, which is at revision 2 now",)
    assert words(store, firm, other) == ()
    late = jobs.open_job(store, firm, JOB, "Ash").id  # begun after: with the newest
    assert (book_of(store, firm, late), words(store, firm, late)) == (DEARER, ())
    saved(store, firm, 2, DEARER + "# a note\n")
    assert book_of(store, firm, job) == BOOK
    assert book_of(store, firm, late) == DEARER
    assert "is at revision 3 now" in words(store, firm, job)[0]
    made = reprice(store, firm, job, "Robin")
    assert (made.number, made.parent, made.text, made.who) == (2, 1, JOB, "Robin")
    assert made.what == "priced anew with revision 3 of the price book; before with revision 1"
    assert [one.number for one in history(store, firm, job)] == [2, 1]
    assert book_of(store, firm, job).endswith("# a note\n")
    assert words(store, firm, job) == ()
    with pytest.raises(StoreError, match="priced with the newest one already"):
        reprice(store, firm, job, "Robin")
    saved(store, firm, 3, BOOK)
    assert "priced with revision 3" in words(store, firm, job)[0]


def test_a_book_that_is_what_it_was_again_marks_no_job(store: Store, firm: str) -> None:
    saved(store, firm, 0, BOOK)
    job = jobs.open_job(store, firm, JOB, "Ash").id
    saved(store, firm, 1, DEARER)
    saved(store, firm, 2, BOOK)
    assert words(store, firm, job) == ()
    saved(store, firm, 3, BOOK)
    assert words(store, firm, job) == ()


def test_prices_past_their_days_are_told_of_open_jobs(store: Store, firm: str) -> None:
    saved(store, firm, 0, BOOK)
    job = jobs.open_job(store, firm, JOB, "Ash").id
    assert words(store, firm, job, FRESH) == ()
    assert words(store, firm, job, LATE) == ("1 price of the book is too old",)
    saved(store, firm, 1, DEARER.replace("2026-03-02", "2026-07-20"))
    assert len(words(store, firm, job, LATE)) == 2
    reprice(store, firm, job, "Ash")
    assert words(store, firm, job, LATE) == ()


@pytest.mark.parametrize("how", ["acceptance", "stage"])
def test_an_accepted_job_keeps_what_was_accepted(store: Store, firm: str, how: str) -> None:
    saved(store, firm, 0, BOOK)
    job = jobs.open_job(store, firm, JOB, "Ash", stage="offered").id
    if how == "acceptance":
        links.accept(store, firm, job, 1, "R. Bramble", {"total": "1.00"})
    else:
        jobs.move_on(store, firm, job, "accepted", "Ash")
    saved(store, firm, 1, DEARER)
    assert book_of(store, firm, job) == BOOK
    assert words(store, firm, job, LATE) == ()
    with pytest.raises(StoreError, match="keeps the price that was accepted"):
        reprice(store, firm, job, "Ash")
    take_newest(store, firm, job)
    assert book_of(store, firm, job) == BOOK
    assert revision(store, firm, job).number == 1


def test_a_book_of_the_jobs_own_outranks_what_is_kept(store: Store, firm: str) -> None:
    saved(store, firm, 0, BOOK)
    job = jobs.open_job(store, firm, JOB, "Ash").id
    saved(store, firm, 1, DEARER)
    files.attach(store, firm, job, b"own: book\n", name="prices.yaml", media_type="text/plain", who="Ash", kind=BESIDE)
    assert book_of(store, firm, job) == "own: book\n"
    assert words(store, firm, job, LATE) == ()


def test_another_book_that_comes_first_and_a_book_laid_away_leave_jobs_at_their_price(store: Store, firm: str) -> None:
    first = books.add_book(store, firm, books.PRICES, "Winter", BOOK, "Ash")
    job = jobs.open_job(store, firm, JOB, "Ash").id
    second = books.add_book(store, firm, books.PRICES, "Autumn", DEARER, "Ash")
    assert book_of(store, firm, job) == BOOK
    assert words(store, firm, job)
    books.lay_book_away(store, firm, second.id)
    assert words(store, firm, job) == ()
    books.lay_book_away(store, firm, first.id)
    assert book_of(store, firm, job) == BOOK


def test_a_whole_job_takes_its_book_along(store: Store, firm: str) -> None:
    saved(store, firm, 0, BOOK)
    job = jobs.open_job(store, firm, JOB, "Ash").id
    saved(store, firm, 1, DEARER)
    there = jobs.add_firm(store, "Another Company").id
    brought = unpack(store, there, pack(store, firm, job), "Robin").id
    assert book_of(store, there, brought) == BOOK
    hung = [one for one in files.attachments(store, firm, job) if one.kind == KEPT]
    assert [(one.name, one.note, one.pin) for one in hung] == [("prices.yaml", "revision 1", "price_book")]


def test_the_pages_tell_it_and_have_the_button(tmp_path: Path) -> None:
    with office(tmp_path) as here:
        _pages(here)


def _pages(here: Office) -> None:
    from .stored import EXAMPLES

    text = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
    saved(here.store, here.who.firm, 0, BOOK)
    given = text.replace("schema_version: 1\n", "schema_version: 1\nprice_book: {file: prices.yaml}\n", 1)
    assert "\nprice_book:" not in text
    job = jobs.open_job(here.store, here.who.firm, given, "Ash", stage="designed").id
    before = here.client.get(f"/api/v1/jobs/{job}/design").json()["total"]
    saved(here.store, here.who.firm, 1, BOOK.replace("58.00", "580.00"))
    assert here.client.get(f"/api/v1/jobs/{job}/design").json()["total"] == before
    told = "riced with revision 1 of the price book, which is at revision 2 now"
    assert told in here.get("/").text
    assert told in here.client.get(f"/api/v1/jobs/{job}").json()["priced"][0]
    for page in (f"/jobs/{job}", f"/jobs/{job}/offer"):
        shown = here.get(page).text
        assert told in shown
        assert f'action="/jobs/{job}/repriced"' in shown
    assert here.post(f"/jobs/{job}/repriced").status_code == 303
    assert here.client.get(f"/api/v1/jobs/{job}/design").json()["total"] != before
    for page in ("/", f"/jobs/{job}", f"/jobs/{job}/offer"):
        assert "riced with revision" not in here.get(page).text
    headers = {"x-form-token": here.token}
    assert here.client.post(f"/api/v1/jobs/{job}/repriced", headers=headers).status_code == 422
    hung = here.client.get(f"/api/v1/jobs/{job}/attachments?archived=true").json()
    kept = next(one["id"] for one in hung if one["kind"] == KEPT)
    put_back = here.client.patch(f"/api/v1/attachments/{kept}", json={"archived": False}, headers=headers)
    assert put_back.status_code == 422
