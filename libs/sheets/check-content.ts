import type { Curve, Point } from '#geometry';
import type { Finding, FindingLevel } from '#pattern';
import type { CheckState } from './proof-content.js';

/** A pattern from outside as it was judged, ready to be drawn. */
export interface CheckContent {
  /** What the pattern is called by whoever sent it, else by its file. */
  readonly name: string;
  /** One line: sewable or not, and what was judged. */
  readonly verdict: string;
  readonly sewable: boolean;
  /** What the file said of itself, in one line: units, size, how many pieces. */
  readonly facts: string;
  /** Which pattern it is that is signed, by which rules: only what is known. */
  readonly identity: readonly { readonly label: string; readonly value: string }[];
  /** Why there are no measures, or no drawing. */
  readonly notice?: string;
  /** False where the file does not say its unit: the shapes are drawn to fit, and nothing of them is measured. */
  readonly isScaled: boolean;
  readonly pieces: readonly CheckContentPiece[];
  readonly seams: readonly CheckContentSeam[];
  readonly corners: readonly (RuledRow & {
    readonly name: string;
    /** Before the correction, where the pattern is a corrected one. */
    readonly wasDeg?: number;
    readonly sumDeg: number;
    readonly targetDeg: number;
  })[];
  /** Balance lines by where they meet a seam, from the hem. */
  readonly lines: readonly (RuledRow & {
    readonly name: string;
    readonly frontMm: number;
    readonly backMm: number;
  })[];
  /** What the sewer has to do so that seams fit that differ by more than the cloth takes by itself. */
  readonly eases: readonly string[];
  /** What was moved, where the pattern that is drawn is a corrected one. */
  readonly corrected?: CheckContentCorrection;
  readonly findings: readonly CheckContentFinding[];
  readonly engine: string;
}

/** A check with its state, and what the rules made of its finding: `ignored`, or the level that it has by them. */
export interface RuledRow {
  readonly state: CheckState;
  readonly ruled?: 'ignored' | FindingLevel;
}

export interface CheckContentPiece {
  /** Its own: two pieces of a file may have one name. */
  readonly id: string;
  readonly name: string;
  /** What it was taken for, and how many are cut. */
  readonly detail: string;
  readonly cut: readonly Curve[];
  /** The seam line in parts, each in its state. */
  readonly seams: readonly { readonly curves: readonly Curve[]; readonly state: CheckState }[];
  readonly lines: readonly Curve[];
  readonly notches: readonly { readonly at: Point; readonly inwards: Point; readonly depthMm: number }[];
  readonly holes: readonly Point[];
  readonly grain: readonly [Point, Point] | undefined;
}

/** Two seams to be laid along each other, from the end they share. */
export interface CheckContentSeam extends RuledRow {
  readonly name: string;
  readonly first: CheckContentSide;
  readonly second: CheckContentSide;
  /** How much longer the second may be. */
  readonly allowed: { readonly min: number; readonly max: number };
}

export interface CheckContentSide {
  readonly name: string;
  readonly lengthMm: number;
  /** Notches by their distance from the shared end. */
  readonly notchesMm: readonly number[];
}

export interface CheckContentCorrection {
  readonly moved: readonly {
    readonly operation: string;
    readonly piece: string;
    readonly part: string;
    readonly byMm: number;
  }[];
  /** Seams that are not as long as they were. */
  readonly seams: readonly {
    readonly name: string;
    readonly first: { readonly beforeMm: number; readonly afterMm: number };
    readonly second: { readonly beforeMm: number; readonly afterMm: number };
  }[];
}

export interface CheckContentFinding {
  readonly number: number;
  readonly finding: Finding;
  readonly piece?: string;
  readonly at?: Point;
  /** What a rule made of it. */
  readonly ruled?: CheckContentRule;
  /** The code to ask for, where it can be corrected. */
  readonly correction?: string;
}

export interface CheckContentRule {
  readonly by: 'severity' | 'ignored';
  /** The level without the rule. */
  readonly was: FindingLevel;
  /** Like "ignored until 2026-12-31 (agreed with the maker), was stop". */
  readonly words: string;
}
