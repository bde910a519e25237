import { curveLength, distance, pointAt, splitCurve, startOf, type Curve, type Point } from '#geometry';
import type { ForeignPiece } from '#interchange';
import { inMm, longerBy } from '#pattern';
import { CHOICE, type Found, type StatedSeamCheck } from './check-report.js';
import type { CheckSettings, SeamStretch, StatedSeam } from './check-settings.js';
import { footOn, type SeamOutline } from './seam-outline.js';

/** A stated end lies this near to its outline, and belongs to a corner of it within as much. */
export const END_MM = 2;
/** A corner of the cut line stands for the corner of the seam line within this: two of the widest allowances. */
const CUT_CORNER_MM = 100;

interface Stretch {
  readonly block: string;
  readonly lengthMm: number;
}

/**
 * Seams that the request says are sewn to each other.
 *
 * Shape  an end is the corner of the seam line within 2 mm of the point that was sent, else the nearest place on it; a
 *        corner of the cut line stands for that of the seam line. A point that lies at neither is asked about, and its
 *        seam is not measured.
 */
export function checkStatedSeams(
  outlines: readonly SeamOutline[],
  settings: CheckSettings,
): { readonly checks: StatedSeamCheck[]; readonly found: Found[] } {
  const found: Found[] = [];
  const checks = settings.seams.flatMap((seam): StatedSeamCheck[] => {
    const read = [seam.first, seam.second].map((stretch) => readStretch(outlines, seam, stretch));
    const [first, second] = read;
    if ('found' in first || 'found' in second) {
      found.push(...read.flatMap((each) => ('found' in each ? each.found : [])));
      return [];
    }
    const [firstMm, secondMm] = [first.lengthMm, second.lengthMm];
    const difference = secondMm - firstMm - seam.easeMm;
    const allowed = settings.truing.seamPairMm;
    const state = Math.abs(difference) <= allowed ? 'ok' : 'off';
    if (state === 'off') found.push(seamOff(seam, firstMm, secondMm, difference, allowed));
    const [firstPiece, secondPiece] = [first.block, second.block];
    return [
      {
        name: seam.name,
        firstPiece,
        secondPiece,
        firstMm,
        secondMm,
        easeMm: seam.easeMm,
        difference,
        allowed,
        state,
      },
    ];
  });
  return { checks, found };
}

function readStretch(
  outlines: readonly SeamOutline[],
  seam: StatedSeam,
  { piece: name, from, to }: SeamStretch,
): Stretch | { readonly found: Found[] } {
  const outline = outlines.find(({ piece }) => piece.block === name || piece.name === name);
  if (outline === undefined || outline.isSeamOpen) return { found: [unknownPiece(seam, name, outlines)] };
  const curves = outline.curves.map(({ curve }) => curve);
  const lengths = curves.map((curve) => curveLength(curve, 0.001));
  const starts = [0];
  for (const mm of lengths) starts.push(starts[starts.length - 1] + mm);
  const wholeMm = starts[lengths.length];
  const ends = [from, to].map((p) => ({ p, alongMm: alongMm(outline, curves, starts, p) }));
  const off = ends.filter(({ alongMm: mm }) => mm === undefined);
  if (off.length > 0) return { found: off.map(({ p }) => endOff(seam, outline, p)) };
  const forwards = ((ends[1].alongMm ?? 0) - (ends[0].alongMm ?? 0) + wholeMm) % wholeMm;
  return { block: outline.piece.block, lengthMm: Math.min(forwards, wholeMm - forwards) };
}

/** Where on the outline an end lies, from its start; undefined where it lies beside. */
function alongMm(
  outline: SeamOutline,
  curves: readonly Curve[],
  starts: readonly number[],
  p: Point,
): number | undefined {
  const corner = nearestCorner(outline, p, END_MM);
  if (corner !== undefined) return starts[corner];
  const foot = footOn(curves, p);
  if (foot.apartMm <= END_MM)
    return starts[foot.index] + curveLength(splitCurve(curves[foot.index], foot.t)[0], 0.001);
  const meant = isCorner(outline.piece, p) ? nearestCorner(outline, p, CUT_CORNER_MM) : undefined;
  return meant === undefined ? undefined : starts[meant];
}

/** The curve that starts at the corner of the seam line nearest to a place. */
function nearestCorner({ curves, turns }: SeamOutline, p: Point, withinMm: number): number | undefined {
  let best: number | undefined;
  let leastMm = withinMm;
  for (const [i, { curve, first }] of curves.entries()) {
    const mm = turns[first % turns.length] ? distance(startOf(curve), p) : Infinity;
    if (mm <= leastMm) [best, leastMm] = [i, mm];
  }
  return best;
}

/** A corner of the cut line as the corner of the seam line that it stands for. */
export function atSeam(outline: SeamOutline, p: Point): Point {
  const { piece } = outline;
  const isOnSeam = nearestCorner(outline, p, END_MM) !== undefined;
  if (isOnSeam || !isCorner(piece, p)) return p;
  const meant = nearestCorner(outline, p, CUT_CORNER_MM);
  return meant === undefined ? p : startOf(outline.curves[meant].curve);
}

function isCorner({ turnPoints }: ForeignPiece, p: Point): boolean {
  return turnPoints.some((corner) => distance(corner, p) <= END_MM);
}

function unknownPiece({ name }: StatedSeam, piece: string, outlines: readonly SeamOutline[]): Found {
  const known = outlines.filter(({ isSeamOpen }) => !isSeamOpen).map((each) => each.piece.block);
  return {
    code: 'SEAM_PIECE_UNKNOWN',
    level: 'stop',
    message: `The seam ${name} names the piece ${piece}, which the file does not have, or whose outline is open.`,
    action:
      known.length === 0
        ? 'Name a piece by its block or its piece name.'
        : `Name a piece by its block or its piece name: ${known.slice(0, PIECES_NAMED).join(', ')}.`,
    place: { part: name },
    basis: 'as the request says',
  };
}

const PIECES_NAMED = 20;

function endOff({ name }: StatedSeam, { piece, curves }: SeamOutline, p: Point): Found {
  const foot = footOn(
    curves.map(({ curve }) => curve),
    p,
  );
  const at = pointAt(curves[foot.index].curve, foot.t);
  return {
    code: 'SEAM_POINT_OFF',
    level: 'stop',
    message: `The seam ${name} was not measured: its end (${words(p)}) lies ${inMm(foot.apartMm)} beside the seam line of ${piece.block}.`,
    action: `Send a place on it, in the frame of the piece; the nearest is (${words(at)}).`,
    place: { piece: piece.block, part: name, at },
    numbers: { apartMm: foot.apartMm },
    tolerance: { value: END_MM, unit: 'mm' },
    basis: CHOICE,
  };
}

function words({ x, y }: Point): string {
  return `${x.toFixed(1)}, ${y.toFixed(1)}`;
}

function seamOff(
  { name, first, second, easeMm }: StatedSeam,
  firstMm: number,
  secondMm: number,
  difference: number,
  allowed: number,
): Found {
  const is = secondMm - firstMm;
  const isAlike = inMm(Math.abs(is)) === inMm(0);
  return {
    code: 'STATED_SEAM_MISMATCH',
    level: 'stop',
    message: `At the seam ${name}, ${second.piece} (${inMm(secondMm)}) is ${isAlike ? 'as long as' : `${longerBy(is)} than`} ${first.piece} (${inMm(firstMm)}); it is meant to be ${easeMm === 0 ? 'as long' : longerBy(easeMm)}.`,
    action: 'Correct one of the two, or state the ease.',
    place: { piece: second.piece, part: name, at: second.from },
    numbers: { firstMm, secondMm, easeMm, differenceMm: difference },
    tolerance: { value: allowed, unit: 'mm' },
    basis: 'as the request says',
  };
}
