"""What waits on the device is in the browser's database: it outlives the page, and keeps its order."""

from __future__ import annotations

from pathlib import Path

from drainwright.office.app import make_app
from drainwright.office.settings import Settings

from .browser import chromium, serving
from .test_frontend_units import ROOT, _hook

TYPED = """async () => {
  const { queue } = await made('lost');
  for (const [job, path] of [['j', 'a'], ['k', 'x'], ['j', 'b'], ['j', 'c']]) await queue.add(job, path, 1, null);
  return await queue.send('j');
}"""
AFTER = """async () => {
  const { queue, drawer } = await made('applied');
  const kept = await queue.all('j');
  await drawer.add({ ...kept[0], order: undefined, path: 'again' });  // the same id: no second time
  const paths = (await queue.all('j')).map(one => one.path);
  const sent = await queue.send('j');
  await drawer.mark({ ...kept[0], state: 'refused' });  // gone: not brought back
  return { paths, sent, left: await queue.all('j'), jobs: await drawer.jobs() };
}"""


def test_operations_outlive_the_page_in_their_order(tmp_path: Path) -> None:
    hook = _hook()
    bundle = tmp_path / "drawer.js"
    source = ROOT / "frontend" / "tests" / "drawer_in_browser.ts"
    hook.run_node(
        hook.development(ROOT), "node_modules/esbuild/bin/esbuild", source, "--bundle", f"--outfile={bundle}",
        "--log-level=warning",
    )  # fmt: skip
    with chromium() as browser, serving(make_app(Settings())) as served:
        page = browser.new_context(bypass_csp=True).new_page()
        page.goto(served.address)
        page.add_script_tag(path=bundle)
        sent = page.evaluate(TYPED)
        assert sent == {"applied": 0, "conflicts": 0, "refused": 0, "waiting": 3, "stopped": "no network"}
        page.goto(f"{served.address}/offline")
        page.add_script_tag(path=bundle)
        after = page.evaluate(AFTER)
        assert after["paths"] == ["a", "b", "c"]
        assert after["sent"] == {"applied": 3, "conflicts": 0, "refused": 0, "waiting": 0}
        assert after["left"] == []
        assert after["jobs"] == ["k"]
