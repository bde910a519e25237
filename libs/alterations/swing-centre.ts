import { cubic, endOf, lerp, startOf, turnAbout, way, type Point } from '#geometry';
import { edgesOf, type Edge, type Moved, type Piece } from '#pattern';
import { raised } from './carry-seam-end.js';
import { edgesOfWaist, endTurned, waistLineOf } from './waist-line.js';
import { done, refused, type Outcome } from './outcome.js';

/** A centre seam that turns by more leaves the body; a design choice. */
const SWING_RAD_MAX = Math.PI / 6;
/** Share of a rise that is straight down to the fork about whose end its upper part turns. */
const STRAIGHT_PIVOT_SHARE = 0.5;
/** Handles of a third keep a straight rise nearly straight. */
const HANDLE_SHARE = 1 / 3;

/**
 * Swing the upper, straight part of a rise outwards about its lower end, and the waist's end with it.
 *
 * Why       a waist that has to pass the hip needs its width at the centre too, not at the sides alone.
 * Shape     the centre waist goes `byMm` round the pivot, outwards when positive; the curve below takes the new
 *           direction over, its end at the fork and its direction there are kept, so the corner at the fork is too. The
 *           waist arrives turned by as much, so it stays square. A rise that is straight down to the fork bends.
 * Errors    refusal SWING_TOO_FAR.
 */
export function swingCentre(piece: Piece, byMm: number): Outcome<Piece> {
  if (byMm === 0) return done(piece);
  const rise = edgesOf(piece, 'rise');
  const top = startOf(rise[0].curve);
  const pivot = pivotOf(rise);
  const turnRad = Math.sign(byMm) * Math.asin(Math.min(1, Math.abs(byMm) / (2 * lengthOf(pivot, top)))) * 2;
  if (Math.abs(turnRad) > SWING_RAD_MAX) return tooFar(piece, byMm);
  // Seen from the pivot the inseam side lies on the right of the way up: outwards is clockwise.
  const turn = (p: Point): Point => turnAbout(p, pivot, -turnRad);
  const waist = waistLineOf(piece);
  const last = waist.runs.length - 1;
  const run = endTurned(waist.runs[last], turn);
  const swung: Piece = {
    ...piece,
    edges: [
      ...swungRise(rise, pivot, turn),
      ...piece.edges.filter(({ role }) => role !== 'rise' && role !== 'waist' && role !== 'dart'),
      ...edgesOfWaist({ ...waist, runs: waist.runs.with(last, run) }),
    ],
  };
  const to = turn(top);
  const moved: Moved = {
    operation: 'swing centre',
    piece: piece.role,
    part: 'centre waist',
    byMm: lengthOf(top, to),
    from: top,
    to,
  };
  return done(swung, [moved]);
}

function lengthOf(from: Point, to: Point): number {
  const { x, y } = way(from, to);
  return Math.sqrt(x * x + y * y);
}

function pivotOf(rise: readonly Edge[]): Point {
  const [{ curve }] = rise;
  if (rise.length > 1) return endOf(curve);
  return lerp(startOf(curve), endOf(curve), STRAIGHT_PIVOT_SHARE);
}

function swungRise(rise: readonly Edge[], pivot: Point, turn: (p: Point) => Point): Edge[] {
  const [first, second, ...rest] = rise as readonly [Edge, Edge | undefined, ...Edge[]];
  if (second === undefined) {
    const fork = endOf(first.curve);
    const top = turn(startOf(first.curve));
    return [
      {
        ...first,
        curve: cubic(top, lerp(top, pivot, 2 * HANDLE_SHARE), lerp(fork, pivot, 2 * HANDLE_SHARE), fork),
      },
    ];
  }
  const { p0, p1, p2, p3 } = raised(second.curve);
  const upper =
    first.curve.kind === 'line' ? { ...first.curve, p0: turn(first.curve.p0) } : raised(first.curve);
  const turnedUpper =
    upper.kind === 'line' ? upper : { ...upper, p0: turn(upper.p0), p1: turn(upper.p1), p2: turn(upper.p2) };
  return [{ ...first, curve: turnedUpper }, { ...second, curve: cubic(p0, turn(p1), p2, p3) }, ...rest];
}

function tooFar(piece: Piece, byMm: number): ReturnType<typeof refused> {
  return refused({
    code: 'SWING_TOO_FAR',
    message: `The centre waist of the ${piece.role} cannot go ${Math.abs(byMm).toFixed(0)} mm sideways.`,
    action: 'Swing the centre by less, and let the side seams out by more.',
    place: { piece: piece.role, part: 'centre waist' },
    numbers: { byMm },
  });
}
