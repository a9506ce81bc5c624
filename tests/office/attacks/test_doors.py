"""Every door of the office: strangers, other firms, crews, forged requests; and the headers of every answer."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

import pytest
import sqlalchemy as sa
from fastapi import FastAPI

from drainwright.office.examples import examples
from drainwright.office.guard import HEADERS
from drainwright.office.people import roles
from drainwright.office.store import entering, people
from drainwright.office.store.people import customers
from drainwright.office.store.tables import (
    AttachmentRow,
    AttemptRow,
    Base,
    BookRow,
    InvitationRow,
    LinkRow,
    ReminderRow,
)
from tests.office.attacks.doors import Door, body_of, doors, fillings
from tests.office.full import filled
from tests.office.visitors import PEOPLE, Visitor, browser, office, staffed

SECRET = ("Damp cellar", "Dry cellar", "Bramble", "ash@example.org", "Orchard Bank", "«früh»")


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    with office(tmp_path_factory.mktemp("doors")) as made:
        yield made


@pytest.fixture(scope="module")
def ids(app: FastAPI) -> dict[str, str]:
    """What a firm has, by id."""
    store = app.state.store
    firm, job = filled(store)
    found = {"job": job, "customer": customers(store, firm)[0].id, "person": people.people(store, firm)[0].id}
    with store.reading() as session:
        for name, table in (
            ("attachment", AttachmentRow), ("book", BookRow), ("link", LinkRow), ("reminder", ReminderRow),
            ("invitation", InvitationRow),
        ):  # fmt: skip
            found[name] = session.scalar(sa.select(table.id).where(table.firm == firm))
    found["access"] = entering.tokens(store, firm, found["person"])[0].id
    staffed(app, "Other Company")
    mine = people.people(store, firm)[0]
    people.change_person(store, firm, mine.id, role="owner")
    return {**found, "token": "x" * 43, "firm": firm}


def entered(app: FastAPI, email: str) -> Visitor:
    guest = browser(app)
    answer = guest.enters(email)
    assert answer.status_code == 303
    return guest


def kept(app: FastAPI) -> dict[str, list[Any]]:
    """All that is in the store but counts of tries."""
    with app.state.store.engine.connect() as connection:
        tables = [one for one in Base.metadata.sorted_tables if one is not AttemptRow.__table__]
        return {one.name: sorted(map(tuple, connection.execute(sa.select(one))), key=str) for one in tables}


def of_firm(rows: dict[str, list[Any]], firm: str) -> dict[str, list[Any]]:
    return {name: [row for row in every if firm in row] for name, every in rows.items()}


def leaks(text: str) -> list[str]:
    for example in examples():  # come with the program: everybody's
        text = text.replace(example.title, "")
    return [word for word in SECRET if word in text]


def skipped(door: Door) -> bool:
    """Doors that end the session of whoever tries them all."""
    return door.path in {"/sign-out", "/me/everywhere", "/me/password"}


def test_the_doors_are_found(app: FastAPI) -> None:
    found = doors(app)
    assert len(found) > 100
    assert Door("PUT", "/api/v1/jobs/{job}/document") in found
    assert Door("POST", "/sign-in") in found


def test_strangers_get_nothing_and_every_answer_has_its_headers(app: FastAPI, ids: dict[str, str]) -> None:
    before = kept(app)
    token = browser(app).token()
    for door in doors(app):
        for values in fillings(door, ids):
            path = door.at(values)
            for accept in ({}, PEOPLE):
                guest = browser(app)
                more = body_of(app, door) if door.unsafe else {}
                headers = {"x-form-token": token, "cookie": f"form={token}", **accept}
                answer = guest.request(door.method, path, headers=headers, follow_redirects=False, **more)
                assert answer.status_code < 500, (door, answer.text)
                assert not leaks(answer.text), door
                for name, value in HEADERS.items():
                    assert answer.headers[name] == value or name == "content-security-policy", door
                if roles.is_open(path):
                    continue
                if answer.status_code == 303:
                    assert answer.headers["location"].startswith("/sign-in?back="), door
                    assert accept
                    assert not door.unsafe
                else:
                    assert answer.status_code == 401, door
    assert kept(app) == before


@pytest.mark.parametrize("more", ["%0A", "%0D", "%00", "%7F", "%C2%85"])
def test_a_line_break_in_an_address_opens_no_door(app: FastAPI, ids: dict[str, str], more: str) -> None:
    """A route's pattern fits before a line break at its end; an access rule did not know such an address, and broke."""
    crew = entered(app, "crew@example.org")
    for door in doors(app):
        for values in fillings(door, ids):
            for accept in ({}, PEOPLE):
                answer = crew.request(door.method, door.at(values) + more, headers=accept, follow_redirects=False)
                assert answer.status_code == 404, (door, answer.status_code)
                assert "control characters" in answer.text, door
                assert not leaks(answer.text), door


def test_another_firm_reaches_nothing_by_any_door(app: FastAPI, ids: dict[str, str]) -> None:
    other = entered(app, "owner@example.org")
    before = of_firm(kept(app), ids["firm"])
    assert all(before[name] for name in ("job", "revision", "attachment", "customer", "book", "link", "reminder"))
    tried = 0
    for door in doors(app):
        if skipped(door):
            continue
        for values in fillings(door, ids):
            headers = {"x-form-token": other.token()} if door.unsafe else {}
            more = body_of(app, door) if door.unsafe else {}
            answer = other.request(door.method, door.at(values), headers=headers, follow_redirects=False, **more)
            tried += 1
            assert answer.status_code < 500, (door, answer.text)
            assert not leaks(answer.text), (door, values)
            if {"job"} & set(door.names) or door.path.startswith(("/jobs/{id}", "/api/v1/jobs/{id}")):
                assert answer.status_code in {404, 405, 422}, (door, answer.status_code)
    assert of_firm(kept(app), ids["firm"]) == before
    assert tried > 120


def test_the_firm_itself_does_reach_it(app: FastAPI, ids: dict[str, str]) -> None:
    """Else the test before would prove nothing."""
    from tests.office.visitors import known_hash

    people.change_person(app.state.store, ids["firm"], ids["person"], password_hash=known_hash())
    own = entered(app, "ash@example.org")
    shown = [
        door.path
        for door in doors(app)
        if door.method == "GET" and not roles.is_open(door.path)
        for values in fillings(door, ids)
        if leaks(own.get(door.at(values), follow_redirects=False).text)
    ]
    assert len(set(shown)) >= 12, shown
    assert {"/api/v1/jobs/{job}/document", "/api/v1/jobs", "/api/v1/customers"} <= set(shown)


def test_a_crew_changes_nothing_but_what_it_measures(app: FastAPI, ids: dict[str, str]) -> None:
    hand = entered(app, "crew@example.org")
    token = hand.token()
    refused = 0
    for door in doors(app):
        values = next(fillings(door, ids))
        path = door.at(values)
        act = roles.needed(door.method, path)
        if roles.is_open(path) or act in roles.MAY["crew"]:
            continue
        more = body_of(app, door) if door.unsafe else {}
        answer = hand.request(door.method, path, headers={"x-form-token": token}, follow_redirects=False, **more)
        assert answer.status_code == 403, door
        refused += 1
    assert refused > 30


@pytest.mark.parametrize(
    "headers",
    [
        {}, {"x-form-token": "y" * 43}, {"x-form-token": "{token}", "origin": "https://elsewhere.example"},
        {"x-form-token": "{token}", "origin": "null"}, {"x-form-token": "{token}", "sec-fetch-site": "cross-site"},
        {"x-form-token": "{token}", "origin": "http://127.0.0.1:9999"},
    ],
)  # fmt: skip
def test_a_forged_request_does_nothing_by_any_door(app: FastAPI, ids: dict[str, str], headers: dict[str, str]) -> None:
    boss = entered(app, "owner@example.org")
    token = boss.token()
    given = {name: value.replace("{token}", token) for name, value in headers.items()}
    before = kept(app)
    for door in doors(app):
        if door.unsafe:
            more = body_of(app, door)
            answer = boss.request(door.method, door.at(next(fillings(door, ids))), headers=given, **more)
            assert answer.status_code == 403, door
    assert kept(app) == before


def test_a_page_elsewhere_gets_no_leave_to_ask(app: FastAPI) -> None:
    answer = browser(app).options(
        "/api/v1/jobs", headers={"origin": "https://elsewhere.example", "access-control-request-method": "POST"}
    )
    assert not [name for name in answer.headers if name.startswith("access-control-")]


def test_links_that_ran_out_or_were_taken_back_show_nothing(app: FastAPI, ids: dict[str, str]) -> None:
    from drainwright.office.store import links

    store = app.state.store
    _, late = links.make_link(store, ids["firm"], ids["job"], "offer", datetime.timedelta(0), "Ash")
    taken, back = links.make_link(store, ids["firm"], ids["job"], "offer", datetime.timedelta(days=1), "Ash")
    links.take_back(store, ids["firm"], taken.id, "Ash")
    for door in doors(app):
        if door.path.startswith("/c/"):
            for token in (late, back, "never"):
                values = {**next(fillings(door, ids)), "token": token}
                guest = browser(app)
                more = body_of(app, door) if door.unsafe else {}
                headers = {"x-form-token": guest.token()} if door.unsafe else {}
                answer = guest.request(door.method, door.at(values), headers=headers, **more)
                assert answer.status_code in {404, 410}, door
                assert not leaks(answer.text)
