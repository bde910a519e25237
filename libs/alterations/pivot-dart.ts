import {
  angleBetween,
  cross,
  distance,
  endOf,
  line,
  mapCurve,
  startOf,
  turnAbout,
  way,
  type Point,
} from '#geometry';
import type { Dart, Edge, Piece } from '#pattern';
import { done, mm, refused, type Outcome } from './outcome.js';
import { endOfRun, runLengthMm, SHORTEST_EDGE_MM, splitRun, startOfRun, stationAtLength } from './run.js';
import { edgesOfWaist, joinedRuns, waistLineOf, type WaistLine } from './waist-line.js';

/** What a dart leaves of the waist on either side; common practice, no source. */
const BESIDE_DART_MM_MIN = 15;
const CUT_TOLERANCE_MM = 1e-5;

/**
 * Pivot a dart along the waist about its point: closed where it is and opened `byMm` further to the side.
 *
 * Why       the waist between the old place and the new turns about the point as the cloth does, so nothing is added
 *           or lost: waist and dart keep their lengths to rounding.
 * Shape     `byMm` is measured along the waist, towards the side when positive. The point of the dart stays.
 * Errors    refusal NO_DART, DART_MOVED_TOO_FAR, DART_MOVED_TOO_LITTLE.
 */
export function pivotDart(piece: Piece, index: number, byMm: number): Outcome<Piece> {
  const waist = waistLineOf(piece);
  if (index >= waist.darts.length) return noDart(piece, index);
  const run = waist.runs[byMm > 0 ? index : index + 1];
  const roomMm = runLengthMm(run) - BESIDE_DART_MM_MIN;
  if (Math.abs(byMm) > roomMm) return tooFar(piece, byMm, roomMm);
  if (byMm === 0) return done(piece);
  if (Math.abs(byMm) < SHORTEST_EDGE_MM) return tooLittle(piece, byMm);
  const moved = byMm > 0 ? towardsSide(waist, index, byMm) : towardsCentre(waist, index, -byMm);
  const rest = piece.edges.filter(({ role }) => role !== 'waist' && role !== 'dart');
  const from = startOf(waist.darts[index].sideLeg.curve);
  const to = startOf(moved.darts[index].sideLeg.curve);
  const record = {
    operation: 'pivot dart',
    piece: piece.role,
    part: 'dart',
    byMm: distance(from, to),
    from,
    to,
  };
  return done({ ...piece, edges: [...rest, ...edgesOfWaist(moved)] }, [record]);
}

function towardsSide(waist: WaistLine, index: number, byMm: number): WaistLine {
  const dart = waist.darts[index];
  const run = waist.runs[index];
  const station = stationAtLength(run, runLengthMm(run) - byMm, CUT_TOLERANCE_MM);
  const [kept, passed] = splitRun(run, station);
  const turn = turning(dart, 1);
  const turned = passed.map((edge) => ({ ...edge, curve: mapCurve(edge.curve, turn) }));
  return exchanged(waist, index, kept, joinedRuns(turned, waist.runs[index + 1]));
}

function towardsCentre(waist: WaistLine, index: number, byMm: number): WaistLine {
  const dart = waist.darts[index];
  const run = waist.runs[index + 1];
  const [passed, kept] = splitRun(run, stationAtLength(run, byMm, CUT_TOLERANCE_MM));
  const turn = turning(dart, -1);
  const turned = passed.map((edge) => ({ ...edge, curve: mapCurve(edge.curve, turn) }));
  return exchanged(waist, index, joinedRuns(waist.runs[index], turned), kept);
}

function exchanged(waist: WaistLine, index: number, side: Edge[], centre: Edge[]): WaistLine {
  const { apex, sideLeg, centreLeg } = waist.darts[index];
  const dart: Dart = {
    apex,
    sideLeg: { ...sideLeg, curve: line(endOfRun(side), apex) },
    centreLeg: { ...centreLeg, curve: line(apex, startOfRun(centre)) },
  };
  return {
    runs: [...waist.runs.slice(0, index), side, centre, ...waist.runs.slice(index + 2)],
    darts: waist.darts.with(index, dart),
  };
}

/** Turns what lies on the side of a dart onto the centre as the closed dart does (1), or back (-1). */
function turning({ apex, sideLeg, centreLeg }: Dart, way1: 1 | -1): (p: Point) => Point {
  const side = way(apex, startOf(sideLeg.curve));
  const centre = way(apex, endOf(centreLeg.curve));
  const angleRad = Math.sign(cross(side, centre)) * angleBetween(side, centre) * way1;
  return (p) => turnAbout(p, apex, angleRad);
}

function noDart(piece: Piece, index: number): ReturnType<typeof refused> {
  return refused({
    code: 'NO_DART',
    message: `The ${piece.role} has no dart number ${index + 1} to be moved.`,
    action: 'Leave this alteration out, or make it before the one that takes the dart away.',
    place: { piece: piece.role, part: 'waist' },
  });
}

function tooLittle(piece: Piece, byMm: number): ReturnType<typeof refused> {
  return refused({
    code: 'DART_MOVED_TOO_LITTLE',
    message: `The ${piece.role} dart cannot go less than ${mm(SHORTEST_EDGE_MM)}; there would be no waist between its old place and the new.`,
    action: 'Move it further, or leave it where it is.',
    place: { piece: piece.role, part: 'dart' },
    numbers: { byMm },
  });
}

function tooFar(piece: Piece, byMm: number, roomMm: number): ReturnType<typeof refused> {
  return refused({
    code: 'DART_MOVED_TOO_FAR',
    message: `The ${piece.role} dart cannot go ${mm(Math.abs(byMm))}; ${BESIDE_DART_MM_MIN} mm of waist have to stay beside it.`,
    action: `Move it by at most ${mm(Math.max(0, Math.floor(roomMm)))} that way.`,
    place: { piece: piece.role, part: 'dart' },
    numbers: { byMm, largestMm: roomMm },
  });
}
