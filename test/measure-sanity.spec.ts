import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { readDraftRequest } from '#contracts';
import {
  checkRanges,
  DOUBT_CODE,
  NEEDED_MEASURES,
  questionsOf,
  type Body,
  type MeasureName,
} from '#measurements';
import { CORRUPTIONS, percentFound, type Corruption, type Detection } from './support/corrupted-bodies.js';
import { describeWith, SURVEY } from './support/needs.js';
import { surveyBodies, surveyBodiesIn } from './support/survey-bodies.js';

/** Share of honest bodies that may be asked something; a shop that is asked more stops reading. */
const ASKED_SHARE_MAX = 0.05;

const SAMPLE = surveyBodies();

/** Bodies that are in the sample for being extreme; a share of honest bodies is counted without them. */
const EXTREME = ['f0051', 'f0867', 'm0630', 'm2421'];
const HONEST = SAMPLE.filter(({ ref }) => !EXTREME.includes(ref));

describe('measure sanity, at the door of the service', () => {
  it('refuses no honest body and asks few, each with the one code that lets it through', () => {
    expect(honestlyAsked(HONEST) / HONEST.length).toBeLessThanOrEqual(ASKED_SHARE_MAX);
  });

  it.each(CORRUPTIONS.filter(({ undetectable }) => undetectable === undefined))(
    'lets no body through with $name',
    (corruption) => {
      expect(detection(corruption, SAMPLE, codesAtTheDoor)).toMatchObject({ unseen: 0 });
    },
  );

  // Floors, from the rates of docs/measure-sanity.md less what 89 bodies may differ by (two standard errors).
  it.each([
    ['waistGirth +25 %', 72],
    ['waistGirth -25 %', 85],
    ['hipGirth +10 %', 85],
    ['hipGirth -10 %', 89],
    ['thighGirth +10 %', 41],
    ['thighGirth -10 %', 42],
    ['front and back crotch length exchanged', 92],
  ])('finds %s on at least %i %% of bodies', (name, percent) => {
    const corruption = CORRUPTIONS.find((one) => one.name === name) as Corruption;
    expect(corruption.undetectable).toBeDefined();
    expect(percentFound(detection(corruption, SAMPLE, codesAtTheDoor))).toBeGreaterThanOrEqual(percent);
  });

  it('lets a confirmed question through and nothing else', () => {
    const { measures } = SAMPLE[0];
    const odd = { ...SAMPLE[0], measures: { ...measures, thighGirth: 2 * (measures.kneeGirth ?? 0) } };
    expect(codesAtTheDoor(odd, [])).toEqual([DOUBT_CODE]);
    expect(codesAtTheDoor(odd, [DOUBT_CODE])).toEqual([]);
    const inches = { ...odd, measures: { ...odd.measures, waistGirth: 33 } };
    expect(codesAtTheDoor(inches, [DOUBT_CODE])).toEqual(['UNIT_DOUBTFUL']);
  });
});

describeWith(SURVEY, 'measure sanity on all 2,023 survey bodies', (table) => {
  const bodies = surveyBodiesIn(table);

  it('refuses no honest body and asks few, each with the one code that lets it through', () => {
    expect(bodies).toHaveLength(2023);
    expect(honestlyAsked(bodies) / bodies.length).toBeLessThanOrEqual(ASKED_SHARE_MAX);
  });

  it('finds what docs/measure-sanity.md says it finds', () => {
    const needed = bodies.map(withNeededOnly);
    const rows = CORRUPTIONS.filter(({ name }) => !/inches|centimetres|digit/.test(name)).map(
      (corruption) => {
        const whole = detection(corruption, bodies, codesOfMeasures);
        const few = detection(corruption, needed, codesOfMeasures);
        const fewWords = few.bodies === 0 ? 'not taken' : `${percentFound(few).toFixed(0)} %`;
        return `| ${corruption.name} | ${percentFound(whole).toFixed(0)} % | ${fewWords} |`;
      },
    );
    const units = CORRUPTIONS.filter(({ name }) => /inches|centimetres|digit/.test(name));
    for (const corruption of units) expect(detection(corruption, bodies, codesOfMeasures).unseen).toBe(0);
    const text = readFileSync(join(import.meta.dirname, '../../docs/measure-sanity.md'), 'utf8');
    expect(text.split('\n').map((line) => line.replaceAll(/ +/g, ' '))).toEqual(expect.arrayContaining(rows));
  });
});

/** How many are asked, after seeing that a question is all that stands in the way of each and one code answers it. */
function honestlyAsked(bodies: readonly Body[]): number {
  const asked = bodies.filter((body) => codesAtTheDoor(body, []).length > 0);
  for (const body of asked) {
    expect([body.ref, codesAtTheDoor(body, [])]).toEqual([body.ref, [DOUBT_CODE]]);
    expect([body.ref, codesAtTheDoor(body, [DOUBT_CODE])]).toEqual([body.ref, []]);
  }
  return asked.length;
}

type Judge = (body: Body, confirm: readonly string[]) => string[];

function detection({ name, of }: Corruption, bodies: readonly Body[], judge: Judge): Detection {
  const answers = bodies.flatMap((body) => {
    const measures = of(body.measures);
    return measures === undefined ? [] : [judge({ ...body, measures }, [])];
  });
  const asked = answers.filter((codes) => codes.length === 1 && codes[0] === DOUBT_CODE).length;
  const unseen = answers.filter((codes) => codes.length === 0).length;
  return { name, bodies: answers.length, refused: answers.length - asked - unseen, asked, unseen };
}

/** The different codes with which the service answers a request to draft this body. */
function codesAtTheDoor(body: Body, confirm: readonly string[]): string[] {
  const read = readDraftRequest({ body, block: 'from-body', confirm });
  return read.ok ? [] : [...new Set(read.problems.map(({ code }) => code))];
}

/** The same without the door, which takes a minute for all slips on all bodies. */
function codesOfMeasures(body: Body): string[] {
  return [...new Set([...checkRanges(body), ...questionsOf(body)].map(({ code }) => code))];
}

function withNeededOnly(body: Body): Body {
  const needed: readonly MeasureName[] = NEEDED_MEASURES;
  const taken = Object.entries(body.measures).filter(([name]) => needed.includes(name as MeasureName));
  return { ...body, measures: Object.fromEntries(taken) };
}
