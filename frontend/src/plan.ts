// The plan page: opens the plan, and gives keys and buttons their work.
import { begun, PlanDesk } from "./plan/desk";
import { byId, made } from "./plan/page";
import { FOOT, type Units } from "./plan/model";

const STEPS: Readonly<Record<Units, readonly (readonly [string, number])[]>> = {
  US: [["1 in", FOOT / 12], ["6 in", FOOT / 2], ["1 ft", FOOT], ["5 ft", 5 * FOOT]],
  SI: [["1 cm", 0.01], ["10 cm", 0.1], ["50 cm", 0.5], ["1 m", 1]],
};
const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1],
};

async function open(): Promise<void> {
  const root = byId("plan");
  const begin = await begun(root.dataset["job"] ?? "");
  const desk = new PlanDesk(root.dataset["job"] ?? "", begin);
  desk.showAdding();
  steps(desk);
  buttons(desk);
  keys(desk);
  Object.assign(globalThis, { planDesk: desk }); // for whoever measures
}

function steps(desk: PlanDesk): void {
  const select = made("select", { "aria-label": "Grid and arrow step" }, ...STEPS[desk.units].map(([words, size]) => made("option", { value: String(size) }, words)));
  select.addEventListener("change", () => {
    desk.step = Number(select.value);
  });
  byId("save").after(made("label", { class: "plan-step" }, "Grid", select));
}

function buttons(desk: PlanDesk): void {
  const zoom = (by: number) => (): void => {
    const view = desk.sight.map.getView();
    view.setZoom((view.getZoom() ?? 0) + by);
  };
  byId("undo").addEventListener("click", () => desk.undo());
  byId("redo").addEventListener("click", () => desk.redo());
  byId("save").addEventListener("click", () => void desk.save());
  byId("closer").addEventListener("click", zoom(0.7));
  byId("farther").addEventListener("click", zoom(-0.7));
  byId("whole").addEventListener("click", () => desk.sight.whole());
}

function keys(desk: PlanDesk): void {
  document.addEventListener("keydown", (event) => {
    const within = event.target as HTMLElement;
    if (within.closest("dialog")) return;
    const typing = within.matches("input, select, textarea");
    const command = event.ctrlKey || event.metaKey;
    const key = event.key.toLowerCase();
    if (command && key === "s") void desk.save();
    else if (typing && within.matches("input")) return; // the field's own undo
    else if (command && key === "z" && !event.shiftKey) desk.undo();
    else if (command && (key === "y" || (key === "z" && event.shiftKey))) desk.redo();
    else if (typing || !within.closest("#map, #things")) return;
    else if (event.key in ARROWS) {
      const [east, north] = ARROWS[event.key] ?? [0, 0];
      desk.nudge(east, north);
    } else if (event.key === "Delete" || event.key === "Backspace") {
      const thing = desk.sight.thing(desk.sight.chosen);
      if (!thing) return;
      desk.remove(thing);
    } else if (event.key === "Enter" && within.closest("#things, #map")) {
      const pressed = within.closest("#things button[aria-pressed=false]");
      if (pressed) return; // chooses it
      byId("chosen").querySelector<HTMLElement>("input, select, button")?.focus();
    } else return;
    event.preventDefault();
  });
}

open().catch((error: unknown) => {
  byId("state").textContent = error instanceof Error ? error.message : String(error);
});
