// Buried lines: each kind is asked for by name; found, not on this lot, or not asked yet.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
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
      <h2>Buried lines</h2>
      <p>Have the one-call centre mark before anyone digs, and wait for its answer. What nobody located stands here by name.</p>
      {unlocated.length > 0 && <Told kind="fails" title="Not located">{unlocated.map((one) => text(one["name"])).join(", ")}: nobody marked or exposed it.</Told>}
      {unasked.length > 0 && <Told kind="caution" title="Not asked yet">{unasked.join(", ")}.</Told>}
      <ol class="entries">
        {unasked.map((kind) => <li key={kind}><p><strong>{kind}</strong></p><p><button type="button" class="button quiet" onClick={() => away(kind, true)} aria-label={`${kind}: not on this lot`}>Not on this lot</button></p></li>)}
        {absent.map((kind) => <li key={kind}><p>{kind}: not on this lot</p><p><button type="button" class="button quiet" onClick={() => away(kind, false)} aria-label={`${kind}: ask again`}>Ask again</button></p></li>)}
      </ol>
      <Found book={book} />
      <ol class="entries">
        {found.map((one) => {
          const name = text(one["name"]);
          const told = typeof one["depth"] === "object" ? text(mapping(one["depth"] ?? null)["value"]) : text(one["depth"]);
          const depth = told === "unknown" ? "depth unknown" : told;
          return <Row key={name} book={book} path={entry("utilities", name)} words={`${name} (${text(one["kind"])})`} note={[depth, text(one["located_by"]) || "nobody located it"].filter(Boolean).join(", ")} />;
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
      <h3>A line that is here</h3>
      <Choice id="line-kind" label="Kind" value={fields["kind"] ?? ""} options={choices.utility} change={(kind) => change({ kind })} />
      {field("name", "Name", "words", "Like “water service”.")}
      {field("route", "Where it runs", "words", system === "US" ? "Points or places, with a semicolon between: P1; 8 ft, -60 ft" : "Points or places, with a semicolon between: P1; 2.4 m, -18 m")}
      {fields["basis"] !== "unknown" && field("depth", "Depth to its top", "tape")}
      <Choice id="line-basis" label="How the depth is known" value={fields["basis"] ?? ""} options={["measured", "mapped", "stated", "assumed", "unknown"]} change={(basis) => change({ basis })} />
      <Choice id="line-by" label="Located by" value={fields["by"] ?? ""} options={choices.located} change={(by) => change({ by })} />
      {field("shutoff", "Its shutoff", "words")}
      <p class="row-ways"><button class="button">Keep this line</button></p>
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
  if (wrong !== undefined) return { places, error: `Found ${wrong}; expected the name of a point, or a place like “8 ft, -60 ft”.` };
  return places.length < 2 ? { places, error: `Found ${places.length || "none"}; expected two places or more.` } : { places, error: "" };
}
