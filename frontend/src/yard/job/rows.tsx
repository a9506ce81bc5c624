// One entry in a list: what it says, where it is kept, and the way to take it out.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { YardBook } from "./book";
import { mapping, same } from "./path";

/** Whether an entry is on this phone only. */
export function onPhone(book: YardBook, path: string): boolean {
  const value = book.at(path);
  return book.waiting.some((one) => {
    if (one.value === null) return false;
    const within = one.path === path || path.startsWith(`${one.path}.`) || path.startsWith(`${one.path}[`) || one.path.startsWith(`${path}.`);
    const added = /\[\+[0-9]*\]$/.test(one.path) && path.startsWith(one.path.replace(/\[\+[0-9]*\]$/, "")) && same(one.value as never, value);
    return within || added;
  });
}

export function Row({ book, path, words, note, edit }: { book: YardBook; path: string; words: string; note?: string; edit?: () => void }): JSX.Element {
  const [sure, setSure] = useState(false);
  const told = note ?? mapping(book.at(path))["note"];
  return (
    <li>
      <div>
        <p><strong>{words}</strong></p>
        <p class="where">{told ? `${String(told)} · ` : ""}{onPhone(book, path) ? say("on this phone") : say("sent")}</p>
      </div>
      {sure ? (
        <p class="row-ways whole">
          <button type="button" class="button grave" onClick={() => { setSure(false); void book.set(path, null); }}>{say("Yes, take it out")}</button>
          <button type="button" class="button quiet" onClick={() => setSure(false)}>{say("Keep it")}</button>
        </p>
      ) : (
        <p class="row-ways">
          {edit && <button type="button" class="button quiet" onClick={edit} aria-label={say("Change {what}", { what: words })}>{say("Change")}</button>}
          <button type="button" class="button quiet" onClick={() => setSure(true)} aria-label={say("Take out {what}", { what: words })}>{say("Take out")}</button>
        </p>
      )}
    </li>
  );
}
