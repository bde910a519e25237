import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from '@jest/globals';
import { areaD } from 'clipper2-ts';
import { writeDxf } from '#interchange';
import { chordLengthMm } from '../support/chords.js';
import { cutPattern, threeBodies } from '../support/cut-patterns.js';
import { describeWith, EZDXF } from '../support/needs.js';

const ROOT = join(import.meta.dirname, '../../..');
const folder = mkdtempSync(join(tmpdir(), 'forkline-dxf-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Chain {
  readonly closed: boolean;
  readonly points: readonly (readonly [number, number])[];
}

interface Read {
  readonly texts: readonly string[];
  readonly errors: readonly string[];
  readonly pieces: Readonly<
    Record<
      string,
      {
        readonly boundary: readonly Chain[];
        readonly sew: readonly Chain[];
        readonly notches: readonly (readonly [number, number, number])[];
        readonly drills: readonly (readonly [number, number])[];
        readonly grain: readonly (readonly [number, number])[];
      }
    >
  >;
}

// Outside reader: ezdxf. Inches are 25.4 mm.
describeWith(EZDXF, 'a DXF read by ezdxf', (python) => {
  describe.each(threeBodies())('of the $name body', ({ name, body }) => {
    const pattern = cutPattern(body, 0.5);
    describe.each([
      ['metric', 1],
      ['english', 25.4],
    ] as const)('in %s units', (units, mm) => {
      const path = join(folder, `${name}-${units}.dxf`);
      const style = { styleName: 'order 1042', author: 'a;b;c', sampleSize: 'MTM', material: 'denim' };
      writeFileSync(path, writeDxf({ ...style, pieces: pattern.pieces }, { profile: 'astm', units }));
      const script = join(ROOT, 'test/outside/read-dxf-pieces.py');
      const { stdout } = spawnSync(python, [script, path], { encoding: 'utf8' });
      const read = JSON.parse(stdout) as Read;

      it('is sound, with every piece, closed', () => {
        expect(read.errors).toEqual([]);
        expect(Object.keys(read.pieces)).toEqual(pattern.pieces.map(({ id }) => id.toUpperCase()));
        for (const { boundary, sew } of Object.values(read.pieces)) {
          expect([boundary.length, sew.length]).toEqual([1, 1]);
          expect([boundary[0].closed, sew[0].closed]).toEqual([true, true]);
        }
      });

      it('agrees with the pieces in area, in every point and in the length of the seams', () => {
        for (const piece of pattern.pieces) {
          const { boundary, sew, notches, drills } = read.pieces[piece.id.toUpperCase()];
          const points = boundary[0].points.map(([x, y]) => ({ x: x * mm, y: y * mm }));
          const cutArea = Math.abs(areaD(piece.cut.map(({ at }) => ({ x: at.x, y: at.y }))));
          expect(Math.abs(Math.abs(areaD(points)) / cutArea - 1)).toBeLessThan(1e-4);
          for (const [i, { at }] of piece.cut.entries())
            expect(Math.hypot(points[i].x - at.x, points[i].y - at.y)).toBeLessThan(0.05);
          const sewnMm = lengthOf(sew[0].points) * mm;
          const curves = [...piece.runs.flatMap((run) => run.curves), ...piece.darts.flat()];
          // A hundred roundings of 0.005 mm, and chords.
          expect(Math.abs(sewnMm - chordLengthMm(curves))).toBeLessThan(0.3);
          for (const [i, notch] of piece.notches.entries())
            expect(Math.hypot(notches[i][0] * mm - notch.at.x, notches[i][1] * mm - notch.at.y)).toBeLessThan(
              0.05,
            );
          for (const [i, { at }] of piece.drillHoles.entries())
            expect(Math.hypot(drills[i][0] * mm - at.x, drills[i][1] * mm - at.y)).toBeLessThan(0.05);
        }
      });
    });
  });
});

function lengthOf(points: readonly (readonly [number, number])[]): number {
  return points.reduce(
    (sum, [x, y], i) => (i === 0 ? 0 : sum + Math.hypot(x - points[i - 1][0], y - points[i - 1][1])),
    0,
  );
}
