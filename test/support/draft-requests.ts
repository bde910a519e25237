import fc from 'fast-check';
import { readDraftRequest, type DraftRequest, type Problem } from '#contracts';

/** An invented body: round numbers, no person. */
export const MEASURES = {
  waistGirth: 740,
  hipGirth: 1000,
  totalCrotchLength: 720,
  waistHeight: 1040,
  insideLegLength: 765,
};
export const BODY = { ref: 'order 1042', sex: 'female', measures: MEASURES };
export const LINE = [
  [0, 0],
  [1, 1],
];
export const CUBIC = [
  [0, 0],
  [1, 2],
  [2, 3],
  [3, 3],
];
export const BLOCK = {
  name: 'W-classic',
  levels: { hip: '83.5 cm', crotch: 746, knee: 455, hem: 30 },
  pieces: [
    {
      role: 'front',
      edges: [
        { role: 'rise', line: LINE, id: 'rise-1' },
        { role: 'inseam', cubic: CUBIC },
      ],
      notches: [{ edge: 1, fromStart: '10 cm' }],
      lines: [
        { role: 'grain', points: [...LINE, [2, 5]] },
        { role: 'fly', cubic: CUBIC },
      ],
    },
    { role: 'back', edges: [{ role: 'hem', line: LINE }] },
  ],
  waistband: { lengthMm: 760 },
};

export function fromBody(rest: Record<string, unknown>): unknown {
  return { body: BODY, block: 'from-body', ...rest };
}

export function withMeasures(measures: Record<string, unknown>): unknown {
  return fromBody({ body: { ...BODY, measures: { ...MEASURES, ...measures } } });
}

export function withFront(rest: Record<string, unknown>): unknown {
  return { ...BLOCK, pieces: [{ role: 'front', edges: BLOCK.pieces[0].edges, ...rest }, BLOCK.pieces[1]] };
}

export function nested(depth: number): unknown {
  let value: unknown = 1;
  for (let i = 0; i < depth; i++) value = i % 2 === 0 ? [value] : { body: value };
  return value;
}

export function read(json: unknown): DraftRequest {
  const result = readDraftRequest(json);
  if (!result.ok) throw new Error(JSON.stringify(result.problems, null, 1));
  return result.request;
}

export function problemsOf(json: unknown): readonly Problem[] {
  const result = readDraftRequest(json);
  return result.ok ? [] : result.problems;
}

/** Requests of every kind the contract takes, with as much left out as may be. */
export function arbRequest(): fc.Arbitrary<unknown> {
  const optional = <T>(shape: { [K in keyof T]: fc.Arbitrary<T[K]> }) =>
    fc.record(shape, { requiredKeys: [] });
  const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });
  const point = fc.tuple(mm(-500, 500), mm(-500, 1500));
  const edge = fc.oneof(
    fc.record({ role: fc.constantFrom('rise', 'hem', 'dart'), line: fc.tuple(point, point) }),
    fc.record({
      role: fc.constant('inseam'),
      id: fc.constant('in-1'),
      cubic: fc.tuple(point, point, point, point),
    }),
  );
  const line = fc.oneof(
    fc.record({ role: fc.constant('hip'), points: fc.array(point, { minLength: 2, maxLength: 5 }) }),
    fc.record({ role: fc.constant('fly'), cubic: fc.tuple(point, point, point, point) }),
  );
  const notch = fc.record({
    edge: fc.constant(0),
    fromStart: mm(0, 400),
    kind: fc.constantFrom('slit', 'v'),
  });
  const piece = (role: string) =>
    fc.record({
      role: fc.constant(role),
      edges: fc.array(edge, { minLength: 1, maxLength: 4 }),
      notches: fc.array(notch, { maxLength: 2 }),
      lines: fc.array(line, { maxLength: 2 }),
    });
  const block = fc.record({
    name: fc.constantFrom('W-classic', 'M 2'),
    levels: fc.record({ hip: mm(0, 2000), crotch: mm(0, 2000), knee: mm(0, 2000), hem: mm(0, 2000) }),
    pieces: fc.tuple(piece('front'), piece('back')),
  });
  const amounts = optional({
    drop: fc.oneof(
      mm(0, 1),
      mm(0, 800).map((value) => `${value.toFixed(3)} mm`),
    ),
    frontRiseExtension: mm(0, 100),
    crop: mm(-200, 600),
    waist: fc.constantFrom('restore', 'leave'),
    hemOpening: fc.constantFrom('closed', 'open'),
  });
  const rest = optional({
    ease: fc.oneof(
      fc.constantFrom('close', 'full'),
      optional({ name: fc.constant('easy'), hip: mm(-300, 800) }),
    ),
    alterations: fc.array(fc.record({ use: fc.constant('drop-crotch'), with: amounts }), { maxLength: 3 }),
    outputs: fc.array(fc.constantFrom('proof', 'pattern', 'tiles-a4', 'dxf', 'bundle'), { maxLength: 4 }),
    finish: optional({
      allowances: optional({ inseam: mm(0, 80), hem: fc.constantFrom('4 cm', '1 1/2 in') }),
      corners: optional({ hem: fc.constantFrom('turned-back', 'mitre'), mitreLimit: mm(1, 10) }),
      notch: optional({ kind: fc.constantFrom('slit', 'v', 'as-drawn'), depth: mm(1, 10) }),
      waist: optional({
        finish: fc.constantFrom('waistband', 'elastic-casing', 'none'),
        height: mm(10, 120),
      }),
      pockets: fc.constantFrom('side-seam', 'none'),
      paper: fc.constantFrom('roll-610', 'a0'),
      dxf: optional({ units: fc.constantFrom('metric', 'english') }),
    }),
    cloth: optional({
      name: fc.constantFrom('denim', 'Köper 2'),
      width: mm(200, 5000),
      repeat: mm(1, 2000),
      stretch: mm(0, 15),
      shrinkage: optional({ warp: mm(-5, 20), weft: fc.constantFrom(0, 1, 2.5, 3) }),
    }),
    reference: fc.constantFrom('order 1042', 'Bestellung 7 ü'),
    dated: fc.constantFrom('2024-02-29', '2026-12-31'),
    confirm: fc.array(fc.constantFrom('SPLIT_MOVED', 'AT_LIMIT'), { maxLength: 4 }),
  });
  const sent = fc.oneof(fc.constant('from-body' as const), block);
  const correction = fc.record({
    date: fc.constantFrom('2026-01-05', '2024-02-29'),
    use: fc.constantFrom('waist', 'centre-back'),
    with: fc.record({ by: fc.constantFrom(-10, '8 mm', '1/4 in') }),
  });
  const fitted = fc.oneof(
    fc.constant({}),
    fc.record({
      fit: fc.constant('to-body'),
      fitting: optional({
        keep: fc.constantFrom('line', 'measures'),
        weights: optional({
          hip: optional({ frontSide: mm(0, 100) }),
          knee: optional({ backInseam: mm(0, 9) }),
        }),
        limits: optional({ seam: mm(0, 150), dart: fc.constantFrom('3 cm', '1 in'), seatAngle: mm(0, 20) }),
      }),
    }),
  );
  const corrected = optional({ corrections: fc.array(correction, { maxLength: 3 }) });
  return fc.tuple(rest, sent, corrected, fitted).map(([others, given, taught, fit]) => ({
    body: { ...BODY, ...taught },
    block: given,
    ...(given === 'from-body' ? {} : fit),
    ...others,
  }));
}
