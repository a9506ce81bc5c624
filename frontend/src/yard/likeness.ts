// The word nearest to a misspelt one, as the office finds it: shares of common stretches, longest first.

/** Twice the letters in common stretches over all letters: 1 for the same word, 0 for nothing in common. */
export function likeness(a: string, b: string): number {
  const [first, second] = [[...a], [...b]];
  const all = first.length + second.length;
  return all ? (2 * common(first, second)) / all : 1;
}

function common(a: readonly string[], b: readonly string[]): number {
  let size = 0;
  let startA = 0;
  let startB = 0;
  for (let i = 0; i < a.length; i++) {
    for (let j = 0; j < b.length; j++) {
      let k = 0;
      while (i + k < a.length && j + k < b.length && a[i + k] === b[j + k]) k++;
      if (k > size) [size, startA, startB] = [k, i, j];
    }
  }
  if (size === 0) return 0;
  const before = common(a.slice(0, startA), b.slice(0, startB));
  return before + size + common(a.slice(startA + size), b.slice(startB + size));
}

/** The likest of the words, if it is like enough; of words as like, the last by its letters. */
export function likest(word: string, words: readonly string[], enough = 0.6): string | undefined {
  let best: string | undefined;
  let most = enough;
  for (const other of words) {
    const here = likeness(other, word);
    if (here > most || (here === most && (best === undefined || other > best))) [best, most] = [other, here];
  }
  return best;
}
