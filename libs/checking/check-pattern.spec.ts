import { describe, expect, it } from '@jest/globals';
import { pointAt, ringArea, type Curve } from '#geometry';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { leftAndRight } from '../../test/support/planted/left-and-right.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern } from './index.js';

const bodies = surveyBodies();

describe('a pattern whose left and right are drawn apart', () => {
  it('is sound when they mirror each other', () => {
    const [{ pattern }] = soundPatterns(bodies, 1, numbersFrom(5));
    const front = pattern.pieces[0];
    const pieces = [...leftAndRight(front, front), ...pattern.pieces.slice(1)];
    expect(checkPattern(dxfOf(pieces), CHECK_DEFAULTS).report.findings.map(({ message }) => message)).toEqual(
      [],
    );
  });
});

describe('what is not clear', () => {
  const [{ pattern }] = soundPatterns(bodies, 1, numbersFrom(5));
  const nameless = dxfOf(pattern.pieces.filter(({ id }) => id === 'front' || id === 'back'))
    .replaceAll(/\r\nFRONT\r\n/g, '\r\nP1\r\n')
    .replaceAll(/\r\nBACK\r\n/g, '\r\nP2\r\n')
    .replace('Piece Name:Front', 'Piece Name:One')
    .replace('Piece Name:Back', 'Piece Name:Two');

  it('is read from the shape where that is plain', () => {
    const { pieces, judged } = checkPattern(nameless, CHECK_DEFAULTS).report;
    expect(pieces.map(({ kind, basis }) => [kind, basis])).toEqual([
      ['front', 'shape'],
      ['back', 'shape'],
    ]);
    expect(judged).toBe('trouser');
  });

  it('is asked where two legs look alike, and answered by the request', () => {
    const twins = dxfOf(['p1', 'p2'].map((id) => ({ ...pattern.pieces[1], id, name: id })));
    const asked = checkPattern(twins, CHECK_DEFAULTS).report;
    expect(
      asked.findings.filter(({ code }) => code === 'ROLE_ASKED').map(({ place }) => place.piece),
    ).toEqual(['P1', 'P2']);
    const told = checkPattern(twins, { ...CHECK_DEFAULTS, kinds: { P1: 'front', P2: 'back' } }).report;
    expect(told.judged).toBe('trouser');
  });

  it('is asked where the unit is missing, and nothing is judged in a guessed one', () => {
    const text = dxfOf(pattern.pieces).replace('Units:METRIC', 'Units:');
    expect(checkPattern(text, CHECK_DEFAULTS).report.findings.map(({ code }) => code)).toEqual([
      'UNITS_MISSING',
    ]);
    expect(checkPattern(text, { ...CHECK_DEFAULTS, units: 'metric' }).report.findings).toEqual([]);
  });
});

describe('seams that the request states', () => {
  const [{ pattern }] = soundPatterns(bodies, 1, numbersFrom(5));
  const { front, back } = pattern.block;
  const ends = (edges: typeof front.edges, role: string) => {
    const own = edges.filter((edge) => edge.role === role).map(({ curve }) => curve);
    return { from: pointAt(own[0], 0), to: pointAt(own[own.length - 1], 1) };
  };
  const seam = (easeMm: number) => ({
    name: 'inside leg',
    first: { piece: 'FRONT', ...ends(front.edges, 'inseam') },
    second: { piece: 'Back', ...ends(back.edges, 'inseam') },
    easeMm,
  });

  it('are compared with the ease they are meant to have', () => {
    const text = dxfOf(pattern.pieces);
    const [fits] = checkPattern(text, { ...CHECK_DEFAULTS, seams: [seam(0)] }).report.stated;
    expect(fits.state).toBe('ok');
    const { stated, findings } = checkPattern(text, { ...CHECK_DEFAULTS, seams: [seam(5)] }).report;
    expect(stated[0].difference).toBeCloseTo(-5, 1);
    expect(findings.map(({ code }) => code)).toEqual(['STATED_SEAM_MISMATCH']);
  });
});

describe('areas', () => {
  it('are those of the pieces, to a thousandth', () => {
    const [{ pattern }] = soundPatterns(bodies, 1, numbersFrom(5));
    const { trouser } = checkPattern(dxfOf(pattern.pieces), CHECK_DEFAULTS);
    const areaOf = (edges: readonly { readonly curve: Curve }[]) =>
      Math.abs(ringArea(edges.map(({ curve }) => curve)));
    for (const role of ['front', 'back'] as const)
      expect(
        areaOf(trouser?.reading.block[role].edges ?? []) / areaOf(pattern.block[role].edges),
      ).toBeCloseTo(1, 4);
  });
});
