// A job's record on this device: as the office last had it, and over that what was typed here and is not there yet.
import { Album, type Photo } from "../../offline/album";
import { baseOf, keepBase, ofJob, putUnder, sentOf, type Base, type Sent } from "../../offline/base";
import { begunHere, giveToOffice, type First } from "../../offline/beginning";
import { BrowserDrawer, type Database } from "../../offline/drawer";
import type { Kept, Operation } from "../../offline/operation";
import { alone, hearOthers } from "../../offline/others";
import { postToOffice } from "../../offline/post";
import { Queue, type Against } from "../../offline/queue";
import { say } from "../../offline/words";
import { changed, list, same, standing, type Json } from "./path";

/** What is still to be measured, as the office saw it. */
export interface Still {
  readonly at: string;
  readonly revision: number;
  readonly missing: readonly string[];
}

const EMPTY: Base = { revision: 0, record: {}, at: "" };
const PAUSE = 700; // after the last typing, before it is sent [ms]

export class YardBook {
  base: Base = EMPTY;
  record: Json = {};
  kept: readonly Kept[] = [];
  still: Still | null = null;
  photos: readonly Photo[] = [];
  trouble = "";
  /** What became of the last undoing. */
  undone = "";
  sending = false;
  reached: boolean | null = null;
  /** Whether the office asks who this is: the session ended, or was ended. */
  signedOut = false;
  /** Whether the office was asked and has no such job, or none for who asks. */
  none = false;
  /** Whether the job began here, and the office does not have it yet. */
  begun = false;
  private sent: readonly Sent[] = [];
  private readonly album: Album;
  private readonly queue: Queue;
  private readonly listeners = new Set<() => void>();
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    readonly job: string,
    private readonly database: Database,
  ) {
    this.album = new Album(job, database);
    this.queue = new Queue(new BrowserDrawer(database), async (id, operations) => {
      const answers = await postToOffice(id, operations);
      await putUnder(this.database, id, await this.queue.all(id), operations, answers, this.base);
      return answers;
    });
  }

  async open(): Promise<void> {
    const begun = await begunHere(this.database, this.job);
    const here = begun ? { revision: 0, record: recordOf(begun.first), at: begun.at } : EMPTY;
    this.base = here;
    this.still = ((await this.database.get("sheets", `still ${this.job}`)) as Still | undefined) ?? null;
    await this.look();
    hearOthers(() => void this.look());
    addEventListener("online", () => void this.send());
    addEventListener("offline", () => this.told());
    await this.send();
  }

  /** Be told of every change; gives the way to stop. */
  watch(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Whether there is anything to work on: a job that was opened with a network once. */
  get known(): boolean {
    return this.base.at !== "";
  }

  get waiting(): readonly Kept[] {
    return this.kept.filter((one) => one.state === "waiting");
  }

  get unsettled(): readonly Kept[] {
    return this.kept.filter((one) => one.state !== "waiting");
  }

  at(path: string): Json {
    return standing(this.record, path);
  }

  /** Put a value at a path; null takes it out. False where this device cannot keep it: it then stands nowhere. */
  async set(path: string, value: Json): Promise<boolean> {
    const was = this.at(path);
    if (same(was, value)) return true;
    try {
      await this.queue.add(this.job, path, value, was);
      this.trouble = "";
      this.undone = "";
    } catch (error) {
      this.trouble = refusal(error);
      this.told();
      return false;
    }
    await this.look();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.send(), PAUSE);
    return true;
  }

  /** Undo the last entry: where the office may have it, by an entry of its own. */
  async undo(): Promise<void> {
    const last = this.last;
    if (!last) return;
    const known = !this.waiting.some(({ id }) => id === last.id);
    try {
      const done = await this.queue.undo(last, this.against(last));
      this.undone = last.value === null && done === "followed" ? say("An entry of its own puts it back.") : done === "gone" ? say("Taken back: it never left this phone.") : known ? say("The office has it: an entry of its own takes it out again.") : say("The office may have it: an entry of its own takes it out again.");
      this.trouble = "";
    } catch (error) {
      this.trouble = refusal(error);
    }
    await this.look();
    void this.send();
  }

  /** The last entry that can be undone and was not, whether the office has it or not. */
  get last(): Operation | undefined {
    const all = [...this.sent, ...this.waiting.filter(ofJob)];
    const gone = new Set(all.map(({ undoes }) => undoes));
    const last = all.filter(({ id, undoes }) => !undoes && !gone.has(id)).at(-1);
    const here = this.waiting.some(({ id, tried }) => id === last?.id && !tried);
    return last && (here || this.follows(last)) ? last : undefined;
  }

  /** Whether the last entry never left this phone. */
  get lastIsHere(): boolean {
    const id = this.last?.id;
    return this.waiting.some((one) => one.id === id && !one.tried);
  }

  /** Whether an entry that the office may have can be taken back by another: what stands there is still what it put there. */
  private follows(one: Operation): boolean {
    return same(this.at(this.against(one).path), one.value as Json);
  }

  private against({ path, value, was }: Operation): Against {
    // A row that was taken out comes back before the one that has its number now.
    if (value === null) return { path: path.replace(/\[([0-9]+)\]$/, "[+$1]"), value: was };
    if (!path.endsWith("[+]")) return { path, value: was };
    const rows = list(this.at(path.slice(0, -3)));
    return { path: `${path.slice(0, -3)}[${rows.map((row) => same(row, value as Json)).lastIndexOf(true)}]`, value: null };
  }

  async settle(one: Kept, keep: "theirs" | "mine" | "both"): Promise<void> {
    if (keep === "both") await this.queue.add(this.job, one.path.replace(/\[[0-9]+\]$/, "[+]"), one.value, null);
    await this.queue.settle(one.id, this.job, keep === "mine" ? "mine" : "theirs");
    await this.look();
    await this.send();
  }

  /** Keep a photo; false where this device cannot. */
  async takePhoto(photo: Photo): Promise<boolean> {
    try {
      await this.album.keep(photo);
      this.trouble = "";
    } catch (error) {
      this.trouble = refusal(error);
      this.told();
      return false;
    }
    await this.look();
    void this.send();
    return true;
  }

  async dropPhoto(id: string): Promise<void> {
    await this.album.drop(id);
    await this.look();
  }

  /** Send what waits, then look at what the office has. */
  async send(): Promise<void> {
    if (this.sending) return;
    clearTimeout(this.timer);
    this.sending = true;
    this.told();
    await alone(`yard ${this.job}`, () => this.round());
  }

  private async round(): Promise<void> {
    try {
      await this.look(); // another page may have sent it meanwhile
      const begun = await begunHere(this.database, this.job);
      if (begun) {
        await giveToOffice(this.database, begun); // before all that was typed of it
        this.trouble = "";
      }
      if (this.waiting.length) {
        const sent = await this.queue.send(this.job);
        this.reached = sent.stopped === undefined;
        if (sent.stopped !== undefined) this.signedOut = sent.status === 401;
      }
      if (this.reached !== false || !this.waiting.length) await this.fetch();
      if (this.reached && (await this.album.send())) this.reached = (await this.queue.send(this.job)).stopped === undefined;
    } catch (error) {
      this.reached = false;
      // The office was there and said no: it is told why. Where there is no network nothing is amiss.
      if (navigator.onLine && error instanceof Error && !(error instanceof TypeError) && (await begunHere(this.database, this.job))) this.trouble = say("The office does not take this job yet: {why}", { why: error.message });
    } finally {
      this.sending = false;
      await this.look();
      // What was typed meanwhile goes too; what the office gave no answer to waits for the next occasion.
      if (this.reached && this.waiting.some((one) => !one.tried)) this.timer = setTimeout(() => void this.send(), PAUSE);
    }
  }

  /** Ask the office what is still to be measured; without a network the last answer stands. */
  async ask(): Promise<void> {
    try {
      const answer = await fetch(`/api/v1/jobs/${encodeURIComponent(this.job)}/yard/still`, { headers: { accept: "application/json" } });
      if (!answer.ok) return void (await answer.text()); // read, so that the request ends
      const { revision, missing } = (await answer.json()) as { revision: number; missing: string[] };
      this.still = { revision, missing, at: new Date().toISOString() };
      await this.database.put("sheets", this.still, `still ${this.job}`);
    } catch {
      this.reached = false;
    }
    this.told();
  }

  private async fetch(): Promise<void> {
    const answer = await fetch(`/api/v1/jobs/${encodeURIComponent(this.job)}/yard`, {
      headers: { accept: "application/json" },
      cache: "no-store",
    });
    this.none = answer.status === 404;
    this.reached = answer.ok || this.none;
    this.signedOut = answer.status === 401;
    if (!answer.ok) {
      await answer.text(); // read, so that the request ends
      if (this.none) return;
      throw new Error(`the office answers ${answer.status}`);
    }
    const { revision, record } = (await answer.json()) as { revision: number; record: Json };
    this.base = { revision, record, at: new Date().toISOString() };
    await keepBase(this.database, this.job, this.base);
  }

  /** Look at what is kept, by this page or another one. */
  private async look(): Promise<void> {
    this.base = (await baseOf(this.database, this.job)) ?? this.base;
    this.sent = await sentOf(this.database, this.job);
    this.kept = await this.queue.all(this.job);
    this.photos = await this.album.all();
    this.begun = (await begunHere(this.database, this.job)) !== undefined;
    this.record = this.base.record;
    for (const { path, value } of this.waiting.filter(ofJob)) this.record = changed(this.record, path, value as Json);
    this.told();
  }

  private told(): void {
    for (const listener of this.listeners) listener();
  }
}

/** A job that began here, as the office will have it as far as the yard asks. */
function recordOf({ title, address, units }: First): Json {
  return { schema_version: 1, title, units, ...(address ? { property: { address } } : {}) };
}

function refusal(error: unknown): string {
  const full = error instanceof DOMException && error.name === "QuotaExceededError";
  return full
    ? say("This phone has no room left. What you just typed is still in the fields; make room, then press the button again.")
    : say("This phone's browser refuses to keep anything. What you just typed is still in the fields; write it on paper too.");
}
