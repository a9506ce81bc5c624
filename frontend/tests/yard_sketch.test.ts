// The yard's sketch: to scale, a tap finds the nearest, names do not lie on each other.
import assert from "node:assert/strict";
import { test } from "node:test";
import { WIDE, bar, byNearness, framed, labelled } from "../src/yard/job/drawing";
import { levelsKnown, placeTold, spotsOf } from "../src/yard/job/reckon";

const LOT = [
  { name: "A", at: [0, 0] as const },
  { name: "B", at: [12, 0] as const },
  { name: "C", at: [12, 8] as const },
];

test("lengths on the sketch are lengths on the ground, north up, and a place comes back from its mark", () => {
  const frame = framed(LOT.map(({ at }) => at));
  assert.ok(frame);
  const [a, b, c] = LOT.map(({ at }) => frame.put(at));
  assert.ok(a && b && c);
  assert.ok(Math.abs(b[0] - a[0] - 12 * frame.scale) < 1e-9);
  assert.ok(Math.abs(b[1] - c[1] - 8 * frame.scale) < 1e-9);
  for (const { at } of LOT) frame.ground(frame.put(at)).forEach((one, n) => assert.ok(Math.abs(one - (at[n] ?? 0)) < 1e-9));
  for (const [x, y] of [a, b, c]) assert.ok(x >= 0 && x <= WIDE && y >= 0 && y <= frame.high);
  assert.ok(framed([[3, 4]])); // one point alone has its sketch
  assert.equal(framed([]), undefined);
});

test("the bar is a round length, drawn to scale", () => {
  const frame = framed(LOT.map(({ at }) => at));
  assert.ok(frame);
  const { long, words } = bar(frame, "SI");
  assert.equal(words, "2 m");
  assert.ok(Math.abs(long - 2 * frame.scale) < 1e-9);
  assert.match(bar(frame, "US").words, /^[125]0? ft$/);
});

test("a tap finds the nearest, and tells how far the others are", () => {
  const frame = framed(LOT.map(({ at }) => at));
  assert.ok(frame);
  const [x, y] = frame.put([12, 0]);
  const near = byNearness(LOT, frame, [x + 3, y - 4]);
  assert.equal(near[0]?.place.name, "B");
  assert.ok(Math.abs((near[0]?.apart ?? 0) - 5) < 1e-9);
  assert.equal(near.at(-1)?.place.name, "A");
});

test("of names that would lie on each other the first is written, and no name covers a mark", () => {
  const many = Array.from({ length: 40 }, (_, n) => ({ name: `P${n}`, at: [(n % 8) * 0.4, Math.floor(n / 8) * 3] as const }));
  const frame = framed(many.map(({ at }) => at));
  assert.ok(frame);
  const labels = labelled(many, frame);
  assert.equal(labels[0]?.words, "P0");
  assert.ok(labels.length > 5 && labels.length <= 40);
  const boxes = labels.map(({ words, on }) => [on[0], on[1] - 11, on[0] + 7 * words.length, on[1] + 2] as const);
  boxes.forEach((a, n) => boxes.slice(n + 1).forEach((b) => assert.ok(a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1])));
  for (const { at } of many) {
    const [x, y] = frame.put(at);
    assert.ok(boxes.every(([left, top, right, base]) => x < left || x > right || y < top || y > base));
  }
});

const TAPED = {
  units: "SI",
  survey: {
    perimeter: { start: "A", at: "0 m, 0 m", bearing: "90 deg", legs: [{ to: "B", length: "12 m", turn: "-90 deg" }] },
    benchmark: { name: "BM", elevation: "100 m" },
    points: [{ name: "P1", east: "3 m", north: "-4 m", level: "99.5 m" }, { name: "P2", east: "5 m", north: "-4 m" }],
    level_book: [{ point: "BM", backsight: "1.5 m" }, { point: "P2", intermediate: "2.1 m" }],
  },
};

test("a walk that is not closed stands as it was taped, and levels come from book and points", () => {
  const spots = spotsOf(TAPED);
  assert.deepEqual(spots.map(({ name, rough }) => [name, rough]), [["A", true], ["B", true], ["P1", false], ["P2", false]]);
  assert.ok(Math.abs((spots[1]?.at[0] ?? 0) - 12) < 1e-9);
  const levels = levelsKnown(TAPED);
  assert.equal(levels.get("P1"), 99.5);
  assert.ok(Math.abs((levels.get("P2") ?? 0) - 99.4) < 1e-9);
});

test("words that name a place are found, others are left", () => {
  assert.deepEqual(placeTold(TAPED, "P1"), [3, -4]);
  assert.deepEqual(placeTold(TAPED, "at P1"), [3, -4]);
  assert.deepEqual(placeTold(TAPED, "2.5 m, -1 m"), [2.5, -1]);
  assert.equal(placeTold(TAPED, "north wall, left"), undefined);
});
