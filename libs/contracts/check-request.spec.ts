import fc from 'fast-check';
import { describe, expect, it } from '@jest/globals';
import { CHECK_DEFAULTS, TOLERANCE_NAMES } from '#checking';
import { readCheckSettings } from './check-request.js';

const problemsOf = (json: unknown) => {
  const read = readCheckSettings(json);
  return read.ok ? [] : read.problems;
};

describe('readCheckSettings', () => {
  it('is as the trade has it where nothing is said', () => {
    expect(readCheckSettings({})).toEqual({ ok: true, value: CHECK_DEFAULTS });
  });

  it('reads every field, each to where it is used, lengths in any unit', () => {
    const read = readCheckSettings({
      units: 'english',
      size: '40',
      kinds: [
        { piece: 'P1', kind: 'front' },
        { piece: '__proto__', kind: 'back' },
      ],
      seams: [
        {
          name: 'yoke',
          first: { piece: 'BACK', from: [0, 0], to: [200, 0] },
          second: { piece: 'YOKE', from: [0, 0], to: [203, 0] },
          ease: '0.3 cm',
        },
      ],
      hemOpening: '30 cm',
      tolerances: {
        seamPair: '1/8 in',
        stretch: 1,
        dartLegs: 0.7,
        notch: 0.8,
        level: 0.9,
        corner: 2,
        square: 3,
        curve: '0.1 mm',
        allowance: 1.1,
        kink: 5,
        mirror: 1.2,
      },
    });
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    const { kinds, origins, ...rest } = read.value;
    expect(Object.entries(kinds)).toEqual([
      ['P1', 'front'],
      ['__proto__', 'back'],
    ]);
    expect(origins).toEqual(Object.fromEntries(TOLERANCE_NAMES.map((name) => [name, 'as the request says'])));
    expect(rest).toEqual({
      units: 'english',
      size: '40',
      seams: [
        {
          name: 'yoke',
          first: { piece: 'BACK', from: { x: 0, y: 0 }, to: { x: 200, y: 0 } },
          second: { piece: 'YOKE', from: { x: 0, y: 0 }, to: { x: 203, y: 0 } },
          easeMm: 3,
        },
      ],
      hemOpeningMm: 300,
      truing: {
        ...CHECK_DEFAULTS.truing,
        seamPairMm: 3.175,
        intendedStretchMm: 1,
        dartLegMm: 0.7,
        notchMm: 0.8,
        levelMm: 0.9,
        cornerSumDeg: 2,
        squareDeg: 3,
      },
      curveMm: 0.1,
      outline: { ...CHECK_DEFAULTS.outline, kinkDeg: 5 },
      marks: CHECK_DEFAULTS.marks,
      allowance: { ...CHECK_DEFAULTS.allowance, pairMm: 1.1 },
      mirrorMm: 1.2,
    });
  });

  it('says every problem at once, each with its field, what was found, what is allowed and what to do', () => {
    const problems = problemsOf({
      units: 'furlong',
      kinds: [{ piece: '', kind: 'sleeve' }],
      seams: [{ name: 'x', first: { piece: 'A', from: [0], to: [1, 1] }, second: {} }],
      hemOpening: '3 cm',
      tolerances: { seamPair: -1, corner: 'wide', curve: 5, kinkk: 1 },
      colour: 'red',
    });
    expect(problems.map(({ pointer }) => pointer).sort()).toEqual([
      '/colour',
      '/hemOpening',
      '/kinds/0/kind',
      '/kinds/0/piece',
      '/seams/0/first/from',
      '/seams/0/second/from',
      '/seams/0/second/piece',
      '/seams/0/second/to',
      '/tolerances/corner',
      '/tolerances/curve',
      '/tolerances/kinkk',
      '/tolerances/seamPair',
      '/units',
    ]);
    for (const { found, allowed, message, action } of problems) {
      expect(allowed).toBeDefined();
      for (const words of [found, message, action]) expect(words).not.toBe('');
    }
    expect(problems.find(({ pointer }) => pointer === '/tolerances/kinkk')?.action).toMatch(/kink/);
  });

  it.each([null, [], 'text', 3, undefined])('refuses %j', (json) => {
    expect(problemsOf(json)).not.toEqual([]);
  });

  it('refuses more than it may hold', () => {
    const seam = {
      name: 'a',
      first: { piece: 'A', from: [0, 0], to: [1, 1] },
      second: { piece: 'B', from: [0, 0], to: [1, 1] },
    };
    expect(problemsOf({ seams: Array.from({ length: 100 }, () => seam) })).toEqual([]);
    expect(problemsOf({ seams: Array.from({ length: 101 }, () => seam) })).not.toEqual([]);
    expect(
      problemsOf({ kinds: Array.from({ length: 401 }, (_, i) => ({ piece: `${i}`, kind: 'front' })) }),
    ).not.toEqual([]);
    expect(problemsOf({ size: 'x'.repeat(65) })).not.toEqual([]);
  });

  it('answers any JSON', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 4 }), (json) => {
        const read = readCheckSettings(json);
        expect(read.ok || read.problems.length > 0).toBe(true);
      }),
    );
  });
});
