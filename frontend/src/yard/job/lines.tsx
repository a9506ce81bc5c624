// Buried lines: each kind is asked for by name; found, not on this lot, or not asked yet.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { YardBook } from "./book";
import { entry, list, mapping, text } from "./path";
import { Choice, Field, Told, checked, useDraft, type Fields } from "./parts";
import { groundOf, read, systemOf } from "./reckon";
import { Row } from "./rows";
import choices from "./choices.json";

const EMPTY: Fields = { kind: "water", name: "", route: "", depth: "", basis: "mapped", by: "nobody", shutoff: "" };

export function Lines({ book }: { book: YardBook }): JSX.Element {
  const found = list(book.at("utilities")).map(mapping);
  const absent = list(book.at("utilities_absent")).map(text);
  const unasked = choices.utility.filter((kind) => !absent.includes(kind) && !found.some((one) => one["kind"] === kind));
  const away = (kind: string, gone: boolean): void => void book.set("utilities_absent", gone ? [...absent, kind] : absent.filter((one) => one !== kind));
  const unlocated = found.filter((one) => one["located_by"] === undefined || one["located_by"] === "nobody" || one["located_by"] === "owner says");
  return (
    <section>
      <h2>{say("Buried lines")}</h2>
      <p>{say("Have the one-call centre mark before anyone digs, and wait for its answer. What nobody located stands here by name.")}</p>
      {unlocated.length > 0 && <Told kind="fails" title={say("Not located")}>{say("{what}: nobody marked or exposed it.", { what: unlocated.map((one) => text(one["name"])).join(", ") })}</Told>}
      {unasked.length > 0 && <Told kind="caution" title={say("Not asked yet")}>{unasked.map((one) => say(one)).join(", ")}.</Told>}
      <ol class="entries">
        {unasked.map((kind) => <li key={kind}><p><strong>{say(kind)}</strong></p><p><button type="button" class="button quiet" onClick={() => away(kind, true)} aria-label={say("{kind}: not on this lot", { kind: say(kind) })}>{say("Not on this lot")}</button></p></li>)}
        {absent.map((kind) => <li key={kind}><p>{say("{kind}: not on this lot", { kind: say(kind) })}</p><p><button type="button" class="button quiet" onClick={() => away(kind, false)} aria-label={say("{kind}: ask again", { kind: say(kind) })}>{say("Ask again")}</button></p></li>)}
      </ol>
      <Found book={book} />
      <ol class="entries">
        {found.map((one) => {
          const name = text(one["name"]);
          const told = typeof one["depth"] === "object" ? text(mapping(one["depth"] ?? null)["value"]) : text(one["depth"]);
          const depth = told === "unknown" ? say("depth unknown") : told.replace(/[a-z]+$/, (basis) => say(basis));
          return <Row key={name} book={book} path={entry("utilities", name)} words={`${name} (${say(text(one["kind"]))})`} note={[depth, one["located_by"] === undefined ? say("nobody located it") : say(text(one["located_by"]))].filter(Boolean).join(", ")} />;
        })}
      </ol>
    </section>
  );
}

function Found({ book }: { book: YardBook }): JSX.Element {
  const system = systemOf(book.record);
  const [fields, change, clear] = useDraft(`draft ${book.job} line`, EMPTY);
  const [errors, setErrors] = useState<Record<string, string>>({});
  const field = (key: string, label: string, reads: "tape" | "words", hint = ""): JSX.Element => (
    <Field id={`line-${key}`} label={label} hint={hint} value={fields[key] ?? ""} reads={reads} system={system} error={errors[key] ?? ""} change={(value) => change({ [key]: value })} />
  );
  const add = async (): Promise<void> => {
    const name = checked(fields["name"] ?? "", "words", system);
    const unknown = fields["basis"] === "unknown";
    const depth = unknown ? { value: "", error: "" } : checked(fields["depth"] ?? "", "tape", system);
    const route = placesOf(book, fields["route"] ?? "");
    setErrors({ name: name.error, depth: depth.error, route: route.error });
    if (name.error || depth.error || route.error) return;
    const shutoff = (fields["shutoff"] ?? "").trim();
    const line = { name: name.value, kind: fields["kind"] ?? "", route: route.places, depth: unknown ? "unknown" : `${depth.value}, ${fields["basis"] ?? "assumed"}`, located_by: fields["by"] ?? "nobody", ...(shutoff ? { shutoff } : {}) };
    if (await book.set(entry("utilities", name.value), line)) clear();
  };
  return (
    <form onSubmit={(event) => { event.preventDefault(); void add(); }}>
      <h3>{say("A line that is here")}</h3>
      <Choice id="line-kind" label={say("Kind")} value={fields["kind"] ?? ""} options={choices.utility} change={(kind) => change({ kind })} />
      {field("name", say("Name"), "words", say("Like “water service”."))}
      {field("route", say("Where it runs"), "words", system === "US" ? say("Points or places, with a semicolon between: P1; 8 ft, -60 ft") : say("Points or places, with a semicolon between: P1; 2.4 m, -18 m"))}
      {fields["basis"] !== "unknown" && field("depth", say("Depth to its top"), "tape")}
      <Choice id="line-basis" label={say("How the depth is known")} value={fields["basis"] ?? ""} options={["measured", "mapped", "stated", "assumed", "unknown"]} change={(basis) => change({ basis })} />
      <Choice id="line-by" label={say("Located by")} value={fields["by"] ?? ""} options={choices.located} change={(by) => change({ by })} />
      {field("shutoff", say("Its shutoff"), "words")}
      <p class="row-ways"><button class="button">{say("Keep this line")}</button></p>
    </form>
  );
}

function placesOf(book: YardBook, typed: string): { places: string[]; error: string } {
  const places = typed.split(";").map((one) => one.trim()).filter(Boolean);
  const { points } = groundOf(book.record);
  const wrong = places.find((one) => {
    const [east, north] = one.split(",");
    return north === undefined ? !points.has(one) : read(east) === undefined || read(north) === undefined;
  });
  if (wrong !== undefined) return { places, error: say("Found {found}; expected the name of a point, or a place like “8 ft, -60 ft”.", { found: wrong }) };
  return places.length < 2 ? { places, error: say("Found {n}; expected two places or more.", { n: places.length }) } : { places, error: "" };
}
