"""A store with something of everything in it."""

from __future__ import annotations

import datetime

from drainwright.office.store import books, diary, entering, files, jobs, limits, links, people, revisions
from drainwright.office.store.editing import Operation
from drainwright.office.store.opening import Store

YARD = (
    "title: Wet cellar  # first call\ncustomer: {name: R. Bramble}\nhouse:\n  walls:\n    - {name: south, wet: true}\n"
)
PHOTO = bytes(range(256)) * 40


def filled(store: Store) -> tuple[str, str]:
    """A firm with people, customers, books, and one job with everything that hangs on it: the ids of both."""
    firm = jobs.add_firm(store, "Example Drainage Company").id
    person = people.add_person(store, firm, "Ash", "ash@example.org", "estimator", "hash")
    people.change_person(store, firm, person.id, language="es")
    people.begin_session(store, firm, person.id, datetime.timedelta(hours=1))
    entering.invite(store, firm, "birch@example.org", "crew", datetime.timedelta(days=3), "Ash")
    entering.give_token(store, firm, person.id, "spreadsheet", "read", datetime.timedelta(days=30))
    limits.tried(store, "sign in: ash@example.org", 10, datetime.timedelta(hours=1))
    customer = people.add_customer(store, firm, "R. Bramble", "3 Orchard Bank", "555-0142")
    book = books.add_book(store, firm, "price book", "spring", "stone: 1\n", "Ash")
    books.save_book(store, firm, book.id, 1, "stone: 2\n", "Ash", "dearer")
    job = jobs.open_job(store, firm, YARD, "Ash", customer=customer.id)
    revisions.save(store, firm, job.id, 1, YARD.replace("Wet", "Damp"), "Birch")
    revisions.apply(store, firm, job.id, 2, [Operation(id="op-1", path="title", value="Dry cellar", was=None)], "Ash")
    revisions.merge(store, firm, job.id, 2, YARD.replace("Wet", "Damp").replace("true", "false"), "Birch")
    for name in ("a.jpg", "b.jpg"):
        files.attach(
            store, firm, job.id, PHOTO, name=name, media_type="image/jpeg", who="Ash", pin="house.walls[south]"
        )
    files.attach(store, firm, job.id, b"a sketch", name="s.svg", media_type="image/svg+xml", who="Ash", kind="sketch")
    link, _ = links.make_link(store, firm, job.id, "offer", datetime.timedelta(days=30), "Ash")
    links.accept(store, firm, job.id, 2, "R. Bramble", {"total": "12000.00", "options": []}, link.id)
    diary.note(store, firm, job.id, "Ash", "call", "The customer asks for September: «früh».")
    diary.remind(store, firm, job.id, datetime.date(2027, 4, 1), "look at the pump", "Ash")
    jobs.move_on(store, firm, job.id, "accepted", "Ash")
    return firm, job.id
