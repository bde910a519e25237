import { done, mm, refused, type Outcome, type PiecePair } from './outcome.js';
import { seamMissesLevel, seamRecord } from './redraw-seam.js';
import {
  outseamMm,
  sideAndWaistOf,
  sideMoved,
  sideMoveMm,
  sideWaistOf,
  withSideAndWaist,
} from './side-seam.js';

/** A side waist that would have to go further than this was not trued in the block; a design choice. */
const SIDE_WAIST_MOVE_MM_MAX = 25;

/** The slide changes the seam by nearly its own amount; each step leaves a few hundredths of the error before. */
const STEPS_MAX = 24;
/** Two lengths by quadrature are equal here; the certified ones agree with them to less than a micron. */
const EQUAL_MM = 1e-7;

/**
 * Make the back outseam as long as the front by sliding the back side waist along its seam.
 *
 * Why       the front carries pocket and fly; the back gives. Neither hip, knee nor hem moves to hide a difference.
 * Shape     the seam keeps its tangents at hip and waist, the waist's end and its handle go along, so the corner at
 *           the side keeps its angle.
 * Accuracy  lengths equal within 1e-6 mm; `toleranceMm` for the lengths in the record.
 * Errors    refusal SEAM_MISSES_LEVEL, OUTSEAM_MISMATCH.
 */
export function matchOutseam(pieces: PiecePair, hipLevelMm: number, toleranceMm: number): Outcome<PiecePair> {
  const front = sideAndWaistOf(pieces.front, hipLevelMm);
  const back = sideAndWaistOf(pieces.back, hipLevelMm);
  if (front === undefined) return seamMissesLevel(pieces.front, 'outseam', hipLevelMm);
  if (back === undefined) return seamMissesLevel(pieces.back, 'outseam', hipLevelMm);
  const targetMm = outseamMm(front);
  let upMm = 0;
  let moved = back;
  for (let step = 0; step < STEPS_MAX; step++) {
    const shortMm = targetMm - outseamMm(moved);
    if (Math.abs(shortMm) <= EQUAL_MM) break;
    upMm += shortMm;
    if (Math.abs(upMm) > SIDE_WAIST_MOVE_MM_MAX) return mismatch(outseamMm(back) - targetMm);
    moved = sideMoved(back, { upMm, outMm: 0 });
  }
  const leftMm = outseamMm(moved) - targetMm;
  if (Math.abs(leftMm) > toleranceMm) return mismatch(leftMm);
  const matched = { ...pieces, back: withSideAndWaist(pieces.back, moved) };
  return done(matched, [
    seamRecord('match seam', pieces.back, matched.back, 'outseam', toleranceMm),
    {
      operation: 'match seam',
      piece: 'back',
      part: 'side waist',
      byMm: sideMoveMm(back, moved),
      from: sideWaistOf(back),
      to: sideWaistOf(moved),
    },
  ]);
}

function mismatch(differenceMm: number): ReturnType<typeof refused> {
  return refused({
    code: 'OUTSEAM_MISMATCH',
    message: `The back outseam is ${mm(Math.abs(differenceMm))} ${differenceMm > 0 ? 'longer' : 'shorter'} than the front, more than a side waist may be moved to hide.`,
    action: `True the outseams of the block first; up to ${SIDE_WAIST_MOVE_MM_MAX} mm is taken up at the back side waist.`,
    place: { piece: 'back', part: 'outseam' },
    numbers: { differenceMm },
  });
}
