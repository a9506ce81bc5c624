// Paths into a job's record, as the office reads them: `survey.points[W1].ties`, `survey.level_book[+]`, `survey.level_book[+2]`.

export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };
type Mutable = null | boolean | number | string | Mutable[] | { [key: string]: Mutable };
type Step = { readonly key: string } | { readonly name: string } | { readonly at: number } | { readonly end: true; readonly before?: number };

const KEYS = ["name", "key", "point", "to", "line"]; // what an entry may be named by: the first that names all of its list
const PART = /\.?(?:("(?:[^"\\]|\\.)*")|([^.[\]"]+))|\[(?:([0-9]+)|(\+[0-9]*)|("(?:[^"\\]|\\.)*")|([^\]"]+))\]/y;

function steps(path: string): Step[] {
  const found: Step[] = [];
  PART.lastIndex = 0;
  while (PART.lastIndex < path.length) {
    const match = PART.exec(path);
    if (!match) throw new RangeError(`path ${path}: expected one such as survey.points[W1]`);
    const [, quoted, key, at, end, quotedName, name] = match;
    if (at !== undefined) found.push({ at: Number(at) });
    else if (end) found.push({ end: true, ...(end.length > 1 ? { before: Number(end.slice(1)) } : {}) });
    else if (quotedName ?? name) found.push({ name: quotedName ? (JSON.parse(quotedName) as string) : (name ?? "") });
    else found.push({ key: quoted ? (JSON.parse(quoted) as string) : (key ?? "") });
  }
  return found;
}

/** The path of the entry of a list that bears a name. */
export function entry(list: string, name: string): string {
  return `${list}[${/^(?!\+[0-9]*$)(?![0-9]+$)[^\]"\\]+$/.test(name) ? name : JSON.stringify(name)}]`;
}

function place(at: Mutable | undefined, step: Step): string | number | undefined {
  if (Array.isArray(at)) {
    if ("at" in step) return step.at < at.length ? step.at : undefined;
    if ("end" in step) return undefined;
    const name = "name" in step ? step.name : step.key;
    for (const field of KEYS) {
      const found = at.flatMap((one, n) => (isMapping(one) && one[field] === name ? [n] : []));
      if (found.length === 1) return found[0];
    }
    return undefined;
  }
  return isMapping(at) && "key" in step && step.key in at ? step.key : undefined;
}

function isMapping(value: Mutable | undefined): value is { [key: string]: Mutable } {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function inside(at: Mutable, where: string | number): Mutable {
  return (at as { [key: string | number]: Mutable })[where] ?? null;
}

/** What stands at a path; null where nothing does. */
export function standing(record: Json, path: string): Json {
  let at = record as Mutable;
  for (const step of steps(path)) {
    const where = place(at, step);
    if (where === undefined) return null;
    at = inside(at, where);
  }
  return at;
}

/** A copy of the record with a value at a path; null takes the part out. What the path passes is made where it is not there. */
export function changed(record: Json, path: string, value: Json): Json {
  const made = structuredClone(record) as Mutable;
  const all = steps(path);
  const last = all.pop();
  if (!last) throw new RangeError("path: expected one that is not empty");
  let at = made;
  for (const [n, step] of all.entries()) {
    const where = place(at, step);
    if (where === undefined || inside(at, where) === null) {
      if (value === null) return made;
      if (!isMapping(at) || !("key" in step)) throw new RangeError(`path ${path}: found nothing there`);
      const next = all[n + 1] ?? last;
      at[step.key] = "key" in next ? {} : [];
      at = inside(at, step.key);
    } else at = inside(at, where);
  }
  const where = place(at, last);
  const plain = structuredClone(value) as Mutable;
  if (value === null) {
    if (Array.isArray(at) && typeof where === "number") at.splice(where, 1);
    else if (isMapping(at) && where !== undefined) delete at[where as string];
  } else if (Array.isArray(at)) {
    if (typeof where === "number") at[where] = plain;
    else if ("end" in last && last.before !== undefined) at.splice(last.before, 0, plain);
    else at.push(plain);
  } else if (isMapping(at) && "key" in last) at[last.key] = plain;
  else throw new RangeError(`path ${path}: found nothing there`);
  return made;
}

/** Whether two values say the same; the order of keys says nothing. */
export function same(one: Json, other: Json): boolean {
  return canonical(one) === canonical(other);
}

function canonical(value: Json): string {
  return JSON.stringify(value, (_key, part: unknown) =>
    typeof part === "object" && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}

export function mapping(value: Json): { readonly [key: string]: Json } {
  return typeof value === "object" && value !== null && !Array.isArray(value) ? (value as { readonly [key: string]: Json }) : {};
}

export function list(value: Json): readonly Json[] {
  return Array.isArray(value) ? (value as readonly Json[]) : [];
}

export function text(value: Json | undefined): string {
  return typeof value === "string" || typeof value === "number" ? String(value) : "";
}
