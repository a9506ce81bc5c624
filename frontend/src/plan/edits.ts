// From what a person does to edits of the document.
import { entryPath, numberOf, performed, reach, type Value } from "./document";
import { coordinate, placeAt, placeText, type At, type Place, type Thing, type Units } from "./model";
import type { Edit } from "./steps";

type Fields = { [key: string]: Value };

export interface Known {
  readonly record: Value;
  readonly units: Units;
  readonly points: ReadonlyMap<string, At>;
}

function edit(record: Value, path: string, value: Value): Edit {
  return { path, value, was: reach(record, path) ?? null };
}

/** The surveyed point of a place, as the document has it; undefined for a corner of the walk. */
function surveyed(record: Value, name: string): Fields | undefined {
  const points = (reach(record, "survey.points") ?? []) as Fields[];
  return points.find((one) => one["name"] === name);
}

/** How a point was measured, where moving it would lose a measurement; empty where it was not. */
export function measuredBy(record: Value, name: string): string {
  const point = surveyed(record, name);
  if (!point) return "by the walk round the house";
  if (point["ties"]) return "by tape ties";
  if (point["along"]) return "along a wall and out from it";
  return point["basis"] === undefined || point["basis"] === "measured" ? "by east and north" : "";
}

/** Put typed coordinates in the place of what was measured; the point stays where it is. */
export function typedPlace(known: Known, name: string): Edit[] {
  const { record, units } = known;
  const point = surveyed(record, name);
  const path = entryPath("survey.points", name);
  const text = (at: At): Fields => ({ east: coordinate(at[0], units), north: coordinate(at[1], units) });
  const at = known.points.get(name) ?? [0, 0];
  if (point) {
    const edits = ["ties", "side", "along", "distance", "offset"].filter((key) => key in point).map((key) => edit(record, `${path}.${key}`, null));
    if (!("east" in point)) edits.push(...Object.entries(text(at)).map(([key, value]) => edit(record, `${path}.${key}`, value)));
    return [...edits, edit(record, `${path}.basis`, "stated")];
  }
  const walk = reach(record, "survey.perimeter") as Fields | undefined;
  const legs = (walk?.["legs"] ?? []) as Fields[];
  const corners = [...new Set([walk?.["start"], ...legs.map((leg) => leg["to"])])].filter((one): one is string => typeof one === "string");
  const entries = corners.map((one): Fields => ({ name: one, ...text(known.points.get(one) ?? [0, 0]), basis: "stated" }));
  const edits = [edit(record, "survey.perimeter", null)];
  const list = reach(record, "survey.points");
  if (!Array.isArray(list)) return [...edits, edit(record, "survey.points", entries)];
  return [...edits, ...entries.map((entry): Edit => ({ path: "survey.points[+]", value: entry, was: null }))];
}

/** Move a place. Where it is a surveyed point that holds it, the point itself moves. */
export function moved(known: Known, place: Place, at: At, point?: string): Edit[] {
  const { record, units } = known;
  if (place.holds && place.point !== null) {
    const path = entryPath("survey.points", place.point);
    return [edit(record, `${path}.east`, coordinate(at[0], units)), edit(record, `${path}.north`, coordinate(at[1], units))];
  }
  return [edit(record, place.path, point ?? placeText(at, units))];
}

/** Add a bend after a place of a thing. */
export function bent(known: Known, thing: Thing, after: number, at: At, point?: string): Edit[] {
  const list = (reach(known.record, thing.bends) ?? []) as Value[];
  const value = [...list];
  value.splice(after + 1, 0, point ?? placeText(at, known.units));
  return [{ path: thing.bends, value, was: reach(known.record, thing.bends) ?? null }];
}

/** Take a bend out. */
export function straightened(known: Known, thing: Thing, number: number): Edit[] {
  const list = (reach(known.record, thing.bends) ?? []) as Value[];
  return [edit(known.record, thing.bends, list.filter((_, place) => place !== number))];
}

/** Take a thing out of the document. */
export function removed(known: Known, thing: Thing): Edit[] {
  if (thing.path === BASIN) return filledIn(known.record);
  if (thing.kind === "house") return unhoused(known.record);
  if (thing.kind === "boundary") return [edit(known.record, thing.path, null)];
  const was = reach(known.record, thing.path) ?? null;
  return [{ path: thing.path, value: null, was, taken: numberOf(known.record, thing.path) }];
}

/** Add an entry to a list; the list is made where there is none. */
export function added(known: Known, list: string, entry: Value): Edit[] {
  const stands = reach(known.record, list);
  if (Array.isArray(stands) && stands.length > 0) return [{ path: `${list}[+]`, value: entry, was: null }];
  return [{ path: list, value: [entry], was: stands ?? null }];
}

export const BASIN = "works.basin";
const MORE_BASINS = "works.more_basins";

export interface Basin {
  readonly path: string;
  readonly first: boolean; // the basin at the house; the others stand in a list
  readonly taken: boolean;
}

/** Where a basin of a name goes in the document, and whether another has that name. */
export function basinAt(record: Value, name: string): Basin {
  const stands = reach(record, BASIN);
  const first = typeof stands !== "object" || stands === null;
  const own = first ? undefined : ((stands as Fields)["name"] ?? "SUMP");
  const path = first ? BASIN : entryPath(MORE_BASINS, name);
  return { path, first, taken: own === name || (!first && reach(record, path) !== undefined) };
}

/** Add a basin; the first takes the place of a word, and of the place where one would go if it were needed. */
export function dug(known: Known, basin: Basin, entry: Value): Edit[] {
  if (!basin.first) return added(known, MORE_BASINS, entry);
  const { record } = known;
  const before = ["works.basin_place", MORE_BASINS].filter((path) => reach(record, path) !== undefined).map((path) => edit(record, path, null));
  return [...before, edit(record, BASIN, entry)];
}

/** Take the basin at the house out: the next takes its place; where there is none, whether one is needed is designed. */
function filledIn(record: Value): Edit[] {
  const [next, ...rest] = (reach(record, MORE_BASINS) ?? []) as Value[];
  if (next === undefined) return [edit(record, BASIN, null)];
  return [edit(record, BASIN, next), edit(record, MORE_BASINS, rest.length ? rest : null)];
}

/** Take the outline of the house out, and those of its corners that were typed and that nothing else goes by. */
function unhoused(record: Value): Edit[] {
  const outline = edit(record, "house.outline", null);
  const edits = [outline];
  let left = performed(record, [{ id: "", ...outline }]);
  const corners = Array.isArray(outline.was) ? outline.was.filter((one): one is string => typeof one === "string") : [];
  for (const name of corners) {
    const point = surveyed(left, name);
    if (point?.["basis"] !== "stated" || point["level"] !== undefined) continue;
    const path = entryPath("survey.points", name);
    const out = { path, value: null, was: point, taken: numberOf(left, path) };
    const without = performed(left, [{ id: "", ...out }]);
    if (says(without, name)) continue;
    edits.push(out);
    left = without;
  }
  return edits;
}

function says(value: Value | undefined, word: string): boolean {
  if (typeof value === "object" && value !== null) return Object.values(value).some((one) => says(one, word));
  return value === word;
}

/** A house by its corners: measured points with places as typed, and the outline through them. */
export function housed(known: Known, corners: readonly (readonly [string, string])[]): Edit[] {
  const { record } = known;
  const taken = new Set(((reach(record, "survey.points") ?? []) as Fields[]).map((one) => one["name"]));
  const names: string[] = [];
  for (let letter = 0; names.length < corners.length; letter += 1) {
    const name = letter < 26 ? String.fromCharCode(65 + letter) : `H${letter - 25}`;
    if (!taken.has(name)) names.push(name);
  }
  const points = corners.map(([east, north], number): Fields => ({ name: names[number] ?? "", east, north, basis: "stated" }));
  const [first, ...rest] = points as [Fields, ...Fields[]];
  const outline = { path: "house.outline", value: names, was: reach(record, "house.outline") ?? null };
  if (taken.size === 0) return [...added(known, "survey.points", first).map((one) => ({ ...one, value: points })), outline];
  return [...[first, ...rest].map((value): Edit => ({ path: "survey.points[+]", value, was: null })), outline];
}

export function typed(known: Known, path: string, value: Value): Edit[] {
  return [edit(known.record, path, value)];
}

/** A name that no thing of the list has yet: CB3 after CB1 and CB2. */
export function freeName(record: Value, list: string, stem: string): string {
  if (list === BASIN) {
    for (let number = 1; ; number += 1) {
      const name = number === 1 ? stem : `${stem}${number}`;
      if (!basinAt(record, name).taken) return name;
    }
  }
  const taken = new Set(((reach(record, list) ?? []) as Fields[]).map((one) => one["name"]));
  let number = 1;
  while (taken.has(`${stem}${number}`)) number += 1;
  return `${stem}${number}`;
}

/** The things as the record now has them, before the office answers: places anew, and none that are gone. */
export function follow(things: readonly Thing[], known: Known): Thing[] {
  const found: Thing[] = [];
  const where = (raw: Value | undefined): At | undefined => placeAt(raw) ?? (typeof raw === "string" ? pointAt(known, raw.trim()) : undefined);
  for (const thing of things) {
    const raw = thing.raw === null ? null : reach(known.record, thing.path);
    if (raw === undefined) continue;
    let places: Place[] = [];
    if (thing.bends) {
      for (const [number, one] of ((reach(known.record, thing.bends) ?? []) as Value[]).entries()) {
        const at = where(one);
        if (at) places.push({ path: `${thing.bends}[${number}]`, raw: one, at, point: placeAt(one) ? null : String(one), holds: false });
      }
    } else {
      places = thing.places.flatMap((place) => {
        if (place.holds && place.point !== null) return [{ ...place, at: pointAt(known, place.point) ?? place.at }];
        const text = reach(known.record, place.path);
        const at = where(text);
        return at && text !== undefined ? [{ ...place, raw: text, at, point: placeAt(text) ? null : String(text) }] : [];
      });
    }
    found.push({ ...thing, raw, places });
  }
  return found;
}

function pointAt(known: Known, name: string): At | undefined {
  const point = surveyed(known.record, name);
  const typedAt = point?.["east"] !== undefined ? placeAt([point["east"], point["north"] ?? ""]) : undefined;
  return typedAt ?? known.points.get(name);
}

/** The record with edits that are only tried. */
export function tried(record: Value, trying: readonly Edit[]): Value {
  return performed(record, trying.map((one) => ({ id: "", ...one })));
}
