"""Dragging on the plan in a browser: times of frames and of answers, printed.

Run: ``python -m benchmarks.plan_drag [example ...]``; it needs chromium and the test tools.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from tests.office.browser import chromium, serving

from drainwright.office.app import make_app
from drainwright.office.questions import BESIDE
from drainwright.office.settings import Settings
from drainwright.office.store.files import attach
from drainwright.office.store.jobs import open_job
from drainwright.office.store.opening import open_store
from drainwright.office.who import person_here

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
PATIENCE = 240_000  # the first design of a process may have to compile [ms]
STEPS, PAUSE = 60, 40  # of the pointer, and between two of them [ms]
DONE = "document.getElementById('state').textContent.startsWith"
PLACE = """() => {
  const { sight } = globalThis.planDesk, box = document.getElementById('map').getBoundingClientRect();
  const [x, y] = sight.pixel(sight.things.find(one => one.kind === 'inlet').places[0].at);
  return [x + box.left, y + box.top];
}"""
WATCH = """() => {
  globalThis.frames_ = [];
  let last = performance.now();
  const tick = now => { globalThis.frames_.push(now - last); last = now; requestAnimationFrame(tick); };
  requestAnimationFrame(tick);
}"""


def told(name: str, times: list[float]) -> str:
    """A row of figures."""
    times = sorted(times)
    if not times:
        return f"{name:30} none"
    late = times[min(len(times) - 1, int(0.95 * len(times)))]
    return f"{name:30} {len(times):4d}   median {statistics.median(times):7.0f} ms   19 in 20 {late:7.0f} ms"


def measure(example: str) -> list[str]:
    """Drag the first inlet of an example about, and see how long frames and answers take."""
    with tempfile.TemporaryDirectory() as scratch:
        url = f"sqlite:///{scratch}/store.sqlite"
        store = open_store(url)
        who, folder = person_here(store), EXAMPLES / example
        job = open_job(store, who.firm, (folder / "job.yaml").read_text(encoding="utf-8"), who.name).id
        for path in sorted(folder.rglob("*")):
            if path.is_file() and path.name != "job.yaml":
                attach(
                    store, who.firm, job, path.read_bytes(), name=path.relative_to(folder).as_posix(),
                    media_type="text/plain", who=who.name, kind=BESIDE,
                )  # fmt: skip
        store.close()
        with serving(make_app(Settings(store=url, workers=1))) as served, chromium() as browser:
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            page.goto(f"{served.address}/jobs/{job}/plan")
            wait(page, f"{DONE}('Saved')")
            x, y = page.evaluate(PLACE)
            page.mouse.move(x, y)
            page.mouse.down()
            page.mouse.move(x + 12, y)
            wait(page, "!globalThis.planDesk.asking.working")
            page.evaluate("globalThis.planDesk.asking.times.length = globalThis.planDesk.asking.priced.length = 0")
            page.evaluate("globalThis.planDesk.asking.wholes.length = 0")
            page.evaluate(WATCH)
            for step in range(STEPS):
                page.mouse.move(x + 12 + step % 20, y + step / 2)
                page.wait_for_timeout(PAUSE)
            page.mouse.up()
            frames = [float(one) for one in page.evaluate("globalThis.frames_")]
            wait(page, "!globalThis.planDesk.asking.working")
            answers = [float(one) for one in page.evaluate("globalThis.planDesk.asking.times")]
            priced = [float(one) for one in page.evaluate("globalThis.planDesk.asking.priced")]
            wholes = [float(one) for one in page.evaluate("globalThis.planDesk.asking.wholes")]
            runs = page.evaluate("globalThis.planDesk.drawn.runs.length")
    return [
        f"{example}, {runs} runs",
        told("  frames while dragging", frames),
        told("  first answers: lines, grades", answers),
        told("  with the price", priced),
        told("  whole answers", wholes),
    ]


def wait(page: object, condition: str) -> None:
    """Wait in the page; its security policy forbids evaluating text there otherwise."""
    loop = f"for (let n = 0; n < {PATIENCE // 100}; n++) {{ if ({condition}) return true;"
    text = f"async () => {{ {loop} await new Promise(done => setTimeout(done, 100)) }} return false }}"
    if not page.evaluate(text):  # type: ignore[attr-defined]
        raise RuntimeError(f"waited in vain for: {condition}")


if __name__ == "__main__":
    for example in sys.argv[1:] or ["block-wall-house", "long-house"]:
        print("\n".join(measure(example)), flush=True)
