"""Sign in and out: what stands between an email with a password and a session."""

from __future__ import annotations

import datetime
import ipaddress
from dataclasses import dataclass

from drainwright.office.people.passwords import hashed, outdated, right
from drainwright.office.store import people
from drainwright.office.store.limits import forget, tried
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Person, SignIn
from drainwright.office.store.tables import now

IDLE = datetime.timedelta(days=14)  # a session ends that long after it was last used
LONGEST = datetime.timedelta(days=90)  # and then in any case
_STEP = datetime.timedelta(hours=1)  # it is made longer no more often than that
WINDOW = datetime.timedelta(minutes=15)
MOST_OF_ACCOUNT, MOST_OF_ADDRESS = 10, 60  # tries in that time


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """Somebody is in."""

    person: Person
    session: SignIn
    token: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TooOften:
    """There were too many tries."""

    wait: int  # s


def sign_in(store: Store, email: str, password: str, address: str) -> Entered | TooOften | None:
    """Let somebody in.

    Parameters
    ----------
    store : Store
        Where people are.
    email, password : str
        As they were typed.
    address : str
        Of the network that it comes from.

    Returns
    -------
    Entered, TooOften or None
        None if it is not right, whichever of the two: that takes as long and tells as much for an email that nobody
        has.
    """
    account = f"sign in: {email.strip().lower()}"
    wait = max(too_often(store, "sign in", address), tried(store, account, MOST_OF_ACCOUNT, WINDOW))
    if wait:
        return TooOften(wait=wait)
    found = people.person_by_email(store, email)
    known = found if found is not None and found.active and found.password_hash else None
    if not right(password, None if known is None else known.password_hash) or known is None:
        return None
    forget(store, account)
    if outdated(known.password_hash):
        known = people.rehash(store, known.firm, known.id, known.password_hash, hashed(password))
    return entered(store, known)


def entered(store: Store, person: Person) -> Entered:
    """A new session of a person who has shown who they are."""
    session, token = people.begin_session(store, person.firm, person.id, IDLE)
    return Entered(person=person, session=session, token=token)


def too_often(store: Store, what: str, address: str) -> int:
    """Count a try from an address; the seconds to wait where there were too many."""
    return tried(store, f"{what} from {network(address)}", MOST_OF_ADDRESS, WINDOW)


def network(address: str) -> str:
    """What counts as one address: of IPv6 the first 64 bits, which one household has to itself."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    return str(found) if found.version == 4 else str(ipaddress.ip_network((int(found) >> 64 << 64, 64)))


def session_in_use(store: Store, token: str) -> tuple[SignIn, Person] | None:
    """The session of a token and whose it is, made to last longer by its use; None if it has ended."""
    found = people.session_of(store, token)
    if found is None:
        return None
    session, person = found
    until = min(now() + IDLE, session.created + LONGEST)
    if until - session.expires > _STEP:
        people.lengthen(store, session.firm, session.id, until)
    return session, person


__all__ = ["IDLE", "LONGEST", "Entered", "TooOften", "entered", "network", "session_in_use", "sign_in", "too_often"]
