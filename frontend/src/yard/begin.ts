// On the yard book: begin a job on this device, and see which wait for the office.
import { allBegun, begin, giveToOffice, wayTo, type First } from "../offline/beginning";
import { openDatabase, type Database } from "../offline/drawer";

async function show(database: Database, list: HTMLElement): Promise<void> {
  const waiting = await allBegun(database);
  list.replaceChildren(
    ...waiting.map(({ id, first }) => {
      const item = document.createElement("li");
      const link = document.createElement("a");
      link.href = wayTo(id);
      link.textContent = first.title;
      item.append(link, " waits for a signal");
      return item;
    }),
  );
}

async function send(database: Database, list: HTMLElement, trouble: HTMLElement): Promise<void> {
  for (const begun of await allBegun(database)) {
    try {
      await giveToOffice(database, begun);
    } catch (error) {
      trouble.textContent = navigator.onLine ? `${begun.first.title} is not in the office yet: ${error instanceof Error ? error.message : String(error)}` : "";
      break;
    }
  }
  await show(database, list);
}

async function start(form: HTMLFormElement, list: HTMLElement, trouble: HTMLElement): Promise<void> {
  const database = await openDatabase();
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const typed = new FormData(form);
    const text = (name: string): string => String(typed.get(name) ?? "").trim().replace(/\s+/g, " ");
    if (!text("title")) {
      trouble.textContent = "Found nothing; expected a few words by which the job is known.";
      form.querySelector<HTMLInputElement>("#begin-title")?.focus();
      return;
    }
    const first: First = { title: text("title"), address: text("address"), units: text("units") === "SI" ? "SI" : "US" };
    begin(database, first).then(
      ({ id }) => location.assign(wayTo(id)),
      () => {
        trouble.textContent = "This phone keeps nothing: what you typed is still in the fields. Make room, or use another browser.";
      },
    );
  });
  addEventListener("online", () => void send(database, list, trouble));
  await send(database, list, trouble);
}

const form = document.querySelector<HTMLFormElement>("#begin-job");
const list = document.getElementById("begun-jobs");
const trouble = document.getElementById("begin-trouble");
if (form && list && trouble) void start(form, list, trouble);
