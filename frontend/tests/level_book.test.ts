// The level book as the office reduces it.
import assert from "node:assert/strict";
import { test } from "node:test";
import books from "../../tests/office/vectors/books.json";
import { BookError, allowableMisclosure, reduceBook, type Row } from "../src/yard/level_book";

type Written = Record<string, string | undefined>;

function row(written: Written): Row {
  const values = Object.entries(written).filter(([key]) => key !== "point");
  return { point: written["point"] ?? "", ...Object.fromEntries(values.map(([key, value]) => [key, Number(value)])) };
}

function levels(written: Written): Map<string, number> {
  return new Map(Object.entries(written).map(([name, value]) => [name, Number(value)]));
}

function same(found: number | null | undefined, expected: string | null | undefined, what: string): void {
  if (expected === null || expected === undefined) assert.equal(found ?? null, null, what);
  else assert.ok(Object.is(found, Number(expected)), `${what}: ${found}, not ${expected}`);
}

test("books are reduced as at the office, to the last bit, or refused in the same words", () => {
  assert.ok(books.length >= 200);
  let refused = 0;
  books.forEach((one, number) => {
    const { rows, benchmarks, known } = one.book;
    const reduce = () => reduceBook((rows as Written[]).map(row), levels(benchmarks as Written), levels(known as Written));
    if (one.problems) {
      refused += 1;
      const told = one.problems.map(({ where, found, expected }) => ({ row: Number(/\[(\d+)\]/.exec(where)?.[1]), found, expected }));
      assert.throws(reduce, (error: unknown) => {
        assert.ok(error instanceof BookError, String(error));
        assert.deepEqual(error.problems, told);
        return true;
      });
      return;
    }
    const found = reduce();
    const expected = one.reduced;
    const what = `book ${number}`;
    assert.equal(found.setUps, expected?.set_ups, what);
    assert.equal(found.redundancy, expected?.redundancy, what);
    assert.equal(found.method === "proportional", expected?.proportional, what);
    same(found.worst?.misclosure, expected?.misclosure, what);
    same(found.worst?.allowable, expected?.allowable, what);
    same(found.arithmetic, expected?.arithmetic, what);
    assert.equal(found.lines.length, expected?.lines.length, what);
    found.lines.forEach((line, n) => {
      const other = expected?.lines[n];
      assert.equal(line.point, other?.point, what);
      same(line.instrumentHeight, other?.instrument, `${what} ${line.point} instrument`);
      same(line.level, other?.level, `${what} ${line.point} level`);
      same(line.adjusted, other?.adjusted, `${what} ${line.point} adjusted`);
    });
  });
  assert.ok(refused > 10, `${refused} refused`);
});

test("a mile of ordinary levelling may miss by 0.05 ft", () => {
  assert.ok(Math.abs(allowableMisclosure(1609.344) - 0.05 * 0.3048) < 1e-15);
});
