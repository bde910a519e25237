import type { Corner } from './request.js';

/**
 * Two sides of an outline that cross, touch or run back over each other, or undefined when it runs round once.
 *
 * Sides of length zero are ignored. An outline without area answers with its first two sides.
 */
export function findTouch(outline: readonly Corner[]): readonly [number, number] | undefined {
  const sides = outline
    .map((from, index) => ({ from, to: outline[(index + 1) % outline.length], index }))
    .filter(({ from, to }) => from[0] !== to[0] || from[1] !== to[1]);
  const n = sides.length;
  if (n < 3) return [0, 1];
  for (let a = 0; a < n; a++) {
    for (let b = a + 1; b < n; b++) {
      const [s, t] = [sides[a], sides[b]];
      const isNext = b === a + 1;
      const isBefore = a === 0 && b === n - 1;
      const meets = isNext
        ? foldsBack(s.from, s.to, t.to)
        : isBefore
          ? foldsBack(t.from, t.to, s.to)
          : touch(s.from, s.to, t.from, t.to);
      if (meets) return [s.index, t.index];
    }
  }
  return undefined;
}

function foldsBack(a: Corner, b: Corner, c: Corner): boolean {
  return side(a, b, c) === 0 && (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]) < 0;
}

function touch(a: Corner, b: Corner, c: Corner, d: Corner): boolean {
  if (Math.max(a[0], b[0]) < Math.min(c[0], d[0]) || Math.max(c[0], d[0]) < Math.min(a[0], b[0]))
    return false;
  if (Math.max(a[1], b[1]) < Math.min(c[1], d[1]) || Math.max(c[1], d[1]) < Math.min(a[1], b[1]))
    return false;
  return side(a, b, c) * side(a, b, d) <= 0 && side(c, d, a) * side(c, d, b) <= 0;
}

function side(a: Corner, b: Corner, c: Corner): number {
  return Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
}
