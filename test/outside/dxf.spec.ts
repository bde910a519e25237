import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from '@jest/globals';
import { areaD } from 'clipper2-ts';
import type { CutPiece } from '#finishing';
import { writeDxf } from '#interchange';
import { chordLengthMm } from '../support/chords.js';
import { cutPattern, threeBodies } from '../support/cut-patterns.js';
import { describeWith, EZDXF } from '../support/needs.js';
import { readByDxfParser, type DxfRead } from '../support/read-by-dxf-parser.js';

const ROOT = join(import.meta.dirname, '../../..');
const folder = mkdtempSync(join(tmpdir(), 'forkline-dxf-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Case {
  readonly name: string;
  readonly pieces: readonly CutPiece[];
  /** Inches are 25.4 mm. */
  readonly mm: number;
  readonly text: string;
}

const STYLE = { styleName: 'order 1042', author: 'a;b;c', sampleSize: 'MTM', material: 'denim' };
const CASES = threeBodies().flatMap(({ name, body }) => {
  const { pieces } = cutPattern(body, 0.5);
  return (['metric', 'english'] as const).map((units): Case => ({
    name: `the ${name} body in ${units} units`,
    pieces,
    mm: units === 'metric' ? 1 : 25.4,
    text: writeDxf({ ...STYLE, pieces }, { profile: 'astm', units }),
  }));
});

describe('a DXF read by dxf-parser', () => {
  describe.each(CASES)('of $name', (each) => {
    itAgrees(each, () => readByDxfParser(each.text));
  });
});

describeWith(EZDXF, 'a DXF read by ezdxf', (python) => {
  // All at once: python takes longer to start than to read.
  const paths = CASES.map(({ text }, i) => {
    const path = join(folder, `${i}.dxf`);
    writeFileSync(path, text);
    return path;
  });
  const script = join(ROOT, 'test/outside/read-dxf-pieces.py');
  const { stdout, stderr } = spawnSync(python, [script, ...paths], {
    encoding: 'utf8',
    maxBuffer: 64 * 1024 * 1024,
  });
  const all = stdout === '' ? [] : (JSON.parse(stdout) as DxfRead[]);

  it('is read', () => {
    expect(all.length === CASES.length ? '' : stderr).toBe('');
  });

  describe.each(CASES.map((each, i) => ({ ...each, i })))('of $name', ({ i, ...each }) => {
    itAgrees(each, () => all[i]);
  });
});

function itAgrees({ pieces, mm }: Case, reading: () => DxfRead): void {
  it('is sound, with every piece, closed', () => {
    const read = reading();
    expect(read.errors).toEqual([]);
    expect(Object.keys(read.pieces)).toEqual(pieces.map(({ id }) => id.toUpperCase()));
    for (const { boundary, sew } of Object.values(read.pieces)) {
      expect([boundary.length, sew.length]).toEqual([1, 1]);
      expect([boundary[0].closed, sew[0].closed]).toEqual([true, true]);
    }
  });

  it('agrees with the pieces within 0.05 mm: in area, in every point and in the length of the seams', () => {
    const read = reading();
    for (const piece of pieces) {
      const { boundary, sew, notches, drills, grain } = read.pieces[piece.id.toUpperCase()];
      const points = boundary[0].points.map(([x, y]) => ({ x: x * mm, y: y * mm }));
      const cutArea = Math.abs(areaD(piece.cut.map(({ at }) => ({ x: at.x, y: at.y }))));
      // Every point is written to a hundredth of a millimetre, or to as much of an inch: half of it off, either way.
      const roundedMm2 = 0.005 * Math.SQRT2 * lengthOf(boundary[0].points) * mm;
      expect(Math.abs(Math.abs(areaD(points)) - cutArea)).toBeLessThan(roundedMm2);
      const sewnMm = lengthOf(sew[0].points) * mm;
      const curves = [...piece.runs.flatMap((run) => run.curves), ...piece.darts.flat()];
      // A hundred roundings of 0.005 mm, and chords.
      expect(Math.abs(sewnMm - chordLengthMm(curves))).toBeLessThan(0.3);
      for (const [read, drawn] of [
        // The last vertex closes the line once more.
        [boundary[0].points.slice(0, -1), piece.cut],
        [notches, piece.notches],
        [drills, piece.drillHoles],
        [grain, piece.grain.map((at) => ({ at }))],
      ] as const) {
        expect(read).toHaveLength(drawn.length);
        for (const [i, { at }] of drawn.entries())
          expect(Math.hypot(read[i][0] * mm - at.x, read[i][1] * mm - at.y)).toBeLessThan(0.05);
      }
    }
  });
}

function lengthOf(points: readonly (readonly [number, number])[]): number {
  return points.reduce(
    (sum, [x, y], i) => (i === 0 ? 0 : sum + Math.hypot(x - points[i - 1][0], y - points[i - 1][1])),
    0,
  );
}
