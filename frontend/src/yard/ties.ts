// Points by tape: the place, or the places, that fit two or more ties. The office's figures, to the digit.
import { exactSum } from "./fraction";

export type Plan = readonly [east: number, north: number];

const ALIKE = 9; // fits whose sums of squares differ by less are alike: three standard errors, squared
const SLACK = 5; // ties may miss each other by so many standard errors of a tape
const SMALLEST = 1e-12;
const WEAK_ANGLE = 30 * (Math.PI / 180); // ties that cross flatter are weak; common practice, no source

export interface Fix {
  readonly at: Plan;
  /** Root mean square of what the ties miss by [m]. */
  readonly residual: number;
  readonly standardError: number;
  /** At which the best pair crosses [rad]; the only figure that hangs on the machine's arc sine. */
  readonly angle: number;
  readonly weak: boolean;
  readonly misfit: number;
}

/** Ties that cannot meet; what is missing or too much, in metres. */
export class TiesMissError extends Error {
  constructor(
    readonly gap: number,
    readonly first: number,
    readonly second: number,
  ) {
    super(`ties ${first} and ${second} miss each other by ${gap.toFixed(3)} m: expected distances that meet`);
  }
}

function apart(a: Plan, b: Plan): number {
  const [east, north] = [b[0] - a[0], b[1] - a[1]];
  return Math.sqrt(east * east + north * north);
}

export function distanceAlongBase(base: number, first: number, second: number): number {
  return (base * base + first * first - second * second) / (2 * base);
}

/** Where two circles meet; the nearest place to both where they just miss. */
function crossings(a: Plan, b: Plan, ra: number, rb: number): Plan[] {
  const base = apart(a, b);
  let along = distanceAlongBase(base, ra, rb);
  const [ue, un] = [(b[0] - a[0]) / base, (b[1] - a[1]) / base];
  const square = ra * ra - along * along;
  let out = 0;
  if (square <= 0) {
    let least = Infinity;
    for (const sideA of [-1, 1]) {
      for (const sideB of [-1, 1]) {
        const [p, q] = [sideA * ra, base + sideB * rb];
        if (Math.abs(p - q) < least) [least, along] = [Math.abs(p - q), 0.5 * (p + q)];
      }
    }
  } else out = Math.sqrt(square);
  const foot: Plan = [a[0] + along * ue, a[1] + along * un];
  return (out > 0 ? [out, -out] : [0]).map((side): Plan => [foot[0] - side * un, foot[1] + side * ue]);
}

interface Tied {
  readonly anchor: Plan;
  readonly distance: number;
}

/** Least squares from a start, by damped Gauss-Newton steps. */
function fit(start: Plan, ties: readonly Tied[]): Plan {
  const misfit = (at: Plan): number => {
    const gaps = ties.map(({ anchor, distance }) => apart(anchor, at) - distance);
    return exactSum(gaps.map((gap) => gap * gap));
  };
  let [east, north] = start;
  let damping = 1e-9;
  const near = 1e-11 * (1 + Math.max(...ties.map(({ distance }) => distance)));
  let worst = misfit(start);
  for (let round = 0; round < 100; round++) {
    let [ee, nn, en, pullEast, pullNorth] = [damping, damping, 0, 0, 0];
    for (const { anchor, distance } of ties) {
      const reach = Math.max(apart(anchor, [east, north]), SMALLEST);
      const [slopeEast, slopeNorth] = [(east - anchor[0]) / reach, (north - anchor[1]) / reach];
      ee += slopeEast * slopeEast;
      en += slopeEast * slopeNorth;
      nn += slopeNorth * slopeNorth;
      pullEast -= slopeEast * (reach - distance);
      pullNorth -= slopeNorth * (reach - distance);
    }
    const determinant = ee * nn - en * en;
    const stepEast = (pullEast * nn - pullNorth * en) / determinant;
    const stepNorth = (pullNorth * ee - pullEast * en) / determinant;
    const trial = misfit([east + stepEast, north + stepNorth]);
    if (trial <= worst) {
      [east, north, worst, damping] = [east + stepEast, north + stepNorth, trial, Math.max(damping / 10, 1e-12)];
      if (apart([0, 0], [stepEast, stepNorth]) < near) break;
    } else {
      damping *= 10;
      if (damping > 1e9) break;
    }
  }
  return [east, north];
}

function judge(at: Plan, ties: readonly Tied[], tape: number): Fix {
  const reaches = ties.map(({ anchor }) => apart(anchor, at));
  const slopes = ties.map(({ anchor }, n): Plan => {
    const reach = Math.max(reaches[n] ?? 0, SMALLEST);
    return [(at[0] - anchor[0]) / reach, (at[1] - anchor[1]) / reach];
  });
  const gaps = ties.map(({ distance }, n) => (reaches[n] ?? 0) - distance);
  const squares = exactSum(gaps.map((gap) => gap * gap));
  let sine = 0;
  slopes.forEach((s, n) => slopes.slice(n + 1).forEach((t) => (sine = Math.max(sine, Math.abs(s[0] * t[1] - s[1] * t[0])))));
  const ee = exactSum(slopes.map(([e]) => e * e));
  const nn = exactSum(slopes.map(([, n]) => n * n));
  const en = exactSum(slopes.map(([e, n]) => e * n));
  const determinant = ee * nn - en * en;
  const angle = Math.asin(Math.min(1, sine));
  return {
    at,
    residual: Math.sqrt(squares / ties.length),
    standardError: determinant > SMALLEST ? tape * Math.sqrt(ties.length / determinant) : Infinity,
    angle,
    weak: angle < WEAK_ANGLE,
    misfit: squares / (tape * tape),
  };
}

/**
 * Find the place, or the places, that fit the ties: the best first, more than one where the ties leave a choice.
 *
 * All lengths in metres. Throws a TiesMissError where two circles miss each other by more than the tape explains.
 */
export function fixByTies(ties: readonly Tied[], tape: number, slack = SLACK): Fix[] {
  const starts: Plan[] = [];
  ties.forEach((a, i) => {
    ties.slice(i + 1).forEach((b, k) => {
      const base = apart(a.anchor, b.anchor);
      if (base === 0) return;
      const gap = Math.max(base - a.distance - b.distance, Math.abs(a.distance - b.distance) - base);
      if (gap > slack * Math.sqrt(2) * tape) throw new TiesMissError(gap, i, i + 1 + k);
      starts.push(...crossings(a.anchor, b.anchor, a.distance, b.distance));
    });
  });
  if (!starts.length) throw new RangeError("ties from one place: expected two different places or more");
  const found = starts.map((start) => judge(ties.length === 2 ? start : fit(start, ties), ties, tape));
  const fixes: Fix[] = [];
  for (const fix of found.sort((a, b) => a.misfit - b.misfit)) {
    const other = fixes.every(({ at }) => apart(at, fix.at) > 2 * tape);
    if (other && fix.misfit <= (fixes[0] ?? fix).misfit + ALIKE) fixes.push(fix);
  }
  return fixes;
}
