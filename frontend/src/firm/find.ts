// Search while it is typed: the same page as by the button, with only its list taken over.
const PAUSE = 160; // ms after the last key

export function findAsTyped(form: HTMLFormElement): void {
  const list = document.getElementById(form.dataset.find ?? "");
  const field = form.querySelector<HTMLInputElement>("input[type=search]");
  if (!list || !field) return;
  let waiting = 0;
  let asked = 0;

  async function look(): Promise<void> {
    const turn = ++asked;
    const address = new URL(form.action);
    for (const [key, value] of new FormData(form)) address.searchParams.set(key, String(value));
    const answer = await fetch(address, { headers: { accept: "text/html" } });
    if (!answer.ok || turn !== asked) return; // an older answer that came late is dropped
    const found = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(list!.id);
    if (found) list!.replaceChildren(...found.childNodes);
    history.replaceState(null, "", address);
  }

  function lookSoon(): void {
    clearTimeout(waiting);
    waiting = window.setTimeout(() => void look().catch(() => undefined), PAUSE);
  }

  field.addEventListener("input", lookSoon);
  if (field.value !== field.defaultValue) lookSoon(); // typed before this script came
}
