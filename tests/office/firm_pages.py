"""The firm's pages over HTTP, as a browser without script sends its forms."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from httpx import Response
from starlette.testclient import TestClient

from drainwright.office.app import make_app
from drainwright.office.settings import Settings
from drainwright.office.store.opening import Store
from drainwright.office.who import Who, person_here

HERE = "http://127.0.0.1:8321"
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


class Office:
    """A client with the app's store and the one person of it."""

    def __init__(self, client: TestClient, store: Store) -> None:
        self.client = client
        self.store = store
        self.who: Who = person_here(store)
        self.token = client.get("/api/v1/form-token").json()["form_token"]

    def get(self, path: str) -> Response:
        """A page."""
        return self.client.get(path, headers={"accept": "text/html"})

    def post(self, path: str, files: dict[str, tuple[str, bytes]] | None = None, **fields: str) -> Response:
        """Send a form; where it leads is not followed."""
        data = {"form_token": self.token, **{name.removesuffix("_"): value for name, value in fields.items()}}
        accept = {"accept": "text/html"}
        return self.client.post(path, data=data, files=files, headers=accept, follow_redirects=False)


@contextlib.contextmanager
def office(folder: Path) -> Iterator[Office]:
    """A firm's office with an empty store in a folder."""
    app = make_app(Settings(store=f"sqlite:///{folder / 'store.sqlite'}", workers=1))
    with TestClient(app, base_url=HERE) as client:
        yield Office(client, app.state.store)


__all__ = ["EXAMPLES", "HERE", "Office", "office"]
