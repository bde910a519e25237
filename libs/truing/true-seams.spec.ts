import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import {
  add,
  at,
  cubic,
  DEG,
  distance,
  endOf,
  line,
  startOf,
  turnAbout,
  type Curve,
  type Point,
} from '#geometry';
import { curvesOf, edgeById, edgesOf, withEdge, type Block, type Notch } from '#pattern';
import { chordLengthMm, chordPoints } from '../../test/support/chords.js';
import {
  cornerOf,
  handled,
  handleTurned,
  scaled,
  seamOf,
  shaken,
  withCurve,
  withHandles,
  withStart,
} from './block-changes.fixture.js';
import { trueBlock, trueSeams, TRADE_RULES, type TruedBlock } from './index.js';
import { WORKED_BLOCK, WORKED_BLOCK_DROPPED } from './worked-block.fixture.js';

/** The accuracy truing promises for a seam pair it has made equal, and what 2,000 chords may miss. */
const EQUAL_MM = 2 * TRADE_RULES.lengthToleranceMm + 3e-4;

describe('trueSeams leaves alone', () => {
  it('a block on which nothing is off', () => {
    expect(trueSeams(WORKED_BLOCK_DROPPED, TRADE_RULES)).toEqual({
      block: WORKED_BLOCK_DROPPED,
      moved: [],
      fixes: [],
      findings: [],
    });
  });

  it('a difference within the tolerance', () => {
    const block = withLastMoved(WORKED_BLOCK_DROPPED, 'outU', 'waist1', 0.9);
    expect(trueSeams(block, TRADE_RULES).moved).toEqual([]);
  });
});

describe('an outseam that is off', () => {
  it.each([
    [3, 'down'],
    [-3, 'up'],
  ])('by %i mm: the back side waist goes %s along the seam', (mm, where) => {
    const block = withLastMoved(WORKED_BLOCK_DROPPED, 'outU', 'waist1', mm);
    const offMm =
      chordLengthMm(curvesOf(block.back, 'outseam')) - chordLengthMm(curvesOf(block.front, 'outseam'));
    const trued = trueSeams(block, TRADE_RULES);
    expectEqual(trued.block, 'outseam');
    expect(trued.fixes[0]).toMatchObject({ of: 'outseam', fix: { kind: 'move-waist-end', piece: 'back' } });
    expect(trued.fixes[0].fix.words).toContain(`${where} along the outseam`);
    expect(trued.fixes[0].fix.byMm).toBeCloseTo(Math.abs(offMm), 2);
    // The point went as far as the seam was off, and back to where it came from.
    const [point, length] = trued.moved;
    expect(point).toMatchObject({ operation: 'move point along', part: 'side waist', piece: 'back' });
    expect(point.byMm).toBeCloseTo(Math.abs(mm), 1);
    expect(distance(point.to!, endOf(edgeById(WORKED_BLOCK_DROPPED.back, 'outU').curve))).toBeLessThan(0.05);
    expect(length).toMatchObject({ operation: 'match seam', part: 'outseam' });
    expect(length.afterMm! - length.beforeMm!).toBeCloseTo(-offMm, 2);
  });

  it('keeps the seam where it was, its direction at the waist, and the waist on its end', () => {
    const block = withLastMoved(WORKED_BLOCK_DROPPED, 'outU', 'waist1', 3);
    const { block: trued } = trueSeams(block, TRADE_RULES);
    const outseam = edgeById(trued.back, 'outU').curve;
    const before = chordPoints(edgeById(block.back, 'outU').curve);
    for (const p of chordPoints(outseam, 50)) expect(toPolyline(before, p)).toBeLessThan(0.001);
    expect(startOf(edgeById(trued.back, 'waist1').curve)).toEqual(endOf(outseam));
    expect(trued.front).toBe(block.front);
    expectClosed(trued);
  });

  it('by more than an end may go is asked about, and nothing is moved', () => {
    const block = withLastMoved(WORKED_BLOCK_DROPPED, 'outU', 'waist1', 11);
    const trued = trueSeams(block, TRADE_RULES);
    expect(edgesOf(trued.block.back, 'outseam')).toEqual(edgesOf(block.back, 'outseam'));
    const finding = trued.findings.find(({ place }) => place?.part === 'outseam');
    expect(finding).toMatchObject({ code: 'NOT_TRUED', level: 'warning' });
    expect(finding?.action).toMatch(/^Ask which piece is right/);
  });

  it('is cut across a short last edge', () => {
    const block = withTail(WORKED_BLOCK_DROPPED, 2.5);
    const trued = trueSeams(block, TRADE_RULES);
    expectEqual(trued.block, 'outseam');
    expect(edgesOf(trued.block.back, 'outseam').map(({ id }) => id)).toEqual(['outL', 'outM', 'outU']);
    expectClosed(trued.block);
  });

  it('is eased rather than lose a notch on an edge that would go', () => {
    const tail = withTail(WORKED_BLOCK_DROPPED, 2.5);
    const notch: Notch = { edgeId: 'tail', fromStartMm: 2, kind: 'slit' };
    const block = { ...tail, back: { ...tail.back, notches: [notch] } };
    expect(trueSeams(block, TRADE_RULES).fixes[0].fix.kind).toBe('spread-ease');
  });

  it.each([
    ['past', -1, 'spread-ease'],
    ['before', -4, 'move-waist-end'],
  ])('with a notch %s where the seam would be cut', (_, fromEndMm, kind) => {
    const moved = withLastMoved(WORKED_BLOCK_DROPPED, 'outU', 'waist1', 3);
    const fromStartMm = chordLengthMm([edgeById(moved.back, 'outU').curve]) + fromEndMm;
    const notch: Notch = { edgeId: 'outU', fromStartMm, kind: 'slit' };
    const trued = trueSeams({ ...moved, back: { ...moved.back, notches: [notch] } }, TRADE_RULES);
    expect(trued.fixes[0].fix.kind).toBe(kind);
    expect(trued.block.back.notches).toEqual([notch]);
  });
});

describe('the waist over closed darts', () => {
  it('is run smoothly where it has a kink, on one side where the other is too short', () => {
    const block = withCurve(WORKED_BLOCK_DROPPED, 'front', 'waist1', (c) => handleTurned(c, 'end', 5 * DEG));
    const kinks = (b: Block): number =>
      trueBlock(b, TRADE_RULES).findings.filter(({ code }) => code === 'WAIST_KINK_AT_DART').length;
    expect(kinks(block)).toBe(1);
    const trued = trueSeams(block, TRADE_RULES);
    expect(kinks(trued.block)).toBe(0);
    expect(trued.moved).toMatchObject([
      { operation: 'true corner', piece: 'front', part: 'waist over dart 1' },
    ]);
    expect(ends(trued.block)).toEqual(ends(block));
  });

  it('keeps its kink where smoothing would take the centre out of square', () => {
    // A dart close to the centre, where 0.9 of the 1 degree is used up already.
    const [side, apex, centre] = [at(30, 1040), at(40, 940), at(50, 1045)];
    const front = withEdge(WORKED_BLOCK_DROPPED.front, 'waist0b', []);
    const near: readonly (readonly [string, (curve: Curve) => Curve])[] = [
      ['waist1', (c) => line(startOf(c), side)],
      ['dartS1', () => line(side, apex)],
      ['dartC1', () => line(apex, centre)],
      ['waist0r', () => handleTurned(line(centre, startOf(edgeById(front, 'rise').curve)), 'end', 0)],
    ];
    const moved = near.reduce<Block>((so, [id, change]) => withCurve(so, 'front', id, change), {
      ...WORKED_BLOCK_DROPPED,
      front,
    });
    const off = (b: Block): number => cornerOf(trueBlock(b, TRADE_RULES), 'centreFrontWaist').deviation;
    const block = withCurve(moved, 'front', 'waist0r', (c) =>
      handleTurned(c, 'end', (off(moved) + 0.9) * DEG),
    );
    expect(off(block)).toBeCloseTo(-0.9, 6);
    const trued = trueSeams(block, TRADE_RULES);
    expect(cornerOf(trueBlock(trued.block, TRADE_RULES), 'centreFrontWaist').state).toBe('ok');
    expect(trued.findings.find(({ place }) => place?.part === 'waist over dart 1')?.code).toBe('NOT_TRUED');
  });
});

describe('an inseam that is off', () => {
  it('by little is made equal by the fullness of its curve, ends and directions kept', () => {
    const block = fullerInseam();
    const trued = trueSeams(block, TRADE_RULES);
    expect(trued.fixes[0]).toMatchObject({ of: 'inseam', fix: { kind: 'change-fullness' } });
    expectEqual(trued.block, 'inseam');
    const [before, after] = [block, trued.block].map(({ back }) => handled(edgeById(back, 'inseamU').curve));
    expect([after.p0, after.p3]).toEqual([before.p0, before.p3]);
    expect(angleOf(after.p0, after.p1)).toBeCloseTo(angleOf(before.p0, before.p1), 9);
    expect(angleOf(after.p2, after.p3)).toBeCloseTo(angleOf(before.p2, before.p3), 9);
    // Outside check of how far it moved, by chords both ways.
    const old = chordPoints(edgeById(block.back, 'inseamU').curve);
    const moved = Math.max(
      ...chordPoints(edgeById(trued.block.back, 'inseamU').curve, 200).map((p) => toPolyline(old, p)),
    );
    expect(moved).toBeLessThanOrEqual(TRADE_RULES.fixes.fullnessMm);
    expect(trued.fixes[0].fix.byMm).toBeCloseTo(moved, 1);
  });

  it('keeps notches at their distance from the hem', () => {
    const bent = fullerInseam();
    const notch: Notch = { edgeId: 'inseamU', fromStartMm: 100, kind: 'slit', name: 'taper' };
    const block = { ...bent, back: { ...bent.back, notches: [notch] } };
    const { block: trued, fixes } = trueSeams(block, TRADE_RULES);
    expect(fixes[0].fix.kind).toBe('change-fullness');
    const above = (b: Block): number =>
      chordLengthMm([edgeById(b.back, 'inseamU').curve]) - b.back.notches[0].fromStartMm;
    expect(Math.abs(above(trued) - above(block))).toBeLessThan(EQUAL_MM);
  });

  it('by up to 5 mm is eased or stretched: nothing is moved, and the report says so', () => {
    const block = straightInseam(WORKED_BLOCK_DROPPED, -4);
    const trued = trueSeams(block, TRADE_RULES);
    expect(trued.block).toBe(block);
    expect(trued.fixes).toMatchObject([{ of: 'inseam', fix: { kind: 'spread-ease' } }]);
    const inseam = seamOf(trueBlock(block, TRADE_RULES, trued.fixes), 'inseam');
    expect(inseam).toMatchObject({
      state: 'fixed',
      fix: { words: expect.stringMatching(/^Stretch .* by 4\.0 mm/) },
    });
    expect(inseam.difference).toBeCloseTo(-4, 2);
    expect(inseam.allowed.max).toBe(1);
  });

  it('is not eased on a cloth with a repeat', () => {
    const block = straightInseam(WORKED_BLOCK_DROPPED, -4);
    const trued = trueSeams(block, { ...TRADE_RULES, cloth: 'repeat' });
    expect(trued.fixes).toEqual([]);
    expect(trued.findings).toMatchObject([{ code: 'NOT_TRUED', place: { piece: 'back', part: 'inseam' } }]);
  });

  it('ends elsewhere on the hem where the hem may be changed that much, and the hem stays level', () => {
    const rules = { ...TRADE_RULES, fixes: { ...TRADE_RULES.fixes, hemEndMm: 25 } };
    const block = fullerInseam();
    const trued = trueSeams(block, rules);
    expect(trued.fixes[0].fix).toMatchObject({ kind: 'move-hem-end' });
    expectEqual(trued.block, 'inseam');
    const hem = edgeById(trued.block.back, 'hem').curve;
    expect([startOf(hem).y, endOf(hem).y]).toEqual([30, 30]);
    expect(endOf(hem)).toEqual(at(-99.6, 30));
    expect(startOf(hem).x).not.toBe(70.6);
    expectClosed(trued.block);
  });
});

describe('dart legs that are off', () => {
  it('are made equal by the waist end of the centre leg', () => {
    const leg = edgeById(WORKED_BLOCK.front, 'dartC1').curve;
    const longer = add(endOf(leg), scaled(startOf(leg), endOf(leg), 2));
    const block = [
      ['dartC1', (c: Curve) => line(startOf(c), longer)] as const,
      ['waist0', (c: Curve) => withStart(c, longer)] as const,
    ].reduce<Block>((so, [id, change]) => withCurve(so, 'front', id, change), WORKED_BLOCK);
    const trued = trueSeams(block, TRADE_RULES);
    const [side, centre] = ['dartS1', 'dartC1'].map((id) => edgeById(trued.block.front, id).curve);
    expect(Math.abs(chordLengthMm([side]) - chordLengthMm([centre]))).toBeLessThan(EQUAL_MM);
    expect(startOf(centre)).toEqual(startOf(leg));
    const report = trueBlock(trued.block, TRADE_RULES, trued.fixes);
    expect(report.seams.filter(({ seam }) => seam === 'dart').map(({ state }) => state)).toEqual([
      'fixed',
      'ok',
    ]);
    expectClosed(trued.block);
  });
});

describe('corners that are off', () => {
  it.each([
    ['fork', 'rise', 'back', 'end'],
    ['sideWaist', 'waist1', 'front', 'start'],
    ['centreFrontWaist', 'waist0b', 'front', 'end'],
    ['centreBackWaist', 'waist0b', 'back', 'end'],
  ] as const)('at the %s are turned true, and no point moves', (corner, id, piece, end) => {
    const block = withCurve(WORKED_BLOCK_DROPPED, piece, id, (c) => handleTurned(c, end, 4 * DEG));
    expect(cornerOf(trueBlock(block, TRADE_RULES), corner).state).toBe('off');
    const trued = trueSeams(block, TRADE_RULES);
    const after = cornerOf(trueBlock(trued.block, TRADE_RULES, trued.fixes), corner);
    expect(after.state).toBe('fixed');
    expect(Math.abs(after.deviation)).toBeLessThan(1e-6);
    expect(after.fix?.kind).toBe('true-corner');
    expect(ends(trued.block)).toEqual(ends(block));
    expect(curvesOf(trued.block.back, 'inseam')).toEqual(curvesOf(block.back, 'inseam'));
  });

  it('turn the shorter handle more, so that both pieces move about as far', () => {
    const block = withCurve(WORKED_BLOCK, 'back', 'crotch', (c) => handleTurned(c, 'end', -6 * DEG));
    const byPiece = trueSeams(block, TRADE_RULES).moved.filter(({ part }) => part === 'fork');
    expect(byPiece.map(({ piece }) => piece)).toEqual(['front', 'back']);
    expect(byPiece[0].byMm / byPiece[1].byMm).toBeGreaterThan(0.7);
    expect(byPiece[0].byMm / byPiece[1].byMm).toBeLessThan(1.4);
  });

  it('that would have to turn too far are asked about', () => {
    const block = withCurve(WORKED_BLOCK_DROPPED, 'back', 'waist0b', (c) => handleTurned(c, 'end', 25 * DEG));
    const trued = trueSeams(block, TRADE_RULES);
    expect(trued.block).toBe(block);
    expect(trued.findings).toMatchObject([{ code: 'NOT_TRUED', place: { part: 'centre back waist' } }]);
  });

  it('that lie on an edge too short to draw a curve in are turned on the other piece, not hidden in a hook', () => {
    const block = withShortTail(5 * DEG);
    expect(cornerOf(trueBlock(block, TRADE_RULES), 'fork').state).toBe('off');
    const trued = trueSeams(block, TRADE_RULES);
    expect(trued.block.back).toBe(block.back);
    expect(trued.moved.map(({ piece, part }) => [piece, part])).toEqual([['front', 'fork']]);
    expect(cornerOf(trueBlock(trued.block, TRADE_RULES, trued.fixes), 'fork').state).toBe('fixed');
    expect(ends(trued.block)).toEqual(ends(block));
  });

  it('that lie on such an edge are asked about when the other piece would turn too far', () => {
    const block = withShortTail(25 * DEG);
    expect(cornerOf(trueBlock(block, TRADE_RULES), 'fork')).toMatchObject({
      state: 'off',
      fix: { kind: 'ask' },
    });
    expect(trueSeams(block, TRADE_RULES).block).toBe(block);
  });
});

/** The back rise ends at the fork in a straight of 5 mm that is turned by an angle. */
function withShortTail(turnRad: number): Block {
  const rise = edgeById(WORKED_BLOCK_DROPPED.back, 'rise');
  const fork = endOf(rise.curve);
  const bent = add(fork, turnAbout(scaled(fork, startOf(rise.curve), 5), at(0, 0), turnRad));
  const tail = [
    { ...rise, curve: line(startOf(rise.curve), bent) },
    { ...rise, id: 'tail', curve: line(bent, fork) },
  ];
  return { ...WORKED_BLOCK_DROPPED, back: withEdge(WORKED_BLOCK_DROPPED.back, 'rise', tail) };
}

describe('edges too short to cut', () => {
  it('are merged into their neighbours, which name what they were made of', () => {
    const trued = trueSeams(WORKED_BLOCK, TRADE_RULES);
    for (const role of ['front', 'back'] as const) {
      const [, crotch] = edgesOf(trued.block[role], 'rise');
      expect(crotch).toMatchObject({ id: 'crotch+crotchE', from: ['crotch', 'crotchE'] });
      expect(endOf(crotch.curve)).toEqual(endOf(edgeById(WORKED_BLOCK[role], 'crotchE').curve));
      const lost =
        chordLengthMm(curvesOf(trued.block[role], 'rise')) -
        chordLengthMm(curvesOf(WORKED_BLOCK[role], 'rise'));
      expect(Math.abs(lost)).toBeLessThan(0.01);
    }
    expect(trued.moved.map(({ operation, part }) => [operation, part])).toEqual([
      ['merge short edge', 'crotchE'],
      ['merge short edge', 'crotchE'],
    ]);
    expectClosed(trued.block);
  });

  it('take their notches along', () => {
    const notches: Notch[] = [
      { edgeId: 'crotch', fromStartMm: 50, kind: 'slit', name: 'crotch' },
      { edgeId: 'crotchE', fromStartMm: 0.01, kind: 'v' },
    ];
    const block = { ...WORKED_BLOCK, front: { ...WORKED_BLOCK.front, notches } };
    const [first, second] = trueSeams(block, TRADE_RULES).block.front.notches;
    expect(first).toEqual({ edgeId: 'crotch+crotchE', fromStartMm: 50, kind: 'slit', name: 'crotch' });
    expect(second.fromStartMm).toBeCloseTo(chordLengthMm([edgeById(WORKED_BLOCK.front, 'crotch').curve]), 2);
  });

  it('before their neighbour, too', () => {
    const waist = edgeById(WORKED_BLOCK_DROPPED.back, 'waist1');
    const start = startOf(waist.curve);
    const cut = add(start, at(0.4, 0));
    const notches: Notch[] = [{ edgeId: 'waist1', fromStartMm: 20, kind: 'slit' }];
    const back = withEdge(WORKED_BLOCK_DROPPED.back, 'waist1', [
      { ...waist, id: 'bit', curve: line(start, cut) },
      { ...waist, curve: withStart(waist.curve, cut) },
    ]);
    const { block } = trueSeams({ ...WORKED_BLOCK_DROPPED, back: { ...back, notches } }, TRADE_RULES);
    expect(startOf(edgeById(block.back, 'bit+waist1').curve)).toEqual(start);
    expect(block.back.notches).toEqual([
      { edgeId: 'bit+waist1', fromStartMm: expect.closeTo(20.4, 6), kind: 'slit' },
    ]);
    expectClosed(block);
  });
});

describe('true of every block', () => {
  it('never moves a fork, a hem level or a notch, keeps outlines closed, and does what it says', () => {
    check((block, trued) => {
      expectClosed(trued.block);
      const report = trueBlock(trued.block, TRADE_RULES, trued.fixes);
      for (const role of ['front', 'back'] as const) {
        expect(startOf(curvesOf(trued.block[role], 'inseam')[0])).toEqual(
          startOf(curvesOf(block[role], 'inseam')[0]),
        );
        expect(curvesOf(trued.block[role], 'hem').map((c) => [startOf(c).y, endOf(c).y])).toEqual(
          curvesOf(block[role], 'hem').map((c) => [startOf(c).y, endOf(c).y]),
        );
      }
      for (const { of, fix } of trued.fixes) {
        const check =
          report.seams.find(({ seam }) => seam === of) ?? report.corners.find((corner) => corner.at === of);
        if (check !== undefined) expect(check).toMatchObject({ state: 'fixed', fix });
      }
      for (const seam of ['inseam', 'outseam'] as const) {
        const fix = trued.fixes.find(({ of }) => of === seam)?.fix;
        if (fix !== undefined && fix.kind !== 'spread-ease') expectEqual(trued.block, seam);
      }
    });
  });

  it('moves no curve by more than it says, and never the front long seams', () => {
    check((block, trued) => {
      for (const role of ['inseam', 'outseam'] as const) {
        expect(curvesOf(trued.block.front, role)).toEqual(curvesOf(block.front, role));
      }
      for (const { operation, byMm } of trued.moved) {
        if (operation === 'true corner' || operation === 'redraw seam') expect(byMm).toBeLessThanOrEqual(3);
      }
    });
  });

  it('leaves nothing to move a second time but what it asked about', () => {
    check((_, trued) => {
      const asked = trued.findings.filter(({ code }) => code === 'NOT_TRUED').map(({ place }) => place?.part);
      const again = trueSeams(trued.block, TRADE_RULES).moved.map(({ part }) => part);
      expect(again.filter((part) => !asked.includes(part))).toEqual([]);
    });
  });
});

function check(body: (block: Block, trued: TruedBlock) => void): void {
  const millimetres = fc.double({ min: -4, max: 4, noNaN: true });
  const moves = fc.array(fc.record({ x: millimetres, y: millimetres }), { minLength: 40, maxLength: 40 });
  fc.assert(
    fc.property(moves, fc.constantFrom(WORKED_BLOCK, WORKED_BLOCK_DROPPED), (by, sound) => {
      const block = { ...sound, front: shaken(sound.front, by, 0), back: shaken(sound.back, by, 17) };
      body(block, trueSeams(block, TRADE_RULES));
    }),
    { numRuns: 60 },
  );
}

function expectEqual({ front, back }: Block, seam: 'inseam' | 'outseam'): void {
  const difference = chordLengthMm(curvesOf(back, seam)) - chordLengthMm(curvesOf(front, seam));
  expect(Math.abs(difference)).toBeLessThan(EQUAL_MM);
}

function expectClosed({ front, back }: Block): void {
  for (const piece of [front, back]) {
    for (const [i, edge] of piece.edges.entries()) {
      expect(startOf(edge.curve)).toEqual(endOf(piece.edges.at(i - 1)!.curve));
    }
  }
}

function ends({ front, back }: Block): Point[] {
  return [front, back].flatMap((piece) => piece.edges.map((edge) => startOf(edge.curve)));
}

/** The end of the back's `seam` moved straight on by `mm`, with its handle and with the start of `next`. */
function withLastMoved(block: Block, seam: string, next: string, mm: number): Block {
  const curve = handled(edgeById(block.back, seam).curve);
  const by = scaled(curve.p2, curve.p3, mm);
  const moved = withCurve(block, 'back', seam, () =>
    cubic(curve.p0, curve.p1, add(curve.p2, by), add(curve.p3, by)),
  );
  return withCurve(moved, 'back', next, (c) => {
    const { p0, p1, p2, p3 } = handled(c);
    return cubic(add(p0, by), add(p1, by), p2, p3);
  });
}

/** The back outseam carried on by a straight edge of its own. */
function withTail(block: Block, mm: number): Block {
  const outseam = edgeById(block.back, 'outU');
  const curve = handled(outseam.curve);
  const end = add(curve.p3, scaled(curve.p2, curve.p3, mm));
  const back = withEdge(block.back, 'outU', [
    outseam,
    { id: 'tail', role: 'outseam', curve: line(curve.p3, end) },
  ]);
  return withCurve({ ...block, back }, 'back', 'waist1', (c) => withStart(c, end));
}

/** Inseams of straight edges only, so that no curve can take up the back's `mm` more or less. */
function straightInseam(block: Block, mm: number): Block {
  const straight = (['front', 'back'] as const).reduce<Block>(
    (so, role) => withCurve(so, role, 'inseamU', (c) => line(startOf(c), endOf(c))),
    block,
  );
  const lower = edgeById(straight.back, 'inseamL').curve;
  const end = add(endOf(lower), scaled(startOf(lower), endOf(lower), mm));
  const longer = withCurve(straight, 'back', 'inseamL', (c) => line(startOf(c), end));
  const hem = withCurve(longer, 'back', 'hem', (c) => line(end, endOf(c)));
  // The fork as it was: the rises take up what the straight inseams open.
  return squaredFork(hem, block);
}

function squaredFork(block: Block, sound: Block): Block {
  return (['front', 'back'] as const).reduce<Block>((so, role) => {
    const old = handled(edgeById(sound[role], 'inseamU').curve);
    const straight = edgeById(so[role], 'inseamU').curve;
    const turn = angleOf(startOf(straight), endOf(straight)) - angleOf(old.p0, old.p1);
    return withCurve(so, role, 'rise', (c) => {
      const [start, end] = [startOf(c), endOf(c)];
      const handle = turnAbout(add(end, scaled(end, start, 40)), end, turn);
      return cubic(start, add(start, scaled(start, end, 40)), handle, end);
    });
  }, block);
}

/** The back inseam of the dropped block a little longer, by handles drawn out. */
function fullerInseam(): Block {
  return withCurve(WORKED_BLOCK_DROPPED, 'back', 'inseamU', (c) =>
    withHandles(c, at(-7, -3.15), at(0.55, 4.5)),
  );
}

function angleOf(from: Point, to: Point): number {
  return Math.atan2(to.y - from.y, to.x - from.x);
}

/** Distance to the nearest side of a polyline. */
function toPolyline(points: readonly Point[], p: Point): number {
  return points.slice(1).reduce((nearest, b, i) => {
    const a = points[i];
    const length = distance(a, b);
    const share = ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / (length * length);
    const foot = Math.min(1, Math.max(0, share));
    return Math.min(nearest, distance(p, at(a.x + foot * (b.x - a.x), a.y + foot * (b.y - a.y))));
  }, Infinity);
}
