// The yard book: reads a tape, keeps a level book on this device, and reduces it as it is typed.
import { openDatabase, type Database } from "../offline/drawer";
import { BookError, reduceBook, type Reduced, type Row } from "./level_book";
import { QuantityError, parse } from "./reading";
import type { System } from "./units";
import { write } from "./writing";

type Column = "backsight" | "intermediate" | "foresight";

/** One row as it is typed. */
interface Typed {
  point: string;
  column: Column;
  text: string;
}

interface Sheet {
  mark: string;
  level: string;
  rows: Typed[];
}

const COLUMNS: Readonly<Record<Column, string>> = { backsight: "Back", intermediate: "Between", foresight: "Fore" };
const SHEET = "level-book";

function part<T extends HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no part ${id}`);
  return found as T;
}

function make<K extends keyof HTMLElementTagNameMap>(tag: K, text = "", kind = ""): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  if (text) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

function shape(kind: "ok" | "caution" | "fails"): SVGSVGElement {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("class", `shape ${kind}`);
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("aria-hidden", "true");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  const outlines = {
    ok: "M8 1.5a6.5 6.5 0 1 1 0 13 6.5 6.5 0 0 1 0-13z",
    caution: "M8 1.2 15.2 14.6H.8z",
    fails: "M1.7 1.7h12.6v12.6H1.7z",
  };
  path.setAttribute("d", outlines[kind]);
  svg.append(path);
  return svg;
}

function systemOf(text: string): System {
  return /[0-9.\s](?:m|mm|cm)\.?$/i.test(text.trim()) ? "SI" : "US";
}

function fine(value: number, system: System): string {
  return system === "US" ? write(value, "length", system, "ft", 3) : write(value, "length", system, "m", 3);
}

function readTape(): void {
  const input = part<HTMLInputElement>("tape");
  const out = part("tape-read");
  out.replaceChildren();
  input.removeAttribute("aria-invalid");
  if (!input.value.trim()) return;
  try {
    const value = parse(input.value, "length");
    out.append(`${write(value, "length", "US")} = ${write(value, "length", "US", "ft", 3)} = ${write(value, "length", "SI", "m", 3)}`);
  } catch (error) {
    if (!(error instanceof QuantityError)) throw error;
    input.setAttribute("aria-invalid", "true");
    const told = make("span", error.hint || `expected ${error.expected}`, "error");
    told.prepend(shape("fails"));
    out.append(told);
  }
}

class LevelBook {
  private sheet: Sheet = { mark: "BM", level: "100 ft", rows: [] };

  constructor(private readonly database: Database | null) {}

  async open(): Promise<void> {
    const kept = (await this.database?.get("sheets", SHEET)) as Sheet | undefined;
    if (kept) this.sheet = kept;
    for (const [id, key] of [["mark-name", "mark"], ["mark-level", "level"]] as const) {
      const input = part<HTMLInputElement>(id);
      input.value = this.sheet[key];
      input.addEventListener("input", () => {
        this.sheet[key] = input.value;
        this.changed();
      });
    }
    part("add-row").addEventListener("click", () => {
      this.sheet.rows.push(this.next());
      this.draw();
      this.changed();
      part("rows").lastElementChild?.querySelector("input")?.focus();
    });
    part("empty-book").addEventListener("click", () => {
      if (this.sheet.rows.length && !confirm("Throw away the rows of this book?")) return;
      this.sheet.rows = [];
      this.draw();
      this.changed();
    });
    this.draw();
    this.show();
  }

  /** The row most likely next: a book opens on its mark, and after a foresight the instrument moves. */
  private next(): Typed {
    const last = this.sheet.rows.at(-1);
    if (!last) return { point: this.sheet.mark, column: "backsight", text: "" };
    if (last.column === "foresight" && last.point !== this.sheet.mark) return { point: last.point, column: "backsight", text: "" };
    return { point: "", column: "intermediate", text: "" };
  }

  private draw(): void {
    part("rows").replaceChildren(...this.sheet.rows.map((row, number) => this.drawRow(row, number)));
  }

  private drawRow(row: Typed, number: number): HTMLLIElement {
    const item = make("li");
    const point = make("input");
    point.value = row.point;
    point.autocomplete = "off";
    point.autocapitalize = "characters";
    const column = make("select");
    for (const [value, label] of Object.entries(COLUMNS)) column.append(new Option(label, value, false, value === row.column));
    const reading = make("input");
    reading.value = row.text;
    reading.autocomplete = "off";
    reading.placeholder = systemOf(this.sheet.level) === "US" ? "5.42 ft" : "1.652 m";
    const away = make("button", "×", "button quiet");
    away.type = "button";
    away.setAttribute("aria-label", `Remove row ${number + 1}`);
    point.addEventListener("input", () => this.typed(row, "point", point.value));
    reading.addEventListener("input", () => this.typed(row, "text", reading.value));
    column.addEventListener("change", () => {
      row.column = column.value as Column;
      this.changed();
    });
    away.addEventListener("click", () => {
      this.sheet.rows.splice(number, 1);
      this.draw();
      this.changed();
    });
    for (const [label, control, kind] of [["Point", point, "of-point"], ["Sight", column, "of-kind"], ["Rod", reading, "of-reading"]] as const) {
      const cell = make("div", "", kind);
      const name = make("label", label);
      control.id = `row-${number}-${kind}`;
      name.htmlFor = control.id;
      cell.append(name, control);
      item.append(cell);
    }
    const wrong = make("p", "", "error");
    wrong.id = `row-${number}-wrong`;
    wrong.hidden = true;
    reading.setAttribute("aria-describedby", wrong.id);
    item.append(away, wrong);
    return item;
  }

  private typed(row: Typed, key: "point" | "text", value: string): void {
    row[key] = value;
    this.changed();
  }

  private changed(): void {
    this.database?.put("sheets", structuredClone(this.sheet), SHEET).catch((error: unknown) => {
      tell("fails", `This device does not keep the book: ${String(error)}`);
    });
    this.show();
  }

  /** A plain number counts in the unit of the benchmark's level. */
  private length(text: string): number {
    const bare = /^[-+]?[0-9]*\.?[0-9]+$/.test(text.trim());
    return parse(bare ? `${text.trim()} ${systemOf(this.sheet.level) === "US" ? "ft" : "m"}` : text, "length");
  }

  private show(): void {
    const closing = part("closing");
    const out = part("reduced");
    closing.replaceChildren();
    out.replaceChildren();
    const rows = this.read();
    if (!rows || rows.length === 0) return;
    try {
      const reduced = reduceBook(rows, new Map([[this.sheet.mark.trim(), this.length(this.sheet.level)]]));
      this.tellClosing(reduced, closing);
      out.append(this.table(reduced));
    } catch (error) {
      if (error instanceof BookError) {
        for (const problem of error.problems) this.wrong(problem.row, `found ${problem.found}; expected ${problem.expected}`);
      } else if (error instanceof QuantityError) {
        closing.append(notice("fails", "The benchmark’s level cannot be read", error.hint || error.expected));
      } else throw error;
    }
  }

  /** Rows that can be reduced; null where one of them cannot be read, which stands by it then. */
  private read(): Row[] | null {
    const rows: Row[] = [];
    let sound = true;
    this.sheet.rows.forEach((typed, number) => {
      this.wrong(number, "");
      if (!typed.point.trim() || !typed.text.trim()) {
        sound = false; // still being typed
        return;
      }
      try {
        rows.push({ point: typed.point.trim(), [typed.column]: this.length(typed.text) });
      } catch (error) {
        if (!(error instanceof QuantityError)) throw error;
        this.wrong(number, error.hint || `expected ${error.expected}`);
        sound = false;
      }
    });
    return sound ? rows : null;
  }

  private wrong(number: number, text: string): void {
    const place = part(`row-${number}-wrong`);
    place.hidden = !text;
    place.replaceChildren(...(text ? [shape("fails"), text] : []));
    part(`row-${number}-of-reading`).toggleAttribute("aria-invalid", Boolean(text));
  }

  private tellClosing(reduced: Reduced, out: HTMLElement): void {
    const system = systemOf(this.sheet.level);
    const { worst } = reduced;
    if (!worst) {
      out.append(notice("caution", "The book is open", "It does not return to the benchmark yet: nothing checks the levels."));
      return;
    }
    const told = (value: number): string => write(value, "length", system, system === "US" ? "ft" : "m", 4).replace("-", "−");
    const figures = `Misclosure ${told(worst.misclosure)}; allowable ${told(worst.allowable)} either way.`;
    const assumed = reduced.assumedSights ? ` Sights are taken as ${write(15.24, "length", system)} each (assumed).` : "";
    const shared = reduced.method === "proportional" ? "" : " Points were read twice: the office adjusts all readings together.";
    if (Math.abs(worst.misclosure) <= worst.allowable) out.append(notice("ok", "The book closes", figures + assumed + shared));
    else out.append(notice("fails", "The book misses", `${figures}${assumed} Read it again before you leave.`));
  }

  private table(reduced: Reduced): HTMLElement {
    const system = systemOf(this.sheet.level);
    const unit = system === "US" ? "ft" : "m";
    const plain = (value: number | null): string => (value === null ? "at the office" : fine(value, system).replace(/ .*$/, ""));
    const wide = make("div", "", "wide");
    wide.tabIndex = 0;
    wide.setAttribute("role", "region");
    wide.setAttribute("aria-label", "The book reduced");
    const table = make("table");
    table.append(make("caption", `The book reduced [${unit}]`));
    const head = table.createTHead().insertRow();
    for (const [n, name] of ["Point", "Instrument", "Level", "Adjusted"].entries()) {
      const cell = make("th", name, n ? "n" : "");
      cell.scope = "col";
      head.append(cell);
    }
    const body = table.createTBody();
    for (const line of reduced.lines) {
      const row = body.insertRow();
      const name = make("th", line.point);
      name.scope = "row";
      row.append(name);
      for (const value of [line.instrumentHeight, line.level, line.adjusted]) {
        row.append(make("td", plain(value), "n"));
      }
    }
    wide.append(table);
    return wide;
  }
}

function notice(kind: "ok" | "caution" | "fails", title: string, text: string): HTMLElement {
  const made = make("section", "", `notice ${kind}`);
  const head = make("h3", title);
  head.prepend(shape(kind));
  made.append(head, make("p", text));
  return made;
}

function tell(kind: "ok" | "caution" | "fails", text: string): void {
  part("line").replaceChildren(shape(kind), make("span", text));
}

function tellLine(kept: boolean): void {
  const where = kept ? "what you type is kept on this device" : "this browser keeps nothing: copy the book before you leave the page";
  if (!kept) tell("caution", `Storage is closed here; ${where}.`);
  else if (navigator.onLine) tell("ok", `There is a network; ${where}.`);
  else tell("caution", `No network; ${where}.`);
}

async function start(): Promise<void> {
  part("tape").addEventListener("input", readTape);
  const database = await openDatabase().catch(() => null); // closed in some private windows: told on the page
  await new LevelBook(database).open();
  const line = (): void => tellLine(database !== null);
  addEventListener("online", line);
  addEventListener("offline", line);
  line();
  await navigator.storage?.persist?.();
}

void start();
