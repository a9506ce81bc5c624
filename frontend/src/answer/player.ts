import { drawChart } from "./chart";
import { drawPlan } from "./plan";
import { clock, type Played } from "./played";

const LASTS = 24_000; // ms for the whole storm

function made<Kind extends keyof HTMLElementTagNameMap>(kind: Kind, parent: Element, text = ""): HTMLElementTagNameMap[Kind] {
  const one = document.createElement(kind);
  one.textContent = text;
  parent.append(one);
  return one;
}

/** What can be read at a moment, in words. */
function told(storm: Played, moment: number): [string, string][] {
  const rows: [string, string][] = [["Rain", `${(storm.rain[moment] ?? 0).toFixed(2)} ${storm.rain_unit}`]];
  for (const basin of storm.basins) {
    rows.push([`Water in ${basin.name}`, `${(basin.level[moment] ?? 0).toFixed(2)} ${storm.level_unit}`]);
    rows.push([`Pump of ${basin.name}`, basin.pumping[moment] ? "runs" : "stands"]);
  }
  if (!storm.basins.length && storm.house.length) {
    rows.push(["Water at the house", `${(storm.house[moment] ?? 0).toFixed(2)} ${storm.level_unit}`]);
  }
  const standing = storm.ponds.filter((pond) => (pond.depth[moment] ?? 0) > 0.005).map((pond) => pond.name);
  rows.push(["Water stands over", standing.join(", ") || "no grate"]);
  const wet = storm.wet !== null && (storm.seconds[moment] ?? 0) >= storm.wet;
  rows.push(["Floor", wet ? "wet" : "dry"]);
  return rows;
}

function show(storm: Played, room: HTMLElement): () => void {
  room.replaceChildren();
  const last = storm.seconds.length - 1;
  let moment = 0;
  let frame = 0;
  const plan = drawPlan(storm, room);
  const side = made("div", room);
  side.className = "player-side";
  const ways = made("div", room);
  ways.className = "player-ways";
  const button = made("button", ways, "Play");
  button.type = "button";
  button.className = "button";
  const range = made("input", ways);
  Object.assign(range, { type: "range", min: "0", max: String(last), step: "1" });
  range.setAttribute("aria-label", "Time in the storm");
  const time = made("output", ways);
  const at = (next: number) => {
    moment = Math.min(last, Math.max(0, next));
    range.value = String(moment);
    const words = `${clock(storm.seconds[moment] ?? 0)} h`;
    time.textContent = words;
    range.setAttribute("aria-valuetext", words);
    plan(moment);
    chart(moment);
    now.replaceChildren();
    for (const [name, value] of told(storm, moment)) {
      const row = made("div", now);
      made("dt", row, name);
      made("dd", row, value);
    }
  };
  const chart = drawChart(storm, side, (next) => {
    stop();
    at(next);
  });
  const now = made("dl", side);
  now.className = "player-now";
  const stop = () => {
    cancelAnimationFrame(frame);
    frame = 0;
    button.textContent = "Play";
  };
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  button.addEventListener("click", () => {
    if (frame) return stop();
    if (moment === last) at(0);
    const [from, began] = [moment, performance.now()];
    button.textContent = "Pause";
    let drawn = began;
    const step = (at_: number) => {
      // With little motion wished for, it goes in jumps of two a second.
      if (!still.matches || at_ - drawn > 500) {
        drawn = at_;
        at(from + Math.round(((at_ - began) / LASTS) * last));
      }
      if (moment >= last) return stop();
      frame = requestAnimationFrame(step);
    };
    frame = requestAnimationFrame(step);
  });
  range.addEventListener("input", () => {
    stop();
    at(Number(range.value));
  });
  at(0);
  return stop;
}

/** The storm played over the plan. */
export function play(player: HTMLElement): void {
  const room = player.querySelector<HTMLElement>("[data-room]");
  const list = player.querySelector("select");
  const address = player.dataset["player"];
  if (!room || !list || !address) return;
  let stop = () => {};
  const open = async () => {
    stop();
    const asked = list.value;
    room.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(`${address}?case=${encodeURIComponent(asked)}`);
      if (!answer.ok) throw new Error(`${answer.status}`);
      const storm = (await answer.json()) as Played;
      if (asked === list.value) stop = show(storm, room);
    } catch {
      room.textContent = "This case cannot be played; the charts below show it.";
    }
    room.removeAttribute("aria-busy");
  };
  list.addEventListener("change", () => void open());
  void open();
}
