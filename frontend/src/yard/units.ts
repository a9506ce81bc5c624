// Kinds of quantity and their units. The table is written from the office's own (units.json), to the last digit.
import { Fraction } from "./fraction";
import table from "./units.json";

export type Kind = keyof typeof table.kinds;
export type System = "US" | "SI";

/** A unit: the value inside is `(number + offset) * factor`. */
export interface Unit {
  readonly factor: Fraction;
  readonly offset: Fraction;
}

export interface Style {
  readonly label: string;
  /** Decimals; null for three figures. */
  readonly digits: number | null;
  /** Parts of an inch to round to, where a common fraction is written. */
  readonly parts: number;
}

interface About {
  readonly phrase: string;
  readonly base: string;
  readonly usual: readonly string[];
  readonly example: string;
  readonly signed: boolean;
  readonly compound: boolean;
  readonly ratio: readonly Kind[] | null;
  readonly units: Readonly<Record<string, readonly string[]>>;
  readonly styles: Readonly<Record<System, Readonly<Record<string, Style>>>>;
}

const KINDS = table.kinds as unknown as Readonly<Record<Kind, About>>;
const CASED = new Set<string>(table.cased);
const NAMED = new Map<Kind, Map<string, Unit>>();
const FOLDED = new Map<Kind, Map<string, Unit>>();

for (const [kind, about] of Object.entries(KINDS) as [Kind, About][]) {
  const named = new Map<string, Unit>();
  const folded = new Map<string, Unit>();
  for (const [name, numbers] of Object.entries(about.units)) {
    const [a, b, c, d] = numbers.map((digits) => BigInt(digits));
    const unit = { factor: new Fraction(a ?? 0n, b), offset: new Fraction(c ?? 0n, d) };
    named.set(name, unit);
    if (!CASED.has(name)) folded.set(name.toLowerCase(), unit);
  }
  NAMED.set(kind, named);
  FOLDED.set(kind, folded);
}

export function about(kind: Kind): About {
  return KINDS[kind];
}

export function spellings(kind: Kind): string[] {
  return [...(NAMED.get(kind)?.keys() ?? [])];
}

/** What the office counts as blank space in a text. */
export const BLANK = "\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000";
const BLANKS = new RegExp(`[${BLANK}]+`, "u");
const ENDS = new RegExp(`^[${BLANK}]+|[${BLANK}]+$`, "gu");
const START = new RegExp(`^[${BLANK}]+`, "u");

export function strip(text: string): string {
  return text.replace(ENDS, "");
}

export function stripStart(text: string): string {
  return text.replace(START, "");
}

/** Bring the spelling of a unit to the form of the table: `cu. yd. per  h` is `cu yd/h`. */
export function tidy(spelling: string): string {
  const plain = spelling
    .replaceAll("²", "2")
    .replaceAll("³", "3")
    .replace(/[\^.]/g, "")
    .replace(/(?<![\p{L}\p{N}_])per(?![\p{L}\p{N}_])/giu, "/");
  return plain
    .split("/")
    .map((part) => strip(part).split(BLANKS).join(" "))
    .join("/");
}

/** Look up a tidied spelling among the units of a kind. */
export function find(kind: Kind, spelling: string): Unit | undefined {
  const named = NAMED.get(kind)?.get(spelling) ?? FOLDED.get(kind)?.get(CASED.has(spelling) ? "" : spelling.toLowerCase());
  const ratio = KINDS[kind].ratio;
  const slash = spelling.lastIndexOf("/");
  if (named || !ratio || slash < 0) return named;
  const [above, below] = ratio;
  const top = above && find(above, spelling.slice(0, slash));
  const bottom = below && find(below, spelling.slice(slash + 1));
  return top && bottom ? { factor: top.factor.by(bottom.factor), offset: new Fraction(0n) } : undefined;
}

export function kindsOf(spelling: string): Kind[] {
  return (Object.keys(KINDS) as Kind[]).filter((kind) => find(kind, spelling));
}
