// The thing that is chosen: where it is, what can be typed of it, and taking it out.
import { parse } from "../yard/reading";
import { BASIN } from "./edits";
import { field, textOf } from "./entry";
import { button, made } from "./page";
import { alongOut, coordinate, onLine, type At, type Drawn, type Place, type Thing, type Units } from "./model";
import type { Value } from "./document";

export interface Desk {
  readonly units: Units;
  readonly drawn: Drawn | undefined;
  /** Names that a run may begin or end at. */
  names(): string[];
  nodes(): string[];
  measured(place: Place): string;
  release(place: Place): void;
  place(thing: Thing, number: number, at: At): void;
  type(path: string, value: Value): void;
  bend(thing: Thing, after: number): void;
  straighten(thing: Thing, number: number): void;
  remove(thing: Thing): void;
  grip(number: number): void;
}

const KIND_WORDS: Readonly<Record<string, string>> = { area: "Corner", line: "Bend", point: "Place" };

export function showChosen(into: HTMLElement, thing: Thing, desk: Desk): void {
  const parts: Node[] = [made("p", { class: "soft" }, thing.told)];
  const run = desk.drawn?.runs.find(({ name }) => thing.kind === "run" && name === thing.name);
  if (run) parts.push(made("p", { class: "n" }, `As designed: ${run.pipe}, ${run.grade}, ${run.length} long, invert ${run.inverts}.`));
  const node = desk.drawn?.nodes.find(({ name }) => name === thing.name && ["inlet", "basin", "discharge"].includes(thing.kind));
  if (node) parts.push(made("p", { class: "n" }, `As designed: ${node.told}.`));
  for (const entry of thing.entries) {
    const choices = entry.kind === "truth" ? ["true", "false"] : entry.choices.length ? entry.choices : choicesOf(entry.label, desk);
    const value = entry.kind === "truth" && entry.raw === null ? "true" : textOf(entry.raw);
    const made_ = field({ label: entry.label, kind: entry.kind, value, choices, free: entry.raw === null || /left out/.test(entry.label) }, (text) => {
      desk.type(entry.path, entry.kind === "truth" ? text === "true" : text || null);
    });
    parts.push(made_.root);
  }
  for (const [number, place] of thing.places.entries()) parts.push(placeOf(thing, number, place, desk));
  const ways = made("p", { class: "row-ways" });
  if (thing.bends && thing.shape !== "point") ways.append(button(thing.shape === "area" ? "Add a corner" : "Add a bend", () => desk.bend(thing, thing.places.length - 1)));
  if (thing.of) ways.append(button(`Remove ${thing.name || "it"}`, () => desk.remove(thing), "grave"));
  if (thing.kind === "basin" && thing.path === BASIN) ways.append(made("span", { class: "soft" }, "Without it the design puts a basin only where one is needed."));
  into.replaceChildren(...parts, ways);
}

function choicesOf(label: string, desk: Desk): readonly string[] {
  if (label === "Upper end" || label === "Lower end") return desk.names();
  if (label === "Drains to") return ["away", ...desk.nodes()];
  return [];
}

function placeOf(thing: Thing, number: number, place: Place, desk: Desk): HTMLElement {
  const many = thing.places.length > 1 || thing.bends !== "";
  const word = `${KIND_WORDS[thing.shape] ?? "Place"}${many ? ` ${number + 1}` : ""}${place.point ? `, on ${place.point}` : ""}`;
  const group = made("fieldset", { class: "plan-place" }, made("legend", {}, word));
  const how = place.holds ? desk.measured(place) : "";
  if (how) {
    group.append(
      made("p", { class: "n" }, `East ${coordinate(place.at[0], desk.units)}, north ${coordinate(place.at[1], desk.units)}; measured ${how}.`),
      button(`Give ${place.point ?? "it"} a typed place`, () => desk.release(place)),
    );
    return group;
  }
  const [east, north] = [0, 1].map((axis) =>
    field({ label: axis === 0 ? "East" : "North", kind: "length", value: coordinate(place.at[axis] ?? 0, desk.units) }, () => go()),
  );
  const go = (): void => {
    if (!east || !north || !east.good() || !north.good()) return;
    desk.place(thing, number, [parse(east.input.value, "length"), parse(north.input.value, "length")]);
  };
  if (east && north) group.append(made("div", { class: "pair" }, east.root, north.root));
  for (const one of [east, north]) one?.input.addEventListener("focus", () => desk.grip(number));
  if (desk.drawn?.walls.length) group.append(taped(thing, number, place, desk));
  const least = thing.shape === "area" ? 3 : thing.kind === "run" ? 0 : 2;
  if (thing.bends && thing.places.length > least) group.append(button("Take it out", () => desk.straighten(thing, number)));
  return group;
}

/** The same place as a crew tapes it: along a wall, and out from it. */
function taped(thing: Thing, number: number, place: Place, desk: Desk): HTMLElement {
  const walls = desk.drawn?.walls ?? [];
  const near = [...walls].sort((a, b) => away(a, place.at) - away(b, place.at))[0] ?? walls[0];
  const select = made("select", { "aria-label": "Wall" }, ...walls.map(({ name }) => made("option", { value: name }, name)));
  select.value = near?.name ?? "";
  const along = field({ label: "Along it", kind: "length", value: "" }, () => go());
  const out = field({ label: "Out from it", kind: "length", value: "" }, () => go());
  const wall = () => walls.find(({ name }) => name === select.value);
  const fill = (): void => {
    const one = wall();
    if (!one) return;
    const foot = onLine(one.start, one.end, place.at);
    along.input.value = coordinate(foot.along, desk.units);
    out.input.value = coordinate(foot.out * side(one), desk.units);
  };
  const go = (): void => {
    const one = wall();
    if (!one || !along.good() || !out.good()) return;
    const [a, o] = [along.input.value, out.input.value].map((text) => parse(text, "length"));
    desk.place(thing, number, alongOut(one.start, one.end, a ?? 0, (o ?? 0) * side(one)));
  };
  fill();
  select.addEventListener("change", fill);
  const box = made("details", { class: "plan-taped" }, made("summary", {}, "As taped from a wall"));
  box.append(made("label", { class: "entry" }, "Wall, from its first corner", select), made("div", { class: "pair" }, along.root, out.root));
  return box;
}

/** 1 where away from the house lies to the left of the wall's line, else -1. */
function side({ start, end, outward }: Drawn["walls"][number]): 1 | -1 {
  return (end[0] - start[0]) * outward[1] - (end[1] - start[1]) * outward[0] > 0 ? 1 : -1;
}

function away({ start, end }: Drawn["walls"][number], at: At): number {
  const foot = onLine(start, end, at).at;
  return Math.hypot(foot[0] - at[0], foot[1] - at[1]);
}
