// Forms of the pages after a job: what is typed in them, and what was noted put back into them.
import { say } from "../offline/words";

export type Texts = Readonly<Record<string, string>>;

const SERVICE = new Set(["form_token", "base", "part", "out"]); // fields that the page fills for itself

/** What tells entries of a part apart, and what the part is called. */
export interface Part {
  readonly names: readonly string[];
  readonly title: string;
  /** What its fields are called in a line. */
  readonly labels: Readonly<Record<string, string>>;
}

/** The fields of a form as they were typed. */
export function typedIn(form: HTMLFormElement): Texts {
  const found: Record<string, string> = {};
  for (const [name, value] of new FormData(form)) if (typeof value === "string" && !SERVICE.has(name)) found[name] = value;
  return found;
}

/** What tells an entry apart from others of its part. */
export function keyOf(part: Part, texts: Texts): string {
  return JSON.stringify(part.names.map((name) => (texts[name] ?? "").trim().replace(/\s+/g, " ")));
}

/** An entry in words. */
export function wordsOf(part: Part, texts: Texts): string {
  const names = part.names.map((name) => texts[name]).filter(Boolean).join(", ");
  const rest = Object.entries(texts).flatMap(([name, text]) => {
    if (!text || name === "units" || part.names.includes(name)) return [];
    const [key = "", of = ""] = name.split(":");
    const field = `${part.labels[key] ?? key} ${of}`.trim();
    return [text.includes("\n") ? `${field}: ${say("{n} lines", { n: text.trim().split("\n").length })}` : text === "yes" ? field : `${field} ${text}`];
  });
  return `${part.title} ${names}`.trim() + (rest.length ? `: ${rest.join("; ")}` : "");
}

type Field = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

function fields(form: HTMLFormElement): Field[] {
  const all = [...form.elements].filter((one): one is Field => one instanceof HTMLInputElement || one instanceof HTMLSelectElement || one instanceof HTMLTextAreaElement);
  return all.filter(({ name, type }) => name && type !== "hidden" && !SERVICE.has(name));
}

/** Put an entry into a form; false, and nothing is changed, where the form has no room for all of it. */
export function fill(form: HTMLFormElement, texts: Texts): boolean {
  const there = fields(form);
  const holds = (name: string, text: string): boolean =>
    there.some((one) => one.name === name && (!(one instanceof HTMLSelectElement) || [...one.options].some(({ value }) => value === text)));
  if (Object.entries(texts).some(([name, text]) => text && name !== "units" && !SERVICE.has(name) && !holds(name, text))) return false;
  for (const one of there) {
    const text = texts[one.name] ?? "";
    if (one instanceof HTMLInputElement && one.type === "checkbox") one.checked = text === one.value;
    else if (!(one instanceof HTMLSelectElement) || text) one.value = text;
  }
  return true;
}

/** Empty a form, but for what tells its entry apart. */
export function empty(form: HTMLFormElement, part: Part): void {
  for (const one of fields(form)) {
    if (part.names.includes(one.name)) continue;
    if (one instanceof HTMLInputElement && one.type === "checkbox") one.checked = false;
    else if (one instanceof HTMLSelectElement) one.selectedIndex = 0;
    else one.value = "";
  }
}
