/** What takes long comes after the page: its room is held, and what it says while it is made is said aloud. */
export async function fetchLate(room: HTMLElement): Promise<void> {
  const address = room.dataset["late"];
  if (!address) return;
  room.setAttribute("aria-busy", "true");
  const line = room.querySelector<HTMLElement>("[role=status]");
  if (line) line.textContent = room.dataset["working"] ?? "Working…";
  try {
    const answer = await fetch(address, { headers: { accept: "text/html" } });
    const text = await answer.text();
    if (!answer.ok) throw new Error(`${answer.status}`);
    room.innerHTML = text;
  } catch {
    if (line) line.textContent = "No answer came. Open the page anew to try again.";
  } finally {
    room.removeAttribute("aria-busy");
  }
}
