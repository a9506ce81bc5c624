// What the scripts of a crew's pages say, in the language of the page: the office lays the words beside it.

const place = typeof document === "undefined" ? null : document.querySelector<HTMLElement>("[data-words]"); // none in tests
const words = JSON.parse(place?.dataset["words"] ?? "{}") as Readonly<Record<string, string>>;

/** A text of ours in the language of the page, with its fields filled in. */
export function say(text: string, fields: Readonly<Record<string, string | number>> = {}): string {
  return (words[text] ?? text).replace(/\{(\w+)\}/g, (whole, name: string) => String(fields[name] ?? whole));
}
