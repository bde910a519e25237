import { contradictionsOf } from './contradictions.js';
import { MEASURE_NAMES, measureInWords, type Body, type MeasureName } from './measure.js';
import type { MeasureProblem } from './measure-problem.js';
import { RANGES } from './ranges.js';

/**
 * The first check of a body: each measure within what adults have, and no two that cannot both be true.
 *
 * A waist of 29 is inches and one of 74 is centimetres, and a draft would come out of neither without complaint.
 * The check says what the number would be in the unit it smells of and asks; it converts nothing. Whether
 * believable measures fit each other is a later question, and its answers are findings.
 *
 * Shape      every problem at once: ranges in the order of MEASURE_NAMES, then contradictions. A measure outside
 *            its range is not compared with others, since its number means nothing yet. Missing measures are fine.
 * Units      millimetres.
 * Edges      the limits themselves are allowed.
 */
export function checkRanges(body: Body): MeasureProblem[] {
  const outside = MEASURE_NAMES.flatMap((measure) => {
    const valueMm = body.measures[measure];
    return valueMm === undefined || isInRange(measure, valueMm) ? [] : [outOfRange(measure, valueMm)];
  });
  const believable = Object.fromEntries(
    Object.entries(body.measures).filter(([name, valueMm]) => isInRange(name as MeasureName, valueMm)),
  );
  return [...outside, ...contradictionsOf(believable)];
}

function isInRange(measure: MeasureName, valueMm: number): boolean {
  const { minMm, maxMm } = RANGES[measure];
  return valueMm >= minMm && valueMm <= maxMm;
}

/** The slips that put a body measure out of its range, in the order in which they are offered. */
const SLIPS: readonly {
  readonly unit: string;
  readonly factor: number;
  readonly fix: (found: number) => string;
}[] = [
  { unit: 'in', factor: 25.4, fix: (found) => `if inches were meant send "${found} in"` },
  { unit: 'cm', factor: 10, fix: (found) => `if centimetres were meant send "${found} cm"` },
  {
    unit: 'tenths of a mm',
    factor: 0.1,
    fix: (found) => `if a digit too many was typed send ${Number((found / 10).toFixed(1))}`,
  },
];

function outOfRange(measure: MeasureName, valueMm: number): MeasureProblem {
  const { minMm, maxMm } = RANGES[measure];
  const side = valueMm < minMm ? `below ${minMm} mm` : `above ${maxMm} mm`;
  const number = Number(valueMm.toFixed(2));
  const slips = SLIPS.filter(({ factor }) => isInRange(measure, valueMm * factor));
  const would = slips.map(
    ({ unit, factor }) => `; ${number} ${unit} would be ${Math.round(valueMm * factor)} mm`,
  );
  return {
    pointer: `/measures/${measure}`,
    code: slips.length > 0 ? 'UNIT_DOUBTFUL' : 'MEASURE_OUT_OF_RANGE',
    found: `${number} mm`,
    allowed: { min: minMm, max: maxMm, unit: 'mm' },
    message: `The ${measureInWords(measure)} of ${number} mm is ${side}${would.join('')}.`,
    action: sentence(
      slips.length > 0
        ? slips.map(({ fix }) => fix(number)).join('; ')
        : adultAction(measure, valueMm < minMm),
    ),
  };
}

function adultAction(measure: MeasureName, isBelow: boolean): string {
  const again = `take the ${measureInWords(measure)} again and send it in millimetres`;
  return isBelow
    ? `ranges are adult; a child's trouser is not drafted here, because nothing proves the draft on children. If the body is adult, ${again}`
    : again;
}

function sentence(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
}
