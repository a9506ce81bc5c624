// From a job's record to figures: places of points, the walk, the level book. The office reckons the same.
import { say } from "../../offline/words";
import { exactSum } from "../fraction";
import { BookError, reduceBook, type Reduced, type Row } from "../level_book";
import { QuantityError, parse } from "../reading";
import { TiesMissError, fixByTies, type Fix, type Plan } from "../ties";
import { WalkError, reduceWalk, type Leg, type Walked } from "../walk";
import type { Kind, System } from "../units";
import { write } from "../writing";
import { list, mapping, standing, text, type Json } from "./path";

/** What is known of where a point is. */
export interface Placed {
  readonly name: string;
  readonly at?: Plan;
  readonly corner: boolean;
  readonly fixes: readonly Fix[];
  /** Why it has no place, or none to trust. */
  readonly trouble: string;
}

export interface Ground {
  readonly points: ReadonlyMap<string, Placed>;
  readonly walk: Walked | null;
  readonly walkTrouble: string;
}

export function systemOf(record: Json): System {
  return standing(record, "units") === "SI" ? "SI" : "US";
}

/** A quantity as it stands in a record, or undefined where it cannot be read. */
export function read(value: Json | undefined, kind: Kind = "length"): number | undefined {
  try {
    return parse(text(value), kind);
  } catch (error) {
    if (error instanceof QuantityError) return undefined;
    throw error;
  }
}

/** A length to a thousandth, as levels are told. */
export function fine(value: number, system: System): string {
  return write(value, "length", system, system === "US" ? "ft" : "m", 3);
}

/** A length as a tape shows it. */
export function taped(value: number, system: System): string {
  return system === "US" ? write(value, "length", "US") : write(value, "length", "SI", "m", 3);
}

function planOf(value: Json | undefined, points: ReadonlyMap<string, Placed>): Plan | undefined {
  const [east, north] = text(value).split(",");
  if (north === undefined) return points.get(text(value))?.at;
  const [e, n] = [read(east), read(north)];
  return e === undefined || n === undefined ? undefined : [e, n];
}

/** The walk as far as it is typed. */
export function walkOf(record: Json): { readonly start: string; readonly bearing: string; readonly at: string; readonly legs: readonly Json[] } {
  const walk = mapping(standing(record, "survey.perimeter"));
  return { start: text(walk["start"]) || "A", bearing: text(walk["bearing"]) || "0 deg", at: text(walk["at"]) || "0 ft, 0 ft", legs: list(walk["legs"] ?? null) };
}

function legsOf(legs: readonly Json[]): Leg[] | undefined {
  const found = legs.map((one): Leg | undefined => {
    const leg = mapping(one);
    const length = read(leg["length"]);
    const turn = leg["turn"] === undefined ? undefined : read(leg["turn"], "angle");
    if (length === undefined || (leg["turn"] !== undefined && turn === undefined)) return undefined;
    return { to: text(leg["to"]), length, ...(turn === undefined ? {} : { turn }) };
  });
  return found.some((one) => one === undefined) ? undefined : (found as Leg[]);
}

/** The way walked so far, before anything is shared out: for the sketch. */
export function pathWalked(record: Json): Plan[] {
  const { bearing, at, legs } = walkOf(record);
  const known = legsOf(legs) ?? [];
  let way = read(bearing, "angle") ?? 0;
  let here: Plan = planOf(at, new Map()) ?? [0, 0];
  const path = [here];
  for (const { length, turn } of known) {
    here = [here[0] + length * Math.sin(way), here[1] + length * Math.cos(way)];
    path.push(here);
    way += turn ?? 0;
  }
  return path;
}

/** A name with its place, as a sketch shows it. */
export interface Spot {
  readonly name: string;
  readonly at: Plan;
  readonly corner: boolean;
  /** As taped in a walk that is not closed: its place will move. */
  readonly rough: boolean;
}

/** All that has a place so far; corners of a walk that is not closed stand where the tape leads. */
export function spotsOf(record: Json): Spot[] {
  const ground = groundOf(record);
  const fixed_ = [...ground.points.values()].flatMap(({ name, at, corner }) => (at ? [{ name, at, corner, rough: false }] : []));
  if (ground.walk || standing(record, "survey.perimeter.start") === null) return fixed_;
  const { start, legs } = walkOf(record);
  const names = [start, ...legs.map((leg) => text(mapping(leg)["to"]))];
  const walked_ = pathWalked(record).map((at, n) => ({ name: names[n] ?? "", at, corner: true, rough: true }));
  return [...walked_.filter(({ name }, n) => n === 0 || name !== start), ...fixed_];
}

/** The place that words name, such as “W1”, “12.5 ft, -3 ft” or “at W1”; undefined where they name none. */
export function placeTold(record: Json, words: string): Plan | undefined {
  const name = words.replace(/^at /, "");
  return spotsOf(record).find((one) => one.name === name)?.at ?? (name.includes(",") ? planOf(name, new Map()) : undefined);
}

export function groundOf(record: Json): Ground {
  const points = new Map<string, Placed>();
  const { walk, trouble } = walked(record);
  for (const [name, at] of walk?.corners ?? []) points.set(name, { name, at, corner: true, fixes: [], trouble: "" });
  const left = list(standing(record, "survey.points")).map(mapping);
  const tape = read(standing(record, "survey.tape_accuracy")) ?? 0.01;
  // Points may hang on points further down: as often as one more gets its place.
  for (let before = -1; before !== points.size; ) {
    before = points.size;
    for (const one of left) {
      const name = text(one["name"]);
      if (points.has(name)) continue;
      const placed = placeOf(one, points, tape);
      if (placed) points.set(name, placed);
    }
  }
  for (const one of left) {
    const name = text(one["name"]);
    if (!points.has(name)) points.set(name, { name, corner: false, fixes: [], trouble: say("it hangs on a point without a place") });
  }
  return { points, walk, walkTrouble: trouble };
}

function walked(record: Json): { walk: Walked | null; trouble: string } {
  const { start, bearing, at, legs } = walkOf(record);
  const known = legsOf(legs);
  if (!legs.length) return { walk: null, trouble: "" };
  if (!known) return { walk: null, trouble: say("a length or turn cannot be read") };
  const adjust = standing(record, "survey.perimeter.adjust") !== false;
  try {
    const from = planOf(at, new Map()) ?? [0, 0];
    return { walk: reduceWalk({ start, at: from, bearing: read(bearing, "angle") ?? 0, legs: known, adjust }), trouble: "" };
  } catch (error) {
    if (!(error instanceof WalkError)) throw error;
    const hint = error.suspects.length ? `; ${say("look at the turn at {corners}: left is negative, right positive", { corners: error.suspects.join(" / ") })}` : "";
    return { walk: null, trouble: `${error.message}${hint}` };
  }
}

/** Where a point is, by what was measured of it; undefined where it hangs on one that has no place. */
export function placeOf(one: { readonly [key: string]: Json }, points: ReadonlyMap<string, Placed>, tape: number): Placed | undefined {
  const name = text(one["name"]);
  const plain = { name, corner: false, fixes: [], trouble: "" };
  if (one["east"] !== undefined) {
    const [east, north] = [read(one["east"]), read(one["north"])];
    return east === undefined || north === undefined ? { ...plain, trouble: say("a distance cannot be read") } : { ...plain, at: [east, north] };
  }
  if (one["along"] !== undefined) {
    const [from, to] = list(one["along"]).map((end) => points.get(text(end))?.at);
    const distance = read(one["distance"]);
    if (!from || !to || distance === undefined) return undefined;
    const [east, north] = [to[0] - from[0], to[1] - from[1]];
    const length = Math.sqrt(east * east + north * north);
    if (!length) return { ...plain, trouble: say("the line it lies along has no length") };
    const [ue, un] = [east / length, north / length];
    const out = read(one["offset"]) ?? 0;
    return { ...plain, at: [from[0] + distance * ue - out * un, from[1] + distance * un + out * ue] };
  }
  const ties = list(one["ties"] ?? null).map(mapping);
  const given = ties.map((tie) => ({ anchor: points.get(text(tie["from"]))?.at, distance: read(tie["distance"]) }));
  if (given.some(({ anchor, distance }) => !anchor || distance === undefined) || given.length < 2) return undefined;
  return { ...plain, ...fixed(given as { anchor: Plan; distance: number }[], tape, planOf(one["side"], points), cornersOf(points.values())) };
}

/** Corners of the house as it was walked. */
export function cornersOf(points: Iterable<Placed>): Plan[] {
  return [...points].flatMap(({ at, corner }) => (corner && at ? [at] : []));
}

/** Whether a place is in the house. */
export function within(at: Plan, outline: readonly Plan[]): boolean {
  let inside = false;
  outline.forEach((a, n) => {
    const b = outline[(n + 1) % outline.length] ?? a;
    if (a[1] > at[1] !== b[1] > at[1] && at[0] < ((b[0] - a[0]) * (at[1] - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
  });
  return inside;
}

/** Ties to places, told in words where they do not do. */
export function fixed(given: readonly { readonly anchor: Plan; readonly distance: number }[], tape: number, side?: Plan, outline: readonly Plan[] = []): { at?: Plan; fixes: readonly Fix[]; trouble: string } {
  try {
    let fixes = fixByTies(given, tape);
    if (side && fixes.length > 1) {
      const [a, b] = given.map(({ anchor }) => anchor);
      const left = (at: Plan): boolean => !a || !b || (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0]) > 0;
      fixes = fixes.filter(({ at }) => left(at) === left(side));
    } else if (outline.length > 2) fixes = [...fixes].sort((one, other) => Number(within(one.at, outline)) - Number(within(other.at, outline)));
    const [best] = fixes;
    return { ...(best ? { at: best.at } : {}), fixes, trouble: "" };
  } catch (error) {
    if (error instanceof TiesMissError) return { fixes: [], trouble: say("tapes {n} and {k} do not reach each other: {size} are missing or too much", { n: error.first + 1, k: error.second + 1, size: `${(error.gap * 3.28084).toFixed(2)} ft (${error.gap.toFixed(3)} m)` }) };
    if (error instanceof RangeError) return { fixes: [], trouble: error.message };
    throw error;
  }
}

export interface Levels {
  readonly reduced: Reduced | null;
  readonly trouble: string;
}

export function levelsOf(record: Json): Levels {
  const rows = list(standing(record, "survey.level_book")).map(mapping);
  const sights = ["backsight", "intermediate", "foresight", "distance"] as const;
  const read_ = rows.map((row): Row => {
    const values = sights.flatMap((key) => (row[key] === undefined ? [] : [[key, read(row[key])] as const]));
    return { point: text(row["point"]), ...Object.fromEntries(values.filter(([, value]) => value !== undefined)) };
  });
  if (!rows.length) return { reduced: null, trouble: "" };
  const marks = new Map<string, number>();
  const benchmark = mapping(standing(record, "survey.benchmark"));
  marks.set(text(benchmark["name"]) || "BM", read(benchmark["elevation"]) ?? 30.48);
  const closing = mapping(standing(record, "survey.closing_benchmark"));
  if (closing["name"] !== undefined) marks.set(text(closing["name"]), read(closing["elevation"]) ?? 30.48);
  try {
    return { reduced: reduceBook(read_, marks, levelsGiven(record)), trouble: "" };
  } catch (error) {
    if (!(error instanceof BookError)) throw error;
    return { reduced: null, trouble: error.problems.map(({ row, found, expected }) => say("Row {n}: found {found}; expected {expected}.", { n: row + 1, found, expected })).join(" ") };
  }
}

/** Levels that were given with their points. */
function levelsGiven(record: Json): Map<string, number> {
  const points = list(standing(record, "survey.points")).map(mapping);
  return new Map(
    points.flatMap((one) => {
      const level = one["level"] === undefined ? undefined : read(one["level"]);
      return level === undefined ? [] : [[text(one["name"]), level] as const];
    }),
  );
}

/** Levels by name: of the level book, and those that were given. */
export function levelsKnown(record: Json): ReadonlyMap<string, number> {
  const lines = levelsOf(record).reduced?.lines ?? [];
  return new Map([...levelsGiven(record), ...lines.map((line) => [line.point, line.adjusted ?? line.level] as const)]);
}

/** Turned so far, in degrees: a closed walk comes to a full circle. */
export function turned(record: Json): number {
  const legs = legsOf(walkOf(record).legs) ?? [];
  return (exactSum(legs.flatMap(({ turn }) => (turn === undefined ? [] : [turn]))) * 180) / Math.PI;
}
