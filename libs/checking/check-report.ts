import type { Point } from '#geometry';
import type { FindingLevel, Moved } from '#pattern';
import type { CornerCheck, SeamCheck } from '#truing';
import type { DxfUnits, UnreadPart } from '#interchange';

/** One thing the service has to say about a pattern from outside. */
export interface CheckFinding {
  /** As it is drawn on the sheet: stops first. */
  readonly number: number;
  readonly code: string;
  readonly level: FindingLevel;
  readonly message: string;
  readonly action: string;
  readonly place: CheckPlace;
  /** Names end in their unit. */
  readonly numbers: Readonly<Record<string, number>>;
  /** How far it may be off; null where there is nothing to measure. */
  readonly tolerance: { readonly value: number; readonly unit: 'mm' | 'degrees' } | null;
  /** Where the tolerance or the rule comes from. */
  readonly basis: string;
  /** The code to ask for if this is to be corrected; null when a person has to. */
  readonly correction: string | null;
}

export interface CheckPlace {
  /** The piece by its block in the file. */
  readonly piece?: string;
  /** A seam, corner or mark by its trade name. */
  readonly part?: string;
  /** In mm in the frame of the piece as the file has it. */
  readonly at?: Point;
  /** Line of the file. */
  readonly line?: number;
}

export type PieceKind = 'front' | 'back' | 'waistband' | 'fly' | 'pocket' | 'other';

/** What a piece was taken for, and how surely. */
export interface CheckedPieceRole {
  readonly piece: string;
  readonly name: string;
  readonly size: string | null;
  readonly kind: PieceKind;
  /** `request`: it was said. `name`: its name says so. `shape`: its outline does. */
  readonly basis: 'request' | 'name' | 'shape' | 'none';
  /** 0 to 1: how much better this reading is than the next. */
  readonly confidence: number;
  readonly quantity: { readonly asDrawn: number; readonly mirrored: number } | null;
  readonly areaMm2: number;
  readonly cutLineMm: number;
  readonly sewLineMm: number | null;
  readonly points: { readonly given: number; readonly curves: number; readonly removed: number };
  /** How far the farthest given point lies from the curves that were drawn through them. */
  readonly curveDeviationMm: number;
}

export interface LineCheck {
  readonly line: 'hip' | 'crotch' | 'knee';
  readonly seam: 'inseam' | 'outseam';
  readonly frontFromHemMm: number;
  readonly backFromHemMm: number;
  readonly difference: number;
  readonly allowed: number;
  readonly state: 'ok' | 'off';
}

export interface StatedSeamCheck {
  readonly name: string;
  /** Blocks of the pieces. */
  readonly firstPiece: string;
  readonly secondPiece: string;
  readonly firstMm: number;
  readonly secondMm: number;
  readonly easeMm: number;
  readonly difference: number;
  readonly allowed: number;
  readonly state: 'ok' | 'off';
}

/** A correction that is offered. */
export interface Correction {
  readonly code: string;
  readonly words: string;
  readonly piece: string | null;
  readonly part: string;
  readonly byMm: number;
}

export interface CheckReport {
  readonly file: {
    readonly units: DxfUnits | null;
    readonly styleName: string | null;
    readonly size: string | null;
    readonly sizes: readonly string[];
    readonly unread: readonly UnreadPart[];
  };
  readonly pieces: readonly CheckedPieceRole[];
  readonly seams: readonly SeamCheck[];
  readonly stated: readonly StatedSeamCheck[];
  readonly corners: readonly CornerCheck[];
  readonly lines: readonly LineCheck[];
  /** Sewn girths and openings in mm; absent where the pieces for them are. */
  readonly measures: Readonly<Record<string, number>>;
  readonly findings: readonly CheckFinding[];
  readonly corrections: readonly Correction[];
  /** What was moved, where this is the report on a corrected pattern. */
  readonly moved: readonly Moved[];
  /** No stop: the pattern can be cut and will sew together, as far as it could be judged. */
  readonly sewable: boolean;
  /** Which of the seams that decide could be judged at all. */
  readonly judged: 'trouser' | 'pieces only' | 'nothing';
}

/** A finding before it has its number. */
export type Found = Omit<CheckFinding, 'number' | 'numbers' | 'tolerance' | 'correction'> &
  Partial<Pick<CheckFinding, 'numbers' | 'tolerance' | 'correction'>>;

export const PRACTICE = 'common practice, no source';
export const ASTM = 'ASTM D6673-10, read in secondary sources';
export const CHOICE = 'our choice';
