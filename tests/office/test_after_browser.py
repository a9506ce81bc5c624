"""After the job in a browser, at both sizes: a record put in by its file, and what it comes to; a visit typed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from drainwright.design import Design
from drainwright.office.store.opening import Store

from .browser import SIZES, Served, watched
from .finished import choked
from .stored import keep_example

if TYPE_CHECKING:
    from playwright.sync_api import Browser

FIELDS = "main a.button, main button, main input:not([type=checkbox]), main select, .choice label"
SMALL = f"""[...document.querySelectorAll('{FIELDS}')].filter(
  one => one.offsetParent && one.type !== 'hidden' && one.offsetHeight < 44).length"""


@pytest.mark.parametrize("size", SIZES)
def test_a_proof_is_put_in_from_a_file_and_a_visit_is_typed(
    browser: Browser, served: Served, kept: Store, pumped: Design, tmp_path: Path, size: str
) -> None:
    job = keep_example(kept, "block-wall-house")
    file = tmp_path / "proof.yaml"
    file.write_text(choked(pumped), encoding="utf-8")
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
    context.set_default_timeout(120_000)
    page = context.new_page()
    wrong = watched(page, served.address)
    page.goto(f"{served.address}/jobs/{job}")
    page.get_by_role("link", name="After", exact=True).click()
    page.get_by_role("link", name="Proof").click()
    page.set_input_files("#file", file)
    page.get_by_role("button", name="Take the file in").click()
    page.wait_for_url("**/after/proof?saved=1")
    assert "Not to be signed off yet" in page.inner_text(".lead")
    assert "gpm" in page.inner_text("dl.figures")
    page.get_by_text("What was measured").first.click()
    assert page.locator("table.told").first.is_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate(SMALL) == 0
    page.goto(f"{served.address}/jobs/{job}/after/visits")
    page.get_by_label("In service since").fill("2026-12-01")
    page.get_by_label("Day of the visit").fill("2027-12-01")
    page.get_by_label("Roots").check()
    page.get_by_label("Pump’s flow by drawdown").fill("66.1")
    assert page.evaluate(SMALL) == 0
    page.get_by_role("button", name="Note the visit").click()
    page.wait_for_url("**/after/visits?saved=1")
    assert "66.1 gpm" in page.inner_text("table.told")
    assert "Next visit by" in page.inner_text(".lead")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not wrong
    context.close()
