// Add a thing: it comes to stand in the middle of what is seen, and is then dragged or typed to its place.
import { freeName } from "./edits";
import { field, type Field } from "./entry";
import { entryPath, reach, type Value } from "./document";
import { made } from "./page";
import { placeText, type At, type Units } from "./model";

interface Ask {
  readonly key: string;
  readonly label: string;
  readonly kind: string;
  readonly value?: string;
  readonly hint?: string;
  readonly choices?: (nodes: readonly string[], names: readonly string[]) => readonly string[];
}

interface New {
  readonly list: string;
  readonly words: string;
  readonly stem: string;
  readonly at: "at" | "route" | "outline" | "";
  readonly asks: readonly Ask[];
}

const UTILITIES = ["water", "reclaimed", "irrigation", "irrigation control", "electric", "gas", "communication", "sewer", "septic", "storm drain", "low voltage lighting", "pool", "propane", "oil"];
const OUTLETS = ["daylight", "street", "storm line", "dry well", "infiltration trench", "pop-up emitter"];
const DUTIES = ["yard drain", "footing drain", "leader", "discharge line", "overflow"];
const SURFACES = ["lawn", "planting", "bare soil", "gravel", "paving", "concrete", "asphalt", "pervious paving"];

const NEW: readonly New[] = [
  { list: "works.inlets", words: "Inlet", stem: "CB", at: "at", asks: [] },
  {
    list: "works.runs", words: "Run", stem: "R", at: "",
    asks: [
      { key: "duty", label: "Duty", kind: "text", value: "yard drain", choices: () => DUTIES },
      { key: "from", label: "Upper end", kind: "text", choices: (_, names) => names },
      { key: "to", label: "Lower end", kind: "text", choices: (_, names) => names },
    ],
  },
  {
    list: "works.discharge", words: "Discharge point", stem: "OUT", at: "at",
    asks: [
      { key: "kind", label: "Kind", kind: "text", value: "daylight", choices: () => OUTLETS },
      { key: "invert", label: "Invert", kind: "level", hint: "Like 96.40 ft, or 6 in below ground" },
    ],
  },
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
}

export function showAdding(into: HTMLElement, adder: Adder): void {
  const select = made("select", { id: "new-kind", "aria-label": "What to add" }, ...NEW.map(({ words }, number) => made("option", { value: String(number) }, words)));
  const form = made("form", { class: "plan-new", novalidate: true });
  const box = made("div");
  let fields: [Ask, Field][] = [];
  let name: Field | undefined;
  const kind = (): New => NEW[Number(select.value)] as New;
  const fill = (): void => {
    const { asks, list, stem } = kind();
    name = field({ label: "Name", kind: "text", value: freeName(adder.record(), list, stem) });
    fields = asks.map((one) => {
      const choices = one.choices?.(adder.nodes(), adder.names()) ?? [];
      return [one, field({ label: one.label, kind: one.kind, value: one.value ?? "", choices, ...(one.hint ? { hint: one.hint } : {}) })];
    });
    box.replaceChildren(name.root, ...fields.map(([, one]) => one.root));
  };
  select.addEventListener("change", fill);
  form.append(made("label", { class: "entry" }, "What", select), box, made("button", { class: "button" }, "Put it on the plan"));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const { list, at } = kind();
    const given = name?.input.value.trim() ?? "";
    if (!/^[A-Za-z][A-Za-z0-9 ._-]{0,39}$/.test(given)) return name?.wrong("Expected a name that begins with a letter, like CB3");
    if (reach(adder.record(), entryPath(list, given)) !== undefined) return name?.wrong(`${given} is taken; expected a name of its own`);
    for (const [one, entry] of fields) {
      if (entry.input.value.trim() === "") {
        entry.wrong(`Expected ${one.label.toLowerCase()}${one.hint ? `. ${one.hint}` : ""}`);
        entry.input.focus();
        return;
      }
      if (!entry.good()) return entry.input.focus();
    }
    const typed = Object.fromEntries(fields.map(([{ key }, entry]) => [key, entry.input.value.trim()]));
    adder.add(list, { name: given, ...shapeOf(at, adder), ...typed }, given);
    fill();
  });
  const details = made("details", { class: "plan-adding" }, made("summary", {}, "Add a thing"), form);
  details.addEventListener("toggle", () => details.open && fill());
  into.replaceChildren(details);
}

function shapeOf(at: New["at"], adder: Adder): { [key: string]: Value } {
  const { at: middle, reach: side } = adder.middle();
  const off = (e: number, n: number): string => placeText([middle[0] + e * side, middle[1] + n * side], adder.units);
  if (at === "at") return { at: off(0, 0) };
  if (at === "route") return { route: [off(-1, 0), off(1, 0)] };
  if (at === "outline") return { outline: [off(-1, -1), off(1, -1), off(1, 1), off(-1, 1)] };
  return {};
}

