// How things look on the plan, in each theme. Lines differ by weight and dash as well as by colour.
import { Circle, Fill, RegularShape, Stroke, Style, Text } from "ol/style";

export interface Inks {
  readonly dark: boolean;
  readonly ink: string;
  readonly soft: string;
  readonly rule: string;
  readonly sheet: string;
  readonly accent: string;
  readonly attention: string;
  readonly earth: string;
  readonly water: string;
}

export function inks(): Inks {
  const style = getComputedStyle(document.documentElement);
  const token = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  const dark = document.documentElement.dataset["theme"] === "dark";
  return {
    dark,
    ink: token("ink"),
    soft: token("soft"),
    rule: token("rule"),
    sheet: token("sheet"),
    accent: token("accent"),
    attention: token("attention"),
    earth: token("earth"),
    water: dark ? "#7fc3ea" : "#1b6390",
  };
}

/** Duties: the heavier the line, the more it carries away from the house. */
const DUTIES: Readonly<Record<string, readonly [number, readonly number[]]>> = {
  "footing drain": [4.5, [13, 5]],
  "yard drain": [3.5, []],
  leader: [2.75, [14, 4, 3, 4]],
  "discharge line": [4.5, [18, 4, 5, 4, 5, 4]],
  overflow: [2.75, [4, 5]],
};

/** A colour made lighter, so that it can be seen on dark ground. */
export function lighter(colour: string): string {
  const parts = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
  return `rgb(${parts.map((one) => Math.round(one + (255 - one) * 0.45)).join(" ")})`;
}

export function words(text: string, ink: string, halo: string, more: { size?: number; strong?: boolean; y?: number; x?: number } = {}): Text {
  return new Text({
    text,
    font: `${more.strong ? 600 : 400} ${more.size ?? 14}px Text, sans-serif`,
    fill: new Fill({ color: ink }),
    stroke: new Stroke({ color: halo, width: 3.5 }),
    offsetY: more.y ?? 0,
    offsetX: more.x ?? 0,
    overflow: true,
  });
}

export function duty(kind: string, look: Inks, chosen: boolean): Style[] {
  const [width, dash] = DUTIES[kind] ?? [3, []];
  const line = new Style({ stroke: new Stroke({ color: look.water, width, lineDash: [...dash], lineCap: "butt" }), zIndex: 5 });
  return chosen ? [halo(look, width + 7, 4), line] : [line];
}

export function halo(look: Inks, width: number, zIndex: number): Style {
  return new Style({ stroke: new Stroke({ color: `${look.attention}66`, width }), zIndex });
}

export function utility(colour: string, look: Inks, chosen: boolean): Style[] {
  const line = new Style({ stroke: new Stroke({ color: look.dark ? lighter(colour) : colour, width: 2.25, lineDash: [9, 4] }), zIndex: 3 });
  return chosen ? [halo(look, 9, 2), line] : [line];
}

export function area(kind: string, look: Inks, chosen: boolean): Style[] {
  const width = kind === "house" ? 3 : kind === "boundary" ? 2 : 1.5;
  const dash = kind === "boundary" ? [16, 5, 3, 5] : kind === "yard" ? [5, 4] : [];
  const fill = kind === "house" ? `${look.earth}59` : kind === "yard" ? `${look.accent}1f` : "#00000000";
  const line = new Style({
    stroke: new Stroke({ color: kind === "yard" ? look.accent : look.ink, width, lineDash: dash }),
    ...(kind === "boundary" ? {} : { fill: new Fill({ color: fill }) }),
    zIndex: kind === "house" ? 1 : 0,
  });
  return chosen ? [halo(look, width + 7, 0), line] : [line];
}

function mark(kind: string, look: Inks): Circle | RegularShape {
  const edge = new Stroke({ color: look.ink, width: 2 });
  const paper = new Fill({ color: look.sheet });
  const water = new Fill({ color: look.water });
  switch (kind) {
    case "inlet":
      return new RegularShape({ points: 4, radius: 10, angle: Math.PI / 4, fill: water, stroke: new Stroke({ color: look.sheet, width: 1.5 }) });
    case "basin":
      return new Circle({ radius: 11, fill: paper, stroke: new Stroke({ color: look.water, width: 4 }) });
    case "discharge":
      return new RegularShape({ points: 3, radius: 12, rotation: Math.PI, fill: water, stroke: new Stroke({ color: look.sheet, width: 1.5 }) });
    case "downspout":
      return new RegularShape({ points: 4, radius: 8, angle: Math.PI / 4, fill: paper, stroke: new Stroke({ color: look.water, width: 2.5 }) });
    case "tree":
      return new Circle({ radius: 6, fill: new Fill({ color: look.accent }), stroke: new Stroke({ color: look.sheet, width: 1.5 }) });
    case "corner":
      return new Circle({ radius: 4, fill: new Fill({ color: look.ink }) });
    default:
      return new RegularShape({ points: 4, radius: 5, radius2: 0, fill: paper, stroke: edge });
  }
}

/** Where a photograph was taken: a lozenge, as on the yard's sketch. */
export function pin(look: Inks): Style {
  const image = new RegularShape({ points: 4, radius: 9, fill: new Fill({ color: look.attention }), stroke: new Stroke({ color: look.sheet, width: 1.5 }) });
  return new Style({ image, zIndex: 9 });
}

export function point(kind: string, name: string, look: Inks, chosen: boolean): Style[] {
  const small = kind === "point" || kind === "corner";
  const text = words(name, small ? look.soft : look.ink, look.sheet, { y: -17, strong: !small, size: small ? 12 : 14 });
  const own = new Style({ image: mark(kind, look), text, zIndex: small ? 6 : 8 });
  if (!chosen) return [own];
  return [new Style({ image: new Circle({ radius: 18, fill: new Fill({ color: `${look.attention}59` }) }), zIndex: 7 }), own];
}

/** A place that can be dragged; hollow: one that becomes a new bend. */
export function handle(look: Inks, coarse: boolean, kind: "place" | "bend" | "held" | "active"): Style {
  const radius = (coarse ? 13 : 8) * (kind === "bend" ? 0.65 : kind === "active" ? 1.2 : 1);
  const colour = kind === "held" ? look.soft : look.attention;
  const fill = kind === "bend" || kind === "held" ? look.sheet : colour;
  return new Style({
    image: new Circle({ radius, fill: new Fill({ color: fill }), stroke: new Stroke({ color: kind === "active" ? look.ink : colour, width: 2.5 }) }),
    zIndex: 20,
  });
}
