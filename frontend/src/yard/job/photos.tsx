// Photos of the yard: taken, pinned by a tap on the sketch, and seen while they wait on the phone.
import { useEffect, useState } from "preact/hooks";
import type { JSX } from "preact";
import { say } from "../../offline/words";
import { MOST, type Photo } from "../../offline/album";
import type { YardBook } from "./book";
import { Field, Told, useDraft } from "./parts";
import { systemOf } from "./reckon";
import { Ground } from "./sketch";

export function Pictures({ book }: { book: YardBook }): JSX.Element {
  const [fields, change, clear] = useDraft(`draft ${book.job} photo`, { pin: "", note: "" });
  const [error, setError] = useState("");
  const take = async (input: HTMLInputElement): Promise<void> => {
    const [picture] = input.files ?? [];
    if (!picture) return;
    if (picture.size > MOST) return setError(say("Found {size} MB; the office takes 20 MB at most. Take it smaller.", { size: (picture.size / 1e6).toFixed(0) }));
    setError("");
    if (await book.takePhoto({ id: crypto.randomUUID(), pin: (fields["pin"] ?? "").trim(), note: (fields["note"] ?? "").trim(), picture })) clear();
    input.value = "";
  };
  return (
    <section>
      <h2>{say("Photos")}</h2>
      <Field id="photo-pin" label={say("What it belongs to")} hint={say("Tap the sketch where it was taken; or a point or a wall in words, like W1 or “north wall”.")} value={fields["pin"] ?? ""} reads="words" system={systemOf(book.record)} change={(pin) => change({ pin })} />
      <Ground book={book} chosen={fields["pin"] ?? ""} choose={(pin) => change({ pin })} place={(pin) => change({ pin })} />
      <Field id="photo-note" label={say("Note")} value={fields["note"] ?? ""} reads="words" system={systemOf(book.record)} change={(note) => change({ note })} />
      <div class="entry">
        <label for="photo-file">{say("Take a photo")}</label>
        <input id="photo-file" type="file" accept="image/*" capture="environment" onChange={(event) => void take(event.currentTarget)} />
        {error && <p class="error">{error}</p>}
      </div>
      {book.photos.length === 0 ? <p>{say("No photo waits on this phone.")}</p> : <ol class="entries">{book.photos.map((one) => <li key={one.id}><Picture book={book} photo={one} /></li>)}</ol>}
    </section>
  );
}

function Picture({ book, photo }: { book: YardBook; photo: Photo }): JSX.Element {
  const [address, setAddress] = useState("");
  useEffect(() => {
    const made = URL.createObjectURL(photo.picture);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [photo.picture]);
  return (
    <div class="whole">
      {address && <img class="photo" src={address} alt={photo.note || photo.pin || say("Photo on this phone")} />}
      <p>{[photo.proves ? say("checkpoint {n}", { n: photo.proves.checkpoint }) : "", photo.pin, photo.note].filter(Boolean).join(": ")}</p>
      <p class="where">{say("on this phone")}</p>
      {photo.refused && <Told kind="fails" title={say("Not taken by the office")}>{photo.refused}</Told>}
      <p class="row-ways"><button type="button" class="button grave" onClick={() => void book.dropPhoto(photo.id)}>{say("Throw this photo away")}</button></p>
    </div>
  );
}
