// The things in words, beside the plan: the way to all of them without a pointer.
import { made } from "./page";
import type { Thing } from "./model";

const GROUPS: readonly (readonly [string, readonly string[]])[] = [
  ["The works", ["inlet", "run", "basin", "discharge"]],
  ["The house", ["house", "wall", "downspout", "roof"]],
  ["The lot", ["yard", "tree", "boundary", "protected"]],
  ["Buried lines", ["utility"]],
  ["Surveyed points", ["corner", "point"]],
];

export function listKey(name: string): string {
  return `[${name}]`;
}

export function showList(into: HTMLElement, things: readonly Thing[], chosen: string | undefined, choose: (path: string) => void): void {
  const open = new Set([...into.querySelectorAll("details")].filter((one) => one.open).map((one) => one.dataset["group"]));
  const first = into.childElementCount === 0;
  const focused = into.contains(document.activeElement) ? (document.activeElement as HTMLElement).dataset["path"] : undefined;
  const parts = GROUPS.map(([words, kinds]) => {
    const own = kinds.flatMap((kind) => things.filter((one) => one.kind === kind));
    const list = made("ul", { class: "plan-things" });
    for (const thing of own) {
      const button = made("button", { type: "button", "aria-pressed": String(thing.path === chosen), "data-path": thing.path });
      button.append(made("strong", {}, thing.name || thing.kind), made("span", {}, thing.told));
      button.addEventListener("click", () => choose(thing.path));
      list.append(made("li", {}, button));
    }
    const details = made("details", { "data-group": words }, made("summary", {}, `${words} (${own.length})`), list);
    details.open = first ? words === "The works" : open.has(words);
    return { details, own };
  });
  into.replaceChildren(...parts.filter(({ own }) => own.length).map(({ details }) => details));
  if (focused) into.querySelector<HTMLElement>(`[data-path="${CSS.escape(focused)}"]`)?.focus();
}
