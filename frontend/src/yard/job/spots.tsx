// The sketch as a page of its own: all that is fixed so far; a tap chooses a point, and what is noted of it there.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import type { YardBook } from "./book";
import { list, mapping, text } from "./path";
import { putDraft } from "./parts";
import { Ground } from "./sketch";

export function Spots({ book }: { book: YardBook }): JSX.Element {
  const [chosen, setChosen] = useState("");
  const seen = list(book.at("symptoms")).map(mapping).filter((one) => text(one["where"]).replace(/^at /, "") === chosen);
  const photos = book.photos.filter(({ pin }) => pin === chosen);
  const note = text(mapping(list(book.at("survey.points")).find((one) => mapping(one)["name"] === chosen) ?? null)["note"]);
  const go = (part: string, draft: string, fields: { readonly [key: string]: string }): void => {
    putDraft(`draft ${book.job} ${draft}`, fields);
    location.hash = part;
  };
  return (
    <section>
      <h2>{say("Sketch")}</h2>
      <Ground book={book} chosen={chosen} choose={setChosen} place={setChosen} />
      {chosen && (
        <>
          {(note || seen.length > 0 || photos.length > 0) && (
            <ul class="plain">
              {note && <li>{note}</li>}
              {seen.map((one, n) => <li key={n}>{say("Seen: {what}", { what: text(one["what"]) })}</li>)}
              {photos.map(({ id, note: words }) => <li key={id}>{say("Photo on this phone")}{words ? `: ${words}` : ""}</li>)}
            </ul>
          )}
          <p class="row-ways">
            {!chosen.includes(",") && <button type="button" class="button" onClick={() => go("levels", "reading", { point: chosen })}>{say("Shot at {point}", { point: chosen })}</button>}
            <button type="button" class="button quiet" onClick={() => go("signs", "seen", { where: `at ${chosen}` })}>{say("What is seen here")}</button>
            <button type="button" class="button quiet" onClick={() => go("photos", "photo", { pin: chosen })}>{say("Photo here")}</button>
          </p>
        </>
      )}
      <p class="hint">{say("A square is a corner of the walk, a full round a point with its level, an empty one a point without; a lozenge is a photo on this phone, or what is seen.")}</p>
    </section>
  );
}
