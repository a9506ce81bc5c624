// Quantities read and written as at the office: the same floats and the same words.
import assert from "node:assert/strict";
import { test } from "node:test";
import readings from "../../tests/office/vectors/readings.json";
import writings from "../../tests/office/vectors/writings.json";
import { Fraction, exactSum } from "../src/yard/fraction";
import { QuantityError, parse } from "../src/yard/reading";
import type { Kind, System } from "../src/yard/units";
import { write } from "../src/yard/writing";

test("texts are read as at the office, to the last bit, or refused in the same words", () => {
  assert.ok(readings.length > 900);
  for (const one of readings) {
    const kind = one.kind as Kind;
    if (one.value !== undefined) {
      const found = parse(one.text, kind);
      assert.ok(Object.is(found, Number(one.value)), `${kind} ${JSON.stringify(one.text)}: ${found}, not ${one.value}`);
      continue;
    }
    assert.throws(
      () => parse(one.text, kind),
      (error: unknown) => {
        assert.ok(error instanceof QuantityError, String(error));
        const expected = [one.found, one.expected, one.hint];
        assert.deepEqual([error.found, error.expected, error.hint], expected, `${kind} ${JSON.stringify(one.text)}`);
        return true;
      },
      `${kind} ${JSON.stringify(one.text)}`,
    );
  }
});

test("values are written as at the office", () => {
  assert.ok(writings.length > 500);
  for (const one of writings) {
    const text = write(Number(one.value), one.kind as Kind, one.system as System, one.style, one.digits ?? undefined);
    assert.equal(text, one.text, `${one.kind} ${one.value} ${one.style} ${one.digits}`);
  }
});

test("a float is the nearest to its fraction, and its fraction is exact", () => {
  const hard = [0.1, 1 / 3, Number.MIN_VALUE, 2.2250738585072014e-308, 2.225073858507201e-308, Number.MAX_VALUE, 2 ** 53 - 1, -5e-324];
  for (const value of hard) assert.equal(Fraction.of(value).toNumber(), value);
  assert.equal(new Fraction(2n ** 53n + 1n).toNumber(), 2 ** 53); // half-way: to the even one
  assert.equal(new Fraction(2n ** 53n + 3n).toNumber(), 2 ** 53 + 4);
  assert.equal(new Fraction(2n ** 54n - 1n).toNumber(), 2 ** 54); // rounds up into the next power
  assert.equal(new Fraction(1n, 2n ** 1075n).toNumber(), 0); // half of the least float: to the even one, zero
  assert.equal(new Fraction(3n, 2n ** 1075n).toNumber(), 2 * Number.MIN_VALUE);
  assert.equal(new Fraction(2n ** 1024n).toNumber(), Infinity);
});

test("a sum is rounded once", () => {
  assert.equal(exactSum([1e16, 1, -1e16]), 1);
  assert.equal(exactSum(Array.from({ length: 10 }, () => 0.1)), 1);
  assert.equal(exactSum([]), 0);
});
