// A job that began on this device without a network: kept until the office has it, under the id that it got here.
import type { Database } from "./drawer";
import { tellOthers } from "./others";
import { formToken } from "./post";

/** What a first visit tells of a job. */
export interface First {
  readonly title: string;
  readonly address: string;
  readonly units: "US" | "SI";
}

export interface Begun {
  readonly id: string;
  readonly first: First;
  readonly at: string;
}

const key = (id: string): string => `begun ${id}`;

/** Keep a new job; when the promise is done it is on the device. */
export async function begin(database: Database, first: First): Promise<Begun> {
  const begun: Begun = { id: crypto.randomUUID(), first, at: new Date().toISOString() };
  await database.put("sheets", begun, key(begun.id));
  tellOthers();
  return begun;
}

/** The jobs that began here and that the office does not have yet, the oldest first. */
export async function allBegun(database: Database): Promise<Begun[]> {
  const found = (await database.getAll("sheets", IDBKeyRange.bound("begun ", "begun \uffff"))) as Begun[];
  return found.sort((a, b) => a.at.localeCompare(b.at));
}

export async function begunHere(database: Database, id: string): Promise<Begun | undefined> {
  return (await database.get("sheets", key(id))) as Begun | undefined;
}

/** Give the office a job that began here; sent again it begins no second one. Throws where the office has it not. */
export async function giveToOffice(database: Database, { id, first }: Begun): Promise<void> {
  const answer = await fetch("/api/v1/jobs", {
    method: "POST",
    credentials: "same-origin",
    headers: { "content-type": "application/json", accept: "application/json", "x-form-token": await formToken() },
    body: JSON.stringify({ id, first }),
  });
  if (!answer.ok) {
    const { detail } = (await answer.json().catch(() => ({}))) as { detail?: string };
    throw new Error(detail ?? `the office answers ${answer.status}`);
  }
  await database.delete("sheets", key(id));
  tellOthers();
}

/** Where a job that began here is measured, with a network or without. */
export function wayTo(id: string): string {
  return `/yard/begun?job=${encodeURIComponent(id)}`;
}
