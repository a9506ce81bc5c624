// The level book reduced by height of instrument, closed, and its misclosure shared: the office's figures, to the digit.
//
// A section opens with a backsight on a mark of known level, goes on by turning points, and closes where a foresight
// returns to a benchmark or to the mark it opened on. A book in which more checks than the closing of its sections (a
// point read from two set-ups) is adjusted by least squares at the office; here it shows levels as read.
import { exactSum } from "./fraction";

export const ASSUMED_SIGHT = 15.24; // length of a sight that the book leaves out: 50 ft, common practice, no source [m]

/** One line of the book; readings and lengths in metres. */
export interface Row {
  readonly point: string;
  readonly backsight?: number;
  readonly intermediate?: number;
  readonly foresight?: number;
  readonly distance?: number;
}

export interface Line extends Row {
  readonly instrumentHeight: number;
  readonly level: number;
  /** Null where the office adjusts by least squares. */
  readonly adjusted: number | null;
}

export interface Closure {
  readonly from: string;
  readonly to: string;
  readonly misclosure: number;
  readonly allowable: number;
}

export interface Problem {
  readonly row: number;
  readonly found: string;
  readonly expected: string;
}

export interface Reduced {
  readonly lines: readonly Line[];
  /** Of each section that closes. */
  readonly closures: readonly Closure[];
  /** Misclosure and allowable of the worst section, by its allowable. */
  readonly worst: Closure | null;
  /** Sum of backsights less foresights, less the difference of levels: zero but for rounding. */
  readonly arithmetic: number;
  readonly setUps: number;
  /** Marks of sections that do not close: nothing checks these. */
  readonly open: readonly string[];
  readonly redundancy: number;
  readonly method: "proportional" | "least squares at the office";
  readonly assumedSights: number;
}

export class BookError extends Error {
  constructor(readonly problems: readonly Problem[]) {
    super(problems.map(({ row, found, expected }) => `row ${row + 1}: found ${found}; expected ${expected}`).join("\n"));
  }
}

interface SetUp {
  readonly back: number;
  readonly between: number[];
  fore: number | null;
}

interface Section {
  readonly start: number;
  readonly openedOn: string;
  readonly setUps: SetUp[];
}

type Levels = ReadonlyMap<string, number>;

export const heightOfInstrument = (level: number, backsight: number): number => level + backsight;
export const sightedLevel = (instrumentHeight: number, reading: number): number => instrumentHeight - reading;
/** 0.05 ft × sqrt(miles levelled). */
export const allowableMisclosure = (distance: number): number => 0.01524 * Math.sqrt(distance / 1609.344);
export const levelCorrection = (misclosure: number, done: number, total: number): number => (-misclosure * done) / total;

function sectionsOf(rows: readonly Row[], benchmarks: Levels, known: Levels): Section[] {
  const problems: Problem[] = [];
  const sections: Section[] = [];
  const marks = new Map([...known, ...benchmarks]);
  let waiting: string | null = null; // foresighted; the next backsight is due on it
  const wrong = (row: number, found: string, expected: string): void => void problems.push({ row, found, expected });

  rows.forEach((row, number) => {
    const last = sections.at(-1);
    const current = last?.setUps.at(-1);
    if (row.intermediate !== undefined) {
      if (current) current.between.push(number);
      else wrong(number, `an intermediate sight on ${row.point}`, "a backsight on a mark of known level first");
    }
    if (row.foresight !== undefined) {
      if (!current) wrong(number, `a foresight on ${row.point}`, "a backsight on a mark of known level first");
      else if (current.fore !== null) {
        wrong(number, `a second foresight in one set-up, on ${row.point}`, "one foresight a set-up, the last");
      } else {
        current.fore = number;
        waiting = row.point;
      }
    }
    if (row.backsight === undefined) return;
    const setUp: SetUp = { back: number, between: [], fore: null };
    const level = marks.get(row.point);
    if (waiting === row.point && !benchmarks.has(row.point)) last?.setUps.push(setUp);
    else if (level !== undefined && (row.foresight === undefined || waiting === row.point)) {
      sections.push({ start: level, openedOn: row.point, setUps: [setUp] });
    } else if (!last) {
      if (row.foresight === undefined) {
        const expected = "a backsight on the benchmark or on a point with a 'level'";
        wrong(number, `a first backsight on ${row.point}, whose level is not known`, expected);
      }
      sections.push({ start: 0, openedOn: row.point, setUps: [setUp] }); // told already
    } else if (row.foresight === undefined) {
      wrong(number, `a backsight on ${row.point}`, "a backsight on the point that was just foresighted");
      last.setUps.push(setUp);
    }
    waiting = null;
  });
  if (problems.length) throw new BookError(problems);
  return sections;
}

function complete(section: Section): { back: number; fore: number }[] {
  return section.setUps.flatMap(({ back, fore }) => (fore === null ? [] : [{ back, fore }]));
}

function closes(rows: readonly Row[], section: Section, benchmarks: Levels): boolean {
  const fore = section.setUps.at(-1)?.fore ?? null;
  const point = fore === null ? undefined : rows[fore]?.point;
  return point !== undefined && (point === section.openedOn || benchmarks.has(point));
}

/** Readings less unknowns: a point read once checks nothing and counts on neither side. */
function redundancyOf(rows: readonly Row[], sections: readonly Section[], fixed: Levels): number {
  const read: string[] = [];
  let setUps = 0;
  for (const section of sections) {
    for (const { back, between, fore } of section.setUps) {
      setUps += 1;
      for (const number of [back, ...between, ...(fore === null ? [] : [fore])]) read.push(rows[number]?.point ?? "");
    }
  }
  const times = new Map<string, number>();
  for (const point of read) times.set(point, (times.get(point) ?? 0) + 1);
  const shared = [...times].filter(([point, count]) => count > 1 && !fixed.has(point)).length;
  const inner = read.filter((point) => fixed.has(point) || (times.get(point) ?? 0) > 1).length;
  return inner - setUps - shared;
}

/**
 * Reduce the level book.
 *
 * `benchmarks` are fixed marks, on any of which a section closes; a section may open on one of `known` too.
 * Throws a BookError where the book cannot be followed.
 */
export function reduceBook(rows: readonly Row[], benchmarks: Levels, known: Levels = new Map()): Reduced {
  const sections = sectionsOf(rows, benchmarks, known);
  const fixed = new Map([...sections.map((one) => [one.openedOn, one.start] as const), ...benchmarks]);
  const redundancy = redundancyOf(rows, sections, fixed);
  const alone = redundancy === sections.filter((section) => closes(rows, section, benchmarks)).length;
  const lines = new Map<number, Line>();
  const closures: Closure[] = [];
  const open: string[] = [];
  let arithmetic = 0;
  let setUps = 0;
  let assumedSights = 0;

  for (const section of sections) {
    const instruments: number[] = [];
    const arrived: number[] = []; // level at the end of each set-up, before adjustment
    let level = section.start;
    for (const setUp of section.setUps) {
      const instrument = heightOfInstrument(level, rows[setUp.back]?.backsight ?? 0);
      instruments.push(instrument);
      if (setUp.fore !== null) level = sightedLevel(instrument, rows[setUp.fore]?.foresight ?? 0);
      arrived.push(level);
    }
    setUps += section.setUps.length;
    const whole = complete(section);
    const sights = whole.flatMap(({ back, fore }) => [rows[back]?.distance, rows[fore]?.distance]);
    const lengths = sights.filter((length) => length !== undefined);
    assumedSights += section.setUps.reduce((count, { back, fore }) => {
      const turns = fore === null ? [back] : [back, fore];
      return count + turns.filter((row) => !rows[row]?.distance).length;
    }, 0);
    const byLength = lengths.length > 0 && lengths.length === sights.length;
    const shares = whole.map((_, n) => (byLength ? exactSum(lengths.slice(0, 2 * n + 2)) : n + 1));
    const length = exactSum(lengths) + ASSUMED_SIGHT * (sights.length - lengths.length);
    const corrections = whole.map(() => 0);
    const last = whole.at(-1);
    if (last) {
      let back = 0;
      let fore = 0;
      for (const turn of whole) {
        back += rows[turn.back]?.backsight ?? 0;
        fore += rows[turn.fore]?.foresight ?? 0;
      }
      arithmetic += back - fore - ((arrived[whole.length - 1] ?? 0) - section.start);
    }
    if (last && closes(rows, section, benchmarks)) {
      const to = rows[last.fore]?.point ?? "";
      const target = benchmarks.get(to) ?? section.start;
      const misclosure = (arrived.at(-1) ?? 0) - target;
      closures.push({ from: section.openedOn, to, misclosure, allowable: allowableMisclosure(length) });
      const total = shares.at(-1) ?? 1;
      shares.forEach((share, n) => (corrections[n] = levelCorrection(misclosure, share, total)));
    } else {
      open.push(section.openedOn);
    }
    writeLines(rows, section, instruments, arrived, [0, ...corrections], alone, lines);
  }
  let worst: Closure | null = null;
  for (const one of closures) {
    if (!worst || Math.abs(one.misclosure) / one.allowable > Math.abs(worst.misclosure) / worst.allowable) worst = one;
  }
  return {
    lines: [...lines].sort(([a], [b]) => a - b).map(([, line]) => line),
    closures, worst, arithmetic, setUps, open, redundancy, assumedSights,
    method: alone ? "proportional" : "least squares at the office",
  };
}

function writeLines(
  rows: readonly Row[], section: Section, instruments: readonly number[], arrived: readonly number[],
  corrections: readonly number[], alone: boolean, lines: Map<number, Line>,
): void {
  const add = (number: number, instrumentHeight: number, level: number, correction: number): void => {
    const row = rows[number];
    if (row) lines.set(number, { ...row, instrumentHeight, level, adjusted: alone ? level + correction : null });
  };
  let level = section.start;
  section.setUps.forEach((setUp, number) => {
    const correction = corrections[Math.min(number, corrections.length - 1)] ?? 0;
    const instrument = instruments[number] ?? 0;
    const before = lines.get(setUp.back);
    if (before) {
      // A mark that closed the section before: the row shows the new instrument.
      const { intermediate: _none, ...rest } = before;
      lines.set(setUp.back, { ...rest, instrumentHeight: instrument });
    } else add(setUp.back, instrument, level, correction);
    for (const between of setUp.between) {
      add(between, instrument, sightedLevel(instrument, rows[between]?.intermediate ?? 0), correction);
    }
    level = arrived[number] ?? 0;
    if (setUp.fore !== null) add(setUp.fore, instrument, level, corrections[number + 1] ?? 0);
  });
}
