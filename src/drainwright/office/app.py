"""The web app put together."""

from __future__ import annotations

import hashlib
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import Depends, FastAPI, Request
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from drainwright import __version__
from drainwright.office.answers.workers import Workers
from drainwright.office.api import make_router
from drainwright.office.assets import PACKED, TYPES, read_assets
from drainwright.office.errors import broken, speak_plainly
from drainwright.office.forms import keep_token, own_pages_only, token_of
from drainwright.office.guard import Guard
from drainwright.office.pages import answer, me, office, papers, people, plan, shell, trying, yard
from drainwright.office.settings import Settings
from drainwright.office.store.opening import default_url, open_store
from drainwright.office.who import let_in

FOR_A_YEAR = "public, max-age=31536000, immutable"
ASK_EACH_TIME = "no-cache"
KEPT_PAGES = ("/yard", "/yard/begun", "/offline")  # kept by the service worker at its first start


def make_app(settings: Settings) -> FastAPI:
    """Build the web app.

    Parameters
    ----------
    settings : Settings
        What it is started with.

    Returns
    -------
    FastAPI
        Holds its settings and assets in ``app.state``; while it runs, also the open store and the workers.

    Raises
    ------
    InputError
        If the front end's bundle is not there.
    """
    app = FastAPI(
        title="Drainwright",
        version=__version__,
        dependencies=[Depends(own_pages_only), Depends(let_in)],
        docs_url=None,  # its page loads scripts from elsewhere
        redoc_url=None,
        openapi_url="/api/v1/openapi.json",
        lifespan=_running,
    )
    app.state.settings = settings
    app.state.assets = read_assets(settings.assets)
    app.add_middleware(Guard, settings=settings, broken=broken)
    speak_plainly(app)
    _serve_assets(app)
    app.include_router(office.make_router())
    for pages in (shell, people, me, yard):
        app.include_router(pages.router)
    app.include_router(make_router())
    for pages in (answer, papers, trying, plan):
        app.include_router(pages.router)
    return app


@asynccontextmanager
async def _running(app: FastAPI) -> AsyncIterator[None]:
    settings: Settings = app.state.settings
    app.state.store = open_store(settings.store or default_url())
    app.state.workers = Workers(settings.workers)
    try:
        yield
    finally:
        app.state.workers.close()
        app.state.store.close()


def worker_text(app: FastAPI) -> bytes:
    """The service worker with the list of what it keeps; another text whenever any of that changes."""
    assets = app.state.assets
    sums = hashlib.sha256(assets.digest.encode())
    for text in shell.template_texts():
        sums.update(text)
    kept = {
        "version": sums.hexdigest()[:16],
        "assets": sorted(f"/assets/{name}" for name in assets.served),
        "pages": list(KEPT_PAGES),
    }
    return b"self.KEEP=" + json.dumps(kept).encode() + b";\n" + bytes(assets.worker)


def _serve_assets(app: FastAPI) -> None:
    assets = app.state.assets
    worker = worker_text(app)

    @app.api_route("/assets/{name}", methods=["GET", "HEAD"], include_in_schema=False)
    def asset(name: str, request: Request) -> Response:
        found = assets.served.get(name)
        if found is None:
            raise HTTPException(404)
        headers = {"cache-control": FOR_A_YEAR, "vary": "accept-encoding"}
        packed = "." + name.rpartition(".")[2] in PACKED and "gzip" in request.headers.get("accept-encoding", "")
        if packed:
            headers["content-encoding"] = "gzip"
        return Response(found.packed if packed else found.body, media_type=found.kind, headers=headers)

    @app.get("/worker.js", include_in_schema=False)
    def service_worker() -> Response:
        headers = {"cache-control": ASK_EACH_TIME, "service-worker-allowed": "/"}
        return Response(worker, media_type=TYPES[".js"], headers=headers)

    @app.get("/favicon.ico", include_in_schema=False)
    def favicon() -> Response:
        return asset_named("icon-192.png")

    @app.get("/licences.txt", include_in_schema=False)
    def licences() -> Response:
        return Response(assets.licences, media_type=TYPES[".txt"], headers={"cache-control": ASK_EACH_TIME})

    @app.get("/manifest.webmanifest", include_in_schema=False)
    def manifest() -> Response:
        body = {
            "id": "/",
            "name": "Drainwright",
            "short_name": "Drainwright",
            "description": "From one visit's measurements to a drainage job.",
            "lang": "en",
            "start_url": "/",
            "scope": "/",
            "display": "standalone",
            "background_color": "#faf8f3",
            "theme_color": "#2f5d50",
            "icons": [
                {"src": assets.url("icon.svg"), "sizes": "any", "type": "image/svg+xml"},
                {"src": assets.url("icon-192.png"), "sizes": "192x192", "type": "image/png"},
                {"src": assets.url("icon-512.png"), "sizes": "512x512", "type": "image/png", "purpose": "any maskable"},
            ],
        }
        headers = {"cache-control": ASK_EACH_TIME}
        return Response(json.dumps(body), media_type="application/manifest+json", headers=headers)

    @app.get("/api/v1/form-token", summary="The token that unsafe requests carry in the header x-form-token")
    def form_token(request: Request) -> JSONResponse:
        response = JSONResponse({"form_token": token_of(request)})
        keep_token(request, response)
        return response

    def asset_named(plain: str) -> Response:
        found = assets.served[assets.names[plain]]
        return Response(found.body, media_type=found.kind, headers={"cache-control": ASK_EACH_TIME})


__all__ = ["KEPT_PAGES", "make_app", "worker_text"]
