// On every page: theme buttons, search while typing, and the service worker that keeps the yard pages.
import { findAsTyped } from "./firm/find";
import { goToLines } from "./firm/lines";
import { leaveClean } from "./offline/leaving";
import { themeButtons } from "./themes";

for (const form of document.querySelectorAll<HTMLFormElement>("form[data-themes]")) themeButtons(form);
for (const form of document.querySelectorAll<HTMLFormElement>("form[data-sign-out]")) leaveClean(form);
for (const form of document.querySelectorAll<HTMLFormElement>("form[data-find]")) findAsTyped(form);
for (const form of document.querySelectorAll<HTMLFormElement>("form[data-lines]")) goToLines(form);

if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/worker.js", { scope: "/" }).catch((error: unknown) => {
    console.warn("Pages are not kept for use without a network:", error);
  });
}
