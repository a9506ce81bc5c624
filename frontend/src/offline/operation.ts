// What is typed in the yard, as it waits on the device and goes to the office.

/** One change of a job's record, made on this device. */
export interface Operation {
  /** Made here, once: sent again it does no harm. */
  readonly id: string;
  readonly job: string;
  /** Place in the record: `survey.level_book[TP1].foresight`. */
  readonly path: string;
  readonly value: unknown;
  /** What stood there when it was typed. */
  readonly was: unknown;
  /** When, by this device's clock (UTC, ISO 8601). */
  readonly made: string;
}

export type State = "waiting" | "conflict" | "refused";

/** An operation on the device. What the office took is no longer there. */
export interface Kept extends Operation {
  /** Its place in the order of typing. */
  readonly order: number;
  readonly state: State;
  /** It left the device at least once; the office may have it although no answer came. */
  readonly tried?: true;
  /** The id of the operation that this one takes back. */
  readonly undoes?: string;
  /** What the office said of it. */
  readonly answer?: Answer;
}

/** The office's answer to one operation. */
export type Answer =
  | { readonly id: string; readonly state: "applied"; readonly revision: number }
  | { readonly id: string; readonly state: "conflict"; readonly revision: number; readonly theirs: unknown; readonly who: string }
  | { readonly id: string; readonly state: "refused"; readonly found: string; readonly expected: string; readonly hint: string };

/** Read one answer; undefined where it is none, and the operation then goes on waiting. */
export function readAnswer(given: unknown): Answer | undefined {
  if (typeof given !== "object" || given === null) return undefined;
  const { id, state, revision, theirs, who, found, expected, hint } = given as Record<string, unknown>;
  if (typeof id !== "string") return undefined;
  if (state === "applied" && typeof revision === "number") return { id, state, revision };
  if (state === "conflict" && typeof revision === "number" && typeof who === "string") return { id, state, revision, theirs, who };
  if (state === "refused" && typeof found === "string" && typeof expected === "string") {
    return { id, state, found, expected, hint: typeof hint === "string" ? hint : "" };
  }
  return undefined;
}
