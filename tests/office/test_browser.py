"""The shell in a browser, at both sizes and in all themes, with a network and without."""

from __future__ import annotations

import asyncio
import json
import shutil
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from fastapi import Request
from jinja2 import ChoiceLoader, FileSystemLoader
from starlette.responses import Response

from drainwright.office.app import make_app
from drainwright.office.assets import _folder
from drainwright.office.pages import shell
from drainwright.office.settings import Settings

from .browser import SIZES, Served, serving, watched

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

BOOK = (
    ("BM", "backsight", "5.42"), ("F1", "intermediate", "4 ft 1 in"), ("TP1", "foresight", "3.87"),
    ("TP1", "backsight", "4.66"), ("BM", "foresight", "6.21"),
)  # fmt: skip
SMALL = """() => [...document.querySelectorAll('a, button, input, select')].flatMap(one => {
  const box = one.getBoundingClientRect();
  const hidden = !box.width || one.type === 'hidden' || box.bottom < 0;
  const within = one.closest('label, p:not(.row-ways), li:not(.rows li)') && !one.matches('.button, .doors a');
  const large = Math.min(box.width, box.height) >= LEAST;
  return hidden || within || large ? [] : [`${one.outerHTML} ${box.width}x${box.height}`];
})"""


def until(page: Page, condition: str) -> bool:
    """Wait for a condition; Playwright's own way evaluates text in the page, which the security policy forbids."""
    sleep = "await new Promise(done => setTimeout(done, 50))"
    loop = f"for (let n = 0; n < 300; n++) {{ if (await ({condition})) return true; {sleep} }}"
    return bool(page.evaluate(f"async () => {{ {loop} return false }}"))


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    app = make_app(Settings(store=f"sqlite:///{tmp_path_factory.mktemp('store') / 'store.sqlite'}"))

    @app.get("/looks")
    def looks(request: Request) -> Response:
        return shell.page(request, "looks.html")

    environment = shell.templates()
    loader = environment.loader
    assert loader is not None
    environment.loader = ChoiceLoader([loader, FileSystemLoader(Path(__file__).parent)])
    with serving(app) as found:
        yield found
    environment.loader = loader


def context(browser: Browser, size: str, theme: str, address: str) -> BrowserContext:
    width, height = SIZES[size]
    made = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
    made.add_cookies([{"name": "theme", "value": theme, "url": address}])
    made.set_default_timeout(15_000)
    return made


@pytest.mark.parametrize(("size", "theme", "path"), list(product(SIZES, shell.THEMES, ("/", "/yard", "/looks"))))
def test_pages_fit_and_targets_are_large(browser: Browser, served: Served, size: str, theme: str, path: str) -> None:
    page = context(browser, size, theme, served.address).new_page()
    wrong = watched(page, served.address)
    page.goto(served.address + path, wait_until="networkidle")
    assert page.evaluate("document.documentElement.dataset.theme") == theme
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    assert page.evaluate("document.fonts.check('600 16px Text')")
    assert page.evaluate(SMALL.replace("LEAST", "43.9")) == []
    assert wrong == []
    page.context.close()


@pytest.mark.parametrize("size", SIZES)
def test_the_yard_book_reckons_and_remembers(browser: Browser, served: Served, size: str) -> None:
    page = context(browser, size, "light", served.address).new_page()
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/yard")
    page.locator("#line", has_text="kept on this device").wait_for()
    page.fill("#tape", "42'-6 1/2\"")
    assert page.locator("#tape-read").inner_text() == "42 ft 6 1/2 in = 42.542 ft = 12.967 m"
    page.fill("#tape", "42 fet")
    assert "did you mean '42 feet'?" in page.locator("#tape-read").inner_text()
    for number, (point, column, reading) in enumerate(BOOK):
        page.click("#add-row")
        page.fill(f"#row-{number}-of-point", point)
        page.select_option(f"#row-{number}-of-kind", column)
        page.fill(f"#row-{number}-of-reading", reading)
    assert "The book closes" in page.locator("#closing").inner_text()
    assert page.evaluate(SMALL.replace("LEAST", "43.9")) == []
    assert page.evaluate("document.querySelector('#row-0-of-reading').getBoundingClientRect().height") >= 56
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    # HI 105.42; F1 105.42 - 4 1/12; TP1 101.55; HI 106.21; BM 100.00: by hand
    assert page.locator("#reduced tbody tr").nth(1).locator("td").all_inner_texts() == ["105.420", "101.337", "101.337"]
    page.reload()
    page.locator("#closing", has_text="The book closes").wait_for()
    assert page.input_value("#row-1-of-reading") == "4 ft 1 in"
    assert wrong == []
    page.context.close()


def test_the_yard_book_works_when_the_office_is_gone(browser: Browser, tmp_path: Path) -> None:
    with serving(make_app(Settings(store=f"sqlite:///{tmp_path / 'store.sqlite'}"))) as served:
        page = context(browser, "phone", "light", served.address).new_page()
        page.goto(f"{served.address}/yard")
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        assert until(page, "navigator.serviceWorker.controller !== null")
        page.click("#add-row")
        page.fill("#row-0-of-reading", "5.42")
        served.stop()
        wrong = watched(page, served.address)
        page.goto(f"{served.address}/yard")
        page.locator("#line", has_text="kept on this device").wait_for()
        assert page.input_value("#row-0-of-reading") == "5.42"
        assert page.evaluate("document.fonts.check('600 16px Text')")
        page.fill("#tape", "1/8 in")
        assert page.locator("#tape-read").inner_text().startswith("1/8 in = 0.010 ft")
        assert wrong == []
        page.goto(f"{served.address}/")
        assert "No network just now" in page.locator("h1").inner_text()
        page.context.close()


def another_bundle(folder: Path) -> Path:
    """The front end with its yard script under another name, as a new version has it."""
    old = Settings().assets or _folder()
    shutil.copytree(old, folder)
    names = json.loads((folder / "assets.json").read_text())
    (folder / names["yard.js"]).rename(folder / "yard-NEWNAME1.js")
    (folder / "assets.json").write_text(json.dumps(names | {"yard.js": "yard-NEWNAME1.js"}))
    return folder


SHELLS = "caches.keys().then(names => names.filter(name => name.startsWith('shell-')))"


def test_a_page_kept_by_an_old_version_works_after_the_new_one_came(browser: Browser, tmp_path: Path) -> None:
    with serving(make_app(Settings())) as served:
        port = int(served.address.rpartition(":")[2])
        page = context(browser, "phone", "light", served.address).new_page()
        page.goto(f"{served.address}/yard")
        assert until(page, "navigator.serviceWorker.controller !== null")
        page.goto(f"{served.address}/yard")  # through the service worker, which keeps it
        before = page.evaluate(SHELLS)
    with serving(make_app(Settings(assets=another_bundle(tmp_path / "dist"))), port) as served:
        page.goto(f"{served.address}/offline")
        page.evaluate("navigator.serviceWorker.getRegistration().then(one => one.update())")
        assert until(page, f"{SHELLS}.then(names => names.length === 1 && names[0] !== {json.dumps(before[0])})")
    page.goto(f"{served.address}/yard")
    page.locator("#line", has_text="kept on this device").wait_for()
    assert "yard-NEWNAME1.js" in page.content()
    page.context.close()


def test_right_after_a_saving_no_page_of_before_stands_in_for_a_slow_one(browser: Browser) -> None:
    app, slow = make_app(Settings()), []

    @app.middleware("http")
    async def later(request: Request, go_on: Any) -> Response:
        response: Response = await go_on(request)
        if slow and request.url.path == "/yard":
            response.headers["x-late"] = "yes"
            await asyncio.sleep(4.5)  # longer than a page is waited for where one is kept
        return response

    with serving(app) as served:
        page = context(browser, "phone", "light", served.address).new_page()
        page.goto(f"{served.address}/yard")
        assert until(page, "navigator.serviceWorker.controller !== null")
        page.goto(f"{served.address}/yard")  # through the service worker, which keeps it
        slow.append(True)
        answers = [page.goto(f"{served.address}/yard{more}") for more in ("", "?saved=1")]
        assert [one is not None and "x-late" in one.headers for one in answers] == [False, True]
        page.context.close()


def test_the_theme_is_chosen_with_a_touch_and_stays(browser: Browser, served: Served) -> None:
    page = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, color_scheme="dark").new_page()
    page.goto(served.address)
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"  # as the system has it
    page.tap("button[value=sunlight]")
    assert page.evaluate("document.documentElement.dataset.theme") == "sunlight"
    assert page.get_attribute("button[value=sunlight]", "aria-pressed") == "true"
    page.goto(f"{served.address}/yard")
    assert page.evaluate("document.documentElement.dataset.theme") == "sunlight"
    page.context.close()


def test_the_keyboard_reaches_the_content_first(browser: Browser, served: Served) -> None:
    page = browser.new_context().new_page()
    page.goto(served.address)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    assert page.evaluate("document.activeElement.getBoundingClientRect().top") >= 0
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
    page.context.close()


def test_without_script_the_theme_is_chosen_by_a_form(browser: Browser, served: Served) -> None:
    page = browser.new_context(java_script_enabled=False).new_page()
    page.goto(f"{served.address}/yard")
    page.click("button[value=dark]")
    assert page.url == f"{served.address}/yard"
    assert page.get_attribute("html", "data-theme") == "dark"
    assert "needs script" in page.locator("noscript").inner_text()
    page.context.close()


def test_an_app_that_is_served_stops_without_a_word_and_closes_its_workers(
    browser: Browser, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    app = make_app(Settings(store=f"sqlite:///{tmp_path / 'store.sqlite'}", workers=1))
    with serving(app) as served:
        page = browser.new_page()
        page.goto(served.address)
        closed: list[bool] = []
        close = app.state.workers.close
        app.state.workers.close = lambda: (close(), closed.append(True))
    page.close()
    assert closed == [True]
    assert [record.getMessage() for record in caplog.records if record.name.startswith("uvicorn")] == []
