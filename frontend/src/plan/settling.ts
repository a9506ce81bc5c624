// Two people changed the same: both are shown, and one is chosen for each part.
import { textOf } from "./entry";
import { made } from "./page";
import type { Value } from "./document";

export interface Clash {
  readonly revision: number;
  readonly who: string;
  readonly both: readonly { readonly path: string; readonly theirs: Value; readonly mine: Value }[];
}

type Ask = (title: string, body: readonly Node[], ways: readonly (readonly [string, string])[]) => Promise<string>;

/** The paths on which theirs stays; undefined where nothing is to be saved now. */
export async function settle(clash: Clash, job: string, ask: Ask): Promise<{ theirs: Set<string> } | undefined> {
  const chosen = new Map<string, "theirs" | "mine">();
  const rows = clash.both.map(({ path, theirs, mine }, number) => {
    chosen.set(path, "theirs");
    const choice = (value: "theirs" | "mine", words: string, told: Value): HTMLElement => {
      const input = made("input", { type: "radio", name: `clash-${number}`, value });
      input.checked = value === "theirs";
      input.addEventListener("change", () => chosen.set(path, value));
      return made("label", { class: "choice" }, input, `${words}: ${typeof told === "object" && told !== null ? JSON.stringify(told) : textOf(told) || "taken out"}`);
    };
    return made("fieldset", { class: "plan-place" }, made("legend", {}, path), choice("theirs", clash.who, theirs), choice("mine", "Yours", mine));
  });
  const words = made("p", {}, `${clash.who} saved revision ${clash.revision} while you drew, and changed the same. Choose for each; all else of both is kept.`);
  const link = made("p", {}, made("a", { href: `/jobs/${job}/history` }, "All revisions"));
  const answer = await ask("Somebody else changed the same", [words, ...rows, link], [["save", "Save so"], ["later", "Not now"]]);
  if (answer !== "save") return undefined;
  return { theirs: new Set([...chosen].filter(([, whose]) => whose === "theirs").map(([path]) => path)) };
}
