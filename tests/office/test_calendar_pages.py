"""The firm's calendar: days of crews from the designs, visits of service; as a list, by week, as a calendar file."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from drainwright.office.store import diary, jobs

from .firm_pages import EXAMPLES, Office, office

TEXT = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
FIRST = datetime.date.today() + datetime.timedelta(days=7 - datetime.date.today().weekday())  # Monday next


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("office")) as found:
        firm, who = found.who.firm, found.who.name
        dated = re.sub(r"^crew: \{", f"crew: {{start: {FIRST}, ", TEXT, flags=re.M)
        assert dated != TEXT
        jobs.open_job(found.store, firm, dated, who, stage="accepted")
        jobs.open_job(found.store, firm, dated.replace("title: ", "title: Second "), who, stage="offered")
        jobs.open_job(found.store, firm, TEXT.replace("title: ", "title: Third "), who, stage="accepted")
        jobs.open_job(found.store, firm, "title: Not whole\n", who, stage="accepted")
        done = jobs.open_job(found.store, firm, "title: Old cellar\n", who, stage="serviced")
        diary.remind(found.store, firm, done.id, FIRST, "flush the lines", who)
        yield found


def test_the_list_tells_days_visits_and_what_has_no_day(here: Office) -> None:
    text = here.get("/calendar").text
    days = text.partition("Without a day")[0]
    assert f'<time datetime="{FIRST}">Monday' in days
    assert re.search(r"Wet crawl space at 3 Orchard Bank, day 1 of \d+", days)
    assert days.count("not accepted yet") == days.count("Second Wet crawl space") > 0
    assert "flush the lines" in days
    left = text.partition("Without a day")[2]
    assert re.search(r"\d+ working days?; no first day is set", left)
    assert "cannot be designed yet" in left


def test_an_empty_calendar_says_how_days_come_and_leads_on(tmp_path: Path) -> None:
    with office(tmp_path) as bare:
        text = bare.get("/calendar").text
        assert "once it is offered or accepted and its first day is set" in text
        for way in re.findall(r'class="button[^"]*" href="([^"]*)"', text):
            assert bare.get(way).status_code == 200


def test_a_week_shows_its_days_alone(here: Office) -> None:
    year, week, _ = FIRST.isocalendar()
    text = here.get(f"/calendar?week={year}-W{week:02d}").text
    assert text.count('<p class="day-name">') == 7
    assert "day 1 of" in text
    after = re.search(r'href="(/calendar\?week=[^"]*)">The week after', text)
    assert after is not None
    assert "flush the lines" not in here.get(after[1]).text
    for wrong in ("2026-W60", "next", "0000-W01"):
        assert here.get(f"/calendar?week={wrong}").status_code == 422


def test_the_calendar_file_has_the_same_days(here: Office) -> None:
    answer = here.get("/calendar.ics")
    assert answer.headers["content-type"].startswith("text/calendar")
    whole = answer.content.decode().replace("\r\n ", "")
    assert whole.startswith("BEGIN:VCALENDAR\r\n")
    assert whole.endswith("END:VCALENDAR\r\n")
    events = [
        dict(line.split(":", 1) for line in one.splitlines() if ":" in line) for one in whole.split("BEGIN:VEVENT")
    ]
    on = [one["SUMMARY"] for one in events[1:] if one["DTSTART;VALUE=DATE"] == f"{FIRST:%Y%m%d}"]
    assert any(title.startswith("Wet crawl space") for title in on)
    assert any(title.startswith("Not accepted yet: Second") for title in on)
    assert "Service: Old cellar" in on
    assert len({one["UID"] for one in events[1:]}) == len(events) - 1
