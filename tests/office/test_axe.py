"""Every page against the accessibility rules of axe-core, in both sizes and all lights: nothing serious or critical.

axe-core is a package of the front end's development alone: its text is run in the test's own page, and no page of ours
refers to it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from drainwright.office.app import make_app
from drainwright.office.examples import begin_example, example_of
from drainwright.office.pages.shell import THEMES
from drainwright.office.rain import bring
from drainwright.office.settings import Settings
from drainwright.office.store import links, people, revisions
from drainwright.office.store.books import PIPES, PRICES, PUMPS, save_the_book
from drainwright.office.store.jobs import open_job
from drainwright.office.store.opening import open_store
from drainwright.office.taken import keep
from drainwright.office.who import person_here

from .browser import SIZES, Served, serving
from .stored import EXAMPLES
from .test_frontend_units import ROOT, _hook
from .test_rain import TABLE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

JOB_PAGES = (
    "", "/yard", "/plan", "/water", "/system", "/storm", "/dig", "/price", "/offer", "/papers", "/hours", "/schemes",
    "/what-if", "/answers", "/history", "/compare?old=1&new=2", "/text", "/facts", "/facts/job", "/facts/house",
    "/facts/lot", "/facts/walls", "/facts/ground", "/facts/rain", "/facts/place", "/facts/criteria", "/facts/crew",
    "/facts/basin",
)  # fmt: skip
FIRM_PAGES = (
    "/", "/jobs/new", "/calendar", "/firm", "/firm/customers", "/firm/book", "/firm/book/text", "/firm/pumps",
    "/firm/pumps/one", "/firm/pipes", "/firm/service", "/firm/settings", "/yard", "/yard/begun", "/offline",
    "/me", "/firm/people", "/c/nothing", "/nowhere",
)  # fmt: skip
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
    store, example = open_store(url), example_of("block-wall-house")
    assert example is not None
    who = person_here(store)
    job = begin_example(store, who, example).id
    text = revisions.revision(store, who.firm, job).text
    revisions.save(store, who.firm, job, 1, text.replace("valid_days: 30", "valid_days: 400"), who.name)
    save_the_book(store, who.firm, PRICES, 0, example.beside["book/prices.yaml"].decode(), who.name)
    save_the_book(store, who.firm, PUMPS, 0, "name,flow (gpm),head (ft)\nBeta,0,20\nBeta,30,5\n", who.name)
    save_the_book(store, who.firm, PIPES, 0, "pipe\nd3034 4 in\n", who.name)
    keep(store, who, job, 0, example.beside["book/actuals.yaml"].decode())
    customer = people.add_customer(store, who.firm, "R. Bramble").id
    _, token = links.make_link(store, who.firm, job, "offer", datetime.timedelta(days=9), who.name)
    begun = "{title: Wet lawn, price_book: {file: prices.yaml}, rain: {file: rain.csv}}"
    aged = open_job(store, who.firm, begun, who.name).id
    bring(store, who.firm, aged, "rain.csv", TABLE.encode(), who.name)
    sloping = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
    called = sloping.replace("schema_version: 1", "schema_version: 1\nprice_book: {file: prices.yaml}", 1)
    priced = open_job(store, who.firm, called, who.name).id
    save_the_book(store, who.firm, PRICES, 1, example.beside["book/prices.yaml"].decode() + "# dearer\n", who.name)
    store.close()
    others = (f"/jobs/{priced}", f"/jobs/{aged}", f"/jobs/{aged}/facts", f"/jobs/{aged}/facts/rain")
    of_job = tuple(f"/jobs/{job}{page}" for page in JOB_PAGES)
    return (*FIRM_PAGES, *of_job, *others, f"/firm/customers/{customer}", f"/firm/learn/{job}", f"/c/{token}")


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


@pytest.mark.parametrize("size", SIZES)
def test_no_page_has_a_serious_fault(
    browser: Browser, served: Served, ways: tuple[str, ...], axe: str, size: str
) -> None:
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
    context.set_default_timeout(120_000)
    page, wrong = context.new_page(), []
    for way in ways:
        page.goto(served.address + way, wait_until="networkidle", timeout=120_000)
        page.evaluate(axe)
        for theme in THEMES:
            page.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
            found: list[Any] = page.evaluate(RUN)
            wrong += [f"{way} {theme}: {one}" for one in found]
    context.close()
    assert not wrong, "\n".join(wrong)
