"""A whole job in a browser, from nothing to papers; its survey is typed where there is no network."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from pypdf import PdfReader

from drainwright.job.starter import new_job_text
from drainwright.office.app import make_app
from drainwright.office.pages.document import problems_of
from drainwright.office.questions import question_of
from drainwright.office.settings import Settings
from drainwright.office.store import editing, revisions
from drainwright.office.store.opening import open_store
from drainwright.office.who import person_here

from .browser import SIZES, Served, serving, watched
from .test_editing import typed
from .test_plan import save, settled, shown
from .test_yard import phone
from .yard_pages import type_levels, type_lines, type_points, type_signs, type_walk

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

TITLE = "Damp south wall at Orchard Bank"
TYPED_IN_THE_DOCUMENT = (  # no page asks for these
    "house",
    "ground",
    "rain",
    "roofs",
    "downspouts",
    "yards",
    "trees",
    "criteria",
    "rules",
    "crew",
)
WORKS = {  # which follow a wall or lift water: the plan has no way to add these
    "runs": [
        {"name": "FD1", "duty": "footing drain", "from": "A", "to": "SUMP", "beside": ["south"], "cleanout": True},
        {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "OUT"},
    ],
    "basin": {"name": "SUMP", "at": "S1"},
    "discharge": [
        {"name": "OUT", "at": "KERB", "kind": "street", "invert": "0.4 ft below KERB", "winter_relief": True}
    ],
}


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    open_store(url).close()
    with serving(make_app(Settings(store=url, workers=1))) as found:
        yield found


def desk(browser: Browser, address: str) -> Page:
    width, height = SIZES["desk"]
    context = browser.new_context(viewport={"width": width, "height": height})
    context.set_default_timeout(120_000)
    return context.new_page()


def begin(page: Page, address: str) -> str:
    """Begin a job as a first call tells it; gives its id."""
    page.goto(f"{address}/jobs/new")
    form = page.locator("form", has=page.locator("input[value=nothing]"))
    for label, words in (
        ("What the job is", TITLE), ("Street of the lot", "3 Orchard Bank"), ("Town", "Exampleton"),
        ("Who called", "R. Bramble"), ("Number of the job", "D-7"),
    ):  # fmt: skip
        form.get_by_label(label).fill(words)
    form.get_by_role("button", name="Begin the job").click()
    page.wait_for_url("**/jobs/*")
    return page.url.rpartition("/")[2]


def measure(page: Page, record: dict[str, Any]) -> None:
    """Type the survey and what else is seen on the lot."""
    survey = record["survey"]
    type_walk(page, survey["perimeter"])
    type_points(page, survey["points"])
    type_levels(page, survey["benchmark"], survey["level_book"])
    assert "The book closes" in page.locator(".notice").first.inner_text()
    type_signs(page, record["symptoms"], record["moisture_tests"])
    type_lines(page, record)


def write_the_rest(page: Page, way: str, record: dict[str, Any]) -> None:
    """What no page asks for, in the document."""
    page.goto(f"{way}/text")
    rest = {key: record[key] for key in TYPED_IN_THE_DOCUMENT} | {"works": WORKS}
    rest["yards"] = [one | {"to": "away"} for one in rest["yards"]]
    box = page.locator("#text")
    box.fill(box.input_value() + typed(rest))
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Nothing to mend").wait_for()


def put(page: Page, what: str, name: str, **chosen: str) -> None:
    """Add a thing on the plan."""
    form = page.locator("#adding form")
    if not form.is_visible():
        page.locator("#adding summary").click()
    page.locator("#new-kind").select_option(label=what)
    form.get_by_label("Name", exact=True).fill(name)
    for label, value in chosen.items():
        form.get_by_label(label.replace("_", " "), exact=True).select_option(value)
    form.get_by_role("button", name="Put it on the plan").click()


def lay_down(page: Page, way: str) -> None:
    """An inlet at the low spot with its drain, and the roof's water in a leader."""
    page.goto(f"{way}/plan")
    shown(page)
    put(page, "Inlet", "CB1")
    east, north = (page.locator("#chosen").get_by_label(one, exact=True) for one in ("East", "North"))
    east.fill("8 ft")
    east.press("Tab")
    north.fill("-16 ft")
    north.press("Tab")
    put(page, "Run", "YD1", Duty="yard drain", Upper_end="CB1", Lower_end="SUMP")
    put(page, "Run", "L1", Duty="leader", Upper_end="DS1", Lower_end="SUMP")
    page.locator("#things summary", has_text="The lot").click()
    page.locator("#things button", has_text="side yard").click()
    page.locator("#chosen").get_by_label("Drains to").select_option("CB1")
    settled(page, "6 not saved")
    save(page)


def test_a_job_from_nothing_to_its_papers(browser: Browser, served: Served) -> None:
    record = editing.said(new_job_text("US"))
    office = desk(browser, served.address)
    wrong = watched(office, served.address)
    job = begin(office, served.address)
    way = f"{served.address}/jobs/{job}"
    yard = phone(browser, served, job)
    yard.context.set_offline(True)
    measure(yard, record)
    store = served.app.state.store
    firm = person_here(store).firm
    assert "survey" not in editing.said(revisions.revision(store, firm, job).text)
    yard.context.set_offline(False)
    yard.locator(".bar", has_text="All sent").wait_for(timeout=60_000)
    yard.context.close()
    office.goto(way)
    assert [one.split("\n")[0] for one in office.locator(".checks li").all_inner_texts()] == [
        "House, corners in order", "House, storey at the bottom", "House, level of the lowest floor",
        "Soil and water in it, soil", "Rain", "Works, where the water leaves",
    ]  # fmt: skip
    ways = [one.get_attribute("href") or "" for one in office.locator(".checks a").all()]
    assert {one.rpartition(job)[2].partition("#")[0] for one in ways} == {
        "/facts/house", "/facts/ground", "/facts/rain", "/plan", "/text",
    }  # fmt: skip
    office.goto(f"{way}/plan")
    office.locator("#answer").get_by_role("link", name="House, storey at the bottom").click()
    office.wait_for_url(f"{way}/facts/house#house.floor_kind")
    write_the_rest(office, way, record)
    lay_down(office, way)
    assert problems_of(question_of(store, firm, job)) == ()
    stored = editing.said(revisions.revision(store, firm, job).text)
    assert [one["name"] for one in stored["works"]["runs"]] == ["FD1", "DL", "YD1", "L1"]
    office.goto(way)
    assert "Not ready to build" not in office.locator("main").inner_text()
    office.goto(f"{way}/price")
    assert "The price with tax is $" in office.locator(".lead").inner_text()
    office.goto(f"{way}/papers")
    with office.expect_download() as coming:
        office.get_by_role("link", name="Download drawings.pdf", exact=True).click()
    sheets = PdfReader(io.BytesIO(Path(coming.value.path()).read_bytes())).pages
    assert TITLE in " ".join(" ".join(one.extract_text() for one in sheets).split())
    assert wrong == []
