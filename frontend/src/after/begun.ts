// A form that is left in the middle: what stands in it stays on this device until it is noted or emptied.
import { say } from "../offline/words";
import { fill, typedIn, type Texts } from "./forms";

/** Keep a form's entry as it is typed, and put back what was begun before; gives the way to forget it. */
export function keepBegun(form: HTMLFormElement, key: string): () => void {
  const forget = (): void => {
    note?.remove();
    try {
      localStorage.removeItem(key);
    } catch {
      // a browser that keeps nothing has nothing to forget
    }
  };
  const note = putBack(form, key) ? told(form, forget) : undefined;
  form.addEventListener("input", () => {
    try {
      localStorage.setItem(key, JSON.stringify(typedIn(form)));
    } catch {
      // No room for it: it still stands on the page.
    }
  });
  return forget;
}

function putBack(form: HTMLFormElement, key: string): boolean {
  try {
    const texts = JSON.parse(localStorage.getItem(key) ?? "null") as Texts | null;
    return texts !== null && fill(form, texts);
  } catch {
    return false;
  }
}

function told(form: HTMLFormElement, forget: () => void): HTMLElement {
  const note = document.createElement("p");
  note.className = "hint";
  note.textContent = `${say("Begun on this phone and not noted yet.")} `;
  const way = document.createElement("button");
  way.type = "button";
  way.className = "button quiet";
  way.textContent = say("Empty the form");
  way.addEventListener("click", () => {
    forget();
    form.reset(); // as the page had it
    form.querySelector("select, input:not([type=hidden])")?.dispatchEvent(new Event("change")); // and what is noted of that
  });
  note.append(way);
  form.querySelector("input[type=hidden]:last-of-type, h2")?.after(note);
  const fold = form.closest("details");
  if (fold) fold.open = true;
  return note;
}
