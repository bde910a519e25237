import { at, line, type Curve, type Point } from '#geometry';
import type { ClothUse, CutPieceLine, MadePiece, SeamRun } from './cut-piece.js';
import { cutNotches, type NotchOrder } from './cut-notch.js';
import { cutRing } from './cut-ring.js';
import type { FinishRules } from './finish-rules.js';

/** One side of a small piece: a seam, or a free edge with an allowance of its own. */
export interface Side {
  readonly seam: string;
  readonly curves: readonly Curve[];
  readonly widthMm: number;
}

/** A notch on a side, by distance from its start. */
export interface SideNotch {
  readonly name: string;
  readonly side: number;
  readonly fromStartMm: number;
}

export interface SmallPiecePlan {
  readonly id: string;
  readonly name: string;
  /** Clockwise and closed. */
  readonly sides: readonly Side[];
  readonly notches: readonly SideNotch[];
  readonly lines: readonly CutPieceLine[];
  readonly grain: readonly [Point, Point];
  readonly quantity: { readonly asDrawn: number; readonly mirrored: number };
  readonly cloth: readonly ClothUse[];
  readonly sideWords?: string;
}

/** A small piece with its allowances, mitred at every corner. */
export function finishSmallPiece(plan: SmallPiecePlan, rules: FinishRules): MadePiece {
  const runs = plan.sides.map(({ seam, curves, widthMm }): SeamRun => ({
    seam,
    curves,
    widths: [{ fromStartMm: 0, widthMm }],
  }));
  const mitre = { treatment: 'mitre', seam: 'after', mitreLimit: rules.corners.mitreLimit } as const;
  const ring = cutRing(
    runs,
    runs.map(() => mitre),
    rules.accuracy.cutLineMm,
  );
  const orders = plan.notches.map(({ name, side, fromStartMm }): NotchOrder => ({
    name,
    run: runs[side],
    fromStartMm,
    kind: 'slit',
  }));
  const { notches, findings } = cutNotches(plan.name, orders, rules);
  const { id, name, lines, grain, quantity, cloth, sideWords } = plan;
  return {
    piece: {
      id,
      name,
      cut: ring.cut,
      runs,
      darts: [],
      notches,
      drillHoles: [],
      lines,
      grain,
      quantity,
      cloth,
      ...(sideWords === undefined ? {} : { sideWords }),
    },
    findings,
  };
}

/** The four sides of an upright strip from (0, 0), clockwise: left edge upwards, top, right edge downwards, bottom. */
export function stripSides(
  widthMm: number,
  heightMm: number,
  names: readonly [left: string, top: string, right: string, bottom: string],
  allowanceMm: number,
): Side[] {
  const corners = [at(0, 0), at(0, heightMm), at(widthMm, heightMm), at(widthMm, 0)];
  return names.map((seam, i) => ({
    seam,
    curves: [line(corners[i], corners[(i + 1) % corners.length])],
    widthMm: allowanceMm,
  }));
}
