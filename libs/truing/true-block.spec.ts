import { describe, expect, it } from '@jest/globals';
import { areaD } from 'clipper2-ts';
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
import {
  curvesOf,
  edgeById,
  withEdge,
  type Block,
  type Edge,
  type EdgeRole,
  type Notch,
  type Piece,
  type PieceRole,
} from '#pattern';
import { chordLengthMm, chordPoints } from '../../test/support/chords.js';
import { closeDarts } from './close-darts.js';
import { trueBlock, TRADE_RULES, type CornerName, type SeamName, type TruingReport } from './index.js';
import { WORKED_BLOCK, WORKED_BLOCK_DROPPED } from './worked-block.fixture.js';

/** 2,000 chords of a seam are short of it by less than 2e-4 mm; the report is within 1e-3. */
const CHORD_MM = 0.0015;

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
      expect(apart(a[1], b[0])).toBeLessThan(0.001);
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

describe('trueBlock sets off', () => {
  it.each([
    ['longer, by a handle drawn out', 1, (c: Curve) => handleMoved(c, at(-30, 0)), /^Ease in/],
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
    expect(codes(report)).toContain('INSEAM_MISMATCH');
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
    expect(codes(report)).toContain('DART_LEGS_UNEQUAL');
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
    // The last half millimetre of the waist is bent square; the waist itself comes in several degrees off.
    const waist = edgeById(WORKED_BLOCK.front, 'waist0').curve;
    const block = withCurve(WORKED_BLOCK, 'front', 'waist0', (curve) => {
      const corner = endOf(curve);
      const off = handleTurned(curve, 'end', 10 * DEG);
      const hook = add(corner, scaleTo(way(corner, (waist as { p2: Point }).p2), 0.3));
      return off.kind === 'line' ? off : cubic(off.p0, mid(off.p1, off.p2), hook, off.p3);
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
    expect(codes(finished)).toEqual(expect.arrayContaining(['SIDE_HEM_ANGLE', 'INSEAM_HEM_ANGLE']));
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
    expect(codes(trueBlock(closedHem(crossed), TRADE_RULES))).toContain('OUTLINE_CROSSES');
    expect(codes(trueBlock(opened, TRADE_RULES))).toContain('OUTLINE_OPEN');
    expect(codes(trueBlock(turned, TRADE_RULES))).toContain('OUTLINE_REVERSED');
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
  // A piece moved up as a whole keeps its lengths, so every line comes out by exactly the move.
  it.each([
    [1.9, 'plain', 'ok', undefined],
    [2.1, 'plain', 'off', 'warning'],
    [8.1, 'plain', 'off', 'stop'],
    [0.9, 'repeat', 'ok', undefined],
    [1.1, 'repeat', 'off', 'stop'],
  ] as const)('%f mm apart on %s cloth are %s', (by, cloth, state, level) => {
    const straight = sameOutseams(WORKED_BLOCK);
    const report = trueBlock(
      { ...straight, back: moved(straight.back, at(0, by)) },
      { ...TRADE_RULES, cloth },
    );
    for (const check of report.balanceLines) {
      expect(check.difference).toBeCloseTo(by, 2);
      expect(check.state).toBe(state);
    }
    const levels = report.findings
      .filter(({ code }) => code === 'BALANCE_LINE_OFF')
      .map((finding) => finding.level);
    expect(new Set(levels)).toEqual(new Set(level === undefined ? [] : [level]));
    expect(report.sewable).toBe(true);
  });

  it('are not checked where a seam does not reach them', () => {
    const report = trueBlock({ ...WORKED_BLOCK, levels: { ...WORKED_BLOCK.levels, hip: 1200 } }, TRADE_RULES);
    expect(report.balanceLines[0]).toMatchObject({ line: 'hip', difference: null, state: 'not-checked' });
    expect(report.sewable).toBe(true);
  });
});

describe('notches', () => {
  const knee = (piece: PieceRole, fromHemMm: number): Notch => ({
    edgeId: 'inseamL',
    fromStartMm: 425.2789 - fromHemMm,
    kind: 'slit',
    name: piece === 'front' ? 'knee' : 'knee',
  });

  it('are compared with their partners by the distance from the hem', () => {
    const report = trueBlock(withNotches([knee('front', 400)], [knee('back', 401.5)]), TRADE_RULES);
    const [notch] = seamOf(report, 'inseam').notches;
    expect(notch).toMatchObject({ name: 'knee', state: 'off', allowed: 1 });
    expect(notch.frontFromHemMm).toBeCloseTo(400, 3);
    expect(notch.difference).toBeCloseTo(1.5, 3);
    expect(codes(report)).toContain('NOTCH_OFF');
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
    const report = trueBlock(withNotches([knee('front', 400)], []), TRADE_RULES);
    expect(report.findings.find(({ code }) => code === 'NOTCH_WITHOUT_PARTNER')).toMatchObject({
      level: 'warning',
      place: { piece: 'front', part: 'inseam' },
    });
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
      return add(fork, scaleTo(way(fork, waist), 344));
    };
    const off = apart(along(block.front), along(WORKED_BLOCK_DROPPED.front));
    expect(Math.abs(off - 9)).toBeLessThan(0.1);
    expect(off / 344 / DEG).toBeCloseTo(Math.abs(corner.deviation), 2);
  });

  it('is off at 2.1 degrees', () => {
    const corner = cornerOf(trueBlock(forkTurned(WORKED_BLOCK_DROPPED, 2.1), TRADE_RULES), 'fork');
    expect(corner.state).toBe('off');
    expect(corner.fix?.kind).toBe('true-corner');
  });
});

describe('true of every block', () => {
  it('gives the differences that chords give', () => {
    fc.assert(
      fc.property(shake, (moves) => {
        const block = shaken(WORKED_BLOCK, moves);
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
        const report = trueBlock(shaken(WORKED_BLOCK, moves), TRADE_RULES);
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
      shaken(
        WORKED_BLOCK,
        Array.from({ length: 52 }, (_, i) => (i % 7) - 3),
      ),
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

const shake = fc.array(fc.double({ min: -3, max: 3, noNaN: true }), { minLength: 52, maxLength: 52 });

/** Every joint and handle moved by a few millimetres; the outlines stay closed. */
function shaken(block: Block, moves: readonly number[]): Block {
  const shakePiece = (piece: Piece, from: number): Piece => {
    const by = (i: number): Point => at(moves[(from + 2 * i) % 52], moves[(from + 2 * i + 1) % 52]);
    const count = piece.edges.length;
    const edges = piece.edges.map(({ curve, ...edge }, i): Edge => {
      const [start, end] = [by(i), by((i + 1) % count)];
      const moved: Curve =
        curve.kind === 'line'
          ? line(add(curve.p0, start), add(curve.p1, end))
          : cubic(
              add(curve.p0, start),
              add(curve.p1, by(i + 5)),
              add(curve.p2, by(i + 8)),
              add(curve.p3, end),
            );
      return { ...edge, curve: moved };
    });
    return { ...piece, edges };
  };
  return { ...block, front: shakePiece(block.front, 0), back: shakePiece(block.back, 1) };
}

function seamOf(report: TruingReport, seam: SeamName): TruingReport['seams'][number] {
  return report.seams.find((check) => check.seam === seam)!;
}

function cornerOf(report: TruingReport, name: CornerName): TruingReport['corners'][number] {
  return report.corners.find((check) => check.at === name)!;
}

function offs(report: TruingReport): string[] {
  return report.seams.filter(({ state }) => state === 'off').map(({ seam }) => seam);
}

function codes(report: TruingReport): string[] {
  return report.findings.map(({ code }) => code);
}

function ringPoints(piece: Piece): { x: number; y: number }[] {
  return piece.edges.flatMap((edge) => chordPoints(edge.curve).slice(1)).map(({ x, y }) => ({ x, y }));
}

function withCurve(block: Block, role: PieceRole, id: string, change: (curve: Curve) => Curve): Block {
  const edge = edgeById(block[role], id);
  return { ...block, [role]: withEdge(block[role], id, [{ ...edge, curve: change(edge.curve) }]) };
}

function handleMoved(curve: Curve, by: Point): Curve {
  return curve.kind === 'line' ? curve : cubic(curve.p0, add(curve.p1, by), curve.p2, curve.p3);
}

function handleTurned(curve: Curve, end: 'start' | 'end', angleRad: number): Curve {
  if (curve.kind === 'line') return curve;
  return end === 'end'
    ? cubic(curve.p0, curve.p1, turnAbout(curve.p2, curve.p3, angleRad), curve.p3)
    : cubic(curve.p0, turnAbout(curve.p1, curve.p0, angleRad), curve.p2, curve.p3);
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
  const before = (outseam.curve as { p2: Point }).p2;
  const raised = add(end, scaleTo(way(before, end), mm));
  const back = withEdge(block.back, 'outU', [
    outseam,
    { id: 'outV', role: 'outseam', curve: line(end, raised) },
  ]);
  return withCurve({ ...block, back }, 'back', 'waist1', (c) =>
    c.kind === 'line' ? c : { ...c, p0: raised },
  );
}

function legLengthened(block: Block, mm: number): Block {
  const leg = edgeById(block.back, 'dartC1').curve;
  const longer = add(endOf(leg), scaleTo(way(startOf(leg), endOf(leg)), mm));
  const lengthened = withCurve(block, 'back', 'dartC1', (c) => line(startOf(c), longer));
  return withCurve(lengthened, 'back', 'waist0', (c) => (c.kind === 'line' ? c : { ...c, p0: longer }));
}

/** The back's lower inseam with a straight piece of `mm` more or less; both inseams are straight there. */
function stretched(mm: number): Block {
  const hem = endOf(edgeById(WORKED_BLOCK.back, 'inseamL').curve);
  const lower = edgeById(WORKED_BLOCK.back, 'inseamL').curve;
  const end = add(hem, scaleTo(way(startOf(lower), hem), mm));
  const block = withCurve(WORKED_BLOCK, 'back', 'inseamL', (c) => line(startOf(c), end));
  return withCurve(block, 'back', 'hem', (c) => line(end, endOf(c)));
}

function closedHem(block: Block): Block {
  return withCurve(block, 'front', 'hem', (c) =>
    line(endOf(edgeById(block.front, 'inseamL').curve), endOf(c)),
  );
}

function forkTurned(block: Block, turnDeg: number): Block {
  return withCurve(block, 'front', 'rise', (curve) =>
    mapCurve(curve, (p) => turnAbout(p, endOf(curve), turnDeg * DEG)),
  );
}

/** The back with the front's outseam and inseam, so that nothing but a move sets the lines apart. */
function sameOutseams(block: Block): Block {
  const take = (role: EdgeRole) => (edge: Edge) =>
    edge.role === role ? edgeById(block.front, edge.id) : edge;
  const edges = block.back.edges.map(take('outseam')).map(take('inseam'));
  const back = { ...block.back, edges };
  const [side, fork] = [endOf(edgeById(back, 'outU').curve), startOf(edgeById(back, 'inseamU').curve)];
  const hem = [endOf(edgeById(back, 'inseamL').curve), startOf(edgeById(back, 'outL').curve)];
  const joined: readonly (readonly [string, (curve: Curve) => Curve])[] = [
    ['waist1', (c) => ({ ...c, p0: side })],
    ['hem', () => line(hem[0], hem[1])],
    ['crotchE', (c) => line(startOf(c), fork)],
  ];
  const closed = joined.reduce<Block>((so, [id, change]) => withCurve(so, 'back', id, change), {
    ...block,
    back,
  });
  // The side waist and fork corners are not what is looked at here.
  return { ...closed, back: squared(closed.back, block) };
}

function squared(back: Piece, block: Block): Piece {
  const waist = edgeById(back, 'waist1');
  const outseam = edgeById(back, 'outU').curve as { p2: Point; p3: Point };
  const front = trueBlock(block, TRADE_RULES).corners[1].angles[0];
  const down = scaleTo(way(outseam.p3, outseam.p2), 30);
  const handle = add(outseam.p3, turnAbout(down, at(0, 0), (180 - front) * DEG));
  const turned = withEdge(back, 'waist1', [{ ...waist, curve: { ...waist.curve, p1: handle } as Curve }]);
  const rise = edgeById(turned, 'crotch');
  const fork = endOf(edgeById(turned, 'crotchE').curve);
  const inseam = edgeById(turned, 'inseamU').curve as { p0: Point; p1: Point };
  const forkFront = trueBlock(block, TRADE_RULES).corners[0].angles[0];
  const arm = turnAbout(scaleTo(way(inseam.p0, inseam.p1), 30), at(0, 0), -(180 - forkFront) * DEG);
  const bent = { ...rise.curve, p2: add(fork, arm), p3: fork } as Curve;
  return {
    ...turned,
    edges: turned.edges.flatMap((edge) =>
      edge.id === 'crotch' ? [{ ...rise, curve: bent }] : edge.id === 'crotchE' ? [] : [edge],
    ),
  };
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

function way(from: Point, to: Point): Point {
  return at(to.x - from.x, to.y - from.y);
}

function mid(a: Point, b: Point): Point {
  return at((a.x + b.x) / 2, (a.y + b.y) / 2);
}

function scaleTo(p: Point, mm: number): Point {
  const length = Math.hypot(p.x, p.y);
  return at((p.x * mm) / length, (p.y * mm) / length);
}

function apart(a: Point, b: Point): number {
  return Math.hypot(a.x - b.x, a.y - b.y);
}

function heading([from, to]: readonly Point[]): number {
  return Math.atan2(to.y - from.y, to.x - from.x);
}
