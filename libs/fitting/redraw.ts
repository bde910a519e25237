import {
  add,
  at,
  cubic,
  distance,
  lerp,
  line,
  scale,
  turnAbout,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { asCubic } from './character.js';
import { hasFlatEnd, last, next, tangentRule } from './tangents.js';
import { amountOf, moved, type ReadyBlock, type ReadyPiece, type Strand } from './stations.js';

/** What the ends of one edge had to turn beyond the edge itself to meet their neighbours. */
export interface Turn {
  readonly startRad: number;
  readonly endRad: number;
}

/** A piece drawn for some amounts: a curve and its turns for each edge. */
export interface RedrawnPiece {
  readonly curves: readonly Curve[];
  readonly turns: readonly Turn[];
}

export interface RedrawnBlock {
  readonly front: RedrawnPiece;
  readonly back: RedrawnPiece;
}

export type Redraw = (amounts: Float64Array) => RedrawnBlock;

/**
 * How a block is drawn for any amounts.
 *
 * Each curve follows its end points by similarity: turned and scaled, not bent. What its ends then miss their
 * neighbours by is made good at the ends alone, by turning the handle there, as `tangentRule` shares it.
 */
export function redrawing({ front, back }: ReadyBlock): Redraw {
  const rule = tangentRule(front, back);
  return (amounts) => {
    const frontPoints = pointsOf(front, amounts);
    const backPoints = pointsOf(back, amounts);
    const turns = rule([wholeTurns(front, frontPoints), wholeTurns(back, backPoints)]);
    return { front: drawn(front, frontPoints, turns[0]), back: drawn(back, backPoints, turns[1]) };
  };
}

function pointsOf(ready: ReadyPiece, amounts: Float64Array): Point[] {
  const points = ready.joints.map(({ at: given, shares }) => moved(given, shares, amounts));
  const longer = ready.piece.role === 'front' ? 'frontDartLength' : 'backDartLength';
  return withApexes(ready, points, amounts[amountOf(longer)]);
}

/** A dart keeps its length but for what it is made longer: its point lies off the new mouth as it lay off the old. */
function withApexes({ joints, strands }: ReadyPiece, points: readonly Point[], longerMm: number): Point[] {
  const placed = [...points];
  const count = points.length;
  for (let i = 0; i < count; i++) {
    const k = (i + 1) % count;
    const before = strands[(i + count - 1) % count].edge.role;
    if (strands[i].edge.role !== 'dart' || strands[k].edge.role !== 'dart' || before === 'dart') continue;
    const end = (k + 1) % count;
    placed[k] = apexOver(joints[i].at, joints[end].at, joints[k].at, [points[i], points[end]], longerMm);
  }
  return placed;
}

function apexOver(a: Point, b: Point, apex: Point, [c, d]: readonly [Point, Point], longerMm: number): Point {
  const mouth = way(a, b);
  const size = distance(a, b);
  const off = way(lerp(a, b, 0.5), apex);
  const share = (off.x * mouth.x + off.y * mouth.y) / (size * size);
  const outMm = (mouth.x * off.y - mouth.y * off.x) / size;
  const lengthMm = outMm + Math.sign(outMm) * longerMm;
  const now = way(c, d);
  const wide = distance(c, d);
  return add(lerp(c, d, 0.5 + share), at((-now.y / wide) * lengthMm, (now.x / wide) * lengthMm));
}

function wholeTurns(ready: ReadyPiece, points: readonly Point[]): number[] {
  return ready.strands.map((_, i) => wholeTurn(ready, points, i));
}

function wholeTurn(ready: ReadyPiece, points: readonly Point[], i: number): number {
  const k = next(ready, i);
  const before = way(ready.joints[i].at, ready.joints[k].at);
  const after = way(points[i], points[k]);
  return Math.atan2(before.x * after.y - before.y * after.x, before.x * after.x + before.y * after.y);
}

function drawn(
  ready: ReadyPiece,
  points: readonly Point[],
  turned: readonly (readonly [number, number])[],
): RedrawnPiece {
  const laid = hasFlatEnd(ready) ? withFlatEndLaid(ready, points, turned) : points;
  const turns = turned.map(([start, end], i): Turn => {
    const whole = wholeTurn(ready, laid, i);
    return { startRad: start - whole, endRad: end - whole };
  });
  const curves = ready.strands.map((strand, i) =>
    follow(strand, laid[i], laid[next(ready, i)], turned[i], turns[i]),
  );
  return { curves, turns };
}

function withFlatEndLaid(
  ready: ReadyPiece,
  points: readonly Point[],
  turned: readonly (readonly [number, number])[],
): Point[] {
  const i = last(ready, 'rise');
  const fork = next(ready, i);
  const flat = way(ready.joints[fork].at, ready.joints[i].at);
  return points.map((p, k) => (k === i ? add(points[fork], turnAbout(flat, ORIGIN, turned[i][0])) : p));
}

const ORIGIN: Point = { x: 0, y: 0 };

/** A straight waist whose ends need less than this stays straight: a thirtieth of what a square corner may be off. */
const STRAIGHT_RAD = 6e-4;

function follow(
  strand: Strand,
  p0: Point,
  p3: Point,
  [start, end]: readonly [number, number],
  { startRad, endRad }: Turn,
): Curve {
  const { curve } = strand.edge;
  const bends = Math.max(Math.abs(startRad), Math.abs(endRad)) > STRAIGHT_RAD;
  if (curve.kind === 'line' && (strand.edge.role !== 'waist' || !bends)) return line(p0, p3);
  const { handles } = strand.pliancy;
  const size = distance(p0, p3) / strand.chordMm;
  const { p0: q0, p1: q1, p2: q2, p3: q3 } = asCubic(curve);
  const startShare = size * stretch(handles[0] * startRad + handles[1] * endRad);
  const endShare = size * stretch(handles[2] * startRad + handles[3] * endRad);
  const first = scale(turnAbout(way(q0, q1), ORIGIN, start), startShare);
  const second = scale(turnAbout(way(q3, q2), ORIGIN, end), endShare);
  return cubic(p0, add(p0, first), add(p3, second), p3);
}

/** What the turns ask of a handle is right to first order; beyond this share of it they are not believed. */
const STRETCH_MOST = 0.2;

function stretch(share: number): number {
  return 1 + STRETCH_MOST * Math.tanh(share / STRETCH_MOST);
}
