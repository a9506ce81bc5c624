// At sign-out: what the office showed goes from this device. What was not sent stays, and is told before.
import { openDatabase, type Database } from "./drawer";

/** Kept by the service worker under this name (worker.ts). */
export const PAGES = "yard-pages";

/** What the office told of a job, as the yard's pages keep it; all else on the device was typed here. */
function isOffices(key: string): boolean {
  return /^(?:record|sent|still) /.test(key);
}

/** How many entries and photos on this device the office does not have. */
export async function unsent(database: Database): Promise<number> {
  const photos = await database.count("sheets", IDBKeyRange.bound("photo ", "photo \uffff"));
  const begun = await database.count("sheets", IDBKeyRange.bound("begun ", "begun \uffff"));
  return photos + begun + (await database.count("operations"));
}

/** Forget what the office showed: its pages and its records of jobs. Entries typed here are left alone. */
export async function forgetShown(database: Database): Promise<void> {
  await caches.delete(PAGES);
  const change = database.transaction("sheets", "readwrite");
  for (const key of await change.store.getAllKeys()) {
    if (isOffices(key)) await change.store.delete(key);
  }
  await change.done;
}

/** Ask before signing out where entries wait; then forget what was shown, and sign out. */
export function leaveClean(form: HTMLFormElement): void {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void leave(form);
  });
}

async function leave(form: HTMLFormElement): Promise<void> {
  try {
    const database = await openDatabase();
    try {
      const waiting = await unsent(database);
      if (waiting > 0 && !(await goesAllTheSame(waiting))) return;
      await forgetShown(database);
    } finally {
      database.close();
    }
  } catch (error) {
    await caches.delete(PAGES).catch(() => false);
    console.warn("Not all that was shown could be forgotten:", error);
  }
  form.submit();
}

/** Tell that entries wait; true where the person signs out all the same. */
function goesAllTheSame(waiting: number): Promise<boolean> {
  const dialog = document.createElement("dialog");
  const head = document.createElement("h2");
  head.id = "unsent";
  head.textContent = waiting === 1 ? "1 entry was not sent" : `${waiting} entries were not sent`;
  dialog.setAttribute("aria-labelledby", head.id);
  const words = document.createElement("p");
  words.textContent =
    "They stay on this device, and go to the office when somebody of your firm signs in here again, under that name. " +
    "To send them as yours, stay signed in until there is a network.";
  const ways = document.createElement("form");
  ways.method = "dialog";
  ways.className = "row-ways";
  for (const [value, label, kind] of [["stay", "Stay signed in", "button"], ["go", "Sign out all the same", "button grave"]] as const) {
    const button = document.createElement("button");
    button.value = value;
    button.textContent = label;
    button.className = kind;
    ways.append(button);
  }
  dialog.append(head, words, ways);
  document.body.append(dialog);
  dialog.showModal();
  return new Promise((settle) => {
    dialog.addEventListener("close", () => {
      dialog.remove();
      settle(dialog.returnValue === "go");
    });
  });
}
