import type { Finding, OutlineInspection, PieceRole } from '#pattern';

export type CheckState = 'ok' | 'fixed' | 'off' | 'for-finishing' | 'not-checked';

export type SeamName = 'inseam' | 'outseam' | 'centre-front' | 'centre-back' | 'waist' | 'dart';

export type CornerName =
  'fork' | 'sideWaist' | 'sideHem' | 'inseamHem' | 'centreFrontWaist' | 'centreBackWaist';

/**
 * What is said of one block: will it sew together, and if not, what to do.
 *
 * Units  lengths are millimetres, angles degrees: this is the report as it is written. Nothing is rounded.
 */
export interface TruingReport {
  readonly seams: readonly SeamCheck[];
  readonly corners: readonly CornerCheck[];
  readonly balanceLines: readonly BalanceLineCheck[];
  readonly waistband: WaistbandCheck;
  readonly outline: readonly OutlineCheck[];
  readonly findings: readonly Finding[];
  /** No deciding check is off: inseam, outseam, dart legs, waist, fork, side and centre waist corners, outline. */
  readonly sewable: boolean;
}

export interface SeamSide {
  /** `both` for the whole waist seam, round the body. */
  readonly piece: PieceRole | 'both' | 'waistband';
  readonly part: string;
  readonly lengthMm: number;
}

export interface SeamCheck {
  readonly seam: SeamName;
  readonly first: SeamSide;
  readonly second: SeamSide;
  /** Back minus front; seam minus band; centre leg minus side leg of a dart. */
  readonly difference: number;
  readonly allowed: { readonly min: number; readonly max: number };
  readonly state: CheckState;
  /** What was done (`fixed`) or what to do (`off`). */
  readonly fix: Fix | null;
  /** Notches that have a partner of the same name on the other seam. */
  readonly notches: readonly NotchCheck[];
  /** Beside a centre seam: the whole way from waist to waist through the fork. */
  readonly crotchPathMm?: number;
}

export interface NotchCheck {
  readonly name: string;
  readonly frontFromHemMm: number;
  readonly backFromHemMm: number;
  /** Back minus front. */
  readonly difference: number;
  readonly allowed: number;
  readonly state: CheckState;
}

export interface CornerCheck {
  readonly at: CornerName;
  /** Front and back, or the one angle of a centre corner. */
  readonly angles: readonly number[];
  readonly sum: number;
  readonly target: number;
  /** Sum minus target. */
  readonly deviation: number;
  readonly allowed: number;
  /** At a centre corner: the angle as the first 10 mm of both seams show it. */
  readonly overReach?: number;
  readonly state: CheckState;
  readonly fix: Fix | null;
}

export interface BalanceLineCheck {
  readonly line: 'hip' | 'crotch' | 'knee';
  readonly seam: 'inseam' | 'outseam';
  readonly levelMm: number;
  /** Seam distance from the hem to the line on the front; null where a seam does not reach it. */
  readonly fromHemMm: number | null;
  /** The back at that seam distance: its height minus the level of the front. */
  readonly difference: number | null;
  readonly allowed: number;
  readonly state: CheckState;
}

export interface WaistbandCheck {
  /** The whole waist seam, round the body, darts closed. */
  readonly seamMm: number;
  readonly bandMm: number;
  /** `seam`: no band was given, it is cut to the seam. */
  readonly cutTo: 'given' | 'seam';
  /** Seam minus band. */
  readonly difference: number;
  /** The difference in percent of the band; what is above zero is eased in. */
  readonly fullnessPercent: number;
  readonly allowedPercent: number;
  readonly state: CheckState;
  /** What could be done, best first; each alone closes the difference. */
  readonly proposals: readonly Fix[];
}

export interface OutlineCheck extends OutlineInspection {
  readonly piece: PieceRole;
  /** `off` when the outline is open, meets itself or runs the wrong way round. */
  readonly state: CheckState;
}

export type FixKind =
  | 'merge-short-edge'
  | 'move-waist-end'
  | 'move-hem-end'
  | 'change-fullness'
  | 'spread-ease'
  | 'true-corner'
  | 'release-darts'
  | 'deepen-darts'
  | 'let-out-sides'
  | 'take-in-sides'
  | 'move-centre-waist'
  | 'cut-band'
  | 'elastic-casing'
  | 'ask';

/** One way to close a difference, as an instruction. */
export interface Fix {
  readonly kind: FixKind;
  readonly piece: PieceRole | null;
  readonly part: string;
  /** How far a point or a curve moves, or how much length is given or taken; never negative. */
  readonly byMm: number;
  readonly words: string;
}

/** A fix that has been made to the block under report. */
export interface AppliedFix {
  /** The check it was made for: a seam or corner by its name, a dart by piece and number ("back dart 2"). */
  readonly of: string;
  readonly fix: Fix;
  /** Beside ease: what the seams still differ by, left to their tolerance. */
  readonly leftMm?: number;
}
