// What the yard pages are made of: drafts that outlive a reload, fields with a keypad of their own, sketches.
import { useState } from "preact/hooks";
import { say } from "../../offline/words";
import type { ComponentChildren, JSX } from "preact";
import { QuantityError, parse } from "../reading";
import type { System } from "../units";

export type Fields = Readonly<Record<string, string>>;

/** Fields as they are typed; kept on the device until they become an entry. */
export function useDraft(key: string, empty: Fields): [Fields, (change: Fields) => void, () => void] {
  const [fields, setFields] = useState<Fields>(() => ({ ...empty, ...readDraft(key) }));
  const keep = (next: Fields): void => {
    setFields(next);
    store(key, next);
  };
  return [fields, (change) => keep({ ...fields, ...change }), () => keep(empty)];
}

/** Fill fields of a part that is not open, beside what was typed there. */
export function putDraft(key: string, fields: Fields): void {
  store(key, { ...readDraft(key), ...fields });
}

function store(key: string, fields: Fields): void {
  try {
    localStorage.setItem(key, JSON.stringify(fields));
  } catch {
    // No room for a draft: the fields still stand on the page, and the entry itself tells if it cannot be kept.
  }
}

function readDraft(key: string): Fields {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "{}") as Fields;
  } catch {
    return {};
  }
}

export type Reads = "tape" | "rod" | "turn" | "name" | "words";

/** A bare number gets the unit that is meant; what cannot be read is told in words. */
export function checked(typed: string, reads: Reads, system: System, needed = true): { value: string; error: string } {
  let value = typed.trim().replace(/\s+/g, " ");
  if (!value) return { value, error: needed ? say("Found nothing; this is needed.") : "" };
  if (reads === "name" || reads === "words") return { value, error: "" };
  const unit = reads === "turn" ? "deg" : system === "US" ? "ft" : "m";
  if (/^[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)$/.test(value)) value = `${value} ${unit}`;
  try {
    const number = parse(value, reads === "turn" ? "angle" : "length");
    if (reads === "rod" && number < 0) return { value, error: say("Found {found}; a rod reads above zero.", { found: value }) };
    return { value, error: "" };
  } catch (error) {
    if (!(error instanceof QuantityError)) throw error;
    return { value, error: say("Found {found}; expected {expected}. {hint}", { found: error.found, expected: error.expected, hint: error.hint ? `${error.hint}.` : "" }).trim() };
  }
}

const DIGITS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", "0", "."];
const EXTRA: Readonly<Record<string, readonly string[]>> = {
  "tape US": [" ft", " in", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8", "-"],
  "tape SI": [" m", " cm", " mm", "-"],
  "rod US": [" ft", " in"],
  "rod SI": [" m", " mm"],
  "turn US": ["90 left", "90 right", "45 left", "45 right"],
  "turn SI": ["90 left", "90 right", "45 left", "45 right"],
};

function pressed(value: string, key: string): string {
  const turn = /^(\d+) (left|right)$/.exec(key);
  if (turn) return `${turn[2] === "left" ? "-" : ""}${turn[1]} deg`;
  if (key === "-") return value.startsWith("-") ? value.slice(1) : `-${value}`;
  if (key.includes("/")) return `${value}${/[0-9]$/.test(value) ? " " : ""}${key}`;
  if (/^[0-9.]$/.test(key) && /[a-z]$/.test(value)) return `${value} ${key}`;
  return `${value}${key}`;
}

interface FieldProps {
  readonly id: string;
  readonly label: string;
  readonly value: string;
  readonly reads: Reads;
  readonly system: System;
  readonly error?: string;
  readonly hint?: string;
  readonly change: (value: string) => void;
}

export function Field({ id, label, value, reads, system, error, hint, change }: FieldProps): JSX.Element {
  const [open, setOpen] = useState(false);
  const keys = EXTRA[`${reads} ${system}`];
  // Only another field closes the keys: were they gone at the touch of a button, the button would move away under the finger.
  const left = (event: JSX.TargetedFocusEvent<HTMLDivElement>): void => {
    const next = event.relatedTarget;
    if (next instanceof HTMLElement && next.matches("input, select") && !event.currentTarget.contains(next)) setOpen(false);
  };
  const told = [hint ? `${id}-hint` : "", error ? `${id}-error` : ""].filter(Boolean).join(" ");
  return (
    <div class={error ? "entry wrong" : "entry"} onFocusOut={left}>
      <label for={id}>{label}</label>
      {hint && <p class="hint" id={`${id}-hint`}>{hint}</p>}
      <input
        id={id}
        value={value}
        autocomplete="off"
        spellcheck={false}
        autocapitalize={reads === "name" ? "characters" : "sentences"}
        inputMode={keys ? "none" : "text"}
        aria-invalid={error ? "true" : undefined}
        aria-describedby={told || undefined}
        onFocus={() => setOpen(true)}
        onInput={(event) => change(event.currentTarget.value)}
      />
      {error && <p class="error" id={`${id}-error`}>{error}</p>}
      {keys && open && (
        <div class="keypad" role="group" aria-label={say("Keys for {field}", { field: label })}>
          <div class="digits">
            {DIGITS.map((key) => <button type="button" key={key} onClick={() => change(pressed(value, key))}>{key}</button>)}
            <button type="button" aria-label={say("Take off the last sign")} onClick={() => change(value.slice(0, -1).trimEnd())}>⌫</button>
          </div>
          <div class="extra">
            {keys.map((key) => <button type="button" key={key} onClick={() => change(pressed(value, key))}>{key === "-" ? "±" : key.replace(/left|right/, (side) => say(side)).trim()}</button>)}
          </div>
        </div>
      )}
    </div>
  );
}

export function Choice({ id, label, value, options, change }: { id: string; label: string; value: string; options: readonly (string | readonly [string, string])[]; change: (value: string) => void }): JSX.Element {
  return (
    <div class="entry">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => change(event.currentTarget.value)}>
        {options.map((one) => {
          const [key, words] = typeof one === "string" ? [one, say(one)] : one;
          return <option key={key} value={key}>{words}</option>;
        })}
      </select>
    </div>
  );
}

const OUTLINES = {
  ok: "M8 1.5a6.5 6.5 0 1 1 0 13 6.5 6.5 0 0 1 0-13z",
  caution: "M8 1.2 15.2 14.6H.8z",
  fails: "M1.7 1.7h12.6v12.6H1.7z",
};

/** A finding: shape, word and colour say the same. */
export function Told({ kind, title, children }: { kind: keyof typeof OUTLINES; title: string; children?: ComponentChildren }): JSX.Element {
  return (
    <div class={`notice ${kind}`} role="status">
      <h3><svg class={`shape ${kind}`} viewBox="0 0 16 16" aria-hidden="true"><path d={OUTLINES[kind]} /></svg>{title}</h3>
      {children && <p>{children}</p>}
    </div>
  );
}
