import {
  checkRanges,
  CORRECTION_USES,
  INSIDE_LEG_WAYS,
  MEASURE_NAMES,
  NEEDED_MEASURES,
  parseLength,
  questionsOf,
  RANGES,
  SEXES,
  type Body,
  type MeasureName,
} from '#measurements';
import { z } from 'zod';
import { DATE, field, fields, length, line, list, oneOf, readLength, said } from './field.js';
import { issuesToProblems, valueOf } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, foundInWords, type Parsed, type Problem } from './problem.js';
import { lengthForm } from './wire-form.js';

const REFERENCE_LENGTH_MAX = 64;

/** Where the tape goes, after the definitions of ISO 8559-1:2017 (from memory). */
const TAKEN: Readonly<Record<MeasureName, string>> = {
  waistGirth: 'Around the waist, level; the other waist measures start from the same height',
  hipGirth: 'Around the fullest part of seat and hips, level',
  thighGirth: 'Around the thigh at its fullest, just below the crotch, level',
  kneeGirth: 'Around the knee, over the middle of the kneecap',
  calfGirth: 'Around the calf at its fullest',
  ankleGirth: 'Around the ankle at its narrowest',
  heelGirth: 'Around heel and instep, the foot flat; a closed hem has to pass it',
  totalCrotchLength: 'From the waist in front between the legs to the waist behind',
  backCrotchLength: 'The part of the total crotch length behind the crotch point',
  waistHeight: 'From the waist straight down to the floor, without shoes',
  hipHeight: 'From the level of the hip girth straight down to the floor',
  insideLegLength: 'From the crotch straight down to the floor, without shoes; insideLegTaken says how',
  kneeHeight: 'From the middle of the kneecap straight down to the floor',
  outsideLegLength: 'From the waist at the side over the hip down to the floor',
  hipBreadth: 'From side to side at the hip, straight, as with calipers',
  waistBreadth: 'From side to side at the waist, straight, as with calipers',
  trochanterHeight: 'From the hip joint felt at the side straight down to the floor',
  stature: 'From the crown to the floor, without shoes',
};

// Any length passes here: whether it is a body's is asked once for all of them, with how they fit each other.
function measure(name: MeasureName) {
  const allowed = { min: RANGES[name].minMm, max: RANGES[name].maxMm, unit: 'mm' };
  return field(
    allowed,
    (found) => {
      const parsed = parseLength(found);
      return parsed.ok ? { value: parsed.mm } : readLength(found, allowed);
    },
    lengthForm(allowed, TAKEN[name]),
  );
}

type MeasureField = ReturnType<typeof measure>;
type MeasureShape = {
  [Name in MeasureName]: Name extends (typeof NEEDED_MEASURES)[number]
    ? MeasureField
    : z.ZodOptional<MeasureField>;
};

const MEASURES = fields(
  Object.fromEntries(
    MEASURE_NAMES.map((name) => [
      name,
      (NEEDED_MEASURES as readonly MeasureName[]).includes(name) ? measure(name) : measure(name).optional(),
    ]),
  ) as MeasureShape,
);

/** A correction beyond these is another body: it should be measured again. Design choices. */
const CORRECTION_MM = { min: -60, max: 60 };
const CORRECTIONS_MAX = 20;

const CORRECTIONS = list(
  fields({
    date: said(DATE, 'The day of the fitting.'),
    use: said(
      oneOf(CORRECTION_USES),
      '`waist`: the girth becomes so much wider. `centre-back`: the back rise goes up by so much at the waist.',
    ),
    with: fields({ by: length(CORRECTION_MM) }),
  }),
  CORRECTIONS_MAX,
);

/** A body as it is sent, to the body that is drafted. */
export const BODY = fields({
  ref: said(line(REFERENCE_LENGTH_MAX), 'A pseudonym of yours for the person, never a name.'),
  sex: said(oneOf(SEXES), 'Chooses the tables of ease and estimates.'),
  insideLegTaken: said(
    oneOf(INSIDE_LEG_WAYS).optional(),
    '`taped` (when left out): the tape falls from the crotch. `pressed`: a rod held hard into it, which reads higher.',
  ),
  measures: said(MEASURES, 'What is missing of the optional ones is estimated, and the draft says how well.'),
  corrections: said(
    CORRECTIONS.optional(),
    'What fittings taught: made in this order on every block of this body, before any alteration.',
  ),
})
  .meta({ id: 'BodyRequest' })
  .transform(({ ref, sex, insideLegTaken = 'taped', measures, corrections = [] }): Body => {
    const taken = Object.entries(measures).filter(([, valueMm]) => valueMm !== undefined);
    const body = { ref, sex, insideLegTaken, measures: Object.fromEntries(taken) };
    if (corrections.length === 0) return body;
    return {
      ...body,
      corrections: corrections.map(({ date, use, with: { by } }) => ({ date, use, byMm: by })),
    };
  });

/** Read one body by itself, as one row of a table is read. Every problem at once; pointers start at the body. */
export function readBody(json: unknown): Parsed<Body> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = BODY.safeParse(json);
  const problems = [
    ...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json)),
    ...measureProblems(json),
  ];
  return parsed.success && problems.length === 0
    ? { ok: true, value: parsed.data }
    : { ok: false, problems: atMost(problems) };
}

/**
 * What is wrong with the measures as a body's, judged on those that can be read.
 *
 * Beside the schema and not in it: a schema stops at its first wrong field, and a sender with one slip of the pen
 * and two of the unit should hear of all three.
 */
export function measureProblems(bodyJson: unknown): Problem[] {
  const sent = valueOf(bodyJson, 'measures');
  return checkRanges(readableBody(bodyJson)).map((problem) => {
    const asSent = valueOf(sent, problem.pointer.slice('/measures/'.length));
    const isText = problem.code !== 'MEASURES_CONTRADICT' && typeof asSent === 'string';
    return isText ? { ...problem, found: foundInWords(asSent) } : problem;
  });
}

/** What the service asks about the measures before it drafts: believable ones that do not go together. */
export function measureQuestions(bodyJson: unknown): Problem[] {
  return questionsOf(readableBody(bodyJson));
}

/** A body of what can be read, for judging measures though another field is wrong. */
function readableBody(bodyJson: unknown): Body {
  const sent = valueOf(bodyJson, 'measures');
  const read = MEASURE_NAMES.flatMap((name) => {
    const parsed = parseLength(valueOf(sent, name));
    return parsed.ok ? [[name, parsed.mm] as const] : [];
  });
  return {
    ref: '',
    sex: SEXES.find((sex) => sex === valueOf(bodyJson, 'sex')) ?? 'unspecified',
    insideLegTaken: INSIDE_LEG_WAYS.find((way) => way === valueOf(bodyJson, 'insideLegTaken')) ?? 'taped',
    measures: Object.fromEntries(read),
  };
}
