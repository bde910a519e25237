import type { Point } from '#geometry';

/** A point as a file gives it, in mm in the frame of its piece. */
export interface ForeignPoint extends Point {
  /** Lines of the file that hold its x and its y, counted from 1; absent for a point that was computed (an arc, a spline, a fold). */
  readonly source?: CoordinateSource;
}

export interface CoordinateSource {
  readonly xLine: number;
  readonly yLine: number;
  /** How a move in the piece's frame in mm becomes one in file units: the four numbers of a matrix, row by row. */
  readonly toFile: readonly [number, number, number, number];
}

/** A line of one layer, put together from whatever entities it was drawn with. */
export interface ForeignLine {
  readonly points: readonly ForeignPoint[];
  /** Whether the last point joins the first; the first is then not repeated. */
  readonly closed: boolean;
  readonly layer: number;
  /** Line of the file where its first entity starts. */
  readonly line: number;
  /** Kinds of entity it was drawn with. */
  readonly kinds: readonly string[];
  /** Points of no length that stood in it; they are left out of `points`. */
  readonly doubled: readonly ForeignPoint[];
  /** Where it says a point again to close or to join itself. */
  readonly repeats: readonly ForeignPoint[];
}

export type NotchShape = 'slit' | 'v' | 't' | 'castle' | 'check' | 'u';

export interface ForeignNotch {
  readonly at: ForeignPoint;
  readonly shape: NotchShape;
  readonly depthMm: number;
  readonly widthMm: number;
  /** Direction of the cut, counter-clockwise from +x; undefined when the file does not say. */
  readonly angleDeg?: number;
  readonly line: number;
}

export interface ForeignText {
  readonly text: string;
  readonly at: Point;
  readonly layer: number;
  readonly line: number;
}

export interface ForeignPiece {
  readonly block: string;
  readonly line: number;
  /** `Piece Name`, else the name of the block. */
  readonly name: string;
  readonly size?: string;
  /** Right and left, as ASTM D6673 counts them: as drawn and mirrored. Undefined when the file does not say. */
  readonly quantity?: { readonly asDrawn: number; readonly mirrored: number };
  /** Texts of the form "Identifier:value" by the standard's spelling of the identifier. */
  readonly texts: Readonly<Record<string, string>>;
  readonly annotations: readonly ForeignText[];
  /** The cut line; undefined when no line of layer 1 goes round the piece. */
  readonly boundary: ForeignLine | undefined;
  readonly sewLines: readonly ForeignLine[];
  readonly internalLines: readonly ForeignLine[];
  readonly cutouts: readonly ForeignLine[];
  readonly turnPoints: readonly ForeignPoint[];
  readonly curvePoints: readonly ForeignPoint[];
  readonly notches: readonly ForeignNotch[];
  readonly drillHoles: readonly {
    readonly at: ForeignPoint;
    readonly diameterMm: number;
    readonly line: number;
  }[];
  readonly grain: readonly [Point, Point] | undefined;
  readonly mirror: readonly [Point, Point] | undefined;
  readonly gradeReference: readonly [Point, Point] | undefined;
  /** Stripe and plaid lines, layers 9 and 10. */
  readonly clothLines: readonly ForeignLine[];
  /** Quality validation curves, layers 84 to 87. */
  readonly validation: readonly ForeignLine[];
  readonly gradeRules: readonly { readonly rule: string; readonly at: Point; readonly line: number }[];
  /** Whether the file holds one half and the other was drawn by its mirror line. */
  readonly unfolded: boolean;
}

export type DxfUnits = 'metric' | 'english' | 'cm';

/** A pattern that somebody else drew, as its file says, in mm. */
export interface ForeignPattern {
  readonly texts: Readonly<Record<string, string>>;
  readonly units: DxfUnits;
  /** One for each piece and size. */
  readonly pieces: readonly ForeignPiece[];
  /** Size names in the order of the file. */
  readonly sizes: readonly string[];
}

/** Something in a file that cannot be right. */
export interface DxfProblem {
  readonly code: string;
  /** Line of the file, counted from 1; 0 for the file as a whole. */
  readonly line: number;
  readonly found: string;
  readonly allowed: string;
  readonly message: string;
  readonly action: string;
}

/** Something in a file that has no meaning here; it was left out. */
export interface UnreadPart {
  /** The first line where it stands. */
  readonly line: number;
  readonly what: string;
  readonly why: string;
  readonly count: number;
}

export interface DxfReading {
  /** Undefined when nothing can be made of the file. */
  readonly pattern: ForeignPattern | undefined;
  /** The pieces of a file that does not say its unit, in the unit it has: to be looked at, never measured. */
  readonly unscaled: readonly ForeignPiece[];
  readonly problems: readonly DxfProblem[];
  readonly unread: readonly UnreadPart[];
}

/** What is read of one file at most, counted and not timed: the same file is refused on every machine. */
export interface DxfLimits {
  readonly characters: number;
  readonly lineCharacters: number;
  /** Codes with their values. */
  readonly groups: number;
  readonly entities: number;
  /** Entities that come from blocks within blocks. */
  readonly nested: number;
  readonly pieces: number;
  /** Points of all lines after arcs and splines have been made chords. */
  readonly points: number;
  readonly insertDepth: number;
  readonly problems: number;
}

/**
 * A trouser of ten pieces is a fifth of a megabyte, a nest of it in twenty sizes four; a file past these is no pattern, or
 * a hundred of them. As much as is read takes less than 400 MB of memory, whatever the file holds.
 */
export const DXF_LIMITS: DxfLimits = {
  characters: 32 * 1024 * 1024,
  lineCharacters: 4096,
  groups: 800_000,
  entities: 60_000,
  nested: 20_000,
  pieces: 400,
  points: 250_000,
  insertDepth: 6,
  problems: 50,
};
