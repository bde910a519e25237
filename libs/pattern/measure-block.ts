import { crossingsWithLine, distance, pointAt, type Point } from '#geometry';
import { cornersOf, dartsOf, edgesOf, seamLengthMm } from './outline.js';
import { PatternError } from './pattern-error.js';
import type { Block, Piece } from './piece.js';

/** The measures of a block that a technician checks with a tape, in mm. Girths are of the whole garment or leg. */
export interface BlockFigures {
  /** Twice front and back waist seam, darts closed. */
  readonly waist: number;
  /** Twice front and back width at the hip level, from side seam to centre seam. */
  readonly hip: number;
  /** Front and back width, each at its own fork level. */
  readonly thigh: number;
  readonly knee: number;
  readonly hem: number;
  readonly frontRise: number;
  readonly backRise: number;
  readonly totalRise: number;
  readonly inseamFront: number;
  readonly inseamBack: number;
  readonly outseamFront: number;
  readonly outseamBack: number;
}

export const FIGURES = [
  'waist',
  'hip',
  'thigh',
  'knee',
  'hem',
  'frontRise',
  'backRise',
  'totalRise',
  'inseamFront',
  'inseamBack',
  'outseamFront',
  'outseamBack',
] as const satisfies readonly (keyof BlockFigures)[];

/**
 * Measure a block on its seam lines.
 *
 * Units     mm.
 * Accuracy  every length within `toleranceMm`; widths exact to rounding.
 * Edges     widths are horizontal sections, also on a slanted back: a shop that measures the hip square to the
 *           centre back reads less, by the cosine of the seat angle.
 * Errors    PatternError LEVEL_MISSED when a seam does not reach a level.
 */
export function measureBlock(block: Block, toleranceMm: number): BlockFigures {
  const { front, back, levels } = block;
  const both = (measure: (piece: Piece) => number): number => measure(front) + measure(back);
  const frontRise = seamLengthMm(front, 'rise', toleranceMm);
  const backRise = seamLengthMm(back, 'rise', toleranceMm);
  return {
    waist: waistGirthMm(block, toleranceMm),
    hip: 2 * both((piece) => sectionMm(piece, levels.hip)),
    thigh: both((piece) => forkWidthMm(piece)),
    knee: both((piece) => sectionMm(piece, levels.knee)),
    hem: both((piece) => seamLengthMm(piece, 'hem', toleranceMm / 2)),
    frontRise,
    backRise,
    totalRise: frontRise + backRise,
    inseamFront: seamLengthMm(front, 'inseam', toleranceMm),
    inseamBack: seamLengthMm(back, 'inseam', toleranceMm),
    outseamFront: seamLengthMm(front, 'outseam', toleranceMm),
    outseamBack: seamLengthMm(back, 'outseam', toleranceMm),
  };
}

/** The whole waist seam round the body, darts closed, within `toleranceMm`. */
export function waistGirthMm({ front, back }: Block, toleranceMm: number): number {
  return 2 * (seamLengthMm(front, 'waist', toleranceMm / 4) + seamLengthMm(back, 'waist', toleranceMm / 4));
}

/** Width of a piece at its own fork level. */
export function forkWidthMm(piece: Piece): number {
  const { fork } = cornersOf(piece);
  return fork.x - outermostAt(piece, ['outseam'], fork.y, 'least');
}

/** Width of a piece at a level, from the outseam to the inseam or centre seam. Open darts count as cloth. */
export function sectionMm(piece: Piece, levelMm: number): number {
  return (
    outermostAt(piece, ['inseam', 'rise'], levelMm, 'most') -
    outermostAt(piece, ['outseam'], levelMm, 'least')
  );
}

/** Where a level meets the outseam and the inseam or centre seam; undefined where it does not. */
export function sectionEnds(piece: Piece, levelMm: number): readonly [side: Point, inner: Point] | undefined {
  const xs = (roles: readonly ('inseam' | 'rise' | 'outseam')[]): number[] =>
    crossingXs(piece, roles, levelMm);
  const [sides, inner] = [xs(['outseam']), xs(['inseam', 'rise'])];
  if (sides.length === 0 || inner.length === 0) return undefined;
  return [
    { x: Math.min(...sides), y: levelMm },
    { x: Math.max(...inner), y: levelMm },
  ];
}

/** Width of a piece at a level as it is sewn: what lies in open darts is taken off. */
export function sewnSectionMm(piece: Piece, levelMm: number): number {
  return dartsOf(piece).reduce(
    (width, dart) => {
      const side = crossing(dart.sideLeg.curve, levelMm);
      const centre = crossing(dart.centreLeg.curve, levelMm);
      return side === undefined || centre === undefined ? width : width - distance(side, centre);
    },
    sectionMm(piece, levelMm),
  );
}

function crossing(curve: Parameters<typeof pointAt>[0], levelMm: number): Point | undefined {
  const [t] = crossingsWithLine(curve, { x: 0, y: levelMm }, { x: 1, y: 0 });
  return t === undefined ? undefined : pointAt(curve, t);
}

function outermostAt(
  piece: Piece,
  roles: readonly ('inseam' | 'rise' | 'outseam')[],
  levelMm: number,
  which: 'least' | 'most',
): number {
  const xs = crossingXs(piece, roles, levelMm);
  if (xs.length === 0) throw new PatternError('LEVEL_MISSED', { piece: piece.role, roles, levelMm });
  return which === 'most' ? Math.max(...xs) : Math.min(...xs);
}

function crossingXs(
  piece: Piece,
  roles: readonly ('inseam' | 'rise' | 'outseam')[],
  levelMm: number,
): number[] {
  return roles.flatMap((role) =>
    edgesOf(piece, role).flatMap(({ curve }) =>
      crossingsWithLine(curve, { x: 0, y: levelMm }, { x: 1, y: 0 }).map((t) => pointAt(curve, t).x),
    ),
  );
}
