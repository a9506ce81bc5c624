"""Ways in: invitations into a firm, and tokens that programs show for a person."""

from __future__ import annotations

import datetime
import secrets

import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from drainwright.office.store.editing import sha256
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.holding import own, plain
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Invitation, Person, Token, record_of
from drainwright.office.store.tables import FirmRow, InvitationRow, PersonRow, TokenRow, now

SCOPES = ("read", "write")
MOST_TOKENS = 50  # of one person that stand
TAKEN = "email: found one that somebody has already; expected another"


def invite(
    store: Store, firm: str, email: str, role: str, lasts: datetime.timedelta, who: str
) -> tuple[Invitation, str]:
    """A new invitation and its token, which is told this once and kept nowhere.

    Raises
    ------
    NotThereError
        If there is no such firm.
    StoreError
        If somebody has this email already, or a text is no plain text.
    """
    token = secrets.token_urlsafe(32)
    email = plain("email", email.strip().lower(), 254, 3)
    with store.writing() as session:
        if session.get(FirmRow, firm) is None:
            raise NotThereError("firm", firm)
        if session.scalar(sa.select(PersonRow.id).where(PersonRow.email == email)) is not None:
            raise StoreError(TAKEN)
        row = InvitationRow(
            firm=firm, email=email, role=plain("role", role, 40, 1), token_hash=sha256(token),
            who=plain("who", who, 200), expires=now() + lasts,
        )  # fmt: skip
        session.add(row)
        session.flush()
        return record_of(Invitation, row), token


def invitations(store: Store, firm: str) -> tuple[Invitation, ...]:
    """The firm's invitations that stand, the newest first."""
    with store.reading() as session:
        of_firm = sa.select(InvitationRow).where(InvitationRow.firm == firm, InvitationRow.expires > now())
        open_yet = of_firm.where(InvitationRow.revoked.is_(None), InvitationRow.used.is_(None))
        rows = session.scalars(open_yet.order_by(InvitationRow.created.desc(), InvitationRow.id))
        return tuple(record_of(Invitation, row) for row in rows)


def invitation_of(store: Store, token: str) -> Invitation | None:
    """The invitation of a token, if it stands; it is how the firm is found out."""
    with store.reading() as session:
        row = session.scalar(sa.select(InvitationRow).where(InvitationRow.token_hash == sha256(token)))
        found = None if row is None else record_of(Invitation, row)
        return found if found is not None and found.stands(now()) else None


def take_up(store: Store, token: str, name: str, password_hash: str) -> Person | None:
    """Somebody comes in by an invitation, which is then used up; None if it does not stand.

    Raises
    ------
    StoreError
        If somebody has the email meanwhile, or the name is no plain text.
    """
    name = plain("name", name, 200, 1)
    try:
        with store.writing() as session:
            by_token = sa.select(InvitationRow).where(InvitationRow.token_hash == sha256(token)).with_for_update()
            row = session.scalar(by_token)
            if row is None or not record_of(Invitation, row).stands(now()):
                return None
            row.used = now()
            made = PersonRow(firm=row.firm, name=name, email=row.email, role=row.role, password_hash=password_hash)
            session.add(made)
            session.flush()
            return record_of(Person, made)
    except IntegrityError:
        raise StoreError(TAKEN) from None


def take_invitation_back(store: Store, firm: str, id: str) -> None:
    """An invitation that lets nobody in from now on.

    Raises
    ------
    NotThereError
        If the firm has none of this id.
    """
    with store.writing() as session:
        row = own(session, InvitationRow, firm, id, "invitation")
        row.revoked = row.revoked or now()


def give_token(
    store: Store, firm: str, person: str, name: str, scope: str, lasts: datetime.timedelta
) -> tuple[Token, str]:
    """A new token for a person's programs, which is told this once and kept nowhere.

    Raises
    ------
    NotThereError
        If the firm has nobody of this id.
    StoreError
        If there is no such scope, the person has too many, or the name is no plain text.
    """
    if scope not in SCOPES:
        raise StoreError(f"scope: found {scope!r}; expected one of {', '.join(SCOPES)}")
    token = secrets.token_urlsafe(32)
    with store.writing() as session:
        own(session, PersonRow, firm, person, "person")
        standing = sa.select(sa.func.count()).where(TokenRow.firm == firm, TokenRow.person == person)
        many = session.scalar(standing.where(TokenRow.revoked.is_(None), TokenRow.expires > now())) or 0
        if many >= MOST_TOKENS:
            raise StoreError(f"tokens: found {many} of this person; expected at most {MOST_TOKENS}")
        row = TokenRow(
            firm=firm, person=person, name=plain("name", name, 200, 1), scope=scope, token_hash=sha256(token),
            expires=now() + lasts,
        )  # fmt: skip
        session.add(row)
        session.flush()
        return record_of(Token, row), token


def tokens(store: Store, firm: str, person: str) -> tuple[Token, ...]:
    """A person's tokens that stand, the newest first."""
    with store.reading() as session:
        of_person = sa.select(TokenRow).where(TokenRow.firm == firm, TokenRow.person == person)
        standing = of_person.where(TokenRow.revoked.is_(None), TokenRow.expires > now())
        rows = session.scalars(standing.order_by(TokenRow.created.desc(), TokenRow.id))
        return tuple(record_of(Token, row) for row in rows)


def token_of(store: Store, token: str) -> tuple[Token, Person] | None:
    """What a token allows, and whose it is; None if it does not stand, or its person is no longer active."""
    with store.reading() as session:
        row = session.scalar(sa.select(TokenRow).where(TokenRow.token_hash == sha256(token)))
        if row is None or row.revoked is not None or row.expires <= now():
            return None
        found = own(session, PersonRow, row.firm, row.person, "person")
        return (record_of(Token, row), record_of(Person, found)) if found.active else None


def take_token_back(store: Store, firm: str, person: str, id: str) -> None:
    """A token that leads nowhere from now on.

    Raises
    ------
    NotThereError
        If the person has none of this id.
    """
    with store.writing() as session:
        row = own(session, TokenRow, firm, id, "token")
        if row.person != person:
            raise NotThereError("token", id)
        row.revoked = row.revoked or now()


__all__ = [
    "MOST_TOKENS", "SCOPES", "give_token", "invitation_of", "invitations", "invite", "take_invitation_back",
    "take_token_back", "take_up", "token_of", "tokens",
]  # fmt: skip
