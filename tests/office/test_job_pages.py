"""The list of jobs, how they begin, their documents, histories and conflicts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from drainwright.office.pages.history import part_words
from drainwright.office.store import editing, jobs, revisions
from drainwright.office.store.people import add_customer

from .firm_pages import EXAMPLES, Office, office

BEGUN = (
    "schema_version: 1\ntitle: Wet cellar  # first call\nnotes: call back\n"
    "house:\n  walls:\n    - {name: south, wet: true}\n"
    "customer:\n  name: R. Bramble\n"
)


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Office]:
    with office(tmp_path) as found:
        yield found


def begun(here: Office, text: str = BEGUN) -> str:
    return jobs.open_job(here.store, here.who.firm, text, here.who.name).id


def said(here: Office, id: str) -> dict[str, object]:
    return editing.said(revisions.revision(here.store, here.who.firm, id).text)


def test_an_empty_office_says_how_a_job_begins(here: Office) -> None:
    page = here.get("/")
    assert page.status_code == 200
    assert "No job yet" in page.text
    assert 'href="/jobs/new"' in page.text


def test_jobs_stand_by_their_stage_with_what_they_wait_for(here: Office) -> None:
    first, second = begun(here), begun(here, "title: Damp wall\n")
    jobs.move_on(here.store, here.who.firm, second, "digging", "Ash")
    text = here.get("/").text
    assert text.index("First call") < text.index(f"/jobs/{first}") < text.index("Being dug")
    assert text.index("Being dug") < text.index(f"/jobs/{second}")
    assert "the visit: to be measured" in text
    assert "the handing over" in text


def test_a_search_finds_by_all_words_and_says_how_many(here: Office) -> None:
    begun(here), begun(here, "title: Damp wall\n")
    text = here.get("/?q=WALL+damp").text
    assert "1 job with" in text
    assert "Damp wall" in text
    assert "Wet cellar" not in text
    assert "No jobs with" in here.get("/?q=<b>nowhere").text


def test_a_job_begins_from_a_call_with_all_that_was_told(here: Office) -> None:
    answer = here.post(
        "/jobs/new", from_="nothing", title='Water: "east" wall', address="3 Orchard Bank", town="Exampleton",
        customer_name="R. Bramble", phone="555-0142", number="D-1", units="US", notes="Rings\r\n- before: noon",
    )  # fmt: skip
    assert answer.status_code == 303
    record = said(here, answer.headers["location"].removeprefix("/jobs/"))
    assert record["title"] == 'Water: "east" wall'
    assert record["property"] == {"address": "3 Orchard Bank", "town": "Exampleton"}
    assert record["customer"] == {"name": "R. Bramble", "phone": "555-0142"}
    assert record["notes"] == "Rings\n- before: noon"


def test_a_job_begins_for_a_customer_of_the_list(here: Office) -> None:
    one = add_customer(here.store, here.who.firm, "R. Bramble", "3 Orchard Bank", "555-0142")
    answer = here.post("/jobs/new", from_="nothing", title="Wet", customer=one.id)
    job = jobs.job(here.store, here.who.firm, answer.headers["location"].removeprefix("/jobs/"))
    assert (job.customer, job.customer_name) == (one.id, "R. Bramble")


def test_a_refused_form_comes_back_filled_in_with_the_fault_beside_its_field(here: Office) -> None:
    answer = here.post("/jobs/new", from_="nothing", title="  ", address="3 <Orchard> Bank", notes="kept")
    assert answer.status_code == 422
    assert 'id="title-error"' in answer.text
    assert 'value="3 &lt;Orchard&gt; Bank"' in answer.text
    assert "kept</textarea>" in answer.text
    assert not jobs.listed(here.store, here.who.firm)


@pytest.mark.parametrize("units", ["US", "SI"])
def test_a_job_begins_from_a_starter_that_is_whole(here: Office, units: str) -> None:
    answer = here.post("/jobs/new", from_="starter", starter=units)
    assert jobs.job(here.store, here.who.firm, answer.headers["location"].removeprefix("/jobs/")).faults == 0


def test_a_job_begins_from_a_document_and_from_a_whole_job(here: Office) -> None:
    data = (EXAMPLES / "sloping-lot" / "job.yaml").read_bytes()
    first = here.post("/jobs/new", {"file": ("job.yaml", data)}, from_="file").headers["location"]
    packed = here.get(f"{first}/whole.zip")
    assert packed.headers["content-disposition"] == 'attachment; filename="D-0121.zip"'
    second = here.post("/jobs/new", {"file": ("job.zip", packed.content)}, from_="file").headers["location"]
    assert second != first
    assert said(here, second.removeprefix("/jobs/")) == said(here, first.removeprefix("/jobs/"))


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("job.yaml", b"title: [", "expected"),
        ("job.zip", b"PK\x03\x04 nothing more", "expected"),
        ("picture.png", b"\x89PNG\r\n\x1a\n\x00\xff", "expected"),
    ],
)
def test_a_file_that_is_no_job_is_refused_beside_its_field(here: Office, name: str, data: bytes, words: str) -> None:
    answer = here.post("/jobs/new", {"file": (name, data)}, from_="file")
    assert answer.status_code == 422
    assert words in answer.text.partition('id="file-error"')[2].partition("</p>")[0]


def test_a_document_is_saved_with_its_comments_and_its_problems_have_lines(here: Office) -> None:
    id = begun(here)
    page = here.get(f"/jobs/{id}/text").text
    assert "# first call" in page
    assert 'data-line="' in page
    answer = here.post(f"/jobs/{id}/text", base="1", text=BEGUN.replace("Wet", "Dry").replace("\n", "\r\n"))
    assert answer.headers["location"] == f"/jobs/{id}/text?saved=2"
    assert revisions.revision(here.store, here.who.firm, id).text == BEGUN.replace("Wet", "Dry")


def test_a_document_that_cannot_be_read_is_not_saved_and_not_lost(here: Office) -> None:
    id = begun(here)
    answer = here.post(f"/jobs/{id}/text", base="1", text="title: [mine", what="tried")
    assert answer.status_code == 422
    assert "title: [mine</textarea>" in answer.text
    assert 'value="tried"' in answer.text
    assert 'data-line="1"' in answer.text
    assert jobs.job(here.store, here.who.firm, id).head == 1


def test_checking_saves_nothing(here: Office) -> None:
    id = begun(here)
    answer = here.post(f"/jobs/{id}/text", base="1", text=BEGUN + "colour: blue\n", do="check")
    assert "<strong>colour</strong>" in answer.text
    assert jobs.job(here.store, here.who.firm, id).head == 1


def test_changes_of_other_parts_are_brought_together(here: Office) -> None:
    id = begun(here)
    revisions.save(here.store, here.who.firm, id, 1, BEGUN.replace("call back", "called"), "Birch")
    here.post(f"/jobs/{id}/text", base="1", text=BEGUN.replace("Wet", "Dry"))
    record = said(here, id)
    assert (record["title"], record["notes"]) == ("Dry cellar", "called")


@pytest.mark.parametrize(("title", "wall"), [("mine", "theirs"), ("theirs", "mine")])
def test_where_two_changed_the_same_a_person_chooses_by_path_and_nothing_is_lost(
    here: Office, title: str, wall: str
) -> None:
    id = begun(here)
    theirs = BEGUN.replace("Wet", "Damp").replace("wet: true", "wet: false").replace("call back", "called")
    mine = BEGUN.replace("Wet", "Dry").replace("{name: south, wet: true}", "{name: south}")
    revisions.save(here.store, here.who.firm, id, 1, theirs, "Birch")
    page = here.post(f"/jobs/{id}/text", base="1", text=mine)
    assert page.status_code == 409
    for words in ("house, wall south, wet", "Wet cellar", "Damp cellar", "Dry cellar", "taken away", "Birch"):
        assert words in page.text
    assert jobs.job(here.store, here.who.firm, id).head == 2
    fields = {"path0": "house.walls[south].wet", "side0": wall, "path1": "title", "side1": title}
    answer = here.post(f"/jobs/{id}/text", base="1", theirs="2", do="chosen", text=mine, **fields)
    assert answer.status_code == 303
    record = said(here, id)
    assert record["title"] == {"mine": "Dry cellar", "theirs": "Damp cellar"}[title]
    walls = {"mine": [{"name": "south"}], "theirs": [{"name": "south", "wet": False}]}
    assert record["house"] == {"walls": walls[wall]}
    assert record["notes"] == "called"
    kept = [one.text for one in revisions.history(here.store, here.who.firm, id)]
    assert kept[1:] == [mine, theirs, BEGUN]
    assert "# first call" in kept[0]


def test_a_choice_that_comes_late_is_asked_anew(here: Office) -> None:
    id = begun(here)
    revisions.save(here.store, here.who.firm, id, 1, BEGUN.replace("Wet", "Damp"), "Birch")
    revisions.save(here.store, here.who.firm, id, 2, BEGUN.replace("Wet", "Soaked"), "Birch")
    answer = here.post(
        f"/jobs/{id}/text", base="1", theirs="2", do="chosen", text=BEGUN.replace("Wet", "Dry"), path0="title",
        side0="mine",
    )  # fmt: skip
    assert answer.status_code == 409
    assert "Soaked cellar" in answer.text
    assert jobs.job(here.store, here.who.firm, id).head == 3


def test_revisions_are_compared_in_words_restored_and_downloaded(here: Office) -> None:
    id = begun(here)
    changed = BEGUN.replace("Wet", "Dry").replace("wet: true", "wet: false")
    revisions.save(here.store, here.who.firm, id, 1, changed, "Birch", "drier")
    page = here.get(f"/jobs/{id}/history").text
    assert "drier" in page
    assert "Birch" in page
    compared = here.get(f"/jobs/{id}/compare?old=1&new=2").text
    for words in ("house, wall south, wet", "yes", "no", "Wet cellar", "Dry cellar"):
        assert words in compared
    assert here.get(f"/jobs/{id}/revisions/1.yaml").text == BEGUN
    assert here.post(f"/jobs/{id}/restore", number="1").status_code == 303
    assert revisions.revision(here.store, here.who.firm, id).text == BEGUN
    assert jobs.job(here.store, here.who.firm, id).head == 3


def test_how_far_a_job_is_whose_it_is_and_its_diary_are_kept(here: Office) -> None:
    id = begun(here)
    one = add_customer(here.store, here.who.firm, "R. Bramble")
    here.post(f"/jobs/{id}/office", stage="visited", customer=one.id, note="Rings at noon.")
    job = jobs.job(here.store, here.who.firm, id)
    assert (job.stage, job.customer) == ("visited", one.id)
    assert "Rings at noon." in here.get(f"/jobs/{id}/history").text
    here.post(f"/jobs/{id}/office", away="yes")
    assert "Wet cellar" not in here.get("/").text
    assert "Wet cellar" in here.get("/?away=true").text
    assert here.post(f"/jobs/{id}/office", stage="flooded").status_code == 422


def test_another_firms_job_is_not_there(here: Office) -> None:
    other = jobs.add_firm(here.store, "Other").id
    id = jobs.open_job(here.store, other, BEGUN, "Birch").id
    assert here.get(f"/jobs/{id}/text").status_code == 409


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("house.walls[south].footing_bottom", "house, wall south, footing bottom"),
        ('survey.points["a.b"].level', "survey, point a.b, level"),
        ("title", "title"),
    ],
)
def test_paths_read_as_words(path: str, words: str) -> None:
    assert part_words(path) == words
