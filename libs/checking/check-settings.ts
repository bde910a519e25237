import type { Point } from '#geometry';
import { TRADE_RULES, type TruingRules } from '#truing';
import type { DxfUnits } from '#interchange';
import type { PieceKind } from './check-report.js';
import type { ToleranceName } from './finding-codes.js';

/** What a pattern from outside is held to, and what the sender says about it: plain data. */
export interface CheckSettings {
  /** The unit where the file does not say it. */
  readonly units?: DxfUnits;
  /** The size to judge; the file's sample size, else its first, when absent. */
  readonly size?: string;
  /** The text of the grade rule table that goes with the file; sizes that only the table has can then be judged. */
  readonly gradeRules?: string;
  /** What each piece is, by the name of its block or its piece name. */
  readonly kinds: Readonly<Record<string, PieceKind>>;
  /** Seams that are sewn to each other, beyond those every trouser has. */
  readonly seams: readonly StatedSeam[];
  readonly truing: TruingRules;
  /** Curves drawn through the points of the file may lie this far from them. */
  readonly curveMm: number;
  readonly outline: OutlineSettings;
  readonly marks: MarkSettings;
  readonly allowance: AllowanceSettings;
  /** Two pieces that mirror each other may differ by this. */
  readonly mirrorMm: number;
  /** The smallest hem opening, where the sender has one. */
  readonly hemOpeningMm?: number;
  /** Who said a tolerance, in words such as "as the request says"; those of the trade have nobody here. */
  readonly origins?: ToleranceOrigins;
}

export type ToleranceOrigins = Readonly<Partial<Record<ToleranceName, string>>>;

/** Two stretches of outline by their ends, each the nearest point of its piece's seam line, travelled the shorter way. */
export interface StatedSeam {
  readonly name: string;
  readonly first: SeamStretch;
  readonly second: SeamStretch;
  /** How much longer the second is meant to be. */
  readonly easeMm: number;
}

export interface SeamStretch {
  readonly piece: string;
  readonly from: Point;
  readonly to: Point;
}

export interface OutlineSettings {
  /** A corner between this and `cornerDeg` within a seam is a kink. */
  readonly kinkDeg: number;
  readonly cornerDeg: number;
  /** A point may stand this far out of the line its neighbours make. */
  readonly fairMm: number;
  /** Sides between two corners shorter than this cannot be cut. */
  readonly shortMm: number;
  readonly sliverDeg: number;
  /** The largest piece of a trouser is neither smaller nor larger than this. */
  readonly pieceMmMin: number;
  readonly pieceMmMax: number;
}

export interface MarkSettings {
  /** A notch may lie this far from the edge. */
  readonly notchEdgeMm: number;
  /** Two notches nearer than this are one. */
  readonly notchApartMm: number;
  /** How much has to be left between a notch and the seam. */
  readonly notchLeaveMm: number;
  readonly lineOutsideMm: number;
  readonly grainDeg: number;
  /** A turn or curve point may lie this far from its line. */
  readonly pointMm: number;
  readonly validationMm: number;
}

export interface AllowanceSettings {
  readonly leastMm: number;
  /** Between two edges that are sewn to each other, at the same place. */
  readonly pairMm: number;
  /** A dip or a step within one edge. */
  readonly unevenMm: number;
}

/** Tolerances of seams are those of truing; the rest are our choices, set so that sound patterns pass. */
export const CHECK_DEFAULTS: CheckSettings = {
  kinds: {},
  seams: [],
  truing: { ...TRADE_RULES, hem: 'finished', lengthToleranceMm: 0.004 },
  curveMm: 0.05,
  outline: {
    kinkDeg: 4,
    cornerDeg: 25,
    fairMm: 0.3,
    shortMm: 0.5,
    sliverDeg: 3,
    pieceMmMin: 250,
    pieceMmMax: 2500,
  },
  marks: {
    notchEdgeMm: 0.5,
    notchApartMm: 1,
    notchLeaveMm: 1,
    lineOutsideMm: 1,
    grainDeg: 0.5,
    pointMm: 0.1,
    validationMm: 0.5,
  },
  allowance: { leastMm: 4, pairMm: 1, unevenMm: 1 },
  mirrorMm: 0.5,
};

/** More marks of one kind than this on a piece are no marks; each is laid against the whole outline. */
export const MARKS_MAX = 300;
