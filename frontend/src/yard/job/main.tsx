// The yard pages of a job: opened once with a network, they work without one.
import { render } from "preact";
import { say } from "../../offline/words";
import { openDatabase } from "../../offline/drawer";
import { YardBook } from "./book";
import { NotHere, Yard } from "./pages";

const root = document.getElementById("yard-job");
const job = root?.dataset["begun"] === undefined ? root?.dataset["job"] : (new URLSearchParams(location.search).get("job") ?? undefined);

async function begin(place: HTMLElement, id: string): Promise<void> {
  const book = new YardBook(id, await openDatabase());
  place.replaceChildren();
  render(<Yard book={book} />, place);
  const head = document.getElementById("begun-title");
  book.watch(() => {
    if (head) head.textContent = String(book.at("title") ?? "");
  });
  await book.open();
  // Ask the browser not to throw away what is kept here when the phone gets full; it may say no.
  void navigator.storage?.persist?.();
  if (!location.hash && book.known && !book.none) await book.ask();
}

if (root && job) {
  begin(root, job).catch(() => {
    root.textContent =
      say("This browser keeps nothing for pages, so entries could be lost without a signal. Leave private browsing, or use another browser.");
  });
} else if (root) {
  root.replaceChildren();
  render(<NotHere>{say("No job is named in this address.")}</NotHere>, root);
}
