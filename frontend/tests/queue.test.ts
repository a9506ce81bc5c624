// The queue loses nothing: not without a network, not by half an answer, not when it is asked twice.
import assert from "node:assert/strict";
import { test } from "node:test";
import { MemoryDrawer } from "../src/offline/drawer";
import type { Operation } from "../src/offline/operation";
import { MOST_AT_ONCE, Queue, type Post } from "../src/offline/queue";
import { isYardPage } from "../src/offline/yard_pages";

/** An office that takes what it is given, and each id once. */
class Office {
  readonly applied: Operation[] = [];
  readonly batches: number[] = [];

  readonly post: Post = async (_job, operations) => {
    this.batches.push(operations.length);
    for (const one of operations) if (!this.applied.some(({ id }) => id === one.id)) this.applied.push(one);
    return operations.map(({ id }) => ({ id, state: "applied", revision: this.applied.length }));
  };
}

function queueWith(post: Post, drawer = new MemoryDrawer()): Queue {
  let count = 0;
  return new Queue(drawer, post, () => `id-${++count}`, () => new Date(0));
}

test("operations go in the order of typing, and are gone when the office took them", async () => {
  const office = new Office();
  const queue = queueWith(office.post);
  for (let n = 0; n < 5; n++) await queue.add("j", `survey.tapes[${n}].distance`, `${n} ft`, null);
  assert.deepEqual(await queue.send("j"), { applied: 5, conflicts: 0, refused: 0, waiting: 0 });
  assert.deepEqual(office.applied.map(({ value }) => value), ["0 ft", "1 ft", "2 ft", "3 ft", "4 ft"]);
  assert.equal("order" in (office.applied[0] ?? {}), false);
  assert.deepEqual(await queue.all("j"), []);
});

test("without a network all of it waits, and goes later", async () => {
  const office = new Office();
  let down = true;
  const queue = queueWith((job, operations) => (down ? Promise.reject(new TypeError("failed to fetch")) : office.post(job, operations)));
  await queue.add("j", "a", 1, null);
  assert.deepEqual(await queue.send("j"), { applied: 0, conflicts: 0, refused: 0, waiting: 1, stopped: "failed to fetch" });
  down = false;
  assert.equal((await queue.send("j")).applied, 1);
});

test("an answer that is lost does no harm: the same ids are sent again", async () => {
  const office = new Office();
  let lost = true;
  const queue = queueWith(async (job, operations) => {
    const answers = await office.post(job, operations);
    if (lost) throw new Error("connection reset");
    return answers;
  });
  await queue.add("j", "a", 1, null);
  await queue.send("j");
  lost = false;
  assert.equal((await queue.send("j")).applied, 1);
  assert.equal(office.applied.length, 1);
});

test("many are sent in parts", async () => {
  const office = new Office();
  const queue = queueWith(office.post);
  for (let n = 0; n < 2 * MOST_AT_ONCE + 1; n++) await queue.add("j", "a", n, null);
  assert.equal((await queue.send("j")).applied, 2 * MOST_AT_ONCE + 1);
  assert.deepEqual(office.batches, [MOST_AT_ONCE, MOST_AT_ONCE, 1]);
});

test("what the office says nothing of, or nothing readable, goes on waiting", async () => {
  const answers = [{ id: "id-1", state: "applied", revision: 1 }, { id: "id-2" }, null, { id: "other", state: "applied", revision: 1 }];
  const queue = queueWith(async () => answers);
  for (const path of ["a", "b", "c"]) await queue.add("j", path, 1, null);
  assert.deepEqual(await queue.send("j"), { applied: 1, conflicts: 0, refused: 0, waiting: 2 });
  assert.deepEqual((await queue.all("j")).map(({ id, state }) => [id, state]), [["id-2", "waiting"], ["id-3", "waiting"]]);
});

test("a conflict keeps both until a person has settled it", async () => {
  const said: Operation[] = [];
  let first = true;
  const queue = queueWith(async (_job, operations) => {
    said.push(...operations);
    const state = first ? { state: "conflict", revision: 7, theirs: "3 ft", who: "Ann" } : { state: "applied", revision: 8 };
    first = false;
    return operations.map(({ id }) => ({ id, ...state }));
  });
  await queue.add("j", "house.depth", "2 ft", "1 ft");
  assert.deepEqual(await queue.send("j"), { applied: 0, conflicts: 1, refused: 0, waiting: 0 });
  const [kept] = await queue.all("j");
  assert.equal(kept?.state, "conflict");
  assert.equal(kept?.value, "2 ft");
  assert.deepEqual(kept?.answer, { id: "id-1", state: "conflict", revision: 7, theirs: "3 ft", who: "Ann" });
  assert.deepEqual(await queue.send("j"), { applied: 0, conflicts: 0, refused: 0, waiting: 0 }); // not sent again by itself
  await queue.settle("id-1", "j", "mine");
  assert.equal((await queue.send("j")).applied, 1);
  assert.deepEqual([said[1]?.id, said[1]?.value, said[1]?.was], ["id-2", "2 ft", "3 ft"]);
  assert.deepEqual(await queue.all("j"), []);
});

test("what was refused stays, is not insisted on, and can be let go", async () => {
  const queue = queueWith(async (_job, operations) =>
    operations.map(({ id }) => ({ id, state: "refused", found: "'x'", expected: "a length" })));
  await queue.add("j", "a", "x", null);
  assert.equal((await queue.send("j")).refused, 1);
  await queue.settle("id-1", "j", "mine");
  assert.equal((await queue.all("j")).length, 1);
  await queue.settle("id-1", "j", "theirs");
  assert.deepEqual(await queue.all("j"), []);
});

test("asked twice at once it sends once", async () => {
  const office = new Office();
  const queue = queueWith(office.post);
  await queue.add("j", "a", 1, null);
  await Promise.all([queue.send("j"), queue.send("j")]);
  assert.deepEqual(office.batches, [1]);
});

test("what is typed while it sends is sent in the same round, and jobs do not mix", async () => {
  const office = new Office();
  const drawer = new MemoryDrawer();
  const queue = queueWith(async (job, operations) => {
    if (office.batches.length === 0) await queue.add("j", "late", 2, null);
    return office.post(job, operations);
  }, drawer);
  await queue.add("j", "a", 1, null);
  await queue.add("k", "b", 1, null);
  assert.equal((await queue.send("j")).applied, 2);
  assert.deepEqual(await drawer.jobs(), ["k"]);
});

test("yard pages are told from others", () => {
  for (const path of ["/yard", "/yard/", "/yard/begun", "/jobs/17/yard", "/jobs/17/yard/walk"]) assert.ok(isYardPage(path), path);
  for (const path of ["/", "/yards", "/jobs/17", "/jobs/17/yardage", "/c/yard", "/jobs/yard"]) assert.ok(!isYardPage(path), path);
});

test("what the office may have is undone by the entry that takes it out again; what never left just goes", async () => {
  const office = new Office();
  let lost = false;
  const queue = queueWith(async (job, operations) => {
    const answers = await office.post(job, operations);
    if (lost) throw new Error("connection reset");
    return answers;
  });
  const one = await queue.add("j", "a", 1, null);
  assert.equal(await queue.undo(one, { path: "a", value: null }), "gone");
  assert.deepEqual(await queue.all("j"), []);
  lost = true;
  const other = await queue.add("j", "a", 2, null);
  await queue.send("j");
  assert.equal(await queue.undo(other, { path: "a", value: null }), "followed");
  lost = false;
  await queue.send("j");
  assert.deepEqual(office.applied.map(({ value, was }) => [value, was]), [[2, null], [null, 2]]);
});

test("what was taken back and did not come to stand asks nobody to choose", async () => {
  let down = true;
  const queue = queueWith(async (_job, operations) => {
    if (down) throw new TypeError("failed to fetch");
    return operations.map(({ id }) => ({ id, state: "conflict", revision: 3, theirs: 9, who: "Ann" }));
  });
  const one = await queue.add("j", "a", 1, null);
  await queue.send("j");
  await queue.undo(one, { path: "a", value: null });
  down = false;
  await queue.send("j");
  assert.deepEqual(await queue.all("j"), []);
});
