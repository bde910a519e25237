import { describe, expect, it } from '@jest/globals';
import { at, distance, endOf, startOf, type Point } from '#geometry';
import { BLOCK_TOLERANCES, checkBlock, curvesOf, edgeById, landmarksOf, type Piece } from '#pattern';
import { HANDBOOK_BLOCK_SIZE_12 } from '../../test/fixtures/handbook-block-size-12.js';
import { chordLengthMm, chordPoints } from '../../test/support/chords.js';
import { trueBlock, trueSeams, TRADE_RULES } from './index.js';

const { front, back, levels } = HANDBOOK_BLOCK_SIZE_12;
const f = landmarksOf(front, levels);
const b = landmarksOf(back, levels);
const point6 = endOf(edgeById(front, 'rise-1').curve);
/** 16 lies a quarter of 1-5 from 5, towards the crease. */
const point16 = at(point6.x * 0.75, levels.crotch);

describe('the handbook block, size 12, as printed', () => {
  // Source: W. Aldrich, Metric Pattern Cutting, worked by hand from the printed rules for hip 94, waist 68, body
  // rise 28, waist to hip 20.6, waist to floor 104, bottom 22 (measures from memory). Centimetres, as printed.
  it.each([
    ['1-5', point6.x, 9.33],
    ['front hip 6-8', point6.x - f.sideHip.x, 24.0],
    ['front fork 5-9', f.fork.x - point6.x, 6.38],
    ['front waist 10-11', f.centreWaist.x - f.sideWaist.x, 19.25],
    ['front waist after its dart', chordLengthMm(curvesOf(front, 'waist')), 17.25],
    ['knee below the crotch line', levels.crotch - levels.knee, 33.0],
    ['knee below the waist', 1040 - levels.knee, 61.0],
    ['front knee', f.kneeInseam.x - f.kneeOutseam.x, 23.6],
    ['front hem', f.hemInseam.x - f.hemOutseam.x, 21.0],
    ['5-16', point6.x - point16.x, 2.33],
    ['9-23', b.fork.x - f.fork.x, 3.19],
    ['drop of the back fork 23-24', f.fork.y - b.fork.y, 0.5],
    ['back fork from 16', b.fork.x - point16.x, 11.9],
    ['fork sum', f.fork.x - point6.x + b.fork.x - point16.x, 18.27],
    ['back hip 17-25', point16.x - b.sideHip.x, 25.0],
    ['raise of the centre back 20-21', b.centreWaist.y - 1040, 2.0],
    ['back waist 21-22', distance(b.centreWaist, b.sideWaist), 21.25],
    ['back waist after two darts', chordLengthMm(curvesOf(back, 'waist')), 17.25],
    ['back knee', b.kneeInseam.x - b.kneeOutseam.x, 25.6],
    ['back hem', b.hemInseam.x - b.hemOutseam.x, 23.0],
    ['front curve from 5', passes(front, at(point6.x, levels.crotch)), 3.0],
    ['back curve from 16', passes(back, point16), 4.25],
  ])('%s', (_, mm, cm) => {
    // Printed to two decimals of a centimetre.
    expect(Math.abs(mm / 10 - cm)).toBeLessThan(0.0051);
  });

  it('has 4 cm of hip ease, a hem of twice the bottom width, and the waist with its centimetre of ease', () => {
    const hip = 2 * (point6.x - f.sideHip.x + point16.x - b.sideHip.x);
    expect(hip).toBeCloseTo(980, 9);
    expect(chordLengthMm([...curvesOf(front, 'hem'), ...curvesOf(back, 'hem')])).toBeCloseTo(440, 9);
    expect(2 * chordLengthMm([...curvesOf(front, 'waist'), ...curvesOf(back, 'waist')])).toBeCloseTo(690, 9);
  });

  it('is a sound block, but not yet one that sews together', () => {
    expect(checkBlock(HANDBOOK_BLOCK_SIZE_12, BLOCK_TOLERANCES).map(({ level }) => level)).toEqual([
      'warning',
    ]);
    const report = trueBlock(HANDBOOK_BLOCK_SIZE_12, TRADE_RULES);
    expect(report.sewable).toBe(false);
    expect([...report.seams, ...report.corners].filter(({ state }) => state === 'off').map(nameOf)).toEqual([
      'inseam',
      'fork',
      'sideWaist',
      'centreFrontWaist',
      'centreBackWaist',
    ]);
  });
});

describe('the handbook block, trued', () => {
  const trued = trueSeams(HANDBOOK_BLOCK_SIZE_12, TRADE_RULES);
  const report = trueBlock(trued.block, TRADE_RULES, trued.fixes);

  it('is sewable, and the report says what was fixed', () => {
    expect(report.sewable).toBe(true);
    expect([...report.seams, ...report.corners].filter(({ state }) => state === 'fixed').map(nameOf)).toEqual(
      ['inseam', 'fork', 'sideWaist', 'centreFrontWaist', 'centreBackWaist'],
    );
    expect(report.findings.filter(({ level }) => level === 'stop')).toEqual([]);
    expect(trued.findings.every(({ code, level }) => code === 'TRUED' && level === 'info')).toBe(true);
  });

  it('has its corners true, by chords of a twentieth of a millimetre', () => {
    // Outside check: angles of chords; the tightest curve here has a radius of some 30 mm, so a chord of a twentieth
    // leans off its tangent by 0.05 degrees.
    const { front: trueFront, back: trueBack } = trued.block;
    const fork = angle(trueFront, 'rise', 'inseam') + angle(trueBack, 'rise', 'inseam');
    const side = angle(trueFront, 'outseam', 'waist') + angle(trueBack, 'outseam', 'waist');
    expect(Math.abs(fork - 180)).toBeLessThan(0.25);
    expect(Math.abs(side - 180)).toBeLessThan(0.25);
    expect(Math.abs(angle(trueFront, 'waist', 'rise') - 90)).toBeLessThan(0.25);
    expect(Math.abs(angle(trueBack, 'waist', 'rise') - 90)).toBeLessThan(0.25);
  });

  it('has every printed point where it was: only curves between them were redrawn, by 3 mm at most', () => {
    for (const [before, after] of [
      [front, trued.block.front],
      [back, trued.block.back],
    ]) {
      expect(after.edges.map(({ curve }) => startOf(curve))).toEqual(
        before.edges.map(({ curve }) => startOf(curve)),
      );
      for (const edge of before.edges) {
        const old = chordPoints(edge.curve);
        const moved = chordPoints(edgeById(after, edge.id).curve, 60).map((p) => nearest(old, p));
        expect(Math.max(...moved)).toBeLessThanOrEqual(3.02);
      }
    }
  });

  it('still fits its band, the fullness eased in', () => {
    expect(report.waistband.state).toBe('ok');
    expect(report.waistband.difference).toBeGreaterThan(0);
    expect(report.waistband.fullnessPercent).toBeLessThan(0.5);
  });
});

function nameOf(check: { readonly seam: string } | { readonly at: string }): string {
  return 'seam' in check ? check.seam : check.at;
}

/** How near the crotch curve comes to a point, by chords. */
function passes(piece: Piece, corner: Point): number {
  return nearest(chordPoints(edgeById(piece, 'rise-2').curve), corner);
}

function nearest(points: readonly Point[], p: Point): number {
  return Math.min(...points.map((q) => Math.hypot(q.x - p.x, q.y - p.y)));
}

/** The inside angle between two seams where the first ends, from their first chords there. */
function angle(piece: Piece, into: 'rise' | 'outseam' | 'waist', outOf: 'inseam' | 'waist' | 'rise'): number {
  const arriving = chordPoints(curvesOf(piece, into).at(-1)!);
  const leaving = chordPoints(curvesOf(piece, outOf)[0]);
  const [corner, back, on] = [leaving[0], arriving.at(-2)!, leaving[1]];
  const degrees =
    ((Math.atan2(on.y - corner.y, on.x - corner.x) - Math.atan2(back.y - corner.y, back.x - corner.x)) *
      180) /
    Math.PI;
  return (degrees + 720) % 360;
}
