"""The cookies of a session and of the form token."""

from __future__ import annotations

from fastapi import Request
from starlette.responses import Response

from drainwright.office.people.signing import LONGEST


def cookie_name(request: Request) -> str:
    """With https one that no other host can set, and that is never sent without it."""
    return "__Host-session" if request.app.state.settings.secure else "session"


def session_token(request: Request) -> str:
    """The token that the browser sends; empty where it has none."""
    return request.cookies.get(cookie_name(request), "")


def keep_session(request: Request, response: Response, token: str) -> None:
    """Give a browser its session; the form token is made anew with it."""
    response.set_cookie(
        cookie_name(request), token, max_age=int(LONGEST.total_seconds()), httponly=True, samesite="lax",
        secure=request.app.state.settings.secure,
    )  # fmt: skip
    _drop(request, response, form_cookie(request))


def drop_session(request: Request, response: Response) -> None:
    """Take its session and its form token from a browser."""
    for name in (cookie_name(request), form_cookie(request)):
        _drop(request, response, name)


def form_cookie(request: Request) -> str:
    """Name of the form token's cookie."""
    return "__Host-form" if request.app.state.settings.secure else "form"


def _drop(request: Request, response: Response, name: str) -> None:
    response.delete_cookie(name, httponly=True, samesite="lax", secure=request.app.state.settings.secure)


__all__ = ["cookie_name", "drop_session", "form_cookie", "keep_session", "session_token"]
