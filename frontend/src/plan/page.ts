// Small parts of a page, made by hand.

type Child = Node | string;

export function made<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Readonly<Record<string, string | boolean>> = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(name, "");
    else if (value !== false) element.setAttribute(name, value);
  }
  element.append(...children);
  return element;
}

export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no #${id}`);
  return found as T;
}

export function button(words: string, act: () => void, kind = "quiet"): HTMLButtonElement {
  const element = made("button", { type: "button", class: `button ${kind}` }, words);
  element.addEventListener("click", act);
  return element;
}

const SHAPES: Readonly<Record<string, string>> = {
  ok: "M8 1.5a6.5 6.5 0 1 1 0 13 6.5 6.5 0 0 1 0-13z",
  caution: "M8 1.2 15.2 14.6H.8z",
  fails: "M1.7 1.7h12.6v12.6H1.7z",
};

export function shape(kind: "ok" | "caution" | "fails"): SVGElement {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("class", `shape ${kind}`);
  svg.setAttribute("aria-hidden", "true");
  path.setAttribute("d", SHAPES[kind] ?? "");
  svg.append(path);
  return svg;
}

/** Ask a person; gives the value of the button pressed, "" where the dialog was left. */
export function ask(title: string, body: readonly Node[], ways: readonly (readonly [string, string])[]): Promise<string> {
  const form = made("form", { method: "dialog" });
  const head = made("h2", { id: "asked" }, title);
  const row = made("p", { class: "row-ways" });
  for (const [number, [value, words]] of ways.entries()) {
    row.append(made("button", { value, class: number === 0 ? "button" : "button quiet" }, words));
  }
  form.append(head, ...body, row);
  const dialog = made("dialog", { "aria-labelledby": "asked" }, form);
  document.body.append(dialog);
  dialog.showModal();
  return new Promise((done) => {
    dialog.addEventListener("close", () => {
      done(dialog.returnValue);
      dialog.remove();
    });
  });
}
