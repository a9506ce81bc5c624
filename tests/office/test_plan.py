"""The plan in a browser: moved by mouse, finger and keys, undone to the byte, saved beside others."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from drainwright.office.questions import BESIDE
from drainwright.office.store.files import attach, attachment, attachments
from drainwright.office.store.jobs import open_job
from drainwright.office.store.opening import Store
from drainwright.office.store.revisions import history, revision
from drainwright.office.who import person_here

from .browser import SIZES, Served, watched
from .test_browser import until
from .test_uploads import picture

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "block-wall-house"
AT = """(name) => {
  const desk = globalThis.planDesk, box = document.getElementById('map').getBoundingClientRect();
  const thing = desk.sight.things.find(one => one.name === name && one.kind !== 'point');
  const [x, y] = desk.sight.pixel(thing.places[0].at);
  return [x + box.left, y + box.top];
}"""


def text_of_example() -> str:
    return (EXAMPLE / "job.yaml").read_text(encoding="utf-8")


@pytest.fixture
def job(kept: Store) -> str:
    who = person_here(kept)
    made = open_job(kept, who.firm, text_of_example(), who.name)
    for path in sorted((EXAMPLE / "firm").iterdir()):
        attach(
            kept, who.firm, made.id, path.read_bytes(), name=f"firm/{path.name}", media_type="text/plain",
            who=who.name, kind=BESIDE,
        )  # fmt: skip
    return made.id


def opened(browser: Browser, served: Served, job: str, size: str = "desk") -> tuple[Page, list[str]]:
    width, height = SIZES[size]
    phone = size == "phone"
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=phone, is_mobile=phone)
    context.set_default_timeout(20_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{job}/plan")
    shown(page)
    return page, wrong


def shown(page: Page) -> None:
    """Wait for the plan; the first design of a process compiles for a while."""
    for _ in range(5):
        if until(page, "globalThis.planDesk && document.getElementById('state').textContent.startsWith('Saved')"):
            page.wait_for_timeout(300)
            return
    raise AssertionError(page.locator("#state").inner_text())


def settled(page: Page, state: str) -> None:
    """Wait until no answer is on its way, and the plan says so."""
    assert until(page, f"document.getElementById('state').textContent.startsWith('{state}')"), page.locator(
        "#state"
    ).inner_text()


def said(kept: Store, job: str, number: int | None = None) -> str:
    return revision(kept, person_here(kept).firm, job, number).text


def save(page: Page) -> None:
    page.locator("#save").click()
    settled(page, "Saved")


def test_an_inlet_moves_by_mouse_and_the_design_answers(
    browser: Browser, served: Served, kept: Store, job: str
) -> None:
    page, wrong = opened(browser, served, job)
    before = page.locator("#answer .plan-price").inner_text()
    x, y = page.evaluate(AT, "CB1")
    middle = page.evaluate("globalThis.planDesk.sight.map.getView().getCenter()")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 20, y + 12, steps=4)
    assert until(page, "document.getElementById('answer').classList.contains('working')")
    assert page.locator("#tip").is_visible()
    page.mouse.move(x + 60, y + 40, steps=8)
    page.mouse.up()
    assert page.evaluate(AT, "CB1") == pytest.approx([x + 60, y + 40], abs=10)  # drawn to what is near
    assert page.evaluate("globalThis.planDesk.sight.map.getView().getCenter()") == middle  # the sheet stays
    settled(page, "1 not saved")
    assert page.locator("#answer").get_attribute("aria-busy") == "false"
    assert page.locator("#answer .plan-runs button", has_text="YD1").count() == 1
    assert page.locator("#answer .plan-price").inner_text() != before
    save(page)
    text = said(kept, job)
    row = next(line for line in text.splitlines() if "name: CB1" in line)
    assert "W1" not in row
    assert " ft" in row
    untouched = [line for line in text_of_example().splitlines() if "name: CB1" not in line]
    assert [line for line in text.splitlines() if "name: CB1" not in line] == untouched  # comments and all
    assert not wrong
    page.route(
        "**/plan/draft", lambda one: one.abort() if '"priced"' in (one.request.post_data or "") else one.continue_()
    )
    page.focus("#map")
    page.keyboard.press("ArrowRight")
    page.get_by_text("No price of this state yet").wait_for()  # and not for ever that it comes
    assert "so far" in page.locator("#answer").inner_text()
    assert page.locator("#answer .plan-working").inner_text() == ""


def test_an_inlet_moves_by_finger_and_two_fingers_zoom(browser: Browser, served: Served, kept: Store, job: str) -> None:
    page, wrong = opened(browser, served, job, "phone")
    page.locator("#map").scroll_into_view_if_needed()
    fingers = page.context.new_cdp_session(page)

    def touch(kind: str, *at: tuple[float, float]) -> None:
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(at)]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        page.wait_for_timeout(30)

    x, y = page.evaluate(AT, "CB2")
    touch("touchStart", (x, y))
    touch("touchEnd")
    assert until(page, "document.getElementById('chosen-head').textContent === 'CB2'")
    x, y = page.evaluate(AT, "CB2")
    touch("touchStart", (x + 15, y - 12))  # a finger's breadth off: the handle is still taken
    for step in range(1, 7):
        touch("touchMove", (x + 15 - 4 * step, y - 12 + 8 * step))
    touch("touchEnd")
    settled(page, "1 not saved")
    zoom = "globalThis.planDesk.sight.map.getView().getResolution()"
    old = page.evaluate(zoom)
    touch("touchStart", (150, y), (200, y))
    for step in range(1, 6):
        touch("touchMove", (150 - 8 * step, y), (200 + 8 * step, y))
    touch("touchEnd")
    page.wait_for_timeout(400)
    assert page.evaluate(zoom) < old
    settled(page, "1 not saved")  # the two fingers moved no thing
    save(page)
    assert "{name: CB2, at: E1" not in said(kept, job)
    assert not wrong


def test_fifty_steps_are_undone_to_the_byte_also_after_saving_and_opening_anew(
    browser: Browser, served: Served, kept: Store, job: str
) -> None:
    page, wrong = opened(browser, served, job)
    page.locator("#things button", has_text="CB1").first.focus()
    page.keyboard.press("Enter")
    for _ in range(25):
        page.keyboard.press("ArrowRight")
    settled(page, "25 not saved")
    save(page)
    page.locator("#things button", has_text="CB2").first.focus()
    page.keyboard.press("Enter")
    for _ in range(24):
        page.keyboard.press("ArrowUp")
    page.locator("#things summary", has_text="The lot").click()
    page.locator("#things button", has_text="west oak").first.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Delete")
    settled(page, "25 not saved")
    save(page)
    assert "west oak" not in said(kept, job)
    page.reload()
    shown(page)
    page.locator("#map").focus()
    for _ in range(20):
        page.keyboard.press("Control+z")
    settled(page, "20 not saved")
    save(page)
    assert "west oak" in said(kept, job)
    for _ in range(30):
        page.keyboard.press("Control+z")
    settled(page, "30 not saved")
    assert page.locator("#undo").is_disabled()
    save(page)
    assert said(kept, job) == text_of_example()
    page.reload()
    shown(page)
    page.locator("#map").focus()
    for _ in range(50):
        page.keyboard.press("Control+y")
    settled(page, "50 not saved")
    save(page)
    firm = person_here(kept).firm
    texts = {one.number: one.text for one in history(kept, firm, job)}
    assert "west oak" not in texts[max(texts)]
    assert not wrong


def test_keys_alone_choose_move_type_and_take_out(browser: Browser, served: Served, job: str) -> None:
    page, wrong = opened(browser, served, job)
    page.locator("#things summary").first.focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.locator("#chosen-head").inner_text() == "CB1"
    page.keyboard.press("ArrowLeft")
    settled(page, "1 not saved")
    page.keyboard.press("Enter")
    assert page.evaluate("document.getElementById('chosen').contains(document.activeElement)")
    size = page.get_by_label("Body, side or diameter")
    size.focus()
    size.press("Control+a")
    size.type("9 in")
    size.press("Enter")
    settled(page, "2 not saved")
    page.locator("#things button", has_text="CB1").first.focus()
    page.keyboard.press("Delete")
    settled(page, "3 not saved")
    assert page.locator("#things button", has_text="catch basin").count() == 1  # CB2 is left
    assert "CB1" in page.locator("#answer").inner_text()  # its run has lost its upper end, which is told
    assert page.locator("#save").is_disabled()
    page.locator("#map").focus()
    for _ in range(3):
        page.keyboard.press("Control+z")
    settled(page, "Saved")
    assert not wrong


@pytest.mark.parametrize("size", SIZES)
def test_a_wrong_unit_is_refused_beside_its_field(browser: Browser, served: Served, job: str, size: str) -> None:
    page, wrong = opened(browser, served, job, size)
    page.locator("#things button", has_text="CB1").first.click()
    east = page.locator("#chosen").get_by_label("East")
    for typed, hint in (("12", "12 ft"), ("12 kg", "length")):
        east.fill(typed)
        east.press("Tab")
        error = page.locator("#chosen .error:visible")
        assert hint in error.inner_text()
        assert east.input_value() == typed
        assert page.locator("#state").inner_text().startswith("Saved")
    east.fill("-13 ft")
    east.press("Tab")
    settled(page, "1 not saved")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not wrong


def test_what_was_measured_moves_only_when_somebody_says_so(
    browser: Browser, served: Served, kept: Store, job: str
) -> None:
    page, wrong = opened(browser, served, job)
    page.locator("#things summary", has_text="Surveyed points").click()
    page.locator("#things button", has_text="W1").first.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowRight")
    assert "by tape ties" in page.locator("dialog").inner_text()
    page.locator("dialog button", has_text="Leave it").click()
    settled(page, "Saved")
    page.locator("#chosen button", has_text="typed place").click()
    page.locator("dialog button", has_text="Give it").click()
    settled(page, "1 not saved")
    page.locator("#things button", has_text="W1").first.focus()
    page.keyboard.press("ArrowRight")
    settled(page, "2 not saved")
    save(page)
    row = next(line for line in said(kept, job).splitlines() if "name: W1" in line)
    assert "ties" not in row
    assert "basis: stated" in row
    page.locator("#map").focus()
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    settled(page, "2 not saved")
    save(page)
    assert said(kept, job) == text_of_example()
    assert not wrong


def test_two_people_at_one_plan(browser: Browser, served: Served, kept: Store, job: str) -> None:
    first, _ = opened(browser, served, job)
    second, _ = opened(browser, served, job)

    def typed(page: Page, thing: str, label: str, text: str) -> None:
        page.locator("#things button", has_text=thing).first.click()
        entry = page.locator("#chosen").get_by_label(label, exact=True)
        entry.fill(text)
        entry.press("Tab")
        settled(page, "1 not saved")

    typed(first, "CB1", "Body, side or diameter", "18 in")
    typed(second, "CB2", "Body, side or diameter", "9 in")
    save(first)
    save(second)  # they touched different things: both stand
    assert "{name: CB1, at: W1, size: 18 in}" in said(kept, job)
    assert "{name: CB2, at: E1, size: 9 in}" in said(kept, job)
    typed(second, "CB1", "Body, side or diameter", "16 in")
    save(second)
    typed(first, "CB1", "Body, side or diameter", "24 in")  # made on what stood before
    first.locator("#save").click()
    dialog = first.locator("dialog")
    assert "16 in" in dialog.inner_text()
    assert "24 in" in dialog.inner_text()
    dialog.get_by_text("Yours").click()
    dialog.locator("button", has_text="Save so").click()
    settled(first, "Saved")
    assert "{name: CB1, at: W1, size: 24 in}" in said(kept, job)
    assert "{name: CB2, at: E1, size: 9 in}" in said(kept, job)


def test_another_firms_plan_is_not_there(served: Served, browser: Browser) -> None:
    page = browser.new_page()
    answer: Any = page.request.get(f"{served.address}/api/v1/jobs/nothing/plan")
    assert answer.status == 404


def test_a_photograph_gets_its_pin_by_a_tap_on_the_plan(
    browser: Browser, served: Served, kept: Store, job: str, tmp_path: Path
) -> None:
    who = person_here(kept)
    told = {"name": "sill.jpg", "media_type": "image/jpeg", "who": "Ash"}
    one = attach(kept, who.firm, job, picture(), **told, note="The crack at the sill")
    page, wrong = opened(browser, served, job, "phone")
    page.goto(f"{served.address}/jobs/{job}/photos")
    page.get_by_text("Say something else").tap()
    page.get_by_role("link", name="Point at its place on the plan").tap()
    page.wait_for_url("**/plan#photo-*")
    shown(page)
    page.get_by_text("Tap the plan where “The crack at the sill” was taken").wait_for()
    page.touchscreen.tap(*page.evaluate(AT, "CB1"))
    page.get_by_text("Pinned at CB1.").wait_for()
    assert attachment(kept, who.firm, one.id).pin == "CB1"
    assert page.locator("#chosen-head").inner_text() == "Nothing chosen"  # the tap told a place, and chose nothing
    page.get_by_role("button", name="Take that back").tap()
    page.get_by_text("Without a place again.").wait_for()
    page.get_by_role("button", name="Pin it: The crack at the sill").press("Enter")
    assert page.evaluate("document.activeElement.textContent") == "or choose"  # by keys alone
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.type("CB2")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_text("Pinned at CB2.").wait_for()
    assert until(page, f"document.activeElement.closest('li')?.id === 'photo-{one.id}'")
    page.get_by_role("button", name="Take that back").press("Enter")
    page.get_by_text("Without a place again.").wait_for()
    more = tmp_path / "more.png"
    more.write_bytes(picture())
    page.get_by_text("Hang one more on the job").tap()
    page.get_by_label("What it shows").fill("Soft ground")
    page.locator("#photo-more").set_input_files(more)
    page.locator("#map").scroll_into_view_if_needed()
    box = page.locator("#map").bounding_box() or {}
    page.touchscreen.tap(box["x"] + 30, box["y"] + box["height"] - 30)  # no thing stands there
    page.get_by_text("It hangs on the job, at").wait_for()
    [hung] = [row for row in attachments(kept, who.firm, job) if row.note == "Soft ground"]
    assert re.fullmatch(r"-?[0-9.]+ ft, -?[0-9.]+ ft", hung.pin)
    drawn = page.evaluate("globalThis.planDesk.sight.pins.map(one => one.photo)")
    assert drawn == [hung.id]
    page.locator("#map").scroll_into_view_if_needed()
    box = page.locator("#map").bounding_box() or {}
    page.touchscreen.tap(box["x"] + 30, box["y"] + box["height"] - 30)  # its pin
    assert until(page, f"document.activeElement.closest('li')?.id === 'photo-{hung.id}'")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not wrong
