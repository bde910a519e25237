import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Flatten from '@flatten-js/core';
import { afterAll, describe, expect, it } from '@jest/globals';
import { CHECK_DEFAULTS, checkPattern } from '#checking';
import { polygonArea, ringArea, type Point } from '#geometry';
import type { ForeignPiece } from '#interchange';
import { seamLengthMm } from '#pattern';
import { byDxf, byWriter, drawnPieces, WAYS, type DrawnPiece } from '../support/drawn-otherwise.js';
import { numbersFrom } from '../support/random-numbers.js';
import { describeWith, EZDXF } from '../support/needs.js';
import { soundPatterns } from '../support/sound-patterns.js';
import { surveyBodies } from '../support/survey-bodies.js';

// One trouser drawn in five ways (polylines, polylines of arcs, splines, arcs and lines, single lines) by three libraries
// that know nothing of patterns: ezdxf as release 12, which has no splines, and as release 2000, in blocks;
// @tarikjabiri/dxf and dxf-writer without blocks. Beside the drawings stand the numbers they were drawn from.
const ROOT = join(import.meta.dirname, '../../..');
const folder = mkdtempSync(join(tmpdir(), 'forkline-drawn-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

const [{ pattern }] = soundPatterns(surveyBodies(), 1, numbersFrom(9));
const drawn = drawnPieces(pattern.pieces);

describe.each([
  ['@tarikjabiri/dxf', byDxf],
  ['dxf-writer', byWriter],
])('a trouser drawn by %s', (_, draw) => {
  it.each(WAYS)('with %s is read to the same pieces', (way) => {
    expectSame(draw(drawn, way));
  });
});

describeWith(EZDXF, 'a trouser drawn by ezdxf', (python) => {
  const description = join(folder, 'pieces.json');
  writeFileSync(description, JSON.stringify(drawn));
  const { stderr } = spawnSync(python, [join(ROOT, 'test/outside/draw-dxf.py'), description, folder], {
    encoding: 'utf8',
  });
  const files = [
    ...WAYS.filter((way) => way !== 'splines').map((way) => `R12 ${way}`),
    ...WAYS.map((way) => `R2000 ${way}`),
  ];

  it.each(files)('as %s is read to the same pieces', (name) => {
    expect(stderr).toBe('');
    expectSame(readFileSync(join(folder, `${name}.dxf`), 'utf8'));
  });
});

/** Two roundings: of the file to its decimals, and of a curve to arcs or chords. */
const OUTLINE_MM = 0.05;

function expectSame(text: string): void {
  const { report, pieces, trouser } = checkPattern(text, CHECK_DEFAULTS);
  expect(pieces.map(({ name }) => name).sort()).toEqual(pattern.pieces.map(({ name }) => name).sort());
  for (const piece of pattern.pieces) {
    const read = pieces.find(({ name }) => name === piece.name);
    expect(read?.quantity).toEqual(piece.quantity);
    expect(read?.boundary?.closed).toBe(true);
    const cut = Math.abs(polygonArea(read?.boundary?.points ?? []));
    expect(cut / Math.abs(polygonArea(piece.cut.map(({ at }) => at)))).toBeCloseTo(1, 5);
    const source = drawn.find(({ block }) => block === piece.id.toUpperCase());
    if (read === undefined || source === undefined) throw new Error(`${piece.name} is not there`);
    expectOutlines(read, source);
    const sewn = source.sew.curves;
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

/** Every point of either outline lies on the other, and notches and grain where they were drawn. */
function expectOutlines(read: ForeignPiece, { block, dx, cut, sew, notches, grain }: DrawnPiece): void {
  // Without blocks, pieces lie beside each other on the sheet.
  const asideMm = read.block === block ? 0 : dx;
  const here = ([x, y]: readonly number[]): Point => ({ x: x + asideMm, y });
  for (const [line, ring] of [
    [read.boundary, cut],
    [read.sewLines[0], sew],
  ] as const) {
    const [is, was] = [line?.points ?? [], ring.points.map(here)];
    for (const [from, onto] of [
      [is, was],
      [was, is],
    ])
      expect(Math.max(...from.map((p) => offPolygonMm(p, onto)))).toBeLessThan(OUTLINE_MM);
  }
  for (const notch of notches)
    expect(Math.min(...read.notches.map(({ at }) => apartMm(at, here(notch))))).toBeLessThan(OUTLINE_MM);
  for (const [i, end] of grain.entries())
    expect(apartMm(read.grain?.[i] ?? { x: 0, y: 0 }, here(end))).toBeLessThan(OUTLINE_MM);
}

const apartMm = (a: Point, b: Point): number => Math.hypot(a.x - b.x, a.y - b.y);

/** By the kernel of a general-purpose library. */
function offPolygonMm({ x, y }: Point, points: readonly Point[]): number {
  const shape = shapes.get(points) ?? new Flatten.Polygon(points.map((p) => Flatten.point(p.x, p.y)));
  shapes.set(points, shape);
  return [...shape.edges].reduce(
    (least: number, edge: Flatten.Edge) => Math.min(least, Flatten.point(x, y).distanceTo(edge.shape)[0]),
    Infinity,
  );
}

const shapes = new WeakMap<readonly Point[], Flatten.Polygon>();
