"""After the job in a browser, at both sizes: a record put in by its file, and what it comes to; a visit typed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import httpx
import pytest

from drainwright.design import Design
from drainwright.job.proof import read_proof_text
from drainwright.office.after import SORTS, recorded
from drainwright.office.store.beside import BESIDE
from drainwright.office.store.files import PROOF, attachments
from drainwright.office.store.opening import Store
from drainwright.office.who import person_here

from .browser import SIZES, Served, watched
from .finished import choked
from .stored import keep_example
from .test_browser import until
from .test_uploads import picture

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

FIELDS = "main a.button, main button, main input:not([type=checkbox]), main select, .choice label"
SMALL = f"""[...document.querySelectorAll('{FIELDS}')].filter(
  one => one.offsetParent && one.type !== 'hidden' && one.offsetHeight < 44).length"""


@pytest.mark.parametrize("size", SIZES)
def test_a_proof_is_put_in_from_a_file_and_a_visit_is_typed(
    browser: Browser, served: Served, kept: Store, pumped: Design, tmp_path: Path, size: str
) -> None:
    job = keep_example(kept, "block-wall-house")
    file = tmp_path / "proof.yaml"
    file.write_text(choked(pumped), encoding="utf-8")
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
    context.set_default_timeout(120_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{job}")
    page.get_by_role("link", name="After", exact=True).click()
    page.get_by_role("link", name="Proof").click()
    page.set_input_files("#file", file)
    page.get_by_role("button", name="Take the file in").click()
    page.wait_for_url("**/after/proof?saved=1")
    assert "Not to be signed off yet" in page.inner_text(".lead")
    assert "gpm" in page.inner_text("dl.figures")
    page.get_by_text("What was measured").first.click()
    assert page.locator("table.told").first.is_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate(SMALL) == 0
    page.goto(f"{served.address}/jobs/{job}/after/visits")
    page.get_by_label("In service since").fill("2026-12-01")
    page.get_by_label("Day of the visit").fill("2027-12-01")
    page.get_by_label("Roots").check()
    page.get_by_label("Pump’s flow by drawdown").fill("66.1")
    assert page.evaluate(SMALL) == 0
    page.get_by_role("button", name="Note the visit").click()
    page.wait_for_url("**/after/visits?saved=1")
    assert "66.1 gpm" in page.inner_text("table.told")
    assert "Next visit by" in page.inner_text(".lead")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not wrong
    context.close()


def test_entries_after_the_job_wait_for_a_signal_and_a_conflict_is_settled_by_a_person(
    browser: Browser, served: Served, kept: Store
) -> None:
    job = keep_example(kept, "block-wall-house")
    way = f"{served.address}/jobs/{job}/after/proof"
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(30_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(way)
    assert until(page, "navigator.serviceWorker.controller !== null")
    page.reload()  # through the service worker, which keeps it
    context.set_offline(True)
    page.reload()
    note(page, "FD1", "97.93", "97.02")
    page.get_by_text("1 on this phone").wait_for()
    note(page, "FD1", "97.95", "97.02")
    page.get_by_text("2 on this phone").wait_for()
    page.reload()
    page.locator("#on-phone li", has_text="Run FD1: upper 97.95; lower 97.02").wait_for()
    page.get_by_text("Inverts of a run").click()
    assert page.input_value("#upper") == "97.95"  # the form opens with what waits
    page.select_option("#run", index=1)
    assert page.input_value("#upper") == ""  # and not with what was noted of another
    page.get_by_role("button", name="Take it back").last.tap()
    page.get_by_text("1 on this phone").wait_for()
    context.set_offline(False)
    page.wait_for_url("**/after/proof?saved=1")
    page.get_by_text("What is noted").click()
    assert "upper 97.93 ft" in page.inner_text("#noted")
    other = browser.new_page()
    other.goto(f"{way}?change=run&which=FD1")
    other.fill("#upper", "98.20")
    other.locator("#form-run").get_by_role("button", name="Note it").click()
    other.wait_for_url("**/after/proof?saved=2")
    page.get_by_role("button", name="Take out Run FD1").tap()  # of what stood there before
    page.get_by_text("1 not taken by the office").wait_for()
    page.get_by_role("link", name="Look at them and choose").tap()
    page.get_by_text("Now, by").wait_for()
    assert "upper 98.20 ft" in page.inner_text(".entries")
    page.get_by_role("button", name="Leave theirs").tap()
    page.get_by_text("Nothing waits for a choice").wait_for()
    page.goto(way)
    assert "upper 98.20 ft" in page.text_content("#noted")
    note(page, "FD1", "high", "97.02")
    page.locator("#form-run .error", has_text="high").wait_for()
    assert page.input_value("#upper") == "high"
    assert page.inner_text("#on-phone") == ""
    assert not wrong
    other.close()
    context.close()


def note(page: Page, run: str, upper: str, lower: str) -> None:
    """Note the inverts of a run."""
    form = page.locator("#form-run")
    if form.get_attribute("open") is None:
        page.get_by_text("Inverts of a run").click()
    page.select_option("#run", run)
    page.fill("#upper", upper)
    page.fill("#lower", lower)
    form.get_by_role("button", name="Note it").click()


def test_a_photograph_of_a_checkpoint_waits_for_a_signal_and_another_at_the_same_is_settled(
    browser: Browser, served: Served, kept: Store, tmp_path: Path
) -> None:
    job = keep_example(kept, "block-wall-house")
    way = f"{served.address}/jobs/{job}/after/proof"
    file = tmp_path / "stone.png"
    file.write_bytes(picture())
    no_picture = tmp_path / "torn.jpg"
    no_picture.write_bytes(b"\xff\xd8\xff torn")
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(30_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(way)
    assert until(page, "navigator.serviceWorker.controller !== null")
    page.reload()
    context.set_offline(True)
    page.reload()
    for one, count in ((file, 1), (no_picture, 2)):
        page.select_option("#checkpoint", str(count))
        page.set_input_files("#photo", one)
        page.get_by_role("button", name="Take it in").tap()
        page.get_by_text(f"{count} on this phone").wait_for()
    page.reload()
    page.locator("#on-phone img").nth(1).wait_for()
    other = {"photo": ("theirs.png", picture(), "image/png")}
    assert named_at(kept, job) == {}
    with httpx.Client(base_url=served.address) as client:
        token = client.get("/api/v1/form-token").json()["form_token"]
        client.post(f"/jobs/{job}/after/proof/photos", data={"base": "0", "checkpoint": "1", "form_token": token},
                    files=other)  # fmt: skip
    assert named_at(kept, job) == {1: "checkpoint-1.jpg"}
    context.set_offline(False)
    page.get_by_text("1 not taken by the office").wait_for()
    page.get_by_text("Not taken by the office: ").wait_for()  # the torn one, with its reason
    assert len(pictures(kept, job)) == 2
    page.get_by_role("button", name="Throw it away").tap()
    page.get_by_role("link", name="Look at them and choose").tap()
    page.get_by_role("button", name="Take mine").tap()
    page.get_by_text("Nothing waits for a choice").wait_for()
    assert until(page, "document.querySelector('.bar').innerText.includes('All sent')")
    [mine] = named_at(kept, job).values()
    assert mine.startswith("checkpoint-1-")
    assert mine in pictures(kept, job)
    page.goto(way)
    page.get_by_text("What is noted").click()
    page.get_by_role("button", name="Take out Photograph of checkpoint 1").tap()
    page.wait_for_url("**/after/proof?saved=3")
    assert named_at(kept, job) == {}
    assert len(pictures(kept, job)) == 2  # both still hang on the job
    assert [one for one in wrong if "422" not in one] == []
    context.close()


def pictures(kept: Store, job: str) -> list[str]:
    """The names of the photographs that hang on a job."""
    return [one.name for one in attachments(kept, person_here(kept).firm, job) if one.kind not in (BESIDE, PROOF)]


def named_at(kept: Store, job: str) -> dict[int, str]:
    """The photographs that the proof of a job names, by checkpoint."""
    found = recorded(kept, person_here(kept).firm, job, SORTS["proof"])
    return {} if found is None else {one.checkpoint: one.file for one in read_proof_text(found.text).proof.photos}
