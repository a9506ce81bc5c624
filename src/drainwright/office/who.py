"""Who asks: the person, and the firm whose jobs are theirs to see."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

from fastapi import Depends, HTTPException, Request

from drainwright.office.people.cookies import session_token
from drainwright.office.people.roles import is_open, may, needed
from drainwright.office.people.signing import session_in_use, too_often
from drainwright.office.store.entering import token_of
from drainwright.office.store.jobs import add_firm, firms
from drainwright.office.store.opening import Store
from drainwright.office.store.people import OWNER, add_person, people

NO_PASSWORD = ""  # of the one person at their own machine; no password has this hash


@dataclass(frozen=True, slots=True, kw_only=True)
class Who:
    """The person behind a request."""

    firm: str  # id
    person: str  # id
    name: str  # as revisions and the diary tell it
    role: str
    session: str | None = None  # id; of one who signed in
    scope: str | None = None  # of one who comes by a program's token
    language: str = ""  # that they chose for the pages of a crew

    @property
    def signed_in(self) -> bool:
        """Whether there is something to sign out of."""
        return self.session is not None


def person_here(store: Store) -> Who:
    """The one person at this machine, with their firm; made where the store is empty.

    Raises
    ------
    HTTPException
        409, where the store belongs to several or has a password: it must then be opened with sign-in.
    """
    known = firms(store)
    firm = known[0] if known else add_firm(store, "My firm")
    staff = people(store, firm.id)
    if len(known) > 1 or len(staff) > 1:
        raise HTTPException(409, "This store has several people. Open it with sign-in.")
    if staff and staff[0].password_hash != NO_PASSWORD:
        raise HTTPException(409, "This store has a password. Open it with sign-in.")
    one = staff[0] if staff else add_person(store, firm.id, "Owner", "owner@localhost", OWNER, NO_PASSWORD)
    return Who(firm=firm.id, person=one.id, name=one.name, role=one.role, language=one.language)


def who(request: Request) -> Who:
    """Whoever asks, if they may do what they ask for.

    Raises
    ------
    HTTPException
        401, where nobody has signed in; 403, where their role does not allow it.
    """
    known: Who | None = getattr(request.state, "who", None)
    if known is None:
        known = _found(request)
        request.state.who = known
    act = needed(request.method, request.scope["path"])
    if not may(known.role, act, known.scope):
        by = f"a {known.scope} token" if known.scope else f"the role {known.role}"
        raise HTTPException(403, f"It takes leave to {act}, which {by} does not give. Ask an owner of the firm.")
    return known


def let_in(request: Request) -> None:
    """Before every page that is not for everybody: whoever asks must be known, and allowed what they ask for.

    Raises
    ------
    HTTPException
        As ``who`` does.
    """
    if not request.app.state.settings.local and not is_open(request.scope["path"]):
        who(request)


def bearer(request: Request) -> str | None:
    """The token that a program shows; None where it shows none."""
    kind, _, token = request.headers.get("authorization", "").partition(" ")
    return token.strip() if kind.lower() == "bearer" else None


def _found(request: Request) -> Who:
    store = store_of(request)
    token = bearer(request)
    if token is not None:
        return _by_token(request, store, token)
    if request.app.state.settings.local:
        return person_here(store)
    found = session_in_use(store, session_token(request)) if session_token(request) else None
    if found is None:
        raise HTTPException(401, None, {"www-authenticate": "Bearer"})
    session, one = found
    return Who(firm=one.firm, person=one.id, name=one.name, role=one.role, session=session.id, language=one.language)


def _by_token(request: Request, store: Store, token: str) -> Who:
    found = token_of(store, token)
    if found is not None:
        given, one = found
        return Who(firm=one.firm, person=one.id, name=one.name, role=one.role, scope=given.scope)
    wait = too_often(store, "token", address_of(request))
    if wait:
        raise HTTPException(429, "Too many tokens that do not stand came from here.", {"retry-after": str(wait)})
    raise HTTPException(401, "This token does not stand, or no longer.", {"www-authenticate": "Bearer"})


def address_of(request: Request) -> str:
    """The network address that a request comes from."""
    return request.client.host if request.client is not None else ""


def store_of(request: Request) -> Store:
    """The app's open store."""
    store: Store = request.app.state.store
    return store


Asker: TypeAlias = Annotated[Who, Depends(who)]
OpenStore: TypeAlias = Annotated[Store, Depends(store_of)]

__all__ = [
    "NO_PASSWORD", "OWNER", "Asker", "OpenStore", "Who", "address_of", "bearer", "let_in", "person_here", "store_of",
    "who",
]  # fmt: skip
