/** Longest word that is compared: the cost grows with the square, and no name of ours is longer. */
const WORD_LENGTH_MAX = 64;

/**
 * The known name somebody most likely meant; undefined when none is near.
 *
 * A name is near when it differs by case, dashes or underscores only, when one begins with the other, or when at
 * most a third of the word's letters were typed wrong (a letter too many, too few, changed, or two swapped).
 */
export function nearestName<Name extends string>(word: string, names: readonly Name[]): Name | undefined {
  if (word.length > WORD_LENGTH_MAX) return undefined;
  const plainWord = plain(word);
  const same = names.find((name) => plain(name) === plainWord);
  if (same !== undefined) return same;
  const ranked = names
    .map((name) => ({ name, slips: slipsBetween(plainWord, plain(name)) }))
    .sort((a, b) => a.slips - b.slips);
  const slipsMax = Math.max(1, Math.floor(plainWord.length / 3));
  if (ranked.length > 0 && ranked[0].slips <= slipsMax) return ranked[0].name;
  return plainWord.length < 3 ? undefined : names.find((name) => beginsAlike(plain(name), plainWord));
}

function beginsAlike(a: string, b: string): boolean {
  return a.startsWith(b) || b.startsWith(a);
}

function plain(word: string): string {
  return word.toLowerCase().replaceAll(/[-_ ]/g, '');
}

// Optimal string alignment distance (Damerau 1964, restricted): the letters typed wrong.
function slipsBetween(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = last[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1);
      row[j] = Math.min(last[j] + 1, row[j - 1] + 1, changed);
      const isSwapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (isSwapped) row[j] = Math.min(row[j], beforeLast[j - 2] + 1);
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length];
}
