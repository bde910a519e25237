import { cubic, type Curve, type Point } from '#geometry';
import type {
  Edge,
  Finding,
  FindingLevel,
  Levels,
  Moved,
  Notch,
  Piece,
  PieceLine,
  PieceRole,
} from '#pattern';
import type { FitRow, DrawnPieces, ProofContent } from '#sheets';
import {
  BACK_AFTER,
  BACK_BEFORE,
  FRONT_AFTER,
  FRONT_BEFORE,
  LEVELS_AFTER,
  LEVELS_BEFORE,
  ROLE_OF_EDGE,
  type EdgeTable,
} from './drop-crotch-example.js';

/** How a variant differs from the worked example. */
export interface Shape {
  /** Widths and heights times this. */
  readonly across: number;
  readonly up: number;
  /** Waist pushed out at both sides by this share of its distance from the crease: over 0.3 it is wider than the hip. */
  readonly waistOut?: number;
}

/** The figures a sheet is looked at with: from a short round body to a tall narrow one. */
export const SHAPES: Readonly<Record<string, Shape>> = {
  worked: { across: 1, up: 1 },
  'short wide': { across: 1.22, up: 0.84 },
  'tall thin': { across: 0.8, up: 1.24 },
  'tall wide': { across: 1.2, up: 1.24 },
  small: { across: 0.8, up: 0.8 },
  'waist wider than hip': { across: 1.05, up: 0.95, waistOut: 0.45 },
};

/** The worked example with lines and notches, stretched to `shape`. */
export function piecesOf(time: 'before' | 'after', shape: Shape): DrawnPieces {
  const levels = time === 'before' ? LEVELS_BEFORE : LEVELS_AFTER;
  const move = stretch(shape);
  return {
    front: pieceFrom('front', time === 'before' ? FRONT_BEFORE : FRONT_AFTER, time, move),
    back: pieceFrom('back', time === 'before' ? BACK_BEFORE : BACK_AFTER, time, move),
    levels: {
      hip: levels.hip * shape.up,
      crotch: levels.crotch * shape.up,
      knee: levels.knee * shape.up,
      hem: levels.hem * shape.up,
    } satisfies Levels,
  };
}

function stretch({ across, up, waistOut = 0 }: Shape): (p: Point) => Point {
  return ({ x, y }) => {
    const share = Math.min(1, Math.max(0, (y - LEVELS_BEFORE.hip) / 200));
    return { x: x * across * (1 + waistOut * share), y: y * up };
  };
}

function pieceFrom(
  role: PieceRole,
  table: EdgeTable,
  time: 'before' | 'after',
  move: (p: Point) => Point,
): Piece {
  const edges = table.map(([id, [x0, y0, x1, y1, x2, y2, x3, y3]]): Edge => ({
    id,
    role: ROLE_OF_EDGE[id],
    curve: cubic(
      move({ x: x0, y: y0 }),
      move({ x: x1, y: y1 }),
      move({ x: x2, y: y2 }),
      move({ x: x3, y: y3 }),
    ),
  }));
  return {
    role,
    edges,
    lines: role === 'front' && time === 'after' ? [fly(move)] : [],
    notches: notches(role),
  };
}

/** The fly of the worked example: on the rise, the bend, the top. */
function fly(move: (p: Point) => Point): PieceLine {
  const end = move({ x: 183.43, y: 811.14 });
  const bend = move({ x: 117.4, y: 841.72 });
  const top = move({ x: 34.19, y: 1038.97 });
  const third = (a: Point, b: Point, t: number): Point => ({
    x: a.x + (b.x - a.x) * t,
    y: a.y + (b.y - a.y) * t,
  });
  const straight: Curve = cubic(top, third(top, bend, 1 / 3), third(top, bend, 2 / 3), bend);
  const curved: Curve = cubic(bend, move({ x: 130, y: 811 }), move({ x: 150, y: 800 }), end);
  return { role: 'fly', curves: [straight, curved] };
}

function notches(role: PieceRole): Notch[] {
  return [
    { edgeId: 'outM', fromStartMm: 60, kind: 'slit', name: 'hip' },
    { edgeId: 'outL', fromStartMm: 300, kind: 'slit', name: 'knee' },
    { edgeId: 'inseamU', fromStartMm: 180, kind: 'slit', name: 'knee' },
    { edgeId: 'rise', fromStartMm: 150, kind: role === 'front' ? 'slit' : 'v', name: 'rise' },
  ];
}

const MOVED: readonly Moved[] = [
  { operation: 'lower fork', piece: 'front', part: 'fork', byMm: 191.5 },
  { operation: 'lower fork', piece: 'back', part: 'fork', byMm: 144.8 },
  { operation: 'extend rise', piece: 'front', part: 'centre waist', byMm: 15 },
  { operation: 'extend rise', piece: 'back', part: 'centre waist', byMm: 10 },
  { operation: 'move along level', piece: 'front', part: 'hem inseam', byMm: 19 },
  { operation: 'redraw seam', piece: 'front', part: 'inseam', byMm: -93.2, beforeMm: 720, afterMm: 626.8 },
  { operation: 'copy seam', piece: 'back', part: 'inseam', byMm: -93.2, beforeMm: 720, afterMm: 626.8 },
  {
    operation: 'straighten seam',
    piece: 'front',
    part: 'outseam',
    byMm: -0.9,
    beforeMm: 1016,
    afterMm: 1015.1,
  },
  { operation: 'move point along', piece: 'back', part: 'side waist', byMm: 1.2 },
  { operation: 'square and blend', piece: 'front', part: 'waist', byMm: -3.5, beforeMm: 191.5, afterMm: 188 },
  { operation: 'square and blend', piece: 'back', part: 'waist', byMm: -1.4, beforeMm: 186, afterMm: 184.6 },
];

const FIT: readonly FitRow[] = [
  { name: 'ease at waist', valueMm: 5.2, green: { minMm: 10 }, state: 'amber' },
  { name: 'ease at hip', valueMm: 40, green: { minMm: 30 }, state: 'green' },
  { name: 'ease at knee', valueMm: 73.3, green: { minMm: 40 }, state: 'green' },
  { name: 'ease at calf', valueMm: 48.9, green: { minMm: 30 }, state: 'green' },
  { name: 'fork below the body', valueMm: 170, green: {}, state: 'green' },
  { name: 'sitting index', valueMm: 42.6, green: { minMm: -120 }, state: 'green' },
  { name: 'foot through the hem', valueMm: 5.4, green: { minMm: 20 }, state: 'red' },
  { name: 'hip through the waist', valueMm: 146, green: { minMm: 20 }, state: 'green' },
  { name: 'longest step', valueMm: 1012, green: { minMm: 714 }, state: 'green' },
  { name: 'inseam to spare in a step', valueMm: -0.2, green: { minMm: 0 }, state: 'amber' },
];

/** A whole proof with the numbers of the worked example and `findingCount` findings. */
export function proofOf(shape: Shape, findingCount: number, over: Partial<ProofContent> = {}): ProofContent {
  return {
    facts: {
      reference: 'order 1042 / line 7',
      blockName: 'W-classic, fitted to body B-3311',
      alterations: [
        'drop-crotch: fork down 145.6 (half-way to the knee), front rise +15, back rise +10, hem in 19, waist left, inseam trued to the front',
      ],
    },
    added: [],
    allowances: 'none',
    before: piecesOf('before', shape),
    after: piecesOf('after', shape),
    moved: MOVED,
    findings: findingsOf(findingCount),
    sewable: findingCount < 10,
    seams: [
      { seam: 'inseam', firstMm: 626.82, secondMm: 626.82, differenceMm: 0, allowedMm: 1, state: 'fixed' },
      {
        seam: 'outseam',
        firstMm: 1015.065,
        secondMm: 1015.065,
        differenceMm: 0,
        allowedMm: 1,
        state: 'fixed',
      },
      { seam: 'centre front', firstMm: 496.435, allowedMm: 1, state: 'ok' },
      { seam: 'centre back', firstMm: 555.656, allowedMm: 1, state: 'ok' },
      {
        seam: 'waist against band',
        firstMm: 745.17,
        secondMm: 755,
        differenceMm: -9.83,
        allowedMm: { fromMm: 0, toMm: 15.1 },
        state: findingCount >= 10 ? 'off' : 'for-finishing',
      },
      { seam: 'front dart', firstMm: 101.62, secondMm: 101.62, differenceMm: 0, allowedMm: 0.5, state: 'ok' },
      { seam: 'back dart', firstMm: 140.14, secondMm: 140.14, differenceMm: 0, allowedMm: 0.5, state: 'ok' },
    ],
    corners: [
      { at: 'fork', anglesDeg: [91.353, 88.647], sumDeg: 180, targetDeg: 180, deviationDeg: 0, state: 'ok' },
      {
        at: 'side waist',
        anglesDeg: [85.38, 94.62],
        sumDeg: 180,
        targetDeg: 180,
        deviationDeg: 0,
        state: 'ok',
      },
      {
        at: 'side hem',
        anglesDeg: [94.3, 93.2],
        sumDeg: 187.5,
        targetDeg: 180,
        deviationDeg: 7.5,
        state: 'for-finishing',
      },
      {
        at: 'inseam hem',
        anglesDeg: [97.2, 97.2],
        sumDeg: 194.3,
        targetDeg: 180,
        deviationDeg: 14.3,
        state: 'for-finishing',
      },
      { at: 'centre front waist', anglesDeg: [90], sumDeg: 90, targetDeg: 90, deviationDeg: 0, state: 'ok' },
      { at: 'centre back waist', anglesDeg: [90], sumDeg: 90, targetDeg: 90, deviationDeg: 0, state: 'ok' },
    ],
    measures: [
      { name: 'waist', bodyMm: 740, easeMm: 15, targetMm: 755, draftedMm: 745.17, differenceMm: -9.83 },
      { name: 'hip', bodyMm: 1000, easeMm: 40, targetMm: 1040, draftedMm: 1040, differenceMm: 0 },
      {
        name: 'thigh at old fork',
        bodyMm: 585,
        easeMm: 80,
        targetMm: 665,
        draftedMm: 811.4,
        differenceMm: 146.4,
      },
      { name: 'knee', bodyMm: 370, easeMm: 70, targetMm: 440, draftedMm: 566.9, differenceMm: 126.9 },
      { name: 'hem', bodyMm: 310, easeMm: 30, targetMm: 340.4, draftedMm: 330.4, differenceMm: -10 },
      { name: 'front rise', targetMm: 496.4, draftedMm: 496.435, differenceMm: 0 },
      { name: 'back rise', targetMm: 555.7, draftedMm: 555.656, differenceMm: 0 },
      { name: 'total rise', bodyMm: 720, easeMm: 20, draftedMm: 1052.09 },
      { name: 'inseam front', targetMm: 626.8, draftedMm: 626.82, differenceMm: 0 },
      { name: 'inseam back', targetMm: 626.8, draftedMm: 626.82, differenceMm: 0 },
      { name: 'outseam front', targetMm: 1015.1, draftedMm: 1015.065, differenceMm: 0 },
      { name: 'outseam back', targetMm: 1015.1, draftedMm: 1015.065, differenceMm: 0 },
    ],
    estimates: [
      { name: 'thigh girth', valueMm: 585, plusMinusMm: 18 },
      { name: 'ankle girth', valueMm: 232, plusMinusMm: 9 },
    ],
    fit: FIT,
    provenance: { engine: 'forkline 0.1.0', requestHash: '9f2c51d07e4ab3386d1c0f55', dated: '2025-03-04' },
    ...over,
  };
}

type Template = readonly [
  level: FindingLevel,
  code: string,
  message: string,
  action: string,
  place?: Finding['place'],
];

const TEMPLATES: readonly Template[] = [
  [
    'warning',
    'WAISTBAND_SHORTER',
    'Waist seam is 9.8 shorter than the band.',
    'Release each of 4 darts by 2.5, or let out both side seams by 2.5.',
    { piece: 'back', part: 'waist' },
  ],
  [
    'info',
    'RISE_NEAR_BIAS',
    'Front rise leans 22.9° and back rise 25.6°: the centre seams run near the bias.',
    'Stay-tape the centre seams.',
    { piece: 'front', part: 'front rise' },
  ],
  [
    'info',
    'HEM_TAPER_KEPT',
    'The hem is 330.4 wide; heel and instep pass with 20 to spare.',
    'Nothing to do.',
    { piece: 'front', part: 'hem' },
  ],
  [
    'warning',
    'FLY_LONG',
    'The fly is 267.9 long, longer than the 200 that is usual.',
    'Cut the fly at 200, or order the longer zip.',
    { piece: 'front', part: 'fly' },
  ],
  [
    'info',
    'CREASE_OFF_HEM_MIDDLE',
    'The middle of the hem lies 9.5 off the crease.',
    'Do not press a crease; keep the grain.',
    { piece: 'back', part: 'hem' },
  ],
  [
    'info',
    'INSEAM_TRUED',
    'The back inseam was 5.2 shorter than the front and took the front’s shape; the back lost 10.0 at the hem.',
    'Look at the back leg for drag lines at the first fitting.',
    { piece: 'back', part: 'inseam' },
  ],
  [
    'stop',
    'CORNER_OFF',
    'The corners at the side waist add up to 184.6°, 2.6 more than allowed.',
    'Redraw the waist so that front and back meet in one line.',
    { piece: 'front', part: 'sideWaist' },
  ],
  [
    'warning',
    'FORK_WIDE',
    'The forks together are 544.5 wide, over half of the hip.',
    'Check the step length with the customer.',
    { piece: 'back', part: 'fork' },
  ],
  [
    'info',
    'ESTIMATED',
    'Thigh and ankle girth were not measured; they were estimated from the rest.',
    'Measure them before cutting if the leg is close.',
  ],
  [
    'info',
    'DART_DEEP',
    'The back dart is 140.1 long and ends 92.7 above the hip line.',
    'Nothing to do.',
    { piece: 'back', part: 'dart' },
  ],
];

export function findingsOf(count: number): Finding[] {
  return Array.from({ length: count }, (_, i) => {
    const [level, code, message, action, place] = TEMPLATES[i % TEMPLATES.length];
    return { code, level, message, action, ...(place === undefined ? {} : { place }) };
  });
}
