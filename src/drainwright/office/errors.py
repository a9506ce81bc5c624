"""What goes wrong, said to people as a page and to programs as problem details (RFC 9457)."""

from __future__ import annotations

import logging
from html import escape
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from drainwright.errors import InputError, JobError, Problem
from drainwright.office.assets import MissingAssetError
from drainwright.office.pages.shell import page
from drainwright.office.people.roles import SAFE
from drainwright.office.store.books import StaleBook
from drainwright.office.store.errors import Conflict, NotThereError, StoreError
from drainwright.office.uploads import OtherKindError, TooLargeError

LOG = logging.getLogger("drainwright.office")
TITLES = {
    400: "That cannot be read",
    401: "Please sign in first",
    403: "That is not allowed",
    404: "There is no such page",
    405: "Not in this way",
    409: "Somebody else changed it meanwhile",
    413: "That is too large",
    415: "A kind of file that is not taken",
    422: "Some of it cannot be used",
    429: "Too often; wait a little",
    500: "Something of ours broke",
}
ADVICE = {
    401: "Sign in in another window, then go back here and send again: what was typed is still in the form.",
    404: "The address may be mistyped, or what stood here was moved.",
    405: "The address exists, but takes no requests of this kind.",
    500: "Nothing of yours was changed by it. The log of the program tells what broke.",
}

FOR_PROGRAMS = {**ADVICE, 401: "Sign in, or show a token: authorization: Bearer <token>."}


def for_programs(request: Request) -> bool:
    """Whether the answer goes to a program."""
    return request.url.path.startswith("/api/") or "text/html" not in request.headers.get("accept", "")


def answer(request: Request, status: int, detail: str, **more: Any) -> Response:
    """Give an error as a page, or as problem details.

    Parameters
    ----------
    request : Request
        Its path and Accept header choose the form.
    status : int
        HTTP status, 400 or more.
    detail : str
        What went wrong in this case, for the one who reads it.
    **more : Any
        Further members of the problem details, like ``errors``.

    Returns
    -------
    Response
        Never holds a trace.
    """
    title = TITLES.get(status, HTTPStatus(status).phrase)
    if for_programs(request):
        body = {"type": "about:blank", "title": title, "status": status, "detail": detail, **more}
        return JSONResponse(body, status, media_type="application/problem+json")
    return page(request, "error.html", status=status, title=title, detail=detail, errors=more.get("errors", ()))


async def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    if error.status_code == 401 and request.method in SAFE and not for_programs(request):
        back = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/sign-in?back={quote(back, safe='/')}", 303)
    plain = error.detail == HTTPStatus(error.status_code).phrase
    advice = FOR_PROGRAMS if for_programs(request) else ADVICE
    found = answer(request, error.status_code, advice.get(error.status_code, "") if plain else str(error.detail))
    for name, value in (error.headers or {}).items():
        found.headers[name] = value
    return found


async def _unreadable(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    errors = [
        {"where": ".".join(map(str, one["loc"])), "found": "", "expected": one["msg"], "hint": ""}
        for one in error.errors()
    ]
    broken = any(one["type"] == "json_invalid" for one in error.errors())
    return answer(request, 400 if broken else 422, "What was sent is not what is expected here.", errors=errors)


async def _wrong_input(request: Request, error: Exception) -> Response:
    problems = error.problems if isinstance(error, JobError) else ()
    errors = [
        {"where": one.where, "found": one.found, "expected": one.expected, "hint": one.hint, **_spot(one)}
        for one in problems
    ]
    detail = "The job cannot be used as it stands." if problems else str(error)
    return answer(request, 422, detail, **({"errors": errors} if errors else {}))


async def _no_asset(request: Request, error: Exception) -> Response:
    """Told without a page of ours, which would need the same files."""
    told = f"{error}, then start drainwright serve anew."
    if for_programs(request):
        return answer(request, 503, told)
    head = "The front end is not built for this version"
    page_text = f"<!doctype html><html lang=en><title>{head}</title><h1>{head}</h1><p>{escape(told)}</p></html>"
    return HTMLResponse(page_text, 503)


def _spot(problem: Problem) -> dict[str, Any]:
    """File, line and column of a fault, as far as they are known."""
    told = {"file": problem.file, "line": problem.line, "column": problem.column}
    return {name: value for name, value in told.items() if value}


async def _not_there(request: Request, error: Exception) -> Response:
    return answer(request, 404, ADVICE[404] if not for_programs(request) else f"{error}.")


async def _refused(request: Request, error: Exception) -> Response:
    return answer(request, 422, f"{error}.")


async def _conflict(request: Request, error: Exception) -> Response:
    assert isinstance(error, Conflict)
    sides = {
        "base": {"revision": error.base.number, "text": error.base.text},
        "theirs": {"revision": error.theirs.number, "text": error.theirs.text, "who": error.theirs.who},
        "mine": {"text": error.mine},
        "paths": {
            "theirs": error.theirs_changed, "mine": error.mine_changed, "overlapping": error.overlapping,
        },
    }  # fmt: skip
    return answer(request, 409, f"{error}.", **(sides if for_programs(request) else {}))


async def _stale_book(request: Request, error: Exception) -> Response:
    assert isinstance(error, StaleBook)
    theirs = {"revision": error.theirs.number, "text": error.theirs.text, "who": error.theirs.who}
    return answer(
        request, 409, f"{error}.", **({"theirs": theirs, "mine": {"text": error.mine}} if for_programs(request) else {})
    )


async def _file(request: Request, error: Exception) -> Response:
    return answer(request, 413 if isinstance(error, TooLargeError) else 415, f"{error}.")


def broken(request: Request, error: Exception) -> Response:
    """Answer to what nobody foresaw; the trace goes to the log."""
    LOG.error("%s %s broke", request.method, request.url.path, exc_info=error)
    return answer(request, 500, ADVICE[500])


def speak_plainly(app: FastAPI) -> None:
    """Give the app its answers to errors."""
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(MissingAssetError, _no_asset)
    app.add_exception_handler(RequestValidationError, _unreadable)
    app.add_exception_handler(InputError, _wrong_input)
    app.add_exception_handler(JobError, _wrong_input)
    app.add_exception_handler(TooLargeError, _file)
    app.add_exception_handler(OtherKindError, _file)
    app.add_exception_handler(StoreError, _refused)
    app.add_exception_handler(NotThereError, _not_there)
    app.add_exception_handler(Conflict, _conflict)
    app.add_exception_handler(StaleBook, _stale_book)


__all__ = ["answer", "broken", "for_programs", "speak_plainly"]
