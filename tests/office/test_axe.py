"""Every page against the accessibility rules of axe-core, in both sizes and all lights: nothing serious or critical.

axe-core is a package of the front end's development alone: its text is run in the test's own page, and no page of ours
refers to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from drainwright.office.app import make_app
from drainwright.office.pages.shell import THEMES
from drainwright.office.settings import Settings
from drainwright.office.store.opening import open_store

from .all_pages import entered, every_page, left_out
from .browser import SIZES, Served, serving
from .test_frontend_units import ROOT, _hook

if TYPE_CHECKING:
    from playwright.sync_api import Browser

RUN = """async () => {
  const found = await axe.run(document, {resultTypes: ['violations'], runOnly: ['wcag2a', 'wcag2aa', 'wcag21a',
    'wcag21aa', 'wcag22aa', 'best-practice']});
  return found.violations.filter((one) => ['serious', 'critical'].includes(one.impact)).map((one) =>
    `${one.impact} ${one.id}: ${one.nodes.slice(0, 3).map((node) => node.target.join(' ')).join(', ')}`);
}"""


@pytest.fixture(scope="module")
def axe() -> str:
    return (Path(_hook().development(ROOT)) / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def url(tmp_path_factory: pytest.TempPathFactory) -> str:
    return f"sqlite:///{tmp_path_factory.mktemp('axe') / 'store.sqlite'}"


@pytest.fixture(scope="module")
def ways(url: str) -> tuple[str, ...]:
    """The addresses of pages with something on each."""
    return every_page(url)


@pytest.fixture(scope="module")
def served(url: str, ways: tuple[str, ...]) -> Iterator[Served]:
    with serving(make_app(Settings(store=url, workers=1))) as found:
        yield found


def test_axe_finds_a_fault_where_there_is_one(browser: Browser, axe: str) -> None:
    page = browser.new_page()
    page.set_content("<html lang='en'><title>A</title><main><h1>A</h1><input></main>")
    page.evaluate(axe)
    assert page.evaluate(RUN) == ["critical label: input"]
    page.close()


def faults(browser: Browser, address: str, ways: tuple[str, ...], axe: str, size: str) -> list[str]:
    """What is seriously wrong on pages in all lights, with all that folds open; and what is wider than the screen."""
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
    context.set_default_timeout(120_000)
    page, wrong = context.new_page(), []
    for way in ways:
        page.goto(address + way, wait_until="networkidle", timeout=120_000)
        page.evaluate("document.querySelectorAll('main details').forEach(one => { one.open = true; })")
        wide = page.evaluate("document.documentElement.scrollWidth")
        wrong += [f"{way}: {wide} wide"] if wide > width else []
        page.evaluate(axe)
        for theme in THEMES:
            page.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
            found: list[Any] = page.evaluate(RUN)
            wrong += [f"{way} {theme}: {one}" for one in found]
    context.close()
    return wrong


def test_no_page_of_the_app_is_left_out(served: Served, ways: tuple[str, ...]) -> None:
    without = tuple(way for way in ways if not way.endswith("/worksheet"))
    assert left_out(served.app, without) == ["/first", "/invitation/{token}", "/jobs/{job}/worksheet"]
    assert left_out(served.app, (*ways, "/first", "/invitation/nothing")) == []


@pytest.mark.parametrize("size", SIZES)
def test_no_page_has_a_serious_fault(
    browser: Browser, served: Served, ways: tuple[str, ...], axe: str, size: str
) -> None:
    wrong = faults(browser, served.address, ways, axe, size)
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("size", SIZES)
def test_no_page_of_the_door_has_a_serious_fault(browser: Browser, tmp_path: Path, axe: str, size: str) -> None:
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    open_store(url).close()
    with serving(make_app(Settings(store=url, workers=1, local=False, first_code="stone"))) as found:
        wrong = faults(browser, found.address, ("/first",), axe, size)
        wrong += faults(browser, found.address, entered(url), axe, size)
    assert not wrong, "\n".join(wrong)


def test_no_column_lies_off_a_phone(browser: Browser, served: Served, ways: tuple[str, ...]) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 844})
    cut = "[...document.querySelectorAll('main .wide')].filter(one => one.scrollWidth > one.clientWidth + 1).length"
    job = next(way for way in ways if way.endswith("/hours")).removesuffix("/hours")
    for way in (job, f"{job}/hours", f"{job}/after/visits", f"/firm/learn/{job.rpartition('/')[2]}"):
        page.goto(served.address + way, timeout=120_000)
        assert page.locator("main .wide").count() > 0, way
        assert page.evaluate(cut) == 0, way
    page.close()
