"""All pages of a job, at both sizes and in the lights asked for, as pictures in a folder: to be looked at.

Run: ``python -m tests.office.look FOLDER [--job block-wall-house] [--light light --light dark] [--page water]``
"""

from __future__ import annotations

import argparse
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from drainwright.office.app import make_app
from drainwright.office.settings import Settings
from drainwright.office.store.opening import open_store

from .browser import SIZES, chromium, serving, watched
from .stored import keep_example

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PAGES = (
    "", "water", "system", "storm", "dig", "price", "papers", "schemes", "what-if", "answers", "worksheet",
)  # fmt: skip


def look(folder: Path, name: str, lights: list[str], pages: list[str]) -> list[str]:
    """Make the pictures; gives what went wrong on any page."""
    folder.mkdir(parents=True, exist_ok=True)
    wrong: list[str] = []
    with TemporaryDirectory() as kept:
        url = f"sqlite:///{kept}/store.sqlite"
        store = open_store(url)
        job = keep_example(store, name)
        store.close()
        with serving(make_app(Settings(store=url))) as served, chromium() as browser:
            for light in lights:
                for page in pages:
                    wrong += _pictures(browser, served.address, f"/jobs/{job}", page, light, folder)
    return wrong


def _pictures(browser: Browser, address: str, way: str, page: str, light: str, folder: Path) -> list[str]:
    wrong: list[str] = []
    for size, (width, height) in SIZES.items():
        context = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
        context.add_cookies([{"name": "theme", "value": light, "url": address}])
        context.set_default_timeout(120_000)
        tab = context.new_page()
        found = watched(tab, address)
        tab.goto(f"{address}{way}/{page}".rstrip("/"), wait_until="networkidle", timeout=120_000)
        tab.evaluate("document.querySelectorAll('img[loading]').forEach(one => { one.loading = 'eager' })")
        tab.wait_for_load_state("networkidle")
        wide = tab.evaluate("document.documentElement.scrollWidth")
        wrong += [f"{page} {size} {light}: {one}" for one in found]
        if wide > width:
            wrong.append(f"{page} {size} {light}: {wide} wide")
        tab.screenshot(path=folder / f"{page or 'first'}-{size}-{light}.png", full_page=True)
        context.close()
    return wrong


if __name__ == "__main__":
    wishes = argparse.ArgumentParser()
    wishes.add_argument("folder", type=Path)
    wishes.add_argument("--job", default="block-wall-house")
    wishes.add_argument("--light", action="append", default=[])
    wishes.add_argument("--page", action="append", default=[])
    asked = wishes.parse_args()
    for one in look(asked.folder, asked.job, asked.light or ["light"], asked.page or list(PAGES)):
        print(one)
