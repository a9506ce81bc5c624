"""The customer's page behind a private link: read, accepted by name, tied to the mark of what was offered."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator

import pytest

from drainwright.offer.accepting import mark_of
from drainwright.office.store import jobs, links, revisions

from .firm_pages import EXAMPLES, Office, office

TEXT = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
SIGNED = {"by": "R. Bramble", "agreed": "yes", "choice": ""}


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
    assert mark in here.get(f"/jobs/{job}/offer").text


@pytest.mark.parametrize(
    ("left", "where"),
    [({"by": " "}, "by-error"), ({"agreed": ""}, "agreed-error"), ({"choice": "gold"}, "expected one")],
)
def test_what_is_missing_is_told_where_one_signs(here: Office, job: str, left: dict[str, str], where: str) -> None:
    way = link_to(here, job)
    answer = here.post(way, mark=mark_on(here.get(way).text), **(SIGNED | left))
    assert answer.status_code == 422
    assert where in answer.text
    assert not links.acceptances(here.store, here.who.firm, job)


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
