// One typed value with its label; what is wrong stands beside it, and what was typed stays.
import { QuantityError, parse } from "../yard/reading";
import type { Kind } from "../yard/units";
import { made, shape } from "./page";
import type { Value } from "./document";

const MARK = /[\s,;(]+(measured|mapped|stated|assumed)\)?\s*$/i;
const LEVEL = /^(?:at\s+[A-Za-z][\w.-]*|(.+?)\s+(?:above|below)\s+[A-Za-z][\w.-]*)$/i;
let count = 0;

/** Read a typed text; throws QuantityError with what would be right. */
export function check(text: string, kind: string): void {
  const value = kind.startsWith("fact ") ? text.replace(MARK, "") : text;
  const sort = kind.replace("fact ", "");
  if (sort === "level") {
    const match = LEVEL.exec(value.trim());
    if (!match) parse(value, "length");
    else if (match[1]) parse(match[1], "length");
  } else if (sort !== "text" && sort !== "truth") parse(value, sort as Kind);
}

export interface Typing {
  readonly label: string;
  readonly kind: string;
  readonly value: string;
  readonly hint?: string;
  readonly choices?: readonly string[];
  /** May be emptied: then the office designs it, or it is left out. */
  readonly free?: boolean;
}

export interface Field {
  readonly root: HTMLElement;
  readonly input: HTMLInputElement | HTMLSelectElement;
  /** Say what is wrong; empty takes it away. */
  wrong(words: string): void;
  /** Whether what is typed can be used; says why not. */
  good(): boolean;
}

export function field(typing: Typing, done?: (value: string) => void): Field {
  count += 1;
  const id = `entry-${count}`;
  const input = typing.choices?.length
    ? made("select", { id }, ...options(typing))
    : made("input", { id, autocomplete: "off", spellcheck: "false", autocapitalize: "off", value: typing.value });
  const error = made("p", { class: "error", id: `${id}-error`, hidden: true });
  const root = made("div", { class: "entry" }, made("label", { for: id }, typing.label));
  if (typing.hint) root.append(made("p", { class: "hint", id: `${id}-hint` }, typing.hint));
  root.append(error, input);
  input.setAttribute("aria-describedby", `${typing.hint ? `${id}-hint ` : ""}${id}-error`);
  const wrong = (words: string): void => {
    error.replaceChildren(...(words ? [shape("fails"), words] : []));
    error.hidden = !words;
    root.classList.toggle("wrong", words !== "");
    input.setAttribute("aria-invalid", String(words !== ""));
  };
  const good = (): boolean => {
    const text = input.value.trim();
    try {
      if (text || !typing.free) check(text, typing.kind);
      wrong("");
      return true;
    } catch (problem) {
      if (!(problem instanceof QuantityError)) throw problem;
      wrong(`Found ${problem.found}; expected ${problem.expected}${problem.hint ? `. ${problem.hint}` : ""}`);
      return false;
    }
  };
  if (done) {
    input.addEventListener("change", () => {
      if (input.value.trim() !== typing.value && good()) done(input.value.trim());
    });
  }
  return { root, input, wrong, good };
}

function options({ choices = [], value, free = false }: Typing): HTMLOptionElement[] {
  const all = value === "" || choices.includes(value) ? choices : [value, ...choices];
  return [...(value === "" ? [""] : []), ...all].map((one) => {
    const option = made("option", { value: one }, one || (free ? "as usual" : "choose one"));
    option.selected = one === value;
    return option;
  });
}

/** A value of the document as text; empty where there is none. */
export function textOf(raw: Value | undefined): string {
  if (raw === null || raw === undefined) return "";
  return Array.isArray(raw) ? raw.join(", ") : String(raw);
}
