import { DEG, distance, mapCurve, startOf, turnAbout, type Curve, type Point } from '#geometry';
import { turnDeg, type SeamOutline } from './seam-outline.js';

/** How a leg stands in its file: turned so that the waist is up, mirrored so that the fork is on +x. */
export interface LegFrame {
  readonly angleRad: number;
  readonly mirrored: boolean;
  /** Added to y after turning, so that both hems stand on one level. */
  readonly liftMm: number;
}

const ORIGIN = { x: 0, y: 0 };

export function toFrame({ angleRad, mirrored, liftMm }: LegFrame, p: Point): Point {
  const turned = angleRad === 0 ? p : turnAbout(p, ORIGIN, angleRad);
  return { x: mirrored ? -turned.x : turned.x, y: turned.y + liftMm };
}

export function toFile({ angleRad, mirrored, liftMm }: LegFrame, p: Point): Point {
  const turned = { x: mirrored ? -p.x : p.x, y: p.y - liftMm };
  return angleRad === 0 ? turned : turnAbout(turned, ORIGIN, -angleRad);
}

/** The five corners of a leg, as places among the curves of its outline, which start there. */
export interface LegCorners {
  readonly centreWaist: number;
  readonly fork: number;
  readonly hemInseam: number;
  readonly hemOutseam: number;
  readonly sideWaist: number;
}

export interface LegReading {
  readonly outline: SeamOutline;
  readonly frame: LegFrame;
  /** Curves in the frame, clockwise, and the corner each starts at. */
  readonly curves: readonly Curve[];
  /** For each curve, its place in `outline.curves`. */
  readonly source: readonly number[];
  readonly corners: LegCorners;
  /** Of the best reading against the next. */
  readonly confidence: number;
  readonly heightMm: number;
}

/** A joint that turns by more than this may be one of the five corners. */
const CORNER_DEG = 12;

/**
 * Where the five corners of a trouser leg are, and which way up it lies; undefined when the outline cannot be one.
 *
 * The grain, or the long way of the outline where there is none, says what is upright; which end is up, and on which
 * side the fork is, is the one of four readings that looks most like a leg: a level hem, the fork well above the middle
 * of nothing but the waist, and reaching out furthest. The corners of a hem are the lowest, those of a waist the highest
 * to either side; the fork is the corner that reaches out furthest between centre waist and hem.
 */
export function readLeg(outline: SeamOutline, upright: Point | undefined): LegReading | undefined {
  const base = Math.atan2(...uprightOf(outline, upright));
  const readings = [0, Math.PI]
    .flatMap((turn) => [false, true].map((mirrored) => readAs(outline, snapped(base + turn), mirrored)))
    .filter((reading) => reading !== undefined)
    .sort((a, b) => b.score - a.score);
  const [best, next] = readings;
  if (best === undefined) return undefined;
  const margin = best.score - (next?.score ?? 0);
  return { ...best.leg, confidence: Math.min(1, Math.max(0, margin / MARGIN_SURE)) };
}

/** A leg read the right way scores this much more than read upside down or inside out. */
const MARGIN_SURE = 0.6;

/** x and y of the direction that is upright, for an arc tangent that measures from it. */
function uprightOf({ points }: SeamOutline, upright: Point | undefined): [number, number] {
  if (upright !== undefined) return [upright.x, upright.y];
  let far: [Point, Point] = [points[0], points[0]];
  const step = Math.max(1, Math.floor(points.length / 100));
  for (let i = 0; i < points.length; i += step)
    for (let k = i; k < points.length; k += step)
      if (distance(points[i], points[k]) > distance(...far)) far = [points[i], points[k]];
  return [far[1].x - far[0].x, far[1].y - far[0].y];
}

/** A turn of next to nothing is none: the piece then keeps its coordinates to the last bit. */
function snapped(angleRad: number): number {
  const turn = Math.atan2(Math.sin(angleRad), Math.cos(angleRad));
  return Math.abs(turn) < 1e-4 * DEG ? 0 : turn;
}

function readAs(
  outline: SeamOutline,
  angleRad: number,
  mirrored: boolean,
): { leg: LegReading; score: number } | undefined {
  const frame: LegFrame = { angleRad, mirrored, liftMm: 0 };
  const place = (p: Point): Point => toFrame(frame, p);
  const placed = outline.curves.map(({ curve }) => mapCurve(curve, place));
  // Mirrored, the outline runs the other way round.
  const order = placed.map((_, i) => (mirrored ? placed.length - 1 - i : i));
  const curves = order.map((i) => (mirrored ? turnedRound(placed[i]) : placed[i]));
  const joints = curves.map((curve, i) => ({
    at: startOf(curve),
    index: i,
    turns: jointTurns(outline, order, i, mirrored),
  }));
  const ys = joints.map(({ at }) => at.y);
  const [low, high] = [Math.min(...ys), Math.max(...ys)];
  const heightMm = high - low;
  const corners = cornersAmong(
    joints.filter(({ turns }) => turns),
    low,
    heightMm,
  );
  if (corners === undefined) return undefined;
  const score = scoreOf(curves, corners, low, heightMm);
  return { leg: { outline, frame, curves, source: order, corners, confidence: 0, heightMm }, score };
}

function turnedRound(curve: Curve): Curve {
  return curve.kind === 'line'
    ? { kind: 'line', p0: curve.p1, p1: curve.p0 }
    : { kind: 'cubic', p0: curve.p3, p1: curve.p2, p2: curve.p1, p3: curve.p0 };
}

function jointTurns(
  { points, curves, turns }: SeamOutline,
  order: readonly number[],
  i: number,
  mirrored: boolean,
): boolean {
  const curve = curves[order[i]];
  const vertex = (mirrored ? curve.last : curve.first) % points.length;
  return turns[vertex] && Math.abs(turnDeg(points, vertex)) > CORNER_DEG;
}

interface Joint {
  readonly at: Point;
  readonly index: number;
}

function most(joints: readonly Joint[], value: (p: Point) => number): Joint | undefined {
  return joints.length === 0
    ? undefined
    : joints.reduce((best, joint) => (value(joint.at) > value(best.at) ? joint : best));
}

function cornersAmong(joints: readonly Joint[], low: number, heightMm: number): LegCorners | undefined {
  if (heightMm < HEIGHT_MM_MIN) return undefined;
  const bottom = joints.filter(({ at }) => at.y < low + 0.12 * heightMm);
  const top = joints.filter(({ at }) => at.y > low + 0.75 * heightMm);
  const hemInseam = most(bottom, (p) => p.x - 0.5 * p.y);
  const hemOutseam = most(bottom, (p) => -p.x - 0.5 * p.y);
  const sideWaist = most(top, (p) => p.y - p.x);
  const centreWaist = most(top, (p) => p.y + p.x);
  if (
    hemInseam === undefined ||
    hemOutseam === undefined ||
    sideWaist === undefined ||
    centreWaist === undefined
  )
    return undefined;
  const between = joints.filter(({ index }) => isBetween(index, centreWaist.index, hemInseam.index));
  const fork = most(between, (p) => p.x);
  const five = [centreWaist, fork, hemInseam, hemOutseam, sideWaist];
  if (fork === undefined || new Set(five).size < 5) return undefined;
  const inOrder = five.every((joint, i) => {
    const [before, after] = [five[(i + 4) % 5], five[(i + 1) % 5]];
    return (
      joint !== undefined &&
      before !== undefined &&
      after !== undefined &&
      isBetween(joint.index, before.index, after.index)
    );
  });
  if (!inOrder || fork.at.x <= Math.max(hemInseam.at.x, centreWaist.at.x)) return undefined;
  return {
    centreWaist: centreWaist.index,
    fork: fork.index,
    hemInseam: hemInseam.index,
    hemOutseam: hemOutseam.index,
    sideWaist: sideWaist.index,
  };
}

/** Shorter legs than this are no adult's; a short trouser of half the length still is. */
const HEIGHT_MM_MIN = 300;

/** Whether `index` comes after `from` and before `to`, going round. */
function isBetween(index: number, from: number, to: number): boolean {
  return from < to ? index > from && index < to : index > from || index < to;
}

function scoreOf(curves: readonly Curve[], corners: LegCorners, low: number, heightMm: number): number {
  const at = (name: keyof LegCorners): Point => startOf(curves[corners[name]]);
  const [fork, hemIn, hemOut, side, centre] = [
    at('fork'),
    at('hemInseam'),
    at('hemOutseam'),
    at('sideWaist'),
    at('centreWaist'),
  ];
  const height = (fork.y - low) / heightMm;
  const level = Math.exp(-Math.abs(hemIn.y - hemOut.y) / 15);
  const reach = Math.min(1, (fork.x - Math.max(hemIn.x, centre.x)) / 40);
  // Outseams are nearly straight; the side that bellies out more than the fork reaches is the other one.
  const leftmost = Math.min(...curves.map((curve) => startOf(curve).x));
  const belly =
    Math.max(0, Math.min(hemOut.x, side.x) - leftmost) / Math.max(1, fork.x - Math.max(hemIn.x, centre.x));
  const hemWidth = distance(hemIn, hemOut);
  const waistWidth = distance(side, centre);
  const tops = curves.filter((curve) => startOf(curve).y > low + 0.6 * heightMm).length / curves.length;
  return (
    1.2 * Math.min(height, 0.75) +
    0.4 * level +
    0.5 * reach -
    0.4 * Math.min(2, belly) +
    0.3 * tops +
    (hemWidth < 2.5 * waistWidth ? 0.1 : 0)
  );
}
