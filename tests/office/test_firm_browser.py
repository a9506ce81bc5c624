"""The office's pages in a browser, at both sizes: begun by keyboard, found while typing, settled by choice."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from drainwright.office.app import make_app
from drainwright.office.settings import Settings
from drainwright.office.store import revisions
from drainwright.office.who import person_here

from .browser import SIZES, Served, serving, watched
from .stored import keep_example
from .test_browser import until

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(make_app(Settings(store=f"sqlite:///{tmp_path_factory.mktemp('store') / 'store.sqlite'}"))) as found:
        yield found


@pytest.fixture(params=SIZES)
def page(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    width, height = SIZES[request.param]
    phone = request.param == "phone"
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=phone, is_mobile=phone)
    yield context.new_page()
    context.close()


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def begun(page: Page, address: str, title: str) -> str:
    """A job begun by the keyboard alone; its id."""
    page.goto(f"{address}/jobs/new")
    page.focus("#title")
    page.keyboard.type(title)
    page.keyboard.press("Enter")
    page.wait_for_url("**/jobs/*-*")
    return page.url.rpartition("/")[2]


def test_a_job_is_begun_by_keyboard_and_found_while_typing(page: Page, served: Served) -> None:
    wrong = watched(page, served.address)
    for title in ("Wet cellar", "Damp wall"):
        begun(page, served.address, title)
    page.goto(served.address)
    assert fits(page)
    page.focus("#q")
    page.keyboard.type("damp")
    assert until(page, "!document.querySelector('#jobs').textContent.includes('Wet cellar')")
    assert "Damp wall" in page.inner_text("#jobs")
    assert page.evaluate("document.activeElement.id") == "q"
    assert not wrong


def test_what_was_typed_before_the_script_came_is_looked_for(page: Page, served: Served) -> None:
    assert page.request.get(f"{served.address}/offline").ok  # the app is up
    for title in ("Wet cellar", "Damp wall"):
        keep_example(served.app.state.store, "block-wall-house", f"schema_version: 1\ntitle: {title}\n")
    held: list[Route] = []
    page.route("**/assets/office*.js", lambda route: held.append(route))
    page.goto(served.address, wait_until="commit")
    page.wait_for_selector("#q")
    page.fill("#q", "damp")
    assert "Wet cellar" in page.inner_text("#jobs")
    assert held
    for one in held:
        one.continue_()
    assert until(page, "!document.querySelector('#jobs').textContent.includes('Wet cellar')")


def test_a_problem_leads_to_its_line(page: Page, served: Served) -> None:
    id = begun(page, served.address, "Wet cellar")
    page.goto(f"{served.address}/jobs/{id}/text")
    page.fill("#text", page.input_value("#text") + "colour: blue\n")
    page.click("text=Check without saving")
    page.locator(".problems li", has_text="colour").locator("[data-line]").click()
    chosen = "(area => area.value.slice(area.selectionStart, area.selectionEnd))(document.activeElement)"
    assert page.evaluate(chosen) == "colour: blue"
    assert fits(page)


def test_two_who_changed_the_same_are_settled_by_choice(page: Page, served: Served) -> None:
    id = begun(page, served.address, "Wet cellar")
    page.goto(f"{served.address}/jobs/{id}/text")
    store = served.app.state.store
    firm = person_here(store).firm
    before = revisions.revision(store, firm, id)
    revisions.save(store, firm, id, 1, before.text.replace("Wet", "Soaked"), "Birch")
    page.fill("#text", before.text.replace("Wet", "Dry"))
    page.click("button:has-text('Save')")
    assert "Two changed the same" in page.inner_text("h1")
    assert fits(page)
    page.check("input[value=mine]")
    page.click("text=Save what I chose")
    page.wait_for_url("**/text?saved=*")
    assert "Dry cellar" in page.input_value("#text")
    kept = [one.text for one in revisions.history(store, firm, id)]
    assert any("Soaked cellar" in text for text in kept)


@pytest.mark.parametrize(
    "path", ["/firm", "/firm/customers", "/firm/book", "/firm/service", "/firm/settings", "/calendar"]
)
def test_pages_of_the_firm_fit_and_break_nothing(page: Page, served: Served, path: str) -> None:
    wrong = watched(page, served.address)
    page.goto(f"{served.address}{path}")
    assert page.locator("h1").count() == 1
    assert fits(page)
    assert not wrong
