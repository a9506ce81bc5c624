// Where a dragged place is drawn to: points, corners, lines, then the grid.
import { distance, onLine, type At } from "./model";

export interface Target {
  readonly at: At;
  readonly words: string;
  /** Surveyed point that a place may be named after. */
  readonly point?: string;
}

export interface Line {
  readonly from: At;
  readonly to: At;
  readonly words: string;
}

export interface Snapped {
  readonly at: At;
  readonly words: string;
  readonly point?: string;
}

/**
 * The place that is meant.
 *
 * @param at where the finger is [m]
 * @param reach how near a thing must be to draw it [m]
 * @param step of the grid [m]
 */
export function snapped(at: At, targets: readonly Target[], lines: readonly Line[], reach: number, step: number): Snapped {
  let best: Snapped | undefined;
  let least = reach;
  for (const one of targets) {
    const away = distance(at, one.at);
    const nearer = away < least - 1e-9 || (away < least + 1e-9 && one.point !== undefined && best?.point === undefined);
    if (nearer) [best, least] = [one, away];
  }
  if (best) return best;
  for (const line of lines) {
    const foot = onLine(line.from, line.to, at);
    const away = distance(at, foot.at);
    if (away < least) [best, least] = [{ at: foot.at, words: line.words }, away];
  }
  if (best) return best;
  return { at: [Math.round(at[0] / step) * step, Math.round(at[1] / step) * step], words: "" };
}
