// A sketch to scale as figures: where each place falls, which is nearest to a tap, where its name has room.
import type { Plan } from "../ties";
import type { System } from "../units";

export const WIDE = 340;
const HIGHEST = 300;
const SIDE = 30; // left free on every side, for names
const LETTER = 7; // width of a letter of a name, at most
const LINE = 13;

/** How places fall on the sketch; north is up. */
export interface Frame {
  readonly high: number;
  /** Units of the sketch to the metre. */
  readonly scale: number;
  put(at: Plan): Plan;
  /** The place on the ground under a place of the sketch. */
  ground(on: Plan): Plan;
}

export interface Named {
  readonly name: string;
  readonly at: Plan;
}

export function framed(places: readonly Plan[]): Frame | undefined {
  if (!places.length) return undefined;
  const [easts, norths] = [places.map(([east]) => east), places.map(([, north]) => north)];
  const [west, south] = [Math.min(...easts), Math.min(...norths)];
  const [wide, deep] = [Math.max(...easts) - west, Math.max(...norths) - south];
  const scale = Math.min((WIDE - 2 * SIDE) / (wide || 1), (HIGHEST - 2 * SIDE) / (deep || 1));
  const [left, top] = [(WIDE - wide * scale) / 2, SIDE];
  return {
    high: Math.round(deep * scale + 2 * SIDE),
    scale,
    put: ([east, north]) => [left + (east - west) * scale, top + (south + deep - north) * scale],
    ground: ([x, y]) => [west + (x - left) / scale, south + deep - (y - top) / scale],
  };
}

/** Places by how far they lie from a place of the sketch, in its units; the nearest first. */
export function byNearness<Place extends Named>(places: readonly Place[], frame: Frame, on: Plan): { readonly place: Place; readonly apart: number }[] {
  return places
    .map((place) => {
      const [x, y] = frame.put(place.at);
      return { place, apart: Math.hypot(x - on[0], y - on[1]) };
    })
    .sort((one, other) => one.apart - other.apart);
}

/** A name, or what is written in its place, and where it begins. */
export interface Label {
  readonly words: string;
  readonly on: Plan;
}

type Box = readonly [left: number, top: number, right: number, bottom: number];

const meets = (a: Box, b: Box): boolean => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

/** Names that have room beside their places, the first of them served first; the others stay unwritten until they are chosen. */
export function labelled(places: readonly (Named & { readonly words?: string })[], frame: Frame): Label[] {
  const marks = places.map(({ at }): Box => {
    const [x, y] = frame.put(at);
    return [x - 4, y - 4, x + 4, y + 4];
  });
  const taken: Box[] = [];
  const found: Label[] = [];
  places.forEach(({ at, name, words = name }, n) => {
    const [x, y] = frame.put(at);
    const wide = words.length * LETTER;
    const ways: readonly Plan[] = [[x + 7, y - 5], [x - 7 - wide, y - 5], [x + 7, y + LINE + 1], [x - 7 - wide, y + LINE + 1], [x - wide / 2, y - 9], [x - wide / 2, y + LINE + 6]];
    const free = ways.find(([left, base]) => {
      const box: Box = [left, base - LINE + 2, left + wide, base + 2];
      const inside = box[0] >= 0 && box[2] <= WIDE && box[1] >= 0 && box[3] <= frame.high;
      return inside && !taken.some((other) => meets(box, other)) && !marks.some((mark, m) => m !== n && meets(box, mark));
    });
    if (!free) return;
    taken.push([free[0], free[1] - LINE + 2, free[0] + wide, free[1] + 2]);
    found.push({ words, on: free });
  });
  return found;
}

const FOOT = 0.3048;

/** A round length for the scale's bar, and its words. */
export function bar(frame: Frame, system: System): { readonly long: number; readonly words: string } {
  const [unit, label] = system === "US" ? [FOOT, "ft"] : [1, "m"];
  const most = (WIDE / 3) / (frame.scale * unit);
  const power = 10 ** Math.floor(Math.log10(most));
  const round = [5, 2, 1].map((one) => one * power).find((one) => one <= most) ?? power;
  return { long: round * unit * frame.scale, words: `${Number(round.toPrecision(1))} ${label}` };
}

/** A place that a finger pointed at, in words. */
export function spotWords([east, north]: Plan, system: System): string {
  const [unit, per] = system === "US" ? ["ft", FOOT] : ["m", 1];
  return `${(east / per).toFixed(1)} ${unit}, ${(north / per).toFixed(1)} ${unit}`;
}
