// The walk round the house: side by side, drawn as it is typed, and how well it closes.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { YardBook } from "./book";
import { entry, list, mapping, text } from "./path";
import { Field, Told, checked, useDraft } from "./parts";
import { Row } from "./rows";
import { Sketch } from "./sketch";
import { groundOf, pathWalked, systemOf, taped, turned, walkOf } from "./reckon";

const LEGS = "survey.perimeter.legs";

export function Walk({ book }: { book: YardBook }): JSX.Element {
  const system = systemOf(book.record);
  const begun = book.at("survey.perimeter.start") !== null;
  return (
    <section>
      <h2>{say("Walk round the house")}</h2>
      <p>{say("Tape each side along the outside face, and say how you turn at its far corner: left is minus, right is plus.")}</p>
      {begun ? <Legs book={book} /> : <Begin book={book} system={system} />}
    </section>
  );
}

function Begin({ book, system }: { book: YardBook; system: "US" | "SI" }): JSX.Element {
  const [fields, change, clear] = useDraft(`draft ${book.job} walk`, { start: "A", bearing: "" });
  const [errors, setErrors] = useState<Record<string, string>>({});
  const begin = async (): Promise<void> => {
    const start = checked(fields["start"] ?? "", "name", system);
    const bearing = checked(fields["bearing"] ?? "", "turn", system);
    setErrors({ start: start.error, bearing: bearing.error });
    if (start.error || bearing.error) return;
    const origin = system === "US" ? "0 ft, 0 ft" : "0 m, 0 m";
    if (await book.set("survey.perimeter", { start: start.value, at: origin, bearing: bearing.value, legs: [] })) clear();
  };
  return (
    <form onSubmit={(event) => { event.preventDefault(); void begin(); }}>
      <Field id="walk-start" label={say("First corner")} value={fields["start"] ?? ""} reads="name" system={system} error={errors["start"] ?? ""} change={(start) => change({ start })} />
      <Field id="walk-bearing" label={say("Direction of the first side")} hint={say("Clockwise from north: 90 deg is to the east.")} value={fields["bearing"] ?? ""} reads="turn" system={system} error={errors["bearing"] ?? ""} change={(bearing) => change({ bearing })} />
      <p class="row-ways"><button class="button">{say("Begin the walk")}</button></p>
    </form>
  );
}

function Legs({ book }: { book: YardBook }): JSX.Element {
  const system = systemOf(book.record);
  const { start, legs } = walkOf(book.record);
  const [fields, change, clear] = useDraft(`draft ${book.job} leg`, { to: "", length: "", turn: "" });
  const [errors, setErrors] = useState<Record<string, string>>({});
  const closed = legs.length > 0 && text(mapping(legs.at(-1) ?? null)["to"]) === start;
  const add = async (): Promise<void> => {
    const to = checked(fields["to"] ?? "", "name", system);
    const length = checked(fields["length"] ?? "", "tape", system);
    const turn = checked(fields["turn"] ?? "", "turn", system, to.value !== start);
    if (!to.error && list(book.at(LEGS)).some((leg) => mapping(leg)["to"] === to.value)) to.error = say("Found {found} again; each corner is passed once.", { found: to.value });
    setErrors({ to: to.error, length: length.error, turn: turn.error });
    if (to.error || length.error || turn.error) return;
    const leg = { to: to.value, length: length.value, ...(turn.value ? { turn: turn.value } : {}) };
    if (await book.set(entry(LEGS, to.value), leg)) {
      clear();
      document.getElementById("leg-to")?.focus();
    }
  };
  return (
    <>
      <WalkSketch book={book} />
      <ol class="entries">
        {legs.map((one) => {
          const leg = mapping(one);
          const path = entry(LEGS, text(leg["to"]));
          const turn = text(leg["turn"]);
          return <Row key={path} book={book} path={path} words={say("To {corner}: {size}", { corner: text(leg["to"]), size: text(leg["length"]) }) + (turn ? `, ${say("turn {turn}", { turn })}` : "")} />;
        })}
      </ol>
      {!closed && (
        <form onSubmit={(event) => { event.preventDefault(); void add(); }}>
          <Field id="leg-to" label={say("To corner")} hint={say("The last side comes back to {corner}.", { corner: start })} value={fields["to"] ?? ""} reads="name" system={system} error={errors["to"] ?? ""} change={(to) => change({ to })} />
          <Field id="leg-length" label={say("Length of the side")} value={fields["length"] ?? ""} reads="tape" system={system} error={errors["length"] ?? ""} change={(length) => change({ length })} />
          <Field id="leg-turn" label={say("Turn at that corner")} hint={say("At the last corner it may be left out; then nothing checks the turns.")} value={fields["turn"] ?? ""} reads="turn" system={system} error={errors["turn"] ?? ""} change={(turn) => change({ turn })} />
          <p class="row-ways"><button class="button">{say("Add this side")}</button></p>
        </form>
      )}
    </>
  );
}

function WalkSketch({ book }: { book: YardBook }): JSX.Element {
  const system = systemOf(book.record);
  const { start, legs } = walkOf(book.record);
  const path = pathWalked(book.record);
  const first = path[0] ?? [0, 0];
  const last = path.at(-1) ?? first;
  const { walk, walkTrouble } = groundOf(book.record);
  const closed = legs.length > 0 && text(mapping(legs.at(-1) ?? null)["to"]) === start;
  const names = [start, ...legs.map((one) => text(mapping(one)["to"]))].slice(0, closed ? -1 : undefined);
  const gap = Math.sqrt((last[0] - first[0]) ** 2 + (last[1] - first[1]) ** 2);
  return (
    <>
      <Sketch
        title={say("The walk as it was taped")}
        system={system}
        lines={[path]}
        closing={path.length > 2 ? [last, first] : []}
        marks={names.map((name, n) => ({ name, at: path[n] ?? first, kind: "corner" }))}
      />
      {walk ? (
        <Told kind={walk.blunder ? "fails" : "ok"} title={walk.blunder ? say("The walk does not close") : say("The walk closes")}>
          {say("It misses its start by {size} in {whole} walked", { size: taped(walk.gap, system), whole: taped(walk.perimeter, system) })}
          {walk.angularMisclosure === null ? `; ${say("the last turn was not measured, so nothing checks the turns.")}` : `; ${say("the turns miss a full circle by {angle}°.", { angle: ((walk.angularMisclosure * 180) / Math.PI).toFixed(1) })}`}
          {walk.blunder ? ` ${say("A side or a turn must be wrong: tape again.")}` : ` ${say("The office shares that out over the sides.")}`}
        </Told>
      ) : closed ? (
        <Told kind="fails" title={say("The walk does not close")}>{walkTrouble}.</Told>
      ) : legs.length > 1 ? (
        <p role="status">{say("From here back to {corner} it is {size} in a straight line. Turned so far: {angle}°.", { corner: start, size: taped(gap, system), angle: turned(book.record).toFixed(1) })}</p>
      ) : null}
    </>
  );
}
