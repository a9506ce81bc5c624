// Ties and the perimeter walk as the office reduces them.
import assert from "node:assert/strict";
import { test } from "node:test";
import ties from "../../tests/office/vectors/ties.json";
import walks from "../../tests/office/vectors/walks.json";
import { TiesMissError, fixByTies, type Plan } from "../src/yard/ties";
import { WalkError, reduceWalk, type Leg, type Walk } from "../src/yard/walk";

function plan(written: readonly string[]): Plan {
  return [Number(written[0]), Number(written[1])];
}

function same(found: number | undefined, expected: string | undefined, what: string): void {
  const value = expected === "inf" ? Infinity : Number(expected);
  assert.ok(Object.is(found, value), `${what}: ${found}, not ${expected}`);
}

test("ties give the office's places, to the last bit", () => {
  assert.ok(ties.length >= 200);
  let missed = 0;
  ties.forEach((one, number) => {
    const given = one.anchors.map((anchor, n) => ({ anchor: plan(anchor), distance: Number(one.distances[n]) }));
    const what = `ties ${number}`;
    if (one.gap !== undefined) {
      missed += 1;
      assert.throws(
        () => fixByTies(given, Number(one.tape)),
        (error: unknown) => {
          assert.ok(error instanceof TiesMissError, String(error));
          same(error.gap, one.gap, what);
          assert.deepEqual([error.first, error.second], one.pair, what);
          return true;
        },
      );
      return;
    }
    const fixes = fixByTies(given, Number(one.tape));
    assert.equal(fixes.length, one.fixes?.length, what);
    fixes.forEach((fix, n) => {
      const expected = one.fixes?.[n];
      same(fix.at[0], expected?.at[0], `${what} east`);
      same(fix.at[1], expected?.at[1], `${what} north`);
      same(fix.residual, expected?.residual, `${what} residual`);
      same(fix.standardError, expected?.standard_error, `${what} standard error`);
      same(fix.misfit, expected?.misfit, `${what} misfit`);
      assert.equal(fix.weak, expected?.weak, what);
      assert.ok(Math.abs(fix.angle - Number(expected?.angle)) <= 4 * Number.EPSILON, what); // the machine's arc sine
    });
  });
  assert.ok(missed > 10, `${missed} missed`);
});

test("walks give the office's corners, but for the last digits of sine and cosine", () => {
  assert.ok(walks.length >= 100);
  let [refused, blunders] = [0, 0];
  walks.forEach((one, number) => {
    const what = `walk ${number}`;
    const legs = one.walk.legs.map((leg): Leg => ({
      to: leg.to, length: Number(leg.length), ...(leg.turn === undefined ? {} : { turn: Number(leg.turn) }),
    }));
    const { start, adjust } = one.walk;
    const walk: Walk = { start, at: plan(one.walk.at), bearing: Number(one.walk.bearing), legs, adjust };
    if (one.found?.startsWith("turns")) {
      refused += 1;
      assert.throws(
        () => reduceWalk(walk),
        (error: unknown) => {
          assert.ok(error instanceof WalkError, String(error));
          const named = /explain it at: (.*)\.$/.exec(one.hint ?? "")?.[1] ?? "";
          assert.equal(error.suspects.join(", "), named, what);
          return true;
        },
      );
      return;
    }
    const found = reduceWalk(walk);
    assert.equal(found.blunder, one.walked === undefined, what);
    if (!one.walked) {
      blunders += 1;
      return;
    }
    same(found.perimeter, one.walked.perimeter, what);
    if (one.walked.angular === null) assert.equal(found.angularMisclosure, null);
    else same(found.angularMisclosure ?? undefined, one.walked.angular, what);
    const near = 8 * Number.EPSILON * found.perimeter;
    assert.ok(Math.abs(found.closureEast - Number(one.walked.east)) <= near, what);
    assert.ok(Math.abs(found.closureNorth - Number(one.walked.north)) <= near, what);
    for (const [name, corner] of Object.entries(one.walked.corners)) {
      const [east, north] = found.corners.get(name) ?? [NaN, NaN];
      assert.ok(Math.abs(east - Number(corner[0])) <= near && Math.abs(north - Number(corner[1])) <= near, `${what} ${name}`);
    }
    assert.equal(found.corners.size, Object.keys(one.walked.corners).length, what);
  });
  assert.ok(refused > 3 && blunders > 3, `${refused} refused, ${blunders} blunders`);
});
