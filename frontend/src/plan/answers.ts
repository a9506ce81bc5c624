// What the design says of the plan as it is now, held against what is saved.
import { button, made, shape } from "./page";
import type { Drawn, Finding, Problem } from "./model";

export function money(value: number, currency: string): string {
  return new Intl.NumberFormat("en-US", { style: "currency", currency, maximumFractionDigits: 0 }).format(value);
}

const key = (one: Finding): string => `${one.id} ${one.where}`;

export interface Said {
  readonly drawn: Drawn | undefined;
  readonly saved: Drawn | undefined;
  readonly problems: readonly Problem[];
  readonly job: string;
  /** Whether an answer is still to come, be it only the storm's. */
  readonly working: boolean;
  /** Whether what is shown is of an earlier state of the plan. */
  readonly behind: boolean;
  readonly changed: boolean;
}

export function showAnswer(into: HTMLElement, said: Said, choose: (run: string) => void): void {
  const { drawn, saved, problems, working, behind } = said;
  into.classList.toggle("working", behind);
  into.setAttribute("aria-busy", String(working));
  const parts: Node[] = [made("p", { class: "plan-working" }, waitWords(working, behind, drawn))];
  if (problems.length) {
    if (drawn) parts.push(made("p", { class: "error" }, shape("fails"), "It cannot be designed so."));
    else parts.push(made("p", {}, shape("caution"), "No design yet. What still hinders it:"));
    const told = drawn ? problems.slice(0, 6) : problems;
    parts.push(made("ul", { class: "plain" }, ...told.map((one) => made("li", {}, ...problemParts(one, said.job)))));
    if (drawn) parts.push(made("p", { class: "soft" }, "The figures below are of the state before."));
  }
  if (drawn) {
    const price = made("p", { class: "plan-price n" }, typeof drawn.price === "number" ? money(drawn.price, drawn.currency) : "");
    if (drawn.price === null) price.append(made("span", { class: "soft" }, working ? "The price follows." : "No price of this state yet."));
    if (saved && said.changed && typeof drawn.price === "number" && typeof saved.price === "number") {
      const more = drawn.price - saved.price;
      const words = Math.abs(more) < 0.5 ? "the same as saved" : `${more > 0 ? "+" : "−"}${money(Math.abs(more), drawn.currency)} against what is saved`;
      price.append(made("span", { class: "soft" }, ` ${words}`));
    }
    parts.push(price, ...runs(drawn, saved, choose), ...findings(drawn, saved));
  }
  into.replaceChildren(...parts);
}

function waitWords(working: boolean, behind: boolean, drawn: Drawn | undefined): string {
  if (behind) return "Working… what stands here is the last answer.";
  if (!working) return "";
  return drawn?.built === false ? "Working… price and storm follow." : "Working… the storm follows.";
}

/** A fault in words, with the way to where it is told. */
function problemParts(one: Problem, job: string): (Node | string)[] {
  if (!one.words) return [problemWords(one)];
  const title = one.title ?? "";
  const head = one.page && one.page !== "plan" ? made("a", { href: `/jobs/${job}/${one.page}` }, title) : made("strong", {}, title);
  return [head, ` ${one.words}`];
}

function problemWords({ where, found, expected, hint }: Problem): string {
  const rest = [found && `found ${found}`, expected && `expected ${expected}`].filter(Boolean).join("; ");
  return [where && `${where}:`, rest && `${rest}.`, hint].filter(Boolean).join(" ");
}

function runs(drawn: Drawn, saved: Drawn | undefined, choose: (run: string) => void): Node[] {
  const before = new Map(saved?.runs.map((run) => [run.name, run]));
  const rows = drawn.runs.filter((run) => {
    const old = before.get(run.name);
    return old !== undefined && (old.grade !== run.grade || old.length !== run.length || old.inverts !== run.inverts);
  });
  if (rows.length === 0) return [];
  const items = rows.slice(0, 8).map((run) => {
    const old = before.get(run.name);
    const grade = old && old.grade !== run.grade ? `${old.grade} → ${run.grade}` : run.grade;
    const length = old && old.length !== run.length ? `${old.length} → ${run.length}` : run.length;
    const name = button(run.name, () => choose(run.name), "name-only");
    return made("li", {}, name, made("span", { class: "n" }, `${grade}; ${length}; invert ${run.inverts}`));
  });
  return [made("h3", {}, "Runs that change"), made("ul", { class: "plain plan-runs" }, ...items)];
}

/** What the checks say; those that wait for the storm are neither new nor gone, and never called passed. */
function findings(drawn: Drawn, saved: Drawn | undefined): Node[] {
  const waiting = new Set(drawn.waiting);
  const before = new Map((saved?.findings ?? drawn.findings).map((one) => [key(one), one]));
  const now = new Set(drawn.findings.map(key));
  const fresh = drawn.findings.filter((one) => before.get(key(one))?.severity !== one.severity);
  const gone = [...before.values()].filter((one) => !now.has(key(one)) && !waiting.has(one.id));
  const count = (kind: string): number => drawn.findings.filter(({ severity }) => severity === kind).length;
  const none = drawn.storm_run ? mark("ok", "No check fails") : "No check fails so far";
  const cautions = `${told(count("caution"), "caution", "cautions")}${drawn.storm_run ? "" : " so far"}`;
  const sum = made("p", {}, count("fails") ? mark("fails", told(count("fails"), "check fails", "checks fail")) : none, " ", mark("caution", cautions));
  const for_ = drawn.built ? "the storm" : "digging, price and storm";
  if (!drawn.storm_run) sum.append(made("span", { class: "soft" }, ` ${told(waiting.size, "check waits", "checks wait")} for ${for_}.`));
  const items = [
    ...fresh.slice(0, 6).map((one) => made("li", {}, mark(one.severity, one.title), ` ${one.message}`)),
    ...gone.slice(0, 6).map((one) => made("li", {}, mark("ok", one.title), " no longer in the way.")),
  ];
  if (items.length === 0) return [sum];
  return [sum, made("h3", {}, "Findings that change"), made("ul", { class: "plain plan-findings" }, ...items)];
}

function told(count: number, one: string, many: string): string {
  return `${count} ${count === 1 ? one : many}`;
}

function mark(kind: "ok" | "caution" | "fails", words: string): HTMLElement {
  return made("span", { class: `mark ${kind}` }, shape(kind), words);
}
