import assert from "node:assert/strict";
import { test } from "node:test";
import { performed, reach, type Operation, type Value } from "../src/plan/document";
import { added, basinAt, bent, dug, housed, moved, removed, type Known } from "../src/plan/edits";
import { coordinate } from "../src/plan/model";
import { snapped } from "../src/plan/snap";
import { editOf, Steps } from "../src/plan/steps";

const RECORD: Value = {
  works: { inlets: [{ name: "CB1", at: "W1" }, { name: "CB2", at: "3 ft, 4 ft" }] },
  utilities: [{ name: "water service", route: ["0 ft, 0 ft", "10 ft, 0 ft"] }],
};

function known(record: Value): Known {
  return { record, units: "US", points: new Map([["W1", [1, 2]]]) };
}

function drawn(steps: Steps): void {
  const place = { path: "works.inlets[CB1].at", raw: "W1", at: [1, 2], point: "W1", holds: false } as const;
  steps.make(moved(known(steps.record), place, [0.3048, -0.6096]));
  const thing = { path: "works.inlets[CB1]", of: "works.inlets" } as never;
  steps.make(removed(known(steps.record), thing));
  steps.make(added(known(steps.record), "trees", { name: "oak", at: "0 ft, 0 ft" }));
  const line = { path: "utilities[water service]", bends: "utilities[water service].route" } as never;
  steps.make(bent(known(steps.record), line, 0, [1.524, 0.3048]));
}

test("steps do what they say", () => {
  const steps = new Steps(1, RECORD);
  drawn(steps);
  assert.equal(reach(steps.record, "works.inlets[CB1]"), undefined);
  assert.deepEqual(reach(steps.record, "utilities[water service].route"), ["0 ft, 0 ft", "5 ft, 1 ft", "10 ft, 0 ft"]);
  assert.equal(reach(performed(RECORD, steps.pending[0]?.operations ?? []), "works.inlets[CB1].at"), "1 ft, -2 ft");
});

test("steps that are not saved leave nothing behind when they are undone", () => {
  const steps = new Steps(1, RECORD);
  drawn(steps);
  while (steps.undo());
  assert.deepEqual(steps.pending, []);
  assert.deepEqual(steps.record, RECORD);
});

test("saved steps are undone by their inverse, an entry back in its place, and done again", () => {
  const first = new Steps(1, RECORD);
  drawn(first);
  const after = first.record;
  const second = new Steps(2, after);
  second.done = first.pending.map(({ step, operations }) => ({ id: step, operations: operations.map(editOf) }));
  while (second.undo());
  assert.equal(second.pending.length, 4);
  assert.deepEqual(second.record, RECORD);
  while (second.redo());
  assert.deepEqual(second.record, after);
  assert.deepEqual(second.pending, []);
});

test("no id is used twice", () => {
  const steps = new Steps(1, RECORD);
  drawn(steps);
  const ids = new Set(steps.operations.map((one: Operation) => one.id));
  steps.undo();
  steps.redo();
  steps.operations.slice(-1).forEach((one) => assert.ok(!ids.has(one.id)));
});

test("a place is drawn to points first, then to lines, then to the grid", () => {
  const target = { at: [1, 1], words: "on W1", point: "W1" } as const;
  const line = { from: [0, 0], to: [10, 0], words: "along it" } as const;
  assert.equal(snapped([1.1, 0.9], [target], [line], 0.5, 0.1).point, "W1");
  assert.deepEqual(snapped([5, 0.2], [target], [line], 0.5, 0.1).at, [5, 0]);
  assert.deepEqual(snapped([5.26, 3.74], [target], [line], 0.5, 0.5).at, [5.5, 3.5]);
});

test("coordinates are written as a crew reads them", () => {
  assert.equal(coordinate(3.7338, "US"), "12 ft 3 in");
  assert.equal(coordinate(-0.0762, "US"), "-3 in");
  assert.equal(coordinate(3.25, "SI"), "3.25 m");
  assert.equal(coordinate(-0.0001, "SI"), "0 m");
});

test("a basin that was put is taken out, the next takes its place, and all comes back", () => {
  const steps = new Steps(1, { works: { inlets: [], basin_place: "1 ft, 1 ft" } });
  const dig = (name: string): void => steps.make(dug(known(steps.record), basinAt(steps.record, name), { name, at: "0 ft, 0 ft" }));
  const out = (path: string): void => steps.make(removed(known(steps.record), { kind: "basin", path, of: "works" } as never));
  for (const name of ["SUMP", "SUMP2", "SUMP3"]) dig(name);
  const stood = steps.record;
  out("works.basin");
  assert.equal(reach(steps.record, "works.basin.name"), "SUMP2");
  out("works.more_basins[SUMP3]");
  out("works.basin");
  assert.equal(reach(steps.record, "works.basin"), undefined);
  for (let back = 0; back < 3; back += 1) steps.undo();
  assert.deepEqual(steps.record, stood);
  for (let on = 0; on < 3; on += 1) steps.redo();
  const saved = new Steps(2, steps.record);
  saved.done = steps.pending.map(({ step, operations }) => ({ id: step, operations: operations.map(editOf) }));
  for (let back = 0; back < 3; back += 1) saved.undo();
  assert.deepEqual(saved.record, stood);
});

test("a house that was put is taken out with its corners, but for one that something goes by", () => {
  const before: Value = { survey: { points: [{ name: "P", east: "1 ft", north: "1 ft", level: "99 ft", basis: "stated" }] }, house: { floor: "100 ft" } };
  const steps = new Steps(1, before);
  steps.make(housed(known(before), [["0 ft", "0 ft"], ["9 ft", "0 ft"], ["9 ft", "9 ft"], ["0 ft", "9 ft"]]));
  steps.make(added(known(steps.record), "downspouts", { name: "DS1", at: "B" }));
  const stood = steps.record;
  steps.make(removed(known(steps.record), { kind: "house", path: "house", of: "house" } as never));
  assert.deepEqual(((reach(steps.record, "survey.points") ?? []) as { name: string }[]).map(({ name }) => name), ["P", "B"]);
  assert.deepEqual(reach(steps.record, "house"), { floor: "100 ft" });
  const saved = new Steps(2, steps.record);
  saved.done = [{ id: "x", operations: (steps.pending.at(-1)?.operations ?? []).map(editOf) }];
  saved.undo();
  assert.deepEqual(saved.record, stood);
});
