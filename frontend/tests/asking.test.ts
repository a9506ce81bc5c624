import assert from "node:assert/strict";
import { test } from "node:test";
import { Asking, type Draft, type Far } from "../src/plan/asking";
import type { Answer } from "../src/plan/model";

const pause = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));
const draft = (base: number): Draft => ({ base, operations: [] });

function watched(answer: (far: Far) => Answer): { asking: Asking; sent: string[]; told: string[] } {
  const sent: string[] = [];
  const told: string[] = [];
  const asking: Asking = new Asking(
    async ({ base }, far) => {
      sent.push(`${base} ${far}`);
      await pause(30);
      return answer(far);
    },
    (_, current) => told.push(`${current ? "current" : "old"} ${asking.behind ? "behind" : asking.working ? "storm to come" : "done"}`),
    (words) => told.push(words),
  );
  return { asking, sent, told };
}

const drawn = (far: Far): Answer => ({ drawn: { built: far !== "laid", storm_run: far === "proven" } as never });

test("a draft is answered by its lines first, then with its price, then whole once nothing changes", async () => {
  const { asking, sent, told } = watched(drawn);
  asking.ask(draft(1));
  assert.ok(asking.working && asking.behind);
  await pause(1000);
  assert.deepEqual(sent, ["1 laid", "1 priced", "1 proven"]);
  assert.deepEqual(told, ["current storm to come", "current storm to come", "current done"]);
  assert.ok(!asking.working);
});

test("while things move no storm is asked for, and only the newest draft is told whole", async () => {
  const { asking, sent } = watched(drawn);
  for (let base = 1; base <= 6; base += 1) {
    asking.ask(draft(base));
    await pause(150);
  }
  assert.ok(sent.every((one) => !one.endsWith("proven")));
  await pause(1000);
  assert.deepEqual(sent.filter((one) => one.endsWith("proven")), ["6 proven"]);
});

test("what cannot be designed is not asked for again", async () => {
  const { asking, sent, told } = watched(() => ({ problems: [] }));
  asking.ask(draft(1));
  await pause(800);
  assert.deepEqual(sent, ["1 laid"]);
  assert.deepEqual(told, ["current done"]);
});
