// A job's record as the office had it, kept on this device; and the entries that the office has of it, for undoing.
import { changed, type Json } from "../yard/job/path";
import type { Database } from "./drawer";
import { readAnswer, type Kept, type Operation } from "./operation";
import { tellOthers } from "./others";

/** The record as the office had it. */
export interface Base {
  readonly revision: number;
  readonly record: Json;
  /** When it came from the office, by this device's clock. */
  readonly at: string;
}

/** An entry that the office has. */
export type Sent = Operation & { readonly undoes?: string };

const REMEMBERED = 20; // of what was sent, for undoing

export async function baseOf(database: Database, job: string): Promise<Base | undefined> {
  return (await database.get("sheets", `record ${job}`)) as Base | undefined;
}

export async function keepBase(database: Database, job: string, base: Base): Promise<void> {
  await database.put("sheets", base, `record ${job}`);
  tellOthers();
}

export async function sentOf(database: Database, job: string): Promise<readonly Sent[]> {
  return ((await database.get("sheets", `sent ${job}`)) as readonly Sent[] | undefined) ?? [];
}

/**
 * Put what the office took under what it had, before the queue forgets it: no moment is without it. Nothing is put where
 * the record was never on this device.
 */
export async function putUnder(database: Database, job: string, kept: readonly Kept[], operations: readonly Operation[], answers: readonly unknown[], first?: Base): Promise<void> {
  const taken = new Set(answers.map(readAnswer).flatMap((one) => (one?.state === "applied" ? [one.id] : [])));
  const mine = operations.filter((one) => taken.has(one.id) && ofJob(one));
  if (!mine.length) return;
  const change = database.transaction("sheets", "readwrite");
  const base = ((await change.store.get(`record ${job}`)) as Base | undefined) ?? first;
  if (base) {
    let { record } = base;
    for (const { path, value } of mine) record = changed(record, path, value as Json);
    await change.store.put({ ...base, record }, `record ${job}`);
  }
  const before = ((await change.store.get(`sent ${job}`)) as readonly Sent[] | undefined) ?? [];
  const sent = mine.map((one): Sent => ({ ...one, undoes: kept.find(({ id }) => id === one.id)?.undoes ?? "" }));
  await change.store.put([...before.filter(({ id }) => !taken.has(id)), ...sent].slice(-REMEMBERED), `sent ${job}`);
  await change.done;
  tellOthers();
}

/** Whether an entry is of the job, and not of what comes after it; these wait in the same queue, and have pages of their own. */
export function ofJob({ path }: { readonly path: string }): boolean {
  return !path.startsWith("after.");
}
