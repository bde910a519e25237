import type { CompleteMeasures } from '#measurements';
import type { StretchedGirths } from './ease.js';
import { halfStepRad, legLiftMm } from './leg-lift-room.js';
import { stepLengthMm, STEP_SHARE_OF_STATURE } from './step-room.js';

/** Green: room enough. Amber: look, and ask the wearer. Red: it will not do. */
export type FitState = 'green' | 'amber' | 'red';

/** One figure that stands in for a try-on. */
export interface FitFigure {
  readonly name: FitFigureName;
  /** In trade words. */
  readonly words: string;
  readonly valueMm: number;
  /** What makes it green; amber reaches as far again as `redBelow` and `redAbove` say. */
  readonly green: FitLimits;
  /** Outside these it is red. */
  readonly red: FitLimits;
  readonly state: FitState;
  /** What the figure does not know. */
  readonly caveat: string;
}

export interface FitLimits {
  readonly minMm?: number;
  readonly maxMm?: number;
}

export type FitFigureName =
  | 'waistEase'
  | 'hipEase'
  | 'thighEase'
  | 'kneeEase'
  | 'calfEase'
  | 'crotchEase'
  | 'forkBelowBody'
  | 'sitting'
  | 'footEntry'
  | 'waistEntry'
  | 'stepRoom'
  | 'legLift';

/** A garment as it is sewn, in mm: girths are of the whole garment at waist and hip and of one leg below. */
export interface FitGarment {
  readonly waistMm: number;
  readonly hipMm: number;
  readonly forkMm: number;
  readonly kneeMm: number;
  /** Undefined where the leg ends above the calf. */
  readonly calfMm: number | undefined;
  readonly hemMm: number;
  readonly frontRiseMm: number;
  readonly backRiseMm: number;
  readonly inseamMm: number;
  readonly forkLevelMm: number;
  readonly hemLevelMm: number;
  /** How far the waist opens down the front. */
  readonly openingMm: number;
  readonly hem: 'closed' | 'open';
  /** How far the cloth gives in a girth, in per cent. */
  readonly stretchPercent: number;
}

/** The fork hangs low when it is this far under the crotch: then it is no seat any more, and a step needs room. */
export const LOW_FORK_MM = 60;

/** Where the calf is thickest, as a share of the knee height; from memory, no source. */
export const CALF_SHARE_OF_KNEE = 0.72;

/**
 * Figures that say beforehand what a fitting would: ease at every level, the seat, ways in, room to move.
 *
 * Shape     in the order of a fitting, from the waist down, then ways in, then moving. A low fork has no thigh ease
 *           and no crotch ease: it has a height below the body, step room and leg-lift room instead. A calf that the
 *           leg does not reach and a hem that opens are left out.
 * Units     mm.
 * Accuracy  none of it has been held against a sewn garment yet; every figure carries its caveat.
 * Source    limits of ease for woven cloth: common practice, no source. Step room and leg lift: derived, see there.
 *           Sitting: derived; see `sitting`.
 */
export function fitFigures(body: CompleteMeasures, garment: FitGarment): FitFigure[] {
  const belowMm = body.insideLegLength - garment.forkLevelMm;
  const low = belowMm >= LOW_FORK_MM;
  return [
    ...eases(body, garment, low),
    low ? forkBelow(belowMm) : crotchEase(body, garment),
    sitting(body, garment),
    ...(garment.hem === 'open' ? [] : [footEntry(body, garment)]),
    waistEntry(body, garment),
    ...(low ? [stepRoom(body, garment), legLift(body, garment, belowMm)] : []),
  ];
}

/** Least ease in woven cloth to move in; common practice, no source. */
const WOVEN_EASE_MM = { waist: 10, hip: 30, thigh: 30, knee: 40, calf: 30 } as const;

/**
 * The least girths of a garment that is still green, in mm: what may be asked to give way may give way to these.
 *
 * Units   the body as cloth feels it, see `inCloth`. The leg has to pass knee and calf, the hem the foot.
 */
export function leastGirths(
  body: StretchedGirths,
): Record<'waist' | 'hip' | 'thigh' | 'knee' | 'hem', number> {
  const { waist, hip, thigh, knee, calf } = WOVEN_EASE_MM;
  return {
    waist: body.waistGirth + waist,
    hip: body.hipGirth + hip,
    thigh: body.thighGirth + thigh,
    knee: Math.max(body.kneeGirth + knee, body.calfGirth + calf),
    hem: body.heelGirth + 2 * ENTRY_MM,
  };
}

function eases(body: CompleteMeasures, garment: FitGarment, low: boolean): FitFigure[] {
  const standing = 'Of a body standing still, breathed out.';
  const knee = 'A bent knee is some 30 mm thicker.';
  const legs: readonly Parameters<typeof ease>[0][] = [
    { name: 'waistEase', part: 'waist', hasMm: garment.waistMm, bodyMm: body.waistGirth, caveat: standing },
    { name: 'hipEase', part: 'hip', hasMm: garment.hipMm, bodyMm: body.hipGirth, caveat: standing },
    { name: 'thighEase', part: 'thigh', hasMm: garment.forkMm, bodyMm: body.thighGirth, caveat: standing },
    { name: 'kneeEase', part: 'knee', hasMm: garment.kneeMm, bodyMm: body.kneeGirth, caveat: knee },
    ...(garment.calfMm === undefined
      ? []
      : [
          {
            name: 'calfEase',
            part: 'calf',
            hasMm: garment.calfMm,
            bodyMm: body.calfGirth,
            caveat: 'The height of the calf is guessed from that of the knee.',
          } as const,
        ]),
  ];
  return legs
    .filter(({ part }) => !(low && part === 'thigh'))
    .map((level) => ease(level, garment.stretchPercent));
}

interface EaseLevel {
  readonly name: FitFigureName;
  readonly part: keyof typeof WOVEN_EASE_MM;
  readonly hasMm: number;
  readonly bodyMm: number;
  readonly caveat: string;
}

// Cloth that gives replaces ease by its stretch; red is cloth smaller than the body even so.
function ease({ name, part, hasMm, bodyMm, caveat }: EaseLevel, stretchPercent: number): FitFigure {
  const givesMm = (bodyMm * stretchPercent) / 100;
  return figure({
    name,
    words: `ease at ${part}`,
    valueMm: hasMm - bodyMm,
    green: { minMm: WOVEN_EASE_MM[part] - givesMm },
    red: { minMm: -givesMm },
    caveat,
  });
}

function crotchEase(body: CompleteMeasures, { frontRiseMm, backRiseMm }: FitGarment): FitFigure {
  return figure({
    name: 'crotchEase',
    words: 'crotch length ease',
    valueMm: frontRiseMm + backRiseMm - body.totalCrotchLength,
    green: { minMm: 10, maxMm: 40 },
    red: { minMm: -10, maxMm: 80 },
    caveat: 'Length only; whether it lies in front or behind is the split of the rise.',
  });
}

function forkBelow(belowMm: number): FitFigure {
  return figure({
    name: 'forkBelowBody',
    words: 'fork below the body',
    valueMm: belowMm,
    green: {},
    red: {},
    caveat: 'A style, not a fault; the lower, the shorter the step and the more cloth between the legs.',
  });
}

/** Distance of the seat's surface from the hip joint, as a share of the hip girth: half a buttock depth, 120 mm of 1000. From memory, no source. */
const SEAT_RADIUS_SHARE = 0.12;
/** What a sitting body gets without length in the seat: hem that rides up, waist that drops. Common practice, no source. */
const HEM_RIDES_UP_MM = 60;
const WAIST_DROPS_MM = 25;

/**
 * Back length over the seat when hip and knee are bent at right angles: what the garment can pay less what the body
 * asks for. Negative on nearly every trouser, since cloth also slides; it ranks garments and proves nothing.
 */
function sitting(body: CompleteMeasures, garment: FitGarment): FitFigure {
  const asksMm = SEAT_RADIUS_SHARE * body.hipGirth * (Math.PI / 2);
  const easeMm = garment.backRiseMm - body.backCrotchLength;
  const givesMm = (body.backCrotchLength * garment.stretchPercent) / 100;
  return figure({
    name: 'sitting',
    words: 'sitting index',
    valueMm: easeMm + HEM_RIDES_UP_MM + WAIST_DROPS_MM + givesMm - asksMm,
    green: { minMm: -120 },
    red: { minMm: -170 },
    caveat:
      'An index with limits that nobody has sewn against yet; the split between seat and leg is a guess.',
  });
}

/** Heel and instep pass a closed hem with this much more, easily with twice. Common practice, no source. */
const ENTRY_MM = 10;

function footEntry({ heelGirth }: CompleteMeasures, { hemMm, stretchPercent }: FitGarment): FitFigure {
  return figure({
    name: 'footEntry',
    words: 'foot through the hem',
    valueMm: hemMm * (1 + stretchPercent / 100) - heelGirth,
    green: { minMm: 2 * ENTRY_MM },
    red: { minMm: ENTRY_MM },
    caveat: 'The foot pointed; a stiff hem or lining takes some of it.',
  });
}

function waistEntry({ hipGirth }: CompleteMeasures, garment: FitGarment): FitFigure {
  const { waistMm, openingMm, stretchPercent } = garment;
  return figure({
    name: 'waistEntry',
    words: 'hip through the waist',
    valueMm: waistMm * (1 + stretchPercent / 100) + 2 * openingMm - hipGirth,
    green: { minMm: 2 * ENTRY_MM },
    red: { minMm: ENTRY_MM },
    caveat:
      openingMm === 0
        ? 'Pulled on: nothing opens, so the waist alone has to pass.'
        : `With the front open ${Math.round(openingMm)} mm down, both edges of it counted.`,
  });
}

/** A step this much shorter than an ordinary one is noticed and still walked. Design choice. */
const SHORT_STEP_SHARE = 0.9;

function stepRoom(body: CompleteMeasures, garment: FitGarment): FitFigure {
  const ordinaryMm = STEP_SHARE_OF_STATURE * body.stature;
  return figure({
    name: 'stepRoom',
    words: 'longest step',
    valueMm: stepLengthMm({
      garmentGirthMm: 2 * garment.forkMm * (1 + garment.stretchPercent / 100),
      legGirthMm: body.thighGirth,
      belowHipJointMm: body.trochanterHeight - garment.forkLevelMm,
      legLengthMm: body.trochanterHeight,
    }),
    green: { minMm: ordinaryMm },
    red: { minMm: SHORT_STEP_SHARE * ordinaryMm },
    caveat: 'Legs as round rods, cloth that does not slide, walking on the flat; stairs need far more.',
  });
}

/** A hem that rides up by more than this at each step is seen. Design choice. */
const RIDES_UP_MM = 30;

function legLift(body: CompleteMeasures, garment: FitGarment, belowMm: number): FitFigure {
  const legLengthMm = body.insideLegLength;
  const turnRad = halfStepRad(STEP_SHARE_OF_STATURE * body.stature, legLengthMm);
  const slackMm = garment.inseamMm - (garment.forkLevelMm - garment.hemLevelMm);
  return figure({
    name: 'legLift',
    words: 'inseam to spare in a step',
    valueMm: slackMm - legLiftMm({ legLengthMm, belowCrotchMm: belowMm, turnRad }),
    green: { minMm: 0 },
    red: { minMm: -RIDES_UP_MM },
    caveat: 'What is missing lifts the hem. Cycling and climbing turn the leg twice as far.',
  });
}

function figure(of: Omit<FitFigure, 'state'>): FitFigure {
  const isIn = ({ minMm = -Infinity, maxMm = Infinity }: FitLimits): boolean =>
    of.valueMm >= minMm - ROUNDING_MM && of.valueMm <= maxMm + ROUNDING_MM;
  return { ...of, state: isIn(of.green) ? 'green' : isIn(of.red) ? 'amber' : 'red' };
}

/** An ease that was ordered at its limit comes out of the solver within this. */
const ROUNDING_MM = 0.01;
