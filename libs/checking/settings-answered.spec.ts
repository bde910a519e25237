import { describe, expect, it } from '@jest/globals';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern, type CheckFinding, type CheckSettings } from './index.js';

// What a request says and the file does not bear out is answered, never passed over.
const [{ pattern }] = soundPatterns(surveyBodies(), 1, numbersFrom(5));
const text = dxfOf(pattern.pieces);

function reportOn(file: string, settings: Partial<CheckSettings>) {
  return checkPattern(file, { ...CHECK_DEFAULTS, ...settings }).report;
}

function said(findings: readonly CheckFinding[]): string[] {
  return findings.map(({ level, code }) => `${level} ${code}`);
}

describe('kinds', () => {
  it('of pieces that the file has not are named, with those that it has', () => {
    const { findings, judged } = reportOn(text, { kinds: { NOPE: 'front', front: 'front', Front: 'front' } });
    expect(said(findings)).toEqual(['warning KIND_UNKNOWN_PIECE']);
    expect(findings[0].message).toContain('"NOPE", "front"');
    expect(findings[0].action).toContain('FRONT, BACK, WAISTBAND');
    expect(judged).toBe('trouser');
  });

  it('list twenty pieces at most', () => {
    const many = Array.from({ length: 24 }, (_, i) => ({ ...pattern.pieces[3], id: `p${i}`, name: `P${i}` }));
    const { findings } = reportOn(dxfOf(many), { kinds: { NOPE: 'other' } });
    const action = findings.find(({ code }) => code === 'KIND_UNKNOWN_PIECE')?.action;
    expect(action).toContain('P18, P19 and 4 more');
    expect(action).not.toContain('P20');
  });

  it('that have front and back exchanged are used, and warned of', () => {
    const { findings, pieces } = reportOn(text, { kinds: { FRONT: 'back', BACK: 'front' } });
    expect(said(findings)).toEqual(['warning ROLE_DOUBTED']);
    expect(findings[0].place.piece).toBe('BACK');
    expect(pieces.slice(0, 2).map(({ kind }) => kind)).toEqual(['back', 'front']);
  });
});

describe('names that have front and back exchanged', () => {
  const exchanged = text
    .replace('Piece Name:Front', 'Piece Name:Other')
    .replace('Piece Name:Back', 'Piece Name:Front')
    .replace('Piece Name:Other', 'Piece Name:Back');

  it('stop, until the settings say what is what', () => {
    expect(said(reportOn(exchanged, {}).findings)).toEqual(['stop ROLE_DOUBTED']);
    expect(said(reportOn(exchanged, { kinds: { FRONT: 'front', BACK: 'back' } }).findings)).toEqual([]);
    expect(said(reportOn(exchanged, { kinds: { FRONT: 'back', BACK: 'front' } }).findings)).toEqual([
      'warning ROLE_DOUBTED',
    ]);
  });
});

describe('a size', () => {
  it('asked of a file without sizes is answered', () => {
    expect(said(reportOn(text, { size: '44' }).findings)).toEqual(['warning SIZE_NOT_IN_FILE']);
    expect(reportOn(text, { size: '44' }).file.size).toBeNull();
    expect(said(reportOn(text, { size: 'MTM' }).findings)).toEqual([]);
    expect(reportOn(text, { size: 'MTM' }).file.size).toBe('MTM');
  });
});

describe('a unit', () => {
  const silent = text.replace('Units:METRIC', 'Units:');

  it('that is another than the file says is not used, and that is said', () => {
    expect(said(reportOn(text, { units: 'english' }).findings)).toEqual(['info UNITS_FROM_FILE']);
    expect(reportOn(text, { units: 'english' }).file.units).toBe('metric');
    expect(said(reportOn(text, { units: 'metric' }).findings)).toEqual([]);
  });

  it.each([
    ['of the settings', silent, { units: 'english' as const }, '"units" in the settings'],
    ['of the file', text.replace('Units:METRIC', 'Units:ENGLISH'), {}, 'Correct the text "Units:"'],
  ])(
    '%s that cannot be is doubted where it was said, and no length is judged by it',
    (_, file, settings, action) => {
      const { findings, seams, judged } = reportOn(file, settings);
      expect(said(findings)).toEqual(['stop UNITS_DOUBTED']);
      expect(findings[0].action).toContain(action);
      expect([seams, judged]).toEqual([[], 'nothing']);
    },
  );

  it('that is doubted hides nothing that needs no length', () => {
    const file = silent.replace('Piece Name:Fly facing', 'Piece Name:').replace('Quantity:1,1', 'Quantity:2');
    expect(said(reportOn(file, { units: 'english', kinds: { NOPE: 'other' } }).findings)).toEqual([
      'stop UNITS_DOUBTED',
      'warning KIND_UNKNOWN_PIECE',
      'warning QUANTITY_MISSING',
      'warning PIECE_NAME_MISSING',
    ]);
  });
});
