import {
  angleBetween,
  cross,
  dot,
  DEG,
  distance,
  endOf,
  line,
  mapCurve,
  quadratureLength,
  startOf,
  way,
  type Curve,
  type Point,
} from '#geometry';
import {
  canonicalPiece,
  type Block,
  type EdgeRole,
  type GivenEdge,
  type GivenNotch,
  type Levels,
  type LineRole,
  type Piece,
  type PieceLine,
} from '#pattern';
import type { ForeignLine, ForeignNotch } from '#interchange';
import { toFrame, type LegReading } from './leg-frame.js';
import { withPleats } from './leg-pleats.js';
import { footOn, type Foot } from './seam-outline.js';

/** A notch with the place on the seam that it marks. */
export interface SetNotch {
  readonly notch: ForeignNotch;
  readonly role: EdgeRole;
  /** In the frame of the leg. */
  readonly foot: Foot;
}

/** One leg as the truing engine takes it, and what it was made from. */
export interface Leg {
  readonly reading: LegReading;
  readonly role: 'front' | 'back';
  readonly roles: readonly EdgeRole[];
  readonly piece: Piece;
  readonly notches: readonly SetNotch[];
  readonly lines: readonly LegLine[];
}

export interface LegLine {
  readonly role: LineRole;
  readonly line: ForeignLine;
  /** In the frame. */
  readonly from: Point;
  readonly to: Point;
}

/** Edges are named after their place among the curves of the leg, so that they can be found again. */
export function edgeId(index: number): string {
  return `edge-${index + 1}`;
}

/** Roles, notches and lines of a leg. */
export function legOf(given: LegReading, role: 'front' | 'back'): Leg {
  const { reading, isPleat } = withPleats(onHem(given));
  const roles = rolesOf(reading).map((each, i) => (isPleat(i) ? 'dart' : each));
  const notches = reading.outline.piece.notches.map((notch) => setOn(reading, roles, notch));
  const lines = linesOf(reading);
  return { reading, role, roles, piece: pieceFor(reading, role, roles, [], lines), notches, lines };
}

/** The piece of a leg with notches that have names. */
export function pieceFor(
  { curves }: Pick<LegReading, 'curves'>,
  role: 'front' | 'back',
  roles: readonly EdgeRole[],
  notches: readonly GivenNotch[],
  lines: readonly LegLine[],
): Piece {
  const edges = curves.map((curve, i): GivenEdge => ({ role: roles[i], curve, id: edgeId(i) }));
  const drawn = lines.map((each): PieceLine => ({ role: each.role, curves: [line(each.from, each.to)] }));
  return canonicalPiece(role, edges, { notches, lines: drawn, joinMm: 0.001, lengthToleranceMm: 0.004 })
    .piece;
}

/** A leg whose hem stands at zero, so that levels of front and back can be compared wherever they lie in the file. */
function onHem(reading: LegReading): LegReading {
  const { curves, corners } = reading;
  const liftMm = -(startOf(curves[corners.hemInseam]).y + startOf(curves[corners.hemOutseam]).y) / 2;
  const lift = (p: Point): Point => ({ x: p.x, y: p.y + liftMm });
  return {
    ...reading,
    frame: { ...reading.frame, liftMm },
    curves: curves.map((curve) => mapCurve(curve, lift)),
  };
}

function rolesOf({ curves, corners }: LegReading): EdgeRole[] {
  const roles: EdgeRole[] = curves.map(() => 'waist');
  const fill = (from: number, to: number, role: EdgeRole): void => {
    for (let i = from, step = 0; i !== to && step < curves.length; i = (i + 1) % curves.length, step++)
      roles[i] = role;
  };
  fill(corners.centreWaist, corners.fork, 'rise');
  fill(corners.fork, corners.hemInseam, 'inseam');
  fill(corners.hemInseam, corners.hemOutseam, 'hem');
  fill(corners.hemOutseam, corners.sideWaist, 'outseam');
  for (
    let i = corners.sideWaist, step = 0;
    i !== corners.centreWaist && step < curves.length;
    i = (i + 1) % curves.length, step++
  )
    if (isDartLeg(curves, i)) roles[i] = 'dart';
  return roles;
}

/** A dart's point is turned round by more than this, and its legs are at least so long and nearly as long as each other. */
const DART_TURN_DEG = 110;
const DART_LEG_MM = 20;
const DART_LEG_RATIO = 0.6;

function isDartLeg(curves: readonly Curve[], i: number): boolean {
  const before = curves[(i + curves.length - 1) % curves.length];
  const after = curves[(i + 1) % curves.length];
  return isDart(curves[i], after) || isDart(before, curves[i]);
}

function isDart(sideLeg: Curve, centreLeg: Curve): boolean {
  const down = way(startOf(sideLeg), endOf(sideLeg));
  const up = way(startOf(centreLeg), endOf(centreLeg));
  // Clockwise, the outline goes into the piece and turns left round the point.
  const turnDegrees = Math.atan2(cross(down, up), dot(down, up)) / DEG;
  const [a, b] = [quadratureLength(sideLeg), quadratureLength(centreLeg)];
  return (
    turnDegrees > DART_TURN_DEG &&
    Math.min(a, b) > DART_LEG_MM &&
    Math.min(a, b) > DART_LEG_RATIO * Math.max(a, b)
  );
}

/** The seam a notch marks: the nearest, and where two meet the one it is cut most squarely to. */
function setOn(reading: LegReading, roles: readonly EdgeRole[], notch: ForeignNotch): SetNotch {
  const { curves, frame } = reading;
  const at = toFrame(frame, notch.at);
  const wanted = curves.map((curve, i) => ({ curve, i })).filter(({ i }) => roles[i] !== 'dart');
  const feet = wanted.map(({ curve, i }) => ({ ...footOn([curve], at), index: i }));
  const nearMm = Math.min(...feet.map(({ apartMm }) => apartMm));
  // Within one seam the nearest foot is the one; only between two seams does the direction decide.
  const near = feet
    .filter(({ apartMm }) => apartMm <= nearMm + CORNER_MM)
    .filter((foot, _, all) =>
      all.every((other) => roles[other.index] !== roles[foot.index] || other.apartMm >= foot.apartMm),
    );
  const inwards =
    notch.angleDeg === undefined ? undefined : directionInFrame(reading, notch.at, notch.angleDeg);
  const foot = near.reduce((best, each) =>
    squareness(each, inwards, curves) > squareness(best, inwards, curves) + 1e-6 ? each : best,
  );
  return { notch, role: roles[foot.index], foot };
}

/** Feet this much further off than the nearest are still at the same corner. */
const CORNER_MM = 1;

function squareness(foot: Foot, inwards: Point | undefined, curves: readonly Curve[]): number {
  const curve = curves[foot.index];
  if (inwards === undefined) return -foot.apartMm;
  const along = way(startOf(curve), endOf(curve));
  const length = Math.hypot(along.x, along.y);
  return length === 0 ? 0 : Math.abs(cross(along, inwards)) / length;
}

function directionInFrame({ frame }: LegReading, at: Point, angleDeg: number): Point {
  const tip = { x: at.x + Math.cos(angleDeg * DEG), y: at.y + Math.sin(angleDeg * DEG) };
  return way(toFrame(frame, at), toFrame(frame, tip));
}

/** A balance line is level, and the crease upright, within this. */
const LEVEL_DEG = 3;
/** A balance line reaches over this share of the leg's width there, and a crease over this share of its height. */
const LINE_SHARE = 0.5;

/** Balance lines and crease among the lines of a leg, by where they lie: nothing in the file names them. */
function linesOf(reading: LegReading): LegLine[] {
  const { frame, curves, corners, heightMm } = reading;
  const ends = reading.outline.piece.internalLines.map((each) => {
    const [a, b] = [each.points[0], each.points[each.points.length - 1]].map((p) => toFrame(frame, p));
    return { line: each, from: a, to: b };
  });
  const forkMm = startOf(curves[corners.fork]).y;
  const levels = ends
    .filter(
      ({ from, to }) =>
        isAlong(from, to, { x: 1, y: 0 }) &&
        distance(from, to) > LINE_SHARE * widthAt(curves, from.y) &&
        from.y > 0.05 * heightMm,
    )
    .map((each) => ({ ...each, y: (each.from.y + each.to.y) / 2 }));
  const nearestTo = (mm: number, among: typeof levels): (typeof levels)[number] | undefined =>
    among.length === 0
      ? undefined
      : among.reduce((best, each) => (Math.abs(each.y - mm) < Math.abs(best.y - mm) ? each : best));
  const crotch = nearestTo(
    forkMm,
    levels.filter(({ y }) => Math.abs(y - forkMm) < CROTCH_NEAR_MM),
  );
  const rest = levels.filter((each) => each !== crotch);
  const knee = nearestTo(
    0.43 * heightMm,
    rest.filter(({ y }) => y < (crotch?.y ?? forkMm) && y < 0.6 * heightMm),
  );
  const hip = nearestTo(
    0.78 * heightMm,
    rest.filter((each) => each !== knee && each.y > (crotch?.y ?? forkMm)),
  );
  const crease = ends.find(
    ({ from, to }) => isAlong(from, to, { x: 0, y: 1 }) && distance(from, to) > LINE_SHARE * heightMm,
  );
  const named: readonly (readonly [LineRole, Omit<LegLine, 'role'> | undefined])[] = [
    ['hip', hip],
    ['crotch', crotch],
    ['knee', knee],
    ['crease', crease],
  ];
  return named.flatMap(([role, found]) =>
    found === undefined ? [] : [{ role, line: found.line, from: found.from, to: found.to }],
  );
}

/** The back fork lies up to this much lower than the crotch line. */
const CROTCH_NEAR_MM = 40;

function isAlong(from: Point, to: Point, direction: Point): boolean {
  const along = way(from, to);
  if (along.x === 0 && along.y === 0) return false;
  const angle = angleBetween(along, direction);
  return Math.min(angle, Math.PI - angle) < LEVEL_DEG * DEG;
}

function widthAt(curves: readonly Curve[], y: number): number {
  const xs = curves.flatMap((curve) => {
    const [a, b] = [startOf(curve), endOf(curve)];
    if (a.y > y === b.y > y) return [];
    return [a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x)];
  });
  return xs.length < 2 ? Infinity : Math.max(...xs) - Math.min(...xs);
}

/** Levels of the block, those of the front's own lines; a level no line shows lies where no seam reaches. */
export function levelsOf(front: Leg): Levels {
  const of = (role: LineRole): number => {
    const found = front.lines.find((each) => each.role === role);
    return found === undefined ? NO_LEVEL_MM : (found.from.y + found.to.y) / 2;
  };
  return { hip: of('hip'), crotch: of('crotch'), knee: of('knee'), hem: 0 };
}

const NO_LEVEL_MM = -1e6;

/** Notches of both legs under shared names, where they are partners. */
export interface NamedNotches {
  readonly front: readonly GivenNotch[];
  readonly back: readonly GivenNotch[];
}

export function blockOf(front: Leg, back: Leg, names: NamedNotches, waistbandMm: number | undefined): Block {
  return {
    name: 'check',
    levels: levelsOf(front),
    front: pieceFor(front.reading, 'front', front.roles, names.front, front.lines),
    back: pieceFor(back.reading, 'back', back.roles, names.back, back.lines),
    ...(waistbandMm === undefined ? {} : { waistbandMm }),
  };
}
