// Photos: kept on the phone until the office has them; each goes as a whole, and once.
import { useEffect, useState } from "preact/hooks";
import type { JSX } from "preact";
import type { Database } from "../../offline/drawer";
import { formToken } from "../../offline/post";
import type { YardBook } from "./book";
import { Field, Told, useDraft } from "./parts";
import { systemOf } from "./reckon";
import { Ground } from "./sketch";

export interface Photo {
  readonly id: string;
  readonly pin: string;
  readonly note: string;
  readonly picture: Blob;
  /** Why the office did not take it. */
  readonly refused?: string;
}

const MOST = 20_000_000; // what the office takes of one file [bytes]

/** The photos of a job that the office does not have yet. */
export class Photos {
  constructor(
    private readonly job: string,
    private readonly database: Database,
  ) {}

  private get prefix(): string {
    return `photo ${this.job} `;
  }

  async all(): Promise<Photo[]> {
    const range = IDBKeyRange.bound(this.prefix, `${this.prefix}\uffff`);
    return (await this.database.getAll("sheets", range)) as Photo[];
  }

  async keep(photo: Photo): Promise<void> {
    await this.database.put("sheets", photo, `${this.prefix}${photo.id}`);
  }

  async drop(id: string): Promise<void> {
    await this.database.delete("sheets", `${this.prefix}${id}`);
  }

  /** Send what waits, one by one; one that the office has from a sending whose answer was lost is not sent again. */
  async send(): Promise<void> {
    const waiting = (await this.all()).filter(({ refused }) => refused === undefined);
    if (!waiting.length) return;
    const way = `/api/v1/jobs/${encodeURIComponent(this.job)}/attachments`;
    const listed = await fetch(`${way}?archived=true`, { headers: { accept: "application/json" }, cache: "no-store" });
    if (!listed.ok) throw new Error(`the office answers ${listed.status}`);
    const there = ((await listed.json()) as { name: string }[]).map(({ name }) => name);
    for (const photo of waiting) {
      if (!there.some((name) => name.startsWith(photo.id))) {
        const query = new URLSearchParams({ name: `${photo.id}.jpg`, kind: "photo", pin: photo.pin, note: photo.note });
        const headers = { "content-type": "application/octet-stream", accept: "application/json", "x-form-token": await formToken() };
        const answer = await fetch(`${way}?${query.toString()}`, { method: "POST", headers, body: photo.picture });
        if (answer.status === 413 || answer.status === 422) {
          const { detail } = (await answer.json()) as { detail?: string };
          await this.keep({ ...photo, refused: detail ?? "It is no picture that can be kept." });
          continue;
        }
        if (!answer.ok) throw new Error(`the office answers ${answer.status}`);
      }
      await this.drop(photo.id);
    }
  }
}

export function Pictures({ book }: { book: YardBook }): JSX.Element {
  const [fields, change, clear] = useDraft(`draft ${book.job} photo`, { pin: "", note: "" });
  const [error, setError] = useState("");
  const take = async (input: HTMLInputElement): Promise<void> => {
    const [picture] = input.files ?? [];
    if (!picture) return;
    if (picture.size > MOST) return setError(`Found ${(picture.size / 1e6).toFixed(0)} MB; the office takes 20 MB at most. Take it smaller.`);
    setError("");
    if (await book.takePhoto({ id: crypto.randomUUID(), pin: (fields["pin"] ?? "").trim(), note: (fields["note"] ?? "").trim(), picture })) clear();
    input.value = "";
  };
  return (
    <section>
      <h2>Photos</h2>
      <Field id="photo-pin" label="What it belongs to" hint="Tap the sketch where it was taken; or a point or a wall in words, like W1 or “north wall”." value={fields["pin"] ?? ""} reads="words" system={systemOf(book.record)} change={(pin) => change({ pin })} />
      <Ground book={book} chosen={fields["pin"] ?? ""} choose={(pin) => change({ pin })} place={(pin) => change({ pin })} />
      <Field id="photo-note" label="Note" value={fields["note"] ?? ""} reads="words" system={systemOf(book.record)} change={(note) => change({ note })} />
      <div class="entry">
        <label for="photo-file">Take a photo</label>
        <input id="photo-file" type="file" accept="image/*" capture="environment" onChange={(event) => void take(event.currentTarget)} />
        {error && <p class="error">{error}</p>}
      </div>
      {book.photos.length === 0 ? <p>No photo waits on this phone.</p> : <ol class="entries">{book.photos.map((one) => <li key={one.id}><Picture book={book} photo={one} /></li>)}</ol>}
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
      {address && <img class="photo" src={address} alt={photo.note || photo.pin || "Photo on this phone"} />}
      <p>{[photo.pin, photo.note].filter(Boolean).join(": ")}</p>
      <p class="where">on this phone</p>
      {photo.refused && <Told kind="fails" title="Not taken by the office">{photo.refused}</Told>}
      <p class="row-ways"><button type="button" class="button grave" onClick={() => void book.dropPhoto(photo.id)}>Throw this photo away</button></p>
    </div>
  );
}
