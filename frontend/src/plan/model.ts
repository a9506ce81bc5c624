// What the office sends of a plan, and places written as a crew writes them.
import { parse } from "../yard/reading";
import { write } from "../yard/writing";
import type { Operation, Value } from "./document";

export type At = readonly [number, number];
export type Units = "US" | "SI";
export const FOOT = 0.3048;

export interface Place {
  readonly path: string;
  readonly raw: Value;
  readonly at: At;
  readonly point: string | null;
  readonly holds: boolean;
}

export interface Entry {
  readonly path: string;
  readonly label: string;
  readonly kind: string;
  readonly raw: Value;
  readonly choices: readonly string[];
}

export interface Thing {
  readonly path: string;
  readonly kind: string;
  readonly name: string;
  readonly told: string;
  readonly shape: "point" | "line" | "area" | "none";
  readonly raw: Value;
  readonly places: readonly Place[];
  readonly bends: string;
  readonly entries: readonly Entry[];
  readonly of: string;
}

export interface Run {
  readonly name: string;
  readonly duty: string;
  readonly route: readonly At[];
  readonly pipe: string;
  readonly grade: string;
  readonly length: string;
  readonly inverts: string;
}

export interface Finding {
  readonly id: string;
  readonly title: string;
  readonly severity: "caution" | "fails";
  readonly where: string;
  readonly message: string;
  readonly advice: string;
}

export interface Drawn {
  readonly points: readonly { name: string; at: At; told: string }[];
  readonly outline: readonly At[];
  readonly walls: readonly { name: string; start: At; end: At; outward: At }[];
  readonly runs: readonly Run[];
  readonly nodes: readonly { name: string; kind: string; at: At; told: string }[];
  readonly roots: readonly (readonly [string, number])[];
  readonly drained: readonly { to: string; rings: readonly (readonly At[])[] }[];
  readonly contours: readonly { line: readonly At[]; told: string; strong: boolean }[];
  readonly picture: { width: number; height: number; corner: At; pixel: number; turn: number } | null;
  readonly findings: readonly Finding[];
  readonly price?: number | null; // left out for who may not see prices; null: not reckoned yet
  readonly currency: string;
  /** Whether digging and price are reckoned. */
  readonly built: boolean;
  /** Where not, nothing here is proven. */
  readonly storm_run: boolean;
  /** Ids of the checks that wait for what is not known yet. */
  readonly waiting: readonly string[];
}

export interface Problem {
  readonly where: string;
  readonly found: string;
  readonly expected: string;
  readonly hint: string;
  /** In words, and the page below the job where it is told; only where the document is at fault. */
  readonly title?: string;
  readonly words?: string;
  readonly page?: string;
}

/** The office's answer to a draft. */
export interface Answer {
  readonly things?: readonly Thing[];
  readonly lists?: Readonly<Record<string, number | null>>;
  readonly drawn?: Drawn;
  /** In its place where there is no design: the points and the house. */
  readonly bare?: Drawn;
  readonly problems?: readonly Problem[];
}

export interface Begin extends Answer {
  readonly revision: number;
  readonly units: Units;
  readonly record: Value;
  readonly done: readonly { id: string; operations: readonly Operation[] }[];
  readonly undone: readonly { id: string; operations: readonly Operation[] }[];
  readonly utilities: Readonly<Record<string, readonly [string, string, string]>>;
}

/** A coordinate as it is written into the document: `12 ft 3 in`, `3.25 m`. */
export function coordinate(value: number, units: Units): string {
  if (units === "SI") return `${plain(value, 3)} m`;
  if (Math.abs(value) >= 1000 * FOOT) return `${plain(value / FOOT, 2)} ft`;
  return write(value, "length", "US", "ft-in");
}

function plain(value: number, digits: number): string {
  const text = value.toFixed(digits).replace(/\.?0+$/, "");
  return text === "-0" ? "0" : text;
}

export function placeText(at: At, units: Units): string {
  return `${coordinate(at[0], units)}, ${coordinate(at[1], units)}`;
}

/** Coordinates of a place in the document; undefined where it is a point's name. */
export function placeAt(raw: Value | undefined): At | undefined {
  const parts = typeof raw === "string" ? raw.split(",") : Array.isArray(raw) ? raw : [];
  if (parts.length !== 2) return undefined;
  try {
    return [parse(String(parts[0]).trim(), "length"), parse(String(parts[1]).trim(), "length")];
  } catch {
    return undefined;
  }
}

export function distance(a: At, b: At): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/** Nearest place on a line from a to b, and how far along it lies. */
export function onLine(a: At, b: At, at: At): { at: At; along: number; out: number } {
  const length = distance(a, b) || 1;
  const [e, n] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  const along = (at[0] - a[0]) * e + (at[1] - a[1]) * n;
  const out = (at[1] - a[1]) * e - (at[0] - a[0]) * n;
  const held = Math.min(Math.max(along, 0), length);
  return { at: [a[0] + held * e, a[1] + held * n], along, out };
}

/** The place so far along from a towards b, and so far to the left of that line. */
export function alongOut(a: At, b: At, along: number, out: number): At {
  const length = distance(a, b) || 1;
  const [e, n] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  return [a[0] + along * e - out * n, a[1] + along * n + out * e];
}
