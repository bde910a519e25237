import type { Wearer, WearerMeasure } from '#alterations';
import { distance, endOf, startOf, type Point } from '#geometry';
import {
  cornersOf,
  dartsOf,
  landmarksOf,
  pieceOf,
  pleatsOf,
  seamQuadratureMm,
  waistOffSquareRad,
  type Block,
  type Corners,
  type EdgeRole,
  type Landmarks,
  type Levels,
  type Piece,
  type PieceRole,
} from '#pattern';
import type { FormulaValue, Quantity } from './formula/formula.js';

/** Names that every recipe may use without having given them. */

const PIECES = ['front', 'back'] as const satisfies readonly PieceRole[];
const SEAMS = ['rise', 'inseam', 'hem', 'outseam', 'waist'] as const satisfies readonly EdgeRole[];
const LEVELS = ['hip', 'crotch', 'knee', 'hem'] as const;
const CORNERS = [
  'fork',
  'centreWaist',
  'sideWaist',
  'hemInseam',
  'hemOutseam',
] as const satisfies readonly (keyof Corners)[];
const AT_LEVELS = ['sideHip', 'kneeInseam', 'kneeOutseam'] as const satisfies readonly (keyof Landmarks)[];
const LANDMARKS = [...CORNERS, ...AT_LEVELS] as const;

/** Measures of the wearer by the name a formula has for them; `body.heelKnown` says whether `body.heel` is there, `body.heelEstimated` whether nobody took it. */
const BODY = {
  heel: 'heelGirthMm',
  calf: 'calfGirthMm',
  knee: 'kneeGirthMm',
  thigh: 'thighGirthMm',
  waist: 'waistGirthMm',
  hip: 'hipGirthMm',
} as const satisfies Record<string, WearerMeasure>;

/** What the standing names are read from. */
export interface Surroundings {
  readonly before: Block;
  readonly block: Block;
  readonly wearer: Wearer;
}

interface StandingQuantity {
  readonly quantity: Quantity;
  readonly read: (from: Surroundings) => FormulaValue;
}

type StandingPoint = (from: Surroundings) => Point;

const QUANTITIES = new Map<string, StandingQuantity>();
const POINTS = new Map<string, StandingPoint>();

for (const [prefix, of] of [
  ['', (from: Surroundings) => from.block],
  ['block.', (from: Surroundings) => from.before],
] as const) {
  for (const level of LEVELS) {
    QUANTITIES.set(`${prefix}level.${level}`, { quantity: 'length', read: (from) => of(from).levels[level] });
  }
  for (const role of PIECES) {
    for (const seam of SEAMS) {
      QUANTITIES.set(`${prefix}${role}.${seam}.length`, {
        quantity: 'length',
        read: (from) => seamQuadratureMm(pieceOf(of(from), role), seam),
      });
    }
    for (const name of LANDMARKS) {
      const point: StandingPoint = (from) => landmark(pieceOf(of(from), role), of(from).levels, name);
      POINTS.set(`${prefix}${role}.${name}`, point);
      for (const axis of ['x', 'y'] as const) {
        QUANTITIES.set(`${prefix}${role}.${name}.${axis}`, {
          quantity: 'length',
          read: (from) => point(from)[axis],
        });
      }
    }
    QUANTITIES.set(`${prefix}${role}.darts`, {
      quantity: 'ratio',
      read: (from) => dartsOf(pieceOf(of(from), role)).length,
    });
    QUANTITIES.set(`${prefix}${role}.dartIntake`, {
      quantity: 'length',
      read: (from) =>
        dartsOf(pieceOf(of(from), role)).reduce(
          (sum, { sideLeg, centreLeg }) => sum + distance(startOf(sideLeg.curve), endOf(centreLeg.curve)),
          0,
        ),
    });
    QUANTITIES.set(`${prefix}${role}.pleats`, {
      quantity: 'ratio',
      read: (from) => pleatsOf(pieceOf(of(from), role)).length,
    });
    QUANTITIES.set(`${prefix}${role}.waistOffSquare`, {
      quantity: 'angle',
      read: (from) => waistOffSquareRad(pieceOf(of(from), role)),
    });
  }
  QUANTITIES.set(`${prefix}band.length`, { quantity: 'length', read: (from) => of(from).waistbandMm ?? 0 });
  QUANTITIES.set(`${prefix}band.given`, {
    quantity: 'yes-no',
    read: (from) => of(from).waistbandMm !== undefined,
  });
}
for (const [name, measure] of Object.entries(BODY)) {
  QUANTITIES.set(`body.${name}`, { quantity: 'length', read: ({ wearer }) => wearer[measure] ?? 0 });
  QUANTITIES.set(`body.${name}Known`, {
    quantity: 'yes-no',
    read: ({ wearer }) => wearer[measure] !== undefined,
  });
  QUANTITIES.set(`body.${name}Estimated`, {
    quantity: 'yes-no',
    read: ({ wearer }) => wearer.estimated?.includes(measure) ?? false,
  });
}

// Corners are read off two seams; the others have to be looked for along them.
function landmark(piece: Piece, levels: Levels, name: keyof Landmarks): Point {
  const corner = CORNERS.find((candidate) => candidate === name);
  return corner === undefined ? landmarksOf(piece, levels)[name] : cornersOf(piece)[corner];
}

/** What every standing name of a formula is. */
export const STANDING_QUANTITIES: ReadonlyMap<string, Quantity> = new Map(
  [...QUANTITIES].map(([name, { quantity }]) => [name, quantity]),
);

/** Every standing point that a step may refer to. */
export const STANDING_POINTS: ReadonlySet<string> = new Set(POINTS.keys());

/** The value of a standing name now; undefined for a name that is none. */
export function standingValue(name: string, from: Surroundings): FormulaValue | undefined {
  return QUANTITIES.get(name)?.read(from);
}

export function standingPoint(name: string, from: Surroundings): Point | undefined {
  return POINTS.get(name)?.(from);
}
