import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from '@jest/globals';
import { describeWith, SHAPELY, SURVEY } from '../support/needs.js';

const ROOT = join(import.meta.dirname, '../../..');
const folder = mkdtempSync(join(tmpdir(), 'forkline-population-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Result {
  readonly splitMove: number;
  readonly findings: readonly string[];
  readonly residuals: Readonly<Record<string, number>>;
  readonly altered: { readonly sewable: boolean; readonly finishedWaist: number };
}

function population(
  table: string,
  name: string,
): { report: { results: Result[]; refused: number }; pieces: string } {
  const out = join(folder, `${name}.json`);
  const pieces = join(folder, `${name}.ndjson`);
  const args = [
    'population',
    table,
    '--alteration',
    'drop-crotch',
    '--inside-leg',
    'pressed',
    '--threads',
    '2',
  ];
  const run = spawnSync(process.execPath, [
    join(ROOT, 'dist/apps/cli/main.js'),
    ...args,
    '--out',
    out,
    '--pieces',
    pieces,
  ]);
  expect(run.status).toBe(0);
  return { report: JSON.parse(readFileSync(out, 'utf8')) as { results: Result[]; refused: number }, pieces };
}

// Outside kernel: numpy chords and shapely, which share no code with the product.
describeWith(SHAPELY, 'pieces of sixty survey bodies, measured again by shapely', (python) => {
  it('have every measure but the split of the rise within 0.05 mm, simple outlines and no edge under 1 mm', () => {
    const { pieces } = population(join(ROOT, 'examples/bodies.csv'), 'sample');
    const script = join(ROOT, 'test/outside/measure-pieces.py');
    const { stdout } = spawnSync(python, [script, pieces], { encoding: 'utf8' });
    const summary = JSON.parse(stdout) as {
      bodies: number;
      altered: number;
      worstResidual: Record<string, number>;
      notSimple: number;
      shortestEdge: number;
      alteredSeamDifference: Record<string, number>;
    };
    // Every body was measured, block and altered block: a summary of nothing would pass the rest.
    expect(summary).toMatchObject({ bodies: 60, altered: 60 });
    for (const [name, worst] of Object.entries(summary.worstResidual)) {
      if (name !== 'frontRise' && name !== 'backRise') expect(worst).toBeLessThan(0.05);
    }
    expect(summary.notSimple).toBe(0);
    // Chords fall short of their curve.
    expect(summary.shortestEdge).toBeGreaterThanOrEqual(1);
    expect(Math.max(...Object.values(summary.alteredSeamDifference))).toBeLessThan(0.05);
  });
});

describeWith(SURVEY, 'all 2,023 survey bodies', (table) => {
  it('are drafted, altered and sewable within the rates the method promises', () => {
    const { report } = population(table, 'all');
    const { results } = report;
    const share = (test: (result: Result) => boolean): number => results.filter(test).length / results.length;
    expect(report.refused).toBeLessThanOrEqual(2);
    for (const { residuals } of results) {
      for (const [name, residual] of Object.entries(residuals)) {
        if (name !== 'frontRise' && name !== 'backRise') expect(Math.abs(residual)).toBeLessThanOrEqual(0.01);
      }
    }
    expect(share(({ splitMove }) => Math.abs(splitMove) > 10)).toBeLessThanOrEqual(0.24);
    expect(share(({ splitMove }) => Math.abs(splitMove) > 20)).toBeLessThanOrEqual(0.06);
    expect(share(({ findings }) => findings.some((code) => code.startsWith('UNUSUAL_')))).toBeLessThanOrEqual(
      0.01,
    );
    expect(share(({ findings }) => findings.includes('AT_LIMIT'))).toBeLessThanOrEqual(0.04);
    expect(share(({ altered }) => altered.sewable)).toBeGreaterThanOrEqual(0.999);
  });
});
