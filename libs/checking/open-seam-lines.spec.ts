import { describe, expect, it } from '@jest/globals';
import { distance, lerp, type Point } from '#geometry';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern, correctPattern } from './index.js';
import { toFile } from './leg-frame.js';

const TIMES = IS_NIGHT ? 50 : 6;
const next = numbersFrom(SEED);
const sound = soundPatterns(surveyBodies(), IS_NIGHT ? 20 : 2, next);

/** A file whose piece has another sew line, through these points and open. */
function withSewLine(
  dxf: string,
  block: string,
  change: (ring: readonly Point[]) => readonly Point[],
): string {
  const rows = dxf.split('\r\n');
  const name = rows.findIndex((row, i) => row === 'BLOCK' && rows[i + 4] === block);
  const start = rows.findIndex((row, i) => i > name && row === 'POLYLINE' && rows[i + 2] === '14');
  const end = rows.indexOf('SEQEND', start) - 1;
  const first = rows.indexOf('VERTEX', start) - 1;
  const size = rows.indexOf('VERTEX', first + 2) - 1 - first;
  const vertices = Array.from({ length: (end - first) / size }, (_, i) =>
    rows.slice(first + i * size, first + (i + 1) * size),
  );
  const [x, y] = ['10', '20'].map((code) => vertices[0].indexOf(code) + 1);
  // The last repeats the first.
  const ring = vertices.slice(0, -1).map((vertex) => ({ x: Number(vertex[x]), y: Number(vertex[y]) }));
  const drawn = change(ring).flatMap((p) => {
    const vertex = [...vertices[0]];
    vertex[x] = p.x.toFixed(4);
    vertex[y] = p.y.toFixed(4);
    return vertex;
  });
  const head = rows.slice(0, first);
  head[head.lastIndexOf('70') + 1] = '0';
  return [...head, ...drawn, ...rows.slice(end)].join('\r\n');
}

/** A sew line that starts at one of its vertices, and ends short of there by the gap, on its own last side. */
function opened(dxf: string, gapMm: number, share: number): string {
  return withSewLine(dxf, 'BACK', (ring) => {
    const k = Math.floor(share * ring.length);
    const line = [...ring.slice(k), ...ring.slice(0, k), ring[k]];
    // Whole sides go until the gap is reached, then a part of one.
    let leftMm = gapMm;
    for (let last = line.length - 1; last > 0; last--) {
      const mm = distance(line[last - 1], line[last]);
      if (mm > leftMm) return [...line.slice(0, last), lerp(line[last], line[last - 1], leftMm / mm)];
      leftMm -= mm;
    }
    throw new Error('no line left');
  });
}

/** A sew line without its hem: from the cut line up one side of the leg and down the other to the cut line. */
function withoutHem(ring: readonly Point[], cut: readonly Point[], corners: readonly Point[]): Point[] {
  const [a, b] = corners
    .map((corner) => ring.findIndex((p) => distance(p, corner) < 0.02))
    .sort((i, j) => i - j);
  const inner = ring.slice(a, b + 1);
  const outer = [...ring.slice(b), ...ring.slice(0, a + 1)];
  const long = inner.length > outer.length ? inner : outer;
  return [onCut(long[0], cut), ...long, onCut(long[long.length - 1], cut)];
}

/** Straight down from a corner of the hem, the cut line of its allowance. */
function onCut({ x, y }: Point, cut: readonly Point[]): Point {
  const levels = cut.flatMap((p, i) => {
    const q = cut[(i + 1) % cut.length];
    return Math.min(p.x, q.x) <= x && x < Math.max(p.x, q.x)
      ? [p.y + ((q.y - p.y) * (x - p.x)) / (q.x - p.x)]
      : [];
  });
  return { x, y: Math.max(...levels.filter((level) => level < y)) };
}

describe(`a sew line that is open, seed ${SEED}`, () => {
  const cases = Array.from({ length: TIMES }, (_, i) => ({ i, share: next(), of: sound[i % sound.length] }));

  it.each(cases)('$i: by a slip is judged as if it were closed, and said', ({ share, of }) => {
    const text = opened(dxfOf(of.pattern.pieces), 0.1 + 0.8 * share, share);
    const { report } = checkPattern(text, CHECK_DEFAULTS);
    expect(report.findings.map(({ code, level }) => [code, level])).toEqual([['OUTLINE_OPEN', 'warning']]);
    expect(report.sewable).toBe(true);
    const closed = checkPattern(dxfOf(of.pattern.pieces), CHECK_DEFAULTS).report;
    for (const [i, { difference }] of report.seams.entries())
      expect(Math.abs(difference - closed.seams[i].difference)).toBeLessThan(0.1);
  });

  it.each(cases)('$i: by more is not compared with anything, and nothing is offered', ({ share, of }) => {
    const gapMm = 1.5 + 38 * share;
    const text = opened(dxfOf(of.pattern.pieces), gapMm, share);
    const { report } = checkPattern(text, CHECK_DEFAULTS);
    // The turn points of what is missing lie on no line.
    const found = report.findings.filter(({ code }) => code !== 'POINT_OFF_LINE');
    expect(found.map(({ code, level }) => [code, level])).toEqual([
      ['OUTLINE_OPEN', 'stop'],
      ['SEAMS_NOT_COMPARED', 'stop'],
    ]);
    expect(report.seams).toEqual([]);
    expect(report.corrections).toEqual([]);
    expect(report.judged).toBe('pieces only');
    // A chord is not longer than the line that is missing.
    expect(report.findings[0].numbers['gapMm']).toBeLessThanOrEqual(gapMm + 0.01);
    expect(correctPattern(text, CHECK_DEFAULTS, ['FORK_ANGLE']).text).toBeUndefined();
  });

  it('is closed along the cut line where both its ends lie on it: a hem that is folded up', () => {
    const [{ pattern }] = sound;
    const dxf = dxfOf(pattern.pieces);
    const whole = checkPattern(dxf, CHECK_DEFAULTS);
    const text = (['front', 'back'] as const).reduce((changed, role) => {
      const leg = whole.trouser?.[role];
      if (leg === undefined) throw new Error('no leg');
      const { curves, corners, frame, outline } = leg.reading;
      const hem = [corners.hemInseam, corners.hemOutseam].map((i) => toFile(frame, curves[i].p0));
      const cut = outline.piece.boundary?.points ?? [];
      return withSewLine(changed, outline.piece.block, (ring) => withoutHem(ring, cut, hem));
    }, dxf);
    const { report } = checkPattern(text, CHECK_DEFAULTS);
    expect(new Set(report.findings.map(({ code, level }) => `${code} ${level}`))).toContain(
      'OUTLINE_OPEN warning',
    );
    // The sides go straight down to it here, so the hem is not square to them, which is said.
    const stops = report.findings.filter(({ level }) => level === 'stop').map(({ code }) => code);
    expect(stops.filter((code) => !code.endsWith('_HEM_ANGLE'))).toEqual([]);
    expect(report.judged).toBe('trouser');
    const seam = (of: typeof report, name: string) => of.seams.find((each) => each.seam === name);
    for (const name of ['inseam', 'outseam']) {
      const [open, closed] = [seam(report, name), seam(whole.report, name)];
      expect(Math.abs((open?.difference ?? 99) - (closed?.difference ?? 0))).toBeLessThan(0.5);
      expect(open?.first.lengthMm).toBeGreaterThan((closed?.first.lengthMm ?? 0) + 5);
    }
  });
});
