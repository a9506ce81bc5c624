// Entries after the job in the queue of the yard's pages: kept on the device until the office has answered each.
import { Album, MOST, fileOf, type AtCheckpoint, type Photo } from "../offline/album";
import { putUnder } from "../offline/base";
import { BrowserDrawer, openDatabase, type Database } from "../offline/drawer";
import { readAnswer, type Kept } from "../offline/operation";
import { alone, hearOthers } from "../offline/others";
import { OfficeError, postToOffice } from "../offline/post";
import { Queue } from "../offline/queue";
import { say } from "../offline/words";
import { keepBegun } from "./begun";
import { empty, fill, keyOf, typedIn, wordsOf, type Part, type Texts } from "./forms";

class Waiting {
  private readonly queue: Queue;
  private readonly job: string;
  private readonly record: string;
  private readonly parts: Readonly<Record<string, Part>>;
  private readonly album: Album;
  private kept: readonly Kept[] = [];
  private photos: readonly Photo[] = []; // of checkpoints
  private readonly shown: string[] = []; // addresses of the pictures on the page
  private signedOut = false;
  private readonly begun = new Map<HTMLFormElement, () => void>(); // ways to forget what was begun in a form
  private saving = 0; // number of the last saving that has an entry from here

  constructor(
    private readonly place: HTMLElement,
    database: Database,
  ) {
    this.job = place.dataset["job"] ?? "";
    this.record = place.dataset["after"] ?? "";
    this.parts = JSON.parse(place.dataset["parts"] ?? "{}") as Record<string, Part>;
    this.album = new Album(this.job, database);
    this.queue = new Queue(new BrowserDrawer(database), async (job, operations) => {
      const answers = await postToOffice(job, operations);
      await putUnder(database, job, await this.queue.all(job), operations, answers); // those of the yard wait in the same queue
      const mine = new Set(operations.filter(({ path }) => path.startsWith(this.way(""))).map(({ id }) => id));
      for (const answer of answers.map(readAnswer)) if (answer?.state === "applied" && mine.has(answer.id)) this.saving = Math.max(this.saving, answer.revision);
      return answers;
    });
  }

  async open(): Promise<void> {
    await this.look();
    for (const form of document.querySelectorAll<HTMLFormElement>("form[data-typed]")) this.watch(form);
    for (const form of document.querySelectorAll<HTMLFormElement>("form[data-out]")) form.addEventListener("submit", (event) => void this.takenOut(event, form));
    for (const way of document.querySelectorAll<HTMLAnchorElement>("a[data-change]")) way.addEventListener("click", (event) => this.changes(event, way));
    for (const form of document.querySelectorAll<HTMLFormElement>("form[data-photo]")) form.addEventListener("submit", (event) => void this.taken(event, form));
    addEventListener("online", () => void this.send());
    hearOthers(() => void this.look());
    if (this.waiting.length || this.photos.length) await this.send();
  }

  private way(part: string): string {
    return `after.${this.record}.${part}`;
  }

  private partOf(one: Kept): [string, Part] {
    const name = one.path.slice(this.way("").length);
    return [name, this.parts[name] ?? { names: [], title: name, labels: {} }];
  }

  private get mine(): readonly Kept[] {
    return this.kept.filter(({ path }) => path.startsWith(this.way("")));
  }

  private get waiting(): readonly Kept[] {
    return this.mine.filter(({ state }) => state === "waiting");
  }

  /** An entry as it stands with what waits here; null where there is none. */
  private standing(name: string, texts: Texts): Texts | null {
    const part = this.parts[name];
    if (!part) return null;
    const key = keyOf(part, texts);
    const last = this.waiting.filter((one) => one.path === this.way(name) && keyOf(part, (one.value ?? one.was) as Texts) === key).at(-1);
    if (last) return last.value as Texts | null;
    const noted = [...document.querySelectorAll<HTMLElement>("[data-part], form[data-texts]")].filter((one) => (one.dataset["part"] ?? one.dataset["typed"]) === name);
    return noted.map((one) => JSON.parse(one.dataset["texts"] ?? "{}") as Texts).find((one) => keyOf(part, one) === key) ?? null;
  }

  /** A form opens with what was noted of the thing that it names, and is emptied where the next one has nothing. */
  private watch(form: HTMLFormElement): void {
    const name = form.dataset["typed"] ?? "";
    const part = this.parts[name];
    if (!part) return;
    let loaded = false;
    const follow = (): void => {
      const there = this.standing(name, typedIn(form));
      if (there && fill(form, there)) loaded = true;
      else if (loaded) {
        empty(form, part);
        loaded = false;
      }
    };
    if (form.dataset["filled"] === undefined) {
      this.today(form, name);
      follow();
    } else loaded = true;
    for (const field of part.names) form.querySelector<HTMLElement>(`[name="${field}"]`)?.addEventListener("change", follow);
    // A form that the office filled with a certain entry is of that, and of none that was begun.
    if (form.dataset["filled"] === undefined) this.begun.set(form, keepBegun(form, `draft ${this.job} ${this.way(name)}`));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.add(form, name, typedIn(form), false);
    });
  }

  /**
   * The day that stands in a form is the office's, of when it made the page: a page kept here tells an old one. It becomes
   * this phone's where that is later, and is told, for either clock may be wrong.
   */
  private today(form: HTMLFormElement, name: string): void {
    const office = this.place.dataset["day"] ?? "";
    const field = name === "visit" || name === "signed" ? form.querySelector<HTMLInputElement>("[name=on]") : null;
    const now = new Date();
    const phone = [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
    if (!field || !office || field.value !== office || phone === office) return;
    if (phone > office) field.value = field.defaultValue = phone;
    const words = made("p", say("This phone says it is {phone}; the office said {office} when this page came. See that the day is right.", { phone, office }));
    words.className = "hint";
    words.id = `${field.id}-days`;
    field.setAttribute("aria-describedby", `${field.getAttribute("aria-describedby") ?? ""} ${words.id}`.trim());
    field.before(words);
  }

  private async takenOut(event: SubmitEvent, form: HTMLFormElement): Promise<void> {
    event.preventDefault();
    const entry = form.closest<HTMLElement>("[data-part]");
    if (entry) await this.add(form, entry.dataset["part"] ?? "", JSON.parse(entry.dataset["texts"] ?? "{}") as Texts, true);
  }

  /** A photograph of a checkpoint is kept here, and goes with the others. */
  private async taken(event: SubmitEvent, form: HTMLFormElement): Promise<void> {
    event.preventDefault();
    const [input, choice] = [form.querySelector<HTMLInputElement>("input[type=file]"), form.querySelector<HTMLSelectElement>("select")];
    const picture = input?.files?.[0];
    const checkpoint = choice?.value ?? "";
    if (!picture) return this.wrong(form, say("Found no picture; expected a photograph (JPEG, PNG or WebP)."));
    if (picture.size > MOST) return this.wrong(form, say("Found {size} MB; the office takes 20 MB at most. Take it smaller.", { size: (picture.size / 1e6).toFixed(0) }));
    const last = this.photos.filter(({ proves, refused }) => proves?.checkpoint === checkpoint && refused === undefined).at(-1);
    const was = last ? { checkpoint, file: fileOf(last) } : (this.standing("photo", { checkpoint }) as AtCheckpoint | null);
    try {
      await this.album.keep({ id: crypto.randomUUID(), pin: "", note: "", picture, proves: { checkpoint, was, made: new Date().toISOString() } });
    } catch {
      return this.unkept(form);
    }
    form.querySelector(".error")?.remove();
    if (input) input.value = "";
    await this.look();
    await this.send();
    this.place.scrollIntoView({ block: "center" });
  }

  /** This device keeps nothing: with a signal the form goes by itself; without one what was typed stays in it. */
  private unkept(form: HTMLFormElement): void {
    if (navigator.onLine) {
      this.begun.get(form)?.();
      form.submit();
    } else this.wrong(form, say("This phone has no room left, and there is no signal. It still stands in the form: make room, or wait for a signal, then press the button again."));
  }

  private wrong(form: HTMLFormElement, words: string): void {
    form.querySelector(".error")?.remove();
    const error = made("p", words);
    error.className = "error";
    error.setAttribute("role", "alert");
    form.querySelector(".row-ways")?.before(error);
  }

  private changes(event: MouseEvent, way: HTMLAnchorElement): void {
    const entry = way.closest<HTMLElement>("[data-part]");
    const name = entry?.dataset["part"] ?? "";
    const form = document.querySelector<HTMLFormElement>(`form[data-typed="${name}"]`);
    const noted = JSON.parse(entry?.dataset["texts"] ?? "{}") as Texts;
    if (!form || !fill(form, this.standing(name, noted) ?? noted)) return; // the office makes a form with room for it
    event.preventDefault();
    const fold = form.closest("details");
    if (fold) fold.open = true;
    (fold ?? form).scrollIntoView();
    form.querySelector<HTMLElement>("select, input:not([type=hidden])")?.focus();
  }

  private async add(form: HTMLFormElement, name: string, texts: Texts, out: boolean): Promise<void> {
    const was = this.standing(name, texts);
    let id: string;
    try {
      ({ id } = await this.queue.add(this.job, this.way(name), out ? null : texts, was));
    } catch {
      return this.unkept(form);
    }
    if (!out) this.begun.get(form)?.();
    await this.look();
    await this.send();
    const answer = this.kept.find((one) => one.id === id)?.answer;
    form.querySelector(".error")?.remove();
    if (answer?.state === "refused") {
      await this.queue.settle(id, this.job, "theirs"); // it still stands in the form
      await this.look();
      this.wrong(form, say("Found {found}; expected {expected}. {hint}", { found: answer.found, expected: answer.expected, hint: answer.hint }).trim());
    } else this.place.scrollIntoView({ block: "center" });
  }

  private async send(): Promise<void> {
    if (!navigator.onLine) return; // what never left the device can be taken back
    await alone(`yard ${this.job}`, () => this.round());
  }

  private async round(): Promise<void> {
    this.saving = 0;
    this.signedOut = false;
    try {
      await this.album.send(); // first: no entry shall name a picture that the office does not have
    } catch (error) {
      console.info("Photographs go on waiting:", error);
      this.signedOut = error instanceof OfficeError && error.status === 401;
    }
    const sent = await this.queue.send(this.job);
    if (sent.waiting) this.signedOut = sent.status === 401;
    await this.look();
    if (this.saving > 0) location.assign(`${location.pathname}?saved=${this.saving}`);
  }

  private async look(): Promise<void> {
    this.kept = await this.queue.all(this.job);
    this.photos = this.record === "proof" ? (await this.album.all()).filter(({ proves }) => proves) : [];
    for (const address of this.shown.splice(0)) URL.revokeObjectURL(address);
    const unsettled = this.mine.filter(({ state, answer }) => state !== "waiting" && answer);
    const shown: HTMLElement[] = [];
    if (unsettled.length) {
      const notice = box("fails", say("{n} not taken by the office", { n: unsettled.length }));
      const way = made("a", say("Look at them and choose"));
      way.href = `/jobs/${encodeURIComponent(this.job)}/yard#unsent`;
      notice.append(made("p", unsettled.map((one) => wordsOf(this.partOf(one)[1], (one.value ?? one.was ?? {}) as Texts)).join(" · ")), made("p", "", way));
      shown.push(notice);
    }
    const count = this.waiting.length + this.photos.length;
    if (count) {
      const notice = box("caution", say("{n} on this phone", { n: count }));
      notice.append(made("p", this.signedOut ? say("You are signed out. What was typed stays on this phone; it goes once you sign in again.") : say("They go to the office when there is a signal.")));
      if (this.signedOut) notice.append(made("p", "", Object.assign(made("a", say("Sign in")), { href: `/sign-in?back=${encodeURIComponent(location.pathname)}` })));
      const list = document.createElement("ul");
      list.className = "plain";
      for (const one of this.waiting) list.append(this.row(one));
      for (const one of this.photos) list.append(this.picture(one));
      const send = button(say("Send"), () => void this.send());
      notice.append(list, made("p", "", send));
      shown.push(notice);
    }
    this.place.replaceChildren(...shown);
  }

  private picture(one: Photo): HTMLElement {
    const address = URL.createObjectURL(one.picture);
    this.shown.push(address);
    const words = `${this.parts["photo"]?.title ?? "Photograph"} ${one.proves?.checkpoint ?? ""}`;
    const image = Object.assign(document.createElement("img"), { src: address, alt: words, className: "small-photo" });
    const row = made("li", "", image, made("p", words));
    if (one.refused !== undefined) row.append(Object.assign(made("p", say("Not taken by the office: {why}", { why: one.refused })), { className: "error" }));
    if (one.tried) row.append(made("p", say("A try to send it was made: if the office has it already, it hangs on the job and proves nothing.")));
    row.append(button(one.refused === undefined ? say("Take it back") : say("Throw it away"), () => void this.album.drop(one.id).then(() => this.look())));
    return row;
  }

  private row(one: Kept): HTMLElement {
    const words = wordsOf(this.partOf(one)[1], (one.value ?? one.was ?? {}) as Texts);
    const row = made("li", one.value === null ? say("Taken out: {what}", { what: words }) : words);
    if (one.undoes !== undefined) row.append(` (${say("takes back what the office may have")})`);
    else if (!this.waiting.some(({ undoes }) => undoes === one.id)) row.append(" ", button(say("Take it back"), () => void this.queue.undo(one, { path: one.path, value: one.was }).then(() => this.look())));
    return row;
  }
}

function made<Tag extends keyof HTMLElementTagNameMap>(tag: Tag, words: string, ...inside: readonly Node[]): HTMLElementTagNameMap[Tag] {
  const element = document.createElement(tag);
  element.append(words, ...inside);
  return element;
}

function button(words: string, press: () => void): HTMLButtonElement {
  const element = made("button", words);
  element.type = "button";
  element.className = "button quiet";
  element.addEventListener("click", press);
  return element;
}

function box(kind: string, title: string): HTMLElement {
  const notice = made("section", "", made("h3", title));
  notice.className = `notice ${kind}`;
  return notice;
}

const place = document.getElementById("on-phone");
if (place) {
  // Where the browser keeps nothing, the forms go by themselves as they always did.
  openDatabase().then((database) => new Waiting(place, database).open()).catch((error: unknown) => console.warn("Entries wait for a signal on no page:", error));
}
