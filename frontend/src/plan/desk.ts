// The plan at work: what is chosen, what changes it, what the office answers, and saving.
import * as adding from "./adding";
import { Asking, formToken, post, type Draft, type Far } from "./asking";
import { showAnswer } from "./answers";
import { showChosen, type Desk as Ways } from "./chosen";
import { reach, same, type Value } from "./document";
import { Drag, type Drags } from "./drag";
import * as edits from "./edits";
import { forget, keep, kept } from "./keeping";
import { listKey, showList } from "./list";
import { PlanPhotos } from "./photos";
import { placeText, type Answer, type At, type Begin, type Drawn, type Place, type Problem, type Thing, type Units } from "./model";
import { ask, byId, made } from "./page";
import { settle, type Clash } from "./settling";
import { Sight, type Handle } from "./sight";
import { snapped, type Line, type Snapped, type Target } from "./snap";
import { editOf, Steps, type Edit } from "./steps";

export class PlanDesk implements Ways, Drags {
  readonly sight: Sight;
  readonly asking: Asking;
  readonly units: Units;
  drawn: Drawn | undefined;
  private saved: Drawn | undefined;
  private full = false; // whether what is drawn was designed
  private problems: readonly Problem[] = [];
  private settled: readonly Thing[] = [];
  private things: readonly Thing[] = [];
  private trying: readonly Edit[] = [];
  private steps: Steps;
  private broken = "";
  private readonly photos: PlanPhotos;
  step: number;

  constructor(
    private readonly job: string,
    begin: Begin,
  ) {
    this.units = begin.units;
    this.step = begin.units === "US" ? 0.0254 : 0.01;
    this.sight = new Sight(byId("map"), begin.units, `/jobs/${job}/plan/picture`);
    this.asking = new Asking((draft, far) => this.send(draft, far), (answer, current) => this.answered(answer, current), (words) => this.failed(words));
    this.steps = new Steps(begin.revision, begin.record);
    this.photos = new PlanPhotos(job, this.units, this.sight, () => this.token());
    this.sight.map.addInteraction(this.dragging());
    this.take(begin);
    void this.photos.open();
    this.sight.whole();
  }

  // -- what is begun with, and what comes back

  private take(begin: Begin): void {
    this.steps = new Steps(begin.revision, begin.record);
    this.steps.done = begin.done.map(({ id, operations }) => ({ id, operations: operations.map(editOf) }));
    this.steps.undone = begin.undone.map(({ id, operations }) => ({ id, operations: operations.map(editOf) }));
    this.sight.begin(begin);
    const head = document.getElementById("at-revision");
    if (head) head.textContent = `revision ${begin.revision}`;
    this.saved = begin.drawn;
    this.full = false;
    this.answered(begin, true);
    const before = kept(this.job);
    if (before && before.base === begin.revision && before.strokes.length) {
      this.steps.resume(before.strokes);
      this.changed();
    }
  }

  private async send({ base, operations }: Draft, far: Far): Promise<Answer> {
    const answer = await post(`/api/v1/jobs/${this.job}/plan/draft`, { base, operations, far }, await this.token());
    const body = (await answer.json()) as Answer & { detail?: string };
    if (!answer.ok) throw new Error(body.detail ?? `The office answers ${answer.status}.`);
    return body;
  }

  private answered(answer: Answer, current: boolean): void {
    this.broken = "";
    this.problems = answer.problems ?? [];
    if (answer.drawn) this.full = true;
    const told = answer.drawn ?? (this.full ? undefined : answer.bare);
    if (told) this.drawn = told;
    if (told && answer.things) this.settled = answer.things;
    if (current && this.trying.length === 0) this.show();
    else this.follow();
    if (this.wholeNext && current) {
      this.wholeNext = false;
      this.sight.whole();
    }
    this.tell();
  }
  private wholeNext = false;

  private failed(words: string): void {
    this.broken = `${words} What is drawn is kept on this device.`;
    this.tell();
  }

  private async token(): Promise<string> {
    this.formToken ??= await formToken();
    return this.formToken;
  }
  private formToken: string | undefined;

  // -- what changes

  private get known(): edits.Known {
    return { record: this.steps.record, units: this.units, points: new Map(this.drawn?.points.map(({ name, at }) => [name, at])) };
  }

  private make(change: readonly Edit[]): void {
    this.trying = [];
    const real = change.filter(({ value, was }) => !same(value, was));
    if (real.length) this.steps.make(real);
    this.changed();
  }

  private changed(): void {
    keep(this.job, this.steps.base, this.steps.pending);
    this.asking.ask({ base: this.steps.base, operations: this.steps.operations });
    this.show();
    this.tell();
  }

  undo(): void {
    if (this.steps.undo()) this.changed();
  }

  redo(): void {
    if (this.steps.redo()) this.changed();
  }

  place(thing: Thing, number: number, at: At): void {
    const place = thing.places[number];
    if (place) this.make(edits.moved(this.known, place, at));
  }

  type(path: string, value: Value): void {
    this.make(edits.typed(this.known, path, value));
  }

  bend(thing: Thing, after: number): void {
    const a = thing.places[after]?.at;
    const b = thing.places[(after + 1) % Math.max(1, thing.places.length)]?.at ?? a;
    const at: At = a && b ? (a === b ? [a[0] + 1, a[1]] : [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]) : this.middle().at;
    this.make(edits.bent(this.known, thing, after, at));
  }

  straighten(thing: Thing, number: number): void {
    this.make(edits.straightened(this.known, thing, number));
  }

  remove(thing: Thing): void {
    if (!thing.of) return;
    this.make(edits.removed(this.known, thing));
    this.choose(undefined);
    byId("chosen-head").focus();
  }

  measured(place: Place): string {
    return place.point === null ? "" : edits.measuredBy(this.steps.record, place.point);
  }

  release(place: Place): void {
    void this.askToRelease(place);
  }

  private async askToRelease(place: Place): Promise<void> {
    const name = place.point ?? "";
    const how = this.measured(place);
    const whole = how.includes("walk") ? " All corners of the walk get typed places, for one cannot move without the others." : "";
    const body = made("p", {}, `${name} was measured ${how}. A typed place takes the place of what was measured, and is marked as stated.${whole} Undo brings the measurement back.`);
    const answer = await ask(`Give ${name} a typed place?`, [body], [["stays", "Leave it as measured"], ["typed", "Give it a typed place"]]);
    if (answer === "typed") this.make(edits.typedPlace(this.known, name));
  }

  /** Move the place that is chosen by steps of the grid. */
  nudge(east: number, north: number): void {
    const thing = this.sight.thing(this.sight.chosen);
    const place = thing?.places[this.sight.active];
    if (!thing || !place) return;
    if (this.measured(place) && place.holds) this.release(place);
    else this.place(thing, this.sight.active, [place.at[0] + east * this.step, place.at[1] + north * this.step]);
  }

  // -- dragging

  begin(handle: Handle): boolean {
    const place = handle.kind === "held" ? handle.thing.places[handle.number] : undefined;
    if (place && this.measured(place)) {
      this.release(place);
      return false;
    }
    return true;
  }

  move(handle: Handle, at: At, reachable: number): void {
    const to = this.drawnTo(handle, at, reachable);
    const place = handle.thing.places[handle.number];
    if (handle.kind === "bend") this.trying = edits.bent(this.known, handle.thing, handle.number, to.at, to.point);
    else if (place) this.trying = edits.moved(this.known, place, to.at, to.point);
    const tip = byId("tip");
    tip.hidden = false;
    tip.textContent = `${placeText(to.at, this.units)}${to.words ? ` — ${to.words}` : ""}`;
    this.sight.active = handle.kind === "bend" ? handle.number + 1 : handle.number;
    this.asking.ask({ base: this.steps.base, operations: this.steps.tried(this.trying) });
    this.follow();
    this.tell();
  }

  end(): void {
    byId("tip").hidden = true;
    const change = this.trying;
    if (change.length) this.make(change);
  }

  get pointing(): boolean {
    return this.photos.pointing;
  }

  pointed(at: At, thing: Thing | undefined): void {
    void this.photos.pointed(at, thing);
  }

  pinned(photo: string): void {
    this.photos.bringUp(photo);
  }

  private drawnTo(handle: Handle, at: At, reachable: number): Snapped {
    const targets: Target[] = [];
    const lines: Line[] = [];
    const free = handle.thing.kind !== "point" && handle.thing.kind !== "corner";
    for (const { name, at: place } of this.drawn?.points ?? []) {
      if (handle.thing.places[handle.number]?.point === name && handle.kind === "held") continue;
      targets.push({ at: place, words: `on ${name}`, ...(free ? { point: name } : {}) });
    }
    for (const thing of this.things) {
      if (thing.path === handle.thing.path || thing.kind === "point") continue;
      const closed = thing.shape === "area";
      for (const [number, { at: corner }] of thing.places.entries()) {
        targets.push({ at: corner, words: `on ${thing.name}` });
        const next = thing.places[number + 1] ?? (closed ? thing.places[0] : undefined);
        if (next) lines.push({ from: corner, to: next.at, words: `along ${thing.name}` });
      }
    }
    return snapped(at, targets, lines, reachable, this.step);
  }

  private dragging(): Drag {
    const drag = new Drag(this.sight, this);
    this.sight.map.on("click", (event) => drag.tap(event as never));
    return drag;
  }

  // -- what is shown

  choose(path: string | undefined, number = 0, listed = false): void {
    const other = path !== this.sight.chosen;
    this.sight.chosen = path;
    this.sight.active = number;
    this.show();
    if (other && path) this.bringUp(byId("chosen-head"), listed);
  }

  /** Show the head of what is chosen: in its own column; on a phone only after a choice in the list. */
  private bringUp(head: HTMLElement, listed: boolean): void {
    const side = head.closest<HTMLElement>(".plan-more");
    if (side && side.scrollHeight > side.clientHeight + 1) side.scrollTop += head.getBoundingClientRect().top - side.getBoundingClientRect().top;
    else if (listed) head.scrollIntoView({ block: "start" });
  }

  grip(number: number): void {
    if (this.sight.active === number) return;
    this.sight.active = number;
    this.sight.show(this.things, undefined);
  }

  /** Only what moves: while a finger is down nothing else may change under it. */
  private follow(): void {
    const record = this.trying.length ? edits.tried(this.steps.record, this.trying) : this.steps.record;
    this.things = edits.follow(this.settled, { ...this.known, record });
    this.sight.show(this.things, this.drawn);
    this.photos.follow();
  }

  private show(): void {
    this.follow();
    const thing = this.sight.thing(this.sight.chosen);
    const head = byId("chosen-head");
    head.textContent = thing ? thing.name || thing.kind : "Nothing chosen";
    const into = byId("chosen");
    const typing = into.contains(document.activeElement) ? document.activeElement : null;
    const at = typing ? [...into.querySelectorAll("input, select, button")].indexOf(typing) : -1;
    const open = into.querySelectorAll("details[open]").length > 0;
    if (thing) {
      showChosen(into, thing, this);
      if (open) for (const one of into.querySelectorAll("details")) one.open = true;
      if (at >= 0) ([...into.querySelectorAll("input, select, button")][at] as HTMLElement | undefined)?.focus();
    } else into.replaceChildren(made("p", { class: "soft" }, "Touch a thing on the plan, or choose it in the list."));
    showList(byId("things"), this.things, this.sight.chosen, (path) => this.choose(path, 0, true));
  }

  private tell(): void {
    const { working, behind } = this.asking;
    const changed = this.steps.pending.length > 0 || this.trying.length > 0;
    const { saved, problems, job, full } = this;
    const drawn = full ? this.drawn : undefined;
    showAnswer(byId("answer"), { drawn, saved, problems, job, working, behind, changed }, (name) => this.choose(`works.runs${listKey(name)}`, 0, true));
    byId<HTMLButtonElement>("undo").disabled = this.steps.done.length === 0;
    byId<HTMLButtonElement>("redo").disabled = this.steps.undone.length === 0;
    byId<HTMLButtonElement>("save").disabled = this.steps.pending.length === 0 || (full && problems.length > 0) || working;
    const count = this.steps.pending.length;
    const state = this.broken || (working ? "Working…" : count ? `${count} not saved` : `Saved, revision ${this.steps.base}`);
    if (byId("state").textContent !== state) byId("state").textContent = state;
  }

  private middle(): { at: At; reach: number } {
    const view = this.sight.map.getView();
    const [e = 0, n = 0] = view.getCenter() ?? [];
    const round = (value: number): number => Math.round(value / this.step) * this.step;
    return { at: [round(e), round(n)], reach: round((view.getResolution() ?? 0.05) * 60) };
  }

  showAdding(): void {
    const named = (kinds: readonly string[]): string[] => this.things.filter(({ kind }) => kinds.includes(kind)).map(({ name }) => name);
    const names = (): string[] => this.names();
    adding.showAdding(byId("adding"), {
      units: this.units,
      record: () => this.steps.record,
      middle: () => this.middle(),
      nodes: () => named(["inlet"]),
      names,
      add: (list, entry, name) => {
        const basin = list === edits.BASIN ? edits.basinAt(this.steps.record, name) : undefined;
        this.make(basin ? edits.dug(this.known, basin, entry) : edits.added(this.known, list, entry));
        this.sight.chosen = basin?.path ?? `${list}${listKey(name)}`;
        this.sight.active = 0;
      },
      house: (corners) => {
        this.make(edits.housed(this.known, corners));
        this.sight.chosen = "house";
        this.sight.active = 0;
        this.wholeNext = true;
      },
    });
  }

  names(): string[] {
    const kinds = ["inlet", "basin", "discharge", "downspout", "corner", "point"];
    return kinds.flatMap((kind) => this.things.filter((one) => one.kind === kind).map(({ name }) => name));
  }

  nodes(): string[] {
    return this.things.filter(({ kind }) => kind === "inlet").map(({ name }) => name);
  }

  // -- saving

  async save(): Promise<void> {
    const { base, operations } = this.steps;
    if (operations.length === 0) return;
    byId("state").textContent = "Saving…";
    try {
      const answer = await post(`/api/v1/jobs/${this.job}/plan/save`, { base, operations }, await this.token());
      const body = (await answer.json()) as Clash & { detail?: string; revision: number };
      if (answer.status === 409) return await this.clashed(body);
      if (!answer.ok) throw new Error(body.detail ?? `The office answers ${answer.status}.`);
      forget(this.job);
      this.take(await begun(this.job));
    } catch (error) {
      this.failed(error instanceof Error ? error.message : String(error));
    }
  }

  /** Somebody else changed the same: the person chooses, and what was drawn is made anew on what stands. */
  private async clashed(clash: Clash): Promise<void> {
    const made_ = this.steps.pending.flatMap(({ operations }) => operations.map(editOf));
    const chosen = await settle(clash, this.job, ask);
    if (!chosen) return this.failed("Not saved: somebody else changed the same.");
    const fresh = await begun(this.job);
    const left = made_.filter(({ path }) => !chosen.theirs.has(path));
    forget(this.job);
    this.take(fresh);
    if (left.length) {
      this.make(left.map((one) => ({ ...one, was: reach(this.steps.record, one.path) ?? null })));
      await this.save();
    }
  }
}

export async function begun(job: string): Promise<Begin> {
  const answer = await fetch(`/api/v1/jobs/${job}/plan`, { credentials: "same-origin", headers: { accept: "application/json" } });
  const body = (await answer.json()) as Begin & { detail?: string };
  if (!answer.ok) throw new Error(body.detail ?? `The office answers ${answer.status}.`);
  return body;
}

