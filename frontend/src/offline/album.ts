// Photographs: kept on the device until the office has them; each goes as a whole, and once.
import { BrowserDrawer, type Database } from "./drawer";
import { alone, tellOthers } from "./others";
import { OfficeError, formToken } from "./post";

/** An entry of the proof that names the photograph of a checkpoint, as its form has it. */
export type AtCheckpoint = Readonly<{ checkpoint: string; file: string }>;

export interface Photo {
  readonly id: string;
  readonly pin: string;
  readonly note: string;
  readonly picture: Blob;
  /** Its place in the order of taking, whatever the device's clock says; the album gives it. */
  readonly order?: number;
  /** It left the device at least once; the office may have it although no answer came. */
  readonly tried?: true;
  /** Why the office did not take it. */
  readonly refused?: string;
  /** Of a checkpoint after the job: its number, what was named there when it was taken, and when that was. */
  readonly proves?: { readonly checkpoint: string; readonly was: AtCheckpoint | null; readonly made: string };
}

export const MOST = 20_000_000; // what the office takes of one file [bytes]
export const PHOTO = "after.proof.photo"; // the path of an entry that names one

/** What the office will call a photograph. */
export function fileOf({ id, picture, proves }: Photo): string {
  return `${proves ? `checkpoint-${proves.checkpoint}-` : ""}${id}.${picture.type === "image/png" ? "png" : "jpg"}`;
}

/** The photographs of a job that the office does not have yet. */
export class Album {
  private readonly drawer: BrowserDrawer;

  constructor(
    private readonly job: string,
    private readonly database: Database,
  ) {
    this.drawer = new BrowserDrawer(database);
  }

  private get prefix(): string {
    return `photo ${this.job} `;
  }

  async all(): Promise<Photo[]> {
    const range = IDBKeyRange.bound(this.prefix, `${this.prefix}\uffff`);
    const found = (await this.database.getAll("sheets", range)) as Photo[];
    return found.sort((one, other) => (one.order ?? 0) - (other.order ?? 0));
  }

  async keep(photo: Photo): Promise<void> {
    const order = photo.order ?? 1 + Math.max(0, ...(await this.all()).map((one) => one.order ?? 0));
    await this.database.put("sheets", { ...photo, order }, `${this.prefix}${photo.id}`);
    tellOthers();
  }

  async drop(id: string): Promise<void> {
    await this.database.delete("sheets", `${this.prefix}${id}`);
    tellOthers();
  }

  /**
   * Send what waits, one by one; one that the office has from a sending whose answer was lost is not sent again. Of a
   * checkpoint the entry that names it then waits with the others; true where one does.
   */
  async send(): Promise<boolean> {
    // Two pages of one job would each send all: the second waits, and finds nothing left.
    return alone(`album ${this.job}`, () => this.round());
  }

  private async round(): Promise<boolean> {
    const waiting = (await this.all()).filter(({ refused }) => refused === undefined);
    if (!waiting.length) return false;
    const way = `/api/v1/jobs/${encodeURIComponent(this.job)}/attachments`;
    const listed = await fetch(`${way}?archived=true`, { headers: { accept: "application/json" }, cache: "no-store" });
    if (!listed.ok) throw new OfficeError(listed.status);
    const there = ((await listed.json()) as { name: string }[]).map(({ name }) => name);
    let [named, trouble]: [boolean, OfficeError | undefined] = [false, undefined];
    for (const photo of waiting) {
      let name = there.find((one) => one.includes(photo.id));
      if (name === undefined) {
        const note = photo.proves ? `checkpoint ${photo.proves.checkpoint}` : photo.note;
        const query = new URLSearchParams({ name: fileOf(photo), kind: "photo", pin: photo.pin, note });
        const headers = { "content-type": "application/octet-stream", accept: "application/json", "x-form-token": await formToken() };
        if (!photo.tried) await this.keep({ ...photo, tried: true });
        const answer = await fetch(`${way}?${query.toString()}`, { method: "POST", headers, body: photo.picture });
        if (answer.status === 413 || answer.status === 422) {
          const { detail } = (await answer.json()) as { detail?: string };
          await this.keep({ ...photo, refused: detail ?? "It is no picture that can be kept." });
          continue;
        }
        if (!answer.ok) {
          trouble = new OfficeError(answer.status); // the others may go all the same
          continue;
        }
        name = ((await answer.json()) as { attachment: { name: string } }).attachment.name;
      }
      if (photo.proves) {
        const { checkpoint, was, made } = photo.proves;
        // Under the photograph's own id: kept twice it is one entry still.
        await this.drawer.add({ id: photo.id, job: this.job, path: PHOTO, value: { checkpoint, file: name }, was, made, state: "waiting" });
        named = true;
      }
      await this.drop(photo.id);
    }
    if (trouble) throw trouble;
    return named;
  }
}
