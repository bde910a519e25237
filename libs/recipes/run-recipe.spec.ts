import { describe, expect, it } from '@jest/globals';
import { OPERATIONS } from '#alterations';
import { cornersOf, seamLengthMm } from '#pattern';
import { WORKED_BLOCK } from '../truing/worked-block.fixture.js';
import {
  compileRecipe,
  runRecipe,
  type Parameter,
  type Recipe,
  type RecipeResult,
  type Step,
} from './index.js';

const WEARER = { waistGirthMm: 740, pointer: '/alterations/0/with' };
const BY: Parameter = { name: 'by', quantity: 'length', default: 10, min: 0, max: 50, help: 'How far.' };

function recipe(steps: readonly Step[], parameters: readonly Parameter[] = [BY]): Recipe {
  return { name: 'house-style', title: 'House style', summary: 'A test.', parameters, steps };
}

function run(
  steps: readonly Step[],
  values: Parameters<typeof runRecipe>[1] = {},
  parameters?: readonly Parameter[],
): RecipeResult {
  return runRecipe(compileRecipe(recipe(steps, parameters)), values, WORKED_BLOCK, WEARER, {
    lengthMm: 1e-3,
  });
}

describe('the catalogue', () => {
  it('has at most 24 operations, each said in a sentence with all its arguments', () => {
    expect(OPERATIONS.size).toBeLessThanOrEqual(24);
    for (const operation of OPERATIONS.values()) {
      const named = [...operation.sentence.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
      expect([
        operation.name,
        Object.keys(operation.arguments).filter((name) => !named.includes(name)),
      ]).toEqual([operation.name, UNSAID[operation.name] ?? []]);
      expect(named.filter((name) => !Object.hasOwn(operation.arguments, name))).toEqual([]);
      expect(operation.version).toBeGreaterThanOrEqual(1);
    }
  });
});

/** Arguments that a cutter does not need to hear. */
const UNSAID: Readonly<Record<string, string[]>> = { 'find taper level': ['back'] };

describe('names', () => {
  it('of parameters, values, results and measures reach the formulas', () => {
    const { reports } = run(
      [
        { let: 'twice', is: '2 * by' },
        {
          do: 'carry on along',
          on: 'both',
          with: { from: 'this.fork', through: 'this.hemInseam', by: 'twice' },
          as: 'end',
        },
        { report: 'front', value: 'front.hemInseam.y - front.end.y' },
        { report: 'back', value: 'block.back.hemInseam.y - back.end.y' },
        { report: 'rise', value: 'front.rise.length' },
      ],
      { by: 15 },
    );
    const { fork, hemInseam } = cornersOf(WORKED_BLOCK.front);
    const down = (fork.y - hemInseam.y) / Math.hypot(fork.x - hemInseam.x, fork.y - hemInseam.y);
    expect(reports[0].value).toBeCloseTo(30 * down, 9);
    expect(Number(reports[1].value)).toBeGreaterThan(25);
    expect(reports[2].value).toBeCloseTo(seamLengthMm(WORKED_BLOCK.front, 'rise', 1e-6), 4);
  });

  it('see the block as the steps have made it, and as it was', () => {
    const { reports, block } = run([
      { do: 'set length', with: { level: 'level.hem + by' } },
      { do: 'close up' },
      { report: 'hem', value: 'level.hem - block.level.hem' },
    ]);
    expect(reports).toEqual([{ name: 'hem', quantity: 'length', value: 10 }]);
    expect(block.levels.hem).toBe(40);
  });

  it('take a share of a length where one is declared', () => {
    const share: Parameter = {
      ...BY,
      shareOf: 'level.crotch - level.knee',
      default: 0.5,
      max: 1,
      lengthMax: 100,
    };
    const report: Step[] = [{ report: 'by', value: 'by' }];
    const way = WORKED_BLOCK.levels.crotch - WORKED_BLOCK.levels.knee;
    expect(run(report, {}, [share]).reports[0].value).toBeCloseTo(way / 2, 9);
    expect(run(report, { by: { share: 0.1 } }, [share]).reports[0].value).toBeCloseTo(way / 10, 9);
    expect(run(report, { by: 70 }, [share]).reports[0].value).toBe(70);
  });
});

describe('a refusal', () => {
  it('leaves the block as it was and names the step', () => {
    const result = run([
      { do: 'set length', with: { level: 'level.hem + by' } },
      { when: 'by > 0 mm', steps: [{ do: 'point on seam', with: { seam: 'inseam', level: '5 m' } }] },
      { do: 'close up' },
    ]);
    expect(result).toMatchObject({ refused: true, refusedAt: 3, moved: [], block: WORKED_BLOCK });
    expect(result.findings).toEqual([
      expect.objectContaining({ code: 'SEAM_MISSES_LEVEL', level: 'stop', pointer: '/alterations/0/with' }),
    ]);
  });

  it('tells its numbers by name, whatever order the recipe has them in, so that one read back gives the same bytes', () => {
    const finding = (numbers: Readonly<Record<string, string>>): string =>
      JSON.stringify(
        run([{ guard: 'by > 1 m', level: 'refuse', code: 'ONE', message: 'x', action: 'Mend.', numbers }])
          .findings,
      );
    expect(finding({ zMm: 'by', aMm: '2 * by' })).toBe(finding({ aMm: '2 * by', zMm: 'by' }));
  });

  it('hears every guard that follows directly', () => {
    const guard = (code: string): Step => ({
      guard: 'by > 1 m',
      level: 'refuse',
      code,
      message: '{by}',
      action: 'Mend.',
      of: 'by',
      allowed: { min: '1 m' },
    });
    const { findings, refusedAt } = run([
      guard('ONE'),
      { let: 'x', is: 'by' },
      guard('TWO'),
      { do: 'close up' },
      guard('THREE'),
    ]);
    expect(findings.map(({ code }) => code)).toEqual(['ONE', 'TWO']);
    expect(findings[0]).toMatchObject({
      message: '10 mm',
      pointer: '/alterations/0/with/by',
      allowed: { min: 1000, unit: 'mm' },
    });
    expect(refusedAt).toBe(1);
  });

  it('follows from a formula without a value, an outline left open and an outline that a step cannot work on', () => {
    expect(run([{ let: 'x', is: 'by / (by - 10 mm)' }]).findings).toMatchObject([{ code: 'NO_VALUE' }]);
    const open = run([{ do: 'move seam end', with: { seam: 'rise', end: 'start', to: 'this.fork' } }]);
    expect(open.findings).toMatchObject([{ code: 'OUTLINE_LEFT_OPEN', level: 'stop' }]);
    const closed = run([
      { do: 'move seam end', with: { seam: 'rise', end: 'start', to: 'this.sideWaist' } },
      { do: 'close up' },
    ]);
    expect(closed.findings).toMatchObject([{ code: 'STEP_NOT_POSSIBLE', numbers: { step: 2 } }]);
  });

  it('is none where a guard only warns', () => {
    const { findings, refused } = run([
      {
        guard: 'body.hipKnown',
        level: 'warning',
        code: 'HIP_UNKNOWN',
        message: 'Waist {body.waist - 700 mm} over.',
        action: 'Measure.',
      },
    ]);
    expect(refused).toBe(false);
    expect(findings).toEqual([
      { code: 'HIP_UNKNOWN', level: 'warning', message: 'Waist 40 mm over.', action: 'Measure.' },
    ]);
  });
});

describe('a recipe that does not hold together', () => {
  it.each([
    ['an operation nobody knows', { do: 'sew on' }, 'UNKNOWN_OPERATION'],
    ['an argument left out', { do: 'set length' }, 'ARGUMENT_MISSING'],
    ['an argument too many', { do: 'close up', with: { twice: '1 mm' } }, 'UNKNOWN_ARGUMENT'],
    ['a word that is not among its own', { do: 'copy seam', with: { seam: 'hem' } }, 'UNKNOWN_WORD'],
    [
      'a point nobody has made',
      { do: 'move seam end', with: { seam: 'hem', end: 'start', to: 'nowhere' } },
      'UNKNOWN_POINT',
    ],
    ['a length with an angle', { let: 'x', is: 'by + 3 deg' }, 'BAD_FORMULA'],
    ['a name given inside when, after it', { let: 'x', is: 'inner' }, 'BAD_FORMULA'],
  ] as [string, Step, string][])('is not run: %s', (_, step, code) => {
    const steps: Step[] = [{ when: 'by > 0 mm', steps: [{ let: 'inner', is: '1 mm' }] }, step];
    expect(() => compileRecipe(recipe(steps))).toThrow(expect.objectContaining({ code, step: 3 }));
  });
});
