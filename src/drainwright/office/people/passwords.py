"""Passwords: hashed by Argon2id, hashed anew where the costs were raised, told right or wrong in the same time."""

from __future__ import annotations

from functools import cache
from threading import BoundedSemaphore

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from drainwright.errors import InputError

LEAST, MOST = 12, 200  # signs
_ROOM = BoundedSemaphore(4)  # each hash takes 64 MiB while it is made
_HASHER = PasswordHasher()  # RFC 9106, second recommended choice: 3 passes over 64 MiB


def hashed(password: str) -> str:
    """What is kept in place of a password."""
    with _ROOM:
        return _HASHER.hash(password)


def right(password: str, kept: str | None) -> bool:
    """Whether a password is the one whose hash is kept; as long in coming where none is kept.

    Parameters
    ----------
    password : str
        As it was typed.
    kept : str or None
        Its hash; None for a person who is not there.

    Returns
    -------
    bool
        Never raises for odd hashes: nobody comes in by them.
    """
    if len(password) > MOST:
        return False
    with _ROOM:
        try:
            found = _HASHER.verify(kept or _nobody(), password)
        except (VerificationError, InvalidHashError):
            return False
    return found and kept is not None


def outdated(kept: str) -> bool:
    """Whether a hash was made at lower costs than today's."""
    return _HASHER.check_needs_rehash(kept)


def checked(password: str, *told: str) -> str:
    """A new password, if it can be one.

    Parameters
    ----------
    password : str
        As it was typed.
    *told : str
        What others know of the person, like name and email: the password must not be one of these.

    Returns
    -------
    str
        The password itself.

    Raises
    ------
    InputError
        If it is too short, too long, of one sign, or known to others.
    """
    if not LEAST <= len(password) <= MOST:
        raise InputError(f"password: found {len(password)} signs; expected {LEAST} to {MOST}, say four words in a row")
    if len(set(password)) < 5:
        raise InputError("password: found the same few signs again and again; expected, say, four words in a row")
    plain = password.strip().lower()
    if any(plain == word.strip().lower() for word in told):
        raise InputError("password: found your name or email; expected something that others do not know")
    return password


@cache
def _nobody() -> str:
    return _HASHER.hash("the password of nobody, which nobody types")


__all__ = ["LEAST", "MOST", "checked", "hashed", "outdated", "right"]
