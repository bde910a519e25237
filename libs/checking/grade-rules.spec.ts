import { describe, expect, it } from '@jest/globals';
import { distance, type Point } from '#geometry';
import type { ForeignPiece } from '#interchange';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { gradeTable, withGradeRules } from '../../test/support/grade-texts.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern, type CheckReport } from './index.js';

const [sound] = soundPatterns(surveyBodies(), 1, numbersFrom(7));
const PLAIN = dxfOf(sound.pattern.pieces);
const plain = checkPattern(PLAIN, CHECK_DEFAULTS);

const judged = (text: string, gradeRules: string | undefined, size?: string) =>
  checkPattern(text, {
    ...CHECK_DEFAULTS,
    ...(gradeRules === undefined ? {} : { gradeRules }),
    ...(size === undefined ? {} : { size }),
  });

/** But that other sizes are there, which is said of every table. */
const codesOf = ({ findings }: CheckReport): string[] =>
  findings.map(({ code }) => code).filter((code) => code !== 'SIZES_NOT_JUDGED');
const points = (piece: ForeignPiece): readonly Point[] => [
  ...(piece.boundary?.points ?? []),
  ...piece.sewLines.flatMap((line) => line.points),
  ...piece.internalLines.flatMap((line) => line.points),
  ...piece.notches.map(({ at }) => at),
  ...piece.drillHoles.map(({ at }) => at),
  ...piece.turnPoints,
  ...piece.curvePoints,
];

/** How far the farthest point of all pieces lies from where a map sends it. */
function offMm(
  before: readonly ForeignPiece[],
  after: readonly ForeignPiece[],
  map: (p: Point) => Point,
): number {
  const all = before.flatMap((piece, k) => {
    const now = points(after[k]);
    const then = points(piece);
    expect(now).toHaveLength(then.length);
    return then.map((p, i) => distance(map(p), now[i]));
  });
  return Math.max(...all);
}

describe('a size that is made by grade rules', () => {
  it('is the sample moved, where all turn points move alike', () => {
    const text = withGradeRules(PLAIN, ({ layer }) => (layer === '2' ? '1' : undefined));
    const table = gradeTable(['S', 'MTM', 'L'], 'MTM', {
      1: [
        [-7, 3],
        [0, 0],
        [7, -3],
      ],
    });
    const { report, pieces } = judged(text, table, 'L');
    expect(offMm(plain.pieces, pieces, ({ x, y }) => ({ x: x + 7, y: y - 3 }))).toBeLessThan(1e-9);
    expect(codesOf(report)).toEqual(['GRADED_BY_RULES']);
    expect(report.file.size).toBe('L');
    expect(report.pieces.map(({ size }) => size)).toEqual(report.pieces.map(() => 'L'));
    for (const [i, { difference }] of report.seams.entries())
      expect(difference).toBeCloseTo(plain.report.seams[i].difference, 2);
  });

  it('moves along the axes of the grade reference line', () => {
    const upwards = withGradeRules(PLAIN, ({ layer }) => (layer === '2' ? '1' : undefined)).replaceAll(
      /(\r\n0\r\nENDBLK)/g,
      '\r\n0\r\nLINE\r\n8\r\n5\r\n10\r\n10.0\r\n20\r\n0.0\r\n11\r\n10.0\r\n21\r\n50.0$1',
    );
    const table = gradeTable(['MTM', 'L'], 'MTM', {
      1: [
        [0, 0],
        [7, -3],
      ],
    });
    const { pieces } = judged(upwards, table, 'L');
    expect(offMm(plain.pieces, pieces, ({ x, y }) => ({ x: x + 3, y: y + 7 }))).toBeLessThan(1e-9);
  });

  it('is the sample stretched, where every vertex has a rule of its own that stretches it', () => {
    const moves: Record<string, [number, number][]> = {};
    const text = withGradeRules(PLAIN, ({ layer, x, y }) => {
      if (!['1', '14'].includes(layer)) return undefined;
      const rule = String(Object.keys(moves).length + 1);
      moves[rule] = [
        [0, 0],
        [0.04 * x, 0.02 * y],
      ];
      return rule;
    });
    const { report, pieces } = judged(text, gradeTable(['MTM', 'L'], 'MTM', moves), 'L');
    const stretched = ({ x, y }: Point): Point => ({ x: 1.04 * x, y: 1.02 * y });
    const outlines = (all: readonly ForeignPiece[]): ForeignPiece[] =>
      all.map((piece) => ({
        ...piece,
        internalLines: [],
        notches: [],
        drillHoles: [],
        turnPoints: [],
        curvePoints: [],
      }));
    expect(offMm(outlines(plain.pieces), outlines(pieces), stretched)).toBeLessThan(1e-5);
    // The length of a seam by its chords, another way than the checker's, whose curves lie within 0.05 mm of the points.
    const [leg] = plain.kinds.filter(({ kind }) => kind === 'front');
    const chords = leg.outline.points.map(stretched);
    const ringMm = chords.reduce(
      (sum, p, i) => sum + distance(chords[(i + chords.length - 1) % chords.length], p),
      0,
    );
    const front = report.pieces.find(({ kind }) => kind === 'front');
    expect(front?.sewLineMm).toBeCloseTo(ringMm, 3);
  });

  it('is found not to sew together where the rules of two legs differ', () => {
    const hem = Object.fromEntries(
      plain.kinds
        .filter(({ kind }) => kind === 'front' || kind === 'back')
        .map(({ outline: { piece, points: ring } }) => [
          piece.block,
          Math.min(...ring.map(({ y }) => y)) + 1,
        ]),
    );
    const text = withGradeRules(PLAIN, ({ block, layer, y }) => {
      if (layer !== '2' || !(block in hem)) return undefined;
      if (y > hem[block]) return '0';
      return block.toUpperCase().includes('BACK') ? 'back' : 'front';
    });
    const table = gradeTable(['MTM', 'L', 'XL'], 'MTM', {
      0: [
        [0, 0],
        [0, 0],
        [0, 0],
      ],
      front: [
        [0, 0],
        [0, -10],
        [0, -20],
      ],
      back: [
        [0, 0],
        [0, -10.4],
        [0, -22],
      ],
    });
    expect(codesOf(judged(text, table).report)).toEqual([]);
    const inseam = (size?: string): number =>
      judged(text, table, size).report.seams.find(({ seam }) => seam === 'inseam')?.difference ?? Number.NaN;
    for (const [size, front, back] of [
      ['L', 10, 10.4],
      ['XL', 20, 22],
    ] as const)
      expect(inseam(size) - inseam()).toBeCloseTo(longerMm('back', back) - longerMm('front', front), 2);
    const bare = judged(text, table, 'L').report;
    expect(codesOf(bare)).not.toContain('INSEAM_MISMATCH');
    // Only the legs have rules.
    expect(bare.findings.find(({ code }) => code === 'GRADE_PIECE_WITHOUT_RULES')?.numbers).toEqual({
      count: plain.pieces.length - 2,
    });
    const { report } = judged(text, table, 'XL');
    expect(codesOf(report)).toEqual(expect.arrayContaining(['INSEAM_MISMATCH', 'OUTSEAM_MISMATCH']));
    // Its points stand in no file.
    expect(report.corrections).toEqual([]);
    expect(codesOf(report)).not.toContain('CORRECTION_NOT_DRAWN');
    expect(report.findings.find(({ code }) => code === 'INSEAM_MISMATCH')?.action).toMatch(
      /^Correct the grade rules/,
    );
  });

  it('grows on both sides of a fold', () => {
    const half = [
      ['POLYLINE', '8', '1', '66', '1', '70', '1'],
      ...[
        [0, 0],
        [100, 0],
        [100, 300],
        [0, 300],
      ].map(([x, y]) => ['VERTEX', '8', '1', '10', `${x}`, '20', `${y}`]),
      ['SEQEND'],
      ['LINE', '8', '6', '10', '0', '20', '0', '11', '0', '21', '300'],
      ['TEXT', '8', '1', '10', '100', '20', '300', '1', '# 1'],
      ['TEXT', '8', '1', '10', '100', '20', '0', '1', '# 2'],
      ['TEXT', '8', '1', '10', '0', '20', '0', '1', 'Piece Name:Yoke'],
    ].map(([kind, ...rest]) => ['0', kind, ...rest].join('\n'));
    const text = `0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nYOKE\n${half.join('\n')}\n0\nENDBLK\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\n1\n10\n0\n20\n0\n1\nUnits:METRIC\n0\nENDSEC\n0\nEOF\n`;
    const table = gradeTable(['S', 'L'], 'S', {
      1: [
        [0, 0],
        [8, 4],
      ],
      2: [
        [0, 0],
        [8, 0],
      ],
    });
    const [{ boundary }] = judged(text, table, 'L').pieces;
    const corners = (boundary?.points ?? []).map(({ x, y }) => [x, y]);
    expect(corners).toEqual(
      expect.arrayContaining([
        [108, 304],
        [108, 0],
        [-108, 304],
        [-108, 0],
      ]),
    );
  });
});

describe('a grade rule table', () => {
  const text = withGradeRules(PLAIN, ({ layer }) => (layer === '2' ? '1' : undefined));
  const sizes = ['S', 'MTM', 'L'];
  const rules = {
    1: [
      [-7, 3],
      [0, 0],
      [7, -3],
    ],
  } as const;

  it('is asked for where points have rules, and for nothing else', () => {
    expect(codesOf(judged(text, undefined).report)).toEqual(['GRADE_TABLE_NOT_SENT']);
    expect(judged(text, undefined).report.sewable).toBe(true);
    expect(codesOf(judged(PLAIN, gradeTable(sizes, 'MTM', rules)).report)).toEqual(['GRADE_RULES_UNUSED']);
  });

  it('that fits has nothing said of it', () => {
    const { report } = judged(text, gradeTable(sizes, 'MTM', rules));
    expect(report.findings.map(({ code, message }) => [code, message])).toEqual([
      ['SIZES_NOT_JUDGED', 'Size MTM was judged; the file or its grade rule table also has S, L.'],
    ]);
    expect(report.file.size).toBe('MTM');
    expect(report.seams).toEqual(plain.report.seams);
  });

  it.each([
    [
      'a rule that it has not',
      ['GRADE_RULE_MISSING', 'GRADE_RULES_UNUSED'],
      gradeTable(sizes, 'MTM', { 2: rules[1] }),
    ],
    ['a rule that no point has', ['GRADE_RULES_UNUSED'], gradeTable(sizes, 'MTM', { ...rules, 2: rules[1] })],
    ['another sample size', ['GRADE_SAMPLE_OTHER', 'GRADE_SAMPLE_MOVES'], gradeTable(sizes, 'L', rules)],
    [
      'a sample size that moves',
      ['GRADE_SAMPLE_MOVES'],
      gradeTable(sizes, 'MTM', {
        1: [
          [0, 0],
          [1, 0],
          [2, 0],
        ],
      }),
    ],
    ['no end', ['RUL_CUT_OFF'], gradeTable(sizes, 'MTM', rules).replace('END\n', '')],
    ['no unit', ['RUL_UNITS'], gradeTable(sizes, 'MTM', rules).replace('UNITS: METRIC', '')],
  ])('with %s is said to have it', (_, codes, table) => {
    expect(codesOf(judged(text, table).report).sort()).toEqual([...codes].sort());
  });

  it('of another name is said to be another', () => {
    const named = text.replace('Grade Rule Table:', 'Grade Rule Table:T2');
    expect(codesOf(judged(named, gradeTable(sizes, 'MTM', rules)).report)).toEqual(['GRADE_TABLE_OTHER']);
  });

  it('whose rules stand beside their points, or not at every turn point, is placed', () => {
    const beside = text.replace(
      /(10\r\n)(-?\d+\.\d+)(\r\n20\r\n[^\r]*\r\n40\r\n2\.0\r\n1\r\n# 1)/,
      (_, a, x, b) => `${a}${Number(x) + 3}${b}`,
    );
    const { report } = judged(beside, gradeTable(sizes, 'MTM', rules));
    expect(codesOf(report).sort()).toEqual(['GRADE_POINT_WITHOUT_RULE', 'GRADE_RULE_OFF_POINT']);
    const [one, other] = report.findings;
    expect(one.place.at).toBeDefined();
    expect(other.place.at).toBeDefined();
    expect(distance(one.place.at as Point, other.place.at as Point)).toBeCloseTo(3, 6);
  });

  it('that lacks a rule makes no size, and nothing is said of one', () => {
    const lacking = gradeTable(sizes, 'MTM', { 2: rules[1] });
    const { report } = judged(text, lacking, 'L');
    expect(codesOf(report).sort()).toEqual(['GRADE_RULES_UNUSED', 'GRADE_RULE_MISSING', 'SIZE_NOT_MADE']);
    expect(report).toMatchObject({ judged: 'nothing', seams: [], corrections: [], sewable: false });
  });

  it('without the size asked for is said to have none', () => {
    const { report } = judged(text, gradeTable(sizes, 'MTM', rules), '99');
    expect(report.findings.map(({ code, action }) => [code, action])).toEqual([
      ['SIZE_UNKNOWN', 'Choose one of S, MTM, L.'],
    ]);
  });
});

describe('a size whose rules make no sense', () => {
  it.each(Array.from({ length: IS_NIGHT ? 300 : 6 }, (_, i) => i))(
    '%i: is answered, with finite numbers',
    (i) => {
      const next = numbersFrom(SEED + i);
      const most = 10 ** (4 * next());
      const move = (): [number, number] => [most * (2 * next() - 1), most * (2 * next() - 1)];
      const count = 1 + Math.floor(40 * next());
      const rules = Object.fromEntries(
        Array.from({ length: count }, (_, k) => [String(k), [[0, 0] as const, move()]]),
      );
      const layers = next() < 0.5 ? ['2'] : ['1', '2', '3', '14', '8', '4'];
      const share = next();
      const text = withGradeRules(PLAIN, ({ layer }) =>
        layers.includes(layer) && next() < share ? String(Math.floor(count * next())) : undefined,
      );
      const { report } = judged(text, gradeTable(['MTM', 'L'], 'MTM', rules), 'L');
      expect(report.findings.length).toBeGreaterThan(0);
      // JSON has no word for what is not finite: it would be null.
      const numbers = JSON.stringify([
        report.seams,
        report.corners,
        report.findings.map((each) => each.numbers),
      ]);
      expect(numbers).not.toMatch(/:null,"(lengthMm|difference|sumDeg)|NaN/);
    },
  );

  it('is not made where a piece has more rules than anyone gives it', () => {
    const at = plain.pieces[0].boundary?.points[0] ?? { x: 0, y: 0 };
    const many = Array.from({ length: 3_000 }, (_, i) =>
      ['0', 'TEXT', '8', '1', '10', `${at.x + i}`, '20', `${at.y}`, '40', '2', '1', '# 1'].join('\r\n'),
    ).join('\r\n');
    const text = PLAIN.replace('\r\n0\r\nENDBLK', `\r\n${many}\r\n0\r\nENDBLK`);
    const { report } = judged(text, gradeTable(['MTM', 'L'], 'MTM', { 1: [[0, 0], [1, 1]] }), 'L'); // prettier-ignore
    const found = report.findings.find(({ code }) => code === 'PIECE_NOT_GRADED');
    expect(found).toMatchObject({ level: 'stop', place: { piece: plain.pieces[0].block } });
  });
});

/** By how much an inseam grows when its hem end goes down, by hand: each chord of its lowest stretch takes its share. */
function longerMm(role: 'front' | 'back', downMm: number): number {
  if (plain.trouser === undefined) throw new Error('no trouser');
  const { reading, roles } = plain.trouser[role];
  const { points: ring, curves, turns } = reading.outline;
  const seam = reading.source.filter((_, i) => roles[i] === 'inseam').map((k) => curves[k]);
  const [first, last] = [seam[0].first, seam[seam.length - 1].last];
  const from =
    Array.from({ length: last - first }, (_, i) => first + i)
      .filter((i) => turns[i])
      .at(-1) ?? first;
  const run = ring.slice(from, last + 1);
  const wholeMm = run.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(run[i - 1], p)), 0);
  return run.slice(1).reduce((sum, p, i) => {
    const mm = distance(run[i], p);
    const down = (downMm * mm) / wholeMm;
    return sum + Math.hypot(p.x - run[i].x, p.y - run[i].y - down) - mm;
  }, 0);
}
