import { distance, endDirection, endOf, opposite, scale, add, startDirection, type Point } from '#geometry';
import { edgesOf, seamAtLevel, withSeam, type Edge, type Piece } from '#pattern';
import { carrySeamEnd } from './carry-seam-end.js';
import { cutRun, runLengthMm } from './run.js';
import { edgesOfWaist, waistLineOf, type WaistLine } from './waist-line.js';

/** The side of a piece from the hip up, and its waist: what moves when a side waist moves. */
export interface SideAndWaist {
  readonly below: readonly Edge[];
  readonly upper: readonly Edge[];
  readonly waist: WaistLine;
}

/** Undefined when the outseam does not reach the hip. */
export function sideAndWaistOf(piece: Piece, hipLevelMm: number): SideAndWaist | undefined {
  const hip = seamAtLevel(piece, 'outseam', hipLevelMm);
  if (hip === undefined) return undefined;
  const run = edgesOf(piece, 'outseam');
  const [below, upper] = cutRun(run, hip);
  const waist = waistLineOf(piece);
  return upper.length > 0
    ? { below, upper, waist }
    : { below: run.slice(0, -1), upper: run.slice(-1), waist };
}

/**
 * How far a side waist goes: up along its seam, and outwards along its waist.
 *
 * Both ways are tangents at the side waist as it stands, so outseam and waist change by about what they are given.
 */
export interface SideMove {
  readonly upMm: number;
  readonly outMm: number;
}

/** The side and waist with the side waist moved; hip, darts and centre stay. The corner at the side keeps its angle. */
export function sideMoved(side: SideAndWaist, move: SideMove): SideAndWaist {
  const by = moveVector(side, move);
  const [first, ...others] = side.waist.runs;
  return {
    below: side.below,
    upper: carrySeamEnd(side.upper, 'end', by),
    waist: { ...side.waist, runs: [carrySeamEnd(first, 'start', by), ...others] },
  };
}

function moveVector({ upper, waist }: SideAndWaist, { upMm, outMm }: SideMove): Point {
  const up = scale(endDirection(upper[upper.length - 1].curve), upMm);
  const out = scale(opposite(startDirection(waist.runs[0][0].curve)), outMm);
  return add(up, out);
}

/** Length of the whole outseam by fixed quadrature. */
export function outseamMm({ below, upper }: SideAndWaist): number {
  return runLengthMm(below) + runLengthMm(upper);
}

/** Length of the waist seam with darts closed, by fixed quadrature. */
export function waistMm({ waist }: SideAndWaist): number {
  return waist.runs.reduce((sum, run) => sum + runLengthMm(run.filter(({ role }) => role === 'waist')), 0);
}

export function sideWaistOf({ upper }: SideAndWaist): Point {
  return endOf(upper[upper.length - 1].curve);
}

export function sideMoveMm(before: SideAndWaist, after: SideAndWaist): number {
  return distance(sideWaistOf(before), sideWaistOf(after));
}

/** The piece with its outseam and waist taken from `side`. */
export function withSideAndWaist(piece: Piece, side: SideAndWaist): Piece {
  const seamed = withSeam(piece, 'outseam', [...side.below, ...side.upper]);
  const rest = seamed.edges.filter((edge) => edge.role !== 'waist' && edge.role !== 'dart');
  return { ...seamed, edges: [...rest, ...edgesOfWaist(side.waist)] };
}
