"""The pages of the answer in a browser: at both sizes, by mouse and keyboard, and without script."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from typing import TYPE_CHECKING

import pytest

from drainwright.office.app import make_app
from drainwright.office.pages import shell
from drainwright.office.settings import Settings
from drainwright.office.store.opening import Store
from drainwright.office.store.revisions import revision
from drainwright.office.who import person_here

from .browser import SIZES, Served, serving, watched
from .stored import keep_example
from .test_browser import context, until

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PAGES = ("", "water", "system", "storm", "dig", "price", "papers", "what-if", "answers", "worksheet")


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    url = f"sqlite:///{tmp_path_factory.mktemp('store') / 'store.sqlite'}"
    with serving(make_app(Settings(store=url, workers=1))) as found:
        assert until_ready(found)
        yield found


def until_ready(served: Served) -> bool:
    """Wait until the app has opened its store."""
    for _ in range(400):
        if hasattr(served.app.state, "workers"):
            return True
        served.thread.join(0.05)
    return False


@pytest.fixture(scope="module")
def job(served: Served) -> str:
    return keep_example(served.app.state.store, "block-wall-house")


def opened(browser: Browser, served: Served, path: str, size: str = "desk", theme: str = "light") -> Page:
    page = context(browser, size, theme, served.address).new_page()
    page.set_default_timeout(60_000)
    page.goto(served.address + path, wait_until="networkidle", timeout=60_000)
    return page


@pytest.mark.parametrize(("size", "path"), list(product(SIZES, PAGES)))
def test_pages_fit_and_targets_are_large(browser: Browser, served: Served, job: str, size: str, path: str) -> None:
    page = context(browser, size, "light", served.address).new_page()
    page.set_default_timeout(60_000)
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{job}/{path}".rstrip("/"), wait_until="networkidle")
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    assert small(page) == []
    assert wrong == []
    page.context.close()


def small(page: Page) -> list[str]:
    """Targets under 44 px that stand by themselves; ways within a text or a row of figures may be smaller."""
    script = """() => [...document.querySelectorAll('main :is(a, button, input, select, summary)')].flatMap(one => {
      const box = one.getBoundingClientRect();
      const within = one.closest('p:not(.row-ways), dd, td, figcaption, .told-list, .formula, .checks, noscript');
      const hidden = !box.width || one.type === 'hidden';
      const large = box.height >= 43.9 && box.width >= 23.9;
      return hidden || within || large ? [] : [`${one.outerHTML} ${box.width}x${box.height}`];
    })"""
    found: list[str] = page.evaluate(script)
    return found


# How far two colours stand apart, as WCAG has contrast.
APART = """([one, other]) => {
  const light = ([name, way]) => {
    const told = getComputedStyle(document.querySelector(name))[way].match(/[0-9.]+/g);
    const parts = told.slice(0, 3).map((part) => part / 255);
    const [r, g, b] = parts.map((part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05;
  };
  const [a, b] = [light(one), light(other)];
  return Math.max(a, b) / Math.min(a, b);
}"""


@pytest.mark.parametrize("theme", list(shell.THEMES))
def test_the_storm_is_played_in_each_light(browser: Browser, served: Served, job: str, theme: str) -> None:
    page = opened(browser, served, f"/jobs/{job}/storm", theme=theme)
    page.locator(".player-plan").wait_for()
    assert page.evaluate("document.documentElement.dataset.theme") == theme
    # In sunlight a dry pipe was black, and stood out more than a full one.
    sheet = [".player-plan", "backgroundColor"]
    dry, water = [".player-plan .run", "stroke"], [".player-plan .water", "stroke"]
    assert page.evaluate(APART, [sheet, dry]) < 2 < page.evaluate(APART, [sheet, water])
    assert page.evaluate(APART, [dry, water]) >= 3
    page.context.close()


def test_the_storm_moves_by_keyboard_and_stops_where_it_is_asked_to(browser: Browser, served: Served, job: str) -> None:
    page = opened(browser, served, f"/jobs/{job}/storm")
    wrong = watched(page, served.address)
    time = page.locator(".player-ways output")
    assert time.inner_text() == "0:00 h"
    page.focus(".player-ways input[type=range]")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    assert time.inner_text() == "0:05 h"  # three of 288 steps of 8 hours are five minutes
    page.keyboard.press("End")
    assert time.inner_text() == "8:00 h"
    assert page.get_attribute(".player-ways input", "aria-valuetext") == "8:00 h"
    page.keyboard.press("Home")
    page.click(".player-ways button")
    assert until(page, "document.querySelector('.player-ways output').textContent !== '0:00 h'")
    page.click(".player-ways button")
    stands = time.inner_text()
    page.wait_for_timeout(400)
    assert time.inner_text() == stands
    assert page.locator(".player-ways button").inner_text() == "Play"
    assert wrong == []
    page.context.close()


def test_the_pump_runs_and_water_stands_where_it_is_blocked(browser: Browser, served: Served, job: str) -> None:
    page = opened(browser, served, f"/jobs/{job}/storm")
    said = page.locator(".player-now")
    seen: dict[str, set[str]] = {}
    for case in ("sound", "discharge blocked"):
        page.select_option("#case", case)
        page.locator(f".player-plan[aria-label*='{'Everything' if case == 'sound' else 'Discharge'}']").wait_for()
        page.focus(".player-ways input[type=range]")
        seen[case] = set()
        for _ in range(29):
            page.evaluate("""() => {
              const range = document.querySelector('.player-ways input');
              range.value = String(Number(range.value) + 10);
              range.dispatchEvent(new Event('input'));
            }""")
            seen[case].add(said.inner_text())
    assert any(re.search(r"Pump of SUMP\s+runs", text) for text in seen["sound"])
    assert any(re.search(r"Water stands over\s+CB1, CB2", text) for text in seen["discharge blocked"])
    assert any(re.search(r"Water stands over\s+no grate", text) for text in seen["sound"])
    page.context.close()


def test_with_little_motion_the_storm_goes_in_jumps(browser: Browser, served: Served, job: str) -> None:
    made = browser.new_context(reduced_motion="reduce")
    page = made.new_page()
    page.goto(f"{served.address}/jobs/{job}/storm", wait_until="networkidle")
    page.evaluate("""() => {
      window.seen = [];
      new MutationObserver(() => window.seen.push(performance.now()))
        .observe(document.querySelector('.player-ways output'), { childList: true });
    }""")
    page.click(".player-ways button")
    page.wait_for_timeout(2200)
    moments = page.evaluate("window.seen")
    assert 1 <= len(moments) <= 6
    made.close()


def test_a_slider_tells_what_comes_of_it_and_the_page_does_not_jump(browser: Browser, served: Served) -> None:
    store: Store = served.app.state.store
    own = keep_example(store, "block-wall-house")
    page = opened(browser, served, f"/jobs/{own}/what-if")
    wrong = watched(page, served.address)
    place = "(one => [one.offsetLeft, one.offsetTop, one.offsetWidth])(document.querySelector('.come'))"
    before = page.evaluate(place)
    page.focus("#knob-second-slider")
    page.keyboard.press("ArrowLeft")
    assert page.locator("[data-working]").inner_text() == "Working it out…"
    assert "one pump" in page.locator(".knob", has_text="Pumps in SUMP").inner_text()
    page.locator(".come", has_text="one pump instead of two pumps").wait_for()
    assert page.evaluate(place) == before
    assert page.locator("[data-working]").inner_text() == ""
    assert "second=0" in page.url
    page.click("text=Take it over as a new revision")
    page.wait_for_url(f"{served.address}/jobs/{own}")
    assert "revision 2" in page.locator(".leaf-of").inner_text()
    assert "second_pump: false" in revision(store, person_here(store).firm, own).text
    assert wrong == []
    page.context.close()


def test_ways_come_after_their_page_and_say_so_meanwhile(browser: Browser, served: Served) -> None:
    own = keep_example(served.app.state.store, "two-basins")
    page = context(browser, "phone", "light", served.address).new_page()
    page.set_default_timeout(120_000)
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{own}/schemes", timeout=120_000)
    page.locator(".ways-table").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0]
    assert page.locator("form button", has_text="Take it over").count() >= 1
    assert wrong == []
    page.context.close()


def test_a_figure_leads_to_its_step(browser: Browser, served: Served, job: str) -> None:
    page = opened(browser, served, f"/jobs/{job}/system")
    page.locator(".figures .value").first.click()
    page.wait_for_url(re.compile(r"/worksheet#step-\d+$"))
    step = page.url.rpartition("#")[2]
    box = page.locator(f"#{step}").bounding_box()
    assert box is not None
    assert 0 <= box["y"] <= SIZES["desk"][1]
    page.context.close()


SHUT = "[...document.querySelectorAll('details.section')].filter(one => !one.open).length"


@pytest.mark.parametrize("path", ["dig", "price"])
def test_a_phone_shows_what_matters_and_the_rest_opens(browser: Browser, served: Served, job: str, path: str) -> None:
    page = opened(browser, served, f"/jobs/{job}/{path}", "phone")
    wrong = watched(page, served.address)
    assert page.evaluate("document.querySelector('details.section').getBoundingClientRect().top") < 3 * 844
    assert page.evaluate("document.documentElement.scrollHeight") < 5 * 844
    first = page.locator("details.section").first
    place = first.locator(":scope > .section-in")
    assert not place.is_visible()
    first.locator("summary").first.tap()
    assert place.is_visible()
    assert page.url.endswith(f"#{place.get_attribute('id')}")
    page.reload()
    assert place.is_visible()
    assert small(page) == []
    first.locator("summary").first.press("Enter")
    assert not place.is_visible()
    assert "#" not in page.url
    page.get_by_role("button", name="Open all sections").tap()
    assert page.evaluate(SHUT) == 0
    page.get_by_role("button", name="Close all sections").tap()
    assert page.evaluate(SHUT) > 1
    assert wrong == []
    page.context.close()


@pytest.mark.parametrize("script", [True, False])
def test_folds_open_for_a_search_for_an_address_and_for_print(
    browser: Browser, served: Served, job: str, script: bool
) -> None:
    made = browser.new_context(java_script_enabled=script)
    page = made.new_page()
    page.set_default_timeout(60_000)
    page.goto(f"{served.address}/jobs/{job}/dig")
    if script:
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert page.evaluate("document.querySelectorAll('details:not([open])').length") == 0
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert page.evaluate(SHUT) > 1
    page.emulate_media(media="print")
    inside = page.locator("#part-order-of-work td").first
    box = inside.bounding_box()
    assert box is not None
    assert box["height"] > 5
    page.emulate_media(media="screen")
    page.goto("about:blank")
    page.goto(f"{served.address}/jobs/{job}/dig#:~:text=Hold%20points")  # the browser's own search for words
    page.locator("details[open] > summary", has_text="Order of work").wait_for()
    page.goto(f"{served.address}/jobs/{job}/worksheet#step-300")
    page.locator("#step-300").wait_for()
    box = page.locator("#step-300").bounding_box()
    assert box is not None
    assert 0 <= box["y"] <= SIZES["desk"][1]
    made.close()


def test_without_script_all_pages_tell_the_same(browser: Browser, served: Served, job: str) -> None:
    made = browser.new_context(java_script_enabled=False)
    page = made.new_page()
    page.set_default_timeout(60_000)
    page.goto(f"{served.address}/jobs/{job}/what-if")
    page.select_option("#knob-storm", label="100-year")
    page.click("text=Work it out")
    assert "100-year instead of 25-year" in page.locator(".come").inner_text()
    page.goto(f"{served.address}/jobs/{job}/storm")
    assert "needs script" in page.locator("noscript").first.inner_text()
    assert page.locator(".failures > li").count() == 13
    made.close()
