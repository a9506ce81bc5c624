// The map: layers in the lot's own metres, and the features of all things.
import Feature from "ol/Feature";
import OlMap from "ol/Map";
import View from "ol/View";
import { defaults as usual } from "ol/interaction/defaults";
import { Circle as Ring, LineString, Point, Polygon } from "ol/geom";
import VectorLayer from "ol/layer/Vector";
import Projection from "ol/proj/Projection";
import VectorSource from "ol/source/Vector";
import { Fill, Stroke, Style } from "ol/style";
import { boundingExtent, buffer } from "ol/extent";
import * as looks from "./looks";
import { Sheet } from "./sheet";
import type { At, Begin, Drawn, Place, Thing, Units } from "./model";

const LOT = 2000; // half a side of all that is drawn [m]
export const TOUCH = matchMedia("(pointer: coarse)");

export interface Handle {
  readonly at: At;
  readonly thing: Thing;
  /** Number of the place; of a bend to be: the place after which it comes. */
  readonly number: number;
  readonly kind: "place" | "bend" | "held";
}

/** A photograph that has a place on the plan. */
export interface Pin {
  readonly photo: string;
  readonly at: At;
}

export class Sight {
  readonly map: OlMap;
  look = looks.inks();
  chosen: string | undefined;
  active = 0;
  things: readonly Thing[] = [];
  private drawn: Drawn | undefined;
  private readonly sheet: Sheet;
  private readonly ground = new VectorSource();
  private readonly works = new VectorSource();
  private readonly grips = new VectorSource();
  private readonly pinned = new VectorSource();
  private pins: readonly Pin[] = [];
  private utilities: Begin["utilities"] = {};

  constructor(
    target: HTMLElement,
    units: Units,
    private readonly address: string,
  ) {
    this.sheet = new Sheet(units, this.look);
    const projection = new Projection({ code: "lot", units: "m", extent: [-LOT, -LOT, LOT, LOT] });
    this.map = new OlMap({
      target,
      controls: [],
      interactions: usual({ altShiftDragRotate: false, pinchRotate: false, keyboard: false, doubleClickZoom: false }),
      layers: [this.sheet, ...[this.ground, this.works, this.pinned, this.grips].map((source) => new VectorLayer({ source, updateWhileInteracting: true, updateWhileAnimating: true }))],
      view: new View({ projection, center: [0, 0], resolution: 0.05, minResolution: 0.002, maxResolution: 2, enableRotation: false, showFullExtent: true }),
    });
    new MutationObserver(() => this.recolour()).observe(document.documentElement, { attributeFilter: ["data-theme"] });
  }

  begin(begin: Begin): void {
    this.utilities = begin.utilities;
  }

  show(things: readonly Thing[], drawn: Drawn | undefined): void {
    this.things = things;
    if (drawn && drawn !== this.drawn) {
      this.drawn = drawn;
      this.showGround(drawn);
      this.sheet.lay(drawn.picture, this.address);
    }
    this.showThings();
  }

  whole(): void {
    const places = [...(this.drawn?.outline ?? []), ...this.things.filter(({ kind }) => kind !== "point").flatMap((one) => one.places.map(({ at }) => at))];
    if (places.length === 0) return;
    const size = this.map.getSize() ?? [400, 400];
    this.map.getView().fit(buffer(boundingExtent(places.map((at) => [...at])), 1.5), { size });
  }

  thing(path: string | undefined): Thing | undefined {
    return this.things.find((one) => one.path === path);
  }

  /** The handles of the thing that is chosen. */
  handles(): Handle[] {
    const thing = this.thing(this.chosen);
    if (!thing) return [];
    const found: Handle[] = thing.places.map(({ at, holds }, number) => ({ at, thing, number, kind: holds ? "held" : "place" }));
    if (thing.bends && thing.places.length > 1) {
      const closed = thing.shape === "area";
      for (let number = 0; number < thing.places.length - (closed ? 0 : 1); number += 1) {
        const a = thing.places[number]?.at;
        const b = thing.places[(number + 1) % thing.places.length]?.at;
        if (a && b) found.push({ at: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], thing, number, kind: "bend" });
      }
    }
    return found;
  }

  pixel(at: At): At {
    const [x = 0, y = 0] = this.map.getPixelFromCoordinate([...at]) ?? [];
    return [x, y];
  }

  /** The thing that stands at a point, nearest to a place of the screen. */
  pointUnder(pixel: number[], tolerance: number): Thing | undefined {
    let best: Thing | undefined;
    let least = tolerance;
    for (const thing of this.things) {
      if (thing.shape !== "point" || !thing.places[0]) continue;
      const [x, y] = this.pixel(thing.places[0].at);
      const weight = thing.kind === "point" || thing.kind === "corner" ? 6 : 0;
      const away = Math.hypot(x - (pixel[0] ?? 0), y - (pixel[1] ?? 0)) + weight;
      if (away < least) [best, least] = [thing, away];
    }
    return best;
  }

  /** The thing under a place of the screen: what stands at a point before lines, and lines before areas. */
  under(pixel: number[], tolerance: number): Thing | undefined {
    const best = this.pointUnder(pixel, tolerance);
    if (best) return best;
    const found = this.map.getFeaturesAtPixel(pixel, { hitTolerance: tolerance / 2 }).map((one) => one.get("path") as string | undefined);
    const hit = found.map((path) => this.thing(path)).filter((one): one is Thing => one !== undefined);
    const order = ["line", "area", "none", "point"];
    const rank = (one: Thing): number => (one.kind === "boundary" ? 9 : order.indexOf(one.shape));
    return hit.sort((a, b) => rank(a) - rank(b))[0];
  }

  showPins(pins: readonly Pin[]): void {
    this.pins = pins;
    this.pinned.clear(true);
    this.pinned.addFeatures(
      pins.map(({ at }) => {
        const feature = new Feature(new Point([...at]));
        feature.setStyle(looks.pin(this.look));
        return feature;
      }),
    );
  }

  /** The photograph whose pin is nearest to a place of the screen. */
  pinUnder(pixel: number[], tolerance: number): string | undefined {
    const apart = ({ at }: Pin): number => {
      const [x, y] = this.pixel(at);
      return Math.hypot(x - (pixel[0] ?? 0), y - (pixel[1] ?? 0));
    };
    const [nearest] = this.pins.filter((one) => apart(one) < tolerance).sort((one, other) => apart(one) - apart(other));
    return nearest?.photo;
  }

  recolour(): void {
    this.look = looks.inks();
    this.sheet.look = this.look;
    this.sheet.changed();
    if (this.drawn) this.showGround(this.drawn);
    this.showThings();
    this.showPins(this.pins);
  }

  private showGround(drawn: Drawn): void {
    const { look } = this;
    const features = drawn.contours.map(({ line, told, strong }) => {
      const feature = new Feature(new LineString(line.map((at) => [...at])));
      const text = told ? looks.words(told, look.soft, look.sheet, { size: 12 }) : undefined;
      text?.setPlacement("line");
      feature.setStyle(new Style({ stroke: new Stroke({ color: look.earth, width: strong ? 1.6 : 0.8 }), ...(text ? { text } : {}) }));
      return feature;
    });
    for (const { rings, to } of drawn.drained) {
      const feature = new Feature(new Polygon(rings.map((ring) => [...ring, ring[0] ?? [0, 0]].map((at) => [...at]))));
      feature.setStyle(new Style({ fill: new Fill({ color: `${look.water}17` }), stroke: new Stroke({ color: `${look.water}66`, width: 1, lineDash: [3, 3] }) }));
      feature.set("drains", to);
      features.push(feature as never);
    }
    for (const { at, told } of drawn.points) {
      if (!told) continue;
      const feature = new Feature(new Point([...at]));
      feature.setStyle((_: unknown, resolution: number) => (resolution > 0.045 ? [] : [new Style({ text: looks.words(told, look.soft, look.sheet, { size: 11, y: 12 }) })]));
      features.push(feature as never);
    }
    this.ground.clear(true);
    this.ground.addFeatures(features as Feature[]);
  }

  private showThings(): void {
    const features: Feature[] = [];
    for (const thing of this.things) features.push(...this.featuresOf(thing));
    this.works.clear(true);
    this.works.addFeatures(features);
    this.grips.clear(true);
    this.grips.addFeatures(
      this.handles().map(({ at, kind, number }) => {
        const feature = new Feature(new Point([...at]));
        const now = kind !== "bend" && number === this.active ? "active" : kind;
        feature.setStyle(looks.handle(this.look, TOUCH.matches, kind === "held" ? "held" : now));
        return feature;
      }),
    );
  }

  private featuresOf(thing: Thing): Feature[] {
    const { look } = this;
    const chosen = thing.path === this.chosen;
    const line = thing.places.map(({ at }) => [...at]);
    const made: Feature[] = [];
    const add = (geometry: LineString | Polygon | Point | Ring, style: Style | Style[]): void => {
      const feature = new Feature(geometry);
      feature.setStyle(style);
      feature.set("path", thing.path);
      made.push(feature as Feature);
    };
    if (thing.kind === "run") {
      const route = this.route(thing);
      if (route.length > 1) {
        const styles = looks.duty(this.drawn?.runs.find(({ name }) => name === thing.name)?.duty ?? "", look, chosen);
        const text = looks.words(thing.name, look.water, look.sheet, { size: 13, strong: true });
        text.setPlacement("line");
        text.setOverflow(false);
        add(new LineString(route.map((at) => [...at])), [...styles, new Style({ text, zIndex: 9 })]);
      }
    } else if (thing.shape === "point" && line[0]) {
      const ring = this.drawn?.roots.find(([name]) => name === thing.name)?.[1];
      if (thing.kind === "tree" && ring) {
        add(new Ring(line[0], ring), new Style({ stroke: new Stroke({ color: look.accent, width: 1.5, lineDash: [2, 5] }), fill: new Fill({ color: `${look.accent}14` }) }));
      }
      add(new Point(line[0]), looks.point(thing.kind, thing.name, look, chosen));
    } else if (thing.kind === "utility" && line.length > 1) {
      const kind = (thing.raw as { kind?: string } | null)?.kind ?? "";
      const [letters, colour] = this.utilities[kind] ?? ["?", "#777777"];
      const text = looks.words(letters, look.dark ? looks.lighter(colour) : colour, look.sheet, { size: 13, strong: true });
      text.setPlacement("line");
      text.setRepeat(140);
      add(new LineString(line), [...looks.utility(colour, look, chosen), new Style({ text, zIndex: 4 })]);
    } else if (thing.kind === "wall" && line.length > 1) {
      add(new LineString(line), chosen ? [looks.halo(look, 11, 2), new Style({ stroke: new Stroke({ color: look.ink, width: 4 }), zIndex: 2 })] : new Style({ stroke: new Stroke({ color: look.ink, width: 4 }), zIndex: 2 }));
    } else if (thing.shape === "area" && line.length > 2) {
      add(new Polygon([[...line, line[0] ?? [0, 0]]]), looks.area(thing.kind, look, chosen));
    } else if (line.length > 1) {
      add(new LineString(line), looks.area("boundary", look, chosen));
    } else if (line[0]) {
      add(new Point(line[0]), looks.point("point", thing.name, look, chosen));
    }
    return made;
  }

  /** Where a run goes: as designed, with its ends and bends where they are now. */
  private route(thing: Thing): At[] {
    const raw = thing.raw as { from?: string; to?: string; beside?: unknown[] } | null;
    const designed = this.drawn?.runs.find(({ name }) => name === thing.name)?.route ?? [];
    const ends = [raw?.from, raw?.to].map((name) => this.placeNamed(name));
    if (raw?.beside?.length && designed.length) {
      const made = [...designed];
      if (ends[1]) made[made.length - 1] = ends[1];
      return made;
    }
    const [from = designed[0], to = designed.at(-1)] = ends;
    if (!from || !to) return [...designed];
    return [from, ...thing.places.map((place: Place) => place.at), to];
  }

  private placeNamed(name: string | undefined): At | undefined {
    const known = ["inlet", "basin", "discharge", "downspout", "point", "corner"];
    return this.things.find((one) => one.name === name && known.includes(one.kind))?.places[0]?.at;
  }
}
