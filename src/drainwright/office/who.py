"""Who asks: the person, and the firm whose jobs are theirs to see."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

from fastapi import Depends, HTTPException, Request

from drainwright.office.store.jobs import add_firm, firms
from drainwright.office.store.opening import Store
from drainwright.office.store.people import add_person, people

OWNER = "owner"
NO_PASSWORD = ""  # of the one person at their own machine; no password has this hash


@dataclass(frozen=True, slots=True, kw_only=True)
class Who:
    """The person behind a request."""

    firm: str  # id
    person: str  # id
    name: str  # as revisions and the diary tell it
    role: str


def person_here(store: Store) -> Who:
    """The one person at this machine, with their firm; made where the store is empty.

    Raises
    ------
    HTTPException
        409, where the store belongs to several: it must then be opened with sign-in.
    """
    known = firms(store)
    firm = known[0] if known else add_firm(store, "My firm")
    staff = people(store, firm.id)
    if len(known) > 1 or len(staff) > 1:
        raise HTTPException(409, "This store has several people. Open it with sign-in.")
    one = staff[0] if staff else add_person(store, firm.id, "Owner", "owner@localhost", OWNER, NO_PASSWORD)
    return Who(firm=firm.id, person=one.id, name=one.name, role=one.role)


def who(request: Request) -> Who:
    """Whoever asks.

    Raises
    ------
    HTTPException
        401, where nobody has signed in.
    """
    if request.app.state.settings.local:
        return person_here(request.app.state.store)
    raise HTTPException(401, "Sign in first.")


def store_of(request: Request) -> Store:
    """The app's open store."""
    store: Store = request.app.state.store
    return store


Asker: TypeAlias = Annotated[Who, Depends(who)]
OpenStore: TypeAlias = Annotated[Store, Depends(store_of)]

__all__ = ["NO_PASSWORD", "OWNER", "Asker", "OpenStore", "Who", "person_here", "store_of", "who"]
