import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Flatten from '@flatten-js/core';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Wearer } from '#alterations';
import { draftBlock } from '#drafting';
import { FINISH_DEFAULTS, finishBlock } from '#finishing';
import { easeFor } from '#fit';
import { distance, endOf, flattenRing, startOf } from '#geometry';
import { completeMeasures } from '#measurements';
import {
  cornersOf,
  edgesOf,
  outlineOf,
  pleatsOf,
  sectionMm,
  seamLengthMm,
  type Block,
  type EdgeRole,
} from '#pattern';
import { TRADE_RULES, trueSeams, type AppliedFix } from '#truing';
import { HANDBOOK_BLOCK_SIZE_12 } from '../../../test/fixtures/handbook-block-size-12.js';
import { operationPage } from '../../../test/support/operation-page.js';
import { altered, pairs, recipeDrawing, recipePage, sewable } from '../../../test/support/recipe-page.js';
import { IS_NIGHT, SEED } from '../../../test/support/seed.js';
import { surveyBodies, surveyBodiesIn } from '../../../test/support/survey-bodies.js';
import { WORKED_BLOCK } from '../../truing/worked-block.fixture.js';
import { BUILT_IN_RECIPES, type ParameterValue, type ParameterValues, type Recipe } from '../index.js';

/**
 * At night a hundred bodies of the whole survey where FORKLINE_SURVEY says it is, else all that the product holds; and
 * many amounts.
 */
const BODIES = IS_NIGHT ? 100 : 5;
const WHOLE_SURVEY = IS_NIGHT ? process.env['FORKLINE_SURVEY'] : undefined;
const RANDOM_SETS = IS_NIGHT ? 200 : 8;

const NAMES = BUILT_IN_RECIPES.map(({ name }) => name);

interface Worn {
  readonly name: string;
  readonly block: Block;
  readonly wearer: Wearer;
  readonly fixes: readonly AppliedFix[];
}

const DRAFTED: readonly Worn[] = (WHOLE_SURVEY === undefined ? surveyBodies() : surveyBodiesIn(WHOLE_SURVEY))
  .filter((_, i, all) => i % Math.max(1, Math.floor(all.length / BODIES)) === 0)
  .slice(0, BODIES)
  .flatMap((body): Worn[] => {
    const { measures } = completeMeasures(body);
    const drafted = draftBlock(measures, easeFor('regular', body.insideLegTaken, {}), 0.004);
    if (drafted.state === 'refused') return [];
    const wearer = {
      heelGirthMm: measures.heelGirth,
      calfGirthMm: measures.calfGirth,
      kneeGirthMm: measures.kneeGirth,
      thighGirthMm: measures.thighGirth,
      waistGirthMm: measures.waistGirth,
      hipGirthMm: measures.hipGirth,
      pointer: '/w',
    };
    return [{ name: body.ref, block: drafted.block, wearer, fixes: [] }];
  });

describe.each(NAMES)('%s', (name) => {
  // Nobody wears the handbook's block: what has to pass a foot or a hip is then not checked, and said so.
  const handbook: Worn = {
    name: 'handbook block',
    ...trueSeams(HANDBOOK_BLOCK_SIZE_12, TRADE_RULES),
    wearer: { pointer: '/w' },
  };

  it('is sewable at its default amounts, with simple outlines and nothing to warn of', () => {
    for (const worn of [...DRAFTED, handbook]) {
      const { name: whose, block, wearer } = worn;
      const result = altered(name, {}, block, wearer);
      const loud = result.findings.filter(({ level }) => level !== 'info').map(({ code }) => code);
      // The handbook's hem lies on the floor before it is lengthened. A recipe for darts that a block has none of does
      // not apply to it, and does not begin.
      const expected = new Set(worn === handbook ? ['HEM_BELOW_FLOOR'] : []);
      if (result.refused) expect([whose, loud, result.refusedAt]).toEqual([whose, ['NO_DART'], 0]);
      else {
        expect([whose, loud.filter((code) => !expected.has(code))]).toEqual([whose, []]);
        expect([whose, sewable(result, worn)]).toEqual([whose, true]);
        expect([whose, isSimple(result.block)]).toEqual([whose, true]);
      }
    }
  });

  it('is sewable at any amounts, or says by name why not', () => {
    const recipe = recipeNamed(name);
    fc.assert(
      fc.property(fc.nat(DRAFTED.length - 1), amountsOf(recipe), (body, amounts) => {
        const { block, wearer } = DRAFTED[body];
        const result = altered(name, amounts, block, wearer);
        for (const finding of result.findings) {
          expect(finding.message).not.toMatch(/NaN|undefined|Infinity/);
          expect(finding.action).not.toBe('');
        }
        if (result.refused) {
          expect(result.block).toBe(block);
          expect(result.findings.some(({ level }) => level === 'stop')).toBe(true);
          return;
        }
        expect(isSimple(result.block)).toBe(true);
        const named = result.findings.some(({ level }) => level !== 'info');
        if (!named) expect(sewable(result)).toBe(true);
      }),
      { numRuns: RANDOM_SETS, seed: SEED },
    );
  });

  it('changes nothing in place', () => {
    const [{ block, wearer }] = DRAFTED;
    const before = JSON.stringify(block);
    altered(name, {}, block, wearer);
    expect(JSON.stringify(block)).toBe(before);
  });

  it('can be finished for cutting', () => {
    const result = altered(name);
    const { pieces } = finishBlock(result.block, FINISH_DEFAULTS, { warp: 0.02, weft: 0.01 }, TRADE_RULES);
    for (const { cut } of pieces) {
      const polygon = new Flatten.Polygon(cut.map(({ at }) => Flatten.point(at.x, at.y)));
      expect(polygon.isValid()).toBe(true);
    }
  });
});

// Worked by hand from the corners of the worked example: hem +-89.6 and +-99.6 at 30, knee +-105 and +-115 at 455, both
// straight between; hip 835, side waist of the front at 1041.8613. Formula in the third column.
describe('by hand, on the worked example', () => {
  const of = (name: string, values: ParameterValues = {}): Block => altered(name, values).block;
  const long = (block: Block, piece: 'front' | 'back', role: EdgeRole): number =>
    seamLengthMm(block[piece], role, 1e-5);
  const lowest = (block: Block, role: 'inseam' | 'outseam'): number => {
    const run = edgesOf(block.front, role);
    const { curve } = role === 'inseam' ? run[run.length - 1] : run[0];
    return distance(startOf(curve), endOf(curve));
  };
  const legs = Math.hypot(425, 15.4) / 425;
  const cropped = of('crop', { by: 100 });
  const longer = of('lengthen', { by: 30 });
  const tapered = of('taper', { hemBy: 40, kneeBy: 20 });
  const widened = of('widen', { kneeBy: 60, hemBy: 100 });
  const flared = of('flare', { hemBy: 120, above: 50 });
  const cuffed = of('cuff', { height: 60, ratio: 0.8 });
  const turned = of('turn-up', { depth: 40 });
  const pulled = of('pull-on', { elastic: 35, over: 30 });
  const gusset = of('gusset', { side: 100, across: 80 });
  const pleated = of('front-pleats', { first: 35 });
  const seat = of('seat-let-out', { by: 20 });
  const waist = of('waist-let-out', { by: 20 });
  const [pleat] = pleatsOf(pleated.front);
  const share = (835 - 455) / (1041.8613 - 455);

  it.each([
    ['crop: front hem', long(cropped, 'front', 'hem'), '179.2 + 30.8 x 100/425', 179.2 + (30.8 * 100) / 425],
    ['crop: back hem', long(cropped, 'back', 'hem'), '199.2 + 30.8 x 100/425', 199.2 + (30.8 * 100) / 425],
    ['crop: inseam', long(cropped, 'front', 'inseam'), '720 - 100 x |(425, 15.4)|/425', 720 - 100 * legs],
    ['lengthen: front hem', long(longer, 'front', 'hem'), '179.2 - 30.8 x 30/425', 179.2 - (30.8 * 30) / 425],
    ['lengthen: inseam', long(longer, 'back', 'inseam'), '720 + 30 x |(425, 15.4)|/425', 720 + 30 * legs],
    ['taper: hem', long(tapered, 'front', 'hem') + long(tapered, 'back', 'hem'), '378.4 - 40', 338.4],
    ['taper: front knee', sectionMm(tapered.front, 455), '210 - 20/2', 200],
    [
      'taper: lower outseam',
      lowest(tapered, 'outseam'),
      '|(425, 105 - 5 - (89.6 - 10))|',
      Math.hypot(425, 20.4),
    ],
    ['taper: lower inseam', lowest(tapered, 'inseam'), 'the same', Math.hypot(425, 20.4)],
    [
      'taper: thigh at the fork',
      sectionMm(tapered.front, 746),
      'as before',
      sectionMm(WORKED_BLOCK.front, 746),
    ],
    ['widen: back knee', sectionMm(widened.back, 455), '230 + 60/2', 260],
    ['widen: hem', long(widened, 'front', 'hem') + long(widened, 'back', 'hem'), '378.4 + 100', 478.4],
    ['flare: hem', long(flared, 'front', 'hem') + long(flared, 'back', 'hem'), '378.4 + 120', 498.4],
    [
      'flare: front at 405',
      sectionMm(flared.front, 405),
      '210 - 30.8 x 50/425 + 2 x 30 x 50/425',
      210 + (60 - 30.8) * (50 / 425),
    ],
    [
      'flare: front knee',
      sectionMm(flared.front, 455),
      '210 + 2 x 30/425 x 50^2/(2 x 100)',
      210 + ((60 / 425) * 2500) / 200,
    ],
    ['flare: at 505', sectionMm(flared.front, 505), 'as before', sectionMm(WORKED_BLOCK.front, 505)],
    [
      'flare: lower outseam',
      lowest(flared, 'outseam'),
      '375 x |(425, 30 - 15.4)|/425',
      375 * Math.hypot(1, 14.6 / 425),
    ],
    [
      'cuff: length',
      cuffed.added?.[0].lengthMm,
      '0.8 x (378.4 + 2 x 30.8 x 60/425)',
      0.8 * (378.4 + (61.6 * 60) / 425),
    ],
    ['cuff: width', cuffed.added?.[0].widthMm, '2 x 60', 120],
    ['turn-up: inseam', long(turned, 'front', 'inseam'), '720 + 2 x 40 x |(425, 15.4)|/425', 720 + 80 * legs],
    ['turn-up: hem', long(turned, 'front', 'hem'), '179.2, mirrored twice', 179.2],
    [
      'casing: waist',
      2 * (long(pulled, 'front', 'waist') + long(pulled, 'back', 'waist')),
      '1000 + 30',
      1030,
    ],
    ['casing: length', pulled.added?.[0].lengthMm, '1000 + 30', 1030],
    ['casing: width', pulled.added?.[0].widthMm, '2 x (35 + 3)', 76],
    ['gusset: long way', reported('gusset', 'gusset length'), '2 x sqrt(100^2 - 40^2)', 2 * Math.sqrt(8400)],
    [
      'gusset: crotch path',
      reported('gusset', 'crotch path'),
      'both rises + 80',
      long(gusset, 'front', 'rise') + long(gusset, 'back', 'rise') + 80,
    ],
    ['gusset: side', gusset.added?.[0].lengthMm, '100', 100],
    ['pleat: depth', distance(startOf(pleat.sideLeg.curve), endOf(pleat.centreLeg.curve)), '35', 35],
    ['pleat: waist seam', long(pleated, 'front', 'waist'), 'as before', 191.533],
    ['pleat: side waist', cornersOf(pleated.front).sideWaist.x, '-128.5317 - 35', -163.5317],
    [
      'pleat: front hip',
      sectionMm(pleated.front, 835) - sectionMm(WORKED_BLOCK.front, 835),
      '35 x (3u^2 - 2u^3), u = (835 - 455)/(1041.8613 - 455)',
      35 * share * share * (3 - 2 * share),
    ],
    ['pleat: knee', sectionMm(pleated.front, 455), 'as before', 210],
    ['seat: hip', 2 * (sectionMm(seat.front, 835) + sectionMm(seat.back, 835)), '1040 + 20', 1060],
    ['waist: girth', 2 * (long(waist, 'front', 'waist') + long(waist, 'back', 'waist')), '755 + 20', 775],
  ])('%s', (_, found, _formula, expected) => {
    expect(Math.abs((found ?? NaN) - expected)).toBeLessThan(0.01);
  });
});

const table = pairs();

describe('any two recipes, one after the other', () => {
  it('are sewable, or refused or warned of with a reason', () => {
    for (const pair of table) {
      expect(pair).not.toMatchObject({ outcome: 'off' });
      if (pair.outcome !== 'sewable') expect(pair.codes.length).toBeGreaterThan(0);
    }
  });

  it('are refused where the second would undo what the first was measured from', () => {
    const outcome = (first: string, second: string): unknown => {
      const pair = table.find((candidate) => candidate.first === first && candidate.second === second);
      return pair?.codes[0] ?? pair?.outcome;
    };
    expect(outcome('turn-up', 'crop')).toBe('LEG_HAS_TURN_UP');
    expect(outcome('cuff', 'taper')).toBe('HEM_HAS_PIECE');
    expect(outcome('front-pleats', 'low-rise')).toBe('WAIST_HAS_PLEATS');
    expect(outcome('pull-on', 'drop-crotch')).toBe('WAIST_HAS_PIECE');
    expect(outcome('gusset', 'drop-crotch')).toBe('FORK_HAS_PIECE');
    expect(outcome('drop-crotch', 'pull-on')).toBe('sewable');
    expect(outcome('crop', 'turn-up')).toBe('sewable');
    expect(outcome('low-rise', 'front-pleats')).toBe('sewable');
  });
});

describe('docs/recipes.md and its drawings', () => {
  const docs = join(import.meta.dirname, '../../../../docs');
  const files = [
    ['recipes.md', recipePage(table)],
    ['operations.md', operationPage()],
    ...BUILT_IN_RECIPES.map((recipe) => [`pictures/recipes/${recipe.name}.svg`, recipeDrawing(recipe)]),
  ];

  it('are what UPDATE_DOCS=1 would write', () => {
    mkdirSync(join(docs, 'pictures/recipes'), { recursive: true });
    const stale = files.filter(([name, text]) => {
      if (process.env['UPDATE_DOCS'] !== undefined) writeFileSync(join(docs, name), text);
      return readFileSync(join(docs, name), 'utf8') !== text;
    });
    expect(stale.map(([name]) => name)).toEqual([]);
  });
});

function reported(name: string, figure: string): number {
  return Number(altered(name).reports.find((report) => report.name === figure)?.value);
}

function recipeNamed(name: string): Recipe {
  const recipe = BUILT_IN_RECIPES.find((candidate) => candidate.name === name);
  if (recipe === undefined) throw new Error(name);
  return recipe;
}

/** Amounts within what a recipe lets through, its limits made common. */
function amountsOf({ parameters }: Recipe): fc.Arbitrary<ParameterValues> {
  const values = parameters.map((parameter): [string, fc.Arbitrary<ParameterValue>] => {
    if ('oneOf' in parameter) return [parameter.name, fc.constantFrom(...parameter.oneOf)];
    const { min, max } = parameter;
    const amount = fc.oneof(
      { weight: 1, arbitrary: fc.constantFrom(min, max) },
      { weight: 5, arbitrary: fc.double({ min, max, noNaN: true }) },
    );
    return [parameter.name, parameter.shareOf === undefined ? amount : amount.map((share) => ({ share }))];
  });
  return fc.record(Object.fromEntries(values));
}

// Outside kernel: flatten-js judges the polygon.
function isSimple({ front, back }: Block): boolean {
  return [front, back].every((piece) => {
    const points = flattenRing(outlineOf(piece), 0.2);
    return new Flatten.Polygon(points.map((p) => Flatten.point(p.x, p.y))).isValid();
  });
}
