// On every page: theme buttons, and the service worker that keeps the yard pages.
import { themeButtons } from "./themes";

for (const form of document.querySelectorAll<HTMLFormElement>("form[data-themes]")) themeButtons(form);

if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/worker.js", { scope: "/" }).catch((error: unknown) => {
    console.warn("Pages are not kept for use without a network:", error);
  });
}
