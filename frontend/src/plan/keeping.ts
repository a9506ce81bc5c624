// What is drawn and not saved stays on this device until it is.
import type { Stroke } from "./steps";

export interface Kept {
  readonly base: number;
  readonly strokes: readonly Stroke[];
}

const name = (job: string): string => `plan ${job}`;

export function keep(job: string, base: number, strokes: readonly Stroke[]): void {
  try {
    if (strokes.length) localStorage.setItem(name(job), JSON.stringify({ base, strokes }));
    else localStorage.removeItem(name(job));
  } catch {
    // a private window keeps nothing; the page still holds it
  }
}

export function kept(job: string): Kept | undefined {
  try {
    return JSON.parse(localStorage.getItem(name(job)) ?? "null") as Kept | undefined;
  } catch {
    return undefined;
  }
}

export function forget(job: string): void {
  keep(job, 0, []);
}
