// Operations wait on the device until the office has answered each of them. None is dropped without an answer.
import type { Drawer } from "./drawer";
import { readAnswer, type Answer, type Kept, type Operation } from "./operation";
import { OfficeError } from "./post";

/** Sends operations to the office: gives its answers, or throws where there is no network or no sense in the answer. */
export type Post = (job: string, operations: readonly Operation[]) => Promise<readonly unknown[]>;

/** What takes an entry back: where it stands, and what stood there before it. */
export interface Against {
  readonly path: string;
  readonly value: unknown;
}

export const MOST_AT_ONCE = 100;

/** What a round of sending came to. */
export interface Sent {
  readonly applied: number;
  readonly conflicts: number;
  readonly refused: number;
  readonly waiting: number;
  /** Why sending stopped before the end. */
  readonly stopped?: string;
  /** The status of an office that was there and took nothing. */
  readonly status?: number;
}

function plain({ id, job, path, value, was, made }: Kept): Operation {
  return { id, job, path, value, was, made };
}

export class Queue {
  private readonly sending = new Map<string, Promise<Sent>>();

  constructor(
    private readonly drawer: Drawer,
    private readonly post: Post,
    private readonly newId: () => string = () => crypto.randomUUID(),
    private readonly now: () => Date = () => new Date(),
  ) {}

  /** Keep a change; when the promise is done it is on the device. */
  async add(job: string, path: string, value: unknown, was: unknown, undoes?: string): Promise<Operation> {
    const operation: Operation = { id: this.newId(), job, path, value, was, made: this.now().toISOString() };
    await this.drawer.add({ ...operation, state: "waiting", ...(undoes === undefined ? {} : { undoes }) });
    return operation;
  }

  all(job: string): Promise<Kept[]> {
    return this.drawer.of(job);
  }

  /** Send what waits for a job, in the order of typing. Asked again while it sends, it tells of the same round. */
  send(job: string): Promise<Sent> {
    const running = this.sending.get(job);
    if (running) return running;
    const round = this.round(job).finally(() => this.sending.delete(job));
    this.sending.set(job, round);
    return round;
  }

  /** Settle one that the office did not take: by what stands there now, or (a conflict) by ours once more. */
  async settle(id: string, job: string, keep: "theirs" | "mine"): Promise<void> {
    const found = (await this.drawer.of(job)).find((one) => one.id === id);
    if (!found || found.state === "waiting") return;
    if (keep === "mine") {
      if (found.answer?.state !== "conflict") return; // sent again unchanged it would be refused again
      // A new operation, made knowing what stands there; kept first, so that no moment is without it.
      await this.add(job, found.path, found.value, found.answer.theirs);
    }
    await this.drawer.drop(id);
  }

  /** Take back one that never left the device; false where the office may have it. */
  async takeBack(id: string, job: string): Promise<boolean> {
    const found = (await this.drawer.of(job)).find((one) => one.id === id);
    if (!found || found.state !== "waiting" || found.tried || this.sending.has(job)) return false;
    await this.drawer.drop(id);
    return true;
  }

  /**
   * Undo an entry: one that never left the device goes; one that the office may have is followed by the entry that takes it
   * out again, so that nothing hangs on which of both came there. Says which of the two was done.
   */
  async undo(one: Operation, against: Against): Promise<"gone" | "followed"> {
    if (await this.takeBack(one.id, one.job)) return "gone";
    await this.add(one.job, against.path, against.value, one.value, one.id);
    return "followed";
  }

  private async round(job: string): Promise<Sent> {
    const counts = { applied: 0, conflicts: 0, refused: 0 };
    const tried = new Set<string>();
    for (;;) {
      const waiting = (await this.drawer.of(job)).filter((one) => one.state === "waiting");
      const batch = waiting.filter((one) => !tried.has(one.id)).slice(0, MOST_AT_ONCE);
      if (batch.length === 0) return { ...counts, waiting: waiting.length };
      let answers: Map<string, Answer>;
      try {
        for (const one of batch) if (!one.tried) await this.drawer.mark({ ...one, tried: true });
        const given = await this.post(job, batch.map(plain));
        answers = new Map(given.map(readAnswer).filter((one) => one !== undefined).map((one) => [one.id, one]));
      } catch (error) {
        return { ...counts, waiting: waiting.length, stopped: error instanceof Error ? error.message : String(error), ...(error instanceof OfficeError ? { status: error.status } : {}) };
      }
      for (const one of batch) {
        tried.add(one.id);
        await this.take(one, answers.get(one.id), counts);
      }
    }
  }

  private async take(one: Kept, answer: Answer | undefined, counts: { applied: number; conflicts: number; refused: number }): Promise<void> {
    if (answer === undefined) return; // the office said nothing of it: it waits
    if (answer.state === "applied") {
      await this.drawer.drop(one.id);
      counts.applied += 1;
      return;
    }
    const against = (await this.drawer.of(one.job)).find(({ undoes }) => undoes === one.id);
    if (against) {
      // It did not come to stand, and was taken back meanwhile: nothing is left to choose.
      await this.drawer.drop(against.id);
      await this.drawer.drop(one.id);
      return;
    }
    await this.drawer.mark({ ...one, state: answer.state, answer });
    counts[answer.state === "conflict" ? "conflicts" : "refused"] += 1;
  }
}
