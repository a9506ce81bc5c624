// The way to the office: POST /api/v1/jobs/{id}/operations.
import type { Operation } from "./operation";

/** The office was there, and did not take it. */
export class OfficeError extends Error {
  constructor(readonly status: number) {
    super(`the office answers ${status}`);
  }
}

/** The token that every unsafe request carries. */
export async function formToken(): Promise<string> {
  const answer = await fetch("/api/v1/form-token", { credentials: "same-origin", cache: "no-store" });
  if (!answer.ok) throw new OfficeError(answer.status);
  const { form_token: token } = (await answer.json()) as { form_token?: unknown };
  if (typeof token !== "string") throw new Error("the office gave no form token");
  return token;
}

export async function postToOffice(job: string, operations: readonly Operation[]): Promise<readonly unknown[]> {
  const answer = await fetch(`/api/v1/jobs/${encodeURIComponent(job)}/operations`, {
    method: "POST",
    credentials: "same-origin",
    headers: { "content-type": "application/json", accept: "application/json", "x-form-token": await formToken() },
    body: JSON.stringify({ operations: operations.map(({ job: _job, ...rest }) => rest) }),
  });
  if (!answer.ok) throw new OfficeError(answer.status);
  const { answers } = (await answer.json()) as { answers?: unknown };
  if (!Array.isArray(answers)) throw new Error("the office gave no answers");
  return answers;
}
