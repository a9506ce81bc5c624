"""The yard pages on a phone: a survey typed without a network, sent when there is one; nothing typed is lost."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from drainwright.job.reading import read_text
from drainwright.office.app import make_app
from drainwright.office.settings import Settings
from drainwright.office.store import editing, revisions
from drainwright.office.store.files import attachments
from drainwright.office.store.jobs import open_job
from drainwright.office.who import person_here

from .browser import SIZES, Served, serving, watched
from .stored import EXAMPLES
from .test_browser import SMALL, until
from .yard_pages import fill, part, press, type_levels, type_lines, type_points, type_signs, type_walk

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

MEASURED = ("perimeter", "points", "level_book", "benchmark")


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with serving(make_app(Settings(store=f"sqlite:///{tmp_path / 'store.sqlite'}"))) as found:
        until_up(found)
        yield found


def until_up(served: Served) -> None:
    while not served.server.started:
        served.thread.join(0.05)


def phone(browser: Browser, served: Served, job: str, theme: str = "light") -> Page:
    """A phone on which the job was opened once."""
    width, height = SIZES["phone"]
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=True)
    context.add_cookies([{"name": "theme", "value": theme, "url": served.address}])
    context.set_default_timeout(10_000)
    page = context.new_page()
    page.goto(f"{served.address}/jobs/{job}/yard")
    page.get_by_text("Office last seen").wait_for()
    assert until(page, "navigator.serviceWorker.controller !== null")
    page.reload()  # through the service worker, which keeps it
    page.get_by_text("Office last seen").wait_for()
    return page


def begun(served: Served, text: str) -> str:
    store = served.app.state.store
    return open_job(store, person_here(store).firm, text, "Ash").id


def now(served: Served, job: str) -> str:
    store = served.app.state.store
    return revisions.revision(store, person_here(store).firm, job).text


def example() -> tuple[str, dict[str, Any]]:
    """A job of which nobody has measured anything yet, and the record of it measured."""
    text = (EXAMPLES / "block-wall-house" / "job.yaml").read_text(encoding="utf-8")
    whole = editing.said(text)
    whole["firm"] = {"name": "Example Drainage Company"}
    left = copy.deepcopy(whole)
    for key in MEASURED:
        del left["survey"][key]
    for key in ("symptoms", "moisture_tests", "utilities", "utilities_absent"):
        del left[key]
    return json.dumps(left, indent=1, ensure_ascii=False) + "\n", whole  # YAML, too


def plain(record: dict[str, Any]) -> dict[str, Any]:
    """What the fields of the yard pages ask for, of a record."""
    kept = copy.deepcopy(record)
    for one in kept["utilities"]:
        for key in ("depth_uncertainty", "diameter"):
            one.pop(key, None)
    for one in kept["symptoms"]:
        one.pop("since", None)
    for one in kept["moisture_tests"]:
        one.pop("note", None)
    return kept


def test_a_survey_typed_without_a_network_comes_to_the_office_as_it_was_typed(browser: Browser, served: Served) -> None:
    text, whole = example()
    whole = plain(whole)
    job = begun(served, text)
    page = phone(browser, served, job)
    page.context.set_offline(True)
    survey = whole["survey"]
    type_walk(page, survey["perimeter"])
    assert "The walk closes" in page.locator(".notice").first.inner_text()
    type_points(page, survey["points"])
    type_levels(page, survey["benchmark"], survey["level_book"])
    assert "The book closes" in page.locator(".notice").first.inner_text()
    type_signs(page, whole["symptoms"], whole["moisture_tests"])
    type_lines(page, whole)
    entries = 1 + 6 + len(survey["points"]) + 1 + len(survey["level_book"])
    entries += sum(len(whole[key]) for key in ("symptoms", "moisture_tests", "utilities", "utilities_absent"))
    page.locator(".bar", has_text=f"{entries} on this phone").wait_for()
    page.reload()  # from what the phone keeps
    page.locator(".bar", has_text=f"{entries} on this phone").wait_for()
    assert now(served, job) == text
    page.context.set_offline(False)
    page.locator(".bar", has_text="All sent").wait_for(timeout=60_000)
    found = now(served, job)
    record = editing.said(found)
    assert {key: record[key] for key in whole} == whole
    read_text(found, "job.yaml")
    page.context.close()


SMALL_BOOK = (
    "schema_version: 1\ntitle: Wet cellar\nunits: US\nsurvey:\n  benchmark: {name: BM, elevation: 100 ft}\n"
    "  points:\n    - {name: W1, east: 3 ft, north: 4 ft}\n"
)


def test_a_line_whose_depth_nobody_knows_is_typed_so(browser: Browser, served: Served) -> None:
    """No depth is asked for then, and the job says unknown."""
    job = begun(served, SMALL_BOOK)
    page = phone(browser, served, job)
    part(page, "lines")
    page.select_option("#line-kind", "gas")
    fill(page, line_name="gas pipe", line_route="W1; 8 ft, -60 ft")
    page.select_option("#line-basis", "unknown")
    assert page.locator("#line-depth").count() == 0
    page.select_option("#line-by", "locate ticket")
    page.get_by_role("button", name="Keep this line").tap()
    page.get_by_role("button", name="Take out gas pipe (gas)").wait_for()
    assert "depth unknown, locate ticket" in page.locator("main").inner_text()
    page.locator(".bar", has_text="All sent").wait_for(timeout=60_000)
    (line,) = editing.said(now(served, job))["utilities"]
    assert (line["depth"], line["located_by"]) == ("unknown", "locate ticket")
    page.context.close()


def test_two_phones_add_to_one_job_and_the_same_name_is_settled_by_a_person(browser: Browser, served: Served) -> None:
    job = begun(served, SMALL_BOOK)
    one, other = phone(browser, served, job), phone(browser, served, job)
    for page in (one, other):
        page.context.set_offline(True)
    row = {"point": "BM", "backsight": "5.42 ft"}
    type_points_at(one, "P1", "10", "12")
    type_points_at(other, "P1", "20", "22")
    type_points_at(other, "P2", "30", "32")
    part(one, "levels")
    fill(one, level_reading="5.42")
    press(one, "Add this reading", 1)
    one.context.set_offline(False)
    one.locator(".bar", has_text="All sent").wait_for()
    other.context.set_offline(False)
    other.get_by_role("link", name="Look at them and choose").tap()
    shown = other.locator(".entries li").inner_text()
    assert "Yours: name P1, east 20 ft, north 22 ft" in shown
    assert "Now, by Owner: name P1, east 10 ft, north 12 ft" in shown
    record = editing.said(now(served, job))["survey"]
    assert [(p["name"], p["east"]) for p in record["points"]] == [("W1", "3 ft"), ("P1", "10 ft"), ("P2", "30 ft")]
    assert record["level_book"] == [row]
    other.get_by_role("button", name="Take mine").tap()
    other.get_by_text("Nothing waits for a choice").wait_for()
    other.locator(".bar", has_text="All sent").wait_for()
    assert editing.said(now(served, job))["survey"]["points"][1]["east"] == "20 ft"
    for page in (one, other):
        page.context.close()


def type_points_at(page: Page, name: str, east: str, north: str) -> None:
    part(page, "points")
    fill(page, point_name=name)
    page.select_option("#point-way", "plan")
    fill(page, point_east=east, point_north=north)
    page.get_by_role("button", name="Keep this point").tap()
    page.get_by_role("button", name=f"Take out {name}:").wait_for()


def test_an_answer_that_was_lost_does_no_harm(browser: Browser, served: Served) -> None:
    job = begun(served, SMALL_BOOK)
    page = phone(browser, served, job)
    lost: list[int] = []

    def lose(route: Any) -> None:
        lost.append(route.fetch().status)  # the office takes it, the phone never hears of it
        route.abort()

    page.route("**/operations", lose)
    part(page, "levels")
    fill(page, level_reading="5.42")
    press(page, "Add this reading", 1)
    page.locator(".bar", has_text="No office just now").wait_for()
    assert lost == [200]
    assert "1 on this phone" in page.locator(".bar").inner_text()
    assert page.get_by_role("button", name="Undo").count() == 0  # not as what never left
    page.unroute("**/operations")
    page.get_by_role("button", name="Send", exact=True).tap()
    page.locator(".bar", has_text="All sent").wait_for()
    assert editing.said(now(served, job))["survey"]["level_book"] == [{"point": "BM", "backsight": "5.42 ft"}]
    assert page.locator(".entries li").count() == 1
    page.context.close()


def test_a_full_phone_is_told_and_the_fields_stay_filled(browser: Browser, served: Served) -> None:
    page = phone(browser, served, begun(served, SMALL_BOOK))
    page.evaluate(
        "() => { IDBObjectStore.prototype.add = () => { throw new DOMException('full', 'QuotaExceededError') } }"
    )
    part(page, "levels")
    fill(page, level_reading="5.42")
    page.get_by_role("button", name="Add this reading").tap()
    page.get_by_text("This phone has no room left").wait_for()
    assert page.input_value("#level-reading") == "5.42"
    assert page.locator(".entries li").count() == 0
    page.context.close()


def test_the_last_entry_is_taken_back_and_half_a_form_outlives_a_reload(browser: Browser, served: Served) -> None:
    page = phone(browser, served, begun(served, SMALL_BOOK))
    page.context.set_offline(True)
    part(page, "levels")
    fill(page, level_reading="5.42")
    press(page, "Add this reading", 1)
    page.get_by_role("button", name="Undo").tap()
    page.locator(".bar", has_text="All sent").wait_for()
    assert page.locator(".entries li").count() == 0
    fill(page, level_point="TP1", level_reading="3.8")
    page.reload()
    page.locator("#level-reading").wait_for()
    assert page.input_value("#level-reading") == "3.8"
    page.context.close()


def test_an_entry_that_the_office_has_or_may_have_is_undone_by_one_of_its_own(browser: Browser, served: Served) -> None:
    job = begun(served, SMALL_BOOK)
    page = phone(browser, served, job)

    def rows() -> Any:
        return editing.said(now(served, job))["survey"].get("level_book", [])

    def lose(route: Any) -> None:
        route.fetch()  # the office takes it, the phone never hears of it
        route.abort()

    page.route("**/operations", lose)
    part(page, "levels")
    fill(page, level_reading="5.42")
    press(page, "Add this reading", 1)
    page.locator(".bar", has_text="No office just now").wait_for()
    assert len(rows()) == 1
    with page.expect_event("requestfailed"):
        page.get_by_role("button", name="Take out the last entry").tap()
    page.locator(".bar", has_text="The office may have it: an entry of its own takes it out again").wait_for()
    assert page.locator(".entries li").count() == 0
    page.unroute("**/operations")
    page.get_by_role("button", name="Send", exact=True).tap()
    page.locator(".bar", has_text="All sent").wait_for()
    assert rows() == []
    fill(page, level_reading="5.43")
    press(page, "Add this reading", 1)
    page.locator(".bar", has_text="All sent").wait_for()
    page.reload()  # what was sent is remembered
    page.get_by_role("button", name="Take out the last entry").tap()
    page.locator(".bar", has_text="The office has it").wait_for()
    page.locator(".bar", has_text="All sent").wait_for()
    assert rows() == []
    for number, reading in enumerate(("5.44", "4.11")):
        fill(page, level_point="BM", level_reading=reading)
        press(page, "Add this reading", number + 1)
    page.locator(".bar", has_text="All sent").wait_for()
    both = rows()
    page.get_by_role("button", name="Take out BM: back 5.44 ft").tap()
    page.get_by_role("button", name="Yes, take it out").tap()
    page.locator(".entries li").nth(1).wait_for(state="detached")
    page.locator(".bar", has_text="All sent").wait_for()
    assert rows() == both[1:]
    page.get_by_role("button", name="Put it back").tap()
    page.locator(".entries li").nth(1).wait_for()
    page.locator(".bar", has_text="All sent").wait_for()
    assert rows() == both  # at its place, and not at the end
    page.context.close()


def test_who_is_signed_out_while_entries_wait_is_told_and_nothing_is_lost(browser: Browser, served: Served) -> None:
    job = begun(served, SMALL_BOOK)
    page = phone(browser, served, job)
    ways = ("**/operations", "**/api/v1/jobs/*/yard")
    for one in ways:
        page.route(one, lambda route: route.fulfill(status=401, content_type="application/problem+json", body="{}"))
    part(page, "levels")
    fill(page, level_reading="5.42")
    press(page, "Add this reading", 1)
    page.locator(".bar", has_text="You are signed out").wait_for()
    way = page.locator(".bar").get_by_role("link", name="Sign in").get_attribute("href") or ""
    assert way.endswith(f"?back=%2Fjobs%2F{job}%2Fyard")
    assert "1 on this phone" in page.locator(".bar").inner_text()
    for one in ways:
        page.unroute(one)
    page.get_by_role("button", name="Send", exact=True).tap()
    page.locator(".bar", has_text="All sent").wait_for()
    assert len(editing.said(now(served, job))["survey"]["level_book"]) == 1
    page.context.close()


SLOW_TO_DRAW = """() => {
  const later = window.setTimeout.bind(window);
  window.requestAnimationFrame = done => later(() => done(performance.now()), 1500);
  window.setTimeout = (done, wait, ...rest) => later(done, wait > 0 && wait <= 100 ? 1500 : wait, ...rest);
}"""


def test_a_page_slow_to_draw_misses_nothing_that_happens_meanwhile(browser: Browser, served: Served) -> None:
    job = begun(served, SMALL_BOOK)
    page = phone(browser, served, job)
    page.add_init_script(f"({SLOW_TO_DRAW})()")
    page.context.set_offline(True)
    page.reload()  # all that the phone keeps is read before the first frame
    page.get_by_role("heading", name="Still to measure").wait_for()
    page.goto("about:blank")
    page.goto(f"{served.address}/jobs/{job}/yard")
    page.locator(".bar").wait_for()
    part(page, "levels")  # at once, as by an impatient thumb
    page.locator("#level-reading").wait_for()
    page.context.close()


def test_the_keypad_types_feet_inches_and_fractions(browser: Browser, served: Served) -> None:
    page = phone(browser, served, begun(served, SMALL_BOOK))
    part(page, "points")
    page.tap("#point-tape1")
    keys = page.get_by_role("group", name="Keys for Tape 1: length")
    for key in ("4", "2", "ft", "6", "1/2", "in"):
        keys.get_by_role("button", name=key, exact=True).tap()
    assert page.input_value("#point-tape1") == "42 ft 6 1/2 in"
    assert page.get_attribute("#point-tape1", "inputmode") == "none"
    small = SMALL.replace("LEAST", "55.9").replace("'a, button", "'#yard-job a, #yard-job button")
    assert page.evaluate(small.replace(", input, select'", "'")) == []
    page.context.close()


SPANISH = {
    "": "Vuelta a la casa", "walk": "Midan cada lado", "sketch": "Croquis", "levels": "Libreta de nivel",
    "points": "Puntos y cintas", "signs": "Lo que se ve", "lines": "Líneas enterradas", "photos": "Tomar una foto",
    "unsent": "Nada espera",
}  # fmt: skip


@pytest.mark.parametrize("theme", ["light", "dark", "sunlight"])
def test_every_part_fits_a_phone_and_says_nothing_to_the_console(browser: Browser, served: Served, theme: str) -> None:
    seen = "symptoms:\n- {what: W1, when: wet season, sign: floor finish lifts}\n"
    seen += "moisture_tests:\n- {kind: test pit, result: no water}\n"
    page = phone(browser, served, begun(served, SMALL_BOOK + seen), theme)
    wrong = watched(page, served.address)
    for name in ("", "walk", "sketch", "levels", "points", "signs", "lines", "photos", "unsent"):
        part(page, name)
        page.wait_for_timeout(100)
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0], name
    page.goto(f"{page.url.partition('#')[0]}?lang=es")
    page.get_by_text("Oficina vista").wait_for()
    page.evaluate("document.querySelectorAll('[lang=en]').forEach(one => one.remove())")  # what the office still misses
    for name, words in SPANISH.items():
        part(page, name)
        page.locator("#yard-job", has_text=words).wait_for()
        left = re.findall(
            r"(?i)\b(?:wet season|finish|test pit|no water|the|of|with|from|this|where|what)\b",
            page.inner_text("#yard-job"),
        )
        assert left == [], name
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0], name
    assert wrong == []
    page.context.close()


def tap_sketch(page: Page, across: float, down: float) -> None:
    """Touch the sketch at shares of its width and height."""
    sketch = page.locator(".sketch svg").first
    box = sketch.bounding_box()
    assert box is not None
    sketch.tap(position={"x": box["width"] * across, "y": box["height"] * down})


def test_a_tap_on_the_sketch_chooses_the_point_for_a_shot_and_a_photo(
    browser: Browser, served: Served, tmp_path: Path
) -> None:
    from PIL import Image

    picture = tmp_path / "low.jpg"
    Image.new("RGB", (64, 48), "tan").save(picture)
    job = begun(served, SMALL_BOOK)
    page = phone(browser, served, job)
    page.context.set_offline(True)
    type_points_at(page, "P1", "33", "24")
    part(page, "sketch")
    tap_sketch(page, 0.85, 0.2)  # beside P1, which lies up and right of W1
    page.get_by_text("P1: no level yet").wait_for()
    page.get_by_role("button", name="Shot at P1").tap()
    assert page.input_value("#level-point") == "P1"
    fill(page, level_point="BM", level_reading="5.42")
    press(page, "Add this reading", 1)
    tap_sketch(page, 0.85, 0.2)
    fill(page, level_reading="4.5")
    page.get_by_text("P1: level 100.920 ft").wait_for()  # 100 + 5.42 - 4.5, before it is kept
    assert "P1 100.920 ft" in page.locator(".sketch text").all_text_contents()
    press(page, "Add this reading", 2)
    part(page, "photos")
    tap_sketch(page, 0.5, 0.5)
    east, north = page.input_value("#photo-pin").removesuffix(" ft").split(" ft, ")
    assert abs(float(east) - 18) < 1  # half way from (3, 4) to (33, 24), beside both
    assert abs(float(north) - 14) < 1
    page.set_input_files("#photo-file", picture)
    page.locator(".sketch .pin").wait_for(state="attached")
    page.context.close()


def test_a_photo_waits_on_the_phone_and_hangs_on_the_job_once(browser: Browser, served: Served, tmp_path: Path) -> None:
    from PIL import Image

    picture = tmp_path / "north.jpg"
    Image.new("RGB", (640, 480), "tan").save(picture)
    job = begun(served, SMALL_BOOK)
    page = phone(browser, served, job)
    page.context.set_offline(True)
    part(page, "photos")
    fill(page, photo_pin="W1", photo_note="low spot")
    page.set_input_files("#photo-file", picture)
    page.locator(".bar", has_text="1 on this phone").wait_for()
    page.reload()
    page.locator("img.photo").wait_for()
    lost: list[int] = []

    def lose(route: Any) -> None:
        lost.append(route.fetch().status)  # the office takes it, the phone never hears of it
        route.abort()

    sending = re.compile(r"/attachments\?name=")
    page.route(sending, lose)
    page.context.set_offline(False)
    page.locator(".bar", has_text="No office just now").wait_for()
    assert lost == [201]
    page.unroute(sending)
    page.get_by_role("button", name="Send", exact=True).tap()
    page.locator(".bar", has_text="All sent").wait_for()
    store = served.app.state.store
    (hung,) = attachments(store, person_here(store).firm, job)
    assert (hung.kind, hung.pin, hung.note, hung.media_type) == ("photo", "W1", "low spot", "image/jpeg")
    page.context.close()
