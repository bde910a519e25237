import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from '@jest/globals';
import { CHECK_DEFAULTS, checkPattern, type CheckedPattern } from '#checking';
import type { CutPiece, FinishedPattern } from '#finishing';
import { flatten, type Curve } from '#geometry';
import type { Block } from '#pattern';
import { numbersFrom } from '../support/random-numbers.js';
import { describeWith, SHAPELY_AND_EZDXF } from '../support/needs.js';
import { dxfOf } from '../support/dxf-of.js';
import { IS_NIGHT, SEED } from '../support/seed.js';
import { finishedFor } from '../support/sound-patterns.js';
import { surveyBodies } from '../support/survey-bodies.js';

const ROOT = join(import.meta.dirname, '../../..');
const folder = mkdtempSync(join(tmpdir(), 'forkline-checked-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

const COUNT = IS_NIGHT ? 100 : 12;

interface Summary {
  readonly patterns: number;
  readonly figures: Readonly<
    Record<string, { readonly count: number; readonly largest: number; readonly where: string }>
  >;
}

interface Checked {
  readonly name: string;
  readonly text: string;
  readonly checked: CheckedPattern;
  /** What the file was written from. */
  readonly block: Block;
}

/** Random bodies; every second with the crotch dropped, every second pair with the seam line only, not finished. */
function checkedPatterns(): Checked[] {
  const next = numbersFrom(SEED);
  const bodies = surveyBodies();
  const found: Checked[] = [];
  for (let i = 0; found.length < COUNT && i < 3 * COUNT; i++) {
    const body = bodies[Math.min(bodies.length - 1, Math.floor(next() * bodies.length))];
    const drop = i % 2 === 0 ? undefined : 0.2 + 0.5 * next();
    const pattern = finishedFor(body, drop);
    if (pattern === undefined) continue;
    const isFinished = found.length % 4 < 2;
    const text = dxfOf(isFinished ? pattern.pieces : seamLinesOnly(pattern));
    const checked = checkPattern(text, CHECK_DEFAULTS);
    const words = `${drop === undefined ? 'as drafted' : 'dropped'}, ${isFinished ? 'finished' : 'seam lines only'}`;
    found.push({ name: `${found.length} (${words})`, text, checked, block: pattern.block });
  }
  return found;
}

function seamLinesOnly({ pieces, block }: FinishedPattern): CutPiece[] {
  return (['front', 'back'] as const).flatMap((role) => {
    const piece = pieces.find(({ id }) => id === role);
    if (piece === undefined) return [];
    const cut = block[role].edges.flatMap(({ curve }) =>
      flatten(curve, 0.02)
        .slice(0, -1)
        .map((at, i) => ({ at, kind: i === 0 ? ('turn' as const) : ('curve' as const) })),
    );
    const notches = piece.notches.map((notch) => ({ ...notch, at: notch.foot }));
    return [{ ...piece, cut, runs: [], darts: [], notches }];
  });
}

function lineOf({ name, checked: { report, trouser }, block }: Checked, file: string): string {
  if (trouser === undefined) throw new Error(`${name}: no trouser was read`);
  const legs = [trouser.front, trouser.back].map(({ role, roles, reading: { outline, source } }) => ({
    role,
    piece: outline.piece.block,
    // In the order of the outline, in the frame of the file.
    edges: outline.curves.map(({ curve }, k) => ({ role: roles[source.indexOf(k)], curve: controls(curve) })),
  }));
  const { pieces, seams, corners } = report;
  const drawn = (['front', 'back'] as const).map((role) => ({
    role,
    edges: block[role].edges.map((edge) => ({ role: edge.role, curve: controls(edge.curve) })),
  }));
  return JSON.stringify({ name, file, pieces, seams, corners, legs, drawn });
}

function controls(curve: Curve): number[][] {
  const points = curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3];
  return points.map(({ x, y }) => [x, y]);
}

// Outside libraries: ezdxf reads the files, numpy and shapely measure; they share no code with the product. What each
// figure is compared with is said at the head of the script.
describeWith(
  SHAPELY_AND_EZDXF,
  `lengths and angles of ${COUNT} patterns from their DXF files, seed ${SEED}`,
  (python) => {
    const lines = checkedPatterns().map((each, i) => {
      const file = join(folder, `${i}.dxf`);
      writeFileSync(file, each.text);
      return lineOf(each, file);
    });
    const list = join(folder, 'checked.ndjson');
    writeFileSync(list, `${lines.join('\n')}\n`);
    const script = join(ROOT, 'test/outside/measure-checked-dxf.py');
    const { stdout, stderr } = spawnSync(python, [script, list], { encoding: 'utf8' });
    const { patterns, figures } = JSON.parse(stdout === '' ? '{"figures":{}}' : stdout) as Summary;

    it('are as many as the rest of these checks stand on', () => {
      expect(stderr).toBe('');
      if (IS_NIGHT) console.log(JSON.stringify(figures, null, 1));
      expect(patterns).toBe(COUNT);
      expect(figures['cubics: long seam'].count).toBe(4 * COUNT);
      expect(figures['cubics: corner after sewing'].count).toBe(6 * COUNT);
      expect(figures['cubics: notch along its seam'].count).toBeGreaterThan(4 * COUNT);
      expect(figures['file: sew line'].count).toBeGreaterThanOrEqual(COUNT);
    });

    it.each([
      'file: cut line',
      'file: sew line',
      'cubics: long seam',
      'cubics: difference of a pair',
      'cubics: rise',
      'cubics: whole waist',
      'cubics: dart leg',
      'cubics: notch along its seam',
      'points: long seam',
      'points: rise',
      'points: whole waist',
    ])('%s: agrees within 0.01 mm', (figure) => {
      expect(figures[figure].largest).toBeLessThan(0.01);
    });

    it.each(['cubics: corner of a piece', 'cubics: corner after sewing'])(
      '%s: agrees within 0.05 degrees',
      (figure) => {
        expect(figures[figure].largest).toBeLessThan(0.05);
      },
    );

    it('what is read from a file is what was drawn: lengths within the 0.03 mm of the file, corners within a quarter of a degree', () => {
      expect(figures['drawn: long seam'].largest).toBeLessThan(0.03);
      expect(figures['drawn: corner of a piece'].largest).toBeLessThan(0.25);
    });
  },
);
