"""An office with people in it, and visitors who come by browser or by program."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from httpx import Response
from starlette.testclient import TestClient

from drainwright.office.app import make_app
from drainwright.office.people.passwords import hashed
from drainwright.office.settings import Settings
from drainwright.office.store import people

PEOPLE = {"accept": "text/html"}
PASSWORD = "correct brown horse staple"


class Visitor(TestClient):
    """A browser: keeps cookies, sends forms with their token."""

    def token(self) -> str:
        found: str = self.get("/api/v1/form-token").json()["form_token"]
        return found

    def submit(self, path: str, method: str = "POST", **more: Any) -> Response:
        """An unsafe request as our own pages send it."""
        headers = {"x-form-token": self.token(), **PEOPLE, **more.pop("headers", {})}
        return self.request(method, path, headers=headers, follow_redirects=False, **more)

    def enters(self, email: str, password: str = PASSWORD) -> Response:
        return self.submit("/sign-in", data={"email": email, "password": password})


def browser(app: FastAPI, address: str = "10.1.1.1") -> Visitor:
    """A new browser at a network address."""
    secure = app.state.settings.secure
    base = "https://localhost" if secure else "http://127.0.0.1:8321"
    return Visitor(app, base_url=base, client=(address, 50000), raise_server_exceptions=False)


@contextmanager
def office(folder: Path, **settings: Any) -> Iterator[FastAPI]:
    """An app that is open, with nobody in it."""
    known = {"local": False, "store": f"sqlite:///{folder / 'store.sqlite'}", "workers": 1, **settings}
    app = make_app(Settings(**known))
    with TestClient(app, base_url="http://127.0.0.1:8321"):
        yield app


def staffed(app: FastAPI, firm: str = "Example Drainage Company", mark: str = "") -> str:
    """A firm with one of each role, who all sign in as ``{role}{mark}@example.org``: its id."""
    from drainwright.office.store.jobs import add_firm

    store = app.state.store
    house = add_firm(store, firm).id
    for role in ("owner", "estimator", "crew"):
        people.add_person(store, house, f"{role.title()}{mark}", f"{role}{mark}@example.org", role, known_hash())
    return house


_KNOWN: list[str] = []


def known_hash() -> str:
    """The hash of the one password, made once."""
    if not _KNOWN:
        _KNOWN.append(hashed(PASSWORD))
    return _KNOWN[0]
