"""One's own page: password, sign out everywhere, tokens for programs; and the people of the firm."""

from __future__ import annotations

import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Form, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import InputError
from drainwright.office.pages.people import Secret, Short
from drainwright.office.pages.shell import page
from drainwright.office.pages.spoken import LANGUAGES
from drainwright.office.people.cookies import drop_session, keep_session
from drainwright.office.people.passwords import checked, hashed, right
from drainwright.office.people.roles import MAY
from drainwright.office.people.signing import WINDOW, entered
from drainwright.office.store import entering, people
from drainwright.office.store.errors import StoreError
from drainwright.office.store.limits import tried
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(default_response_class=HTMLResponse, include_in_schema=False)

INVITED = datetime.timedelta(days=7)
MOST_DAYS = 366  # a token lasts no longer
ROLE_WORDS = {
    "owner": "all of it, and who works here",
    "estimator": "jobs, papers, offers and the price book",
    "crew": "reads jobs; begins one in the yard; writes what is measured, checked and worked on the site",
}


@router.get("/me")
def me(request: Request, who: Asker, store: OpenStore) -> Response:
    """One's own page."""
    return _me(request, who, store)


@router.post("/me/password")
def change_password(
    request: Request, who: Asker, store: OpenStore, old: Secret = "", password: Secret = ""
) -> Response:
    """Another password; all other sessions end, and tokens are taken back."""
    _signed_in(who)
    one = people.person(store, who.firm, who.person)
    if tried(store, f"password of {who.person}", 10, WINDOW):
        return _me(request, who, store, 429, errors={"old": "Too many tries. Wait a quarter of an hour."})
    if not right(old, one.password_hash):
        return _me(request, who, store, 422, errors={"old": "That is not your password."})
    try:
        fresh = hashed(checked(password, one.name, one.email))
    except InputError as error:
        return _me(request, who, store, 422, errors={"password": f"{error}."})
    changed = people.change_person(store, who.firm, who.person, password_hash=fresh)
    response = RedirectResponse("/me?done=password", 303)
    keep_session(request, response, entered(store, changed).token)
    return response


@router.post("/me/everywhere")
def everywhere(request: Request, who: Asker, store: OpenStore) -> Response:
    """End all one's sessions, this one too, and take all tokens back."""
    _signed_in(who)
    people.end_sessions(store, who.firm, who.person)
    response = RedirectResponse("/sign-in", 303)
    drop_session(request, response)
    return response


@router.post("/me/language")
def choose_language(
    request: Request, who: Asker, store: OpenStore, language: Annotated[str, Form(max_length=5)] = ""
) -> Response:
    """The language of the pages that a crew works in."""
    if language not in LANGUAGES:
        return _me(request, who, store, 422, errors={"language": f"Found {language or 'nothing'}; expected en or es."})
    people.change_person(store, who.firm, who.person, language=language)
    response = RedirectResponse("/me?done=language", 303)
    response.delete_cookie("lang")  # what was chosen on this device before
    return response


@router.post("/me/tokens")
def give_token(
    request: Request, who: Asker, store: OpenStore, name: Short = "",
    scope: Annotated[str, Form(max_length=20)] = "read", days: Annotated[str, Form(max_length=10)] = "90",
) -> Response:  # fmt: skip
    """A new token for a program, shown this once."""
    count = int(days) if days.isascii() and days.isdigit() else 0
    if not 1 <= count <= MOST_DAYS:
        errors = {"days": f"Found {days or 'nothing'}; expected 1 to {MOST_DAYS} days."}
        return _me(request, who, store, 422, errors=errors, typed={"name": name, "days": days})
    try:
        lasts = datetime.timedelta(days=count)
        _, token = entering.give_token(store, who.firm, who.person, name.strip(), scope, lasts)
    except StoreError as error:
        return _me(request, who, store, 422, errors={"name": f"{error}."}, typed={"name": name, "days": days})
    return _me(request, who, store, fresh=token)


@router.post("/me/tokens/{id}/take-back")
def take_token_back(who: Asker, store: OpenStore, id: str) -> Response:
    """A program's token that no longer stands."""
    entering.take_token_back(store, who.firm, who.person, id)
    return RedirectResponse("/me", 303)


def _me(request: Request, who: Who, store: Any, status: int = 200, **more: Any) -> Response:
    shown = {"errors": {}, "fresh": "", "typed": {"name": "", "days": "90"}, "done": request.query_params.get("done")}
    one = people.person(store, who.firm, who.person)
    own = entering.tokens(store, who.firm, who.person)
    return page(request, "me.html", status, one=one, words=ROLE_WORDS, tokens=own, spoken=LANGUAGES, **(shown | more))


def _signed_in(who: Who) -> None:
    if not who.signed_in:
        raise HTTPException(404)


@router.get("/firm/people")
def staff(request: Request, who: Asker, store: OpenStore) -> Response:
    """Who works for the firm."""
    return _staff(request, who, store)


@router.post("/firm/people")
def invite(
    request: Request, who: Asker, store: OpenStore, email: Short = "", role: Annotated[str, Form(max_length=40)] = ""
) -> Response:
    """Invite somebody; the link is shown this once."""
    typed = {"email": email, "role": role}
    errors = {} if role in MAY else {"role": f"Found {role or 'nothing'}; expected one of {', '.join(MAY)}."}
    if "@" not in email.strip()[1:-1] or any(sign.isspace() for sign in email.strip()):
        errors["email"] = f"Found {email.strip() or 'nothing'}; expected an email address, like ash@example.org."
    if errors:
        return _staff(request, who, store, 422, errors=errors, typed=typed)
    try:
        made, token = entering.invite(store, who.firm, email, role, INVITED, who.name)
    except StoreError as error:
        return _staff(request, who, store, 422, errors={"email": f"{error}."}, typed=typed)
    link = f"{request.url.scheme}://{request.headers['host']}/invitation/{token}"
    if request.app.state.settings.secure:
        link = link.replace("http://", "https://", 1)
    return _staff(request, who, store, fresh=link, invited=made.email)


@router.post("/firm/people/{id}")
def change(
    request: Request, who: Asker, store: OpenStore, id: str, role: Annotated[str, Form(max_length=40)] = "",
    active: Annotated[str, Form(max_length=5)] = "",
) -> Response:  # fmt: skip
    """Another role, or gone from the firm; at once, also where they are signed in."""
    changes: dict[str, Any] = {"active": active == "yes"} if active else {}
    if role:
        if role not in MAY:
            raise HTTPException(422, f"role: found {role!r}; expected one of {', '.join(MAY)}.")
        changes["role"] = role
    try:
        people.change_person(store, who.firm, id, **changes)
    except StoreError as error:
        if error.__class__ is not StoreError:
            raise
        return _staff(request, who, store, 422, errors={"people": f"{error}."})
    return RedirectResponse("/firm/people", 303)


@router.post("/firm/invitations/{id}/take-back")
def take_invitation_back(who: Asker, store: OpenStore, id: str) -> Response:
    """An invitation that no longer stands."""
    entering.take_invitation_back(store, who.firm, id)
    return RedirectResponse("/firm/people", 303)


def _staff(request: Request, who: Who, store: Any, status: int = 200, **more: Any) -> Response:
    shown: dict[str, Any] = {"errors": {}, "fresh": "", "invited": "", "typed": {"email": "", "role": "estimator"}}
    return page(
        request, "people.html", status, people=people.people(store, who.firm), me=who.person, words=ROLE_WORDS,
        invitations=entering.invitations(store, who.firm), local=request.app.state.settings.local, **(shown | more),
    )  # fmt: skip


__all__ = ["router"]
