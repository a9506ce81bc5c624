import { mark } from "./svg";
import type { Played } from "./played";

const DEEP = 0.3; // m of water over a grate that is drawn with the largest ring
const RING = 3.2; // m, its radius on the plan
const FULL = 7; // px of a pipe that runs full

/** The plan of a case; the function given back shows one moment. */
export function drawPlan(told: Played, room: Element): (moment: number) => void {
  const places = [...told.boundary, ...told.outline, ...told.runs.flatMap((run) => run.line)];
  const east = places.map((place) => place[0]);
  const north = places.map((place) => place[1]);
  const [left, right, low, high] = [Math.min(...east), Math.max(...east), Math.min(...north), Math.max(...north)];
  const span = Math.max(right - left, high - low);
  const edge = span * 0.05;
  const points = (line: [number, number][]) => line.map(([x, y]) => `${x},${-y}`).join(" ");
  const plan = mark("svg", {
    class: "player-plan", role: "img", "aria-label": `Plan with the water: ${told.title}`,
    viewBox: `${left - edge} ${-high - edge} ${right - left + 2 * edge} ${high - low + 2 * edge}`,
  }, room);
  if (told.boundary.length) mark("polygon", { class: "lot", points: points(told.boundary) }, plan);
  const walls = mark("polygon", { class: "walls", points: points(told.outline) }, plan);
  const waters = told.runs.map((run) => {
    mark("polyline", { class: "run", points: points(run.line) }, plan);
    return mark("polyline", { class: "water", points: points(run.line) }, plan);
  });
  const ponds = told.ponds.map((pond) => mark("circle", { class: "pond", cx: pond.at[0], cy: -pond.at[1], r: 0 }, plan));
  const size = span / 32;
  const basins = told.basins.map((basin) => mark("circle", { class: "basin", cx: basin.at[0], cy: -basin.at[1], r: size * 0.55 }, plan));
  for (const one of [...told.ponds, ...told.basins]) {
    const name = mark("text", { x: one.at[0] + size * 0.7, y: -one.at[1] - size * 0.35, "font-size": size }, plan);
    name.style.fontSize = `${size}px`;
    name.textContent = one.name;
  }
  return (moment) => {
    told.runs.forEach((run, number) => {
      const pumped = told.basins.some((basin) => basin.name === run.station && basin.pumping[moment]);
      const ends = [run.upper[moment], run.lower[moment]].filter((share) => share !== undefined);
      const share = run.pressure ? (pumped ? 1 : 0) : Math.max(0, ...ends);
      waters[number]?.setAttribute("stroke-width", String(FULL * share));
      waters[number]?.setAttribute("visibility", share > 0 ? "visible" : "hidden");
    });
    told.ponds.forEach((pond, number) => {
      const depth = pond.depth[moment] ?? 0;
      ponds[number]?.setAttribute("r", String(RING * Math.sqrt(Math.min(depth, DEEP) / DEEP)));
    });
    told.basins.forEach((basin, number) => basins[number]?.classList.toggle("on", basin.pumping[moment] === true));
    walls.classList.toggle("wet", told.wet !== null && (told.seconds[moment] ?? 0) >= told.wet);
  };
}
