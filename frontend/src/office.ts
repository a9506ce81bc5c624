// On every page: theme buttons, search while typing, the page that is read among the others, and the service worker that keeps the yard pages.
import { findAsTyped } from "./firm/find";
import { goToLines } from "./firm/lines";
import { leaveClean } from "./offline/leaving";
import { themeButtons } from "./themes";

for (const form of document.querySelectorAll<HTMLFormElement>("form[data-themes]")) themeButtons(form);
for (const form of document.querySelectorAll<HTMLFormElement>("form[data-sign-out]")) leaveClean(form);
for (const form of document.querySelectorAll<HTMLFormElement>("form[data-find]")) findAsTyped(form);
for (const form of document.querySelectorAll<HTMLFormElement>("form[data-lines]")) goToLines(form);

// A row of pages that is wider than the screen shows the page that is read.
for (const here of document.querySelectorAll<HTMLElement>(".leaves [aria-current], .sheets [aria-current]")) {
  const row = here.closest("ul");
  if (row) row.scrollLeft += here.getBoundingClientRect().left - row.getBoundingClientRect().left - (row.clientWidth - here.offsetWidth) / 2;
}

if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/worker.js", { scope: "/" }).catch((error: unknown) => {
    console.warn("Pages are not kept for use without a network:", error);
  });
}
