"""The frame of every page: templates, themes, and the first pages."""

from __future__ import annotations

from collections.abc import Callable, Collection
from functools import cache
from importlib.resources import files
from typing import Annotated, Any
from urllib.parse import urlsplit

from fastapi import APIRouter, Form, Request
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright import __version__
from drainwright.office.forms import FIELD, YEAR, keep_token, token_of
from drainwright.office.pages.spoken import LANGUAGES, language_of, script_words, spoken
from drainwright.office.people.roles import may, needed
from drainwright.office.people.unpriced import blotted, sees_prices

THEMES = {"light": "Light", "dark": "Dark", "sunlight": "Sunlight"}
TEMPLATES = "pages/templates"
SPOKEN = frozenset({  # pages that a crew works in: told in its language, too
    "after.html", "after_proof.html", "after_season.html", "after_visits.html", "yard_begun.html", "yard_job.html",
})  # fmt: skip

router = APIRouter(default_response_class=HTMLResponse, include_in_schema=False)


@cache
def templates() -> Environment:
    """The templates; names that are not given are errors."""
    return Environment(
        loader=PackageLoader("drainwright.office", TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def template_texts() -> list[bytes]:
    """All templates as they stand, for telling when a page kept by a browser is old."""
    folder = files("drainwright.office").joinpath(TEMPLATES)
    return [item.read_bytes() for item in sorted(folder.iterdir(), key=lambda item: item.name) if item.is_file()]


def theme_of(request: Request) -> str | None:
    """The theme this browser chose; None: as its system has it."""
    theme = request.cookies.get("theme")
    return theme if theme in THEMES else None


def page(
    request: Request, template: str, status: int = 200, *, names: Collection[str] = (), **context: Any
) -> Response:
    """Make a page.

    Parameters
    ----------
    request : Request
        What is answered.
    template : str
        File name among the templates.
    status : int
        HTTP status.
    names : collection of str
        What stays as it is where the page is told in another language.
    **context : Any
        What the template shows.

    Returns
    -------
    Response
        With the cookie of the form token where the browser needs one.
    """
    language = language_of(request) if template in SPOKEN else "en"
    frame = {
        "asset": request.app.state.assets.url,
        "theme": theme_of(request),
        "themes": THEMES,
        "here": request.url.path,
        "token_field": FIELD,
        "token": token_of(request),
        "version": __version__,
        "language": language,
        "words": script_words(language),
        "languages": LANGUAGES if template in SPOKEN else {},
        "status": status,
        "who": getattr(request.state, "who", None),
        "sends": _sends(request),
        "prices": sees_prices(request),
    }
    text = templates().get_template(template).render(frame | context)
    if language == "es":
        text = spoken(text, names).text
    response = HTMLResponse(text if sees_prices(request) else blotted(text), status)
    keep_token(request, response)
    if request.query_params.get("lang") in LANGUAGES:
        keep_choice(request, response, "lang", language_of(request))
    return response


def _sends(request: Request) -> Callable[[str], bool]:
    """Whether who asks may send a form to an address, so that no page offers what would be refused."""
    who = getattr(request.state, "who", None)
    return lambda address: who is None or may(who.role, needed("POST", address), who.scope)


def own_path(address: str) -> str:
    """A path on this host to go back to; ``/`` in place of anything that leads elsewhere."""
    parts = urlsplit(address)
    plain = address.startswith("/") and not address.startswith("//") and "\\" not in address
    safe = plain and not parts.scheme and not parts.netloc and address.isprintable()
    return address if safe else "/"


@router.get("/yard")
def yard(request: Request) -> Response:
    """The yard book: works without a network once it was opened."""
    return page(request, "yard.html")


@router.get("/yard/begun")
def begun(request: Request) -> Response:
    """The yard page of a job that began on a phone; which one stands behind the question mark, for the script."""
    return page(request, "yard_begun.html")


@router.get("/offline")
def offline(request: Request) -> Response:
    """What stands in for a page that needs the network."""
    return page(request, "offline.html")


@router.post("/theme")
def choose_theme(
    theme: Annotated[str, Form(max_length=20)], request: Request, back: Annotated[str, Form(max_length=2000)] = "/"
) -> Response:
    """Keep the theme that was chosen, and go back to the page."""
    response = RedirectResponse(own_path(back), 303)
    if theme in THEMES:
        keep_choice(request, response, "theme", theme)  # read by early.js
    return response


def keep_choice(request: Request, response: Response, name: str, value: str) -> None:
    """Keep on this device how its pages are read."""
    response.set_cookie(name, value, max_age=YEAR, samesite="lax", secure=request.app.state.settings.secure)


__all__ = ["SPOKEN", "THEMES", "keep_choice", "own_path", "page", "router", "template_texts", "templates", "theme_of"]
