"""Signing out on a device: what the office showed is forgotten, what was not sent stays and is told."""

from __future__ import annotations

from pathlib import Path

from tests.office.browser import chromium, serving
from tests.office.visitors import PASSWORD, office, staffed

PUT = """async () => {
  const open = (make) => new Promise((settle, fail) => {
    const asked = indexedDB.open("drainwright", 1);
    asked.onupgradeneeded = () => {
      const made = asked.result.createObjectStore("operations", { keyPath: "order", autoIncrement: true });
      made.createIndex("job", "job");
      made.createIndex("id", "id", { unique: true });
      asked.result.createObjectStore("sheets");
    };
    asked.onsuccess = () => settle(asked.result);
    asked.onerror = () => fail(asked.error);
  });
  const db = await open();
  const change = db.transaction(["operations", "sheets"], "readwrite");
  change.objectStore("operations").add({ id: "one", job: "j", path: "title", value: "x", was: null, state: "waiting" });
  change.objectStore("sheets").put({ title: "Wet cellar" }, "record j");
  change.objectStore("sheets").put({ rows: [] }, "own book");
  await new Promise((settle) => { change.oncomplete = settle; });
  db.close();
  await (await caches.open("yard-pages")).put("/jobs/j/yard", new Response("Wet cellar"));
}"""
KEPT = """async () => {
  const db = await new Promise((settle) => {
    const asked = indexedDB.open("drainwright");
    asked.onsuccess = () => settle(asked.result);
  });
  const all = (name, what) => new Promise((settle) => {
    const asked = db.transaction(name).objectStore(name)[what]();
    asked.onsuccess = () => settle(asked.result);
  });
  const found = { operations: (await all("operations", "getAll")).map((one) => one.id),
                  sheets: await all("sheets", "getAllKeys"), pages: await caches.has("yard-pages") };
  db.close();
  return found;
}"""


def test_a_device_forgets_what_it_was_shown_and_keeps_what_was_not_sent(tmp_path: Path) -> None:
    with office(tmp_path) as app:
        staffed(app)
        with serving(app) as served, chromium() as browser:
            page = browser.new_page(viewport={"width": 390, "height": 844})
            page.goto(f"{served.address}/")
            assert page.url == f"{served.address}/sign-in?back=/"
            page.get_by_label("Email").fill("crew@example.org")
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            page.wait_for_url(f"{served.address}/")
            page.evaluate(PUT)
            page.get_by_role("button", name="Sign out").click()
            page.get_by_role("heading", name="1 entry was not sent").wait_for()
            page.get_by_role("button", name="Stay signed in").click()
            assert page.evaluate(KEPT)["pages"]
            assert page.url == f"{served.address}/"
            page.get_by_role("button", name="Sign out").click()
            page.get_by_role("button", name="Sign out all the same").click()
            page.wait_for_url(f"{served.address}/sign-in")
            assert page.evaluate(KEPT) == {"operations": ["one"], "sheets": ["own book"], "pages": False}
            page.goto(f"{served.address}/me")
            assert "/sign-in" in page.url
