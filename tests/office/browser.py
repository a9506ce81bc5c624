"""A browser and the app for it: Debian's chromium by Playwright; skipped where it is missing, an error in CI."""

from __future__ import annotations

import contextlib
import os
import socket
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import uvicorn

if TYPE_CHECKING:
    from fastapi import FastAPI
    from playwright.sync_api import Browser, Page

CHROMIUM = Path("/usr/bin/chromium")
SIZES = {"phone": (390, 844), "desk": (1440, 900)}


def need_chromium() -> None:
    """Skip where there is no chromium; fail where there has to be one."""
    if not CHROMIUM.exists():
        if os.environ.get("DRAINWRIGHT_CI"):
            pytest.fail(f"{CHROMIUM} is missing")
        pytest.skip(f"{CHROMIUM} is missing")


@contextlib.contextmanager
def chromium() -> Iterator[Browser]:
    """A browser of its own."""
    from playwright.sync_api import sync_playwright

    need_chromium()
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox", "--disable-gpu"])
        try:
            yield browser
        finally:
            browser.close()


@dataclass
class Served:
    """The app on a port of its own, until it is stopped."""

    app: FastAPI
    door: socket.socket
    server: uvicorn.Server = field(init=False)
    thread: threading.Thread = field(init=False)
    address: str = field(init=False)

    def __post_init__(self) -> None:
        self.address = f"http://127.0.0.1:{self.door.getsockname()[1]}"
        patience = 1  # seconds for what is still asked when it stops
        config = uvicorn.Config(self.app, log_level="warning", ws="none", timeout_graceful_shutdown=patience)
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=lambda: self.server.run(sockets=[self.door]), daemon=True)
        self.thread.start()

    def stop(self) -> None:
        self.server.should_exit = True  # and not by force: that leaves the app without closing its store and workers
        self.thread.join(20)
        self.door.close()


@contextlib.contextmanager
def serving(app: FastAPI, port: int = 0) -> Iterator[Served]:
    """Serve an app; on a free port, or on the one that another was served on before."""
    served = Served(app, socket.create_server(("127.0.0.1", port)))
    try:
        yield served
    finally:
        if served.thread.is_alive():
            served.stop()


def watched(page: Page, address: str) -> list[str]:
    """What goes wrong on a page, as it happens: console errors, script errors, requests to elsewhere."""
    wrong: list[str] = []

    def console(message: Any) -> None:
        if message.type in {"error", "warning"}:
            wrong.append(f"console: {message.text}")

    page.on("console", console)
    page.on("pageerror", lambda error: wrong.append(f"script: {error}"))
    inside = (address, "blob:", "data:")
    page.on("request", lambda one: None if one.url.startswith(inside) else wrong.append(f"request: {one.url}"))
    return wrong
