import type { MeasureProblem } from './measure-problem.js';
import { measureInWords, mmInWords, type MeasureName } from './measure.js';

type Measures = Readonly<Partial<Record<MeasureName, number>>>;

/** Two measures of which one must be the smaller on every body, whatever its shape. */
interface Order {
  readonly smaller: MeasureName;
  readonly larger: MeasureName;
  /** How much the smaller may exceed the larger all the same. */
  readonly slackMm: number;
  readonly because: string;
}

/**
 * The seat's fullest level may lie below a crotch height that was pressed hard: by up to 23 mm among the 2,023
 * bodies of ANSUR II that the estimates were fitted on. Twice that and a little is no body any more.
 */
const HIP_BELOW_CROTCH_MM_MAX = 60;

/** A tape over the side of the hip is never shorter than the plumb line beside it, but for how well it was read. */
const READING_MM = 10;

// From the definitions of ISO 8559-1: levels above one another, parts of a whole, a girth and its own width.
const ORDERS: readonly Order[] = [
  { smaller: 'hipHeight', larger: 'waistHeight', slackMm: 0, because: 'the hip lies below the waist' },
  {
    smaller: 'insideLegLength',
    larger: 'hipHeight',
    slackMm: HIP_BELOW_CROTCH_MM_MAX,
    because: `the hip lies at most ${HIP_BELOW_CROTCH_MM_MAX} mm below the crotch`,
  },
  {
    smaller: 'insideLegLength',
    larger: 'waistHeight',
    slackMm: 0,
    because: 'the crotch lies below the waist',
  },
  { smaller: 'kneeHeight', larger: 'insideLegLength', slackMm: 0, because: 'the knee lies below the crotch' },
  { smaller: 'waistHeight', larger: 'stature', slackMm: 0, because: 'the waist lies below the crown' },
  {
    smaller: 'trochanterHeight',
    larger: 'waistHeight',
    slackMm: 0,
    because: 'the hip joint lies below the waist',
  },
  {
    smaller: 'waistHeight',
    larger: 'outsideLegLength',
    slackMm: READING_MM,
    because: 'the outside leg follows the hip from the waist to the floor',
  },
  {
    smaller: 'backCrotchLength',
    larger: 'totalCrotchLength',
    slackMm: 0,
    because: 'the back is a part of the total',
  },
  {
    smaller: 'ankleGirth',
    larger: 'heelGirth',
    slackMm: 0,
    because: 'the heel girth goes round heel and instep',
  },
];

const HALVES: readonly { readonly breadth: MeasureName; readonly girth: MeasureName }[] = [
  { breadth: 'hipBreadth', girth: 'hipGirth' },
  { breadth: 'waistBreadth', girth: 'waistGirth' },
];

/** Measures that cannot all be true of one body. Those that are missing are not judged. */
export function contradictionsOf(measures: Measures): MeasureProblem[] {
  return [
    ...ORDERS.flatMap((order) => orderProblem(measures, order)),
    ...HALVES.flatMap(({ breadth, girth }) => breadthProblem(measures, breadth, girth)),
    ...crotchProblem(measures),
  ];
}

function orderProblem(measures: Measures, { smaller, larger, slackMm, because }: Order): MeasureProblem[] {
  const smallMm = measures[smaller];
  const largeMm = measures[larger];
  if (smallMm === undefined || largeMm === undefined) return [];
  const fits = slackMm === 0 ? smallMm < largeMm : smallMm <= largeMm + slackMm;
  return fits ? [] : [contradiction(measures, [smaller, larger], because)];
}

// No closed line is shorter than twice its own width.
function breadthProblem(measures: Measures, breadth: MeasureName, girth: MeasureName): MeasureProblem[] {
  const breadthMm = measures[breadth];
  const girthMm = measures[girth];
  if (breadthMm === undefined || girthMm === undefined || 2 * breadthMm < girthMm) return [];
  return [contradiction(measures, [breadth, girth], 'a girth is more than twice its breadth')];
}

// The tape goes down to the crotch and up again, so it is at least twice as long as the crotch is deep.
function crotchProblem(measures: Measures): MeasureProblem[] {
  const { totalCrotchLength, waistHeight, insideLegLength } = measures;
  if (totalCrotchLength === undefined || waistHeight === undefined || insideLegLength === undefined)
    return [];
  if (totalCrotchLength > 2 * (waistHeight - insideLegLength)) return [];
  return [
    contradiction(
      measures,
      ['totalCrotchLength', 'waistHeight', 'insideLegLength'],
      'the crotch length goes from the waist down to the crotch and up again, so it is more than twice the difference of the heights',
    ),
  ];
}

function contradiction(measures: Measures, names: readonly MeasureName[], because: string): MeasureProblem {
  const found = names.map((name) => `${measureInWords(name)} ${mmInWords(measures[name] ?? 0)}`).join(', ');
  const words = names.map(measureInWords).join(' and ');
  return {
    pointer: `/measures/${names[0]}`,
    code: 'MEASURES_CONTRADICT',
    found,
    message: `These cannot all be true of one body (${found}): ${because}.`,
    action: `Take ${words} again, and send the one that was wrong.`,
  };
}
