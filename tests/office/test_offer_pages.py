"""The customer's page behind a private link: read, accepted by name, tied to the mark of what was offered."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator

import pytest

from drainwright.design import design
from drainwright.job.reading import read_text
from drainwright.offer.accepting import mark_of, offered
from drainwright.office.offering import stands_until, today
from drainwright.office.store import jobs, links, revisions
from drainwright.office.store.books import SETTINGS, save_the_book

from .firm_pages import EXAMPLES, Office, office

AS_IT_IS = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
TEXT = re.sub(r"(?m)^date: .*$", f"date: {datetime.date.today() - datetime.timedelta(days=2)}", AS_IT_IS)
SETTINGS_TEXT = "schema_version: 1\nname: Example Drainage Company\nphone: 555-0142\nemail: office@example.org\n"
SIGNED = {"by": "R. Bramble", "agreed": "yes", "choice": "", "invented": "yes"}


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("office")) as found:
        yield found


@pytest.fixture
def job(here: Office) -> str:
    return jobs.open_job(here.store, here.who.firm, TEXT, here.who.name, stage="designed").id


def link_to(here: Office, job: str) -> str:
    made = here.post(f"/jobs/{job}/offer", days="30")
    found = re.search(r'href="http://127\.0\.0\.1:8321(/c/[\w-]{43})"', made.text)
    assert found is not None
    return found[1]


def mark_on(page: str) -> str:
    found = re.search(r'name="mark" value="([0-9a-f]{64})"', page)
    assert found is not None
    return found[1]


def test_a_customer_reads_the_offer_and_accepts_it_once(here: Office, job: str) -> None:
    way = link_to(here, job)
    assert jobs.job(here.store, here.who.firm, job).stage == "offered"
    page = here.get(way).text
    for words in ("What is wrong", "What we will do, in short", "Price", "R. Bramble"):
        assert words in page
    for path in ("/firm", "/jobs", "worksheet"):
        assert f'href="{path}' not in page
    pictures = re.findall(rf'src="({way}/drawings/[\w-]+\.svg)"', page)
    assert pictures
    assert here.get(pictures[0]).headers["content-type"].startswith("image/svg+xml")
    assert here.get(f"{way}/drawings/cost.svg").status_code == 404
    mark = mark_on(page)
    assert here.post(way, mark=mark, **SIGNED).status_code == 303
    assert here.post(way, mark=mark, **SIGNED).status_code == 303
    (kept,) = links.acceptances(here.store, here.who.firm, job)
    assert (kept.by, kept.revision, kept.record["mark"]) == ("R. Bramble", 1, mark)
    assert mark_of(kept.record["offered"]) == mark
    assert jobs.job(here.store, here.who.firm, job).stage == "accepted"
    after = here.get(way).text
    assert "R. Bramble accepted this" in after
    assert "Accept the offer" not in after
    told = here.get(f"/jobs/{job}/offer").text
    assert mark in told
    assert "at demonstration prices, which are invented" in told


@pytest.mark.parametrize(
    ("left", "where"),
    [
        ({"by": " "}, "by-error"),
        ({"agreed": ""}, "agreed-error"),
        ({"choice": "gold"}, "expected one"),
        ({"invented": ""}, "invented-error"),
    ],
)
def test_what_is_missing_is_told_where_one_signs(here: Office, job: str, left: dict[str, str], where: str) -> None:
    way = link_to(here, job)
    answer = here.post(way, mark=mark_on(here.get(way).text), **(SIGNED | left))
    assert answer.status_code == 422
    assert where in answer.text
    assert not links.acceptances(here.store, here.who.firm, job)


def test_a_real_offer_at_demonstration_prices_is_read_but_not_accepted(here: Office, job: str) -> None:
    real = TEXT.replace("demonstration: true", "demonstration: false")
    assert real != TEXT
    revisions.save(here.store, here.who.firm, job, 1, real, "Birch")
    way = link_to(here, job)
    page = here.get(way).text
    assert "Some of the prices are not ours yet" in page
    assert 'name="by"' not in page
    assert here.post(way, mark=offered_mark(here, job), **SIGNED).status_code == 409
    assert not links.acceptances(here.store, here.who.firm, job)
    told = here.get(f"/jobs/{job}/offer").text
    assert "cannot accept it until" in told
    for entry in ("wage (wage): $24.00 an hour", "setting up the job (set-up): 4 h/job"):
        assert entry in told


def offered_mark(here: Office, job: str) -> str:
    """The mark that the page would have told."""
    text = revisions.revision(here.store, here.who.firm, job).text
    return mark_of(offered(design(read_text(text).job), None))


def test_an_offer_that_changed_meanwhile_is_not_accepted_unread(here: Office, job: str) -> None:
    way = link_to(here, job)
    mark = mark_on(here.get(way).text)
    dearer = TEXT.rstrip() + "\nprice_book: {labour: 99.00}\n" if "price_book:" not in TEXT else TEXT
    revisions.save(here.store, here.who.firm, job, 1, dearer, "Birch")
    answer = here.post(way, mark=mark, **SIGNED)
    assert answer.status_code == 409
    assert "Read it again before you accept" in answer.text
    assert 'value="R. Bramble"' in answer.text
    assert mark_on(answer.text) != mark
    assert not links.acceptances(here.store, here.who.firm, job)


def test_a_link_that_ran_out_or_was_taken_back_says_so_kindly(here: Office, job: str) -> None:
    way = link_to(here, job)
    link = links.links(here.store, here.who.firm, job)[0]
    here.post(f"/jobs/{job}/offer", take_back=link.id)
    _, token = links.make_link(here.store, here.who.firm, job, "offer", datetime.timedelta(seconds=-1), "Ash")
    _, other = links.make_link(here.store, here.who.firm, job, "photos", datetime.timedelta(days=1), "Ash")
    for gone in (way, f"/c/{token}", f"/c/{other}", "/c/nothing"):
        for answer in (here.get(gone), here.post(gone, **SIGNED)):
            assert answer.status_code == 410
            assert "call the firm" in answer.text
            assert "Orchard" not in answer.text
    assert "taken back" in here.get(f"/jobs/{job}/offer").text
    assert not links.acceptances(here.store, here.who.firm, job)


def test_the_firm_takes_back_only_links_of_the_job(here: Office, job: str) -> None:
    other = jobs.open_job(here.store, here.who.firm, TEXT, here.who.name).id
    link_to(here, other)
    link = links.links(here.store, here.who.firm, other)[0]
    assert here.post(f"/jobs/{job}/offer", take_back=link.id).status_code == 404
    assert links.links(here.store, here.who.firm, other)[0].revoked is None


def test_an_offer_that_ran_out_says_so_and_is_renewed(here: Office) -> None:
    job = jobs.open_job(here.store, here.who.firm, AS_IT_IS, here.who.name, stage="designed").id  # of long ago
    way = link_to(here, job)
    page = here.get(way).text
    assert "This offer has run out" in page
    assert "To have it renewed" in page
    assert 'name="by"' not in page  # nowhere to sign
    told = here.client.get(f"/api/v1/jobs/{job}/offer").json()
    assert told == {"until": "2026-05-02", "ran_out": True}
    late = here.post(way, mark="0" * 64, **SIGNED)
    assert late.status_code == 409
    assert "This offer has run out" in late.text
    assert not links.acceptances(here.store, here.who.firm, job)
    office_page = here.get(f"/jobs/{job}/offer").text
    assert "The offer ran out on 2026-05-02" in office_page
    assert here.post(f"/jobs/{job}/offer", do="renew").status_code == 303
    until = today() + datetime.timedelta(days=30)
    assert f"The offer stands until {until}" in here.get(f"/jobs/{job}/offer").text
    assert "the offer is renewed" in revisions.revision(here.store, here.who.firm, job).what
    again = here.get(way).text
    assert "This offer has run out" not in again
    assert here.post(way, mark=mark_on(again), **SIGNED).status_code == 303
    assert len(links.acceptances(here.store, here.who.firm, job)) == 1


def test_programs_renew_an_offer(here: Office, job: str) -> None:
    headers = {"x-form-token": here.token}
    told = here.client.post(f"/api/v1/jobs/{job}/offer/renewed", json={"days": 60}, headers=headers)
    assert told.status_code == 201
    assert told.json() == {"until": (today() + datetime.timedelta(days=60)).isoformat(), "ran_out": False}
    bare = jobs.open_job(here.store, here.who.firm, "title: Wet cellar\n", "Ash").id
    assert here.client.get(f"/api/v1/jobs/{bare}/offer").json() == {"until": None, "ran_out": False}
    refused = here.client.post(f"/api/v1/jobs/{bare}/offer/renewed", json={}, headers=headers)
    assert refused.status_code == 422
    assert "date" in refused.json()["detail"]


def test_a_link_that_ran_out_tells_whom_to_ask(here: Office, job: str) -> None:
    save_the_book(here.store, here.who.firm, SETTINGS, 0, SETTINGS_TEXT, "Ash")
    _, token = links.make_link(here.store, here.who.firm, job, "offer", datetime.timedelta(seconds=-1), "Ash")
    text = here.get(f"/c/{token}").text
    for words in ("This offer has run out", "555-0142", "office@example.org", "Example Drainage Company"):
        assert words in text
    assert "555-0142" not in here.get("/c/nothing").text


@pytest.mark.parametrize(
    ("record", "until"),
    [({"date": datetime.date(2026, 4, 2)}, datetime.date(2026, 5, 2)),
     ({"date": "2026-04-02", "offer": {"valid_days": 10}}, datetime.date(2026, 4, 12)),
     ({"date": "May", "offer": None}, None), ({}, None),
     ({"date": "2026-04-02", "offer": {"valid_days": 10**9}}, None)],
)  # fmt: skip
def test_until_when_an_offer_stands(record: dict[str, object], until: datetime.date | None) -> None:
    assert stands_until(record) == until
