import { describe, expect, it } from '@jest/globals';
import { distance, type Point } from '#geometry';
import { numbersFrom } from '../../test/support/random-numbers.js';
import type { Mismatch } from '../../test/support/mismatched-block.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { withMismatch } from '../../test/support/planted-mismatches.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkContent, checkPattern, type CheckedPattern, type StatedSeam } from './index.js';
import { toFile } from './leg-frame.js';

const [sound] = soundPatterns(surveyBodies(), 1, numbersFrom(11));
const EASED: Mismatch = { seam: 'inseam', piece: 'back', at: 'top', byMm: 6 };
const SOUND = dxfOf(sound.pattern.pieces);
const LONGER = dxfOf(withMismatch(sound, EASED));

function inseamEnds(
  checked: CheckedPattern,
  role: 'front' | 'back',
): { piece: string; from: Point; to: Point } {
  const leg = checked.trouser?.[role];
  if (leg === undefined) throw new Error('no leg');
  const { curves, corners, frame, outline } = leg.reading;
  const [from, to] = [corners.fork, corners.hemInseam].map((i) => toFile(frame, curves[i].p0));
  return { piece: outline.piece.block, from, to };
}

function isOnInseam(checked: CheckedPattern, role: 'front' | 'back', index: number): boolean {
  return checked.trouser?.[role].roles[index] === 'inseam';
}

function stated(text: string, change: (seam: StatedSeam) => StatedSeam): StatedSeam {
  const checked = checkPattern(text, CHECK_DEFAULTS);
  return change({
    name: 'inner leg',
    first: inseamEnds(checked, 'front'),
    second: inseamEnds(checked, 'back'),
    easeMm: 0,
  });
}

const withSeam = (text: string, seam: StatedSeam) =>
  checkPattern(text, { ...CHECK_DEFAULTS, seams: [seam] }).report;

const other = (seam: StatedSeam): StatedSeam => ({
  ...seam,
  first: seam.second,
  second: seam.first,
  easeMm: -seam.easeMm,
});

describe('a long seam that the request states', () => {
  it.each([
    ['with the front first', (seam: StatedSeam) => ({ ...seam, easeMm: 6 })],
    ['with the back first', (seam: StatedSeam) => other({ ...seam, easeMm: 6 })],
    [
      'from the hem up',
      (seam: StatedSeam) => ({
        ...seam,
        easeMm: 6,
        second: { ...seam.second, from: seam.second.to, to: seam.second.from },
      }),
    ],
  ])('may have the ease that is meant, %s', (_, change) => {
    expect(checkPattern(LONGER, CHECK_DEFAULTS).report.findings.map(({ code }) => code)).toContain(
      'INSEAM_MISMATCH',
    );
    const report = withSeam(LONGER, stated(LONGER, change));
    expect(report.findings.map(({ message }) => message)).toEqual([]);
    expect(report.corrections).toEqual([]);
    const inseam = report.seams.find(({ seam }) => seam === 'inseam');
    expect(inseam).toMatchObject({ state: 'ok', fix: null });
    expect(inseam?.allowed).toEqual({ min: expect.closeTo(5, 6), max: expect.closeTo(7, 6) });
    expect(Math.abs((report.stated[0].difference ?? 9) - 0)).toBeLessThan(0.1);
  });

  it('may have its ease in the stretch between two marks, where a correction spreads it', () => {
    const checked = checkPattern(LONGER, CHECK_DEFAULTS);
    const upper = (role: 'front' | 'back') => {
      const ends = inseamEnds(checked, role);
      const notch = checked.trouser?.[role].notches.find(
        (set) => set.foot.at.y > 200 && isOnInseam(checked, role, set.foot.index),
      );
      if (notch === undefined) throw new Error('no knee notch');
      const { frame } = checked.trouser?.[role].reading ?? {};
      if (frame === undefined) throw new Error('no frame');
      return { piece: ends.piece, from: ends.from, to: toFile(frame, notch.foot.at) };
    };
    const seam = { name: 'above the knee', first: upper('front'), second: upper('back'), easeMm: 6 };
    const report = withSeam(LONGER, seam);
    expect(report.findings.map(({ message }) => message)).toEqual([]);
    expect(report.stated).toMatchObject([{ state: 'ok' }]);
    const wrong = withSeam(LONGER, { ...seam, easeMm: 3 });
    expect(wrong.findings.map(({ code }) => code)).toEqual(['STATED_SEAM_MISMATCH']);
  });

  it('is told to the sewer on the sheet, by its pieces', () => {
    const seam = stated(LONGER, (each) => ({ ...each, easeMm: 6 }));
    const eased = (one: StatedSeam) =>
      checkContent(checkPattern(LONGER, { ...CHECK_DEFAULTS, seams: [one] }), { engine: 'forkline' });
    const words = ['At the seam inner leg, ease in BACK by 6.0 mm to FRONT.'];
    expect(eased(seam).eases).toEqual(words);
    expect(eased(other(seam)).eases).toEqual(words);
    expect(eased(seam).seams.find(({ name }) => name === 'inner leg')).toMatchObject({
      first: { name: 'FRONT' },
      second: { name: 'BACK' },
    });
    expect(eased({ ...seam, easeMm: 0.2 }).eases).toEqual([]);
  });

  it('is said once where the ease is not there, in its own words', () => {
    const report = withSeam(
      SOUND,
      stated(SOUND, (seam) => ({ ...seam, easeMm: 6 })),
    );
    expect(report.findings.map(({ code }) => code)).toEqual(['STATED_SEAM_MISMATCH']);
    expect(report.findings[0].message).toMatch(
      /^At the seam inner leg, BACK \(\d+\.\d mm\) is as long as FRONT \(\d+\.\d mm\); it is meant to be 6\.0 mm longer\.$/,
    );
    expect(report.seams.find(({ seam }) => seam === 'inseam')).toMatchObject({ state: 'off', fix: null });
    expect(report.corrections).toEqual([]);
  });

  it('says how much longer, whichever comes first', () => {
    const [one, two] = [stated(LONGER, (seam) => seam), stated(LONGER, other)].map(
      (seam) => withSeam(LONGER, seam).findings[0].message,
    );
    expect(one).toMatch(/BACK .* is 6\.0 mm longer than FRONT .* meant to be as long\./);
    expect(two).toMatch(/FRONT .* is 6\.0 mm shorter than BACK .* meant to be as long\./);
  });
});

describe('the ends of a stated seam', () => {
  const near = (seam: StatedSeam, by: Point): StatedSeam => ({
    ...seam,
    second: { ...seam.second, to: { x: seam.second.to.x + by.x, y: seam.second.to.y + by.y } },
  });

  it('are the corners that they lie at', () => {
    const report = withSeam(
      SOUND,
      stated(SOUND, (seam) => near(seam, { x: 1.2, y: -1.2 })),
    );
    const exact = withSeam(
      SOUND,
      stated(SOUND, (seam) => seam),
    );
    expect(report.stated).toEqual(exact.stated);
    expect(report.findings).toEqual([]);
  });

  it('are those of the seam line, where corners of the cut line were sent', () => {
    const report = withSeam(
      SOUND,
      stated(SOUND, (seam) => {
        const { pieces } = checkPattern(SOUND, CHECK_DEFAULTS);
        const cutCorner = (piece: string, p: Point): Point => {
          const { turnPoints = [], boundary } = pieces.find(({ block }) => block === piece) ?? {};
          const corners = turnPoints.filter((q) => boundary?.points.some((r) => distance(q, r) < 0.02));
          return corners.reduce((best, q) => (distance(q, p) < distance(best, p) ? q : best));
        };
        const { second } = seam;
        const [from, to] = [second.from, second.to].map((p) => cutCorner(second.piece, p));
        expect(distance(to, second.to)).toBeGreaterThan(5);
        return { ...seam, second: { ...second, from, to } };
      }),
    );
    expect(report.findings).toEqual([]);
    expect(report.stated[0].state).toBe('ok');
  });

  it('are asked about where they lie beside, with what lies nearest', () => {
    const report = withSeam(
      SOUND,
      stated(SOUND, (seam) => near(seam, { x: 100, y: 30 })),
    );
    expect(report.stated).toEqual([]);
    expect(report.findings.map(({ code, level }) => [code, level])).toEqual([['SEAM_POINT_OFF', 'stop']]);
    expect(report.findings[0].message).toMatch(
      /inner leg was not measured: its end \(.*\) lies \d+\.\d mm beside/,
    );
  });

  it('are asked about where the piece is not there, with those that are', () => {
    const report = withSeam(
      SOUND,
      stated(SOUND, (seam) => ({ ...seam, first: { ...seam.first, piece: 'NOPE' } })),
    );
    expect(report.findings.map(({ code }) => code)).toEqual(['SEAM_PIECE_UNKNOWN']);
    expect(report.findings[0].action).toMatch(/FRONT, .*BACK/);
  });
});
