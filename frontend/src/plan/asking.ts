// Drafts go to the office one at a time; of those that wait only the newest is sent. Each is first answered as far as its
// lines lie, then with its price; the storm is asked for, too, once nothing changes any more.
import type { Operation } from "./document";
import type { Answer } from "./model";

const PAUSE = 60; // before a change is sent, for the next may come at once [ms]
const REST = 350; // without a change before the storm is run, too [ms]

export async function formToken(): Promise<string> {
  const answer = await fetch("/api/v1/form-token", { credentials: "same-origin", cache: "no-store" });
  return ((await answer.json()) as { form_token: string }).form_token;
}

export async function post(url: string, body: unknown, token: string): Promise<Response> {
  return fetch(url, {
    method: "POST",
    credentials: "same-origin",
    headers: { "content-type": "application/json", accept: "application/json", "x-form-token": token },
    body: JSON.stringify(body),
  });
}

export interface Draft {
  readonly base: number;
  readonly operations: readonly Operation[];
}

/** How far a draft is designed: its lines and grades, its price too, or all. */
export type Far = "laid" | "priced" | "proven";
const NEXT: Record<Far, Far | undefined> = { laid: "priced", priced: "proven", proven: undefined };

export class Asking {
  private waiting: Draft | undefined;
  private unproven: { readonly draft: Draft; readonly far: Far } | undefined;
  private flying = false;
  private timer = 0;
  private newest = 0;
  /** How long first answers took, those with a price, and whole ones, for whoever measures [ms]. */
  readonly times: number[] = [];
  readonly priced: number[] = [];
  readonly wholes: number[] = [];

  constructor(
    private readonly send: (draft: Draft, far: Far) => Promise<Answer>,
    /** `current`: nothing was changed since the draft that this answers. */
    private readonly answered: (answer: Answer, current: boolean) => void,
    private readonly failed: (words: string) => void,
  ) {}

  /** Whether an answer is still to come, be it only the storm's. */
  get working(): boolean {
    return this.flying || this.waiting !== undefined || this.unproven !== undefined;
  }

  /** Whether what is shown is of an earlier draft than the newest. */
  get behind(): boolean {
    return this.working && this.unproven === undefined;
  }

  ask(draft: Draft): void {
    this.waiting = draft;
    this.unproven = undefined;
    this.newest += 1;
    this.after(PAUSE);
  }

  private after(pause: number): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.next(), pause) as unknown as number;
  }

  private async next(): Promise<void> {
    const draft = this.waiting ?? this.unproven?.draft;
    if (this.flying || !draft) return;
    const far = this.waiting ? "laid" : (this.unproven?.far ?? "laid");
    this.waiting = undefined;
    this.flying = true;
    const serial = this.newest;
    const began = performance.now();
    try {
      const answer = await this.send(draft, far);
      ({ laid: this.times, priced: this.priced, proven: this.wholes })[far].push(performance.now() - began);
      this.flying = false;
      const current = serial === this.newest;
      const next = NEXT[far];
      if (current) this.unproven = next && answer.drawn ? { draft, far: next } : undefined;
      this.answered(answer, current);
    } catch (error) {
      this.flying = false;
      if (serial === this.newest) this.unproven = undefined;
      this.failed(error instanceof Error ? error.message : String(error));
    }
    if (this.waiting) void this.next();
    else if (this.unproven) this.after(this.unproven.far === "proven" ? REST : 0);
  }
}
