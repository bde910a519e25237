import { describe, expect, it } from '@jest/globals';
import type { CutPiece } from '#finishing';
import { readDxf } from '#interchange';
import { seamLengthMm, type Block } from '#pattern';
import { bandMm, endMoved, notchesOf, stretchedBy } from '../../test/support/band-variants.js';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import type { Sound } from '../../test/support/planted/fault.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { readBand } from './band-checks.js';
import { CHECK_DEFAULTS, checkPattern, type CheckReport } from './index.js';
import { seamOutline } from './seam-outline.js';

// A band is made longer or shorter by what is done to it with a pair of scissors, and the check has to say no better of it
// the further it is off. What it is held to is the waist of the draft, not what the check measured.
const UNDERLAP_MM = 40;
const FARTHEST_MM = 80;
const BADNESS = { info: 1, warning: 2, stop: 3 } as const;

const patterns = soundPatterns(surveyBodies(), 12, numbersFrom((SEED % 2147483646) + 1)).filter(
  ({ pattern }) => pattern.pieces.some(({ id }) => id === 'waistband'),
);
const some = patterns.slice(0, IS_NIGHT ? 4 : 2);

function stepsOf(stepMm: number): number[] {
  return Array.from({ length: Math.floor(FARTHEST_MM / stepMm) + 1 }, (_, i) => i * stepMm);
}

function reportOn({ pattern }: Sound, change: (band: CutPiece) => CutPiece | undefined): CheckReport {
  const pieces = pattern.pieces.flatMap((piece) =>
    piece.id === 'waistband' ? (change(piece) ?? []) : [piece],
  );
  return checkPattern(dxfOf(pieces), CHECK_DEFAULTS).report;
}

function codesOf({ findings }: CheckReport): string[] {
  return findings.map(({ level, code }) => `${level} ${code}`);
}

function badness({ findings }: CheckReport): number {
  return Math.max(0, ...findings.map(({ level }) => BADNESS[level]));
}

interface Way {
  readonly name: string;
  readonly change: (band: CutPiece, byMm: number) => CutPiece;
  /** Of a band that is as it should be. */
  readonly sound: readonly string[];
  /** At 80 mm too short and too long. */
  readonly ends: readonly [keyof typeof BADNESS, keyof typeof BADNESS];
  /** Some of its notches are missing: by day fewer of these are tried. */
  readonly isPartial?: true;
}

const TAKEN = ['info BAND_UNDERLAP_TAKEN'];
const WAYS: readonly Way[] = [
  {
    name: 'cut off or added to at the end without underlap, notches where they were',
    change: (band, byMm) => endMoved(band, 'high', byMm),
    sound: [],
    ends: ['stop', 'stop'],
  },
  {
    name: 'cut off or added to at its underlap, notches where they were',
    change: (band, byMm) => endMoved(band, 'low', byMm),
    sound: [],
    // A long underlap can be sewn.
    ends: ['stop', 'warning'],
  },
  { name: 'stretched with its notches', change: stretchedBy, sound: [], ends: ['stop', 'stop'] },
  {
    name: 'without notches',
    change: (band, byMm) => endMoved(notchesOf(band, []), 'high', byMm),
    sound: TAKEN,
    ends: ['stop', 'stop'],
  },
  ...[
    ['centre front'],
    ['side'],
    ['centre back'],
    ['centre front', 'centre back'],
    ['side', 'centre back'],
  ].flatMap((names) =>
    (['low', 'high'] as const).map((end): Way => {
      const isMarked = names.includes('centre front');
      return {
        name: `with its ${names.join(' and ')} notches only, ${end} end moved`,
        change: (band, byMm) => endMoved(notchesOf(band, names), end, byMm),
        sound: isMarked ? [] : TAKEN,
        ends: ['stop', end === 'low' ? 'warning' : 'stop'],
        isPartial: true,
      };
    }),
  ),
];

const CHANGES = {
  high: (band: CutPiece, byMm: number) => endMoved(band, 'high', byMm),
  low: (band: CutPiece, byMm: number) => endMoved(band, 'low', byMm),
  whole: stretchedBy,
};
const NOTCHED = [
  ['centre front', 'side', 'centre back'],
  [],
  ['centre front'],
  ['side'],
  ['centre back'],
  ['centre front', 'centre back'],
  ['side', 'centre back'],
  ['centre front', 'side'],
];

/** Of the band alone, which is read faster than a pattern; too long and too short as the tolerances of truing say. */
function badnessRead({ front, back }: Block, band: CutPiece): number {
  const piece = readDxf(dxfOf([band])).pattern?.pieces[0];
  const outline = piece === undefined ? undefined : seamOutline(piece, CHECK_DEFAULTS.curveMm);
  const { lengthMm, found } = readBand(
    outline === undefined ? [] : [outline],
    front,
    back,
    true,
    CHECK_DEFAULTS,
  );
  if (lengthMm === undefined) throw new Error('the band was not read');
  const overMm = lengthMm - 2 * (seamLengthMm(front, 'waist', 0.01) + seamLengthMm(back, 'waist', 0.01));
  const { bandMm: moreMm, bandFullnessMax } = CHECK_DEFAULTS.truing;
  if (overMm > moreMm || -overMm > bandFullnessMax * lengthMm) return BADNESS.stop;
  return Math.max(0, ...found.map(({ level }) => BADNESS[level]));
}

/** By day one in four of those that differ by which notches are left. */
const TRIED = WAYS.filter(({ isPartial }, i) => IS_NIGHT || isPartial !== true || i % 4 === 0);

describe(`a band made longer and shorter, seed ${SEED}`, () => {
  it.each(TRIED)('$name: no better the further it is off', ({ change, sound, ends, isPartial }) => {
    const stepsMm = stepsOf(isPartial === true ? (IS_NIGHT ? 5 : 40) : IS_NIGHT ? 2 : 10);
    for (const each of IS_NIGHT ? some : some.slice(1)) {
      expect(codesOf(reportOn(each, (band) => change(band, 0)))).toEqual(sound);
      for (const [i, sign] of [-1, 1].entries()) {
        const said = stepsMm.map((mm) => badness(reportOn(each, (band) => change(band, sign * mm))));
        expect(said).toEqual([...said].sort((a, b) => a - b));
        expect(said[said.length - 1]).toBe(BADNESS[ends[i]]);
      }
    }
  });

  it('is read no better the further it is off, whichever notches it has: many bodies, all lengths', () => {
    const all = soundPatterns(surveyBodies(), IS_NIGHT ? 30 : 2, numbersFrom(4711));
    for (const { pattern } of all) {
      const band = pattern.pieces.find(({ id }) => id === 'waistband');
      if (band === undefined) continue;
      for (const names of NOTCHED)
        for (const [how, change] of Object.entries(CHANGES))
          for (const sign of [-1, 1]) {
            const said = stepsOf(IS_NIGHT ? 2 : 8).map((mm) =>
              badnessRead(pattern.block, change(notchesOf(band, names), sign * mm)),
            );
            expect([names, how, sign, said]).toEqual([names, how, sign, [...said].sort((a, b) => a - b)]);
          }
    }
  });

  it('is too short by what the waist of the draft is longer than it without its underlap', () => {
    for (const each of some) {
      const { front, back } = each.pattern.block;
      const waistMm = 2 * (seamLengthMm(front, 'waist', 0.001) + seamLengthMm(back, 'waist', 0.001));
      for (const mm of [40, 45, 60]) {
        const { findings } = reportOn(each, (band) => {
          expect(bandMm(band)).toBeCloseTo(waistMm + UNDERLAP_MM, 1);
          return endMoved(band, 'high', -mm);
        });
        expect(findings.map(({ code }) => code)).toEqual(['WAIST_SEAM_LONGER']);
        expect(findings[0].numbers['differenceMm']).toBeCloseTo(mm, 1);
        expect(findings[0].numbers['underlapMm']).toBeCloseTo(UNDERLAP_MM, 1);
        expect(findings[0].action).toContain(`cut it ${mm.toFixed(1)} mm longer at the end`);
      }
    }
  });

  it.each([10, 30, 60, 80])('is warned of when a side notch stands %d mm beside its seam', (byMm) => {
    for (const each of some) {
      const codes = codesOf(
        reportOn(each, (band) => {
          const side = band.notches.find(({ name }) => name === 'side');
          return {
            ...band,
            notches: band.notches.map((notch) =>
              notch === side
                ? {
                    ...notch,
                    at: { x: notch.at.x, y: notch.at.y + byMm },
                    foot: { x: notch.foot.x, y: notch.foot.y + byMm },
                  }
                : notch,
            ),
          };
        }),
      );
      expect(codes).toEqual(['warning BAND_NOTCH_OFF']);
    }
  });
});

describe('a band', () => {
  const [sound] = some;

  it('with notches for belt loops besides is read by the others', () => {
    const report = reportOn(sound, (band) => {
      const [first] = band.notches;
      const at = (y: number) => ({
        ...first,
        name: 'belt loop',
        at: { x: first.at.x, y },
        foot: { x: first.foot.x, y },
      });
      const length = bandMm(band);
      return {
        ...band,
        notches: [...band.notches, ...[0.11, 0.38, 0.59, 0.91].map((share) => at(share * length))],
      };
    });
    expect(codesOf(report)).toEqual([]);
  });

  it('needs no underlap in a trouser without fly, and that is told', () => {
    const { pattern } = sound;
    const pieces = pattern.pieces
      .filter(({ id }) => !id.startsWith('fly'))
      .map((piece) => (piece.id === 'waistband' ? endMoved(piece, 'low', -UNDERLAP_MM) : piece));
    expect(codesOf(checkPattern(dxfOf(pieces), CHECK_DEFAULTS).report)).toEqual([
      'info BAND_UNDERLAP_UNUSUAL',
    ]);
    const casing = pieces.map((piece) =>
      piece.id === 'waistband' ? { ...piece, name: 'Elastic casing' } : piece,
    );
    expect(codesOf(checkPattern(dxfOf(casing), CHECK_DEFAULTS).report)).toEqual([]);
  });
});

describe('a band of two strips', () => {
  const joined = soundPatterns(surveyBodies(), 20, numbersFrom((SEED % 2147483646) + 1))
    .map(({ pattern }) => pattern.pieces)
    .find((pieces) => pieces.some(({ id }) => id === 'waistband-2'));
  if (joined === undefined) throw new Error('no band of two strips among the patterns');
  const without = (byMm: number): CutPiece[] =>
    joined.map((piece) => (piece.id === 'waistband-2' ? endMoved(piece, 'high', byMm) : piece));

  it('is read whichever of them comes first', () => {
    expect(codesOf(checkPattern(dxfOf([...joined].reverse()), CHECK_DEFAULTS).report)).toEqual([]);
  });

  it.each([
    [-60, 'stop WAIST_SEAM_LONGER'],
    [40, 'stop WAISTBAND_SHORTER'],
  ])('is off when one end is moved by %d mm', (byMm, code) => {
    expect(codesOf(checkPattern(dxfOf(without(byMm)), CHECK_DEFAULTS).report)).toEqual([code]);
  });
});

describe('a pattern in which no band is found', () => {
  const [sound] = some;
  const text = dxfOf(sound.pattern.pieces);

  it.each([
    ['it was not sent', reportOn(sound, () => undefined)],
    ['its name says nothing', reportOn(sound, (band) => ({ ...band, id: 'pc3', name: 'PC3' }))],
    [
      'the settings call it another piece',
      checkPattern(text, { ...CHECK_DEFAULTS, kinds: { WAISTBAND: 'other' } }).report,
    ],
  ])('because %s: compares no waist, and says so', (_, report) => {
    expect(codesOf(report)).toEqual(['info NO_WAISTBAND']);
    expect(report.seams.map(({ seam }) => seam)).not.toContain('waist');
    expect(report.judged).toBe('trouser');
  });

  it('has it compared once the settings say which it is', () => {
    const pieces = sound.pattern.pieces.map((piece) =>
      piece.id === 'waistband' ? { ...endMoved(piece, 'high', -60), id: 'pc3', name: 'PC3' } : piece,
    );
    const { report } = checkPattern(dxfOf(pieces), { ...CHECK_DEFAULTS, kinds: { PC3: 'waistband' } });
    expect(codesOf(report)).toEqual(['stop WAIST_SEAM_LONGER']);
  });
});
