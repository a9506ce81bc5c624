// Points: by two or three tapes, along a wall and out from it, or by distances east and north; drawn at once.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { YardBook } from "./book";
import { entry, list, mapping, text, type Json } from "./path";
import { Choice, Field, Told, checked, useDraft, type Fields } from "./parts";
import { cornersOf, fixed, groundOf, placeOf, read, systemOf, taped, within, type Ground } from "./reckon";
import { Row } from "./rows";
import { Sketch, type Mark } from "./sketch";
import type { Plan } from "../ties";
import type { System } from "../units";

const POINTS = "survey.points";
const WAYS = [
  ["ties", say("Two or three tapes from known points")],
  ["along", say("Along a line, and out from it")],
  ["plan", say("Distances east and north")],
] as const;
const EMPTY: Fields = { name: "", way: "ties", from1: "", tape1: "", from2: "", tape2: "", from3: "", tape3: "", line1: "", line2: "", distance: "", offset: "", east: "", north: "", level: "", note: "", other: "" };

export function Points({ book }: { book: YardBook }): JSX.Element {
  const ground = groundOf(book.record);
  const system = systemOf(book.record);
  const [fields, change, clear] = useDraft(`draft ${book.job} point`, EMPTY);
  const [errors, setErrors] = useState<Record<string, string>>({});
  const set = (key: string) => (value: string): void => change({ [key]: value });
  const field = (key: string, label: string, reads: "tape" | "name" | "words", hint = ""): JSX.Element => (
    <Field id={`point-${key}`} label={label} value={fields[key] ?? ""} reads={reads} system={system} error={errors[key] ?? ""} hint={hint} change={set(key)} />
  );
  const add = async (): Promise<void> => {
    const made = pointOf(fields, ground, system, book.at("house.outline") !== null);
    setErrors(made.errors);
    if (made.point && (await book.set(entry(POINTS, text(made.point["name"])), made.point))) {
      clear();
      document.getElementById("point-name")?.focus();
    }
  };
  const way = fields["way"] || "ties";
  return (
    <section>
      <h2>{say("Points and ties")}</h2>
      <form onSubmit={(event) => { event.preventDefault(); void add(); }}>
        {field("name", say("Name of the point"), "name")}
        <Choice id="point-way" label={say("How it is fixed")} value={way} options={WAYS} change={set("way")} />
        {way === "ties" && [1, 2, 3].map((n) => (
          <div key={n}>
            {field(`from${n}`, n === 3 ? say("Tape 3, a check: from") : say("Tape {n}: from", { n }), "name")}
            {field(`tape${n}`, say("Tape {n}: length", { n }), "tape")}
          </div>
        ))}
        {way === "along" && (
          <>
            <div class="pair">{field("line1", say("Along the line from"), "name")}{field("line2", say("To"), "name")}</div>
            {field("distance", say("Distance from the first"), "tape")}
            {field("offset", say("Out from the line"), "tape", say("Left of the way you go is plus, right is minus."))}
          </>
        )}
        {way === "plan" && <>{field("east", say("East"), "tape", say("West is minus."))}{field("north", say("North"), "tape", say("South is minus."))}</>}
        {field("level", say("Level"), "tape", say("Leave it out where the level book gives it."))}
        {field("note", say("Note"), "words", say("Begin with “not ground:” where it is a sill, a spout, a bend."))}
        <Preview fields={fields} ground={ground} system={system} change={change} />
        <p class="row-ways"><button class="button">{say("Keep this point")}</button></p>
      </form>
      <ol class="entries">
        {list(book.at(POINTS)).map(mapping).map((one) => {
          const name = text(one["name"]);
          const placed = ground.points.get(name);
          const trouble = placed?.trouble ? say("no place: {why}", { why: placed.trouble }) : placed?.fixes[0]?.weak ? say("weak: the tapes cross too flat") : "";
          return <Row key={name} book={book} path={entry(POINTS, name)} words={`${name}: ${wordsOf(one)}`} note={[trouble, text(one["note"])].filter(Boolean).join(" · ")} />;
        })}
      </ol>
    </section>
  );
}

function wordsOf(one: { readonly [key: string]: Json }): string {
  const level = one["level"] === undefined ? "" : `, ${say("level {level}", { level: text(one["level"]) })}`;
  if (one["east"] !== undefined) return say("{east} east, {north} north", { east: text(one["east"]), north: text(one["north"]) }) + level;
  if (one["along"] !== undefined) return say("{size} along {line}, {out} out", { size: text(one["distance"]), line: list(one["along"]).map(text).join("–"), out: text(one["offset"]) || "0" }) + level;
  return `${list(one["ties"] ?? null).map(mapping).map((tie) => say("{size} from {point}", { size: text(tie["distance"]), point: text(tie["from"]) })).join(", ")}${level}`;
}

function tiesOf(fields: Fields, ground: Ground, system: "US" | "SI"): { given: { anchor: Plan; distance: number }[]; names: string[] } {
  const found = [1, 2, 3].flatMap((n) => {
    const anchor = ground.points.get((fields[`from${n}`] ?? "").trim())?.at;
    const distance = read(checked(fields[`tape${n}`] ?? "", "tape", system).value);
    return anchor && distance !== undefined ? [{ anchor, distance, name: (fields[`from${n}`] ?? "").trim() }] : [];
  });
  return { given: found.map(({ anchor, distance }) => ({ anchor, distance })), names: found.map(({ name }) => name) };
}

/** Fields that name the points which it is measured from. */
const ENDS: Readonly<Record<string, readonly string[]>> = { ties: ["from1", "from2", "from3"], along: ["line1", "line2"] };

/** Where a point stands that is typed by another way than by tapes, as far as it is typed. */
function placeTyped(fields: Fields, ground: Ground, system: System): Plan | undefined {
  const size = (key: string): string => checked(fields[key] ?? "", "tape", system, false).value;
  if (fields["way"] === "plan") return placeOf({ name: "", east: size("east"), north: size("north") }, ground.points, 0)?.at;
  if (fields["way"] !== "along") return undefined;
  return placeOf({ name: "", along: [fields["line1"] ?? "", fields["line2"] ?? ""], distance: size("distance"), offset: size("offset") || "0 m" }, ground.points, 0)?.at;
}

/** The point as it would stand: drawn while it is typed. */
function Preview({ fields, ground, system, change }: { fields: Fields; ground: Ground; system: "US" | "SI"; change: (fields: Fields) => void }): JSX.Element {
  const marks: Mark[] = [...ground.points.values()].flatMap(({ name, at, corner }) => (at ? [{ name, at, kind: corner ? ("corner" as const) : ("point" as const) }] : []));
  const outline = [...ground.points.values()].flatMap(({ at, corner }) => (corner && at ? [at] : []));
  const { given } = (fields["way"] || "ties") === "ties" ? tiesOf(fields, ground, system) : { given: [] };
  const tried = given.length > 1 ? fixed(given, 0.01, undefined, cornersOf(ground.points.values())) : null;
  const chosen = fields["other"] === "1" ? 1 : 0;
  const ends = ENDS[fields["way"] || "ties"] ?? [];
  const here = placeTyped(fields, ground, system);
  const now = tried?.fixes.map(({ at }, n): Mark => ({ name: n === chosen ? fields["name"] || "here" : say("or here"), at, kind: n === chosen ? "now" : "other" })) ?? (here ? [{ name: fields["name"] || "here", at: here, kind: "now" as const }] : []);
  const best = tried?.fixes[chosen];
  // The first end that nobody named yet; where all are named, the last gives way.
  const from = (name: string | undefined): void => {
    const end = ends.find((key) => !(fields[key] ?? "").trim()) ?? ends.at(-1);
    if (name && end && !ends.some((key) => fields[key] === name)) change({ [end]: name });
  };
  return (
    <>
      <Sketch
        title={ends.length ? say("What is fixed so far. Tap a point to measure from it") : say("What is fixed so far")}
        system={system}
        lines={outline.length > 2 ? [[...outline, outline[0] as Plan]] : []}
        marks={[...marks, ...now]}
        rings={given.map(({ anchor, distance }) => ({ at: anchor, radius: distance }))}
        {...(ends.length ? { tapped: (near) => from(near.find(({ place: { kind } }) => kind === "corner" || kind === "point")?.place.name) } : {})}
      />
      {tried?.trouble && <Told kind="fails" title={say("The tapes do not meet")}>{tried.trouble}.</Told>}
      {tried && tried.fixes.length > 1 && (
        <p class="row-ways"><button type="button" class="button quiet" onClick={() => change({ other: chosen ? "0" : "1" })}>{say("It is on the other side")}</button></p>
      )}
      {best && (
        <Told kind={best.weak ? "caution" : "ok"} title={best.weak ? say("A weak fix") : say("A good fix")}>
          {best.weak ? `${say("The tapes cross too flat: take one from a corner further round.")} ` : ""}
          {say("The tapes cross at {angle}°.", { angle: ((best.angle * 180) / Math.PI).toFixed(0) })} {given.length > 2 ? say("They miss each other by {size}.", { size: taped(best.residual, system) }) : say("A third tape would check it.")}
        </Told>
      )}
    </>
  );
}

function pointOf(fields: Fields, ground: Ground, system: "US" | "SI", outlined: boolean): { point?: { readonly [key: string]: Json }; errors: Record<string, string> } {
  const errors: Record<string, string> = {};
  const take = (key: string, reads: "tape" | "name", needed = true): string => {
    const { value, error } = checked(fields[key] ?? "", reads, system, needed);
    errors[key] = error;
    return value;
  };
  const known = (key: string): string => {
    const name = take(key, "name");
    if (name && !ground.points.get(name)?.at) errors[key] = say("Found {found}, which has no place yet.", { found: name });
    return name;
  };
  const name = take("name", "name");
  let fix: { [key: string]: Json } = {};
  const way = fields["way"] || "ties";
  if (way === "plan") fix = { east: take("east", "tape"), north: take("north", "tape") };
  else if (way === "along") {
    const offset = take("offset", "tape", false);
    fix = { along: [known("line1"), known("line2")], distance: take("distance", "tape"), ...(offset ? { offset } : {}) };
  } else {
    const third = Boolean((fields["from3"] ?? "").trim() || (fields["tape3"] ?? "").trim());
    fix = { ties: (third ? [1, 2, 3] : [1, 2]).map((n) => ({ from: known(`from${n}`), distance: take(`tape${n}`, "tape") })) };
    const { given } = tiesOf(fields, ground, system);
    const tried = given.length > 1 ? fixed(given, 0.01, undefined, cornersOf(ground.points.values())) : null;
    if (tried?.trouble) errors["tape1"] = say("Found tapes that do not meet: {why}.", { why: tried.trouble });
    const at = tried?.fixes[fields["other"] === "1" ? 1 : 0]?.at;
    const corners = cornersOf(ground.points.values());
    const plain = outlined && fields["other"] !== "1" && tried?.fixes.filter((fix) => !within(fix.at, corners)).length === 1;
    if (tried && tried.fixes.length > 1 && at && !plain) {
      const [unit, per] = system === "US" ? ["ft", 0.3048] : ["m", 1];
      fix["side"] = `${(at[0] / per).toFixed(1)} ${unit}, ${(at[1] / per).toFixed(1)} ${unit}`;
    }
  }
  const level = take("level", "tape", false);
  const note = (fields["note"] ?? "").trim();
  if (Object.values(errors).some(Boolean)) return { errors };
  return { point: { name, ...fix, ...(level ? { level } : {}), ...(note ? { note } : {}) }, errors };
}
