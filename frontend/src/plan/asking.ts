// Drafts go to the office one at a time; of those that wait only the newest is sent.
import type { Operation } from "./document";
import type { Answer } from "./model";

const PAUSE = 60; // before a change is sent, for the next may come at once [ms]

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
  private flying = false;
  private timer = 0;
  private newest = 0;
  /** How long answers took, for whoever measures [ms]. */
  readonly times: number[] = [];

  constructor(
    private readonly send: (draft: Draft) => Promise<Answer>,
    /** `current`: nothing was changed since the draft that this answers. */
    private readonly answered: (answer: Answer, current: boolean) => void,
    private readonly failed: (words: string) => void,
  ) {}

  get working(): boolean {
    return this.flying || this.waiting !== undefined;
  }

  ask(draft: Draft): void {
    this.waiting = draft;
    this.newest += 1;
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.next(), PAUSE);
  }

  private async next(): Promise<void> {
    const draft = this.waiting;
    if (this.flying || !draft) return;
    this.waiting = undefined;
    this.flying = true;
    const serial = this.newest;
    const began = performance.now();
    try {
      const answer = await this.send(draft);
      this.times.push(performance.now() - began);
      this.flying = false;
      this.answered(answer, serial === this.newest);
    } catch (error) {
      this.flying = false;
      this.failed(error instanceof Error ? error.message : String(error));
    }
    if (this.waiting) void this.next();
  }
}
