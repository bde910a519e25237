import { endOf, startOf, type Curve } from '#geometry';
import type { BlockTolerances } from './block-tolerances.js';
import { checkPiece } from './check-piece.js';
import type { Finding } from './finding.js';
import { curvesOf, edgesOf, seamLengthMm } from './outline.js';
import type { Block, Piece } from './piece.js';
import { inMm, longerBy } from './wording.js';

/**
 * Every problem of a block from anywhere, all at once.
 *
 * Who brings a pattern wants one list to work through, not one error per try. `stop` means that nothing can be
 * drawn on this block; `warning` means that it is trued first, or that it cuts badly.
 *
 * Edges   where one fault makes another question senseless (no inseam: how long is it?), only the first is said.
 *         A coordinate that is not a number, or an edge that cannot be told from another, hides everything else.
 * Cost    about 1 ms.
 */
export function checkBlock(block: Block, tolerances: BlockTolerances): Finding[] {
  const pieces = [block.front, block.back];
  const unreadable = [
    ...checkLevelNumbers(block),
    ...pieces.flatMap(checkNumbers),
    ...pieces.flatMap(checkIds),
  ];
  if (unreadable.length > 0) return unreadable;
  return [
    ...checkLevelOrder(block),
    ...pieces.flatMap((piece) => checkPiece(piece, block.levels, tolerances)),
    ...checkHemLevels(block, tolerances.levelMm),
    ...checkCrotchLevel(block, tolerances.levelMm),
    ...checkSeamPair(block, 'inseam', tolerances),
    ...checkSeamPair(block, 'outseam', tolerances),
    ...checkWaistband(block),
  ];
}

function checkLevelNumbers({ levels }: Block): Finding[] {
  return (['hip', 'crotch', 'knee', 'hem'] as const)
    .filter((name) => !Number.isFinite(levels[name]))
    .map((name) => notANumber(`The ${name} level`, { part: name }));
}

function checkNumbers(piece: Piece): Finding[] {
  return piece.edges
    .filter((edge) => !hasNumbers(edge.curve))
    .map((edge) =>
      notANumber(`A coordinate of edge ${edge.id} of the ${piece.role}`, {
        piece: piece.role,
        part: edge.id,
      }),
    );
}

function hasNumbers(curve: Curve): boolean {
  const points = curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3];
  return points.every((p) => Number.isFinite(p.x) && Number.isFinite(p.y));
}

function notANumber(what: string, place: Finding['place'] & object): Finding {
  return {
    code: 'BLOCK_NOT_A_NUMBER',
    level: 'stop',
    message: `${what} is not a number.`,
    action: 'Give every coordinate and every level as a number of millimetres.',
    place,
  };
}

function checkIds(piece: Piece): Finding[] {
  const ids = piece.edges.map((edge) => edge.id);
  return ids
    .filter((id, i) => ids.indexOf(id) === i && ids.lastIndexOf(id) !== i)
    .map((id) => ({
      code: 'BLOCK_EDGE_ID_DOUBLED',
      level: 'stop',
      message: `More than one edge of the ${piece.role} is called ${id}.`,
      action: 'Give every edge of a piece its own name, or none.',
      place: { piece: piece.role, part: id },
    }));
}

function checkLevelOrder(block: Block): Finding[] {
  const { hem, knee, crotch, hip } = block.levels;
  const waist = lowestWaistMm(block);
  const order = [
    { name: 'hem', levelMm: hem },
    { name: 'knee', levelMm: knee },
    { name: 'crotch', levelMm: crotch },
    { name: 'hip', levelMm: hip },
    ...(waist === undefined ? [] : [{ name: 'waist', levelMm: waist }]),
  ];
  return order.slice(1).flatMap((above, i) => {
    const below = order[i];
    if (below.levelMm < above.levelMm) return [];
    return [
      {
        code: 'BLOCK_LEVELS_ORDER',
        level: 'stop',
        message: `The ${below.name} level (${inMm(below.levelMm)}) is not below the ${above.name} (${inMm(above.levelMm)}).`,
        action: 'Levels are heights above the floor: hem, knee, crotch, hip, and the waist above them all.',
        place: { part: below.name },
        numbers: { belowMm: below.levelMm, aboveMm: above.levelMm },
      },
    ];
  });
}

function lowestWaistMm({ front, back }: Block): number | undefined {
  const waist = [...curvesOf(front, 'waist'), ...curvesOf(back, 'waist')];
  if (waist.length === 0) return undefined;
  return Math.min(...waist.flatMap((curve) => [startOf(curve).y, endOf(curve).y]));
}

function checkHemLevels({ front, back }: Block, toleranceMm: number): Finding[] {
  const [frontHem] = curvesOf(front, 'hem');
  const [backHem] = curvesOf(back, 'hem');
  if (frontHem === undefined || backHem === undefined) return [];
  const differenceMm = startOf(backHem).y - startOf(frontHem).y;
  if (Math.abs(differenceMm) <= toleranceMm) return [];
  const where = differenceMm > 0 ? 'above' : 'below';
  return [
    {
      code: 'BLOCK_HEM_LEVELS_DIFFER',
      level: 'stop',
      message: `The hem of the back lies ${inMm(Math.abs(differenceMm))} ${where} the hem of the front.`,
      action: 'Stand both pieces on one hem level.',
      place: { piece: 'back', part: 'hem', at: startOf(backHem) },
      numbers: { differenceMm },
    },
  ];
}

function checkCrotchLevel({ front, levels }: Block, toleranceMm: number): Finding[] {
  const rise = curvesOf(front, 'rise');
  if (rise.length === 0) return [];
  const fork = endOf(rise[rise.length - 1]);
  const differenceMm = fork.y - levels.crotch;
  if (Math.abs(differenceMm) <= toleranceMm) return [];
  return [
    {
      code: 'BLOCK_CROTCH_LEVEL',
      level: 'stop',
      message: `The front fork lies at ${inMm(fork.y)}, the crotch level at ${inMm(levels.crotch)}.`,
      action: 'The crotch level is the level of the front fork: correct one of the two.',
      place: { piece: 'front', part: 'fork', at: fork },
      numbers: { forkMm: fork.y, levelMm: levels.crotch, differenceMm },
    },
  ];
}

function checkSeamPair(
  { front, back }: Block,
  seam: 'inseam' | 'outseam',
  tolerances: BlockTolerances,
): Finding[] {
  if (edgesOf(front, seam).length === 0 || edgesOf(back, seam).length === 0) return [];
  const frontMm = seamLengthMm(front, seam, tolerances.outline.lengthToleranceMm);
  const backMm = seamLengthMm(back, seam, tolerances.outline.lengthToleranceMm);
  const differenceMm = backMm - frontMm;
  if (Math.abs(differenceMm) <= tolerances.seamPairMm) return [];
  return [
    {
      code: 'BLOCK_SEAM_PAIR',
      level: 'warning',
      message: `The ${seam} of the back is ${longerBy(differenceMm)} than that of the front.`,
      action: 'The block is trued before anything is drawn on it; look at what was moved.',
      place: { piece: 'back', part: seam },
      numbers: { frontMm, backMm, differenceMm },
    },
  ];
}

function checkWaistband({ waistbandMm }: Block): Finding[] {
  if (waistbandMm === undefined || waistbandMm > 0) return [];
  return [
    {
      code: 'BLOCK_WAISTBAND',
      level: 'stop',
      message: `The waistband is ${inMm(waistbandMm)} long.`,
      action: 'Give the whole length of the band round the body, or leave it out.',
      place: { part: 'waistband' },
      numbers: { waistbandMm },
    },
  ];
}
