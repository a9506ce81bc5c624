// Drafts go to the office one at a time; of those that wait only the newest is sent. Each is first answered without its
// storm; the whole answer is asked for once nothing changes any more.
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

export class Asking {
  private waiting: Draft | undefined;
  private unproven: Draft | undefined;
  private flying = false;
  private timer = 0;
  private newest = 0;
  /** How long first answers took, and whole ones, for whoever measures [ms]. */
  readonly times: number[] = [];
  readonly wholes: number[] = [];

  constructor(
    private readonly send: (draft: Draft, early: boolean) => Promise<Answer>,
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
    const draft = this.waiting ?? this.unproven;
    if (this.flying || !draft) return;
    const early = this.waiting !== undefined;
    this.waiting = undefined;
    this.flying = true;
    const serial = this.newest;
    const began = performance.now();
    try {
      const answer = await this.send(draft, early);
      (early ? this.times : this.wholes).push(performance.now() - began);
      this.flying = false;
      const current = serial === this.newest;
      if (current) this.unproven = early && answer.drawn ? draft : undefined;
      this.answered(answer, current);
    } catch (error) {
      this.flying = false;
      if (serial === this.newest) this.unproven = undefined;
      this.failed(error instanceof Error ? error.message : String(error));
    }
    if (this.waiting) void this.next();
    else if (this.unproven) this.after(REST);
  }
}
