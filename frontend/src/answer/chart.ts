import { mark } from "./svg";
import { clock, type Played } from "./played";

const [WIDE, HIGH, LEFT, RIGHT, TOP, BOTTOM, RAIN] = [400, 300, 44, 8, 8, 24, 60];
const APART = 13; // between names, one above the other

/** Rain, level and pump over time; gives back what moves the line of now. Pointing at it goes there. */
export function drawChart(told: Played, room: Element, goTo: (moment: number) => void): (moment: number) => void {
  const basin = told.basins[0];
  const level = basin ? basin.level : told.house;
  const end = told.seconds.at(-1) ?? 1;
  const across = (second: number) => LEFT + ((WIDE - LEFT - RIGHT) * second) / end;
  const named = basin ? basin.marks : [];
  const all = [...level, told.floor, ...named.map(([, value]) => value)];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const pad = (high - low) * 0.06 || 1;
  const ground = HIGH - BOTTOM;
  const top = TOP + RAIN + 14;
  const up = (value: number) => ground - ((ground - top) * (value - low + pad)) / (high - low + 2 * pad);
  const chart = mark("svg", {
    class: "player-chart", viewBox: `0 0 ${WIDE} ${HIGH}`, role: "img",
    "aria-label": `Rain and water ${basin ? `in ${basin.name}` : "at the house"} over time`,
  }, room);
  const most = Math.max(...told.rain, 1e-9);
  const bars = told.rain.map((rain, n) => `L${across(told.seconds[n] ?? 0)} ${TOP + (RAIN * rain) / most}`).join("");
  mark("path", { class: "rain", d: `M${LEFT} ${TOP}${bars}L${WIDE - RIGHT} ${TOP}Z` }, chart);
  const write = (text: string, x: number, y: number, anchor = "start") => {
    mark("text", { x, y, "text-anchor": anchor }, chart).textContent = text;
  };
  write(`rain, most ${most.toPrecision(3)} ${told.rain_unit}`, WIDE - RIGHT, TOP + RAIN, "end");
  let free = ground; // names of levels close together stand above each other
  for (const [name, value] of [...named].sort((one, other) => one[1] - other[1])) {
    mark("path", { class: "float", d: `M${LEFT} ${up(value)}H${WIDE - RIGHT}` }, chart);
    free = Math.min(up(value) - 3, free - APART);
    write(name, WIDE - RIGHT - 2, free, "end");
  }
  mark("path", { class: "floor", d: `M${LEFT} ${up(told.floor)}H${WIDE - RIGHT}` }, chart);
  write("floor wet from here", LEFT + 4, up(told.floor) - 4);
  if (told.failure) mark("path", { class: "broken", d: `M${across(told.failure)} ${top}V${ground}` }, chart);
  if (level.length) {
    const line = level.map((value, n) => `${n ? "L" : "M"}${across(told.seconds[n] ?? 0)} ${up(value)}`).join("");
    mark("path", { class: "level", d: line }, chart);
    for (const value of [Math.min(...level), Math.max(...level)]) write(value.toFixed(2), LEFT - 4, up(value) + 4, "end");
  }
  basin?.pumping.forEach((on, n) => {
    const [from, to] = [told.seconds[n], told.seconds[n + 1]];
    if (on && from !== undefined && to !== undefined) {
      mark("rect", { class: "pump", x: across(from), y: ground - 5, width: across(to) - across(from), height: 5 }, chart);
    }
  });
  for (let hour = 0; hour * 3600 <= end; hour += Math.max(1, Math.round(end / 3600 / 6))) {
    write(clock(hour * 3600), Math.min(across(hour * 3600), WIDE - 14), HIGH - 7, "middle");
  }
  const cursor = mark("path", { class: "cursor" }, chart);
  const point = (event: PointerEvent) => {
    const box = chart.getBoundingClientRect();
    const share = (((event.clientX - box.left) / box.width) * WIDE - LEFT) / (WIDE - LEFT - RIGHT);
    goTo(Math.round(Math.min(1, Math.max(0, share)) * (told.seconds.length - 1)));
  };
  chart.addEventListener("pointerdown", (event) => point(event as PointerEvent));
  chart.addEventListener("pointermove", (event) => {
    if ((event as PointerEvent).buttons) point(event as PointerEvent);
  });
  return (moment) => {
    const x = across(told.seconds[moment] ?? 0);
    cursor.setAttribute("d", `M${x} ${TOP}V${ground}`);
  };
}
