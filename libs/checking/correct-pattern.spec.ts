import { describe, expect, it } from '@jest/globals';
import { distance, type Point } from '#geometry';
import { byDxf, drawnPieces } from '../../test/support/drawn-otherwise.js';
import { numbersFrom } from '../../test/support/random-numbers.js';
import type { Mismatch } from '../../test/support/mismatched-block.js';
import { SURVEY } from '../../test/support/needs.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import type { Sound } from '../../test/support/planted/fault.js';
import { withMismatch } from '../../test/support/planted-mismatches.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies, surveyBodiesIn } from '../../test/support/survey-bodies.js';
import {
  CHECK_DEFAULTS,
  checkPattern,
  correctPattern,
  type CheckedPattern,
  type CheckReport,
} from './index.js';

const COUNT = IS_NIGHT ? 200 : 8;

const next = numbersFrom(SEED);
const bodies = IS_NIGHT && SURVEY.found !== undefined ? surveyBodiesIn(SURVEY.found) : surveyBodies();
const first = Math.floor(next() * bodies.length);
const sound = soundPatterns([...bodies.slice(first), ...bodies.slice(0, first)], IS_NIGHT ? COUNT : 2, next);

/** Both signs, both pieces, both ends of the seam; every fifth is as large as is promised. */
function mismatches(seam: Mismatch['seam']): { readonly of: Sound; readonly mismatch: Mismatch }[] {
  return Array.from({ length: COUNT }, (_, i) => {
    const mm = i % 5 === 0 ? 8 : 1.05 + 6.95 * next();
    return {
      of: sound[(IS_NIGHT ? i : Math.floor(i / 4)) % sound.length],
      mismatch: {
        seam,
        piece: i & 2 ? 'front' : 'back',
        at: i & 4 ? 'hem' : 'top',
        byMm: i & 1 ? -mm : mm,
      },
    };
  });
}

describe.each([
  ['inseam', 'INSEAM_MISMATCH'],
  ['outseam', 'OUTSEAM_MISMATCH'],
] as const)(`an %s that is off by 1 to 8 mm, seed ${SEED}`, (seam, code) => {
  const largest = { restMm: 0, forkMm: 0, notchMm: 0, redrawnMm: 0, easeMm: 0, endMm: 0 };

  it.each(mismatches(seam).map((each, i) => ({ ...each, i })))(
    '$i: at the $mismatch.at of the $mismatch.piece, by $mismatch.byMm mm',
    ({ of, mismatch }) => {
      const text = dxfOf(withMismatch(of, mismatch));
      const before = checkPattern(text, CHECK_DEFAULTS);
      // It was planted by the sum of chords of the block's curves; the file is read to the same.
      const plantedMm = mismatch.piece === 'back' ? mismatch.byMm : -mismatch.byMm;
      expect(Math.abs(seamOf(before.report, seam).difference - plantedMm)).toBeLessThan(0.1);
      expect(before.report.corrections.map((each) => each.code)).toContain(code);

      const { text: written, report, checked } = correctPattern(text, CHECK_DEFAULTS, [code]);
      if (written === undefined) throw new Error('nothing was written');
      // Where no share of the waist ends fits the band, that was said before.
      const said = before.report.corrections.flatMap(
        ({ words }) => /The waist seam is then .* than the band/.exec(words)?.[0].replace(' then', '') ?? [],
      );
      const eases = report.findings.filter(({ code }) => code === 'EASE_TO_SPREAD');
      const found = report.findings.filter(
        // With the waist ends of an outseam a waist may move by more than a millimetre, which is eased into its band.
        ({ code }) => code !== 'EASE_TO_SPREAD' && !(code === 'WAIST_EASED' && seam === 'outseam'),
      );
      expect(found).toHaveLength(said.length);
      expect(found.every(({ message }, k) => message.startsWith(`${said[k]}.`))).toBe(true);
      expect(eases.map(({ numbers }) => numbers)).toEqual(
        report.moved
          .filter(({ operation }) => operation === 'spread ease')
          .map(({ byMm }) => ({ byMm, easeMm: seamOf(report, seam).difference < 0 ? -byMm : byMm })),
      );
      expect(report.sewable).toBe(said.length === 0);
      const easeMm = report.moved.find(({ operation }) => operation === 'spread ease')?.byMm ?? 0;
      // Another way than the checker's: the points of the file, joined by straight lines.
      const apartMm = Math.abs(chordsMm(checked, 'back', seam) - chordsMm(checked, 'front', seam));
      expect(Math.abs(apartMm - easeMm)).toBeLessThan(CHECK_DEFAULTS.truing.seamPairMm);
      expect(easeMm).toBeLessThanOrEqual(CHECK_DEFAULTS.truing.fixes.easeMm);
      largest.restMm = Math.max(largest.restMm, Math.abs(apartMm - easeMm));
      largest.easeMm = Math.max(largest.easeMm, easeMm);

      for (const role of ['front', 'back'] as const) {
        const forkMm = distance(forkOf(before, role), forkOf(checked, role));
        expect(forkMm).toBeLessThan(0.01);
        largest.forkMm = Math.max(largest.forkMm, forkMm);
        for (const { notch, mm } of notchMoves(before, checked, role)) {
          // The mark of an end that is moved goes with it.
          if (notch.fromEndMm < 3) continue;
          expect([notch.role, mm]).toEqual([notch.role, expect.closeTo(0, 2)]);
          largest.notchMm = Math.max(largest.notchMm, mm);
        }
        expectAllSaid(before, checked, report, role);
      }
      for (const [k, piece] of before.pieces.entries())
        expect(checked.pieces[k].internalLines.map(pointsOf)).toEqual(piece.internalLines.map(pointsOf));
      // Only coordinates differ.
      expect(written.replace(/-?\d+\.\d+/g, '#')).toBe(text.replace(/-?\d+\.\d+/g, '#'));
      for (const { operation, byMm } of report.moved) {
        if (operation === 'redraw seam') largest.redrawnMm = Math.max(largest.redrawnMm, byMm);
        if (operation === 'move point along') largest.endMm = Math.max(largest.endMm, byMm);
      }
    },
  );

  it('goes no further than is said', () => {
    if (IS_NIGHT) console.log(seam, JSON.stringify(largest));
    expect(largest.endMm).toBeLessThanOrEqual(seam === 'inseam' ? 5 : 10);
    expect(largest.redrawnMm).toBeLessThanOrEqual(6);
  });
});

describe('corrections', () => {
  it('are none where nothing but the question is left, and the seam says so', () => {
    const text = dxfOf(withMismatch(sound[0], { seam: 'inseam', piece: 'back', at: 'top', byMm: 14 }));
    const { report } = checkPattern(text, CHECK_DEFAULTS);
    expect(report.corrections).toEqual([]);
    expect(seamOf(report, 'inseam').fix?.kind).toBe('ask');
    expect(report.findings.map(({ code, action }) => [code, action])).toEqual([
      ['INSEAM_MISMATCH', expect.stringContaining('Ask which piece is right')],
    ]);
  });

  it('are not offered for a leg that is drawn with arcs, and the report says why', () => {
    const pieces = withMismatch(sound[0], { seam: 'inseam', piece: 'back', at: 'hem', byMm: -3 });
    const text = byDxf(drawnPieces(pieces), 'arcs and lines');
    const { corrections, findings } = checkPattern(text, CHECK_DEFAULTS).report;
    expect(corrections).toEqual([]);
    expect(findings.map(({ code }) => code)).toContain('INSEAM_MISMATCH');
    const why = findings.filter(({ code }) => code === 'CORRECTION_NOT_DRAWN').map(({ message }) => message);
    expect(why).toEqual([
      expect.stringContaining('No correction is offered for INSEAM_MISMATCH, because Back'),
    ]);
    const asked = correctPattern(text, CHECK_DEFAULTS, ['INSEAM_MISMATCH']);
    expect(asked.text).toBeUndefined();
    expect(asked.report.findings.map(({ code }) => code)).toContain('CORRECTION_NOT_OFFERED');
  });

  it('are not offered where nothing is off, and asking for them changes nothing', () => {
    const { text, report } = correctPattern(dxfOf(sound[0].pattern.pieces), CHECK_DEFAULTS, [
      'INSEAM_MISMATCH',
    ]);
    expect(text).toBeUndefined();
    expect(report.findings.map(({ code }) => code)).toEqual(['CORRECTION_NOT_OFFERED']);
  });

  it('of two seams at once move each of them as alone', () => {
    const inseam: Mismatch = { seam: 'inseam', piece: 'back', at: 'hem', byMm: 4 };
    const pieces = withMismatch(sound[0], inseam);
    const also = withMismatch(
      { ...sound[0], pattern: { ...sound[0].pattern, pieces } },
      { seam: 'outseam', piece: 'front', at: 'top', byMm: 3 },
    );
    // The front of the second, with its longer outseam, and the back of the first, with its longer inseam.
    const both = [also[0], pieces[1], ...pieces.slice(2)];
    const codes = ['INSEAM_MISMATCH', 'OUTSEAM_MISMATCH'];
    const { report } = correctPattern(dxfOf(both), CHECK_DEFAULTS, codes);
    for (const seam of ['inseam', 'outseam'] as const)
      expect(Math.abs(seamOf(report, seam).difference)).toBeLessThan(0.1);
  });
});

function seamOf({ seams }: CheckReport, wanted: Mismatch['seam']): CheckReport['seams'][number] {
  const found = seams.find(({ seam }) => seam === wanted);
  if (found === undefined) throw new Error(`no ${wanted}`);
  return found;
}

type Role = 'front' | 'back';

function legOf({ trouser }: CheckedPattern, role: Role) {
  if (trouser === undefined) throw new Error('no trouser');
  return trouser[role];
}

function forkOf(checked: CheckedPattern, role: Role): Point {
  const { curves, corners, frame } = legOf(checked, role).reading;
  const { p0 } = curves[corners.fork];
  return { x: p0.x, y: p0.y - frame.liftMm };
}

/** The length of a seam as the points of the sew line give it, from corner to corner. */
function chordsMm(checked: CheckedPattern, role: Role, seam: Mismatch['seam']): number {
  const { outline, source } = legOf(checked, role).reading;
  const { roles } = legOf(checked, role);
  const { points, curves } = outline;
  return source
    .filter((_, i) => roles[i] === seam)
    .reduce((sum, k) => {
      const { first, last } = curves[k];
      const run = Array.from({ length: last - first + 1 }, (_, i) => points[(first + i) % points.length]);
      return run.reduce((mm, p, i) => (i === 0 ? mm : mm + distance(run[i - 1], p)), sum);
    }, 0);
}

function notchMoves(before: CheckedPattern, after: CheckedPattern, role: Role) {
  const leg = legOf(before, role);
  const { piece } = leg.reading.outline;
  const now = legOf(after, role).reading.outline.piece.notches;
  const { curves, corners } = leg.reading;
  const ends = [corners.hemInseam, corners.hemOutseam, corners.sideWaist].map((i) => curves[i].p0);
  return leg.notches.map((set) => ({
    notch: { role: set.role, fromEndMm: Math.min(...ends.map((end) => distance(end, set.foot.at))) },
    mm: distance(set.notch.at, now[piece.notches.indexOf(set.notch)].at),
  }));
}

/** Every point that went anywhere is covered by something that the report says of its piece. */
function expectAllSaid(before: CheckedPattern, after: CheckedPattern, report: CheckReport, role: Role): void {
  const [old, now] = [before, after].map((each) => legOf(each, role).reading.outline.piece);
  const wentMm = Math.max(
    ...(old.boundary?.points ?? []).map((p, i) => distance(p, now.boundary?.points[i] ?? p)),
  );
  const saidMm = report.moved.filter(({ piece }) => piece === role).reduce((sum, { byMm }) => sum + byMm, 0);
  expect(wentMm).toBeLessThanOrEqual(saidMm + 0.02);
}

function pointsOf({ points }: { readonly points: readonly Point[] }): number[][] {
  return points.map(({ x, y }) => [x, y]);
}
