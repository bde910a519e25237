import { describe, expect, it } from '@jest/globals';
import { areaD } from 'clipper2-ts';
import { add, DEG, distance, endOf, mapCurve, startOf, turnAbout, type Point } from '#geometry';
import { edgeById, type Block, type Piece } from '#pattern';
import { chordPoints } from '../../test/support/chords.js';
import { cornerOf, scaled, seamOf, withCurve } from './block-changes.fixture.js';
import { closeDarts } from './close-darts.js';
import { trueBlock, TRADE_RULES, type SeamName } from './index.js';
import { WORKED_BLOCK, WORKED_BLOCK_DROPPED } from './worked-block.fixture.js';

describe('trueBlock on the worked example', () => {
  // The figures are those of the worked example, which was derived twice, by unrelated programs.
  it.each([
    [
      'before',
      WORKED_BLOCK,
      { rise: [315, 425], inseam: [720, 720], outseam: [1016.0095, 1016.0095], waist: 755 },
    ],
    [
      'after the drop',
      WORKED_BLOCK_DROPPED,
      { rise: [496.435, 555.656], inseam: [626.82, 626.82], outseam: [1015.065, 1015.065], waist: 745.167 },
    ],
  ])('has its lengths %s', (_, block, lengths) => {
    const report = trueBlock(block, TRADE_RULES);
    const within = (seam: SeamName, mm: readonly number[]): void => {
      const { first, second } = seamOf(report, seam);
      expect(first.lengthMm).toBeCloseTo(mm[0], 2);
      expect(second.lengthMm).toBeCloseTo(mm[1], 2);
    };
    within('inseam', lengths.inseam);
    within('outseam', lengths.outseam);
    within('centre-front', [lengths.rise[0], lengths.rise[0]]);
    within('centre-back', [lengths.rise[1], lengths.rise[1]]);
    expect(seamOf(report, 'centre-back').crotchPathMm).toBeCloseTo(lengths.rise[0] + lengths.rise[1], 2);
    expect(report.waistband.seamMm).toBeCloseTo(lengths.waist, 2);
  });

  it.each([
    ['before', WORKED_BLOCK, [98.455, 81.545]],
    ['after the drop', WORKED_BLOCK_DROPPED, [91.353, 88.647]],
  ])('has its corners %s', (_, block, fork) => {
    const report = trueBlock(block, TRADE_RULES);
    expect(cornerOf(report, 'fork').angles).toEqual(fork.map((angle) => expect.closeTo(angle, 3)));
    expect(cornerOf(report, 'sideWaist').angles).toEqual([
      expect.closeTo(85.38, 3),
      expect.closeTo(94.62, 3),
    ]);
    // Coordinates of four decimals leave half a thousandth of a degree.
    for (const name of ['fork', 'sideWaist'] as const) expect(cornerOf(report, name).sum).toBeCloseTo(180, 3);
    for (const name of ['centreFrontWaist', 'centreBackWaist'] as const) {
      expect(cornerOf(report, name).sum).toBeCloseTo(90, 3);
    }
  });

  it.each([
    ['before', WORKED_BLOCK, [224_007, 255_797]],
    ['after the drop', WORKED_BLOCK_DROPPED, [275_482, 295_725]],
  ])('has its areas %s, and those of an outside kernel (clipper2-ts)', (_, block, areas) => {
    const { outline } = trueBlock(block, TRADE_RULES);
    expect(outline.map(({ areaMm2 }) => areaMm2)).toEqual(areas.map((area) => expect.closeTo(area, -1)));
    const theirs = [block.front, block.back].map((piece) => -areaD(ringPoints(piece)));
    for (const [i, { areaMm2 }] of outline.entries()) expect(Math.abs(areaMm2 - theirs[i])).toBeLessThan(0.1);
  });

  it.each([
    ['before', WORKED_BLOCK],
    ['after the drop', WORKED_BLOCK_DROPPED],
  ])('is sewable %s: every deciding check is ok, hem corners wait for finishing', (_, block) => {
    const report = trueBlock(block, TRADE_RULES);
    expect(report.sewable).toBe(true);
    expect(report.seams.every(({ state, fix }) => state === 'ok' && fix === null)).toBe(true);
    expect(report.corners.map(({ at: name, state }) => [name, state])).toEqual([
      ['fork', 'ok'],
      ['sideWaist', 'ok'],
      ['sideHem', 'for-finishing'],
      ['inseamHem', 'for-finishing'],
      ['centreFrontWaist', 'ok'],
      ['centreBackWaist', 'ok'],
    ]);
    expect(report.findings.filter(({ level }) => level === 'stop')).toEqual([]);
  });

  it('finds the knee lines 0.7 mm apart at the dropped outseam, as the worked example says', () => {
    const knee = trueBlock(WORKED_BLOCK_DROPPED, TRADE_RULES).balanceLines.find(
      ({ line: name, seam }) => name === 'knee' && seam === 'outseam',
    );
    expect(knee?.difference).toBeCloseTo(-0.69, 2);
    expect(knee?.state).toBe('ok');
  });

  it('loses 9.83 mm of waist to the drop, as the worked example says', () => {
    const report = trueBlock({ ...WORKED_BLOCK_DROPPED, waistbandMm: 755 }, TRADE_RULES);
    expect(report.waistband.difference).toBeCloseTo(-9.833, 2);
    expect(report.sewable).toBe(false);
  });

  it('has a waist that is smooth once its darts are closed', () => {
    for (const piece of [WORKED_BLOCK.front, WORKED_BLOCK.back]) {
      const [side, centre] = closeDarts(piece).waist;
      expect(centre.dartsBefore).toBe(1);
      const [a, b] = [chordPoints(side.curve).slice(-2), chordPoints(centre.curve).slice(0, 2)];
      expect(distance(a[1], b[0])).toBeLessThan(0.001);
      const kink = heading(b) - heading(a);
      expect(Math.abs(kink / DEG)).toBeLessThan(0.05);
    }
  });

  it('is the same from end to end when asked again', () => {
    expect(JSON.stringify(trueBlock(WORKED_BLOCK, TRADE_RULES))).toBe(
      JSON.stringify(trueBlock(WORKED_BLOCK, TRADE_RULES)),
    );
  });
});

describe('the published example of a fork that does not join', () => {
  // An article on truing by a pattern maker: 1.5 degrees at the crotch point showed as about 9 mm along the crotch
  // line. So the crotch line there was 9 / tan(1.5 degrees) = 344 mm long.
  it('is 1.5 degrees in the report, and 9 mm at 344 mm from the fork', () => {
    const turnDeg = 1.5;
    const block = forkTurned(WORKED_BLOCK_DROPPED, turnDeg);
    const corner = cornerOf(trueBlock(block, TRADE_RULES), 'fork');
    expect(Math.abs(corner.deviation)).toBeCloseTo(turnDeg, 3);
    expect(corner.state).toBe('ok');
    const along = (piece: Piece): Point => {
      const rise = edgeById(piece, 'rise').curve;
      const [waist, fork] = [startOf(rise), endOf(rise)];
      return add(fork, scaled(fork, waist, 344));
    };
    const off = distance(along(block.front), along(WORKED_BLOCK_DROPPED.front));
    expect(Math.abs(off - 9)).toBeLessThan(0.1);
    expect(off / 344 / DEG).toBeCloseTo(Math.abs(corner.deviation), 2);
  });

  it('is off at 2.1 degrees', () => {
    const corner = cornerOf(trueBlock(forkTurned(WORKED_BLOCK_DROPPED, 2.1), TRADE_RULES), 'fork');
    expect(corner.state).toBe('off');
    expect(corner.fix?.kind).toBe('true-corner');
  });
});

function ringPoints(piece: Piece): { x: number; y: number }[] {
  return piece.edges.flatMap((edge) => chordPoints(edge.curve).slice(1)).map(({ x, y }) => ({ x, y }));
}

function forkTurned(block: Block, turnDeg: number): Block {
  return withCurve(block, 'front', 'rise', (curve) =>
    mapCurve(curve, (p) => turnAbout(p, endOf(curve), turnDeg * DEG)),
  );
}

function heading([from, to]: readonly Point[]): number {
  return Math.atan2(to.y - from.y, to.x - from.x);
}
