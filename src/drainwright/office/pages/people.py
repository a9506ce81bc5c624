"""Pages to come in by and go out by, and of the people of a firm."""

from __future__ import annotations

import hmac
from typing import Annotated, Any

from fastapi import APIRouter, Form, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import InputError
from drainwright.office.pages.shell import own_path, page
from drainwright.office.people.cookies import drop_session, keep_session, session_token
from drainwright.office.people.passwords import checked, hashed
from drainwright.office.people.signing import TooOften, entered, session_in_use, sign_in, too_often
from drainwright.office.store import entering, people
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store
from drainwright.office.who import OpenStore, address_of

router = APIRouter(default_response_class=HTMLResponse, include_in_schema=False)

Short = Annotated[str, Form(max_length=254)]
Secret = Annotated[str, Form(max_length=1000)]
Back = Annotated[str, Form(max_length=2000)]
WRONG = "Email and password do not go together."


@router.get("/sign-in")
def sign_in_page(request: Request, store: OpenStore, back: str = "/") -> Response:
    """Where people come in; those who are in go on."""
    if request.app.state.settings.local or session_in_use(store, session_token(request)) is not None:
        return RedirectResponse(own_path(back), 303)
    if people.needs_owner(store):
        return RedirectResponse("/first", 303)
    return page(request, "sign_in.html", email="", back=own_path(back), error="")


@router.post("/sign-in")
def come_in(request: Request, store: OpenStore, email: Short = "", password: Secret = "", back: Back = "/") -> Response:
    """Let somebody in; a session that the browser had before ends."""
    _with_people(request)
    found = sign_in(store, email, password, address_of(request))
    if found is None:
        return page(request, "sign_in.html", 422, email=email, back=own_path(back), error=WRONG)
    if isinstance(found, TooOften):
        return _wait(request, "sign_in.html", found.wait, email=email, back=own_path(back))
    return _in(request, store, found.token, own_path(back))


@router.post("/sign-out")
def go_out(request: Request, store: OpenStore) -> Response:
    """End the session of this browser."""
    _end(store, session_token(request))
    response = RedirectResponse("/sign-in", 303)
    drop_session(request, response)
    response.headers["clear-site-data"] = '"cache"'
    return response


@router.get("/first")
def first_page(request: Request, store: OpenStore, code: str = "") -> Response:
    """Where the first owner of a new store comes in."""
    _with_people(request)
    if not people.needs_owner(store):
        return RedirectResponse("/sign-in", 303)
    return page(request, "first.html", code=code, firm="", name="", email="", errors={})


@router.post("/first")
def first_in(
    request: Request, store: OpenStore, code: Short = "", firm: Short = "", name: Short = "", email: Short = "",
    password: Secret = "",
) -> Response:  # fmt: skip
    """Make the firm and its owner, who is then in."""
    _with_people(request)
    if not people.needs_owner(store):
        return RedirectResponse("/sign-in", 303)
    typed = {"code": code, "firm": firm, "name": name, "email": email}
    if wait := too_often(store, "first", address_of(request)):
        return _wait(request, "first.html", wait, errors={}, **typed)
    errors = _faults(name, email, password)
    if not firm.strip():
        errors["firm"] = "Found nothing; expected the name of the firm."
    expected = request.app.state.settings.first_code
    if not expected or not hmac.compare_digest(code.strip().encode(), expected.encode()):
        errors["code"] = "That is not the code that the office showed when it was started."
    if errors:
        return page(request, "first.html", 422, errors=errors, **typed)
    try:
        owner = people.first_owner(store, firm.strip(), name.strip(), email.strip(), hashed(password))
    except StoreError as error:
        return page(request, "first.html", 422, errors={"email": f"{error}."}, **typed)
    return _in(request, store, entered(store, owner).token, "/")


@router.get("/invitation/{token}")
def invitation_page(request: Request, store: OpenStore, token: str) -> Response:
    """What an invitation leads to."""
    found = entering.invitation_of(store, token)
    if found is None:
        return page(request, "invitation_gone.html", 410)
    return page(request, "invitation.html", invitation=found, name="", errors={})


@router.post("/invitation/{token}")
def take_up(request: Request, store: OpenStore, token: str, name: Short = "", password: Secret = "") -> Response:
    """Come into the firm by an invitation."""
    _with_people(request)
    found = entering.invitation_of(store, token)
    if found is None:
        return page(request, "invitation_gone.html", 410)
    errors = _faults(name, found.email, password)
    if wait := too_often(store, "invitation", address_of(request)):
        return _wait(request, "invitation.html", wait, invitation=found, name=name, errors={})
    if not errors:
        try:
            made = entering.take_up(store, token, name.strip(), hashed(password))
        except StoreError as error:
            errors = {"name": f"{error}."}
        else:
            if made is None:
                return page(request, "invitation_gone.html", 410)
            return _in(request, store, entered(store, made).token, "/")
    return page(request, "invitation.html", 422, invitation=found, name=name, errors=errors)


def _faults(name: str, email: str, password: str) -> dict[str, str]:
    errors = {}
    if not name.strip():
        errors["name"] = "Found nothing; expected your name, as the firm's papers tell it."
    if "@" not in email.strip()[1:-1] or any(sign.isspace() for sign in email.strip()):
        errors["email"] = f"Found {email.strip() or 'nothing'}; expected an email address, like ash@example.org."
    try:
        checked(password, name, email)
    except InputError as error:
        errors["password"] = f"{error}."
    return errors


def _in(request: Request, store: Store, token: str, to: str) -> Response:
    _end(store, session_token(request))
    response = RedirectResponse(to, 303)
    keep_session(request, response, token)
    return response


def _end(store: Store, token: str) -> None:
    found = people.session_of(store, token) if token else None
    if found is not None:
        people.end_session(store, found[0].firm, found[0].id)


def _wait(request: Request, template: str, wait: int, **context: Any) -> Response:
    minutes = -(-wait // 60)
    words = f"Too many tries. Wait {minutes} minute{'' if minutes == 1 else 's'}, then try again."
    made = page(request, template, 429, error=words, **context)
    made.headers["retry-after"] = str(wait)
    return made


def _with_people(request: Request) -> None:
    if request.app.state.settings.local:
        raise HTTPException(404)


__all__ = ["router"]
