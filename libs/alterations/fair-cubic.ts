import { along, cross, cubic, distance, dot, meet, way, type CubicBezier, type Point } from '#geometry';

/** A fair curve and the corner its end tangents make, when they make one ahead of the start and behind the end. */
export interface FairCubic {
  readonly curve: CubicBezier;
  readonly arms?: { readonly startMm: number; readonly endMm: number };
}

/**
 * How far the handles reach along the two arms of the corner. A longer arm gets a smaller share, so that the curve
 * bends evenly instead of saving its turn for the short arm. Design choices; they keep the least radius of the
 * drawn inseams above 20 mm down to a drop of a third of the way to the knee.
 */
const SHARE = 0.6;
const BALANCE = 0.14;
const START_SHARE = { min: 0.4, max: 0.92 };
const END_SHARE = { min: 0.3, max: 0.92 };
/** Handles never pass each other's half of a nearly straight seam. */
const CHORD_SHARE_MAX = 0.8;
/**
 * A handle of next to no length saves the whole turn for the last millimetre, which is a kink. It is at least this share
 * of the chord, and past its corner then by no more than this to the side, so that only slight turns get it.
 */
const HANDLE_SHARE_MIN = 0.1;
const PAST_CORNER_MM_MAX = 1;
/** Share of the chord for both handles where the tangents make no corner. */
const NO_CORNER_SHARE = 0.36;

/**
 * Draw a fair curve between two points with given tangents.
 *
 * Shape   one cubic from `from`, leaving along `leaving`, to `to`, arriving along `arriving`; directions of travel,
 *         of length 1. Where the tangents meet in a corner the curve stays inside it and bends one way only, but for
 *         a slight turn with its corner all but at one end: that is spread over a tenth of the chord, within 1 mm.
 * Edges   tangents that make no corner give an S or a hook with moderate handles, and no `arms`.
 */
export function fairCubic(from: Point, leaving: Point, to: Point, arriving: Point): FairCubic {
  const chordMm = distance(from, to);
  const corner = meet(from, leaving, to, arriving);
  const startMm = corner === undefined ? 0 : dot(way(from, corner), leaving);
  const endMm = corner === undefined ? 0 : dot(way(corner, to), arriving);
  if (!(startMm > 0 && endMm > 0)) {
    const handleMm = NO_CORNER_SHARE * chordMm;
    return { curve: handled(from, leaving, handleMm, to, arriving, handleMm) };
  }
  const balance = BALANCE * Math.log(endMm / startMm);
  const leastMm = Math.min(
    HANDLE_SHARE_MIN * chordMm,
    PAST_CORNER_MM_MAX / Math.abs(cross(leaving, arriving)),
  );
  const handleMm = (share: number, armMm: number): number =>
    Math.max(leastMm, Math.min(share * armMm, CHORD_SHARE_MAX * chordMm));
  const first = handleMm(within(SHARE + balance, START_SHARE), startMm);
  const second = handleMm(within(SHARE - balance, END_SHARE), endMm);
  return { curve: handled(from, leaving, first, to, arriving, second), arms: { startMm, endMm } };
}

/** A cubic by its ends, its directions of travel there and the lengths of its handles. */
export function handled(
  from: Point,
  leaving: Point,
  firstMm: number,
  to: Point,
  arriving: Point,
  secondMm: number,
): CubicBezier {
  return cubic(from, along(from, leaving, firstMm), along(to, arriving, -secondMm), to);
}

function within(value: number, range: { readonly min: number; readonly max: number }): number {
  return Math.max(range.min, Math.min(range.max, value));
}
