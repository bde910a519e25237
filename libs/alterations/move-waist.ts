import {
  along,
  angleBetween,
  cross,
  direction,
  distance,
  endDirection,
  endOf,
  lerp,
  line,
  opposite,
  startDirection,
  startOf,
  turnAbout,
  way,
  type Point,
} from '#geometry';
import { edgesOf, seamLengthMm, type Dart, type Edge, type Piece } from '#pattern';
import { carrySeamEnd, raised } from './carry-seam-end.js';
import { edgeBeyond } from './edge-identity.js';
import { done, mm, refused, type Outcome, type Refused } from './outcome.js';
import { endOfRun, reversedRun, runLengthMm, splitRun, stationAtLength, withEnd } from './run.js';
import { edgesOfWaist, joinedRuns, waistLineOf, type WaistLine } from './waist-line.js';

/** A dart of which less than this would be left is not sewn any more; common practice, no source. */
const DART_MM_MIN = 30;
/** Places along a seam are found this well. */
const CUT_TOLERANCE_MM = 1e-5;
/** Coordinates are written to this; a seam carried on by less would have the direction of its rounding. */
const LEAST_MM = 1e-6;
/** Above the hip this much of the side seam stays. */
const SIDE_MM_MIN = 25;

/**
 * Move the waist of a piece up or down, parallel to itself.
 *
 * Shape     every end of the waist goes `byMm` along what it ends on: the rise, the outseam and the legs of each dart.
 *           Upwards they are carried on straight, so darts grow with their legs; downwards they are cut. The waist keeps
 *           its angle with every one of them. A dart of which less than `DART_MM_MIN` would be left is gone: the waist
 *           runs on across it, longer by what little it still took in there.
 * Units     mm, up when positive.
 * Accuracy  each end within 1e-5 mm of its distance along its seam.
 * Errors    refusal DART_LEGS_CURVED, WAIST_BELOW_HIP.
 */
export function moveWaist(
  piece: Piece,
  byMm: number,
  hipLevelMm: number,
  toleranceMm: number,
): Outcome<Piece> {
  if (Math.abs(byMm) < LEAST_MM) return done(piece);
  const waist = waistLineOf(piece);
  const wrong = curvedDart(piece, waist) ?? belowHip(piece, byMm, hipLevelMm);
  if (wrong !== undefined) return wrong;
  const rise = reversedRun(edgesOf(piece, 'rise'));
  const outseam = edgesOf(piece, 'outseam');
  const newRise = endedBy(rise, byMm);
  const newSide = endedBy(outseam, byMm);
  const darts = waist.darts.map((dart) => lengthened(dart, byMm));
  const last = darts.length;
  const runs = waist.runs.map((run, i) => {
    const start = i === 0 ? endOfRun(newSide) : darts[i - 1].centreEnd;
    const end = i === last ? endOfRun(newRise) : darts[i].sideEnd;
    const moved = betweenPoints(run, start, end);
    const sided = i === 0 ? startTurned(moved, turnOf(outseam, newSide)) : moved;
    return i === last ? endTurnedBy(sided, turnOf(rise, newRise)) : sided;
  });
  const moved: Piece = {
    ...piece,
    edges: [
      ...reversedRun(newRise),
      ...piece.edges.filter(({ role }) => role === 'inseam' || role === 'hem'),
      ...newSide,
      ...edgesOfWaist(withoutCutDarts(runs, darts)),
    ],
  };
  const beforeMm = seamLengthMm(piece, 'waist', toleranceMm);
  const afterMm = seamLengthMm(moved, 'waist', toleranceMm);
  const record = { operation: 'move waist', piece: piece.role };
  return done(moved, [
    { ...record, part: 'waist line', byMm: Math.abs(byMm), from: endOfRun(rise), to: endOfRun(newRise) },
    { ...record, part: 'waist', byMm: afterMm - beforeMm, beforeMm, afterMm },
  ]);
}

/** A run that ends at the waist, cut or carried on. */
function endedBy(run: readonly Edge[], byMm: number): Edge[] {
  const last = run[run.length - 1];
  if (byMm > 0) {
    const end = endOf(last.curve);
    const to = along(end, endDirection(last.curve), byMm);
    if (last.curve.kind === 'line') return [...run.slice(0, -1), { ...last, curve: withEnd(last.curve, to) }];
    return [...run, edgeBeyond(last, line(end, to))];
  }
  const station = stationAtLength(run, runLengthMm(run) + byMm, CUT_TOLERANCE_MM);
  return splitRun(run, station)[0];
}

/** A dart with its legs cut or carried on, or nothing of it; and where the waist meets it on either side. */
interface MovedDart {
  readonly dart: Dart | undefined;
  readonly sideEnd: Point;
  readonly centreEnd: Point;
}

function lengthened({ apex, sideLeg, centreLeg }: Dart, byMm: number): MovedDart {
  const sideMm = distance(startOf(sideLeg.curve), apex);
  if (sideMm + byMm < DART_MM_MIN) {
    const mouth = lerp(startOf(sideLeg.curve), endOf(centreLeg.curve), 1 / 2);
    const middle = along(apex, direction(apex, mouth), sideMm + byMm);
    return { dart: undefined, sideEnd: middle, centreEnd: middle };
  }
  const sideEnd = along(startOf(sideLeg.curve), opposite(startDirection(sideLeg.curve)), byMm);
  const centreEnd = along(endOf(centreLeg.curve), endDirection(centreLeg.curve), byMm);
  const dart: Dart = {
    apex,
    sideLeg: { ...sideLeg, curve: line(sideEnd, apex) },
    centreLeg: { ...centreLeg, curve: line(apex, centreEnd) },
  };
  return { dart, sideEnd, centreEnd };
}

function withoutCutDarts(runs: readonly Edge[][], moved: readonly MovedDart[]): WaistLine {
  const joined: Edge[][] = [runs[0]];
  const darts: Dart[] = [];
  for (const [i, { dart }] of moved.entries()) {
    if (dart === undefined) joined.push(joinedRuns(joined.pop() ?? [], runs[i + 1]));
    else {
      darts.push(dart);
      joined.push(runs[i + 1]);
    }
  }
  return { runs: joined, darts };
}

function betweenPoints(run: readonly Edge[], start: Point, end: Point): Edge[] {
  if (run.length === 0) return [];
  const ended = carrySeamEnd(run, 'end', way(endOfRun(run), end));
  return carrySeamEnd(ended, 'start', way(startOf(ended[0].curve), start));
}

/** The angle by which a seam that was cut arrives differently at its end. */
function turnOf(before: readonly Edge[], after: readonly Edge[]): number {
  const was = endDirection(before[before.length - 1].curve);
  const is = endDirection(after[after.length - 1].curve);
  return Math.sign(cross(was, is)) * angleBetween(was, is);
}

function startTurned(run: readonly Edge[], turnRad: number): Edge[] {
  if (turnRad === 0 || run.length === 0) return [...run];
  const [first, ...rest] = run;
  const { p0, p1, p2, p3 } = raised(first.curve);
  return [{ ...first, curve: { kind: 'cubic', p0, p1: turnAbout(p1, p0, turnRad), p2, p3 } }, ...rest];
}

function endTurnedBy(run: readonly Edge[], turnRad: number): Edge[] {
  return reversedRun(startTurned(reversedRun(run), turnRad));
}

function curvedDart(piece: Piece, { darts }: WaistLine): Refused | undefined {
  const straight = darts.every(
    ({ sideLeg, centreLeg }) => sideLeg.curve.kind === 'line' && centreLeg.curve.kind === 'line',
  );
  if (straight) return undefined;
  return refused({
    code: 'DART_LEGS_CURVED',
    message: `A dart of the ${piece.role} has curved legs; where they would go above or below the waist is not known.`,
    action: 'Draw the legs straight, or turn the dart into ease first.',
    place: { piece: piece.role, part: 'dart' },
  });
}

function belowHip(piece: Piece, byMm: number, hipLevelMm: number): Refused | undefined {
  const sideMm = endOfRun(edgesOf(piece, 'outseam')).y - hipLevelMm;
  if (sideMm + byMm >= SIDE_MM_MIN) return undefined;
  return refused({
    code: 'WAIST_BELOW_HIP',
    message: `Lowered by ${mm(-byMm)} the waist would lie ${mm(Math.max(0, sideMm + byMm))} above the hip line at the side; ${SIDE_MM_MIN} mm are needed.`,
    action: `Lower the waist by at most ${mm(Math.max(0, Math.floor(sideMm - SIDE_MM_MIN)))}.`,
    place: { piece: piece.role, part: 'waist' },
    numbers: { byMm },
  });
}
