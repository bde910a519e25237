import type { Corner, MarkerPiece, MarkerRequest } from '#marker';

const SORTS = [convex, spiky, notched, withCollinearRuns, nearTouching];

/** An order of one to four outlines of any sort, on cloth of any rules; it may well be one that cannot be laid. */
export function randomOrder(next: () => number): MarkerRequest {
  const below = (count: number): number => Math.floor(next() * count);
  const pieces = Array.from({ length: 1 + below(4) }, (_, id): MarkerPiece => ({
    id,
    outline: SORTS[below(SORTS.length)](next),
    turns: next() < 0.5 ? [0, 180] : [0, 90, 180, 270],
    ...(next() < 0.3 ? { tilt: 1 + below(3) } : {}),
  }));
  const nap = (['free', 'per-garment', 'one-way'] as const)[below(3)];
  const garments = Array.from({ length: 1 + below(3) }, (_, g) => ({
    reference: `g${g}`,
    pieces: pieces.map(({ id }) => ({ piece: id, plain: below(3), mirrored: below(2) })),
  }));
  const cloth = {
    width: 60 + 200 * next(),
    selvedge: 3 * next(),
    endMargin: next(),
    gap: next() < 0.3 ? 0 : 2 * next(),
    nap,
  };
  return { cloth, pieces, garments };
}

function star(next: () => number, corners: number, least: number): Corner[] {
  return Array.from({ length: corners }, (_, i): Corner => {
    const angle = (2 * Math.PI * (i + 0.4 * next())) / corners;
    const r = 60 * (least + (1 - least) * next());
    return [r * Math.cos(angle), r * Math.sin(angle)];
  });
}

function convex(next: () => number): Corner[] {
  return star(next, 9, 0.95);
}

function spiky(next: () => number): Corner[] {
  return star(next, 14, 0.08);
}

function notched(next: () => number): Corner[] {
  const tooth = 8 + 4 * next();
  const high = 20 + 20 * next();
  return [
    [0, 0],
    [3 * tooth, 0],
    [3 * tooth, high],
    [2 * tooth, high],
    [2 * tooth, 5],
    [tooth, 5],
    [tooth, high],
    [0, high],
  ];
}

function withCollinearRuns(next: () => number): Corner[] {
  const [wide, high] = [20 + 40 * next(), 20 + 40 * next()];
  const run = Array.from({ length: 6 }, (_, i): Corner => [(i / 6) * wide, 0]);
  return [...run, [wide, 0], [wide, high / 2], [wide, high], [wide / 2, high], [0, high]];
}

function nearTouching(next: () => number): Corner[] {
  const hair = 1e-6 + 1e-3 * next();
  return [
    [0, 0],
    [50, 0],
    [50, 30],
    [25 + hair, 30],
    [25, 2 + 5 * next()],
    [25 - hair, 30],
    [0, 30],
  ];
}
