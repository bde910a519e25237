import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import {
  add,
  at,
  cubic,
  DEG,
  endOf,
  line,
  mapCurve,
  startOf,
  turnAbout,
  type Curve,
  type Point,
} from '#geometry';
import { curvesOf, edgeById, withEdge, type Block, type Notch, type Piece } from '#pattern';
import { chordLengthMm } from '../../test/support/chords.js';
import {
  codesOf,
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
import { trueBlock, TRADE_RULES, type TruingReport } from './index.js';
import { WORKED_BLOCK } from './worked-block.fixture.js';

/** 2,000 chords of a seam are short of it by less than 2e-4 mm; the report is within 1e-3. */
const CHORD_MM = 0.0015;

describe('trueBlock sets off', () => {
  it.each([
    ['longer, by a handle drawn out', 1, (c: Curve) => withHandles(c, at(-30, 0), at(0, 0)), /^Ease in/],
    ['shorter, by drawing it straight', -1, (c: Curve) => line(startOf(c), endOf(c)), /^Stretch/],
  ])('the inseam when the back is %s', (_, sign, change, words) => {
    const block = withCurve(WORKED_BLOCK, 'back', 'inseamU', change);
    const byChords =
      chordLengthMm(curvesOf(block.back, 'inseam')) - chordLengthMm(curvesOf(block.front, 'inseam'));
    const report = trueBlock(block, TRADE_RULES);
    const inseam = seamOf(report, 'inseam');
    expect(Math.abs(inseam.difference - byChords)).toBeLessThan(CHORD_MM);
    expect(sign * byChords).toBeGreaterThan(1);
    expect(inseam.state).toBe('off');
    expect(inseam.fix?.words).toMatch(words);
    expect(offs(report)).toContain('inseam');
    expect(report.sewable).toBe(false);
    expect(codesOf(report)).toContain('INSEAM_MISMATCH');
  });

  it('the outseam when the back side waist is 1.5 mm too high, and says by how much to lower it', () => {
    const raised = raiseSideWaist(WORKED_BLOCK, 1.5);
    const report = trueBlock(raised, TRADE_RULES);
    const outseam = seamOf(report, 'outseam');
    // A straight continuation of 1.5 mm.
    expect(Math.abs(outseam.difference - 1.5)).toBeLessThan(CHORD_MM);
    expect(outseam).toMatchObject({ state: 'off', fix: { kind: 'move-waist-end', piece: 'back' } });
    expect(outseam.fix?.byMm).toBeCloseTo(1.5, 2);
    expect(outseam.fix?.words).toBe('Move the back side waist 1.5 mm down along the outseam.');
    expect(seamOf(trueBlock(raiseSideWaist(WORKED_BLOCK, 0.9), TRADE_RULES), 'outseam').state).toBe('ok');
  });

  it('a dart when one leg is 0.8 mm longer than the other', () => {
    const block = legLengthened(WORKED_BLOCK, 0.8);
    const report = trueBlock(block, TRADE_RULES);
    const dart = report.seams.find(({ seam, first }) => seam === 'dart' && first.piece === 'back');
    expect(dart?.difference).toBeCloseTo(0.8, 3);
    expect(dart?.state).toBe('off');
    expect(offs(report)).toEqual(['dart']);
    expect(codesOf(report)).toContain('DART_LEGS_UNEQUAL');
    expect(offs(trueBlock(legLengthened(WORKED_BLOCK, 0.4), TRADE_RULES))).toEqual([]);
  });

  it.each([
    ['fork', 'back', 'crotch', 'end'],
    ['sideWaist', 'front', 'waist1', 'start'],
    ['centreFrontWaist', 'front', 'waist0', 'end'],
    ['centreBackWaist', 'back', 'waist0', 'end'],
  ] as const)(
    'the %s when a handle at it turns too far, with the sign of the turn',
    (name, piece, id, end) => {
      const limit = name.startsWith('centre') ? 1 : 2;
      const block = withoutShortEdge(WORKED_BLOCK);
      for (const turnDeg of [limit - 0.1, limit + 0.1, -limit - 0.1]) {
        const turned = withCurve(block, piece, id, (c) => handleTurned(c, end, turnDeg * DEG));
        const corner = cornerOf(trueBlock(turned, TRADE_RULES), name);
        // Turning an arriving seam to the left narrows a clockwise corner, turning a leaving one widens it.
        const expected = end === 'end' ? -turnDeg : turnDeg;
        expect(Math.abs(corner.deviation - expected)).toBeLessThan(0.01);
        expect(corner.state).toBe(Math.abs(turnDeg) > limit ? 'off' : 'ok');
      }
    },
  );

  it('a centre waist that is square at its very point only', () => {
    // The last handle is 0.3 mm long and square; the waist itself comes in several degrees off.
    const block = withCurve(WORKED_BLOCK, 'front', 'waist0', (curve) => {
      const { p0, p1, p2, p3 } = handled(curve);
      const off = turnAbout(p2, p3, 10 * DEG);
      return cubic(p0, at((p1.x + off.x) / 2, (p1.y + off.y) / 2), add(p3, scaled(p3, p2, 0.3)), p3);
    });
    const corner = cornerOf(trueBlock(block, TRADE_RULES), 'centreFrontWaist');
    expect(corner.sum).toBeCloseTo(90, 2);
    expect(Math.abs((corner.overReach ?? 90) - 90)).toBeGreaterThan(1);
    expect(corner.state).toBe('off');
  });

  it('hem corners once the hem is finished, and only then', () => {
    const finished = trueBlock(WORKED_BLOCK, { ...TRADE_RULES, hem: 'finished' });
    // Knee 210, hem 179.2 wide over 425 mm: both sides lean by atan(15.4 / 425).
    const lean = Math.atan(15.4 / 425) / DEG;
    expect(cornerOf(finished, 'sideHem').deviation).toBeCloseTo(2 * lean, 6);
    expect(cornerOf(finished, 'sideHem').state).toBe('off');
    expect(finished.sewable).toBe(false);
    expect(codesOf(finished)).toEqual(expect.arrayContaining(['SIDE_HEM_ANGLE', 'INSEAM_HEM_ANGLE']));
  });

  it('the outline when it crosses, is open, or runs the wrong way round', () => {
    const crossed = withCurve(WORKED_BLOCK, 'front', 'inseamL', () => line(at(105, 455), at(-120, 30)));
    const opened = withCurve(WORKED_BLOCK, 'front', 'hem', () => line(at(89.6, 30), at(-89.6, 29.99)));
    const turned = {
      ...WORKED_BLOCK,
      back: {
        ...WORKED_BLOCK.back,
        edges: WORKED_BLOCK.back.edges.map((edge) => ({
          ...edge,
          curve: mapCurve(edge.curve, (p) => at(-p.x, p.y)),
        })),
      },
    };
    expect(codesOf(trueBlock(closedHem(crossed), TRADE_RULES))).toContain('OUTLINE_CROSSES');
    expect(codesOf(trueBlock(opened, TRADE_RULES))).toContain('OUTLINE_OPEN');
    expect(codesOf(trueBlock(turned, TRADE_RULES))).toContain('OUTLINE_REVERSED');
    for (const block of [closedHem(crossed), opened, turned])
      expect(trueBlock(block, TRADE_RULES).sewable).toBe(false);
  });
});

describe('the waist against its band', () => {
  const seamMm = trueBlock(WORKED_BLOCK, TRADE_RULES).waistband.seamMm;

  it.each([
    ['as long as the seam', seamMm, 'ok'],
    ['0.9 mm longer than the seam', seamMm + 0.9, 'ok'],
    ['1.1 mm longer than the seam', seamMm + 1.1, 'off'],
    ['shorter, the seam eased in by 2.9 percent', seamMm / 1.029, 'ok'],
    ['shorter, the seam fuller by 3.1 percent', seamMm / 1.031, 'off'],
  ])('a band %s', (_, waistbandMm, state) => {
    const report = trueBlock({ ...WORKED_BLOCK, waistbandMm }, TRADE_RULES);
    expect(report.waistband).toMatchObject({ bandMm: waistbandMm, cutTo: 'given', state });
    expect(report.waistband.difference).toBeCloseTo(seamMm - waistbandMm, 9);
    expect(seamOf(report, 'waist').state).toBe(state);
    expect(report.sewable).toBe(state === 'ok');
  });

  it('is cut to the seam when none is given', () => {
    const { waistband } = trueBlock(WORKED_BLOCK, TRADE_RULES);
    expect(waistband).toMatchObject({
      cutTo: 'seam',
      difference: 0,
      fullnessPercent: 0,
      state: 'ok',
      proposals: [],
    });
  });

  it('offers ways of letting out that each close the difference on their own', () => {
    const { waistband } = trueBlock({ ...WORKED_BLOCK, waistbandMm: seamMm + 13 }, TRADE_RULES);
    const by = Object.fromEntries(waistband.proposals.map(({ kind, byMm }) => [kind, byMm]));
    expect(waistband.proposals.map(({ kind }) => kind)).toEqual([
      'release-darts',
      'let-out-sides',
      'move-centre-waist',
      'cut-band',
      'elastic-casing',
    ]);
    // One dart a piece is four darts in the garment, and there are four side seam edges and four centre edges.
    for (const kind of ['release-darts', 'let-out-sides', 'move-centre-waist'])
      expect(by[kind]).toBeCloseTo(13 / 4, 9);
    expect(by['cut-band']).toBeCloseTo(13, 9);
  });

  it('takes in only what cannot be eased', () => {
    const waistbandMm = seamMm / 1.05;
    const { proposals } = trueBlock({ ...WORKED_BLOCK, waistbandMm }, TRADE_RULES).waistband;
    expect(proposals[0].kind).toBe('deepen-darts');
    expect(proposals[0].byMm).toBeCloseTo((seamMm - 1.03 * waistbandMm) / 4, 6);
  });
});

describe('the back inseam that is meant to be stretched', () => {
  const short = stretched(-3);

  it('may be shorter by as much as the rules say', () => {
    expect(seamOf(trueBlock(short, TRADE_RULES), 'inseam').state).toBe('off');
    expect(seamOf(trueBlock(short, { ...TRADE_RULES, intendedStretchMm: 5 }), 'inseam').state).toBe('ok');
    expect(seamOf(trueBlock(stretched(-5.2), { ...TRADE_RULES, intendedStretchMm: 5 }), 'inseam').state).toBe(
      'off',
    );
  });

  it('may not be longer', () => {
    expect(seamOf(trueBlock(stretched(3), { ...TRADE_RULES, intendedStretchMm: 5 }), 'inseam').state).toBe(
      'off',
    );
  });

  it('offers to stretch it when the rules do not', () => {
    expect(seamOf(trueBlock(short, TRADE_RULES), 'inseam').fix?.kind).toBe('spread-ease');
    expect(seamOf(trueBlock(short, { ...TRADE_RULES, cloth: 'repeat' }), 'inseam').fix?.kind).toBe('ask');
  });
});

describe('balance lines', () => {
  it('that are off decide nothing', () => {
    const report = trueBlock(WORKED_BLOCK, TRADE_RULES);
    expect(report.balanceLines.map(({ state }) => state)).toEqual(['off', 'off', 'ok', 'ok']);
    expect(report.sewable).toBe(true);
  });

  // A back that is the front moved up as a whole has its lengths, so every line comes out by exactly the move.
  it.each([
    [1.9, 'plain', 'ok', undefined],
    [2.1, 'plain', 'off', 'warning'],
    [8.1, 'plain', 'off', 'stop'],
    [0.9, 'repeat', 'ok', undefined],
    [1.1, 'repeat', 'off', 'stop'],
  ] as const)('%f mm apart on %s cloth are %s', (by, cloth, state, level) => {
    const back: Piece = { ...moved(WORKED_BLOCK.front, at(0, by)), role: 'back' };
    const report = trueBlock({ ...WORKED_BLOCK, back }, { ...TRADE_RULES, cloth });
    for (const check of report.balanceLines) {
      expect(check.difference).toBeCloseTo(by, 2);
      expect(check.state).toBe(state);
    }
    const levels = report.findings
      .filter(({ code }) => code === 'BALANCE_LINE_OFF')
      .map((finding) => finding.level);
    expect(new Set(levels)).toEqual(new Set(level === undefined ? [] : [level]));
  });

  it('are not checked where a seam does not reach them', () => {
    const report = trueBlock({ ...WORKED_BLOCK, levels: { ...WORKED_BLOCK.levels, hip: 1200 } }, TRADE_RULES);
    expect(report.balanceLines[0]).toMatchObject({ line: 'hip', difference: null, state: 'not-checked' });
    expect(report.sewable).toBe(true);
  });
});

describe('notches', () => {
  const knee = (fromHemMm: number): Notch => ({
    edgeId: 'inseamL',
    fromStartMm: 425.2789 - fromHemMm,
    kind: 'slit',
    name: 'knee',
  });

  it('are compared with their partners by the distance from the hem', () => {
    const report = trueBlock(withNotches([knee(400)], [knee(401.5)]), TRADE_RULES);
    const [notch] = seamOf(report, 'inseam').notches;
    expect(notch).toMatchObject({ name: 'knee', state: 'off', allowed: 1 });
    expect(notch.frontFromHemMm).toBeCloseTo(400, 3);
    expect(notch.difference).toBeCloseTo(1.5, 3);
    expect(report.findings.find(({ code }) => code === 'NOTCH_OFF')?.message).toBe(
      'The knee notch of the back inseam lies 1.5 mm above its partner, along the seam.',
    );
    expect(report.sewable).toBe(true);
  });

  it('may be off by a millimetre, on the outseam as well', () => {
    const hip = (fromStartMm: number): Notch => ({ edgeId: 'outU', fromStartMm, kind: 'v', name: 'hip' });
    const report = trueBlock(withNotches([hip(0)], [hip(3.3)]), TRADE_RULES);
    // By chords: how far the hip lies from the hem on each piece.
    const below = (piece: Piece): number =>
      chordLengthMm(['outL', 'outM'].map((id) => edgeById(piece, id).curve));
    const expected = below(WORKED_BLOCK.back) + 3.3 - below(WORKED_BLOCK.front);
    const [notch] = seamOf(report, 'outseam').notches;
    expect(Math.abs(notch.difference - expected)).toBeLessThan(CHORD_MM);
    expect(notch.state).toBe(Math.abs(expected) <= 1 ? 'ok' : 'off');
  });

  it('without a partner are named', () => {
    const report = trueBlock(withNotches([knee(400)], []), TRADE_RULES);
    expect(report.findings.find(({ code }) => code === 'NOTCH_WITHOUT_PARTNER')).toMatchObject({
      level: 'warning',
      place: { piece: 'front', part: 'inseam' },
    });
  });
});

describe('true of every block', () => {
  it('gives the differences that chords give', () => {
    fc.assert(
      fc.property(shake, (moves) => {
        const block = shakenBlock(moves);
        const report = trueBlock(block, TRADE_RULES);
        for (const seam of ['inseam', 'outseam'] as const) {
          const chords =
            chordLengthMm(curvesOf(block.back, seam)) - chordLengthMm(curvesOf(block.front, seam));
          expect(Math.abs(seamOf(report, seam).difference - chords)).toBeLessThan(2 * CHORD_MM);
        }
        const half = [block.front, block.back].reduce(
          (sum, p) => sum + chordLengthMm(curvesOf(p, 'waist')),
          0,
        );
        expect(Math.abs(report.waistband.seamMm - 2 * half)).toBeLessThan(2 * CHORD_MM);
      }),
      { numRuns: 40 },
    );
  });

  it('is sewable exactly when no deciding check is off, and each that is off has a fix and a stop finding', () => {
    const deciding: readonly string[] = ['fork', 'sideWaist', 'centreFrontWaist', 'centreBackWaist'];
    fc.assert(
      fc.property(shake, (moves) => {
        const report = trueBlock(shakenBlock(moves), TRADE_RULES);
        const seams = report.seams.filter(({ state }) => state === 'off');
        const corners = report.corners.filter(
          ({ at: name, state }) => deciding.includes(name) && state === 'off',
        );
        const outlines = report.outline.filter(({ state }) => state === 'off');
        expect(report.sewable).toBe(seams.length + corners.length + outlines.length === 0);
        for (const check of [...seams, ...corners]) expect(check.fix?.words).toMatch(/^[A-Z].*\.$/);
        const stops = report.findings.filter(
          ({ level, code }) => level === 'stop' && !code.startsWith('OUTLINE'),
        );
        const lines = report.findings.filter(
          ({ code, level }) => code === 'BALANCE_LINE_OFF' && level === 'stop',
        );
        expect(stops.length - lines.length).toBe(seams.length + corners.length);
      }),
      { numRuns: 60 },
    );
  });

  it('reads as plain JSON: no number is lost', () => {
    const report = trueBlock(
      shakenBlock(Array.from({ length: 40 }, (_, i) => at((i % 7) - 3, (i % 5) - 2))),
      TRADE_RULES,
    );
    expect(JSON.parse(JSON.stringify(report))).toEqual(report);
  });
});

it('needs a block that has its seams', () => {
  const edges = WORKED_BLOCK.back.edges.filter((edge) => edge.role !== 'inseam');
  const block = { ...WORKED_BLOCK, back: { ...WORKED_BLOCK.back, edges } };
  expect(() => trueBlock(block, TRADE_RULES)).toThrow(expect.objectContaining({ code: 'SEAM_MISSING' }));
});

const millimetres = fc.double({ min: -3, max: 3, noNaN: true });
const shake = fc.array(fc.record({ x: millimetres, y: millimetres }), { minLength: 40, maxLength: 40 });

function shakenBlock(by: readonly Point[]): Block {
  return {
    ...WORKED_BLOCK,
    front: shaken(WORKED_BLOCK.front, by, 0),
    back: shaken(WORKED_BLOCK.back, by, 17),
  };
}

function offs(report: TruingReport): string[] {
  return report.seams.filter(({ state }) => state === 'off').map(({ seam }) => seam);
}

/** The fork's few hundredths of a millimetre left out, so that its corner is the crotch curve's. */
function withoutShortEdge(block: Block): Block {
  const without = (piece: Piece): Piece => {
    const fork = endOf(edgeById(piece, 'crotchE').curve);
    const edges = piece.edges
      .filter(({ id }) => id !== 'crotchE')
      .map((edge) =>
        edge.id === 'crotch' && edge.curve.kind === 'cubic'
          ? { ...edge, curve: { ...edge.curve, p3: fork } }
          : edge,
      );
    return { ...piece, edges };
  };
  return { ...block, front: without(block.front), back: without(block.back) };
}

/** The back side waist carried straight on by `mm`, as an edge of its own. */
function raiseSideWaist(block: Block, mm: number): Block {
  const outseam = edgeById(block.back, 'outU');
  const end = endOf(outseam.curve);
  const before = handled(outseam.curve).p2;
  const raised = add(end, scaled(before, end, mm));
  const back = withEdge(block.back, 'outU', [
    outseam,
    { id: 'outV', role: 'outseam', curve: line(end, raised) },
  ]);
  return withCurve({ ...block, back }, 'back', 'waist1', (c) => withStart(c, raised));
}

function legLengthened(block: Block, mm: number): Block {
  const leg = edgeById(block.back, 'dartC1').curve;
  const longer = add(endOf(leg), scaled(startOf(leg), endOf(leg), mm));
  const lengthened = withCurve(block, 'back', 'dartC1', (c) => line(startOf(c), longer));
  return withCurve(lengthened, 'back', 'waist0', (c) => withStart(c, longer));
}

/** The back's lower inseam with a straight piece of `mm` more or less; both inseams are straight there. */
function stretched(mm: number): Block {
  const hem = endOf(edgeById(WORKED_BLOCK.back, 'inseamL').curve);
  const lower = edgeById(WORKED_BLOCK.back, 'inseamL').curve;
  const end = add(hem, scaled(startOf(lower), hem, mm));
  const block = withCurve(WORKED_BLOCK, 'back', 'inseamL', (c) => line(startOf(c), end));
  return withCurve(block, 'back', 'hem', (c) => line(end, endOf(c)));
}

function closedHem(block: Block): Block {
  return withCurve(block, 'front', 'hem', (c) =>
    line(endOf(edgeById(block.front, 'inseamL').curve), endOf(c)),
  );
}

function moved(piece: Piece, by: Point): Piece {
  return {
    ...piece,
    edges: piece.edges.map((edge) => ({ ...edge, curve: mapCurve(edge.curve, (p) => add(p, by)) })),
  };
}

function withNotches(front: readonly Notch[], back: readonly Notch[]): Block {
  return {
    ...WORKED_BLOCK,
    front: { ...WORKED_BLOCK.front, notches: front },
    back: { ...WORKED_BLOCK.back, notches: back },
  };
}
