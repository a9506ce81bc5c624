// From a problem beside the document to its line in it.
export function goToLines(form: HTMLFormElement): void {
  const area = form.querySelector<HTMLTextAreaElement>(`#${form.dataset.lines ?? ""}`);
  if (!area) return;
  function show(number: number): void {
    if (!area) return;
    const lines = area.value.split("\n");
    const start = lines.slice(0, number - 1).reduce((sum, line) => sum + line.length + 1, 0);
    area.focus();
    area.setSelectionRange(start, start + (lines[number - 1]?.length ?? 0));
    area.scrollTop = Math.max(0, (number - 4) * Number.parseFloat(getComputedStyle(area).lineHeight));
  }

  form.addEventListener("click", (event) => {
    const way = (event.target as Element).closest<HTMLElement>("[data-line]");
    if (way) show(Number(way.dataset.line));
  });
  const asked = Number(new URLSearchParams(location.search).get("line"));
  if (asked > 0) show(asked);
}
