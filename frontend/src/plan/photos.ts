// Photographs on the plan: a pin where each was taken, set by a tap; and one more hung on the job at the place that is tapped.
import { MOST } from "../offline/album";
import { spotWords } from "../yard/job/drawing";
import { byId, button, made } from "./page";
import { placeAt, type At, type Thing, type Units } from "./model";
import type { Sight } from "./sight";

/** A picture that hangs on the job. */
interface Hung {
  readonly id: string;
  readonly name: string;
  readonly kind: string;
  readonly media_type: string;
  readonly pin: string;
  readonly note: string;
}

const AFTER_TAP = 100; // were the page moved at once, the rest of the tap would fall on what then lies under the finger [ms]

export class PlanPhotos {
  private hung: readonly Hung[] = [];
  private waits: ((pin: string) => Promise<void>) | undefined;
  private readonly part = byId("photos-part");
  private readonly list = byId("photos-list");
  private readonly bar = byId("pointing");
  private readonly told = byId("photos-told");

  constructor(
    private readonly job: string,
    private readonly units: Units,
    private readonly sight: Sight,
    private readonly token: () => Promise<string>,
  ) {}

  /** Whether the next tap on the plan tells where a photograph was taken. */
  get pointing(): boolean {
    return this.waits !== undefined;
  }

  async open(): Promise<void> {
    document.getElementById("photo-more")?.addEventListener("change", (event) => this.more(event.currentTarget as HTMLInputElement));
    document.addEventListener("keydown", (event) => event.key === "Escape" && this.pointing && this.leave());
    await this.look();
    const asked = /^#photo-(.+)$/.exec(location.hash)?.[1];
    const one = this.hung.find(({ id }) => id === asked);
    if (one) this.point(one);
  }

  /** Draw the pins where their places are now. */
  follow(): void {
    this.sight.showPins(this.hung.flatMap(({ id, pin }) => {
      const at = this.placed(pin);
      return at ? [{ photo: id, at }] : [];
    }));
  }

  async pointed(at: At, thing: Thing | undefined): Promise<void> {
    const pin = thing?.name || spotWords(at, this.units);
    const keep = this.waits;
    this.leave();
    try {
      await keep?.(pin);
    } catch (error) {
      this.say(`Not pinned: ${error instanceof Error ? error.message : String(error)}`);
    }
  }

  bringUp(photo: string): void {
    const row = document.getElementById(`photo-${photo}`);
    const details = row?.closest("details");
    if (details) details.open = true;
    setTimeout(() => {
      row?.scrollIntoView({ block: "nearest" });
      row?.querySelector<HTMLElement>("a")?.focus();
    }, AFTER_TAP);
  }

  private async look(): Promise<void> {
    const answer = await fetch(`/api/v1/jobs/${this.job}/attachments`, { headers: { accept: "application/json" }, cache: "no-store" });
    if (!answer.ok) return this.say(`The photographs cannot be had: the office answers ${answer.status}.`);
    this.hung = ((await answer.json()) as Hung[]).filter((one) => one.media_type.startsWith("image/") && one.kind !== "beside").reverse();
    this.show();
  }

  private show(): void {
    this.part.hidden = false;
    byId("photos-count").textContent = `(${this.hung.length})`;
    this.list.replaceChildren(...this.hung.map((one) => this.row(one)));
    this.follow();
  }

  private row(one: Hung): HTMLElement {
    const words = one.note || one.name;
    const address = `/api/v1/attachments/${one.id}`;
    const where = !one.pin ? "no place yet" : this.placed(one.pin) ? `at ${one.pin}` : `at ${one.pin}, which is no place of the plan`;
    const row = made("li", { id: `photo-${one.id}` }, made("a", { href: address }, made("img", { src: address, alt: words, loading: "lazy" })), made("p", {}, made("strong", {}, words), made("br"), made("span", { class: "soft" }, where)));
    if (this.part.dataset["sends"] !== undefined) {
      const way = button(one.pin ? "Pin it elsewhere" : "Pin it", () => this.point(one));
      way.setAttribute("aria-label", `${way.textContent ?? ""}: ${words}`);
      row.append(made("p", { class: "row-ways" }, way));
    }
    return row;
  }

  /** Ask for a tap that says where a photograph was taken. */
  private point(one: Hung): void {
    this.wait(one.note || one.name, (pin) => this.pin(one, pin));
  }

  private async pin(one: Hung, pin: string, back = false): Promise<void> {
    await this.sent(`/api/v1/attachments/${one.id}`, { method: "PATCH", headers: { "content-type": "application/json" }, body: JSON.stringify({ pin }) });
    await this.look();
    if (back) return this.say(pin ? `At ${pin} again.` : "Without a place again.");
    this.say(`Pinned at ${pin}.`, button("Take that back", () => void this.pin({ ...one, pin }, one.pin, true).catch((error: unknown) => this.say(String(error)))));
    this.bringUp(one.id);
  }

  private more(input: HTMLInputElement): void {
    const [picture] = input.files ?? [];
    if (!picture) return;
    if (picture.size > MOST) return this.say(`Found ${(picture.size / 1e6).toFixed(0)} MB; the office takes 20 MB at most.`);
    const id = crypto.randomUUID();
    this.wait(picture.name, async (pin) => {
      const note = byId<HTMLInputElement>("photo-note").value.trim();
      const query = new URLSearchParams({ name: `${id}.jpg`, kind: "photo", pin, note });
      await this.sent(`/api/v1/jobs/${this.job}/attachments?${query.toString()}`, { method: "POST", headers: { "content-type": "application/octet-stream" }, body: picture });
      input.value = "";
      byId<HTMLInputElement>("photo-note").value = "";
      await this.look();
      this.say(`It hangs on the job, at ${pin}.`);
    });
  }

  private async sent(address: string, request: RequestInit & { readonly headers: Readonly<Record<string, string>> }): Promise<void> {
    const answer = await fetch(address, { ...request, headers: { ...request.headers, accept: "application/json", "x-form-token": await this.token() } });
    const { detail } = (await answer.json().catch(() => ({}))) as { detail?: string };
    if (!answer.ok) throw new Error(detail ?? `the office answers ${answer.status}`);
  }

  private wait(words: string, keep: (pin: string) => Promise<void>): void {
    this.waits = keep;
    const named = this.sight.things.filter(({ shape, name, places }) => shape === "point" && name && places[0]);
    const list = made("select", { id: "pointing-list" }, ...named.map(({ name }) => made("option", {}, name)));
    const there = button("Pin it there", () => {
      const thing = named.find(({ name }) => name === list.value);
      const at = thing?.places[0]?.at;
      if (at) void this.pointed(at, thing);
    });
    // Folded, so that it lies over no place that a finger may want.
    const first = made("summary", {}, "or choose");
    const ways = named.length ? [made("details", {}, first, made("label", { for: "pointing-list" }, "Where "), list, " ", there)] : [];
    this.bar.replaceChildren(made("span", {}, `Tap the plan where “${words}” was taken.`), ...ways, button("Not now", () => this.leave()));
    this.bar.hidden = false;
    first.focus({ preventScroll: true });
    byId("map").classList.add("points");
    byId("map").scrollIntoView({ block: "nearest" });
  }

  private leave(): void {
    this.waits = undefined;
    this.bar.hidden = true;
    byId("map").classList.remove("points");
  }

  private say(words: string, ...ways: readonly Node[]): void {
    this.part.hidden = false;
    this.told.replaceChildren(words, ...ways.flatMap((one) => [" ", one]));
  }

  /** The place that a pin names: a thing that stands at a point, or coordinates. */
  private placed(pin: string): At | undefined {
    const name = pin.replace(/^at /, "");
    return this.sight.things.find((one) => one.shape === "point" && one.name === name)?.places[0]?.at ?? placeAt(name);
  }
}
