import type { Ease } from '#drafting';
import { PRESSED_READS_HIGHER_MM, type InsideLegTaken } from '#measurements';

export const EASE_NAMES = ['close', 'regular', 'easy', 'full'] as const;
export type EaseName = (typeof EASE_NAMES)[number];

/** The measures whose ease a request may set on its own, in mm. */
export const EASE_MEASURES = [
  'waist',
  'hip',
  'thigh',
  'knee',
  'hem',
  'frontRise',
  'backRise',
  'depth',
] as const;
export type EaseMeasure = (typeof EASE_MEASURES)[number];
export type EaseOverrides = Readonly<Partial<Record<EaseMeasure, number>>>;

type TableRow = Omit<Ease, 'depthMm' | 'hemAboveFloorMm' | 'backInseamStretchMm'> & {
  readonly depthMm: Readonly<Record<InsideLegTaken, number>>;
};

/**
 * What a garment has more than the body, by name, in mm.
 *
 * Source  ranges: common practice, no source. `regular` was calibrated on the bodies of ANSUR II (public survey,
 *         2012), where the inside leg is pressed: 35 mm of depth put centre back raise and centre front drop
 *         where the trade expects them. A taped inside leg is lower by about 20 mm, so its depth ease is too.
 *         `close`, `easy` and `full` are design choices around it.
 */
const TABLE: Readonly<Record<EaseName, TableRow>> = {
  close: row({
    waist: 10,
    hip: 20,
    thigh: 60,
    knee: 40,
    heel: 30,
    hemShare: 0.8,
    front: 0,
    back: 10,
    depth: 10,
  }),
  regular: row({
    waist: 15,
    hip: 40,
    thigh: 80,
    knee: 70,
    heel: 30,
    hemShare: 0.86,
    front: 5,
    back: 15,
    depth: 15,
  }),
  easy: row({
    waist: 20,
    hip: 60,
    thigh: 100,
    knee: 95,
    heel: 40,
    hemShare: 0.86,
    front: 15,
    back: 25,
    depth: 22,
  }),
  full: row({
    waist: 25,
    hip: 80,
    thigh: 120,
    knee: 120,
    heel: 50,
    hemShare: 0.86,
    front: 25,
    back: 35,
    depth: 30,
  }),
};

interface RowFigures {
  readonly waist: number;
  readonly hip: number;
  readonly thigh: number;
  readonly knee: number;
  readonly heel: number;
  readonly hemShare: number;
  readonly front: number;
  readonly back: number;
  readonly depth: number;
}

function row(figures: RowFigures): TableRow {
  return {
    waistMm: figures.waist,
    hipMm: figures.hip,
    thighMm: figures.thigh,
    kneeMm: figures.knee,
    heelMm: figures.heel,
    hemShareOfKnee: figures.hemShare,
    frontRiseMm: figures.front,
    backRiseMm: figures.back,
    depthMm: { taped: figures.depth, pressed: figures.depth + PRESSED_READS_HIGHER_MM },
  };
}

/** The hem of a plain block hangs this far above the floor; common practice, no source. */
const HEM_ABOVE_FLOOR_MM = 30;

/**
 * The ease of a draft: a named row, with single measures set by the request.
 *
 * Edges   a `hem` of the request is the ease over the heel girth and then decides alone: the knee no longer does.
 */
export function easeFor(name: EaseName, insideLegTaken: InsideLegTaken, overrides: EaseOverrides): Ease {
  const table = TABLE[name];
  return {
    waistMm: overrides.waist ?? table.waistMm,
    hipMm: overrides.hip ?? table.hipMm,
    thighMm: overrides.thigh ?? table.thighMm,
    kneeMm: overrides.knee ?? table.kneeMm,
    heelMm: overrides.hem ?? table.heelMm,
    hemShareOfKnee: overrides.hem === undefined ? table.hemShareOfKnee : 0,
    frontRiseMm: overrides.frontRise ?? table.frontRiseMm,
    backRiseMm: overrides.backRise ?? table.backRiseMm,
    depthMm: overrides.depth ?? table.depthMm[insideLegTaken],
    hemAboveFloorMm: HEM_ABOVE_FLOOR_MM,
    backInseamStretchMm: 0,
  };
}

/** The body girths that cloth may give round, in mm. */
export interface StretchedGirths {
  readonly waistGirth: number;
  readonly hipGirth: number;
  readonly thighGirth: number;
  readonly kneeGirth: number;
  readonly calfGirth: number;
  readonly heelGirth: number;
}

/**
 * The same ease in cloth that gives: each girth of the body counts for less by what the cloth gives round it.
 *
 * Shape     girths only; rises, depth and lengths stay, because trouser cloth is cut with its stretch round the body.
 *           A measure whose ease the request sets is taken at its word.
 * Units     `stretchPercent` is the stretch that is used in wear, not what the cloth gives at most.
 * Source    common practice, no source: body girth times (1 - usable stretch), and the ease of woven cloth on it.
 */
export function easeInCloth(
  ease: Ease,
  overrides: EaseOverrides,
  body: StretchedGirths,
  stretchPercent: number,
): Ease {
  const gives = (measure: EaseMeasure, girthMm: number): number =>
    overrides[measure] === undefined ? (girthMm * stretchPercent) / 100 : 0;
  return {
    ...ease,
    waistMm: ease.waistMm - gives('waist', body.waistGirth),
    hipMm: ease.hipMm - gives('hip', body.hipGirth),
    thighMm: ease.thighMm - gives('thigh', body.thighGirth),
    kneeMm: ease.kneeMm - gives('knee', Math.max(body.kneeGirth, body.calfGirth)),
    heelMm: ease.heelMm - gives('hem', body.heelGirth),
  };
}

/** A body as cloth that gives feels it: every girth less by what the cloth gives round it. */
export function inCloth<Body extends StretchedGirths>(body: Body, stretchPercent: number): Body {
  const share = 1 - stretchPercent / 100;
  return {
    ...body,
    waistGirth: share * body.waistGirth,
    hipGirth: share * body.hipGirth,
    thighGirth: share * body.thighGirth,
    kneeGirth: share * body.kneeGirth,
    calfGirth: share * body.calfGirth,
    heelGirth: share * body.heelGirth,
  };
}
