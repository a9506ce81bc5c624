/// <reference lib="webworker" />
// The service worker: keeps scripts, styles and yard pages, so that these work without a network.
//
// The server puts `self.KEEP` before this text: what is kept, and a version that changes with any of it.
import { isSlow, isYardPage, pathOf } from "./offline/yard_pages";

declare const self: ServiceWorkerGlobalScope & {
  KEEP: { version: string; assets: readonly string[]; pages: readonly string[] };
};

const SHELL = `shell-${self.KEEP.version}`;
const PAGES = "yard-pages"; // opened before; not thrown away with an old version
const PATIENCE = 4000; // after that a page kept on the device stands in for one that does not come [ms]
const LONGER = 15_000; // for one that is made of a design [ms]

self.addEventListener("install", (event) => {
  event.waitUntil(keepShell().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(self.clients.claim().then(throwOld));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/assets/")) event.respondWith(asset(request));
  else if (request.mode === "navigate") event.respondWith(isYardPage(url.pathname) ? yardPage(request) : otherPage(request));
});

async function keepShell(): Promise<void> {
  const cache = await caches.open(SHELL);
  await cache.addAll([...self.KEEP.assets, ...self.KEEP.pages]);
}

/** Old files go once every page kept here is one that asks for the new ones; a page that cannot be had keeps them. */
async function throwOld(): Promise<void> {
  const pages = await caches.open(PAGES);
  for (const { url } of await pages.keys()) {
    try {
      const fresh = await fetch(url, { credentials: "same-origin", redirect: "manual" });
      if (fresh.ok) await pages.put(pathOf(url), fresh);
      else if (fresh.status === 404 || isRefused(fresh)) await pages.delete(pathOf(url));
      else return;
    } catch {
      return;
    }
  }
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith("shell-") && name !== SHELL).map((name) => caches.delete(name)));
}

/** Assets are named by content: one that is kept is right. */
async function asset(request: Request): Promise<Response> {
  return (await caches.match(request.url)) ?? fetch(request);
}

/** The page from the office where that answers in time; else as it was last seen here. */
async function yardPage(request: Request): Promise<Response> {
  const key = pathOf(request.url);
  const late = new AbortController();
  // Without a page that could stand in there is nothing to hurry for; right after a saving the office is there, and the page
  // of before would tell that nothing was saved.
  const saved = new URL(request.url).searchParams.has("saved");
  const timer = !saved && (await kept(key)) ? setTimeout(() => late.abort(), isSlow(key) ? LONGER : PATIENCE) : undefined;
  try {
    const fresh = await fetch(request.url, { signal: late.signal, credentials: "same-origin", redirect: "manual" });
    if (fresh.ok) await (await caches.open(PAGES)).put(key, fresh.clone());
    if (fresh.status >= 500) return (await kept(key)) ?? fresh;
    // Who may see it no longer (signed out everywhere, gone from the firm) does not see it offline either.
    if (isRefused(fresh)) await (await caches.open(PAGES)).delete(key);
    // A redirect (to sign in, say) is for the browser to follow, which an answer of ours to a navigation may be.
    return fresh;
  } catch {
    return (await kept(key)) ?? offline();
  } finally {
    clearTimeout(timer);
  }
}

/** Sent to sign in, or told no. */
function isRefused(answer: Response): boolean {
  return answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403;
}

async function kept(key: string): Promise<Response | undefined> {
  return (await (await caches.open(PAGES)).match(key)) ?? caches.match(key);
}

async function otherPage(request: Request): Promise<Response> {
  try {
    return await fetch(request);
  } catch {
    return offline();
  }
}

async function offline(): Promise<Response> {
  return (await caches.match("/offline")) ?? Response.error();
}
