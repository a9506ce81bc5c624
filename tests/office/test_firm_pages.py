"""Customers, the price book, what papers say of the firm, service, the backup."""

from __future__ import annotations

import datetime
import re
import sqlite3
from collections.abc import Iterator
from decimal import Decimal
from html import unescape
from pathlib import Path

import pytest

from drainwright.job.book_file import read_book_text
from drainwright.job.book_starter import new_book_text
from drainwright.office.questions import firm_files, question_of
from drainwright.office.store import diary, jobs, people
from drainwright.office.store.books import PRICES, add_book, book_history, book_revision, books, save_book

from .firm_pages import EXAMPLES, Office, office

BOOK = (EXAMPLES / "block-wall-house" / "book" / "prices.yaml").read_text(encoding="utf-8")
OURS = BOOK.replace("invented: true ", "invented: false")
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc0000003010100c9fe92ef"
    "0000000049454e44ae426082"
)


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Office]:
    with office(tmp_path) as found:
        yield found


def kept(here: Office) -> str:
    found = books(here.store, here.who.firm, PRICES)[0]
    return book_revision(here.store, here.who.firm, found.id).text


def fields_of(page: str) -> dict[str, str]:
    """Every entry of the price form, as a browser would send it."""
    form = page.partition('class="prices"')[2].partition("</form>")[0]
    found = re.findall(r'name="((?:items|rates):[^"]*|base)" value="([^"]*)"', form)
    return {unescape(name): unescape(value) for name, value in found}


def test_the_firms_page_leads_to_all_of_it(here: Office) -> None:
    text = here.get("/firm").text
    for way in re.findall(r'href="(/firm/[a-z]+)"', text):
        assert here.get(way).status_code == 200
    assert "No visit is due" in text


def test_a_customer_is_added_changed_laid_away_and_found(here: Office) -> None:
    answer = here.post("/firm/customers", name="R. Bramble", address="3 Orchard Bank", phone="555-0142")
    way = answer.headers["location"]
    here.post(way, name="R. Bramble", address="4 Orchard Bank", note="Dog in the yard")
    assert "4 Orchard Bank" in here.get("/firm/customers?q=orchard").text
    assert "R. Bramble" not in here.get("/firm/customers?q=alder").text.partition('id="customers"')[2]
    here.post(way, away="yes")
    assert "4 Orchard Bank" not in here.get("/firm/customers").text
    assert "4 Orchard Bank" in here.get("/firm/customers?away=true").text
    assert "Dog in the yard" in here.get(way).text


def test_a_customers_page_has_their_jobs_alone(here: Office) -> None:
    one = people.add_customer(here.store, here.who.firm, "R. Bramble")
    jobs.open_job(here.store, here.who.firm, "title: Wet cellar\n", "Ash", customer=one.id)
    jobs.open_job(here.store, here.who.firm, "title: Damp wall\n", "Ash")
    text = here.get(f"/firm/customers/{one.id}").text
    assert "Wet cellar" in text
    assert "Damp wall" not in text
    assert here.get("/firm/customers/nobody").status_code == 404


@pytest.mark.parametrize(("fields", "where"), [({"name": ""}, "name"), ({"name": "A", "phone": "5" * 61}, "phone")])
def test_a_refused_customer_comes_back_filled_in(here: Office, fields: dict[str, str], where: str) -> None:
    answer = here.post("/firm/customers", **fields, address="3 Orchard Bank")
    assert answer.status_code == 422
    assert f'id="{where}-error"' in answer.text
    assert "3 Orchard Bank" in answer.text
    assert not people.customers(here.store, here.who.firm)


def test_a_book_begins_to_be_filled_in_or_from_a_file(here: Office) -> None:
    assert "No book yet" in here.get("/firm/book").text
    refused = here.post("/firm/book/begin", {"file": ("p.yaml", b"name: [")}, from_="file")
    assert refused.status_code == 422
    assert 'id="file-error"' in refused.text
    here.post("/firm/book/begin")
    assert kept(here) == new_book_text(datetime.date.today())


def test_saving_the_whole_form_unchanged_changes_nothing(here: Office) -> None:
    add_book(here.store, here.who.firm, PRICES, "Prices", OURS, "Ash")
    fields = fields_of(here.get("/firm/book").text)
    assert len(fields) > 1000
    assert here.post("/firm/book", **fields).headers["location"] == "/firm/book"
    assert kept(here) == OURS


def test_a_price_and_a_rate_are_changed_where_they_stand_and_dated_today(here: Office) -> None:
    add_book(here.store, here.who.firm, PRICES, "Prices", OURS, "Ash")
    fields = fields_of(here.get("/firm/book?q=stone").text)
    key = next(name for name in read_book_text(OURS).book.items if name.startswith("stone"))
    fields |= {f"items:{key}:price": "71.50", f"items:{key}:source": "Quarry list"}
    fields |= {"rates:dig.firm:value": "0.55", "rates:dig.firm:dated": "2026-03-02", "rates:dig.firm:source": "our log"}
    answer = here.post("/firm/book", **fields)
    assert answer.headers["location"] == "/firm/book?saved=2"
    book = read_book_text(kept(here)).book
    item, rate = book.items[key], book.rates["dig.firm"]
    assert (item.price, item.dated, item.source) == (Decimal("71.50"), datetime.date.today(), "Quarry list")
    assert (rate.value, rate.dated, rate.source) == (0.55, datetime.date(2026, 3, 2), "our log")
    untouched = [line for line in OURS.splitlines() if line.strip().startswith("#")]
    assert [line for line in kept(here).splitlines() if line.strip().startswith("#")] == untouched


@pytest.mark.parametrize(("part", "typed"), [("price", "12,5"), ("price", "-3"), ("price", ""), ("dated", "May")])
def test_a_wrong_entry_is_told_beside_it_and_nothing_typed_is_lost(here: Office, part: str, typed: str) -> None:
    add_book(here.store, here.who.firm, PRICES, "Prices", OURS, "Ash")
    key = next(iter(read_book_text(OURS).book.items))
    fields = fields_of(here.get("/firm/book").text) | {f"items:{key}:{part}": typed}
    fields["rates:dig.firm:value"] = "0.55"
    answer = here.post("/firm/book", **fields)
    assert answer.status_code == 422
    assert f'id="items:{key}-error"' in answer.text
    back = fields_of(answer.text)
    assert (back[f"items:{key}:{part}"], back["rates:dig.firm:value"]) == (typed, "0.55")
    assert kept(here) == OURS


def test_old_prices_are_marked(here: Office) -> None:
    add_book(here.store, here.who.firm, PRICES, "Prices", OURS.replace("2026-", "2024-"), "Ash")
    text = here.get("/firm/book?look=true").text
    assert re.search(r"\d+ days old, \d+ allowed", text)
    assert "invented: not a price of ours" not in text


def test_of_two_who_edit_the_book_the_later_is_asked(here: Office) -> None:
    book = add_book(here.store, here.who.firm, PRICES, "Prices", OURS, "Ash")
    fields = fields_of(here.get("/firm/book").text) | {"rates:dig.firm:value": "0.55"}
    save_book(here.store, here.who.firm, book.id, 1, OURS + "# looked over\n", "Birch")
    answer = here.post("/firm/book", **fields)
    assert answer.status_code == 409
    assert "Birch saved revision 2" in answer.text
    back = fields_of(answer.text)
    assert (back["base"], back["rates:dig.firm:value"]) == ("2", "0.55")
    here.post("/firm/book", **back)
    assert read_book_text(kept(here)).book.rates["dig.firm"].value == 0.55
    assert "# looked over" in kept(here)


def test_prices_go_out_as_a_table_and_come_in_again(here: Office) -> None:
    book = add_book(here.store, here.who.firm, PRICES, "Prices", OURS, "Ash")
    table = here.get("/firm/book/prices.csv")
    assert table.headers["content-type"].startswith("text/csv")
    key = next(iter(read_book_text(OURS).book.items))
    line = next(one for one in table.text.splitlines() if one.startswith(f"{key},"))
    price = str(read_book_text(OURS).book.items[key].price)
    changed = table.text.replace(line, line.replace(price, "99.00"))
    answer = here.post(
        "/firm/book/import", {"file": ("q.csv", changed.encode())}, base="1", on="2026-04-01", from_whom="a quote"
    )
    assert answer.headers["location"] == "/firm/book?saved=2"
    item = read_book_text(kept(here)).book.items[key]
    assert (item.price, item.dated, item.source) == (Decimal("99.00"), datetime.date(2026, 4, 1), "a quote")
    refused = here.post("/firm/book/import", {"file": ("q.csv", b"key,cost\nx,1\n")}, base="2")
    assert refused.status_code == 422
    assert 'id="file-error"' in refused.text
    here.post("/firm/book/restore", number="1")
    assert kept(here) == OURS
    assert len(book_history(here.store, here.who.firm, book.id)) == 3
    assert here.get("/firm/book/prices.yaml?number=1").text == OURS


def test_the_book_is_edited_as_text(here: Office) -> None:
    add_book(here.store, here.who.firm, PRICES, "Prices", OURS, "Ash")
    wrong = here.post("/firm/book/text", base="1", text=OURS.replace("wage: 24.00", "wage: much"))
    assert wrong.status_code == 422
    assert "labour.wage" in wrong.text
    assert "wage: much" in wrong.text
    here.post("/firm/book/text", base="1", text=OURS.replace("wage: 24.00", "wage: 26.00"))
    assert "wage: 26.00" in kept(here)


def test_what_papers_say_of_the_firm_lies_beside_its_jobs(here: Office) -> None:
    answer = here.post(
        "/firm/settings", {"logo": ("logo.png", PIXEL)}, base="0", name="Example Drainage Company", phone="555-0100",
        licence="EX 1: two", colour="#2f5d50", terms="Half at signing.\nHalf at the end.", exclusions="paint\n\nplants",
    )  # fmt: skip
    assert answer.headers["location"] == "/firm/settings?saved=true"
    assert here.get("/firm/logo").content.startswith(b"\x89PNG")
    page = here.get("/firm/settings").text
    assert "EX 1: two" in page
    assert "Half at signing.\nHalf at the end." in page
    add_book(here.store, here.who.firm, PRICES, "Prices", OURS, "Ash")
    begun = here.post("/jobs/new", from_="nothing", title="Wet").headers["location"].removeprefix("/jobs/")
    question = question_of(here.store, here.who.firm, begun)
    assert [one.name for one in question.files] == ["firm.yaml", "prices.yaml"]
    assert "firm: {file: firm.yaml}" in question.text
    assert "price_book: {file: prices.yaml}" in question.text
    assert dict(firm_files(here.store, here.who.firm))["prices.yaml"] == OURS


@pytest.mark.parametrize(
    ("fields", "where"), [({"name": ""}, "name"), ({"name": "A", "colour": "yellow"}, "colour")]
)  # fmt: skip
def test_wrong_settings_are_told_beside_their_field(here: Office, fields: dict[str, str], where: str) -> None:
    answer = here.post("/firm/settings", base="0", **fields, phone="555-0100")
    assert answer.status_code == 422
    assert f'id="{where}-error"' in answer.text
    assert 'value="555-0100"' in answer.text


def test_a_logo_that_runs_code_is_refused(here: Office) -> None:
    bad = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><script>1</script></svg>'
    answer = here.post("/firm/settings", {"logo": ("logo.svg", bad)}, base="0", name="A")
    assert answer.status_code == 422
    assert 'id="logo-error"' in answer.text
    gif = here.post("/firm/settings", {"logo": ("logo.gif", b"GIF89a\xff\xfe")}, base="0", name="A")
    assert "Found content that is neither PNG, JPEG nor SVG" in gif.text


def test_visits_of_service_are_set_seen_when_due_and_done(here: Office) -> None:
    id = jobs.open_job(here.store, here.who.firm, "title: Wet cellar\n", "Ash").id
    wrong = here.post("/firm/service", job=id, due="1 May", what="flush")
    assert wrong.status_code == 422
    assert 'id="due-error"' in wrong.text
    assert 'value="flush"' in wrong.text
    here.post("/firm/service", job=id, due="2020-05-01", what="flush the lines")
    assert "1 visit due" in here.get("/firm").text
    text = here.get("/firm/service").text
    assert "overdue" in text
    assert "flush the lines" in text
    here.post("/firm/service", done=diary.reminders(here.store, here.who.firm)[0].id)
    assert "No visit is set" in here.get("/firm/service").text


def test_a_backup_is_a_whole_store(here: Office, tmp_path: Path) -> None:
    jobs.open_job(here.store, here.who.firm, "title: Wet cellar\n", "Ash")
    answer = here.post("/firm/backup")
    assert ".sqlite" in answer.headers["content-disposition"]
    copy = tmp_path / "copy.sqlite"
    copy.write_bytes(answer.content)
    with sqlite3.connect(copy) as opened:
        assert opened.execute("SELECT title FROM job").fetchall() == [("Wet cellar",)]
    assert here.client.post("/firm/backup").status_code == 403
