"""Jobs, files, people, customers, books, links and diaries: kept, found, and seen by their firm alone."""

from __future__ import annotations

import datetime
import importlib
import inspect
from pathlib import Path

import pytest

from drainwright.office.store import books, diary, files, jobs, links, people
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.files import attach, attachments, describe
from drainwright.office.store.jobs import job as stored_job
from drainwright.office.store.jobs import open_job
from drainwright.office.store.opening import Store
from drainwright.office.store.packing import pack, unpack
from drainwright.office.store.records import STAGES, Job
from drainwright.office.store.revisions import revision, save
from drainwright.office.store.waiting import waits_for
from tests.office.full import PHOTO, YARD, filled

EXAMPLE = (Path(__file__).resolve().parents[2] / "examples" / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
DAY = datetime.timedelta(days=1)
NO_FIRM = {  # how a firm is made or found out
    "add_firm", "firms", "first_owner", "invitation_of", "link_ever", "link_of", "needs_owner", "person_by_email",
    "session_of", "take_up", "token_of",
}  # fmt: skip


@pytest.fixture
def firm(store: Store) -> str:
    return jobs.add_firm(store, "Example Drainage Company").id


@pytest.mark.parametrize(
    "name", ["books", "diary", "entering", "files", "jobs", "links", "packing", "people", "pricing", "revisions"]
)
def test_every_function_takes_the_firm(name: str) -> None:
    module = importlib.import_module(f"drainwright.office.store.{name}")
    for word in module.__all__:
        part = getattr(module, word)
        takes = list(inspect.signature(part).parameters) if inspect.isfunction(part) else []
        if takes[:1] == ["store"] and word not in NO_FIRM:
            assert takes[1] == "firm", word


def test_jobs_are_found_by_words_whatever_their_capitals(store: Store, firm: str) -> None:
    one = jobs.open_job(store, firm, YARD, "Ash")
    two = jobs.open_job(store, firm, "title: 100 % wet_wall\nproperty: {address: 7 Überweg, town: Fernhollow}\n", "Ash")

    def found(words: str) -> list[str]:
        return [listed.job.id for listed in jobs.listed(store, firm, words)]

    assert found("") == [two.id, one.id]  # the last changed first
    assert found("BRAMBLE cellar") == [one.id]
    assert found("überweg") == [two.id]
    assert found("100 %") == found("wet_wall") == [two.id]
    assert found("_____") == found("bramble überweg") == []
    assert found("'; DROP TABLE job; --") == []
    jobs.move_on(store, firm, one.id, "visited", "Ash")
    assert [listed.job.id for listed in jobs.listed(store, firm, stage="visited")] == [one.id]
    assert [listed.job.id for listed in jobs.listed(store, firm, most=1, skip=1)] == [two.id]
    jobs.lay_away(store, firm, one.id, "Ash")
    assert found("") == [two.id]
    assert [listed.job.id for listed in jobs.listed(store, firm, archived=True)] == [one.id]
    assert jobs.lay_away(store, firm, one.id, "Ash", archived=False).archived is False
    assert [event.words for event in diary.diary(store, firm, one.id)] == [
        "taken out again", "laid away", "called -> visited", "the job was opened"
    ]  # fmt: skip
    with pytest.raises(StoreError, match="expected one of called, visited"):
        jobs.move_on(store, firm, one.id, "sold", "Ash")  # type: ignore[arg-type]


def test_a_job_waits_for_what_its_record_and_its_papers_lack(store: Store, firm: str) -> None:
    def waits(today: datetime.date | None = None) -> tuple[str, ...]:
        return jobs.waiting(store, firm, job.id, today)

    job = jobs.open_job(store, firm, YARD, "Ash")
    assert waits() == ("the visit: to be measured",)
    jobs.move_on(store, firm, job.id, "visited", "Ash")
    assert waits() == tuple(f"to measure or find out: {one}" for one in jobs.job(store, firm, job.id).missing)
    assert "to measure or find out: the footing of wall south" in waits()
    assert "to measure or find out: what lies buried on the lot" in waits()
    job = jobs.open_job(store, firm, EXAMPLE, "Ash", stage="designed")
    assert waits() == ("the offer: it is not sent",)
    link, _ = links.make_link(store, firm, job.id, "offer", 10 * DAY, "Ash")
    assert waits() == ("the customer's answer",)
    jobs.move_on(store, firm, job.id, "offered", "Ash")
    assert waits() == ("the customer's answer",)
    assert waits(link.expires.date() + DAY) == ("the offer: its link has run out",)
    links.accept(store, firm, job.id, 1, "R. Bramble", {}, link.id)
    assert waits() == ("the stage: an acceptance is here",)
    for stage, told in (("accepted", "the start of the work"), ("digging", "the handing over"),
                        ("handed over", "a day for the next service")):  # fmt: skip
        jobs.move_on(store, firm, job.id, stage, "Ash")  # type: ignore[arg-type]
        assert waits() == (told,)
    due = diary.remind(store, firm, job.id, datetime.date(2030, 4, 1), "look at the pump", "Ash")
    assert waits(datetime.date(2030, 4, 1)) == ("service on 2030-04-01: look at the pump",)
    assert waits(datetime.date(2030, 4, 2)) == ("service on 2030-04-01: look at the pump; overdue",)
    diary.served(store, firm, due.id, "Birch")
    assert waits() == ("a day for the next service",)


def test_every_stage_has_its_words() -> None:
    at = datetime.datetime(2026, 4, 2, tzinfo=datetime.UTC)
    for stage in STAGES:
        job = Job(
            firm="f", id="j", title="", number="", customer_name="", place="", customer=None, stage=stage, head=1,
            faults=2, missing=(), archived=False, created=at, changed=at,
        )  # fmt: skip
        assert waits_for(job, (), False, (), at, at.date()), stage


def test_a_content_is_kept_once_and_held_against_its_digest(store: Store, firm: str) -> None:
    import sqlalchemy as sa

    from drainwright.office.store.tables import ContentRow

    job = jobs.open_job(store, firm, YARD, "Ash").id
    kept = [files.attach(store, firm, job, PHOTO, name=name, media_type="image/jpeg", who="Ash") for name in ("a", "b")]
    with store.reading() as session:
        assert session.scalar(sa.select(sa.func.count()).select_from(ContentRow)) == 1
    assert files.attachments(store, firm, job) == tuple(kept)
    assert files.content(store, firm, kept[1].id) == PHOTO
    noted = files.describe(store, firm, kept[0].id, "Ash", note="north side", pin="house.walls[south]", archived=True)
    assert (noted.note, noted.pin) == ("north side", "house.walls[south]")
    assert files.attachments(store, firm, job) == (kept[1],)
    assert len(files.attachments(store, firm, job, archived=True)) == 2
    with store.writing() as session:
        session.execute(sa.update(ContentRow).values(data=b"other"))
    with pytest.raises(StoreError, match="do not bear the digest"):
        files.content(store, firm, kept[1].id)


def test_what_is_too_large_or_no_text_is_refused(store: Store, firm: str, monkeypatch: pytest.MonkeyPatch) -> None:
    job = jobs.open_job(store, firm, YARD, "Ash").id
    monkeypatch.setattr(files, "MOST_BYTES", 10)
    monkeypatch.setattr(files, "MOST_OF_A_JOB", 1)
    for data, name, words in ((b"", "a", "found 0 bytes"), (b"x" * 11, "a", "found 11 bytes"),
                              (b"x", "", "name: found 0 signs"), (b"x", "a\0b", "a control character"),
                              (b"x", "a" * 256, "found 256 signs")):  # fmt: skip
        with pytest.raises(StoreError, match=words):
            files.attach(store, firm, job, data, name=name, media_type="image/png", who="Ash")
    files.attach(store, firm, job, b"x", name="a", media_type="image/png", who="Ash")
    with pytest.raises(StoreError, match="expected at most 1"):
        files.attach(store, firm, job, b"y", name="a", media_type="image/png", who="Ash")
    assert len(files.attachments(store, firm, job)) == 1


def test_people_and_their_sessions(store: Store, firm: str) -> None:
    ash = people.add_person(store, firm, "Ash", "Ash@Example.org", "estimator", "hash")
    people.add_person(store, firm, "Birch", "birch@example.org", "owner", "hash")
    assert people.person_by_email(store, " ASH@example.org ") == ash
    assert people.person_by_email(store, "nobody@example.org") is None
    other = jobs.add_firm(store, "Another Company").id
    with pytest.raises(StoreError, match="somebody has already"):
        people.add_person(store, other, "A.", "ash@example.org", "owner", "hash")
    session, token = people.begin_session(store, firm, ash.id, DAY)
    assert people.session_of(store, token) == (session, ash)
    assert people.session_of(store, token + "x") is None
    people.end_session(store, firm, session.id)
    assert people.session_of(store, token) is None
    _, late = people.begin_session(store, firm, ash.id, -DAY)
    assert people.session_of(store, late) is None
    _, token = people.begin_session(store, firm, ash.id, DAY)
    assert people.change_person(store, firm, ash.id, role="owner").role == "owner"
    assert people.session_of(store, token) is not None
    people.change_person(store, firm, ash.id, active=False)
    assert people.session_of(store, token) is None
    with pytest.raises(StoreError, match="found email"):
        people.change_person(store, firm, ash.id, email="x@example.org")
    assert [one.name for one in people.people(store, firm)] == ["Ash", "Birch"]


def test_customers(store: Store, firm: str) -> None:
    one = people.add_customer(store, firm, "Ö. Bramble", "3 Orchard Bank")
    assert people.customers(store, firm, "ö. ORCHARD") == (one,)
    assert people.change_customer(store, firm, one.id, phone="555-0142", archived=True).phone == "555-0142"
    assert people.customers(store, firm) == ()
    job = jobs.open_job(store, firm, YARD, "Ash")
    assert jobs.give_customer(store, firm, job.id, one.id, "Ash").customer == one.id
    other = jobs.add_firm(store, "Another Company").id
    for wrong in (other, "nobody"):
        with pytest.raises(NotThereError):
            jobs.give_customer(store, firm, job.id, wrong, "Ash")
    with pytest.raises(NotThereError):
        jobs.open_job(store, other, YARD, "Ash", customer=one.id)


def test_books_keep_their_revisions(store: Store, firm: str) -> None:
    book = books.add_book(store, firm, "price book", "spring", "stone: 1\n", "Ash")
    second = books.save_book(store, firm, book.id, 1, "stone: 2\n", "Ash", "dearer")
    with pytest.raises(books.StaleBook) as told:
        books.save_book(store, firm, book.id, 1, "stone: 3\n", "Birch")
    assert (told.value.theirs, told.value.mine) == (second, "stone: 3\n")
    assert books.book_revision(store, firm, book.id) == second
    assert [one.text for one in books.book_history(store, firm, book.id)] == ["stone: 2\n", "stone: 1\n"]
    assert [one.head for one in books.books(store, firm, "price book")] == [2]
    books.lay_book_away(store, firm, book.id)
    assert books.books(store, firm) == ()
    with pytest.raises(StoreError, match="expected one of price book"):
        books.add_book(store, firm, "novel", "x", "", "Ash")


def test_links_run_out_and_are_taken_back(store: Store, firm: str) -> None:
    job = jobs.open_job(store, firm, YARD, "Ash").id
    link, token = links.make_link(store, firm, job, "offer", DAY, "Ash")
    _, late = links.make_link(store, firm, job, "offer", -DAY, "Ash")
    assert links.link_of(store, token) == link
    assert links.link_of(store, late) is None
    assert links.link_of(store, "guess") is None
    links.take_back(store, firm, link.id, "Ash")
    assert links.link_of(store, token) is None
    assert len(links.links(store, firm, job)) == 2
    for number, wrong in ((9, None), (1, "nobody")):
        with pytest.raises(NotThereError):
            links.accept(store, firm, job, number, "R. Bramble", {}, wrong)
    other = jobs.open_job(store, firm, YARD, "Ash").id
    with pytest.raises(NotThereError):
        links.accept(store, firm, other, 1, "R. Bramble", {}, link.id)


def test_no_token_is_kept(store: Store, firm: str) -> None:
    from tests.office.test_backing import everything

    job = jobs.open_job(store, firm, YARD, "Ash").id
    _, token = links.make_link(store, firm, job, "offer", DAY, "Ash")
    ash = people.add_person(store, firm, "Ash", "ash@example.org", "estimator", "hash")
    _, ticket = people.begin_session(store, firm, ash.id, DAY)
    kept = str(everything(store))
    assert token not in kept
    assert ticket not in kept


def test_another_firm_sees_nothing_of_it(store: Store) -> None:
    firm, job = filled(store)
    other = jobs.add_firm(store, "Another Company").id
    link = links.links(store, firm, job)[0].id
    attachment = files.attachments(store, firm, job)[0].id
    reminder = diary.reminders(store, firm)[0].id
    book, person = books.books(store, firm)[0].id, people.people(store, firm)[0].id
    customer = people.customers(store, firm)[0].id
    assert (jobs.listed(store, other), books.books(store, other), people.people(store, other)) == ((), (), ())
    assert (people.customers(store, other), diary.reminders(store, other)) == ((), ())
    for asked in (
        lambda: jobs.waiting(store, other, job),
        lambda: jobs.lay_away(store, other, job, "x"),
        lambda: jobs.give_customer(store, other, job, None, "x"),
        lambda: diary.diary(store, other, job),
        lambda: diary.note(store, other, job, "x", "x", "x"),
        lambda: diary.remind(store, other, job, datetime.date(2030, 1, 1), "x", "x"),
        lambda: diary.served(store, other, reminder, "x"),
        lambda: files.attachments(store, other, job),
        lambda: files.attach(store, other, job, b"x", name="x", media_type="x", who="x"),
        lambda: files.content(store, other, attachment),
        lambda: files.describe(store, other, attachment, "x", note="x"),
        lambda: links.links(store, other, job),
        lambda: links.make_link(store, other, job, "offer", DAY, "x"),
        lambda: links.take_back(store, other, link, "x"),
        lambda: links.accept(store, other, job, 1, "x", {}),
        lambda: links.acceptances(store, other, job),
        lambda: books.book_revision(store, other, book),
        lambda: books.book_history(store, other, book),
        lambda: books.save_book(store, other, book, 2, "x", "x"),
        lambda: books.lay_book_away(store, other, book),
        lambda: people.person(store, other, person),
        lambda: people.change_person(store, other, person, name="x"),
        lambda: people.begin_session(store, other, person, DAY),
        lambda: people.change_customer(store, other, customer, name="x"),
    ):
        with pytest.raises(NotThereError):
            asked()
    assert links.links(store, firm, job)[0].revoked is None


def test_a_text_is_held_against_the_files_that_lie_beside_it(store: Store, firm: str) -> None:
    folder = Path(__file__).resolve().parents[2] / "examples" / "block-wall-house"
    text = (folder / "job.yaml").read_text(encoding="utf-8")
    job = open_job(store, firm, text, "Ann")
    assert job.faults == 1
    for path in sorted((folder / "firm").iterdir()):
        attach(
            store, firm, job.id, path.read_bytes(), name=f"firm/{path.name}", media_type="text/plain", who="Ann",
            kind="beside",
        )  # fmt: skip
    assert stored_job(store, firm, job.id).faults == 0
    assert revision(store, firm, job.id).problems == ()
    saved = save(store, firm, job.id, 1, text.replace("Wet floors", "Damp floors"), "Ann", "title")
    assert saved.problems == ()
    taken = unpack(store, firm, pack(store, firm, job.id), "Ann")
    assert taken.faults == 0
    settings = next(one for one in attachments(store, firm, job.id) if one.name == "firm/firm.yaml")
    describe(store, firm, settings.id, "Ann", archived=True)
    assert stored_job(store, firm, job.id).faults == 1


def test_a_file_beside_that_leads_elsewhere_is_a_fault_and_is_written_nowhere(store: Store, firm: str) -> None:
    folder = Path(__file__).resolve().parents[2] / "examples" / "block-wall-house"
    job = open_job(store, firm, (folder / "job.yaml").read_text(encoding="utf-8"), "Ann")
    attach(store, firm, job.id, b"x", name="../../escaped.yaml", media_type="text/plain", who="Ann", kind="beside")
    assert any("escaped" in problem for problem in revision(store, firm, job.id).problems)
