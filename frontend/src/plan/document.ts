// The document's record as the office sends it: paths to its parts, and edits made in it as the office makes them.

export type Value = null | boolean | number | string | Value[] | { [key: string]: Value };
export type Step = string | number | { readonly name: string } | "+";

/** One edit. `value` null takes the part out; `[+]` at the end of the path adds to a list. */
export interface Operation {
  readonly id: string;
  readonly path: string;
  readonly value: Value;
  readonly was: Value;
}

const KEYS = ["name", "key", "point", "to", "line"];
const PART = /\.?([^.[\]"]+)|\.?"((?:[^"\\]|\\.)*)"|\[(\d+)\]|\[(\+)\]|\["((?:[^"\\]|\\.)*)"\]|\[([^\]"]+)\]/y;

interface Parsed {
  readonly key?: string;
  readonly number?: number;
  readonly name?: string;
  readonly adds?: true;
}

export function parsed(path: string): Parsed[] {
  const steps: Parsed[] = [];
  PART.lastIndex = 0;
  while (PART.lastIndex < path.length) {
    const match = PART.exec(path);
    if (!match) throw new RangeError(`${path} is no path`);
    const [, key, quotedKey, number, plus, quoted, name] = match;
    if (key !== undefined) steps.push({ key });
    else if (quotedKey !== undefined) steps.push({ key: JSON.parse(`"${quotedKey}"`) as string });
    else if (number !== undefined) steps.push({ number: Number(number) });
    else if (plus !== undefined) steps.push({ adds: true });
    else steps.push({ name: quoted !== undefined ? (JSON.parse(`"${quoted}"`) as string) : (name ?? "") });
  }
  return steps;
}

function isMap(value: Value | undefined): value is { [key: string]: Value } {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** Where a step leads in a list; -1 where nowhere. */
function placeIn(list: readonly Value[], step: Parsed): number {
  if (step.number !== undefined) return step.number < list.length ? step.number : -1;
  if (step.name === undefined) return -1;
  for (const key of KEYS) {
    const found = list.map((one) => isMap(one) && one[key] === step.name);
    if (found.filter(Boolean).length === 1) return found.indexOf(true);
  }
  return -1;
}

/** What stands at a path; undefined where nothing does. */
export function reach(record: Value, path: string): Value | undefined {
  let at: Value | undefined = record;
  for (const step of parsed(path)) {
    if (Array.isArray(at)) at = at[placeIn(at, step)];
    else if (isMap(at) && step.key !== undefined) at = at[step.key];
    else return undefined;
  }
  return at;
}

/** Number of an entry in its list. */
export function numberOf(record: Value, path: string): number {
  const [list, last] = split(path);
  const entries = reach(record, list);
  const step = parsed(`x${last}`)[1];
  return Array.isArray(entries) && step ? placeIn(entries, step) : -1;
}

/** A path without its last step, and that step as written. */
export function split(path: string): [string, string] {
  const match = /^(.*?)(\.[^.[\]"]+|\[(?:[^\]"]+|"(?:[^"\\]|\\.)*")\])$/.exec(path);
  return match ? [match[1] ?? "", match[2] ?? ""] : ["", path];
}

/** Path of an entry by its name. */
export function entryPath(list: string, name: string): string {
  return /^(?!\+$)(?!\d+$)[^\]"\\]+$/.test(name) ? `${list}[${name}]` : `${list}[${JSON.stringify(name)}]`;
}

/** The record with edits made; the one given is left alone. */
export function performed(record: Value, operations: readonly Operation[]): Value {
  const made = structuredClone(record);
  for (const one of operations) perform(made, one);
  return made;
}

function perform(record: Value, { path, value }: Operation): void {
  const steps = parsed(path);
  const last = steps.pop();
  let at: Value = record;
  for (const [number, step] of steps.entries()) {
    let next: Value | undefined;
    if (Array.isArray(at)) next = at[placeIn(at, step)];
    else if (isMap(at) && step.key !== undefined) {
      next = at[step.key];
      if (next === undefined || next === null) {
        if (value === null) return;
        const after = steps[number + 1] ?? last;
        next = at[step.key] = after?.key !== undefined ? {} : [];
      }
    }
    if (next === undefined) throw new RangeError(`${path} leads nowhere`);
    at = next;
  }
  if (!last) return;
  if (Array.isArray(at)) {
    const place = placeIn(at, last);
    if (value === null) {
      if (place >= 0) at.splice(place, 1);
    } else if (place >= 0) at[place] = structuredClone(value);
    else at.push(structuredClone(value));
  } else if (isMap(at) && last.key !== undefined) {
    if (value === null) delete at[last.key];
    else at[last.key] = structuredClone(value);
  }
}

/** Whether two values say the same. */
export function same(one: Value | undefined, other: Value | undefined): boolean {
  return JSON.stringify(sorted(one)) === JSON.stringify(sorted(other));
}

function sorted(value: Value | undefined): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (!isMap(value)) return value;
  return Object.fromEntries(Object.keys(value).sort().map((key) => [key, sorted(value[key])]));
}
