"""All pages of the app, at both sizes and in all lights, as pictures in a folder: to be looked at.

Run: ``python -m tests.office.look FOLDER [--light light --light dark] [--page water] [--folded]``
"""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from drainwright.office.app import make_app
from drainwright.office.pages.shell import THEMES
from drainwright.office.settings import Settings

from .all_pages import every_page
from .browser import SIZES, chromium, serving, watched

if TYPE_CHECKING:
    from playwright.sync_api import Browser

HIGHEST = 6000  # of a picture [px]: what lies further down is cut
BUSY = "[aria-busy=true]"


def look(folder: Path, lights: list[str], wanted: list[str], *, folded: bool) -> list[str]:
    """Make the pictures; gives what went wrong on any page."""
    folder.mkdir(parents=True, exist_ok=True)
    wrong: list[str] = []
    with TemporaryDirectory() as kept:
        url = f"sqlite:///{kept}/store.sqlite"
        ways = [way for way in every_page(url) if not wanted or any(one in way for one in wanted)]
        with serving(make_app(Settings(store=url))) as served, chromium() as browser:
            for size in SIZES:
                for number, way in enumerate(ways):
                    wrong += _pictures(browser, served.address, way, number, size, lights, folder, folded)
    return wrong


def _pictures(
    browser: Browser, address: str, way: str, number: int, size: str, lights: list[str], folder: Path, folded: bool
) -> list[str]:  # fmt: skip
    width, height = SIZES[size]
    wrong: list[str] = []
    name = re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}|[?].*", "", way).strip("/").replace("/", "_") or "home"
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
    context.set_default_timeout(120_000)
    page = context.new_page()
    found = watched(page, address)
    page.goto(address + way, wait_until="networkidle", timeout=120_000)
    if not folded:
        page.evaluate("document.querySelectorAll('main details').forEach(one => { one.open = true; })")
    page.evaluate("document.querySelectorAll('img[loading]').forEach(one => { one.loading = 'eager' })")
    page.locator(BUSY).first.wait_for(state="detached")
    page.wait_for_load_state("networkidle")
    wide, high = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]")
    wrong += [f"{way} {size}: {wide} wide"] if wide > width else []
    clip = {"x": 0, "y": 0, "width": width, "height": min(high, HIGHEST)}
    for light in lights:
        page.get_by_role("button", name=THEMES[light], exact=True).click()
        page.evaluate("scrollTo(0, 0)")
        page.screenshot(path=folder / f"{number:02}-{name}-{size}-{light}.png", full_page=True, clip=clip)
    context.close()
    return wrong + [f"{way} {size}: {one}" for one in found]


if __name__ == "__main__":
    wishes = argparse.ArgumentParser()
    wishes.add_argument("folder", type=Path)
    wishes.add_argument("--light", action="append", default=[], choices=list(THEMES))
    wishes.add_argument("--page", action="append", default=[])
    wishes.add_argument("--folded", action="store_true", help="leave shut what folds")
    asked = wishes.parse_args()
    for one in look(asked.folder, asked.light or list(THEMES), asked.page, folded=asked.folded):
        print(one)
