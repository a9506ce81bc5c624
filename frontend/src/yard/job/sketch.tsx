// Sketches to scale: the places so far, what was typed last, and a tap that chooses the nearest.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { Plan } from "../ties";
import type { System } from "../units";
import type { YardBook } from "./book";
import { WIDE, bar, byNearness, framed, labelled, spotWords, type Named } from "./drawing";
import { Choice } from "./parts";
import { list, mapping, standing, text, type Json } from "./path";
import { fine, levelsKnown, placeTold, spotsOf, systemOf, type Spot } from "./reckon";

export interface Mark extends Named {
  readonly kind: "corner" | "point" | "shot" | "now" | "other" | "pin";
  /** What is written beside it, where that is not its name. */
  readonly words?: string;
}

interface SketchProps {
  readonly title: string;
  readonly system: System;
  readonly lines?: readonly (readonly Plan[])[];
  readonly closing?: readonly Plan[];
  readonly marks: readonly Mark[];
  readonly rings?: readonly { readonly at: Plan; readonly radius: number }[];
  /** Told of a tap: marks by their nearness, and the place on the ground. */
  readonly tapped?: (near: readonly { readonly place: Mark; readonly apart: number }[], at: Plan) => void;
}

const ORDER = ["now", "other", "corner", "shot", "point", "pin"]; // whose names are written first

/** A sketch to scale, north up. */
export function Sketch({ title, system, lines = [], closing = [], marks, rings = [], tapped }: SketchProps): JSX.Element | null {
  const frame = framed([...lines.flat(), ...closing, ...marks.map(({ at }) => at)]);
  if (!frame) return null;
  const line = (path: readonly Plan[]): string => path.map((at) => frame.put(at).map((one) => one.toFixed(1)).join(",")).join(" ");
  const first = [...marks].sort((one, other) => ORDER.indexOf(one.kind) - ORDER.indexOf(other.kind));
  const scale = bar(frame, system);
  const tap = (event: JSX.TargetedMouseEvent<SVGSVGElement>): void => {
    const { left, top, width } = event.currentTarget.getBoundingClientRect();
    const on: Plan = [((event.clientX - left) * WIDE) / width, ((event.clientY - top) * WIDE) / width];
    tapped?.(byNearness(marks, frame, on), frame.ground(on));
  };
  return (
    <figure class={tapped ? "sketch taps" : "sketch"}>
      <svg viewBox={`0 0 ${WIDE} ${frame.high}`} role="img" aria-label={title} onClick={tap}>
        {rings.map(({ at, radius }, n) => <circle key={n} class="ring" cx={frame.put(at)[0]} cy={frame.put(at)[1]} r={radius * frame.scale} />)}
        {lines.map((path, n) => <polyline key={n} class="side" points={line(path)} />)}
        {closing.length > 1 && <polyline class="gap" points={line(closing)} />}
        {[...first].reverse().map(({ name, at, kind }) => {
          const [x, y] = frame.put(at);
          return <g key={`${kind} ${name}`} class={kind}><MarkShape kind={kind} x={x} y={y} /></g>;
        })}
        {labelled(first.filter(({ kind }) => kind !== "pin"), frame).map(({ words, on }, n) => <text key={n} x={on[0]} y={on[1]}>{words}</text>)}
      </svg>
      <figcaption><svg class="scale" viewBox={`0 0 ${WIDE} 8`} aria-hidden="true"><path d={`M1 1v6M1 4h${scale.long.toFixed(1)}m0-3v6`} /></svg>{say("The bar is {size}.", { size: scale.words })} {title}. {say("North is up.")}</figcaption>
    </figure>
  );
}

function MarkShape({ kind, x, y }: { kind: Mark["kind"]; x: number; y: number }): JSX.Element {
  if (kind === "corner") return <rect x={x - 4} y={y - 4} width="8" height="8" />;
  if (kind === "pin") return <path d={`M${x} ${y - 6}l6 6l-6 6l-6-6z`} />;
  return <circle cx={x} cy={y} r={kind === "now" ? 7 : kind === "other" ? 6 : 4} />;
}

const REACH = 30; // within which places lie side by side under a gloved finger, in the sketch's units

interface GroundProps {
  readonly book: YardBook;
  readonly record?: Json;
  /** The name that is chosen, or was typed last. */
  readonly chosen: string;
  readonly choose: (name: string) => void;
  /** Told of a tap beside all points, in words; where it is left out the nearest point is chosen however far it is. */
  readonly place?: (words: string) => void;
}

/** What is fixed so far, with the levels there are; a tap chooses. */
export function Ground({ book, record = book.record, chosen, choose, place }: GroundProps): JSX.Element | null {
  const [beside, setBeside] = useState<readonly string[]>([]);
  const system = systemOf(record);
  const spots = spotsOf(record);
  const levels = levelsKnown(record);
  if (!spots.length) return <p class="hint">{say("The sketch begins with the walk, or with a point.")}</p>;
  const marks = spots.map((spot) => markOf(spot, chosen, levels, system));
  const there = spots.find(({ name }) => name === chosen);
  const free = there ? undefined : placeTold(record, chosen);
  const tapped = (near: readonly { readonly place: Mark; readonly apart: number }[], at: Plan): void => {
    const named = near.filter(({ place: { kind } }) => kind !== "pin");
    const [nearest, ...others] = named;
    if (!nearest) return;
    if (place && nearest.apart > REACH) {
      setBeside([]);
      return place(spotWords(at, system));
    }
    setBeside(others.filter(({ apart }) => apart < REACH).slice(0, 3).map((one) => one.place.name));
    choose(nearest.place.name);
  };
  const level = levels.get(chosen);
  return (
    <div class="ground-sketch">
      <Sketch
        title={say("Tap the nearest point to choose it")}
        system={system}
        lines={[outlineOf(spots, record)]}
        marks={[...marks, ...pinsOf(book, record), ...(free ? [{ name: "here", at: free, kind: "now" } as const] : [])]}
        tapped={tapped}
      />
      <Choice id="sketch-choice" label={say("Or choose from the list")} value={there ? chosen : ""} options={[["", say("None")], ...spots.map(({ name }): [string, string] => [name, name])]} change={choose} />
      <p role="status">
        {there ? `${chosen}: ${level === undefined ? say("no level yet") : say("level {level}", { level: fine(level, system) })}${there.rough ? `; ${say("its place is as taped, the walk is not closed")}` : ""}.` : free ? say("A place of its own: {place}.", { place: chosen }) : chosen ? say("{point} has no place on the sketch yet.", { point: chosen }) : say("None chosen.")}
      </p>
      {beside.length > 0 && (
        <p class="row-ways">{beside.map((name) => <button key={name} type="button" class="button quiet" onClick={() => { setBeside([...beside.filter((one) => one !== name), chosen]); choose(name); }}>{say("Rather {point}", { point: name })}</button>)}</p>
      )}
    </div>
  );
}

function markOf({ name, at, corner }: Spot, chosen: string, levels: ReadonlyMap<string, number>, system: System): Mark {
  const level = levels.get(name);
  const kind = name === chosen ? "now" : corner ? "corner" : level === undefined ? "point" : "shot";
  return { name, at, kind, ...(name === chosen && level !== undefined ? { words: `${name} ${fine(level, system)}` } : {}) };
}

/** The walk; of a house that nobody walked round, its outline where its corners have places. */
function outlineOf(spots: readonly Spot[], record: Json): Plan[] {
  const corners = spots.filter(({ corner }) => corner);
  if (!corners.length) {
    const path = list(standing(record, "house.outline")).map((one) => placeTold(record, text(one)));
    return path[0] && path.every((at) => at !== undefined) ? [...path, path[0]] : [];
  }
  const path = corners.map(({ at }) => at);
  return path.length > 2 && !corners.some(({ rough }) => rough) ? [...path, path[0] as Plan] : path;
}

/** Photos on this phone and what is seen, at the places that they name. */
function pinsOf(book: YardBook, record: Json): Mark[] {
  const seen = list(book.at("symptoms")).map((one) => text(mapping(one)["where"]));
  return [...book.photos.map(({ pin }) => pin), ...seen].flatMap((words, n) => {
    const at = placeTold(record, words);
    return at ? [{ name: `${n}`, at, kind: "pin" as const }] : [];
  });
}
