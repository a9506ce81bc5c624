"""From a new job to a design by forms and the plan alone; what the plan shows before there is a design."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from drainwright.office.pages.document import problems_of
from drainwright.office.plan.bare import bare, known_points
from drainwright.office.questions import question_of
from drainwright.office.store import editing, revisions
from drainwright.office.store.jobs import open_job
from drainwright.office.store.opening import Store
from drainwright.office.who import person_here
from drainwright.quantities import parse

from .browser import SIZES, Served, watched
from .test_browser import until
from .test_plan import AT, settled, shown

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

RAIN = {
    "5 min": "0.5 in, 0.6 in", "15 min": "1.0 in, 1.2 in", "1 h": "1.9 in, 2.2 in", "6 h": "2.9 in, 3.5 in",
    "24 h": "4.2 in, 5.1 in",
}  # fmt: skip
GROUND = {
    "P1": ("-20 ft", "-20 ft", "99.4 ft"), "P2": ("90 ft", "-30 ft", "97.0 ft"), "P3": ("80 ft", "50 ft", "99.2 ft"),
    "P4": ("-20 ft", "50 ft", "99.6 ft"),
}  # fmt: skip


def put(page: Page, what: str, **typed: str) -> None:
    """Add a thing on the plan; labels with ``_`` for spaces."""
    form = page.locator("#adding form")
    if not form.is_visible():
        page.locator("#adding summary").click()
    page.locator("#new-kind").select_option(label=what)
    for label, value in typed.items():
        entry = form.get_by_label(label.replace("_", " "), exact=True)
        if entry.evaluate("one => one.tagName") == "SELECT":
            entry.select_option(value)
        else:
            entry.fill(value)
    form.get_by_role("button", name="Put it on the plan").click()


def place(page: Page, name: str, east: str, north: str) -> None:
    """Type where the thing that was just added stands."""
    assert until(page, f"document.getElementById('chosen-head').textContent === '{name}'")
    for label, value in (("East", east), ("North", north)):
        entry = page.locator("#chosen").get_by_label(label, exact=True)
        entry.fill(value)
        entry.press("Tab")


def save(page: Page) -> None:
    assert until(page, "!document.getElementById('save').disabled")
    page.locator("#save").click()
    shown(page)


@pytest.mark.parametrize("size", SIZES)
def test_a_new_job_comes_to_a_design_by_forms_and_plan_alone(
    browser: Browser, served: Served, kept: Store, size: str
) -> None:
    firm = person_here(kept).firm
    job = open_job(kept, firm, "schema_version: 1\ntitle: Wet lawn\nunits: US\n", "Ash").id
    way = f"{served.address}/jobs/{job}"
    width, height = SIZES[size]
    page = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone").new_page()
    page.set_default_timeout(20_000)
    wrong = watched(page, served.address)
    page.goto(f"{way}/plan")
    shown(page)
    assert "No design yet" in page.locator("#answer").inner_text()
    assert "the key" not in page.locator("#answer").inner_text()
    put(page, "House", **{"Length,_west_to_east": "40 ft", "Depth,_south_to_north": "28 ft"})
    settled(page, "1 not saved")
    for name, (east, north, level) in GROUND.items():
        put(page, "Point with its level", Name=name, Level_of_the_ground_there=level)
        place(page, name, east, north)
    put(page, "Inlet", Name="CB1")
    place(page, "CB1", "55 ft", "0 ft")
    put(page, "Discharge point", Name="OUT", Invert="95.5 ft")
    place(page, "OUT", "85 ft", "-25 ft")
    put(page, "Run", Name="YD1", Upper_end="CB1", Lower_end="OUT")
    assert "revision 1," in page.locator(".leaf-of").inner_text()
    save(page)
    assert "revision 2," in page.locator(".leaf-of").inner_text()
    assert until(page, "document.getElementById('answer').textContent.includes('No design yet')")
    page.locator("#answer").get_by_role("link", name="House, storey at the bottom").click()
    page.get_by_label("Storey at the bottom").select_option("slab")
    page.get_by_label("Level of the lowest floor", exact=False).first.fill("100.6 ft")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Saved as revision").wait_for()
    page.goto(f"{way}/facts/ground")
    page.get_by_label("Soil", exact=False).first.select_option("loam")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Saved as revision").wait_for()
    page.goto(f"{way}/facts/rain")
    page.locator('[name="rain.return_periods"]').fill("10 yr, 25 yr")
    for number, (time, depth) in enumerate(RAIN.items()):
        if number == 4:  # four rows stand ready, a fifth after these are saved
            page.get_by_role("button", name="Save").click()
            page.get_by_text("Saved as revision").wait_for()
            number = 0
        page.locator(f'[name="rain.table[+{number}].duration"]').fill(time)
        page.locator(f'[name="rain.table[+{number}].depths"]').fill(depth)
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Saved as revision").wait_for()
    assert problems_of(question_of(kept, firm, job)) == ()
    page.goto(f"{way}/plan")
    shown(page)
    assert until(page, "document.querySelector('.plan-price') !== null")
    assert "No design yet" not in page.locator("#answer").inner_text()
    assert wrong == []
    house = editing.said(revisions.revision(kept, firm, job).text)["house"]
    assert house["outline"] == ["A", "B", "C", "D"]
    page.context.close()


def test_corners_that_cannot_be_read_stay_typed(browser: Browser, served: Served, kept: Store) -> None:
    job = open_job(kept, person_here(kept).firm, "schema_version: 1\ntitle: Wet lawn\n", "Ash").id
    page = browser.new_page()
    page.goto(f"{served.address}/jobs/{job}/plan")
    shown(page)
    put(page, "House", Or_its_corners="0 ft, 0 ft; 40, 0 ft; 40 ft, 28 ft")
    assert "Found 40, 0 ft; expected three corners" in page.locator("#adding").inner_text()
    put(page, "House", Or_its_corners="0 ft, 0 ft; 40 ft, 0 ft; 40 ft, 28 ft; 20 ft, 28 ft; 0 ft, 20 ft")
    settled(page, "1 not saved")
    page.locator("#undo").click()
    assert until(page, "document.getElementById('state').textContent.startsWith('Saved')")
    page.context.close()


def test_what_is_known_of_a_job_that_is_no_whole_one() -> None:
    points = [{"name": "A", "east": "0 ft", "north": "0 ft"}, {"name": "B", "east": "10 ft", "north": "nowhere"}]
    record = {"survey": {"points": points}, "house": {"outline": ["A", "2 m, 3 m"]}}
    known = known_points(record)
    assert known == {"A": (0.0, 0.0)}
    assert bare(record, known)["outline"] == ((0.0, 0.0), (2.0, 3.0))
    assert "price" not in bare(record, known)


def test_ties_and_walks_stand_in_place_before_there_is_a_house() -> None:
    sides = zip("BCDA", ("40 ft", "28 ft") * 2, strict=True)
    legs = [{"to": to, "length": length, "turn": "-90 deg"} for to, length in sides]
    walk = {"start": "A", "bearing": "90 deg", "legs": legs}
    ties = [{"from": "A", "distance": "5 m"}, {"from": "B", "distance": "12 m"}]
    tied = {"name": "LOW", "ties": ties, "side": "3 m, -3 m"}
    known = known_points({"survey": {"perimeter": walk, "points": [tied]}})
    assert known["C"] == pytest.approx((12.192, 8.5344), abs=1e-6)
    east, north = known["LOW"]
    assert (east**2 + north**2) ** 0.5 == pytest.approx(5.0, abs=1e-6)
    assert ((east - 12.192) ** 2 + north**2) ** 0.5 == pytest.approx(12.0, abs=1e-6)


@pytest.mark.parametrize("record", [{}, {"survey": None}, {"survey": []}, {"survey": {"points": "A"}}, {"house": []}])
def test_an_empty_job_has_an_empty_plan(record: dict[str, object]) -> None:
    assert known_points(record) == {}
    assert bare(record, {})["outline"] == ()


def test_a_basin_is_put_where_its_pit_goes_and_moved_by_a_finger(browser: Browser, served: Served, kept: Store) -> None:
    firm = person_here(kept).firm
    text = "schema_version: 1\ntitle: Wet lawn\nunits: US\nworks: {basin: if needed, basin_place: '9 ft, 9 ft'}\n"
    job = open_job(kept, firm, text, "Ash").id
    width, height = SIZES["phone"]
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=True, is_mobile=True)
    context.set_default_timeout(20_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{job}/plan")
    shown(page)
    put(page, "House", **{"Length,_west_to_east": "40 ft", "Depth,_south_to_north": "28 ft"})
    settled(page, "1 not saved")
    put(page, "Sump basin")
    settled(page, "2 not saved")
    assert until(page, "document.getElementById('chosen-head').textContent === 'SUMP'")
    place(page, "SUMP", "10 ft", "-6 ft")
    page.locator("#map").scroll_into_view_if_needed()
    x, y = page.evaluate(AT, "SUMP")
    fingers = context.new_cdp_session(page)
    for kind, at in (
        ("touchStart", (0, 0)),
        *(("touchMove", (0, -6 * step)) for step in range(1, 7)),
        ("touchEnd", None),
    ):
        points = [] if at is None else [{"x": x + at[0], "y": y + at[1]}]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    put(page, "Sump basin", Name="SUMP")
    assert "SUMP is taken" in page.locator("#adding").inner_text()
    put(page, "Sump basin", Name="SUMP2")
    assert until(page, "document.getElementById('chosen-head').textContent === 'SUMP2'")
    save(page)
    works = editing.said(revisions.revision(kept, firm, job).text)["works"]
    assert set(works) == {"basin", "more_basins"}
    east, north = (parse(part.strip(), "length") for part in works["basin"]["at"].split(","))
    assert east == pytest.approx(parse("10 ft", "length"), abs=0.3)
    assert north > parse("-5 ft", "length")  # dragged up on the screen, to the north
    assert [one["name"] for one in works["more_basins"]] == ["SUMP2"]
    assert wrong == []
    context.close()


@pytest.mark.parametrize("way", ["touch", "mouse", "keys"])
def test_whatever_was_added_is_taken_out_again_and_comes_back(
    browser: Browser, served: Served, kept: Store, way: str
) -> None:
    firm = person_here(kept).firm
    job = open_job(kept, firm, "schema_version: 1\ntitle: Wet lawn\nunits: US\n", "Ash").id
    width, height = SIZES["phone" if way == "touch" else "desk"]
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=way == "touch", is_mobile=way == "touch"
    )
    context.set_default_timeout(20_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{job}/plan")
    shown(page)
    put(page, "House", **{"Length,_west_to_east": "40 ft", "Depth,_south_to_north": "28 ft"})
    settled(page, "1 not saved")
    more: dict[str, dict[str, str]] = {
        "Point with its level": {"Level_of_the_ground_there": "99 ft"}, "Inlet": {},
        "Discharge point": {"Invert": "95 ft"}, "Sump basin": {}, "Downspout": {}, "Yard area": {},
        "Buried line": {"Depth_to_its_top": "2 ft, assumed"}, "Tree": {"Trunk_diameter": "18 in"},
    }  # fmt: skip
    names = ["House"]
    for number, (what, typed) in enumerate(more.items(), 2):
        put(page, what, **typed)
        settled(page, f"{number} not saved")
        names.append(page.locator("#chosen-head").inner_text())
    save(page)
    whole = editing.said(revisions.revision(kept, firm, job).text)
    for count, name in enumerate(reversed(names), 1):
        page.evaluate("document.querySelectorAll('#things details').forEach(one => { one.open = true })")
        thing = page.locator("#things button", has=page.get_by_text(name, exact=True)).first
        if way == "keys":
            thing.focus()
            if thing.get_attribute("aria-pressed") == "false":  # else it would lead to what can be typed
                page.keyboard.press("Enter")
            page.keyboard.press("Delete")
        else:
            out = page.locator("#chosen").get_by_role("button", name=f"Remove {name}")
            (thing.tap if way == "touch" else thing.click)()
            (out.tap if way == "touch" else out.click)()
        settled(page, f"{count} not saved")
    save(page)
    left = editing.said(revisions.revision(kept, firm, job).text)
    assert left["survey"]["points"] == []
    assert [key for key, value in left["works"].items() if value] == []
    assert not left["house"].get("outline")
    for count in range(len(names)):
        (page.locator("#undo").tap if way == "touch" else page.locator("#undo").click)()
        settled(page, f"{count + 1} not saved")
    save(page)
    assert editing.said(revisions.revision(kept, firm, job).text) == whole
    assert wrong == []
    context.close()


def test_the_edge_of_the_lot_is_taken_out_and_comes_back(browser: Browser, served: Served, kept: Store) -> None:
    firm = person_here(kept).firm
    corners = '["0 ft, 0 ft", "90 ft, 0 ft", "90 ft, 70 ft", "0 ft, 70 ft"]'
    text = f"schema_version: 1\ntitle: Wet lawn\nunits: US\nproperty:\n  town: Fernhollow\n  boundary: {corners}\n"
    job = open_job(kept, firm, text, "Ash").id
    whole = editing.said(text)
    context = browser.new_context(viewport={"width": SIZES["desk"][0], "height": SIZES["desk"][1]})
    context.set_default_timeout(20_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{job}/plan")
    shown(page)
    page.evaluate("document.querySelectorAll('#things details').forEach(one => { one.open = true })")
    page.locator("#things button", has=page.get_by_text("Boundary", exact=True)).first.click()
    page.locator("#chosen").get_by_role("button", name="Remove Boundary").click()
    settled(page, "1 not saved")
    save(page)
    left = editing.said(revisions.revision(kept, firm, job).text)
    assert (left["property"].get("boundary") or [], left["property"]["town"]) == ([], "Fernhollow")
    page.locator("#undo").click()
    settled(page, "1 not saved")
    save(page)
    assert editing.said(revisions.revision(kept, firm, job).text) == whole
    assert wrong == []
    context.close()
