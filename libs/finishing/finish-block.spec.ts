import { describe, expect, it } from '@jest/globals';
import {
  at,
  distance,
  endOf,
  line,
  polygonArea,
  ringContains,
  ringCrossings,
  startOf,
  type Point,
} from '#geometry';
import { dartsOf, edgesOf, type Block, type Piece, type PieceRole } from '#pattern';
import { TRADE_RULES } from '#truing';
import { HANDBOOK_BLOCK_SIZE_12 } from '../../test/fixtures/handbook-block-size-12.js';
import { chordLengthMm, chordPoints } from '../../test/support/chords.js';
import { altered } from '../../test/support/recipe-page.js';
import { WORKED_BLOCK, WORKED_BLOCK_DROPPED } from '../truing/worked-block.fixture.js';
import { FINISH_DEFAULTS, finishBlock, grownForShrinkage, shapeHems, type CutPiece } from './index.js';

const NO_SHRINKAGE = { warp: 0, weft: 0 };
const finished = (block: Block, rules = FINISH_DEFAULTS, shrinkage = NO_SHRINKAGE) =>
  finishBlock(block, rules, shrinkage, TRADE_RULES);
const cutOf = (piece: CutPiece): Point[] => piece.cut.map((point) => point.at);

describe.each([
  ['the worked example', WORKED_BLOCK],
  ['the worked example with its crotch dropped', WORKED_BLOCK_DROPPED],
])('finishBlock on %s', (_, block) => {
  const pattern = finished(block);
  const [front, back, band] = pattern.pieces;

  it('makes front, back, band and fly pieces, each a simple clockwise outline', () => {
    expect(pattern.pieces.map(({ id }) => id)).toEqual([
      'front',
      'back',
      'waistband',
      'fly-facing',
      'fly-shield',
    ]);
    for (const piece of pattern.pieces) {
      expect(ringCrossings(cutOf(piece), 1)).toEqual([]);
      expect(polygonArea(cutOf(piece))).toBeLessThan(0);
    }
  });

  it('lets the hem corners decide, and they are straight', () => {
    const hems = pattern.truing.corners.filter(({ at: name }) => name === 'sideHem' || name === 'inseamHem');
    expect(hems).toHaveLength(2);
    for (const { sum, state } of hems) {
      expect(sum).toBeCloseTo(180, 9);
      expect(state).toBe('ok');
    }
    expect(pattern.truing.sewable).toBe(true);
  });

  it('keeps every seam point inside the cut line', () => {
    for (const { runs, ...piece } of [front, back]) {
      const cut = piece.cut.map((point) => point.at);
      for (const { curves } of runs) {
        for (const curve of curves) expect(ringContains(cut, curve.p0)).toBe(true);
      }
    }
  });

  it('notches front and back at the same distance from the hem', () => {
    for (const seam of ['inseam', 'outseam'] as const) {
      const names = front.notches.filter((notch) => notch.seam === seam).map(({ name }) => name);
      expect(names).toContain('knee');
      for (const name of names.filter((each) => each !== 'hem fold')) {
        const [first, second] = [front, back].map((piece) => fromHemMm(piece, seam, name));
        expect(Math.abs(first - second)).toBeLessThan(0.05);
      }
    }
  });

  it('cuts no notch deeper than half its allowance, and marks darts and their points', () => {
    for (const piece of pattern.pieces) {
      for (const notch of piece.notches) {
        const allowanceMm = distance(notch.foot, notch.at);
        expect(notch.depthMm).toBeLessThanOrEqual(allowanceMm / 2);
        expect(notch.depthMm).toBeGreaterThan(1);
      }
    }
    for (const [piece, role] of [
      [front, 'front'],
      [back, 'back'],
    ] as const) {
      const [dart] = dartsOf(pattern.block[role]);
      expect(distance(piece.drillHoles[0].at, dart.apex)).toBeCloseTo(12, 9);
      expect(piece.notches.filter(({ name }) => name.startsWith('dart 1'))).toHaveLength(2);
    }
  });

  it('cuts the band as long as the waist and the underlap', () => {
    const waistMm = (piece: Piece): number =>
      edgesOf(piece, 'waist').reduce((sum, { curve }) => sum + chordLengthMm([curve], 4000), 0);
    const girthMm = 2 * (waistMm(block.front) + waistMm(block.back));
    expect(chordLengthMm(band.runs[0].curves, 1)).toBeCloseTo(girthMm + 40, 1);
    const centreBack = band.notches.find(({ name }) => name === 'centre back');
    expect(centreBack?.foot.y).toBeCloseTo(40 + girthMm / 2, 1);
  });

  it('cuts a long band in two that meet at the centre back', () => {
    const rules = { ...FINISH_DEFAULTS, waist: { ...FINISH_DEFAULTS.waist, underlapMm: 500 } };
    const bands = finished(block, rules).pieces.filter(({ id }) => id.startsWith('waistband'));
    expect(bands.map(({ id }) => id)).toEqual(['waistband-1', 'waistband-2']);
    const lengths = bands.map(({ runs }) => chordLengthMm(runs[0].curves, 1));
    // The second has half the waist, the first as much and the underlap.
    expect(lengths[0] - lengths[1]).toBeCloseTo(500, 6);
    expect(chordLengthMm(band.runs[0].curves, 1) - 40).toBeCloseTo(2 * lengths[1], 6);
  });

  it('says of the one piece that is cut once and has two sides which of them is up', () => {
    const said = pattern.pieces.flatMap(({ id, sideWords }) =>
      sideWords === undefined ? [] : [[id, sideWords]],
    );
    expect(said).toEqual([['fly-facing', expect.stringMatching(/face up: for the left front/)]]);
    // The facing as drawn has the front's centre at its right, as the front has: the same outline, seen from outside.
    const facing = pattern.pieces.find(({ id }) => id === 'fly-facing');
    const centre = facing?.runs.find(({ seam }) => seam === 'centre front')?.curves ?? [];
    const edge = facing?.runs.find(({ seam }) => seam === 'edge')?.curves ?? [];
    expect(startOf(centre[0]).x).toBeGreaterThan(endOf(edge[edge.length - 1]).x);
  });

  it('carries an arrow at least a third as long as the piece, on its grain', () => {
    for (const piece of [front, back]) {
      const ys = cutOf(piece).map(({ y }) => y);
      const [from, to] = piece.grain;
      expect(to.y - from.y).toBeGreaterThan((Math.max(...ys) - Math.min(...ys)) / 3);
      expect(from.x).toBe(to.x);
    }
  });
});

describe('finishBlock', () => {
  it('finishes the block of a published handbook as it stands', () => {
    const pattern = finished(HANDBOOK_BLOCK_SIZE_12);
    expect(pattern.pieces.length).toBeGreaterThanOrEqual(3);
    for (const piece of pattern.pieces) expect(ringCrossings(cutOf(piece), 1)).toEqual([]);
  });

  it('says when an allowance is wider than a bend and when a notch has no room', () => {
    const rules = {
      ...FINISH_DEFAULTS,
      allowances: { ...FINISH_DEFAULTS.allowances, outseamMm: 2, waistMm: 7 },
    };
    const codes = finished(WORKED_BLOCK, rules).findings.map(({ code }) => code);
    expect(codes).toContain('NOTCH_NOT_CUT');
    expect(codes).toContain('NOTCH_LESS_DEEP');
  });

  it('sews an elastic casing as long as the waist, and leaves out what is not ordered', () => {
    const rules = {
      ...FINISH_DEFAULTS,
      waist: { ...FINISH_DEFAULTS.waist, finish: 'elastic-casing' },
      fly: 'none',
      pockets: 'side-seam',
    } as const;
    const { pieces } = finished(WORKED_BLOCK, rules);
    expect(pieces.map(({ id }) => id)).toEqual([
      'front',
      'back',
      'elastic-casing',
      'pocket-bag',
      'pocket-facing',
    ]);
    const front = pieces[0].notches.filter(({ name }) => name.startsWith('pocket'));
    const bag = pieces[3].notches;
    expect(distance(front[0].foot, front[1].foot)).toBeCloseTo(distance(bag[0].foot, bag[1].foot), 3);
  });

  it('calls a casing as the alteration that added it does, in one piece and in two', () => {
    const named = (over: number): string[] => {
      const { block } = altered('pull-on', { over });
      const added = (block.added ?? []).map((piece) => ({ ...piece, name: 'tunnel' }));
      return finished({ ...block, added }).pieces.map(({ name }) => name);
    };
    expect(named(30)).toContain('tunnel');
    expect(named(120)).toEqual(expect.arrayContaining(['tunnel, first half', 'tunnel, second half']));
  });
});

describe('shapeHems', () => {
  it('keeps the ends of the hem', () => {
    const shaped = shapeHems(WORKED_BLOCK_DROPPED);
    for (const role of ['front', 'back'] as const) {
      const [before] = edgesOf(WORKED_BLOCK_DROPPED[role], 'hem');
      const [after] = edgesOf(shaped[role], 'hem');
      expect(after.id).toBe(before.id);
      expect(after.curve.kind === 'cubic' ? after.curve.p3 : after.curve.p1).toEqual(
        before.curve.kind === 'line' ? before.curve.p1 : before.curve.p3,
      );
    }
  });
});

describe('grownForShrinkage', () => {
  it('cuts 3 percent of warp shrinkage as 1 / 0.97, and the weft by its own', () => {
    const grown = grownForShrinkage(WORKED_BLOCK, { warp: 0.03, weft: 0.01 }, 0.004);
    const corner = (block: Block, role: PieceRole): Point => block[role].edges[0].curve.p0;
    for (const role of ['front', 'back'] as const) {
      const before = corner(WORKED_BLOCK, role);
      const after = corner(grown, role);
      expect(after.x).toBeCloseTo(before.x / 0.99, 9);
      expect(after.y).toBeCloseTo(before.y / 0.97, 9);
    }
    expect(grown.levels.knee).toBeCloseTo(455 / 0.97, 9);
  });

  it('follows a grain line that lies askew', () => {
    const grain = { role: 'grain', curves: [line(at(0, 0), at(300, 400))] } as const;
    const block = { ...WORKED_BLOCK, front: { ...WORKED_BLOCK.front, lines: [grain] } };
    const grown = grownForShrinkage(block, { warp: 0.05, weft: 0 }, 0.004).front.lines[0].curves[0];
    expect(chordLengthMm([grown], 1)).toBeCloseTo(500 / 0.95, 9);
  });

  it('leaves allowances, notch depths and hole sizes as they are', () => {
    const plain = finished(WORKED_BLOCK);
    const grown = finished(WORKED_BLOCK, FINISH_DEFAULTS, { warp: 0.03, weft: 0.02 });
    const kneeOf = (pattern: typeof plain) =>
      pattern.pieces[0].notches.find(({ name, seam }) => name === 'knee' && seam === 'outseam');
    const before = kneeOf(plain);
    const after = kneeOf(grown);
    if (before === undefined || after === undefined) throw new Error('a knee notch is missing');
    expect(after.depthMm).toBe(before.depthMm);
    expect(distance(after.foot, after.at)).toBeCloseTo(distance(before.foot, before.at), 9);
    expect(after.foot.y).toBeGreaterThan(before.foot.y);
    expect(grown.truing.seams.every(({ state }) => state !== 'off')).toBe(true);
  });
});

/** Seam distance of a notch from the hem, by chords: another way than the product's. */
function fromHemMm(piece: CutPiece, seam: 'inseam' | 'outseam', name: string): number {
  const run = piece.runs.find((each) => each.seam === seam);
  const notch = piece.notches.find((each) => each.seam === seam && each.name === name);
  if (run === undefined || notch === undefined) throw new Error(`${piece.id} has no ${name} on its ${seam}`);
  const points = run.curves.flatMap((curve) => chordPoints(curve, 4000));
  let best = { mm: 0, apart: Infinity };
  let mm = 0;
  for (const [i, p] of points.entries()) {
    if (i > 0) mm += distance(points[i - 1], p);
    const apart = distance(p, notch.foot);
    if (apart < best.apart) best = { mm, apart };
  }
  return seam === 'outseam' ? best.mm : mm - best.mm;
}
