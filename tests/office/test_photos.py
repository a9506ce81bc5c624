"""The page of a job's photographs: seen, described, taken off; nothing of other pages, nothing of another job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from drainwright.office.store import files, jobs
from drainwright.office.store.beside import KEPT
from drainwright.office.store.records import Attachment

from .firm_pages import Office, office
from .test_uploads import picture


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Office]:
    with office(tmp_path) as found:
        yield found


def begun(here: Office, title: str = "Wet cellar") -> str:
    return jobs.open_job(here.store, here.who.firm, f"title: {title}\n", here.who.name).id


def hang(here: Office, job: str, **told: Any) -> Attachment:
    asked = {"name": "north.jpg", "media_type": "image/jpeg", "who": "Ash", **told}
    return files.attach(here.store, here.who.firm, job, asked.pop("data", picture()), **asked)


def test_a_photo_is_shown_with_its_words_its_place_and_who_took_it(here: Office) -> None:
    job = begun(here)
    assert "No picture hangs on this job" in here.get(f"/jobs/{job}/photos").text
    first = hang(here, job, note="The crack <b>at</b> the sill", pin="SILL")
    paper = hang(here, job, name="survey.txt", media_type="text/plain", kind="paper", data=b"words")
    hang(here, job, name="book.yaml", media_type="text/plain", kind=KEPT, data=b"prices")
    page = here.get(f"/jobs/{job}/photos").text
    assert f'src="/api/v1/attachments/{first.id}" alt="The crack &lt;b&gt;at&lt;/b&gt; the sill"' in page
    assert "at SILL · Ash" in page
    assert "1 picture, the newest first" in page
    assert f'href="/api/v1/attachments/{paper.id}">survey.txt' in page
    assert "book.yaml" not in page
    assert here.client.get(f"/api/v1/attachments/{first.id}").content == picture()
    assert 'href="/jobs/' + job + '/photos"' in here.get(f"/jobs/{job}").text


def test_what_is_said_of_it_is_changed_and_it_is_taken_off_and_hung_up_again(here: Office) -> None:
    job = begun(here)
    one = hang(here, job)
    way = f"/jobs/{job}/photos"
    done = here.post(way, attachment=one.id, note="North wall, after rain", pin="A")
    assert (done.status_code, done.headers["location"]) == (303, f"{way}#{one.id}")
    told = files.attachment(here.store, here.who.firm, one.id)
    assert (told.note, told.pin) == ("North wall, after rain", "A")
    assert here.post(way, attachment=one.id, away="yes").status_code == 303
    page = here.get(way).text
    assert one.id not in page
    assert "1 taken off: nothing is lost" in page
    assert one.id in here.get(f"{way}?off=true").text
    assert here.post(way, attachment=one.id, away="no").status_code == 303
    assert one.id in here.get(way).text
    assert files.attachment(here.store, here.who.firm, one.id).note == "North wall, after rain"


def test_nothing_of_another_job_and_no_record_of_another_page_is_touched(here: Office) -> None:
    job, other = begun(here), begun(here, "Damp wall")
    theirs = hang(here, other)
    kept = hang(here, job, name="book.yaml", media_type="text/plain", kind=KEPT, data=b"prices")
    assert theirs.id not in here.get(f"/jobs/{job}/photos").text
    for one in (theirs, kept):
        assert here.post(f"/jobs/{job}/photos", attachment=one.id, note="x").status_code == 404
        assert files.attachment(here.store, here.who.firm, one.id).note == ""
    assert here.post(f"/jobs/{job}/photos", attachment="nothing", note="x").status_code == 404
    assert here.get("/jobs/nothing/photos").status_code == 404
