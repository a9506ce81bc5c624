/** Sections to open: the address remembers the last one, a way to a place within one opens it, and print has them all. */
export function fold(page: HTMLElement): void {
  const all = (): HTMLDetailsElement[] => [...page.querySelectorAll<HTMLDetailsElement>("details")];
  const own = (one: Element): string => one.closest<HTMLElement>("details.section")?.querySelector(":scope > .section-in")?.id ?? "";
  page.addEventListener("click", (event) => {
    const summary = (event.target as HTMLElement).closest("summary");
    const section = summary?.parentElement;
    if (!(section instanceof HTMLDetailsElement) || !section.classList.contains("section")) return;
    const place = section.open ? own(section.parentElement ?? page) : own(section); // it is about to turn
    history.replaceState(null, "", `${location.pathname}${location.search}${place && `#${place}`}`);
  });
  addEventListener("hashchange", reveal);
  reveal();

  for (const room of page.querySelectorAll<HTMLElement>("[data-open-all]")) {
    const button = room.querySelector("button");
    room.hidden = false;
    button?.addEventListener("click", () => {
      const sections = all().filter((one) => one.classList.contains("section"));
      const open = sections.some((one) => !one.open);
      for (const one of sections) one.open = open;
      button.textContent = open ? "Close all sections" : "Open all sections";
    });
  }

  let opened: HTMLDetailsElement[] = [];
  addEventListener("beforeprint", () => {
    opened = all().filter((one) => !one.open);
    for (const one of opened) one.open = true;
  });
  addEventListener("afterprint", () => {
    for (const one of opened) one.open = false;
    opened = [];
  });
}

/** Where the browser does not do it by itself. */
function reveal(): void {
  const place = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  let shut = false;
  for (let at = place?.parentElement ?? null; at; at = at.parentElement) {
    if (!(at instanceof HTMLDetailsElement) || at.open) continue;
    at.open = shut = true;
  }
  if (shut) place?.scrollIntoView();
}
