import { FITTING_DEFAULTS, fittingSettings, KEEPS, type FittingSettings } from '#fitting';
import { fields, length, notAllowed, number, oneOf, said } from './field.js';
import { toProblem, valueOf } from './issues-to-problems.js';
import type { Problem } from './problem.js';

/** Weights are compared with each other; more than a hundredfold is a slip. */
const weight = number({ min: 0, max: 100, unit: '' }).optional();

/** Beyond these an alteration is a new draft. Design choices, in mm and degrees. */
const SEAM_MM = { min: 0, max: 150 };
const RISE_MM = { min: 0, max: 160 };
const DEPTH_MM = { min: 0, max: 60 };
const DART_MM = { min: 0, max: 80 };
const SEAT_DEG = { min: 0, max: 20, unit: 'degrees' };

const WEIGHTS = fields({
  waist: said(
    fields({
      frontSide: weight,
      backSide: weight,
      centreFront: weight,
      centreBack: weight,
      frontDarts: weight,
      backDarts: weight,
    }).optional(),
    'Of what the waist gains or loses against the hip.',
  ),
  hip: fields({ frontSide: weight, backSide: weight, centreFront: weight, centreBack: weight }).optional(),
  thigh: fields({ frontFork: weight, backFork: weight }).optional(),
  knee: legWeights(),
  hem: legWeights(),
});

function legWeights() {
  return fields({
    frontInseam: weight,
    backInseam: weight,
    frontOutseam: weight,
    backOutseam: weight,
  }).optional();
}

const LIMITS = fields({
  seam: said(length(SEAM_MM).optional(), 'How far one seam may be let out or taken in at one level.'),
  rise: said(length(RISE_MM).optional(), 'How far a waist point may go up or down.'),
  depth: said(length(DEPTH_MM).optional(), 'How far the fork may hang off the depth that was ordered.'),
  dart: said(length(DART_MM).optional(), 'The widest intake of one dart; a wider one of the block may stay.'),
  seatAngle: said(
    number(SEAT_DEG).optional(),
    'How far seat or belly may be spread or overlapped at the hip line, in degrees.',
  ),
});

/** How a shop fits its own block: which seams take how much of a change, and how far each may go. */
export const FITTING = fields({
  keep: said(
    oneOf(KEEPS).optional(),
    'What is kept where both cannot be. `line`, the default: no curve of the block changes by more than 15 % of its bend or ' +
      'bends a new way; hem and knee yield first, then the thigh, hip, waist and rise last, each named in the findings. ' +
      '`measures`: every length is reached, and curves bend as far as that takes.',
  ),
  weights: said(
    WEIGHTS.optional(),
    'How a change of girth is shared over the seams at its level; 0 leaves a seam alone. Only their ratio counts.',
  ),
  limits: said(
    LIMITS.optional(),
    'How far each alteration may go; beyond it the draft says which would have to.',
  ),
}).transform(({ keep, weights = {}, limits = {} }): FittingSettings => {
  const { seam, rise, depth, dart, seatAngle } = limits;
  const sent = {
    ...(keep === undefined ? {} : { keep }),
    weights: Object.fromEntries(
      Object.entries(weights).map(([girth, seams]) => [girth, seams === undefined ? {} : given(seams)]),
    ),
    limits: given({ seamMm: seam, riseMm: rise, depthMm: depth, dartMm: dart, seatDeg: seatAngle }),
  };
  return fittingSettings(sent);
});

function given(values: Readonly<Record<string, number | undefined>>): Record<string, number> {
  return Object.fromEntries(
    Object.entries(values).flatMap(([name, value]) => (value === undefined ? [] : [[name, value] as const])),
  );
}

/** What no single weight shows: that every seam at a level is left alone. Judged on what can be read. */
export function fittingProblems(fittingJson: unknown): Problem[] {
  const sent = valueOf(fittingJson, 'weights');
  return Object.entries(FITTING_DEFAULTS.weights).flatMap(([girth, usual]): Problem[] => {
    const seams = valueOf(sent, girth);
    const merged = Object.entries<number>(usual as Record<string, number>).map(
      ([seam, value]): unknown => valueOf(seams, seam) ?? value,
    );
    if (merged.some((value) => value !== 0)) return [];
    const says = `leaves every seam alone, so that the ${girth} could not be fitted`;
    const fault = notAllowed('at least one weight above 0', says, 'Give one of its seams a weight above 0.');
    return [toProblem(['fitting', 'weights', girth], seams, fault)];
  });
}

/** Settings as JSON of the contract. */
export function fittingJson({ keep, weights, limits }: FittingSettings) {
  const { seamMm, riseMm, depthMm, dartMm, seatDeg } = limits;
  return {
    keep,
    weights: {
      waist: { ...weights.waist },
      hip: { ...weights.hip },
      thigh: { ...weights.thigh },
      knee: { ...weights.knee },
      hem: { ...weights.hem },
    },
    limits: { seam: seamMm, rise: riseMm, depth: depthMm, dart: dartMm, seatAngle: seatDeg },
  };
}
