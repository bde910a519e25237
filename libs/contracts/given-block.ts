import { cubic, line as straight, type Curve, type Point } from '#geometry';
import {
  EDGE_ROLES,
  LINE_ROLES,
  type EdgeRole,
  type GivenEdge as PatternEdge,
  type GivenNotch,
  type Levels,
  type PieceLine,
  type PieceRole,
} from '#pattern';
import { z } from 'zod';
import {
  either,
  field,
  fields,
  index,
  length,
  line,
  list,
  number,
  oneOf,
  outOfRange,
  wrongType,
  type Read,
} from './field.js';
import { issuesToProblems, toProblem, valueOf } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, type Parsed, type Problem } from './problem.js';
import { LEFT_OUT } from './wire-form.js';

/** A block as somebody sent it: read, and not yet looked at as a pattern. Lengths in mm. */
export interface GivenBlock {
  readonly name: string;
  readonly levels: Levels;
  /** One front and one back. */
  readonly pieces: readonly GivenPiece[];
  readonly waistbandMm?: number;
}

export interface GivenPiece {
  readonly role: PieceRole;
  readonly edges: readonly GivenEdge[];
  readonly notches: readonly GivenNotch[];
  readonly lines: readonly PieceLine[];
}

/** An edge as `#pattern` reads it, and what a draft of ours that is sent back says of where it came from. */
export interface GivenEdge extends PatternEdge {
  /** Ids of the edges it was made of. */
  readonly from?: readonly string[];
}

/** A trouser has five seams a piece and a dart or two; two hundred edges leave room for digitised outlines. */
export const EDGES_MAX = 200;
const LINES_MAX = 50;
const LINE_POINTS_MAX = 200;
const NOTCHES_MAX = 100;
const NAME_LENGTH_MAX = 64;

/** Further from the crease or the floor than any garment reaches, in mm. */
const REACH_MM = 5000;

const coordinate = number({ min: -REACH_MM, max: REACH_MM, unit: 'mm' });

const POINT_FORM = {
  type: 'array',
  items: { type: 'number', minimum: -REACH_MM, maximum: REACH_MM },
  minItems: 2,
  maxItems: 2,
};

function points(count: number, otherwise = '') {
  const form = `a list of ${count} points [x, y]${otherwise}`;
  return field(
    { form },
    (found): Read<readonly unknown[]> =>
      Array.isArray(found) && found.length === count
        ? { value: found }
        : { fault: wrongType(found, { form }) },
    { type: 'array', items: POINT_FORM, minItems: count, maxItems: count },
  ).pipe(z.array(point));
}

export const point = field(
  { form: 'a point [x, y]' },
  (found): Read<readonly unknown[]> =>
    Array.isArray(found) && found.length === 2
      ? { value: found }
      : { fault: wrongType(found, { form: 'a point [x, y]' }) },
  POINT_FORM,
)
  .pipe(z.tuple([coordinate, coordinate]))
  .transform(([x, y]): Point => ({ x, y }));

const edgeShape = {
  role: oneOf(EDGE_ROLES),
  id: line(NAME_LENGTH_MAX).optional(),
  from: list(line(NAME_LENGTH_MAX), EDGES_MAX).optional(),
};

const STRAIGHT_EDGE = fields({
  ...edgeShape,
  line: points(2, ', or a cubic of 4 in its place'),
  cubic: besideAnother('line').optional(),
});
const CURVED_EDGE = fields({ ...edgeShape, cubic: points(4) });

// Which of the two was meant shows in the name that was sent, so that only its own faults are reported.
const EDGE = either(
  (found): z.ZodType<GivenEdge> => {
    if (isCubicOnly(found, 'line')) {
      return CURVED_EDGE.transform(({ cubic: handles, ...edge }) => ({
        ...named(edge),
        curve: bezier(handles),
      }));
    }
    return STRAIGHT_EDGE.transform(({ line: ends, ...edge }) => ({
      ...named(edge),
      curve: polyline(ends)[0],
    }));
  },
  [STRAIGHT_EDGE, CURVED_EDGE],
);

const lineShape = { role: oneOf(LINE_ROLES) };
const POLYLINE = fields({
  ...lineShape,
  points: list(point, LINE_POINTS_MAX).min(2),
  cubic: besideAnother('points').optional(),
});
const CURVED_LINE = fields({ ...lineShape, cubic: points(4) });

const LINE = either(
  (found): z.ZodType<PieceLine> => {
    if (isCubicOnly(found, 'points')) {
      return CURVED_LINE.transform(({ role, cubic: handles }) => ({ role, curves: [bezier(handles)] }));
    }
    return POLYLINE.transform(({ role, points: corners }) => ({ role, curves: polyline(corners) }));
  },
  [POLYLINE, CURVED_LINE],
);

function isCubicOnly(found: unknown, other: string): boolean {
  return typeof found === 'object' && found !== null && 'cubic' in found && !(other in found);
}

function besideAnother(other: string) {
  return field(
    { form: `left out beside ${other}` },
    (): Read<never> => {
      const says = `stands beside ${other}, and only one of the two can be the curve`;
      return {
        fault: {
          code: 'CONFLICT',
          allowed: { form: 'one of the two' },
          says,
          action: 'Take one of them out.',
        },
      };
    },
    LEFT_OUT,
  );
}

interface SentEdge {
  readonly role: EdgeRole;
  readonly id?: string | undefined;
  readonly from?: readonly string[] | undefined;
}

function named({ role, id, from }: SentEdge): Omit<GivenEdge, 'curve'> {
  return { role, ...(id === undefined ? {} : { id }), ...(from === undefined ? {} : { from }) };
}

const NOTCH = fields({
  edge: index(EDGES_MAX - 1),
  fromStart: length({ min: 0, max: REACH_MM }),
  kind: oneOf(['slit', 'v']).optional(),
  name: line(NAME_LENGTH_MAX).optional(),
}).transform(({ edge, fromStart, kind = 'slit', name }): GivenNotch => ({
  edge,
  fromStartMm: fromStart,
  kind,
  ...(name === undefined ? {} : { name }),
}));

const PIECE = fields({
  role: oneOf(['front', 'back']),
  edges: list(EDGE, EDGES_MAX),
  notches: list(NOTCH, NOTCHES_MAX).optional(),
  lines: list(LINE, LINES_MAX).optional(),
  // A draft of ours writes them beside the outline. They follow from it, so a piece sent back may hold them.
  landmarks: field({ form: 'the landmarks of a draft' }, () => ({ value: undefined })).optional(),
}).transform(({ role, edges, notches = [], lines = [] }): GivenPiece => ({ role, edges, notches, lines }));

const level = length({ min: 0, max: 2000 });

export const BLOCK = fields({
  name: line(NAME_LENGTH_MAX),
  levels: fields({ hip: level, crotch: level, knee: level, hem: level }),
  pieces: list(PIECE, 2),
  waistband: fields({ lengthMm: length({ min: 300, max: 2500 }) }).optional(),
})
  .meta({ id: 'BlockRequest' })
  .transform(({ name, levels, pieces, waistband }): GivenBlock => {
    const band = waistband === undefined ? {} : { waistbandMm: waistband.lengthMm };
    return { name, levels, pieces, ...band };
  });

/** Read a block by itself, as it is sent to be stored. Every problem at once; pointers start at the block. */
export function readBlock(json: unknown): Parsed<GivenBlock> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = BLOCK.safeParse(json);
  const problems = [
    ...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json)),
    ...blockProblems(json, []),
  ];
  return parsed.success && problems.length === 0
    ? { ok: true, value: parsed.data }
    : { ok: false, problems: atMost(problems) };
}

function bezier(handles: readonly Point[]): Curve {
  return cubic(handles[0], handles[1], handles[2], handles[3]);
}

function polyline(corners: readonly Point[]): Curve[] {
  return corners.slice(1).map((corner, i) => straight(corners[i], corner));
}

/**
 * What no single field shows: a front and a back, once each, and notches on edges that are there.
 *
 * Judged on what can be read, beside the schema, for the reason given at `measureProblems`.
 */
export function blockProblems(blockJson: unknown, path: readonly PropertyKey[]): Problem[] {
  const pieces = listAt(blockJson, 'pieces');
  if (pieces === undefined || pieces.length > 2) return [];
  return [
    ...roleProblems(pieces, [...path, 'pieces']),
    ...pieces.flatMap((piece, i) => notchProblems(piece, [...path, 'pieces', i])),
  ];
}

function roleProblems(pieces: readonly unknown[], path: readonly PropertyKey[]): Problem[] {
  const roles = pieces.map((piece) => valueOf(piece, 'role'));
  return (['front', 'back'] as const).flatMap((role) => {
    const count = roles.filter((found) => found === role).length;
    if (count === 1) return [];
    return [
      toProblem(path, pieces, {
        code: count === 0 ? 'MISSING' : 'CONFLICT',
        allowed: { form: 'one front and one back' },
        says: count === 0 ? `has no ${role}` : `has ${count} pieces of the role ${role}`,
        action: 'Send one piece with the role front and one with the role back.',
      }),
    ];
  });
}

function notchProblems(piece: unknown, path: readonly PropertyKey[]): Problem[] {
  const edges = listAt(piece, 'edges');
  const notches = listAt(piece, 'notches');
  if (edges === undefined || notches === undefined || notches.length > NOTCHES_MAX) return [];
  return notches.flatMap((notch, i) => {
    const found = valueOf(notch, 'edge');
    if (typeof found !== 'number' || found < edges.length || found >= EDGES_MAX) return [];
    const limits = { min: 0, max: edges.length - 1, unit: '' };
    return [toProblem([...path, 'notches', i, 'edge'], found, outOfRange(found, found, limits))];
  });
}

function listAt(json: unknown, name: string): readonly unknown[] | undefined {
  const found = valueOf(json, name);
  return Array.isArray(found) ? found : undefined;
}
