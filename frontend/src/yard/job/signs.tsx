// What is seen, and simple tests with how they came out.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { YardBook } from "./book";
import { list, mapping, text } from "./path";
import { Choice, Field, checked, useDraft } from "./parts";
import { systemOf } from "./reckon";
import { Row } from "./rows";
import { Ground } from "./sketch";
import choices from "./choices.json";

export function Signs({ book }: { book: YardBook }): JSX.Element {
  const symptoms = list(book.at("symptoms")).map(mapping);
  return (
    <section>
      <h2>{say("What is seen")}</h2>
      <Seen book={book} />
      <ol class="entries">
        {symptoms.map((one, n) => <Row key={n} book={book} path={`symptoms[${n}]`} words={text(one["what"])} note={[text(one["where"]), say(text(one["when"])), text(one["height"]), say(text(one["sign"]))].filter(Boolean).join(", ")} />)}
      </ol>
      <h2>{say("Simple tests")}</h2>
      <Tested book={book} />
    </section>
  );
}

function Seen({ book }: { book: YardBook }): JSX.Element {
  const system = systemOf(book.record);
  const [fields, change, clear] = useDraft(`draft ${book.job} seen`, { what: "", where: "", when: "unknown", height: "", sign: "", spot: "unknown" });
  const [errors, setErrors] = useState<Record<string, string>>({});
  const add = async (): Promise<void> => {
    const what = checked(fields["what"] ?? "", "words", system);
    const height = checked(fields["height"] ?? "", "tape", system, false);
    setErrors({ what: what.error, height: height.error });
    if (what.error || height.error) return;
    const where = (fields["where"] ?? "").trim();
    const entry = {
      what: what.value, when: fields["when"] ?? "unknown", spot: fields["spot"] ?? "unknown",
      ...(where ? { where } : {}), ...(height.value ? { height: height.value } : {}), ...(fields["sign"] ? { sign: fields["sign"] } : {}),
    };
    if (await book.set("symptoms[+]", entry)) clear();
  };
  return (
    <form onSubmit={(event) => { event.preventDefault(); void add(); }}>
      <Field id="seen-what" label={say("What is seen or told")} value={fields["what"] ?? ""} reads="words" system={system} error={errors["what"] ?? ""} change={(what) => change({ what })} />
      <Field id="seen-where" label={say("Where")} hint={say("Like “north wall”, “crawl space”; or tap the sketch.")} value={fields["where"] ?? ""} reads="words" system={system} change={(where) => change({ where })} />
      <Ground book={book} chosen={(fields["where"] ?? "").replace(/^at /, "")} choose={(name) => change({ where: `at ${name}` })} place={(words) => change({ where: `at ${words}` })} />
      <Choice id="seen-when" label={say("When")} value={fields["when"] ?? ""} options={choices.when} change={(when) => change({ when })} />
      <Choice id="seen-sign" label={say("Kind")} value={fields["sign"] ?? ""} options={[["", say("none of these")], ...choices.sign]} change={(sign) => change({ sign })} />
      <Choice id="seen-spot" label={say("Where on wall or floor")} value={fields["spot"] ?? ""} options={choices.spot} change={(spot) => change({ spot })} />
      <Field id="seen-height" label={say("Height of the damp band above the floor")} value={fields["height"] ?? ""} reads="tape" system={system} error={errors["height"] ?? ""} change={(height) => change({ height })} />
      <p class="row-ways"><button class="button">{say("Keep what is seen")}</button></p>
    </form>
  );
}

function Tested({ book }: { book: YardBook }): JSX.Element {
  const tests: Readonly<Record<string, readonly string[]>> = choices.tests;
  const [fields, change, clear] = useDraft(`draft ${book.job} test`, { kind: "plastic on wall", result: "", where: "" });
  const [error, setError] = useState("");
  const kind = fields["kind"] ?? "";
  const add = async (): Promise<void> => {
    const result = fields["result"] ?? "";
    setError(tests[kind]?.includes(result) ? "" : say("Found none chosen; expected how it came out."));
    if (!tests[kind]?.includes(result)) return;
    const where = (fields["where"] ?? "").trim();
    if (await book.set("moisture_tests[+]", { kind, result, ...(where ? { where } : {}) })) clear();
  };
  return (
    <>
      <form onSubmit={(event) => { event.preventDefault(); void add(); }}>
        <Choice id="test-kind" label={say("Test")} value={kind} options={Object.keys(tests)} change={(next) => change({ kind: next, result: "" })} />
        <Choice id="test-result" label={say("How it came out")} value={fields["result"] ?? ""} options={[["", say("choose")], ...(tests[kind] ?? [])]} change={(result) => change({ result })} />
        {error && <p class="error">{error}</p>}
        <Field id="test-where" label={say("Where")} value={fields["where"] ?? ""} reads="words" system={systemOf(book.record)} change={(where) => change({ where })} />
        <p class="row-ways"><button class="button">{say("Keep this test")}</button></p>
      </form>
      <ol class="entries">
        {list(book.at("moisture_tests")).map(mapping).map((one, n) => <Row key={n} book={book} path={`moisture_tests[${n}]`} words={`${say(text(one["kind"]))}: ${say(text(one["result"]))}`} note={text(one["where"])} />)}
      </ol>
    </>
  );
}
