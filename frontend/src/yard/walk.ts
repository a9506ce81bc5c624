// The perimeter walk: legs and turns to corners, turns balanced and the gap shared by the compass rule.
//
// The office's figures, but for the last digits: sine and cosine are rounded by each machine in its own way. What they
// bear on is held to 8 units in the last place of the perimeter; lengths and turns themselves to the last bit.
import { exactSum } from "./fraction";
import type { Plan } from "./ties";

export const TURN_BLUNDER = 20 * (Math.PI / 180); // common practice, no source
export const GAP_BLUNDER = 1 / 20; // part of the perimeter; common practice, no source

export interface Leg {
  readonly to: string;
  readonly length: number;
  /** At the far corner: right positive; left out at the last, nothing checks the angles [rad]. */
  readonly turn?: number;
}

export interface Walk {
  readonly start: string;
  readonly at: Plan;
  readonly bearing: number;
  readonly legs: readonly Leg[];
  readonly adjust: boolean;
}

export interface Walked {
  readonly corners: ReadonlyMap<string, Plan>;
  readonly perimeter: number;
  /** The gap at the end, after the turns are balanced [m]. */
  readonly closureEast: number;
  readonly closureNorth: number;
  readonly gap: number;
  /** Null where the last turn was not measured [rad]. */
  readonly angularMisclosure: number | null;
  /** A gap so large that a tape or a turn must be wrong. */
  readonly blunder: boolean;
}

/** A walk that cannot be laid out. */
export class WalkError extends Error {
  constructor(
    message: string,
    /** Corners whose turn, with its sign changed, would explain it. */
    readonly suspects: readonly string[] = [],
  ) {
    super(message);
  }
}

function signSuspects(values: readonly number[], target: number, tolerance: number): number[] {
  const total = exactSum(values);
  if (Math.abs(total - target) <= tolerance) return [];
  return values.flatMap((value, n) => (Math.abs(total - 2 * value - target) <= tolerance ? [n] : []));
}

function check(walk: Walk): void {
  const names = [walk.start, ...walk.legs.map(({ to }) => to)];
  if (walk.legs.length < 3) throw new WalkError("a walk has three sides or more");
  if (names.at(-1) !== walk.start) throw new WalkError(`the last side returns to where the walk began, ${walk.start}`);
  names.slice(1, -1).forEach((name, n) => {
    if (names.indexOf(name) <= n) throw new WalkError(`corner ${name} was passed before`);
    if (walk.legs[n]?.turn === undefined) throw new WalkError(`no turn at corner ${name}; a square corner is 90° or -90°`);
  });
}

/** Turns at all corners but the last, balanced where the walk is adjusted; and their misclosure. */
function balanced(walk: Walk): [turns: number[], missed: number | null] {
  const given = walk.legs.flatMap(({ turn }) => (turn === undefined ? [] : [turn]));
  if (walk.legs.at(-1)?.turn === undefined) return [given, null];
  const sum = exactSum(given);
  const circle = sum < 0 || Object.is(sum, -0) ? -2 * Math.PI : 2 * Math.PI;
  const missed = sum - circle;
  if (Math.abs(missed) > TURN_BLUNDER) {
    const near = 5 * (Math.PI / 180);
    const found = new Set([-2 * Math.PI, 2 * Math.PI].flatMap((way) => signSuspects(given, way, near)));
    const suspects = [...found].sort((a, b) => a - b).map((n) => walk.legs[n]?.to ?? "");
    throw new WalkError("the turns do not add up to a full circle", suspects);
  }
  const share = walk.adjust ? missed / given.length : 0;
  return [given.slice(0, -1).map((turn) => turn - share), missed];
}

/** Reduce the walk to corners. Throws a WalkError where it cannot be laid out or its turns miss a full circle. */
export function reduceWalk(walk: Walk): Walked {
  check(walk);
  const [turns, missed] = balanced(walk);
  const azimuths = [walk.bearing];
  for (const turn of turns) azimuths.push((azimuths.at(-1) ?? 0) + turn);
  const lengths = walk.legs.map(({ length }) => length);
  let easts = lengths.map((length, n) => length * Math.sin(azimuths[n] ?? 0));
  let norths = lengths.map((length, n) => length * Math.cos(azimuths[n] ?? 0));
  const [closureEast, closureNorth, perimeter] = [exactSum(easts), exactSum(norths), exactSum(lengths)];
  if (walk.adjust) {
    easts = easts.map((east, n) => east + (-closureEast * (lengths[n] ?? 0)) / perimeter);
    norths = norths.map((north, n) => north + (-closureNorth * (lengths[n] ?? 0)) / perimeter);
  }
  const corners = new Map<string, Plan>([[walk.start, walk.at]]);
  walk.legs.slice(0, -1).forEach(({ to }, n) => {
    corners.set(to, [walk.at[0] + exactSum(easts.slice(0, n + 1)), walk.at[1] + exactSum(norths.slice(0, n + 1))]);
  });
  const gap = Math.sqrt(closureEast * closureEast + closureNorth * closureNorth);
  return { corners, perimeter, closureEast, closureNorth, gap, angularMisclosure: missed, blunder: gap > GAP_BLUNDER * perimeter };
}
