"""While entries wait on a phone: a second page beside the first, a clock that is wrong, a new version of the app."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import TYPE_CHECKING

from drainwright.office.app import make_app
from drainwright.office.settings import Settings
from drainwright.office.store import revisions
from drainwright.office.store.editing import Operation, said
from drainwright.office.store.opening import Store
from drainwright.office.who import person_here

from .browser import Served, serving
from .stored import keep_example
from .test_browser import SHELLS, another_bundle, until
from .test_yard import begun, example, now, part, phone, until_up
from .yard_pages import fill

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


def read(page: Page, point: str, reading: str, rows: int) -> None:
    fill(page, level_point=point, level_reading=reading)
    page.get_by_role("button", name="Add this reading").tap()
    page.locator(".entries li").nth(rows - 1).wait_for()


def test_a_new_version_and_a_second_page_lose_nothing_that_waits(browser: Browser, tmp_path: Path) -> None:
    settings = {"store": f"sqlite:///{tmp_path / 'store.sqlite'}", "workers": 1}
    text = example()[0]
    with serving(make_app(Settings(**settings))) as served:
        until_up(served)
        port = int(served.address.rpartition(":")[2])
        job = begun(served, text)
        page = phone(browser, served, job)
        second = page.context.new_page()
        second.goto(f"{page.url}#levels")
        second.get_by_text("Office last seen").wait_for()
        page.context.set_offline(True)
        part(page, "levels")
        fill(page, mark_name="BM", mark_level="100")
        page.get_by_role("button", name="Open the book").tap()
        second.get_by_text("1 on this phone").wait_for()  # of what the first page keeps
        read(second, "BM", "5.42", 1)  # on it, and not beside it
        page.get_by_text("2 on this phone").wait_for()
        assert page.locator(".entries li").count() == 1
        fill(page, level_point="F1", level_reading="4.1")  # half typed when the new version comes
        store = served.app.state.store
        firm = person_here(store).firm
        renamed = Operation(id="renamed", path="title", value="Another name", was=json.loads(text)["title"])
        revisions.apply(store, firm, job, 1, [renamed], "Bo")
        before = page.evaluate(SHELLS)
    dist = another_bundle(tmp_path / "dist")
    names = json.loads((dist / "assets.json").read_text())
    (dist / names["yard_job.js"]).rename(dist / "yard_job-NEWNAME2.js")
    (dist / "assets.json").write_text(json.dumps(names | {"yard_job.js": "yard_job-NEWNAME2.js"}))
    with serving(make_app(Settings(**settings, assets=dist)), port) as served:
        until_up(served)
        page.context.set_offline(False)  # both pages send at once
        page.evaluate("navigator.serviceWorker.getRegistration().then(one => one.update())")
        assert until(page, f"{SHELLS}.then(names => names.length === 1 && names[0] !== {json.dumps(before[0])})")
        page.get_by_text("All sent").wait_for()
        second.get_by_text("All sent").wait_for()
        assert page.input_value("#level-reading") == "4.1"
        page.get_by_role("button", name="Add this reading").tap()  # the old page under the new worker
        page.locator(".entries li").nth(1).wait_for()
        page.get_by_text("All sent").wait_for()
        second.locator(".entries li").nth(1).wait_for()
        page.reload()
        page.get_by_text("Office last seen").wait_for()
        assert "yard_job-NEWNAME2.js" in page.content()
        record = said(now(served, job))
        assert [row["point"] for row in record["survey"]["level_book"]] == ["BM", "F1"]
        assert (record["survey"]["benchmark"]["name"], record["title"]) == ("BM", "Another name")
        assert len(revisions.history(served.app.state.store, firm, job)) <= 4  # each entry once
    page.context.close()


def test_a_page_kept_for_days_takes_the_day_of_the_phone_and_says_so(
    browser: Browser, served: Served, kept: Store
) -> None:
    job = keep_example(kept, "block-wall-house")
    way = f"{served.address}/jobs/{job}/after/visits"
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(120_000)
    page = context.new_page()
    page.goto(way)
    assert until(page, "navigator.serviceWorker.controller !== null")
    page.reload()  # through the service worker, which keeps it
    page.locator("#on-phone").wait_for(state="attached")
    today = datetime.date.today()
    assert page.input_value("#on") == today.isoformat()
    assert page.get_by_text("See that the day is right").count() == 0
    context.set_offline(True)
    for days in (-1, 2):
        noon = datetime.datetime.combine(today + datetime.timedelta(days), datetime.time(12))
        page.clock.set_fixed_time(noon)
        page.reload()
        page.get_by_text(f"This phone says it is {noon:%Y-%m-%d}").wait_for()
        assert page.input_value("#on") == max(noon.date(), today).isoformat()
    page.fill("#in_service", "2026-04-02")
    page.get_by_label("Roots").check()
    page.goto(f"{served.address}/yard")
    page.go_back()
    page.get_by_text("Begun on this phone and not noted yet").wait_for()
    assert page.input_value("#in_service") == "2026-04-02"
    assert page.get_by_label("Roots").is_checked()
    page.get_by_role("button", name="Note the visit").tap()
    page.get_by_text("1 on this phone").wait_for()
    page.reload()
    page.get_by_text("1 on this phone").wait_for()
    assert page.get_by_text("Begun on this phone and not noted yet").count() == 0
    context.close()
