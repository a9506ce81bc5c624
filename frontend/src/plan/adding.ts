// Add a thing: it comes to stand in the middle of what is seen, and is then dragged or typed to its place.
import { BASIN, basinAt, freeName } from "./edits";
import { field, type Field } from "./entry";
import { entryPath, reach, type Value } from "./document";
import { made } from "./page";
import { placeAt, placeText, type At, type Units } from "./model";

interface Ask {
  readonly key: string;
  readonly label: string;
  readonly kind: string;
  readonly value?: string;
  readonly hint?: string;
  readonly free?: true; // may be left empty
  readonly listed?: true; // several, with commas between
  readonly choices?: (nodes: readonly string[], names: readonly string[]) => readonly string[];
}

interface New {
  readonly list: string;
  readonly words: string;
  readonly stem: string;
  readonly at: "at" | "route" | "outline" | "point" | "house" | "";
  readonly asks: readonly Ask[];
}

const UTILITIES = ["water", "reclaimed", "irrigation", "irrigation control", "electric", "gas", "communication", "sewer", "septic", "storm drain", "low voltage lighting", "pool", "propane", "oil"];
const OUTLETS = ["daylight", "street", "storm line", "dry well", "infiltration trench", "pop-up emitter"];
const DUTIES = ["yard drain", "footing drain", "leader", "discharge line", "overflow"];
const SURFACES = ["lawn", "planting", "bare soil", "gravel", "paving", "concrete", "asphalt", "pervious paving"];

const HOUSE: New = {
  list: "house.outline", words: "House", stem: "", at: "house",
  asks: [
    { key: "along", label: "Length, west to east", kind: "length", hint: "Like 40 ft or 12.2 m", free: true },
    { key: "deep", label: "Depth, south to north", kind: "length", hint: "Like 28 ft or 8.5 m", free: true },
    { key: "corners", label: "Or its corners", kind: "text", hint: "Each as east, north; with ; between: 0 ft, 0 ft; 40 ft, 0 ft; 40 ft, 28 ft", free: true },
  ],
};
const NEW: readonly New[] = [
  {
    list: "survey.points", words: "Point with its level", stem: "P", at: "point",
    asks: [{ key: "level", label: "Level of the ground there", kind: "length", hint: "Like 99.30 ft" }],
  },
  { list: "works.inlets", words: "Inlet", stem: "CB", at: "at", asks: [] },
  {
    list: "works.runs", words: "Run", stem: "R", at: "",
    asks: [
      { key: "duty", label: "Duty", kind: "text", value: "yard drain", choices: () => DUTIES },
      { key: "from", label: "Upper end", kind: "text", choices: (_, names) => names },
      { key: "to", label: "Lower end", kind: "text", choices: (_, names) => names },
      { key: "beside", label: "Beside walls", kind: "text", hint: "Of a footing drain, in order: south, east. Else left out", free: true, listed: true },
    ],
  },
  {
    list: "works.discharge", words: "Discharge point", stem: "OUT", at: "at",
    asks: [
      { key: "kind", label: "Kind", kind: "text", value: "daylight", choices: () => OUTLETS },
      { key: "invert", label: "Invert", kind: "level", hint: "Like 96.40 ft, or 6 in below ground" },
    ],
  },
  { list: BASIN, words: "Sump basin", stem: "SUMP", at: "at", asks: [] },
  { list: "downspouts", words: "Downspout", stem: "DS", at: "at", asks: [] },
  {
    list: "yards", words: "Yard area", stem: "yard ", at: "outline",
    asks: [
      { key: "surface", label: "Surface", kind: "text", value: "lawn", choices: () => SURFACES },
      { key: "to", label: "Drains to", kind: "text", value: "away", choices: (nodes) => ["away", ...nodes] },
    ],
  },
  {
    list: "utilities", words: "Buried line", stem: "line ", at: "route",
    asks: [
      { key: "kind", label: "Kind", kind: "text", value: "water", choices: () => UTILITIES },
      { key: "depth", label: "Depth to its top", kind: "fact length", hint: "Like 2 ft, assumed; or 18 in, measured" },
    ],
  },
  {
    list: "trees", words: "Tree", stem: "tree ", at: "at",
    asks: [{ key: "trunk_diameter", label: "Trunk diameter", kind: "length", hint: "At breast height, like 18 in" }],
  },
];

export interface Adder {
  readonly units: Units;
  record(): Value;
  middle(): { at: At; reach: number };
  nodes(): string[];
  names(): string[];
  add(list: string, entry: Value, name: string): void;
  house(corners: readonly (readonly [string, string])[]): void;
}

export function showAdding(into: HTMLElement, adder: Adder): void {
  const offered = (): readonly New[] => (reach(adder.record(), "house.outline") === undefined ? [HOUSE, ...NEW] : NEW);
  const select = made("select", { id: "new-kind", "aria-label": "What to add" });
  const offer = (): void => {
    const kinds = offered();
    if (select.options.length === kinds.length) return;
    const first = select.options.length === 0 && kinds[0] !== HOUSE ? "Inlet" : (kinds[0]?.words ?? "");
    select.replaceChildren(...kinds.map(({ words }) => made("option", { value: words, selected: words === first }, words)));
  };
  const form = made("form", { class: "plan-new", novalidate: true });
  const box = made("div");
  let fields: [Ask, Field][] = [];
  let name: Field | undefined;
  const kind = (): New => offered().find(({ words }) => words === select.value) ?? (NEW[0] as New);
  const fill = (): void => {
    offer();
    const { asks, list, stem, at } = kind();
    name = at === "house" ? undefined : field({ label: "Name", kind: "text", value: freeName(adder.record(), list, stem) });
    fields = asks.map((one) => {
      const choices = one.choices?.(adder.nodes(), adder.names()) ?? [];
      return [one, field({ label: one.label, kind: one.kind, value: one.value ?? "", choices, free: one.free ?? false, ...(one.hint ? { hint: one.hint } : {}) })];
    });
    box.replaceChildren(...(name ? [name.root] : []), ...fields.map(([, one]) => one.root));
  };
  select.addEventListener("change", fill);
  form.append(made("label", { class: "entry" }, "What", select), box, made("button", { class: "button" }, "Put it on the plan"));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const { list, at } = kind();
    if (at === "house") {
      const corners = cornersOf(fields.map(([, entry]) => entry), adder.units);
      if (corners) {
        adder.house(corners);
        fill();
      }
      return;
    }
    const given = name?.input.value.trim() ?? "";
    if (!/^[A-Za-z][A-Za-z0-9 ._-]{0,39}$/.test(given)) return name?.wrong("Expected a name that begins with a letter, like CB3");
    if (list === BASIN ? basinAt(adder.record(), given).taken : reach(adder.record(), entryPath(list, given)) !== undefined) return name?.wrong(`${given} is taken; expected a name of its own`);
    for (const [one, entry] of fields) {
      if (entry.input.value.trim() === "" && !one.free) {
        entry.wrong(`Expected ${one.label.toLowerCase()}${one.hint ? `. ${one.hint}` : ""}`);
        entry.input.focus();
        return;
      }
      if (!entry.good()) return entry.input.focus();
    }
    const said = fields.map(([one, entry]): [Ask, string] => [one, entry.input.value.trim()]).filter(([, text]) => text !== "");
    const typed = Object.fromEntries(said.map(([{ key, listed }, text]) => [key, listed ? text.split(/\s*,\s*/) : text]));
    adder.add(list, { name: given, ...shapeOf(at, adder), ...typed }, given);
    fill();
  });
  const details = made("details", { class: "plan-adding" }, made("summary", {}, "Add a thing"), form);
  details.addEventListener("toggle", () => details.open && fill());
  into.replaceChildren(details);
}

/** The corners of a house by length and depth, or as they are typed; undefined where neither is whole: then it is said. */
function cornersOf([along, deep, corners]: readonly Field[], units: Units): (readonly [string, string])[] | undefined {
  if (!along || !deep || !corners) return undefined;
  const typed = corners.input.value.split(";").map((one) => one.trim()).filter(Boolean);
  if (typed.length) {
    const places = typed.map((one) => placeAt(one));
    if (typed.length < 3 || places.includes(undefined)) {
      corners.wrong(`Found ${typed.length < 3 ? `${typed.length} corners` : typed[places.indexOf(undefined)]}; expected three corners or more, each east and north with units`);
      corners.input.focus();
      return undefined;
    }
    return typed.map((one) => one.split(",").map((part) => part.trim()) as [string, string]);
  }
  for (const entry of [along, deep]) {
    if (entry.input.value.trim() === "") entry.wrong("Expected a length with its unit, or the corners below");
    if (entry.input.value.trim() === "" || !entry.good()) {
      entry.input.focus();
      return undefined;
    }
  }
  const [east, north] = [along.input.value.trim(), deep.input.value.trim()];
  const none = units === "US" ? "0 ft" : "0 m";
  return [[none, none], [east, none], [east, north], [none, north]];
}

function shapeOf(at: New["at"], adder: Adder): { [key: string]: Value } {
  const { at: middle, reach: side } = adder.middle();
  const off = (e: number, n: number): string => placeText([middle[0] + e * side, middle[1] + n * side], adder.units);
  if (at === "at") return { at: off(0, 0) };
  if (at === "route") return { route: [off(-1, 0), off(1, 0)] };
  if (at === "outline") return { outline: [off(-1, -1), off(1, -1), off(1, 1), off(-1, 1)] };
  if (at === "point") {
    const [east, north] = off(0, 0).split(", ") as [string, string];
    return { east, north, basis: "stated" };
  }
  return {};
}

