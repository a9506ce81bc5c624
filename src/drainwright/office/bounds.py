"""How much a request may bring, by its address; counted while it comes in, whatever its head says."""

from __future__ import annotations

import re

from starlette.exceptions import HTTPException
from starlette.types import Message, Receive, Scope

MEGABYTE = 1_000_000
_USUAL = 4 * MEGABYTE  # a form, an edit, a job's text
_MOST = tuple(
    (re.compile(rf"(?:/api/v1)?{address}"), most)
    for address, most in (
        (r"/jobs/(?:import|file|new)", 400 * MEGABYTE),  # a whole job with its photos, in one file
        (r"/jobs/[^/]+/(?:.*/)?(?:attachments|photos|yard|files)(?:/.*)?", 21 * MEGABYTE),
        (r"/(?:sign-in|first|theme|sign-out|me(?:/.*)?|invitation/[^/]+|c/.*)", 100_000),
    )
)


def most_of(path: str) -> int:
    """The most bytes that a request to an address may bring."""
    return next((most for address, most in _MOST if address.fullmatch(path)), _USUAL)


def bounded(scope: Scope, receive: Receive) -> Receive:
    """The same messages, refused with 413 where they bring too much.

    Parameters
    ----------
    scope : Scope
        Of the request.
    receive : callable
        Gives its messages.

    Returns
    -------
    callable
        To be used in its place.
    """
    most = most_of(scope["path"])
    said = dict(scope["headers"]).get(b"content-length", b"0")
    claimed = int(said) if said.isdigit() and len(said) < 20 else most + 1
    come = 0

    async def counted() -> Message:
        nonlocal come
        if claimed > most:
            raise too_large(most)
        message = await receive()
        come += len(message.get("body", b""))
        if come > most:
            raise too_large(most)
        return message

    return counted


def too_large(most: int) -> HTTPException:
    """What is said of it."""
    told = f"{most / MEGABYTE:g} megabytes" if most >= MEGABYTE else f"{most / 1000:g} kilobytes"
    return HTTPException(413, f"Found more than {told}; expected no more.")


__all__ = ["MEGABYTE", "bounded", "most_of", "too_large"]
