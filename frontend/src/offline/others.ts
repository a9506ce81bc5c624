// Pages of this app that are open beside each other on one device: what one keeps the others hear of, and they take turns.

const PAUSE = 60; // many changes at once are looked at once [ms]
const PATIENCE = 10_000; // a page that hangs is not waited for longer [ms]

let known: BroadcastChannel | undefined;

function channel(): BroadcastChannel | undefined {
  if (typeof BroadcastChannel === "undefined") return undefined;
  known ??= new BroadcastChannel("drainwright");
  return known;
}

/** Tell the other pages that something was kept or dropped. */
export function tellOthers(): void {
  channel()?.postMessage("changed");
}

/** Hear that another page changed what is kept; or that this one was shown again after it stood aside. */
export function hearOthers(changed: () => void): void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const soon = (): void => {
    clearTimeout(timer);
    timer = setTimeout(changed, PAUSE);
  };
  channel()?.addEventListener("message", soon);
  window.addEventListener("pageshow", ({ persisted }) => (persisted ? soon() : undefined));
}

/** Do work that no other page does at the same time. It must do no harm done twice: a page that hangs keeps nobody waiting. */
export async function alone<T>(name: string, work: () => Promise<T>): Promise<T> {
  if (!("locks" in navigator)) return work();
  let begun = false;
  try {
    return await navigator.locks.request(name, { signal: AbortSignal.timeout(PATIENCE) }, () => {
      begun = true;
      return work();
    });
  } catch (error) {
    if (begun) throw error;
    return work();
  }
}
