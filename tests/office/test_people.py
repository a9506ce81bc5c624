"""People come in and go out: first owner, sign-in, invitations, roles, passwords, tokens; and what is refused."""

from __future__ import annotations

import datetime
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI

from drainwright.errors import InputError
from drainwright.office.people import passwords, roles, signing
from drainwright.office.store import entering, people
from drainwright.office.store.tables import SessionRow, now
from tests.office.visitors import PASSWORD, PEOPLE, browser, office, staffed

CODE = "stone-fabric-pipe"


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashing costs little here; what it costs elsewhere is the library's own choice."""
    monkeypatch.setattr(passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=4096, parallelism=1))


@pytest.fixture
def app(tmp_path: Path) -> Iterator[FastAPI]:
    with office(tmp_path, first_code=CODE) as made:
        yield made


@pytest.fixture
def firm(app: FastAPI) -> str:
    return staffed(app)


# The first owner


def first(**typed: str) -> dict[str, str]:
    whole = {"code": CODE, "firm": "Example Drainage Company", "name": "Ash", "email": "ash@example.org"}
    return {**whole, "password": PASSWORD, **typed}


def test_the_first_owner_comes_in_by_the_code_of_whoever_started_the_office(app: FastAPI) -> None:
    guest = browser(app)
    assert guest.get("/", headers=PEOPLE, follow_redirects=False).headers["location"] == "/sign-in?back=/"
    assert guest.get("/sign-in", headers=PEOPLE, follow_redirects=False).headers["location"] == "/first"
    assert guest.submit("/first", data=first()).headers["location"] == "/"
    assert guest.get("/", headers=PEOPLE).status_code == 200
    assert guest.get("/first", headers=PEOPLE, follow_redirects=False).headers["location"] == "/sign-in"
    assert browser(app).submit("/first", data=first(email="b@example.org")).headers["location"] == "/sign-in"
    assert people.person_by_email(app.state.store, "b@example.org") is None


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"code": ""}, "not the code"), ({"code": "stone"}, "not the code"), ({"firm": " "}, "the name of the firm"),
        ({"name": ""}, "your name"), ({"email": "ash"}, "an email address"), ({"password": "short"}, "12 to 200"),
        ({"password": "a" * 20}, "the same few signs"), ({"password": "ash@example.org"}, "your name or email"),
    ],
)  # fmt: skip
def test_a_first_form_that_is_wrong_comes_back_filled_in(app: FastAPI, typed: dict[str, str], words: str) -> None:
    answer = browser(app).submit("/first", data=first(**typed))
    assert answer.status_code == 422
    assert words in answer.text
    assert people.needs_owner(app.state.store)
    for name, value in first(**typed).items():
        assert (f'value="{value}"' in answer.text) == (name != "password" or value == "ash@example.org")


def test_without_a_code_nobody_is_first(tmp_path: Path) -> None:
    with office(tmp_path) as app:
        assert browser(app).submit("/first", data=first(code="")).status_code == 422


def test_a_code_is_not_guessed(app: FastAPI) -> None:
    guest = browser(app)
    found = [guest.submit("/first", data=first(code=str(n), password="x")).status_code for n in range(61)]
    assert found == [422] * 60 + [429]


# Signing in and out


def test_in_and_out(app: FastAPI, firm: str) -> None:
    guest = browser(app)
    answer = guest.submit("/sign-in", data={"email": " Owner@Example.org", "password": PASSWORD, "back": "/me"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/me")
    assert "Owner" in guest.get("/me").text
    kept = guest.cookies["session"]
    assert guest.submit("/sign-out").headers["location"] == "/sign-in"
    assert "session" not in guest.cookies
    guest.cookies["session"] = kept
    assert guest.get("/me", headers=PEOPLE, follow_redirects=False).status_code == 303


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example"])
def test_sign_in_leads_nowhere_else(app: FastAPI, firm: str, back: str) -> None:
    answer = browser(app).submit("/sign-in", data={"email": "owner@example.org", "password": PASSWORD, "back": back})
    assert answer.headers["location"] == "/"


def test_a_wrong_password_and_an_unknown_email_are_refused_alike(app: FastAPI, firm: str) -> None:
    people.change_person(app.state.store, firm, by_email(app, "crew@example.org"), active=False)
    told = []
    for email in ("owner@example.org", "nobody@example.org", "crew@example.org"):
        answer = browser(app).enters(email, "wrong" if email != "crew@example.org" else PASSWORD)
        assert answer.status_code == 422
        assert "session" not in answer.cookies
        told.append(re.sub(r'value="[^"]*"|content="[^"]*"', "", answer.text))
    assert told[0] == told[1] == told[2]


def test_an_email_that_nobody_has_costs_as_much_work(monkeypatch: pytest.MonkeyPatch) -> None:
    passwords.right("warm", None)
    made: list[str] = []
    verify = passwords._HASHER.verify
    monkeypatch.setattr(
        passwords,
        "_HASHER",
        type("Counted", (), {"verify": lambda _, kept, typed: made.append(kept) or verify(kept, typed)})(),
    )
    assert not passwords.right("x", None)
    assert len(made) == 1
    assert made[0].startswith("$argon2id$")


def by_email(app: FastAPI, email: str) -> str:
    found = people.person_by_email(app.state.store, email)
    assert found is not None
    return found.id


def test_passwords_of_an_account_are_not_guessed_from_many_addresses(app: FastAPI, firm: str) -> None:
    found = [browser(app, f"10.2.0.{n}").enters("owner@example.org", "wrong") for n in range(11)]
    assert [one.status_code for one in found] == [422] * 10 + [429]
    assert 0 < int(found[-1].headers["retry-after"]) <= 900
    assert "Too many tries" in found[-1].text
    assert browser(app).enters("owner@example.org").status_code == 429  # the right one neither: it would tell
    assert browser(app).enters("crew@example.org").status_code == 303


def test_passwords_of_many_accounts_are_not_guessed_from_one_address(
    app: FastAPI, firm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(signing, "right", lambda typed, kept: False)  # the work is not what is tested
    guest = browser(app, "10.3.0.1")
    found = [guest.enters(f"a{n}@example.org", "wrong").status_code for n in range(61)]
    assert found == [422] * 60 + [429]
    assert browser(app, "10.3.0.2").enters("a1@example.org", "wrong").status_code == 422


def test_an_address_of_ipv6_is_a_household() -> None:
    assert signing.network("2001:db8:1:2:3:4:5:6") == signing.network("2001:db8:1:2::9") == "2001:db8:1:2::/64"
    assert signing.network("10.0.0.1") == "10.0.0.1"
    assert signing.network("testclient") == "testclient"


def test_a_right_password_clears_the_count(app: FastAPI, firm: str) -> None:
    for _ in range(3):
        for _ in range(6):
            browser(app).enters("owner@example.org", "wrong")
        assert browser(app).enters("owner@example.org").status_code == 303


def test_a_session_is_new_at_sign_in_and_the_old_one_ends(app: FastAPI, firm: str) -> None:
    guest = browser(app)
    guest.cookies.set("session", "planted-by-somebody-else", domain="127.0.0.1", path="/")
    before = guest.token()
    guest.enters("crew@example.org")
    first_one = guest.cookies["session"]
    assert first_one != "planted-by-somebody-else"
    assert guest.token() != before
    guest.enters("owner@example.org")
    assert guest.cookies["session"] != first_one
    assert people.session_of(app.state.store, first_one) is None


@pytest.mark.parametrize("secure", [False, True])
def test_the_cookie_of_a_session_is_for_our_pages_alone(tmp_path: Path, secure: bool) -> None:
    with office(tmp_path, secure=secure) as app:
        staffed(app)
        answer = browser(app).enters("owner@example.org")
        found = [line for line in answer.headers.get_list("set-cookie") if "session=" in line]
        assert len(found) == 1
        assert found[0].startswith("__Host-session=" if secure else "session=")
        flags = set(found[0].split("; ")[1:])
        assert {"HttpOnly", "SameSite=lax", "Path=/"} <= flags
        assert ("Secure" in flags) == secure
        assert not any(flag.startswith("Domain") for flag in flags)


def test_a_session_in_use_lasts_longer_up_to_its_end(app: FastAPI, firm: str) -> None:
    store = app.state.store
    one = by_email(app, "owner@example.org")
    made, token = people.begin_session(store, firm, one, datetime.timedelta(days=1))
    found = signing.session_in_use(store, token)
    assert found is not None
    longer = people.session_of(store, token)
    assert longer is not None
    assert longer[0].expires - made.created > datetime.timedelta(days=13)
    with store.writing() as session:
        row = session.get(SessionRow, {"firm": firm, "id": made.id})
        row.created = now() - signing.LONGEST + datetime.timedelta(hours=5)
        row.expires = now() + datetime.timedelta(hours=1)
    signing.session_in_use(store, token)
    last = people.session_of(store, token)
    assert last is not None
    assert last[0].expires - now() < datetime.timedelta(hours=5, minutes=1)


def test_a_password_of_lower_costs_is_hashed_anew_at_sign_in(app: FastAPI, firm: str) -> None:
    cheap = PasswordHasher(time_cost=1, memory_cost=1024, parallelism=1).hash(PASSWORD)
    one = by_email(app, "owner@example.org")
    people.change_person(app.state.store, firm, one, password_hash=cheap)
    assert browser(app).enters("owner@example.org").status_code == 303
    kept = people.person(app.state.store, firm, one).password_hash
    assert kept != cheap
    assert not passwords.outdated(kept)
    assert passwords.right(PASSWORD, kept)


def test_odd_hashes_and_long_passwords_let_nobody_in() -> None:
    assert not passwords.right("", "")
    assert not passwords.right("x", "plain text")
    begun = time.monotonic()
    assert not passwords.right("x" * 1_000_000, None)
    assert time.monotonic() - begun < 60
    with pytest.raises(InputError, match="12 to 200"):
        passwords.checked("x" * 201)


# Invitations, roles, one's own page


def test_an_invited_person_comes_in_with_the_role_that_was_given(app: FastAPI, firm: str) -> None:
    boss = browser(app)
    boss.enters("owner@example.org")
    told = boss.submit("/firm/people", data={"email": "birch@example.org", "role": "crew"}).text
    link = re.search(r"http://127\.0\.0\.1:8321(/invitation/[\w-]+)", told)
    assert link is not None
    guest = browser(app)
    assert "birch@example.org" in guest.get(link[1]).text
    assert guest.submit(link[1], data={"name": "Birch", "password": "short"}).status_code == 422
    assert guest.submit(link[1], data={"name": "Birch", "password": PASSWORD, "role": "owner"}).status_code == 303
    assert "Birch" in guest.get("/me").text
    assert guest.get("/firm/people", headers=PEOPLE).status_code == 403
    assert browser(app).get(link[1]).status_code == 410
    assert browser(app).submit(link[1], data={"name": "B", "password": PASSWORD}).status_code == 410


def test_an_invitation_taken_back_lets_nobody_in(app: FastAPI, firm: str) -> None:
    made, token = entering.invite(app.state.store, firm, "b@example.org", "crew", datetime.timedelta(days=1), "Ash")
    boss = browser(app)
    boss.enters("owner@example.org")
    assert boss.submit(f"/firm/invitations/{made.id}/take-back").status_code == 303
    assert browser(app).submit(f"/invitation/{token}", data={"name": "B", "password": PASSWORD}).status_code == 410


def test_a_role_changes_at_once(app: FastAPI, firm: str) -> None:
    boss, hand = browser(app), browser(app)
    boss.enters("owner@example.org")
    hand.enters("estimator@example.org")
    one = by_email(app, "estimator@example.org")
    assert hand.get("/firm/people", headers=PEOPLE).status_code == 403
    boss.submit(f"/firm/people/{one}", data={"role": "owner"})
    assert hand.get("/firm/people", headers=PEOPLE).status_code == 200
    boss.submit(f"/firm/people/{one}", data={"active": "no"})
    assert hand.get("/firm/people", headers=PEOPLE, follow_redirects=False).status_code == 303
    assert boss.submit(f"/firm/people/{by_email(app, 'owner@example.org')}", data={"active": "no"}).status_code == 422
    assert boss.submit(f"/firm/people/{one}", data={"role": "king"}).status_code == 422


def test_another_password_ends_all_other_sessions(app: FastAPI, firm: str) -> None:
    here, there = browser(app), browser(app)
    for one in (here, there):
        one.enters("crew@example.org")
    assert here.submit("/me/password", data={"old": "wrong", "password": "a new one, four words"}).status_code == 422
    assert here.submit("/me/password", data={"old": PASSWORD, "password": "short"}).status_code == 422
    assert here.submit("/me/password", data={"old": PASSWORD, "password": "a new one, four words"}).status_code == 303
    assert here.get("/me", headers=PEOPLE, follow_redirects=False).status_code == 200
    assert there.get("/me", headers=PEOPLE, follow_redirects=False).status_code == 303
    assert browser(app).enters("crew@example.org", "a new one, four words").status_code == 303


def test_sign_out_everywhere(app: FastAPI, firm: str) -> None:
    here, there = browser(app), browser(app)
    for one in (here, there):
        one.enters("crew@example.org")
    assert here.submit("/me/everywhere").status_code == 303
    for one in (here, there):
        assert one.get("/me", headers=PEOPLE, follow_redirects=False).status_code == 303


def test_the_old_password_is_not_guessed_by_a_borrowed_session(app: FastAPI, firm: str) -> None:
    guest = browser(app)
    guest.enters("crew@example.org")
    found = [guest.submit("/me/password", data={"old": "x", "password": PASSWORD}).status_code for _ in range(11)]
    assert found == [422] * 10 + [429]


def test_a_program_comes_by_its_token(app: FastAPI, firm: str) -> None:
    boss = browser(app)
    boss.enters("owner@example.org")
    told = boss.submit("/me/tokens", data={"name": "sheet", "scope": "read", "days": "30"}).text
    token = re.search(r'<code class="long">([\w-]+)</code>', told)
    assert token is not None
    assert token[1] not in boss.get("/me").text
    program = browser(app)
    shown = {"authorization": f"Bearer {token[1]}"}
    assert program.get("/", headers=shown).status_code == 200
    for path in ("/firm/people", "/me"):
        assert program.get(path, headers=shown).status_code == 403
    assert program.post("/firm/people", headers=shown).status_code == 403
    assert program.get("/", headers={"authorization": "Bearer x"}).status_code == 401
    assert program.post("/theme", headers={"authorization": "Bearer x"}, data={"theme": "dark"}).status_code == 401
    assert boss.submit("/me/tokens", data={"name": "sheet", "scope": "read", "days": "9999"}).status_code == 422


def test_a_token_that_does_not_stand_is_not_helped_by_a_session(app: FastAPI, firm: str) -> None:
    boss = browser(app)
    boss.enters("owner@example.org")
    assert boss.get("/me", headers={"authorization": "Bearer x"}).status_code == 401


# The table of roles


@pytest.mark.parametrize(
    ("method", "path", "who"),
    [
        ("GET", "/", "owner estimator crew"),
        ("GET", "/jobs/1/price", "owner estimator"),
        ("GET", "/api/v1/jobs/1/results", "owner estimator"),
        ("POST", "/api/v1/jobs/1/what-if", "owner estimator"),
        ("PUT", "/api/v1/jobs/1/hours", "owner estimator crew"),
        ("GET", "/api/v1/jobs/1/hours/compared", "owner estimator"),
        ("GET", "/jobs/1/dig", "owner estimator crew"),
        ("GET", "/firm/learn/1", "owner estimator"),
        ("POST", "/api/v1/jobs/1/operations", "owner estimator crew"),
        ("POST", "/api/v1/jobs/1/attachments", "owner estimator crew"),
        ("POST", "/jobs/1/yard/photos", "owner estimator crew"),
        ("POST", "/jobs/1/text", "owner estimator"),
        ("PUT", "/api/v1/jobs/1/document", "owner estimator"),
        ("POST", "/jobs/new", "owner estimator"),
        ("POST", "/api/v1/jobs/1/yardage/../document", "owner estimator"),
        ("GET", "/firm/book", "owner estimator"),
        ("POST", "/api/v1/books", "owner estimator"),
        ("POST", "/firm/settings", "owner"),
        ("GET", "/firm/people", "owner"),
        ("POST", "/api/v1/firm/people", "owner"),
        ("GET", "/firm/backup", "owner"),
        ("POST", "/something/new/that/nobody/thought/of", "owner estimator"),
        ("GET", "/jobs/1/price\n", "owner"),  # a rule of its own: it was read as nothing, and broke
    ],
)
def test_who_may_what(method: str, path: str, who: str) -> None:
    act = roles.needed(method, path)
    assert [role for role in (*roles.MAY, "king", "") if roles.may(role, act)] == who.split()


def test_a_crew_writes_what_it_measures_and_no_prices() -> None:
    for path in ("survey.level_book[TP1].foresight", "house", "trees[+]", "notes"):
        assert roles.may_write("crew", path)
    for path in ("offer.options", "price_book", "works.pump", "firm.name", "", "surveys", "king"):
        assert not roles.may_write("crew", path)
        assert roles.may_write("estimator", path)
        assert not roles.may_write("king", path)
