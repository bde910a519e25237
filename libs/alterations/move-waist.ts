import {
  along,
  angleBetween,
  cross,
  distance,
  endDirection,
  endOf,
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
import { edgesOfWaist, waistLineOf, type WaistLine } from './waist-line.js';

/** What is left of a dart below the new waist must be this long; common practice, no source. */
const DART_MM_MIN = 30;
/** Places along a seam are found this well. */
const CUT_TOLERANCE_MM = 1e-5;
/** Above the hip this much of the side seam stays. */
const SIDE_MM_MIN = 40;

/**
 * Move the waist of a piece up or down, parallel to itself.
 *
 * Shape     every end of the waist goes `byMm` along what it ends on: the rise, the outseam and the legs of each dart.
 *           Upwards they are carried on straight, so darts grow with their legs; downwards they are cut. The waist keeps
 *           its angle with every one of them.
 * Units     mm, up when positive.
 * Accuracy  each end within 1e-5 mm of its distance along its seam.
 * Errors    refusal DART_LEGS_CURVED, DART_CUT_OFF, WAIST_BELOW_HIP.
 */
export function moveWaist(
  piece: Piece,
  byMm: number,
  hipLevelMm: number,
  toleranceMm: number,
): Outcome<Piece> {
  if (byMm === 0) return done(piece);
  const waist = waistLineOf(piece);
  const wrong = dartsInTheWay(piece, waist, byMm) ?? belowHip(piece, byMm, hipLevelMm);
  if (wrong !== undefined) return wrong;
  const rise = reversedRun(edgesOf(piece, 'rise'));
  const outseam = edgesOf(piece, 'outseam');
  const newRise = endedBy(rise, byMm);
  const newSide = endedBy(outseam, byMm);
  const darts = waist.darts.map((dart) => lengthened(dart, byMm));
  const runs = waist.runs.map((run, i) => {
    const start = i === 0 ? endOfRun(newSide) : endOf(darts[i - 1].centreLeg.curve);
    const end = i === darts.length ? endOfRun(newRise) : startOf(darts[i].sideLeg.curve);
    const moved = betweenPoints(run, start, end);
    const sided = i === 0 ? startTurned(moved, turnOf(outseam, newSide)) : moved;
    return i === darts.length ? endTurnedBy(sided, turnOf(rise, newRise)) : sided;
  });
  const moved: Piece = {
    ...piece,
    edges: [
      ...reversedRun(newRise),
      ...piece.edges.filter(({ role }) => role === 'inseam' || role === 'hem'),
      ...newSide,
      ...edgesOfWaist({ runs, darts }),
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

function lengthened(dart: Dart, byMm: number): Dart {
  const { apex, sideLeg, centreLeg } = dart;
  const side = along(startOf(sideLeg.curve), opposite(startDirection(sideLeg.curve)), byMm);
  const centre = along(endOf(centreLeg.curve), endDirection(centreLeg.curve), byMm);
  return {
    apex,
    sideLeg: { ...sideLeg, curve: line(side, apex) },
    centreLeg: { ...centreLeg, curve: line(apex, centre) },
  };
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

function dartsInTheWay(piece: Piece, { darts }: WaistLine, byMm: number): Refused | undefined {
  const place = { piece: piece.role, part: 'dart' };
  if (
    darts.some(({ sideLeg, centreLeg }) => sideLeg.curve.kind !== 'line' || centreLeg.curve.kind !== 'line')
  ) {
    return refused({
      code: 'DART_LEGS_CURVED',
      message: `A dart of the ${piece.role} has curved legs; where they would go above or below the waist is not known.`,
      action: 'Draw the legs straight, or move the dart out of the waist first.',
      place,
    });
  }
  const shortestMm = Math.min(...darts.map(({ sideLeg, apex }) => distance(startOf(sideLeg.curve), apex)));
  if (shortestMm + byMm >= DART_MM_MIN) return undefined;
  return refused({
    code: 'DART_CUT_OFF',
    message: `Lowered by ${mm(-byMm)} the waist would leave ${mm(Math.max(0, shortestMm + byMm))} of a dart of the ${piece.role}; ${DART_MM_MIN} mm are needed.`,
    action: `Lower the waist by at most ${mm(Math.max(0, Math.floor(shortestMm - DART_MM_MIN)))}, or turn the dart into ease first.`,
    place,
    numbers: { dartMm: shortestMm, byMm },
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
