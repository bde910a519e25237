import { MaxRectsPacker, PACKING_LOGIC, Rectangle } from 'maxrects-packer';
import { Laying, planLaying, requestOf, type LayingPlan } from '#laying';
import type { MarkerRequest, Nap } from '#marker';
import { garmentsToLay } from '../test/support/garments-to-lay.js';

// npm run bench -- marker-trousers [COUNTS]
// Drop-crotch trousers of different bodies with all shell pieces on 1500 mm cloth, every nap, by a fixed amount of work,
// against what one would else take from the registry: a rectangle packer on the pieces' boxes (maxrects-packer).

const NAPS: readonly Nap[] = ['free', 'per-garment', 'one-way'];
/** Moves a piece by number of garments: some 10 seconds of one core for each but the smallest. */
const MOVES_PER_PIECE: Readonly<Record<number, number>> = { 1: 6_000, 3: 3_000, 9: 1_500, 27: 500 };
const CLOTH = { widthMm: 1500, selvedgeMm: 10, endMarginMm: 20, gapMm: 3 } as const;

const counts = (process.argv[3] ?? '1,3,9,27').split(',').map(Number);
console.log('| trousers | pieces | nap | boxes m | marker m | utilisation | saved m | saved % | CPU s |');
console.log('|---|---|---|---|---|---|---|---|---|');
for (const count of counts) {
  for (const nap of NAPS) {
    const plan = planOf(count, nap);
    const before = process.cpuUsage();
    const laid = new Laying(plan, { seed: 1, chain: 0 }).layTo(MOVES_PER_PIECE[count] ?? 500);
    const { user } = process.cpuUsage(before);
    const [{ marker }] = laid.markers;
    const boxesMm = byBoxes(requestOf(plan, laid.markers[0]));
    const { length, utilisation } = marker.figures;
    const cells = [
      count,
      marker.placements.length,
      nap,
      (boxesMm / 1000).toFixed(2),
      (length / 1000).toFixed(2),
      `${(100 * utilisation).toFixed(1)} %`,
      ((boxesMm - length) / 1000).toFixed(2),
      `${((100 * (boxesMm - length)) / boxesMm).toFixed(1)} %`,
      (user / 1e6).toFixed(0),
    ];
    console.log(`| ${cells.join(' | ')} |`);
  }
}

function planOf(count: number, nap: Nap): LayingPlan {
  const answer = planLaying({
    reference: 'bench',
    garments: garmentsToLay(count),
    cloths: [{ ...CLOTH, name: 'cloth', use: 'shell', nap }],
  });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  return answer.plan;
}

/** The shortest cloth on which the packer lays all boxes, found by halving to a millimetre; the better of its two rules. */
function byBoxes({ pieces, garments }: MarkerRequest): number {
  const sizes = new Map(
    pieces.map(({ id, outline }) => {
      const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)];
      return [id, [Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)] as const];
    }),
  );
  const boxes = garments.flatMap((garment) =>
    garment.pieces.flatMap(({ piece, plain, mirrored = 0 }) =>
      Array.from({ length: plain + mirrored }, () => sizes.get(piece) ?? ([0, 0] as const)),
    ),
  );
  const usable = CLOTH.widthMm - 2 * CLOTH.selvedgeMm;
  const fits = (length: number, logic: PACKING_LOGIC): boolean => {
    const options = { smart: false, pot: false, square: false, allowRotation: false, logic };
    const packer = new MaxRectsPacker(usable, length, CLOTH.gapMm, options);
    packer.addArray(boxes.map(([along, across]) => new Rectangle(across, along)));
    return packer.bins.length === 1 && packer.bins[0].rects.length === boxes.length;
  };
  const shortest = [PACKING_LOGIC.MAX_AREA, PACKING_LOGIC.MAX_EDGE].map((logic) => {
    let [low, high] = [0, boxes.reduce((sum, [along]) => sum + along + CLOTH.gapMm, 0) + 1];
    while (high - low > 1) {
      const middle = (low + high) / 2;
      if (fits(middle, logic)) high = middle;
      else low = middle;
    }
    return high;
  });
  return Math.min(...shortest) + 2 * CLOTH.endMarginMm;
}
