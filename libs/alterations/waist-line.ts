import {
  angleBetween,
  cross,
  distance,
  endOf,
  startOf,
  turnAbout,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { dartsOf, pleatsOf, type Dart, type Edge, type Piece } from '#pattern';
import { carrySeamEnd, raised } from './carry-seam-end.js';
import { reversedRun, withEnd, withStart } from './run.js';

/**
 * A waist as darts divide it: `runs[i]` lies on the side of `darts[i]`, the last run ends at the centre. The two edges
 * of a pleat are part of the run they lie in.
 */
export interface WaistLine {
  readonly runs: readonly (readonly Edge[])[];
  readonly darts: readonly Dart[];
}

export function waistLineOf(piece: Piece): WaistLine {
  const darts = dartsOf(piece);
  const pleated = new Set(pleatsOf(piece).flatMap(({ sideLeg, centreLeg }) => [sideLeg, centreLeg]));
  const runs: Edge[][] = [[]];
  for (const edge of piece.edges) {
    if (edge.role === 'waist' || pleated.has(edge)) runs[runs.length - 1].push(edge);
    // A dart is two edges; the second one opens the next run.
    else if (darts.some((dart) => dart.centreLeg === edge)) runs.push([]);
  }
  return { runs, darts };
}

/** The edges of a waist in outline order. */
export function edgesOfWaist({ runs, darts }: WaistLine): Edge[] {
  return runs.flatMap((run, i) => (i < darts.length ? [...run, darts[i].sideLeg, darts[i].centreLeg] : run));
}

/** Straight distance between the two ends of a dart at the waist, in mm. */
export function intakeMm(dart: Dart): number {
  return distance(startOf(dart.sideLeg.curve), endOf(dart.centreLeg.curve));
}

/**
 * Release a dart: give part of its intake back to the waist, or all of it.
 *
 * Shape   each leg turns about the apex by half of what the angle loses, the waist on both sides follows with its
 *         end and handle turned alike: legs keep their lengths, and the angle between leg and waist stays, so that
 *         the sewn waist runs over the dart as before. A dart released whole is gone; the two runs become one, with
 *         one tangent where they meet.
 * Units   mm of intake, straight across the waist end of the dart.
 */
export function releaseDart(waist: WaistLine, index: number, byMm: number): WaistLine {
  const dart = waist.darts[index];
  const oldMm = intakeMm(dart);
  if (byMm >= oldMm) return closeDart(waist, index);
  const legMm = meanLegMm(dart);
  const lostRad = halfAngle(oldMm, legMm) - halfAngle(oldMm - byMm, legMm);
  return turnLegs(waist, index, lostRad, lostRad);
}

function halfAngle(chordMm: number, legMm: number): number {
  return Math.asin(Math.min(1, chordMm / (2 * legMm)));
}

function meanLegMm({ sideLeg, centreLeg, apex }: Dart): number {
  return (distance(startOf(sideLeg.curve), apex) + distance(endOf(centreLeg.curve), apex)) / 2;
}

function turnLegs(waist: WaistLine, index: number, sideRad: number, centreRad: number): WaistLine {
  const { sideLeg, centreLeg, apex } = waist.darts[index];
  const sideEnd = startOf(sideLeg.curve);
  const centreEnd = endOf(centreLeg.curve);
  const inwards = Math.sign(cross(way(apex, sideEnd), way(apex, centreEnd)));
  const turnSide = (p: Point): Point => turnAbout(p, apex, inwards * sideRad);
  const turnCentre = (p: Point): Point => turnAbout(p, apex, -inwards * centreRad);
  const dart = { apex, sideLeg: turned(sideLeg, turnSide), centreLeg: turned(centreLeg, turnCentre) };
  const runs = waist.runs.map((run, i) => {
    if (i === index) return endTurned(run, turnSide);
    return i === index + 1 ? reversedRun(endTurned(reversedRun(run), turnCentre)) : run;
  });
  return { runs, darts: waist.darts.with(index, dart) };
}

function turned(edge: Edge, turn: (p: Point) => Point): Edge {
  const { curve } = edge;
  const moved: Curve =
    curve.kind === 'line'
      ? { ...curve, p0: turn(curve.p0), p1: turn(curve.p1) }
      : { ...curve, p0: turn(curve.p0), p1: turn(curve.p1), p2: turn(curve.p2), p3: turn(curve.p3) };
  return { ...edge, curve: moved };
}

/** The run with its end carried to where `turn` takes it and its last tangent turned alike. */
export function endTurned(run: readonly Edge[], turn: (p: Point) => Point): Edge[] {
  if (run.length === 0) return [];
  const { p2, p3 } = raised(run[run.length - 1].curve);
  const end = turn(p3);
  const carried = carrySeamEnd(run, 'end', way(p3, end));
  const last = carried[carried.length - 1];
  const handle = way(p3, p2);
  const kept = turnedHandle(handle, turn, p3);
  const curve = raised(last.curve);
  return [
    ...carried.slice(0, -1),
    { ...last, curve: { ...curve, p2: { x: end.x + kept.x, y: end.y + kept.y }, p3: end } },
  ];
}

function turnedHandle(handle: Point, turn: (p: Point) => Point, about: Point): Point {
  return way(turn(about), turn({ x: about.x + handle.x, y: about.y + handle.y }));
}

// Both legs go to the middle of the dart; the runs on its two sides meet there. Legs of unequal length meet at their
// mean, a fraction of a millimetre from either.
function closeDart(waist: WaistLine, index: number): WaistLine {
  const { sideLeg, centreLeg, apex } = waist.darts[index];
  const angle = angleBetween(way(apex, startOf(sideLeg.curve)), way(apex, endOf(centreLeg.curve)));
  const met = turnLegs(waist, index, angle / 2, angle / 2);
  const side = met.runs[index];
  const centre = met.runs[index + 1];
  const runs = [...met.runs.slice(0, index), joinedRuns(side, centre), ...met.runs.slice(index + 2)];
  return { runs, darts: met.darts.toSpliced(index, 1) };
}

export function joinedRuns(side: readonly Edge[], centre: readonly Edge[]): Edge[] {
  if (side.length === 0 || centre.length === 0) return [...side, ...centre];
  const end = endOf(side[side.length - 1].curve);
  const start = startOf(centre[0].curve);
  const middle = { x: (end.x + start.x) / 2, y: (end.y + start.y) / 2 };
  const first = carrySeamEnd(side, 'end', way(end, middle));
  const second = carrySeamEnd(centre, 'start', way(start, middle));
  return smoothJoint(first, second, middle);
}

// Where the sewn waist had a slight corner over the dart it gets one tangent, half-way between the two.
function smoothJoint(side: readonly Edge[], centre: readonly Edge[], joint: Point): Edge[] {
  const before = raised(side[side.length - 1].curve);
  const after = raised(centre[0].curve);
  const corner =
    Math.atan2(after.p1.y - after.p0.y, after.p1.x - after.p0.x) -
    Math.atan2(before.p3.y - before.p2.y, before.p3.x - before.p2.x);
  const half = Math.atan2(Math.sin(corner), Math.cos(corner)) / 2;
  const first = { ...before, p2: turnAbout(before.p2, before.p3, half) };
  const second = { ...after, p1: turnAbout(after.p1, after.p0, -half) };
  return [
    ...side.slice(0, -1),
    { ...side[side.length - 1], curve: withEnd(first, joint) },
    { ...centre[0], curve: withStart(second, joint) },
    ...centre.slice(1),
  ];
}
