// Steps that can be undone and done again, and the edits that are not saved yet.
import { entryPath, performed, reach, split, type Operation, type Value } from "./document";

/** Edits made at one stroke. `taken` is the place in its list of an entry that was taken out. */
export interface Edit {
  readonly path: string;
  readonly value: Value;
  readonly was: Value;
  readonly taken?: number;
}

export interface Step {
  readonly id: string;
  readonly operations: readonly Edit[];
}

type Way = "d" | "u" | "r";

export interface Stroke {
  readonly way: Way;
  readonly step: string;
  readonly operations: readonly Operation[];
}

function random(bytes: number): string {
  return [...crypto.getRandomValues(new Uint8Array(bytes))].map((one) => one.toString(16).padStart(2, "0")).join("");
}

/** As the office sends a saved step back: an id ends in the place that an entry was taken from. */
export function editOf(operation: Operation): Edit {
  const place = /-\d+\.(\d+)$/.exec(operation.id);
  const { path, value, was } = operation;
  return { path, value, was, ...(place ? { taken: Number(place[1]) } : {}) };
}

export class Steps {
  done: Step[] = [];
  undone: Step[] = [];
  pending: Stroke[] = [];
  record: Value = {};

  constructor(
    public base: number,
    private saved: Value,
  ) {
    this.record = saved;
  }

  get operations(): Operation[] {
    return this.pending.flatMap((stroke) => stroke.operations);
  }

  /** Operations of edits that are only being tried, after those that wait. */
  tried(edits: readonly Edit[]): Operation[] {
    return [...this.operations, ...stroke("d", random(6), edits).operations];
  }

  make(edits: readonly Edit[]): void {
    const step = { id: random(6), operations: edits };
    this.done.push(step);
    this.undone = [];
    this.push("d", step.id, edits);
  }

  undo(): boolean {
    const step = this.done.pop();
    if (!step) return false;
    this.undone.push(step);
    const last = this.pending.at(-1);
    if (last && last.step === step.id && last.way !== "u") this.drop();
    else this.push("u", step.id, this.inverse(step));
    return true;
  }

  redo(): boolean {
    const step = this.undone.pop();
    if (!step) return false;
    this.done.push(step);
    const last = this.pending.at(-1);
    if (last && last.step === step.id && last.way === "u") this.drop();
    else this.push("r", step.id, step.operations);
    return true;
  }

  /** Take up strokes that were kept on this device. */
  resume(strokes: readonly Stroke[]): void {
    for (const one of strokes) {
      const step = { id: one.step, operations: one.operations.map(editOf) };
      if (one.way === "u") {
        const stands = this.done.pop();
        if (stands) this.undone.push(stands);
      } else {
        if (one.way === "r") this.undone.pop();
        else this.undone = [];
        this.done.push(step);
      }
      this.pending.push(one);
    }
    this.record = performed(this.saved, this.operations);
  }

  private push(way: Way, step: string, edits: readonly Edit[]): void {
    const made = stroke(way, step, edits);
    this.pending.push(made);
    this.record = performed(this.record, made.operations);
  }

  private drop(): void {
    this.pending.pop();
    this.record = performed(this.saved, this.operations);
  }

  /** The edits that take a step back. An entry that was not the last of its list goes back to its place with the list. */
  private inverse(step: Step): Edit[] {
    const made: Edit[] = [];
    let record = this.record;
    for (const { path, value, was, taken } of [...step.operations].reverse()) {
      let edit: Edit = { path, value: was, was: value };
      if (path.endsWith("[+]")) {
        const list = path.slice(0, -3);
        const name = (value as { name?: Value } | null)?.name;
        edit = { path: entryPath(list, typeof name === "string" ? name : ""), value: null, was: value };
      } else if (taken !== undefined) {
        const list = split(path)[0];
        const stands = (reach(record, list) ?? []) as Value[];
        edit =
          taken >= stands.length
            ? { path: `${list}[+]`, value: was, was: null }
            : { path: list, value: [...stands.slice(0, taken), was, ...stands.slice(taken)], was: stands };
      }
      made.push(edit);
      record = performed(record, [{ id: "", ...edit }]);
    }
    return made;
  }
}

function stroke(way: Way, step: string, edits: readonly Edit[]): Stroke {
  const once = random(4);
  const operations = edits.map(({ path, value, was, taken }, number) => ({
    id: `${way}${step}.${once}-${number}${taken === undefined ? "" : `.${taken}`}`,
    path,
    value,
    was,
  }));
  return { way, step, operations };
}
