import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from '@jest/globals';
import { CHECK_DEFAULTS, checkPattern } from '#checking';
import { polygonArea, ringArea } from '#geometry';
import { seamLengthMm } from '#pattern';
import { drawnPieces, withArcs, withLines, withSplines } from '../support/drawn-otherwise.js';
import { numbersFrom } from '../support/finished-cases.js';
import { describeWith, EZDXF } from '../support/needs.js';
import { soundPatterns } from '../support/sound-patterns.js';
import { surveyBodies } from '../support/survey-bodies.js';

// The same trouser drawn five ways by libraries that know nothing of patterns: closed POLYLINE (release 12) and LWPOLYLINE
// with arcs (release 2000) in blocks by ezdxf, SPLINE and LINE, and ARC and LINE, by @tarikjabiri/dxf, single LINEs by
// dxf-writer, the last three without blocks. Beside the libraries' drawings stand the numbers they were drawn from.
const ROOT = join(import.meta.dirname, '../../..');
const folder = mkdtempSync(join(tmpdir(), 'forkline-drawn-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

const [{ pattern }] = soundPatterns(surveyBodies(), 1, numbersFrom(9));
const drawn = drawnPieces(pattern.pieces);

describe('a trouser drawn by a library that knows nothing of patterns', () => {
  it('with splines is read to the same pieces', () => {
    expectSame(withSplines(drawn));
  });

  it('with arcs and lines is read to the same pieces', () => {
    expectSame(withArcs(drawn));
  });

  it('with single lines is read to the same pieces', () => {
    expectSame(withLines(drawn));
  });
});

describeWith(EZDXF, 'a trouser drawn by ezdxf', (python) => {
  const paths = ['pieces.json', 'r12.dxf', 'r2000.dxf'].map((name) => join(folder, name));
  writeFileSync(paths[0], JSON.stringify(drawn));
  const { stderr } = spawnSync(python, [join(ROOT, 'test/outside/draw-dxf.py'), ...paths], {
    encoding: 'utf8',
  });

  it.each([
    ['closed polylines (release 12)', paths[1]],
    ['light polylines with arcs (release 2000)', paths[2]],
  ])('with %s is read to the same pieces', (_, path) => {
    expect(stderr).toBe('');
    expectSame(readFileSync(path, 'utf8'));
  });
});

function expectSame(text: string): void {
  const { report, pieces, trouser } = checkPattern(text, CHECK_DEFAULTS);
  expect(pieces.map(({ name }) => name).sort()).toEqual(pattern.pieces.map(({ name }) => name).sort());
  for (const piece of pattern.pieces) {
    const read = pieces.find(({ name }) => name === piece.name);
    expect(read?.quantity).toEqual(piece.quantity);
    expect(read?.boundary?.closed).toBe(true);
    const cut = Math.abs(polygonArea(read?.boundary?.points ?? []));
    expect(cut / Math.abs(polygonArea(piece.cut.map(({ at }) => at)))).toBeCloseTo(1, 5);
    const sewn = drawn.find(({ block }) => block === piece.id.toUpperCase())?.sew.curves ?? [];
    expect(read?.sewLines).toHaveLength(1);
    expect(Math.abs(polygonArea(read?.sewLines[0].points ?? [])) / Math.abs(ringArea(sewn))).toBeCloseTo(
      1,
      4,
    );
    expect(read?.notches).toHaveLength(piece.notches.length);
    expect(read?.grain).toBeDefined();
  }
  expect(report.judged).toBe('trouser');
  for (const role of ['front', 'back'] as const)
    for (const seam of ['rise', 'inseam', 'hem', 'outseam', 'waist'] as const) {
      const block = trouser?.reading.block;
      if (block === undefined) throw new Error('no trouser');
      expect(
        Math.abs(seamLengthMm(block[role], seam, 0.01) - seamLengthMm(pattern.block[role], seam, 0.01)),
      ).toBeLessThan(0.1);
    }
  expect(report.findings.filter(({ level }) => level !== 'info').map(({ message }) => message)).toEqual([]);
}
