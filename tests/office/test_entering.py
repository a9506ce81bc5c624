"""The first owner, invitations, tokens of programs, sessions that last longer, and counts of tries."""

from __future__ import annotations

import datetime
import threading

import pytest

from drainwright.office.store import entering, limits, people
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.jobs import add_firm, firms
from drainwright.office.store.opening import Store, open_store

HOUR = datetime.timedelta(hours=1)
AT_ONCE = datetime.timedelta(0)


def owner(store: Store) -> people.Person:
    return people.first_owner(store, "Example Drainage Company", "Ash", "ash@example.org", "hash")


def test_a_store_gets_one_first_owner_and_no_second_one(store: Store) -> None:
    assert people.needs_owner(store)
    first = owner(store)
    assert not people.needs_owner(store)
    assert [(one.name, one.role) for one in people.people(store, first.firm)] == [("Ash", "owner")]
    with pytest.raises(StoreError, match="people who can sign in"):
        people.first_owner(store, "Other", "Birch", "birch@example.org", "hash")
    assert [firm.name for firm in firms(store)] == ["Example Drainage Company"]


def test_many_who_come_first_at_once_make_one_owner(url: str, store: Store) -> None:
    made: list[str] = []
    refused: list[str] = []

    def come(number: int) -> None:
        mine = open_store(url)
        try:
            made.append(people.first_owner(mine, "Firm", f"N{number}", f"n{number}@example.org", "hash").id)
        except StoreError as error:
            refused.append(str(error))
        finally:
            mine.close()

    threads = [threading.Thread(target=come, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(made), len(refused)) == (1, 5)


def test_the_jobs_of_one_person_s_own_store_stay_theirs_with_a_password(store: Store) -> None:
    firm = add_firm(store, "My firm")
    alone = people.add_person(store, firm.id, "Owner", "owner@localhost", "owner", "")
    now = owner(store)
    assert (now.id, now.firm, now.email) == (alone.id, firm.id, "ash@example.org")
    assert [one.name for one in firms(store)] == ["Example Drainage Company"]


def test_a_firm_keeps_an_owner(store: Store) -> None:
    first = owner(store)
    for change in ({"role": "crew"}, {"active": False}):
        with pytest.raises(StoreError, match="the only owner"):
            people.change_person(store, first.firm, first.id, **change)
    people.add_person(store, first.firm, "Birch", "birch@example.org", "owner", "hash")
    assert people.change_person(store, first.firm, first.id, role="crew").role == "crew"


def test_an_invitation_lets_in_once(store: Store) -> None:
    first = owner(store)
    made, token = entering.invite(store, first.firm, " Birch@Example.org", "crew", HOUR, "Ash")
    assert token not in repr(made)
    assert entering.invitation_of(store, token) == made
    assert entering.invitations(store, first.firm) == (made,)
    one = entering.take_up(store, token, "Birch", "hash")
    assert one is not None
    assert (one.firm, one.email, one.role) == (first.firm, "birch@example.org", "crew")
    assert entering.take_up(store, token, "Birch", "hash") is None
    assert entering.invitation_of(store, token) is None
    assert entering.invitations(store, first.firm) == ()
    with pytest.raises(StoreError, match="somebody has already"):
        entering.invite(store, first.firm, "birch@example.org", "crew", HOUR, "Ash")


def test_an_invitation_that_ran_out_or_was_taken_back_lets_nobody_in(store: Store) -> None:
    first = owner(store)
    _, late = entering.invite(store, first.firm, "a@example.org", "crew", AT_ONCE, "Ash")
    taken, back = entering.invite(store, first.firm, "b@example.org", "crew", HOUR, "Ash")
    entering.take_invitation_back(store, first.firm, taken.id)
    assert [entering.take_up(store, token, "X", "hash") for token in (late, back, "", "never")] == [None] * 4


def test_a_token_leads_to_its_person_until_it_is_taken_back(store: Store) -> None:
    first = owner(store)
    made, token = entering.give_token(store, first.firm, first.id, "spreadsheet", "read", HOUR)
    found = entering.token_of(store, token)
    assert found is not None
    assert found == (made, first)
    entering.take_token_back(store, first.firm, first.id, made.id)
    assert entering.token_of(store, token) is None
    _, late = entering.give_token(store, first.firm, first.id, "late", "read", AT_ONCE)
    assert entering.token_of(store, late) is None
    with pytest.raises(StoreError, match="scope"):
        entering.give_token(store, first.firm, first.id, "x", "everything", HOUR)


def test_nobody_takes_back_the_token_of_another(store: Store) -> None:
    first = owner(store)
    other = people.add_person(store, first.firm, "Birch", "birch@example.org", "crew", "hash")
    made, token = entering.give_token(store, first.firm, first.id, "x", "write", HOUR)
    with pytest.raises(NotThereError):
        entering.take_token_back(store, first.firm, other.id, made.id)
    assert entering.token_of(store, token) is not None


@pytest.mark.parametrize("how", ["everywhere", "password", "inactive"])
def test_sessions_and_tokens_end_together(store: Store, how: str) -> None:
    first = owner(store)
    people.add_person(store, first.firm, "Birch", "birch@example.org", "owner", "hash")
    _, session = people.begin_session(store, first.firm, first.id, HOUR)
    _, token = entering.give_token(store, first.firm, first.id, "x", "write", HOUR)
    if how == "everywhere":
        people.end_sessions(store, first.firm, first.id)
    else:
        change = {"password_hash": "other"} if how == "password" else {"active": False}
        people.change_person(store, first.firm, first.id, **change)
    assert people.session_of(store, session) is None
    assert entering.token_of(store, token) is None


def test_a_session_lasts_longer_but_never_shorter(store: Store) -> None:
    first = owner(store)
    made, token = people.begin_session(store, first.firm, first.id, HOUR)
    people.lengthen(store, first.firm, made.id, made.expires + HOUR)
    people.lengthen(store, first.firm, made.id, made.expires)
    found = people.session_of(store, token)
    assert found is not None
    assert found[0].expires == made.expires + HOUR


def test_tries_are_counted_by_all_who_use_the_store(url: str, store: Store) -> None:
    other = open_store(url)
    waits = [limits.tried(one, "sign in: ash", 3, HOUR) for one in (store, other, store, other)]
    assert waits[:3] == [0, 0, 0]
    assert 3590 <= waits[3] <= 3600
    assert limits.tried(other, "sign in: birch", 3, HOUR) == 0
    limits.forget(other, "sign in: ash")
    assert limits.tried(store, "sign in: ash", 3, HOUR) == 0
    other.close()


def test_counting_begins_anew_when_its_time_is_over(store: Store) -> None:
    assert [limits.tried(store, "x", 1, AT_ONCE) for _ in range(3)] == [0, 0, 0]


def test_no_try_is_lost_where_many_count_at_once(url: str, store: Store) -> None:
    waits: list[int] = []

    def count() -> None:
        mine = open_store(url)
        waits.extend(limits.tried(mine, "x", 20, HOUR) for _ in range(10))
        mine.close()

    threads = [threading.Thread(target=count) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(waits) == 40
    assert waits.count(0) == 20
