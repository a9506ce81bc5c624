const QUIET = 250; // ms without a move before the office is asked

/** A list of values in order becomes a slider; the list stays behind it and is what the form sends. */
function slider(list: HTMLSelectElement): void {
  const knob = list.closest(".knob");
  const label = knob?.querySelector("label");
  if (!knob || !label || list.options.length < 2) return;
  const range = document.createElement("input");
  range.type = "range";
  range.min = "0";
  range.max = String(list.options.length - 1);
  range.value = String(list.selectedIndex);
  range.id = `${list.id}-slider`;
  const now = list.dataset["now"] ?? "";
  const told = document.createElement("output");
  told.htmlFor.add(range.id);
  const tell = () => {
    const words = list.options[list.selectedIndex]?.dataset["words"] ?? "";
    told.textContent = words;
    range.setAttribute("aria-valuetext", words);
    knob.classList.toggle("moved", list.value !== now);
  };
  range.addEventListener("input", () => {
    list.selectedIndex = Number(range.value);
    tell();
    list.dispatchEvent(new Event("change", { bubbles: true }));
  });
  list.hidden = true;
  list.after(range);
  label.htmlFor = range.id;
  label.append(told);
  tell();
}

/** Moves are tried out as they are made; the newest one alone is shown. */
export function tryOut(form: HTMLFormElement): void {
  const come = document.querySelector<HTMLElement>("[data-come]");
  const line = document.querySelector<HTMLElement>("[data-working]");
  const address = form.dataset["whatIf"];
  if (!come || !line || !address) return;
  for (const list of form.querySelectorAll("select")) slider(list);
  let waiting = 0;
  let asked: AbortController | undefined;
  const ask = async () => {
    asked?.abort();
    const mine = (asked = new AbortController());
    come.setAttribute("aria-busy", "true");
    line.textContent = "Working it out…";
    const values = new URLSearchParams();
    for (const list of form.querySelectorAll("select")) {
      if (list.value !== list.dataset["now"]) values.set(list.name, list.value);
    }
    try {
      const answer = await fetch(`${address}?${values}`, { headers: { accept: "text/html" }, signal: mine.signal });
      const text = await answer.text();
      if (!answer.ok) throw new Error(`${answer.status}`);
      come.innerHTML = text;
      line.textContent = "";
      history.replaceState(null, "", values.size ? `?${values}` : location.pathname);
    } catch {
      if (mine.signal.aborted) return;
      line.textContent = "No answer came. Move a slider to try again.";
    }
    come.removeAttribute("aria-busy");
  };
  form.addEventListener("change", () => {
    window.clearTimeout(waiting);
    line.textContent = "Working it out…";
    waiting = window.setTimeout(() => void ask(), QUIET);
  });
}
