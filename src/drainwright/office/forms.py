"""Unsafe requests prove that they come from our own pages: a token in the form or header equals that of a cookie."""

from __future__ import annotations

import hmac
import secrets

from fastapi import HTTPException, Request
from starlette.responses import Response

FIELD, HEADER = "form_token", "x-form-token"
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
STALE = "This page is too old to send from. Open it anew and send again."
YEAR = 365 * 24 * 3600  # [s]


def cookie_name(request: Request) -> str:
    """Name of the token's cookie; with https, one that no other host can set."""
    return "__Host-form" if request.app.state.settings.secure else "form"


def token_of(request: Request) -> str:
    """The token of this browser, made anew where it has none; ``keep_token`` then sets the cookie."""
    known: str | None = getattr(request.state, "form_token", None)
    if known is None:
        kept = request.cookies.get(cookie_name(request), "")
        known = kept if len(kept) == 43 and kept.isascii() else secrets.token_urlsafe(32)
        request.state.form_token = known
    return known


def keep_token(request: Request, response: Response) -> None:
    """Set the cookie where the page holds a token that the browser does not have yet."""
    token: str | None = getattr(request.state, "form_token", None)
    if token is not None and request.cookies.get(cookie_name(request)) != token:
        secure = request.app.state.settings.secure
        response.set_cookie(cookie_name(request), token, max_age=YEAR, httponly=True, samesite="lax", secure=secure)


async def own_pages_only(request: Request) -> None:
    """Refuse an unsafe request that does not come from a page of this app.

    Raises
    ------
    HTTPException
        403, where the token is missing or another, or where the browser tells that another site sends it.
    """
    if request.method in SAFE:
        return
    site = request.headers.get("sec-fetch-site", "same-origin")
    given: object = request.headers.get(HEADER)
    if given is None and request.headers.get("content-type", "").partition(";")[0].strip().lower() in FORMS:
        given = (await request.form()).get(FIELD)
    kept = request.cookies.get(cookie_name(request), "")
    same = isinstance(given, str) and len(kept) == 43 and hmac.compare_digest(given.encode(), kept.encode())
    if site not in {"same-origin", "none"} or not same:
        raise HTTPException(403, STALE)


__all__ = ["FIELD", "HEADER", "keep_token", "own_pages_only", "token_of"]
