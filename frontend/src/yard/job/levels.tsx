// The level book: reduced as it is typed, and told at once where it does not close.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { System } from "../units";
import type { YardBook } from "./book";
import { changed, list, mapping, standing, text, type Json } from "./path";
import { Choice, Field, Told, checked, useDraft, type Fields } from "./parts";
import { fine, levelsOf, systemOf } from "./reckon";
import { Row } from "./rows";
import { Ground } from "./sketch";

const ROWS = "survey.level_book";
const SIGHTS = [
  ["intermediate", say("Between: a point, the level stays")],
  ["backsight", say("Back: on a known point, first of a set-up")],
  ["foresight", say("Fore: last of a set-up, or closing")],
  ["turn", say("Turning point: fore, move, back")],
] as const;
const EMPTY: Fields = { point: "", sight: "", reading: "", back: "", distance: "", note: "", at: "" };

export function Levels({ book }: { book: YardBook }): JSX.Element {
  return (
    <section>
      <h2>{say("Level book")}</h2>
      {book.at("survey.benchmark") === null ? <Benchmark book={book} /> : <Book book={book} />}
    </section>
  );
}

function Benchmark({ book }: { book: YardBook }): JSX.Element {
  const system = systemOf(book.record);
  const [fields, change, clear] = useDraft(`draft ${book.job} mark`, { name: "BM", elevation: "100", description: "" });
  const [errors, setErrors] = useState<Record<string, string>>({});
  const keep = async (): Promise<void> => {
    const name = checked(fields["name"] ?? "", "name", system);
    const elevation = checked(fields["elevation"] ?? "", "tape", system);
    setErrors({ name: name.error, elevation: elevation.error });
    if (name.error || elevation.error) return;
    const description = (fields["description"] ?? "").trim();
    if (await book.set("survey.benchmark", { name: name.value, elevation: elevation.value, ...(description ? { description } : {}) })) clear();
  };
  return (
    <form onSubmit={(event) => { event.preventDefault(); void keep(); }}>
      <p>{say("All levels hang from one fixed mark. Choose one that stays: a bolt, a step, a paint mark on a corner block.")}</p>
      <Field id="mark-name" label={say("Name of the mark")} value={fields["name"] ?? ""} reads="name" system={system} error={errors["name"] ?? ""} change={(name) => change({ name })} />
      <Field id="mark-level" label={say("Its level")} value={fields["elevation"] ?? ""} reads="tape" system={system} error={errors["elevation"] ?? ""} change={(elevation) => change({ elevation })} />
      <Field id="mark-words" label={say("Where and what it is")} value={fields["description"] ?? ""} reads="words" system={system} change={(description) => change({ description })} />
      <p class="row-ways"><button class="button">{say("Open the book")}</button></p>
    </form>
  );
}

function words(row: { readonly [key: string]: Json }): string {
  const told = (["backsight", "intermediate", "foresight"] as const).flatMap((key) => (row[key] === undefined ? [] : [`${{ backsight: say("back"), intermediate: say("between"), foresight: say("fore") }[key]} ${text(row[key])}`]));
  return `${text(row["point"])}: ${told.join(", ")}`;
}

function Book({ book }: { book: YardBook }): JSX.Element {
  const system = systemOf(book.record);
  const rows = list(book.at(ROWS)).map(mapping);
  const draft = useDraft(`draft ${book.job} reading`, EMPTY);
  const { reduced, trouble } = levelsOf(book.record);
  const edit = (n: number): void => {
    const row = rows[n] ?? {};
    const turn = row["backsight"] !== undefined && row["foresight"] !== undefined;
    const sight = turn ? "turn" : (SIGHTS.find(([key]) => row[key] !== undefined)?.[0] ?? "");
    const reading = turn ? row["foresight"] : row[sight];
    draft[1]({ point: text(row["point"]), sight, reading: text(reading), back: turn ? text(row["backsight"]) : "", distance: text(row["distance"]), note: text(row["note"]), at: String(n) });
    document.getElementById("level-point")?.focus();
  };
  return (
    <>
      <Closing book={book} />
      <Reading book={book} draft={draft} />
      {trouble && <Told kind="fails" title={say("The book cannot be followed")}>{trouble}</Told>}
      <ol class="entries">
        {rows.map((row, n) => {
          const line = reduced?.lines[n];
          const level = line ? say("level {level}", { level: fine(line.adjusted ?? line.level, system) }) : "";
          const note = [level, text(row["note"])].filter(Boolean).join(" · ");
          return <Row key={`${n} ${words(row)}`} book={book} path={`${ROWS}[${n}]`} words={words(row)} note={note} edit={() => edit(n)} />;
        })}
      </ol>
    </>
  );
}

function Closing({ book }: { book: YardBook }): JSX.Element | null {
  const system = systemOf(book.record);
  const { reduced } = levelsOf(book.record);
  if (!reduced) return null;
  const worst = reduced.worst;
  if (!worst) return <p role="status">{say("The book is open: it closes with a foresight back on {mark}.", { mark: text(mapping(standing(book.record, "survey.benchmark"))["name"]) || "BM" })}</p>;
  const closes = Math.abs(worst.misclosure) <= worst.allowable;
  return (
    <Told kind={closes ? "ok" : "fails"} title={closes ? say("The book closes") : say("The book does not close")}>
      {say("It misses by {size}; {most} is allowed.", { size: fine(worst.misclosure, system), most: fine(worst.allowable, system) })}
      {closes ? "" : ` ${say("Read the turning points again before you leave.")}`}
      {reduced.lines.some(({ adjusted }) => adjusted === null) ? ` ${say("A point is read from two set-ups: the office adjusts all readings together.")}` : ""}
    </Told>
  );
}

/** The sight most likely next: a book opens with a backsight, and so does a set-up after a foresight. */
function likely(rows: readonly { readonly [key: string]: Json }[]): string {
  const last = rows.at(-1);
  return !last || (last["foresight"] !== undefined && last["backsight"] === undefined) ? "backsight" : "intermediate";
}

/** The row as it is typed. */
function rowOf(fields: Fields, sight: string, point: string, system: System): { readonly [key: string]: string } {
  const value = (key: string, reads: "rod" | "tape"): string => checked(fields[key] ?? "", reads, system, false).value;
  const [distance, note] = [value("distance", "tape"), (fields["note"] ?? "").trim()];
  const sights = sight === "turn" ? { foresight: value("reading", "rod"), backsight: value("back", "rod") } : { [sight]: value("reading", "rod") };
  return { point: point.trim().replace(/\s+/g, " "), ...sights, ...(distance ? { distance } : {}), ...(note ? { note } : {}) };
}

function Reading({ book, draft }: { book: YardBook; draft: ReturnType<typeof useDraft> }): JSX.Element {
  const system = systemOf(book.record);
  const [fields, change, clear] = draft;
  const [errors, setErrors] = useState<Record<string, string>>({});
  const rows = list(book.at(ROWS)).map(mapping);
  const sight = fields["sight"] || likely(rows);
  const mark = text(mapping(book.at("survey.benchmark"))["name"]) || "BM";
  const point = fields["point"] || (rows.length ? "" : mark);
  const editing = fields["at"] ?? "";
  const path = editing ? `${ROWS}[${editing}]` : `${ROWS}[+]`;
  const add = async (): Promise<void> => {
    const name = checked(point, "name", system);
    const reading = checked(fields["reading"] ?? "", "rod", system);
    const back = checked(fields["back"] ?? "", "rod", system, sight === "turn");
    const distance = checked(fields["distance"] ?? "", "tape", system, false);
    setErrors({ point: name.error, reading: reading.error, back: back.error, distance: distance.error });
    if (name.error || reading.error || back.error || distance.error) return;
    if (await book.set(path, rowOf(fields, sight, point, system))) {
      clear();
      document.getElementById("level-point")?.focus();
    }
  };
  // As it would stand with what is typed: its level is told before it is kept.
  const typed = point.trim() && (fields["reading"] ?? "").trim() ? changed(book.record, path, rowOf(fields, sight, point, system)) : book.record;
  return (
    <form onSubmit={(event) => { event.preventDefault(); void add(); }}>
      <Ground book={book} record={typed} chosen={fields["point"] || text(rows.at(-1)?.["point"])} choose={(name) => change({ point: name })} />
      <h3>{editing ? say("Change row {n}", { n: Number(editing) + 1 }) : say("Next reading")}</h3>
      <Field id="level-point" label={say("Point")} value={point} reads="name" system={system} error={errors["point"] ?? ""} change={(value) => change({ point: value })} />
      <Choice id="level-sight" label={say("Sight")} value={sight} options={SIGHTS} change={(value) => change({ sight: value })} />
      <Field id="level-reading" label={sight === "turn" ? say("Foresight, before you move") : say("Rod reading")} value={fields["reading"] ?? ""} reads="rod" system={system} error={errors["reading"] ?? ""} change={(reading) => change({ reading })} />
      {sight === "turn" && <Field id="level-back" label={say("Backsight, after you moved")} value={fields["back"] ?? ""} reads="rod" system={system} error={errors["back"] ?? ""} change={(back) => change({ back })} />}
      {sight !== "intermediate" && <Field id="level-distance" label={say("Length of the sight")} hint={say("May be left out; then a usual length is assumed for what is allowed.")} value={fields["distance"] ?? ""} reads="tape" system={system} error={errors["distance"] ?? ""} change={(distance) => change({ distance })} />}
      <Field id="level-note" label={say("Note")} value={fields["note"] ?? ""} reads="words" system={system} change={(note) => change({ note })} />
      <p class="row-ways">
        <button class="button">{editing ? say("Put it so") : say("Add this reading")}</button>
        {editing && <button type="button" class="button quiet" onClick={clear}>{say("Leave it as it was")}</button>}
      </p>
    </form>
  );
}
