"""Unsafe requests prove that they come from our own pages: a token in the form or header equals that of a cookie."""

from __future__ import annotations

import hmac
import secrets
from urllib.parse import urlsplit

from fastapi import HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from drainwright.office.people.cookies import form_cookie
from drainwright.office.people.roles import SAFE, is_open
from drainwright.office.who import bearer, who

FIELD, HEADER = "form_token", "x-form-token"
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
STALE = "This page is too old to send from. Open it anew and send again."
MOST_FILES = 50  # in one form
MOST_FIELDS = 4000  # of one form: a whole price book has over a thousand
MOST_TEXT = 8_000_000  # bytes of one field
YEAR = 365 * 24 * 3600  # [s]


def token_of(request: Request) -> str:
    """The token of this browser, made anew where it has none; ``keep_token`` then sets the cookie."""
    known: str | None = getattr(request.state, "form_token", None)
    if known is None:
        kept = request.cookies.get(form_cookie(request), "")
        known = kept if len(kept) == 43 and kept.isascii() else secrets.token_urlsafe(32)
        request.state.form_token = known
    return known


def keep_token(request: Request, response: Response) -> None:
    """Set the cookie where the page holds a token that the browser does not have yet."""
    token: str | None = getattr(request.state, "form_token", None)
    if token is not None and request.cookies.get(form_cookie(request)) != token:
        secure = request.app.state.settings.secure
        response.set_cookie(form_cookie(request), token, max_age=YEAR, httponly=True, samesite="lax", secure=secure)


async def own_pages_only(request: Request) -> None:
    """Refuse an unsafe request that comes neither from a page of this app nor with a program's own token.

    Raises
    ------
    HTTPException
        403, where the form token is missing or another, or where the browser tells that another site sends it;
        401, where a program's token does not stand.
    """
    if request.method in SAFE:
        return
    if bearer(request) is not None:  # which no browser adds by itself
        await run_in_threadpool(who, request)
        return
    given: object = request.headers.get(HEADER)
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if given is None and kind in FORMS and _from_here(request):
        if kind != FORMS[0] and not is_open(request.scope["path"]):
            await run_in_threadpool(who, request)  # files of strangers are not even read
        given = (await request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=MOST_TEXT)).get(FIELD)
    kept = request.cookies.get(form_cookie(request), "")
    same = isinstance(given, str) and len(kept) == 43 and hmac.compare_digest(given.encode(), kept.encode())
    if not same or not _from_here(request):
        raise HTTPException(403, STALE)


def _from_here(request: Request) -> bool:
    """Whether the browser says that a page of this app sends it, or says nothing."""
    origin = request.headers.get("origin")
    here = origin is None or urlsplit(origin).netloc.lower() == request.headers.get("host", "").lower()
    return here and request.headers.get("sec-fetch-site", "same-origin") in {"same-origin", "none"}


__all__ = ["FIELD", "HEADER", "MOST_FIELDS", "MOST_TEXT", "keep_token", "own_pages_only", "token_of"]
