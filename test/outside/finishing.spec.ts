import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from '@jest/globals';
import { caseLine, finishedCases } from '../support/finished-cases.js';
import { describeWith, SHAPELY } from '../support/needs.js';
import { surveyBodies } from '../support/survey-bodies.js';

const ROOT = join(import.meta.dirname, '../../..');
const folder = mkdtempSync(join(tmpdir(), 'forkline-finishing-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Summary {
  readonly cases: number;
  readonly samples: number;
  readonly ends: number;
  readonly partners: number;
  readonly uniform: number;
  readonly notSimple: number;
  readonly seamOutside: number;
  readonly worstAllowance: number;
  readonly worstEnd: number;
  readonly worstNotch: number;
  readonly worstPartner: number;
  readonly worstArea: number;
  readonly worstUniformArea: number;
  readonly worstTurnUp: number;
}

const CASES = 200;

// Outside kernel: numpy and shapely, which share no code with the product; tolerances are those a cutting room is
// promised.
describeWith(
  SHAPELY,
  'cut pieces of 200 random bodies with random finishing, measured again by shapely',
  (python) => {
    const file = join(folder, 'cases.ndjson');
    const cases = finishedCases(surveyBodies(), CASES);
    writeFileSync(file, `${cases.map(caseLine).join('\n')}\n`);
    const script = join(ROOT, 'test/outside/measure-cut-pieces.py');
    const { stdout, stderr } = spawnSync(python, [script, file], { encoding: 'utf8' });
    const summary = JSON.parse(stdout === '' ? `{"failed": ${JSON.stringify(stderr)}}` : stdout) as Summary;

    it('have as many samples as the rest of these checks stand on', () => {
      expect(summary).toMatchObject({ cases: CASES, ends: 4 * CASES });
      expect(summary.samples).toBeGreaterThan(CASES * 1000);
      expect(summary.partners).toBeGreaterThan(3 * CASES);
      expect(summary.uniform).toBeGreaterThan(20);
    });

    it('sew as they are cut: hem corners decided, grown for shrinkage and trued again', () => {
      expect(cases.filter(({ pattern }) => !pattern.truing.sewable).map(({ name }) => name)).toEqual([]);
    });

    it('are simple, with the seam line inside', () => {
      expect(summary).toMatchObject({ notSimple: 0, seamOutside: 0 });
    });

    it('have the asked allowance within 0.05 mm, every 2 mm along every seam away from its corners', () => {
      expect(summary.worstAllowance).toBeLessThan(0.05);
    });

    it('end alike on seams that are sewn to each other', () => {
      expect(summary.worstEnd).toBeLessThan(0.05);
    });

    it('have their notches on seam and cut line, at the same distance from the hem on both partners', () => {
      expect(summary.worstNotch).toBeLessThan(0.05);
      expect(summary.worstPartner).toBeLessThan(0.05);
    });

    it('have the area that draft.json says, within 0.1 %', () => {
      expect(summary.worstArea).toBeLessThan(0.001);
    });

    it("agree in area with shapely's own offset within 0.1 % where one width goes all round", () => {
      expect(summary.worstUniformArea).toBeLessThan(0.001);
    });

    it('turn up within the leg', () => {
      expect(summary.worstTurnUp).toBeLessThan(0.1);
    });
  },
);
