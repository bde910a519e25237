import { curveLength, splitCurve, type Curve, type Point } from '#geometry';
import { inMm, longerBy } from '#pattern';
import type { Found, StatedSeamCheck } from './check-report.js';
import type { CheckSettings, SeamStretch, StatedSeam } from './check-settings.js';
import { footOn, type SeamOutline } from './seam-outline.js';

/** Seams that the request says are sewn to each other. */
export function checkStatedSeams(
  outlines: readonly SeamOutline[],
  settings: CheckSettings,
): { readonly checks: StatedSeamCheck[]; readonly found: Found[] } {
  const found: Found[] = [];
  const checks = settings.seams.flatMap((seam): StatedSeamCheck[] => {
    const [firstMm, secondMm] = [seam.first, seam.second].map((stretch) => stretchMm(outlines, stretch));
    if (firstMm === undefined || secondMm === undefined) {
      found.push(unknownPiece(seam, firstMm === undefined ? seam.first : seam.second));
      return [];
    }
    const difference = secondMm - firstMm - seam.easeMm;
    const allowed = settings.truing.seamPairMm;
    const state = Math.abs(difference) <= allowed ? 'ok' : 'off';
    if (state === 'off') found.push(seamOff(seam, firstMm, secondMm, difference, allowed));
    return [{ name: seam.name, firstMm, secondMm, easeMm: seam.easeMm, difference, allowed, state }];
  });
  return { checks, found };
}

function stretchMm(outlines: readonly SeamOutline[], { piece, from, to }: SeamStretch): number | undefined {
  const outline = outlines.find((each) => each.piece.block === piece || each.piece.name === piece);
  if (outline === undefined) return undefined;
  const curves = outline.curves.map(({ curve }) => curve);
  const wholeMm = curves.reduce((sum, curve) => sum + curveLength(curve, 0.001), 0);
  const [a, b] = [from, to].map((p) => alongMm(curves, p));
  const forwards = (b - a + wholeMm) % wholeMm;
  return Math.min(forwards, wholeMm - forwards);
}

function alongMm(curves: readonly Curve[], p: Point): number {
  const foot = footOn(curves, p);
  const before = curves.slice(0, foot.index).reduce((sum, curve) => sum + curveLength(curve, 0.001), 0);
  return before + curveLength(splitCurve(curves[foot.index], foot.t)[0], 0.001);
}

function unknownPiece({ name }: StatedSeam, { piece }: SeamStretch): Found {
  return {
    code: 'SEAM_PIECE_UNKNOWN',
    level: 'stop',
    message: `The seam ${name} names the piece ${piece}, which the file does not have, or whose outline is open.`,
    action: 'Name a piece by its block or its piece name.',
    place: { part: name },
    basis: 'as the request says',
  };
}

function seamOff(
  { name, first, second, easeMm }: StatedSeam,
  firstMm: number,
  secondMm: number,
  difference: number,
  allowed: number,
): Found {
  return {
    code: 'STATED_SEAM_MISMATCH',
    level: 'stop',
    message: `At the seam ${name}, ${second.piece} is ${longerBy(difference)} than ${first.piece}${easeMm === 0 ? '' : `, beyond the ${inMm(easeMm)} of ease`}.`,
    action: 'Correct one of the two, or state the ease.',
    place: { piece: second.piece, part: name, at: second.from },
    numbers: { firstMm, secondMm, easeMm, differenceMm: difference },
    tolerance: { value: allowed, unit: 'mm' },
    basis: 'as the request says',
  };
}
