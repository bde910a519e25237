import { describe, expect, it } from '@jest/globals';
import { finishBlock, FINISH_DEFAULTS, type FinishedPattern, type FinishRules } from '#finishing';
import { distance, flatten, nearestParameter, pointAt, type Curve } from '#geometry';
import { writeDxf, type DxfOptions } from '#interchange';
import type { Body } from '#measurements';
import { draftResult, type DraftOrder } from '#pipeline';
import { BUILT_IN_RECIPES } from '#recipes';
import { TRADE_RULES } from '#truing';
import { threeBodies } from '../../test/support/cut-patterns.js';
import { finishedCases } from '../../test/support/finished-cases.js';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { SURVEY } from '../../test/support/needs.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { driftOf } from '../../test/support/round-trip.js';
import { surveyBodies, surveyBodiesIn } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern, type CheckSettings } from './index.js';

// Every pattern that we export as DXF is read back to what was drawn, and the check finds nothing in it but what the draft
// itself says. At night 300 random bodies, of the whole survey where it is at hand: FORKLINE_NIGHTLY=1.
const TRUING = { ...TRADE_RULES, lengthToleranceMm: 0.004 };
const ALL_PIECES: FinishRules = { ...FINISH_DEFAULTS, pockets: 'side-seam' };
const CASING: FinishRules = {
  ...ALL_PIECES,
  waist: { ...ALL_PIECES.waist, finish: 'elastic-casing' },
  fly: 'none',
};

/** Both forms of the standard and both units, one after the other. */
const FORMS: readonly DxfOptions[] = [
  { profile: 'astm', units: 'metric' },
  { profile: 'astm', units: 'english' },
  { profile: 'aama', units: 'metric' },
  { profile: 'aama', units: 'english' },
];

interface Exported {
  readonly pattern: FinishedPattern;
  /** What the draft says of itself, but for information. */
  readonly said: ReadonlySet<string>;
  /** A stretch of the back inseam that the recipe means; who sends the file says so. */
  readonly stretchMm: number;
}

type Alterations = DraftOrder['alterations'];

/** Undefined where the draft or the alteration is refused. */
function exported(body: Body, alterations: Alterations, rules: FinishRules): Exported | undefined {
  const ease = { name: 'regular', overrides: {} } as const;
  const { finished, findings } = draftResult({ body, block: 'from-body', ease, alterations, outputs: [] });
  if (finished === undefined || finished.applied.length < alterations.length) return undefined;
  const { intendedStretchMm } = finished;
  const truing = { ...TRUING, intendedStretchMm };
  const pattern = finishBlock(finished.block, rules, { warp: 0, weft: 0 }, truing, finished.fixes);
  const loud = [...findings, ...pattern.truing.findings].filter(({ level }) => level !== 'info');
  return { pattern, said: new Set(loud.map(({ code }) => code)), stretchMm: intendedStretchMm };
}

function expectSame(name: string, { pattern, said, stretchMm }: Exported, form: DxfOptions): void {
  const text = writeDxf(
    {
      styleName: 'order 1042',
      author: 'a;b;c',
      sampleSize: 'MTM',
      material: 'denim',
      pieces: pattern.pieces,
    },
    form,
  );
  const settings: CheckSettings = {
    ...CHECK_DEFAULTS,
    truing: { ...CHECK_DEFAULTS.truing, intendedStretchMm: stretchMm },
  };
  const checked = checkPattern(text, settings);
  const { drift, differences } = driftOf(pattern.pieces, checked);
  expect([name, differences]).toEqual([name, []]);
  for (const [what, apart] of Object.entries(drift))
    expect([name, what, apart < 0.05]).toEqual([name, what, true]);
  expectSameBlock(name, pattern, checked.trouser?.reading.block);
  const news = checked.report.findings.filter(({ code }) => !said.has(code));
  expect([name, news.map(({ message }) => message)]).toEqual([name, []]);
  expect([name, checked.report.judged, checked.report.file.unread]).toEqual([name, 'trouser', []]);
}

/** The curves drawn through the points lie on the drawn curves, and every edge has its role. */
function expectSameBlock(
  name: string,
  { block }: FinishedPattern,
  read: FinishedPattern['block'] | undefined,
): void {
  for (const role of ['front', 'back'] as const)
    for (const wanted of ['rise', 'inseam', 'hem', 'outseam', 'waist', 'dart'] as const) {
      const [a, b] = [block[role].edges, read?.[role].edges ?? []].map((edges) =>
        edges.filter((edge) => edge.role === wanted).map(({ curve }) => curve),
      );
      expect([name, role, wanted, b.length > 0]).toEqual([name, role, wanted, a.length > 0]);
      // The check stands every leg on its hem.
      const liftMm = (read?.levels.hem ?? 0) - hemMm(block[role].edges);
      const apart = Math.max(farthestMm(a, b, liftMm), farthestMm(b, a, -liftMm));
      expect([name, role, wanted, apart < 0.05 ? 'within 0.05' : apart]).toEqual([
        name,
        role,
        wanted,
        'within 0.05',
      ]);
    }
}

function hemMm(edges: FinishedPattern['block']['front']['edges']): number {
  const hem = edges.filter(({ role }) => role === 'hem').map(({ curve }) => curve);
  return (pointAt(hem[0], 0).y + pointAt(hem[hem.length - 1], 1).y) / 2;
}

/** How far the points of one chain lie from another at most, the first lifted. */
function farthestMm(from: readonly Curve[], to: readonly Curve[], liftMm: number): number {
  return Math.max(
    0,
    ...from.flatMap((curve) =>
      flatten(curve, 0.5).map(({ x, y }) => {
        const p = { x, y: y + liftMm };
        return Math.min(...to.map((each) => distance(p, pointAt(each, nearestParameter(each, p)))));
      }),
    ),
  );
}

/** The same bodies in the same order in every run of a seed. */
function shuffled(bodies: readonly Body[], next: () => number): Body[] {
  return bodies
    .map((body) => ({ body, key: next() }))
    .sort((a, b) => a.key - b.key)
    .map(({ body }) => body);
}

describe(`our own patterns read back and checked, seed ${SEED}`, () => {
  const whole = IS_NIGHT ? SURVEY.found : undefined;
  const next = numbersFrom((SEED % 2147483646) + 1);
  const bodies = shuffled(whole === undefined ? surveyBodies() : surveyBodiesIn(whole), next);
  const count = IS_NIGHT ? Math.min(300, bodies.length) : 4;
  const from = whole === undefined ? 'the sample of the survey' : 'the survey';
  const dropCrotch = (): Alterations => [
    {
      use: 'drop-crotch',
      with: { drop: { share: 0.2 + 0.6 * next() }, hemIn: 10, hemOpening: 'open' },
    },
  ];

  it(`are the same: ${count} random bodies of ${from} with the drop-crotch`, () => {
    let tried = 0;
    for (const [i, body] of bodies.slice(0, count).entries()) {
      const made = exported(body, dropCrotch(), ALL_PIECES);
      if (made === undefined) continue;
      tried += 1;
      expectSame(`${body.ref} dropped`, made, FORMS[i % FORMS.length]);
    }
    // Every body of the survey can be drafted and dropped.
    expect(tried).toBe(count);
  });

  it(`are the same: ${count} random bodies of ${from} as drafted`, () => {
    for (const [i, body] of bodies.slice(0, count).entries()) {
      const made = exported(body, [], ALL_PIECES);
      if (made === undefined) throw new Error(`${body.ref} was not drafted`);
      expectSame(`${body.ref} as drafted`, made, FORMS[i % FORMS.length]);
    }
  });

  it.each(BUILT_IN_RECIPES.map(({ name }) => name))('are the same: %s at its default', (use) => {
    const worn = [...threeBodies().map(({ body }) => body), ...bodies].slice(0, IS_NIGHT ? 8 : 1);
    let tried = 0;
    for (const [i, body] of worn.entries())
      for (const [k, rules] of [ALL_PIECES, CASING].entries()) {
        const made = exported(body, [{ use, with: {} }], rules);
        // A body without that dart cannot have it moved.
        if (made === undefined) continue;
        tried += 1;
        expectSame(`${use} for ${body.ref}, ${rules.waist.finish}`, made, FORMS[(i + k) % FORMS.length]);
      }
    expect(tried).toBeGreaterThan(0);
  });

  it('are the same: random allowances, corners, notches and waists, shrinkage in every third', () => {
    for (const [i, { name, pattern }] of finishedCases(surveyBodies(), IS_NIGHT ? 60 : 6).entries()) {
      const said = new Set(pattern.truing.findings.map(({ code }) => code));
      expectSame(name, { pattern, said, stretchMm: 0 }, FORMS[i % FORMS.length]);
    }
  });
});
