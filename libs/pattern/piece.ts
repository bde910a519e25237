import type { Curve, Point } from '#geometry';

/**
 * Frame of a trouser piece: millimetres, y up, floor y = 0, crease at x = 0, +x towards the inseam on the
 * front and on the back. The outline runs rise, inseam, hem, outseam, waist: clockwise in this frame.
 */
export type PieceRole = 'front' | 'back';

export const EDGE_ROLES = ['rise', 'inseam', 'hem', 'outseam', 'waist', 'dart'] as const;
export type EdgeRole = (typeof EDGE_ROLES)[number];

/**
 * One edge of an outline.
 *
 * `id` is unique in its piece and survives every operation that leaves the edge in place, bent, shortened or
 * moved. An edge made by cutting, joining or copying gets a new id and names what it was made of in `from`.
 */
export interface Edge {
  readonly id: string;
  readonly role: EdgeRole;
  readonly curve: Curve;
  readonly from?: readonly string[];
}

export const LINE_ROLES = ['hip', 'crotch', 'knee', 'crease', 'grain', 'fly', 'stitch', 'internal'] as const;
export type LineRole = (typeof LINE_ROLES)[number];

/** A line drawn inside a piece: a balance line, the grain, the fly, a stitch line. */
export interface PieceLine {
  readonly role: LineRole;
  readonly curves: readonly Curve[];
}

/** A notch, set by seam distance along one edge; the direction of travel is the outline's. */
export interface Notch {
  readonly edgeId: string;
  readonly fromStartMm: number;
  readonly kind: 'slit' | 'v';
  /** What it marks; partners on two sewn edges carry the same name. */
  readonly name?: string;
}

export interface Piece {
  readonly role: PieceRole;
  /** In outline order from the first rise edge, closed: each edge starts where the one before ends, bit for bit. */
  readonly edges: readonly Edge[];
  readonly lines: readonly PieceLine[];
  readonly notches: readonly Notch[];
}

/** Heights above the floor. `crotch` is the level of the front fork. */
export interface Levels {
  readonly hip: number;
  readonly crotch: number;
  readonly knee: number;
  readonly hem: number;
}

/** The measured base pattern of one garment: half a front and half a back. */
export interface Block {
  readonly name: string;
  readonly levels: Levels;
  readonly front: Piece;
  readonly back: Piece;
  /** Length of the whole waistband as it will be cut, round the body and without overlap; undefined when there is none to compare with. */
  readonly waistbandMm?: number;
  /** Pieces that an alteration adds to front and back, measured from them; undefined when there are none. */
  readonly added?: readonly AddedPiece[];
  /** Pulled on over the hips: the waist has no opening and needs no fly. */
  readonly pullOn?: true;
}

/**
 * A piece of its own that is sewn to front and back: a casing, a cuff, a gusset. Seam lines, in mm.
 *
 * A strip is `lengthMm` along what it is sewn to and `widthMm` wide as it is cut, before it is folded; a diamond has
 * four sides of `lengthMm` and is `widthMm` across between the corners that lie on the centre seams.
 */
export interface AddedPiece {
  readonly name: string;
  readonly shape: 'strip' | 'folded-strip' | 'diamond';
  readonly lengthMm: number;
  readonly widthMm: number;
  readonly sewnTo: 'waist' | 'hem' | 'fork';
  /** How many the garment needs. */
  readonly count: number;
}

/** Points of a piece where two seams meet. */
export interface Corners {
  readonly fork: Point;
  readonly centreWaist: Point;
  readonly sideWaist: Point;
  readonly hemInseam: Point;
  readonly hemOutseam: Point;
}

/**
 * Points of a piece that people name. They are derived from the outline whenever they are asked for, so they
 * cannot drift away from it.
 */
export interface Landmarks extends Corners {
  readonly sideHip: Point;
  readonly kneeInseam: Point;
  readonly kneeOutseam: Point;
}
