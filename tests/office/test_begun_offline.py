"""A job begun on a phone without a network: kept, measured, and in the office when the signal is back, once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from drainwright.office.store import editing, jobs, revisions
from drainwright.office.store.opening import Store
from drainwright.office.who import person_here

from .browser import SIZES, Served
from .firm_pages import office
from .test_browser import until
from .yard_pages import type_walk

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

WALK = {
    "start": "A", "at": "0 ft, 0 ft", "bearing": "90 deg",
    "legs": [
        {"to": to, "length": length, "turn": "-90 deg"}
        for to, length in zip("BCDA", ("40 ft", "28 ft") * 2, strict=True)
    ],
}  # fmt: skip


def yard_book(browser: Browser, served: Served) -> Page:
    """A phone on which the yard book was opened once."""
    width, height = SIZES["phone"]
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=True)
    context.set_default_timeout(20_000)
    page = context.new_page()
    page.goto(f"{served.address}/yard")
    assert until(page, "navigator.serviceWorker.controller !== null")
    page.reload()
    return page


def test_a_job_begun_without_a_network_is_kept_and_comes_to_the_office_once(
    browser: Browser, served: Served, kept: Store
) -> None:
    firm = person_here(kept).firm
    page = yard_book(browser, served)
    page.context.set_offline(True)
    page.get_by_role("button", name="Begin and measure").click()
    assert "expected a few words" in page.locator("#begin-trouble").inner_text()
    page.get_by_label("What the job is known by").fill("Wet lawn at Orchard Bank")
    page.get_by_label("Address").fill("3 Orchard Bank")
    page.get_by_role("button", name="Begin and measure").click()
    page.wait_for_url("**/yard/begun?job=*")
    type_walk(page, WALK)
    page.reload()  # all of it is on the phone
    page.get_by_text("Wet lawn at Orchard Bank").wait_for()
    page.goto(f"{served.address}/yard")
    page.locator("#begun-jobs a").wait_for()
    assert "Wet lawn at Orchard Bank waits for a signal" in page.locator("#begun-jobs").inner_text()
    page.locator("#begun-jobs a").click()
    page.wait_for_url("**/yard/begun?job=*")
    assert jobs.listed(kept, firm) == ()
    page.context.set_offline(False)
    page.locator(".bar", has_text="All sent").wait_for(timeout=60_000)
    (made,) = jobs.listed(kept, firm)
    record = editing.said(revisions.revision(kept, firm, made.job.id).text)
    assert (record["title"], record["property"]) == ("Wet lawn at Orchard Bank", {"address": "3 Orchard Bank"})
    assert len(record["survey"]["perimeter"]["legs"]) == 4
    page.goto(f"{served.address}/yard")
    page.wait_for_timeout(500)
    assert page.locator("#begun-jobs li").count() == 0
    page.goto(f"{served.address}/jobs/{made.job.id}/yard")
    page.get_by_text("Office last seen").wait_for()
    assert len(jobs.listed(kept, firm)) == 1
    page.context.close()


def test_an_address_of_no_job_says_so_and_leads_on(browser: Browser, served: Served) -> None:
    page = yard_book(browser, served)
    for way, words in (
        ("?job=unknown", "The office has no such job"), ("?job=", "No job is named"), ("", "No job is named"),
    ):  # fmt: skip
        page.goto(f"{served.address}/yard/begun{way}", wait_until="networkidle")
        page.get_by_role("heading", name="This job is not on this phone").wait_for()
        assert words in page.locator("main").inner_text()
    page.context.set_offline(True)
    page.goto(f"{served.address}/yard/begun?job=unknown")
    page.get_by_text("Open it once where there is a signal").wait_for()
    assert "Nothing on this phone" in page.locator(".bar").inner_text()
    page.get_by_role("link", name="To the yard book").click()
    page.wait_for_url("**/yard")
    page.context.close()


def test_a_job_sent_twice_under_its_id_begins_once(tmp_path: Path) -> None:
    body = {"id": "0b9d3b1e-6a1c-4f0a-9d3e-2f1a5c7e9b11", "first": {"title": "Wet lawn", "units": "SI"}}
    with office(tmp_path) as here:
        for _ in range(2):
            answer = here.client.post("/api/v1/jobs", json=body, headers={"x-form-token": here.token})
            assert (answer.status_code, answer.json()["id"]) == (201, body["id"])
        assert len(jobs.listed(here.store, here.who.firm)) == 1
        for wrong in ({**body, "text": "title: A\n"}, {"first": {"title": ""}}, {"id": "one", "first": {"title": "A"}}):
            answer = here.client.post("/api/v1/jobs", json=wrong, headers={"x-form-token": here.token})
            assert answer.status_code == 422
