// Which pages work without a network.

/** `/yard`, the page of a job that began on the device, and the yard pages of a job: `/jobs/{id}/yard` and what lies below. */
export function isYardPage(path: string): boolean {
  return /^\/yard(?:\/begun)?\/?$|^\/jobs\/[^/]+\/yard(?:\/|$)/.test(path);
}

/** The path alone: a page is kept once, whatever stands behind the question mark. */
export function pathOf(address: string): string {
  return new URL(address).pathname;
}
