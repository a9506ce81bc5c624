"""The people of a firm, their sessions, and its customers."""

from __future__ import annotations

import datetime
import secrets
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from drainwright.office.store.editing import sha256
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.holding import own, plain
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Customer, Person, SignIn, record_of
from drainwright.office.store.tables import CustomerRow, FirmRow, PersonRow, SessionRow, TokenRow, new_id, now

OWNER = "owner"
_LOCK = 0x44574F57  # of all that give a PostgreSQL store its first owner


def needs_owner(store: Store) -> bool:
    """Whether nobody can sign in yet."""
    with store.reading() as session:
        return session.scalar(_with_password()) is None


def first_owner(store: Store, firm: str, name: str, email: str, password_hash: str) -> Person:
    """The first who can sign in: the owner of a new firm, or of the one that was kept here without a password.

    Parameters
    ----------
    store : Store
        Where nobody can sign in yet.
    firm : str
        The firm's name.
    name, email : str
        The owner's.
    password_hash : str
        As ``office.people.passwords`` makes it.

    Returns
    -------
    Person
        The owner.

    Raises
    ------
    StoreError
        If somebody can sign in already, or a text is no plain text.
    """
    firm, name, email = plain("firm", firm, 200, 1), plain("name", name, 200, 1), plain("email", email.lower(), 254, 3)
    with store.writing() as session:
        if not store.is_file:
            session.execute(sa.text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        if session.scalar(_with_password()) is not None:
            raise StoreError("store: found people who can sign in; expected an owner to invite you")
        house = session.scalar(sa.select(FirmRow).order_by(FirmRow.created, FirmRow.id)) or FirmRow(id=new_id())
        house.name = firm
        session.add(house)
        session.flush()
        here = sa.select(PersonRow).where(PersonRow.firm == house.id).order_by(PersonRow.created, PersonRow.id)
        row = session.scalar(here) or PersonRow(firm=house.id, active=True)
        row.name, row.email, row.role, row.password_hash = name, email, OWNER, password_hash
        session.add(row)
        session.flush()
        return record_of(Person, row)


def _with_password() -> sa.Select[str]:
    return sa.select(PersonRow.id).where(PersonRow.password_hash != "").limit(1)


def add_person(store: Store, firm: str, name: str, email: str, role: str, password_hash: str) -> Person:
    """A new person of a firm.

    Raises
    ------
    NotThereError
        If there is no such firm.
    StoreError
        If somebody has this email already, or a text is no plain text.
    """
    row = PersonRow(
        firm=firm, name=plain("name", name, 200, 1), email=plain("email", email.lower(), 254, 3),
        role=plain("role", role, 40, 1), password_hash=password_hash,
    )  # fmt: skip
    try:
        with store.writing() as session:
            if session.get(FirmRow, firm) is None:
                raise NotThereError("firm", firm)
            session.add(row)
            session.flush()
            return record_of(Person, row)
    except IntegrityError:
        raise StoreError("email: found one that somebody has already; expected another") from None


def people(store: Store, firm: str) -> tuple[Person, ...]:
    """All people of a firm, by name."""
    with store.reading() as session:
        rows = session.scalars(
            sa.select(PersonRow).where(PersonRow.firm == firm).order_by(PersonRow.name, PersonRow.id)
        )
        return tuple(record_of(Person, row) for row in rows)


def person(store: Store, firm: str, id: str) -> Person:
    """One person of the firm.

    Raises
    ------
    NotThereError
        If the firm has nobody of this id.
    """
    with store.reading() as session:
        return record_of(Person, own(session, PersonRow, firm, id, "person"))


def person_by_email(store: Store, email: str) -> Person | None:
    """Who signs in by this email, whichever the firm; None if nobody does.

    Like ``session_of``, ``links.link_of`` and ``links.link_ever`` it asks for no firm: it is how the firm is found out.
    """
    with store.reading() as session:
        row = session.scalar(sa.select(PersonRow).where(PersonRow.email == email.strip().lower()))
        return None if row is None else record_of(Person, row)


def change_person(store: Store, firm: str, id: str, **changes: Any) -> Person:
    """A person with another name, role, password hash or language, or no longer active.

    With another password or no longer active, all their sessions end and their tokens are taken back.

    Raises
    ------
    NotThereError
        If the firm has nobody of this id.
    StoreError
        If something else is to be changed, or the firm would have no owner.
    """
    known = {"name", "role", "password_hash", "active", "language"}
    if not set(changes) <= known:
        raise StoreError(
            f"person: found {', '.join(sorted(set(changes) - known))}; expected {', '.join(sorted(known))}"
        )
    with store.writing() as session:
        session.scalar(sa.select(FirmRow).where(FirmRow.id == firm).with_for_update())  # of two owners one stays
        row = own(session, PersonRow, firm, id, "person")
        owned = row.active and row.role == OWNER
        for key, value in changes.items():
            setattr(
                row, key, value if key in ("active", "password_hash") else plain(key, value, 200, key != "language")
            )
        if "password_hash" in changes or not row.active:
            _end_all(session, firm, id)
        session.flush()
        owners = sa.select(PersonRow.id).where(PersonRow.firm == firm, PersonRow.role == OWNER, PersonRow.active)
        if owned and session.scalar(owners) is None:
            raise StoreError(f"person: found {row.name} as the only owner; expected one who stays")
        return record_of(Person, row)


def rehash(store: Store, firm: str, id: str, old: str, new: str) -> Person:
    """The same password hashed at higher costs, unless it was changed meanwhile; sessions go on.

    Raises
    ------
    NotThereError
        If the firm has nobody of this id.
    """
    with store.writing() as session:
        row = own(session, PersonRow, firm, id, "person")
        if row.password_hash == old:
            row.password_hash = new
            session.flush()
        return record_of(Person, row)


def begin_session(store: Store, firm: str, person: str, lasts: datetime.timedelta) -> tuple[SignIn, str]:
    """A new session and its token, which is told this once and kept nowhere.

    Raises
    ------
    NotThereError
        If the firm has nobody of this id.
    """
    token = secrets.token_urlsafe(32)
    with store.writing() as session:
        own(session, PersonRow, firm, person, "person")
        row = SessionRow(firm=firm, person=person, token_hash=sha256(token), expires=now() + lasts)
        session.add(row)
        session.flush()
        return record_of(SignIn, row), token


def session_of(store: Store, token: str) -> tuple[SignIn, Person] | None:
    """The session of a token and whose it is; None if it has ended, or its person is no longer active."""
    with store.reading() as session:
        row = session.scalar(sa.select(SessionRow).where(SessionRow.token_hash == sha256(token)))
        if row is None or row.revoked is not None or row.expires <= now():
            return None
        found = own(session, PersonRow, row.firm, row.person, "person")
        return (record_of(SignIn, row), record_of(Person, found)) if found.active else None


def lengthen(store: Store, firm: str, id: str, until: datetime.datetime) -> None:
    """Let a session last until a later time.

    Raises
    ------
    NotThereError
        If the firm has none of this id.
    """
    with store.writing() as session:
        row = own(session, SessionRow, firm, id, "session")
        row.expires = max(row.expires, until)


def end_sessions(store: Store, firm: str, person: str) -> None:
    """End all sessions of a person, and take all tokens of their programs back.

    Raises
    ------
    NotThereError
        If the firm has nobody of this id.
    """
    with store.writing() as session:
        own(session, PersonRow, firm, person, "person")
        _end_all(session, firm, person)


def _end_all(session: Session, firm: str, person: str) -> None:
    for table in (SessionRow, TokenRow):
        standing = sa.update(table).where(table.firm == firm, table.person == person, table.revoked.is_(None))
        session.execute(standing.values(revoked=now()))


def end_session(store: Store, firm: str, id: str) -> None:
    """End a session.

    Raises
    ------
    NotThereError
        If the firm has none of this id.
    """
    with store.writing() as session:
        row = own(session, SessionRow, firm, id, "session")
        row.revoked = row.revoked or now()


def add_customer(
    store: Store, firm: str, name: str, address: str = "", phone: str = "", email: str = "", note: str = ""
) -> Customer:
    """A new customer of a firm.

    Raises
    ------
    NotThereError
        If there is no such firm.
    StoreError
        If a text is no plain text, or too long.
    """
    row = CustomerRow(
        firm=firm, name=plain("name", name, 200, 1), address=plain("address", address), phone=plain("phone", phone, 60),
        email=plain("email", email, 254), note=plain("note", note, 4000),
    )  # fmt: skip
    with store.writing() as session:
        if session.get(FirmRow, firm) is None:
            raise NotThereError("firm", firm)
        session.add(row)
        session.flush()
        return record_of(Customer, row)


def customers(store: Store, firm: str, words: str = "", *, archived: bool = False) -> tuple[Customer, ...]:
    """The firm's customers by name, with all of the words in name, address, phone or email."""
    query = sa.select(CustomerRow).where(CustomerRow.firm == firm, CustomerRow.archived == archived)
    wanted = words.lower().split()
    with store.reading() as session:
        rows = session.scalars(query.order_by(CustomerRow.name, CustomerRow.id))
        told = ((row, f"{row.name} {row.address} {row.phone} {row.email}".lower()) for row in rows)
        return tuple(record_of(Customer, row) for row, text in told if all(word in text for word in wanted))


def change_customer(store: Store, firm: str, id: str, **changes: Any) -> Customer:
    """A customer with another name, address, phone, email or note, or laid away (``archived``).

    Raises
    ------
    NotThereError
        If the firm has none of this id.
    StoreError
        If something else is to be changed, or a text is no plain text.
    """
    known = {"name", "address", "phone", "email", "note", "archived"}
    if not set(changes) <= known:
        raise StoreError(
            f"customer: found {', '.join(sorted(set(changes) - known))}; expected {', '.join(sorted(known))}"
        )
    with store.writing() as session:
        row = own(session, CustomerRow, firm, id, "customer")
        for key, value in changes.items():
            setattr(row, key, bool(value) if key == "archived" else plain(key, value, 4000, int(key == "name")))
        session.flush()
        return record_of(Customer, row)


__all__ = [
    "OWNER", "add_customer", "add_person", "begin_session", "change_customer", "change_person", "customers",
    "end_session", "end_sessions", "first_owner", "lengthen", "needs_owner", "people", "person", "person_by_email",
    "rehash", "session_of",
]  # fmt: skip
