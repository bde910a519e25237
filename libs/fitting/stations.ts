import {
  DEG,
  distance,
  endDirection,
  endOf,
  opposite,
  quadratureLength,
  splitCurve,
  startDirection,
  startOf,
  angleBetween,
  type Point,
} from '#geometry';
import {
  cornersOf,
  dartsOf,
  edgesOf,
  seamAtLevel,
  withEdge,
  type Block,
  type Edge,
  type EdgeRole,
  type Levels,
  type Piece,
  type SeamStation,
} from '#pattern';
import { asCubic, bendOf, pliancyOf, type Pliancy } from './character.js';
import { CHANGE_INDEX, CHANGE_NAMES, type ChangeName } from './changes.js';

/** The levels whose heights the body decides; the waist is that of the side seams. */
export const LEVEL_NAMES = ['hem', 'knee', 'crotch', 'hip', 'waist'] as const;
export type LevelHeights = Readonly<Record<(typeof LEVEL_NAMES)[number], number>>;

/**
 * All amounts that move a block: how far each level goes up, then each change, in one array. Points move by fixed
 * shares of them, so that any part of a fit can be drawn on its own.
 */
export const AMOUNT_COUNT = LEVEL_NAMES.length + CHANGE_NAMES.length;

export function amountOf(change: ChangeName): number {
  return LEVEL_NAMES.length + CHANGE_INDEX[change];
}

/** What one amount does to a point, per mm or degree of it. */
export interface Share {
  readonly amount: number;
  readonly x: number;
  readonly y: number;
}

/** The start of an edge, and how it follows the amounts. */
export interface Joint {
  readonly at: Point;
  readonly shares: readonly Share[];
}

/** An edge as it was given, with what is needed to bend it in its own manner. */
export interface Strand {
  readonly edge: Edge;
  readonly chordMm: number;
  /** The largest |length x curvature| along it: how much of a curve it is. 0 for a line. */
  readonly bend: number;
  readonly pliancy: Pliancy;
  /** Whether it runs on smoothly into the next edge of its seam. */
  readonly smooth: boolean;
}

export interface ReadyPiece {
  readonly piece: Piece;
  readonly joints: readonly Joint[];
  readonly strands: readonly Strand[];
  /** Where any point of the piece goes: as the seams beside it, in proportion. */
  readonly follow: (p: Point, amounts: Float64Array) => Point;
}

export interface ReadyBlock {
  readonly block: Block;
  readonly heights: LevelHeights;
  readonly front: ReadyPiece;
  readonly back: ReadyPiece;
}

/** A block ready to be fitted: seams with a joint near each level they are fitted at, and how each joint follows. */
export function readyBlock(given: Block): ReadyBlock {
  const block = {
    ...given,
    front: withJoints(given.front, given.levels),
    back: withJoints(given.back, given.levels),
  };
  const waist = (cornersOf(block.front).sideWaist.y + cornersOf(block.back).sideWaist.y) / 2;
  const { hem, knee, crotch, hip } = block.levels;
  const heights = { hem, knee, crotch, hip, waist };
  return { block, heights, front: readyPiece(block.front, heights), back: readyPiece(block.back, heights) };
}

/** A joint this near a level moves with it; further off, the seam is split at the level. A design choice. */
const JOINT_REACH_MM = 40;

function withJoints(piece: Piece, levels: Levels): Piece {
  const outseam = splitNear(splitNear(piece, 'outseam', levels.knee), 'outseam', levels.hip);
  const legs = splitNear(outseam, 'inseam', levels.knee);
  // Of the rise only a single curve has to be split: a joint anywhere above the fork carries centre and crotch apart.
  return edgesOf(legs, 'rise').length > 1 ? legs : splitNear(legs, 'rise', levels.hip);
}

function splitNear(piece: Piece, role: EdgeRole, levelMm: number): Piece {
  const joints = edgesOf(piece, role).slice(1);
  if (joints.some(({ curve }) => Math.abs(startOf(curve).y - levelMm) <= JOINT_REACH_MM)) return piece;
  const station = seamAtLevel(piece, role, levelMm);
  if (station === undefined || station.t <= 0 || station.t >= 1) return piece;
  const { edge, t } = station;
  const taken = new Set(piece.edges.map(({ id }) => id));
  const parts = splitCurve(edge.curve, t).map((curve, i): Edge => {
    const id = freeId(`${edge.id}-${i === 0 ? 'a' : 'b'}`, taken);
    return { id, role, curve, from: [edge.id] };
  });
  return withNotchesCarried(withEdge(piece, edge.id, parts), edge.id, parts);
}

function freeId(wanted: string, taken: Set<string>): string {
  let id = wanted;
  for (let n = 2; taken.has(id); n++) id = `${wanted}${n}`;
  taken.add(id);
  return id;
}

function withNotchesCarried(piece: Piece, id: string, [first, second]: readonly Edge[]): Piece {
  const firstMm = quadratureLength(first.curve);
  const notches = piece.notches.map((notch) => {
    if (notch.edgeId !== id) return notch;
    return notch.fromStartMm <= firstMm
      ? { ...notch, edgeId: first.id }
      : { ...notch, edgeId: second.id, fromStartMm: notch.fromStartMm - firstMm };
  });
  return { ...piece, notches };
}

function readyPiece(piece: Piece, heights: LevelHeights): ReadyPiece {
  const strands = piece.edges.map((edge, i) => strandOf(edge, piece.edges[(i + 1) % piece.edges.length]));
  const follow = followerOf(frameOf(piece, heights));
  return { piece, joints: jointsOf(piece, heights), strands, follow };
}

/** Edges that meet at less than this run on smoothly. */
const SMOOTH_RAD = 4 * DEG;

function strandOf(edge: Edge, next: Edge): Strand {
  const { curve } = edge;
  const chordMm = distance(startOf(curve), endOf(curve));
  const turnRad = angleBetween(endDirection(curve), startDirection(next.curve));
  const smooth = next.role === edge.role && turnRad < SMOOTH_RAD;
  return { edge, chordMm, bend: bendOf(curve), pliancy: pliancyOf(asCubic(curve)), smooth };
}

/** Shares while they are gathered: many small contributions to one amount. */
class Shares {
  private readonly x = new Float64Array(AMOUNT_COUNT);
  private readonly y = new Float64Array(AMOUNT_COUNT);

  add(change: ChangeName, x: number, y: number): void {
    this.x[amountOf(change)] += x;
    this.y[amountOf(change)] += y;
  }

  level(index: number, share: number): void {
    this.y[index] += share;
    // The crotch level itself hangs lower by the depth, and where the inseam needs it.
    if (LEVEL_NAMES[index] !== 'crotch') return;
    this.add('depth', 0, -share);
    this.add('forkLevel', 0, share);
  }

  done(): Share[] {
    return Array.from(this.x, (x, amount) => ({ amount, x, y: this.y[amount] })).filter(
      ({ x, y }) => x !== 0 || y !== 0,
    );
  }
}

/** A piece's own names of the changes, and the points its wedge turns about. */
interface PieceFrame {
  readonly piece: Piece;
  readonly heights: LevelHeights;
  readonly sideHip: Point;
  readonly fork: Point;
  readonly sideWaistY: number;
  readonly centreWaistY: number;
  readonly names: Readonly<Record<keyof typeof FRONT_NAMES, ChangeName>>;
}

const FRONT_NAMES = {
  curve: 'frontCrotchCurve',
  hipSide: 'hipFrontSide',
  hipCentre: 'hipCentreFront',
  waistSide: 'waistFrontSide',
  waistCentre: 'waistCentreFront',
  darts: 'frontDarts',
  fork: 'frontFork',
  kneeIn: 'kneeFrontInseam',
  kneeOut: 'kneeFrontOutseam',
  hemIn: 'hemFrontInseam',
  hemOut: 'hemFrontOutseam',
  wedge: 'belly',
  sideHeight: 'frontSideHeight',
  centreHeight: 'centreFrontHeight',
  waistRun: 'frontWaistRun',
} as const satisfies Record<string, ChangeName>;

const BACK_NAMES: Readonly<Record<keyof typeof FRONT_NAMES, ChangeName>> = {
  curve: 'backCrotchCurve',
  hipSide: 'hipBackSide',
  hipCentre: 'hipCentreBack',
  waistSide: 'waistBackSide',
  waistCentre: 'waistCentreBack',
  darts: 'backDarts',
  fork: 'backFork',
  kneeIn: 'kneeBackInseam',
  kneeOut: 'kneeBackOutseam',
  hemIn: 'hemBackInseam',
  hemOut: 'hemBackOutseam',
  wedge: 'seat',
  sideHeight: 'backSideHeight',
  centreHeight: 'centreBackHeight',
  waistRun: 'backWaistRun',
};

function frameOf(piece: Piece, heights: LevelHeights): PieceFrame {
  const { fork, sideWaist, centreWaist } = cornersOf(piece);
  const sideHip = seamAtLevel(piece, 'outseam', heights.hip)?.point ?? sideWaist;
  const names = piece.role === 'front' ? FRONT_NAMES : BACK_NAMES;
  return { piece, heights, sideHip, fork, sideWaistY: sideWaist.y, centreWaistY: centreWaist.y, names };
}

function jointsOf(piece: Piece, heights: LevelHeights): Joint[] {
  const frame = frameOf(piece, heights);
  const risen = riseShares(frame);
  const side = outseamShares(frame, cornersOf(piece).sideWaist);
  const centre = risen(cornersOf(piece).centreWaist, 0);
  const before = seamsBefore(piece);
  return piece.edges.map((edge, i): Joint => {
    const at = startOf(edge.curve);
    const previous = piece.edges[(i + piece.edges.length - 1) % piece.edges.length];
    const shares = sharesOf(frame, edge, previous, at, { risen, side, centre, before: before[i] });
    return { at, shares };
  });
}

interface Along {
  readonly risen: ReturnType<typeof riseShares>;
  readonly side: readonly Share[];
  readonly centre: readonly Share[];
  /** Seam distance from the start of the joint's role, and of the whole role, darts left out. */
  readonly before: { readonly mm: number; readonly ofMm: number };
}

function sharesOf(frame: PieceFrame, edge: Edge, previous: Edge, at: Point, along: Along): readonly Share[] {
  if (edge.role === 'rise') {
    if (previous.role !== 'rise') return along.centre;
    const shares = along.risen(at, along.before.mm);
    return startsCurve(edge, previous) ? [...shares, slid(frame, previous)] : shares;
  }
  if (edge.role === 'inseam') return inseamShares(frame, at, previous.role === 'rise');
  if (edge.role === 'outseam') return outseamShares(frame, at);
  if (edge.role === 'hem') return hemShares(frame, at, previous.role !== 'hem', along.before);
  if (previous.role === 'outseam') return along.side;
  return waistShares(frame, edge, previous, along);
}

/** Where the straight of the rise ends; how far up that is, is the curve's own business and not the hip level's. */
function startsCurve({ curve }: Edge, previous: Edge): boolean {
  return previous.curve.kind === 'line' && curve.kind === 'cubic';
}

function slid({ names }: PieceFrame, straight: Edge): Share {
  const up = opposite(endDirection(straight.curve));
  return { amount: amountOf(names.curve), x: up.x, y: up.y };
}

/** Seam distance from the start of each edge's role to the edge, darts not counted. */
function seamsBefore(piece: Piece): Along['before'][] {
  const roleOf = ({ role }: Edge): EdgeRole => (role === 'dart' ? 'waist' : role);
  const lengthOf = (edge: Edge): number => (edge.role === 'dart' ? 0 : quadratureLength(edge.curve));
  return piece.edges.map((edge, i) => {
    const same = piece.edges
      .map((other, k) => ({ other, k }))
      .filter(({ other }) => roleOf(other) === roleOf(edge));
    const sum = (kept: typeof same): number => kept.reduce((mm, { other }) => mm + lengthOf(other), 0);
    return { mm: sum(same.filter(({ k }) => k < i)), ofMm: sum(same) };
  });
}

function levelShares(shares: Shares, heights: LevelHeights, y: number): void {
  const at = LEVEL_NAMES.map((name) => heights[name]);
  const last = at.length - 1;
  if (y <= at[0]) shares.level(0, 1);
  else if (y >= at[last]) shares.level(last, 1);
  else {
    const above = at.findIndex((height) => height > y);
    const share = (y - at[above - 1]) / (at[above] - at[above - 1]);
    shares.level(above - 1, 1 - share);
    shares.level(above, share);
  }
}

/** The side seam is the hinge of seat and belly: it keeps its place, and the waist between turns with the centre seam in proportion. */
function outseamShares({ heights, sideWaistY, names }: PieceFrame, at: Point): Share[] {
  const shares = new Shares();
  levelShares(shares, heights, at.y);
  const { hem, knee, hip } = heights;
  if (at.y < knee) {
    const up = Math.max(0, (at.y - hem) / (knee - hem));
    shares.add(names.hemOut, -(1 - up), 0);
    shares.add(names.kneeOut, -up, 0);
  } else {
    const up = Math.min(1, (at.y - knee) / (hip - knee));
    shares.add(names.kneeOut, -(1 - up), 0);
    shares.add(names.hipSide, -up, 0);
  }
  const aboveMm = Math.max(0, at.y - hip);
  const up = aboveMm / (sideWaistY - hip);
  shares.add(names.waistSide, -up, 0);
  shares.add(names.sideHeight, 0, up);
  return shares.done();
}

function inseamShares({ heights, fork, names, piece }: PieceFrame, at: Point, atFork: boolean): Share[] {
  const shares = new Shares();
  levelShares(shares, heights, at.y);
  const { hem, knee } = heights;
  if (at.y < knee) {
    const up = Math.max(0, (at.y - hem) / (knee - hem));
    shares.add(names.hemIn, 1 - up, 0);
    shares.add(names.kneeIn, up, 0);
  } else {
    const up = atFork ? 1 : Math.min(1, (at.y - knee) / (fork.y - knee));
    shares.add(names.kneeIn, 1 - up, 0);
    shares.add(names.hipCentre, up, 0);
    shares.add(names.fork, up, 0);
    if (piece.role === 'back') shares.add('backForkDrop', 0, up);
  }
  return shares.done();
}

/** Along the rise a share grows from 0 at the hip to 1 at the fork, by seam distance: the flat of the curve goes with the fork. */
function riseShares({ piece, heights, sideHip, centreWaistY, names }: PieceFrame) {
  const totalMm = edgesOf(piece, 'rise').reduce((mm, { curve }) => mm + quadratureLength(curve), 0);
  const hipMm = riseMm(piece, seamAtLevel(piece, 'rise', heights.hip));
  return (at: Point, mm: number): Share[] => {
    const shares = new Shares();
    levelShares(shares, heights, at.y);
    const toFork = Math.max(0, (mm - hipMm) / (totalMm - hipMm));
    shares.add(names.hipCentre, 1, 0);
    shares.add(names.fork, toFork, 0);
    if (piece.role === 'back') shares.add('backForkDrop', 0, toFork);
    const aboveMm = Math.max(0, at.y - heights.hip);
    const up = aboveMm / (centreWaistY - heights.hip);
    shares.add(names.waistCentre, up, 0);
    shares.add(names.sideHeight, 0, up);
    shares.add(names.centreHeight, 0, up);
    shares.add(names.wedge, -aboveMm * DEG, (1 - toFork) * (at.x - sideHip.x) * DEG);
    return shares.done();
  };
}

function hemShares(frame: PieceFrame, at: Point, first: boolean, { mm, ofMm }: Along['before']): Share[] {
  const share = first ? 0 : mm / ofMm;
  const inseam = inseamShares(frame, at, false);
  const outseam = outseamShares(frame, at);
  return mixed(inseam, outseam, share);
}

function waistShares(
  frame: PieceFrame,
  edge: Edge,
  previous: Edge,
  { side, centre, before }: Along,
): Share[] {
  const share = before.mm / before.ofMm;
  const cloth = [
    ...mixed(side, centre, share),
    // Most in the middle, nothing at the two ends, which have heights of their own.
    { amount: amountOf(frame.names.waistRun), x: 0, y: 4 * share * (1 - share) },
  ];
  const darts = dartsOf(frame.piece);
  const opens = darts.find(({ sideLeg }) => sideLeg === edge);
  const closes = darts.find(({ centreLeg }) => centreLeg === previous);
  const dart = opens ?? closes;
  if (dart === undefined) return cloth;
  const from = startOf(dart.sideLeg.curve);
  const to = endOf(dart.centreLeg.curve);
  const halfMm = (opens === undefined ? 0.5 : -0.5) / darts.length / distance(from, to);
  const widened = {
    amount: amountOf(frame.names.darts),
    x: halfMm * (to.x - from.x),
    y: halfMm * (to.y - from.y),
  };
  return [...cloth, widened];
}

/** Where a point of a piece goes: with the outseam and the inner seam at its height, in proportion to how near they are. */
function followerOf(frame: PieceFrame): ReadyPiece['follow'] {
  const risen = riseShares(frame);
  const { piece, fork } = frame;
  const corners = cornersOf(piece);
  return (p, amounts) => {
    const side = seamAtLevel(piece, 'outseam', p.y)?.point ?? corners.sideWaist;
    const isAbove = p.y > fork.y;
    const station = seamAtLevel(piece, isAbove ? 'rise' : 'inseam', p.y);
    const inner = station?.point ?? (isAbove ? corners.centreWaist : corners.hemInseam);
    const shares = isAbove ? risen(inner, riseMm(piece, station)) : inseamShares(frame, inner, false);
    const share = Math.min(1, Math.max(0, (p.x - side.x) / (inner.x - side.x)));
    return moved(p, mixed(outseamShares(frame, side), shares, share), amounts);
  };
}

function riseMm(piece: Piece, station: SeamStation | undefined): number {
  if (station === undefined) return 0;
  const before = edgesOf(piece, 'rise').slice(0, station.index);
  const head = splitCurve(station.edge.curve, station.t)[0];
  return before.reduce((mm, { curve }) => mm + quadratureLength(curve), quadratureLength(head));
}

/** A point moved by its shares of the amounts. */
export function moved(p: Point, shares: readonly Share[], amounts: Float64Array): Point {
  let { x, y } = p;
  for (const share of shares) {
    x += share.x * amounts[share.amount];
    y += share.y * amounts[share.amount];
  }
  return { x, y };
}

function mixed(a: readonly Share[], b: readonly Share[], share: number): Share[] {
  return [
    ...a.map(({ amount, x, y }) => ({ amount, x: x * (1 - share), y: y * (1 - share) })),
    ...b.map(({ amount, x, y }) => ({ amount, x: x * share, y: y * share })),
  ];
}
