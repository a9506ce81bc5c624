// Which pages work without a network.

/**
 * `/yard`, the page of a job that began on the device, the yard pages of a job: `/jobs/{id}/yard` and what lies below; and
 * those after the job, without their files.
 */
export function isYardPage(path: string): boolean {
  return /^\/yard(?:\/begun)?\/?$|^\/jobs\/[^/]+\/(?:yard(?:\/|$)|after(?:\/(?:proof|visits|season))?$)/.test(path);
}

/** Pages that are made of a design, which may take its time. */
export function isSlow(path: string): boolean {
  return path.includes("/after");
}

/** The path alone: a page is kept once, whatever stands behind the question mark. */
export function pathOf(address: string): string {
  return new URL(address).pathname;
}
