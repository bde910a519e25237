import type { MarkerRequest } from '#marker';
import type { z } from 'zod';
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
  wrongType,
  type Read,
} from './field.js';
import { issuesToProblems } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, type Parsed } from './problem.js';

/** Outside these a number is a slip. What the cloth and the pieces allow together is judged when they are laid. */
const WIDTH_MM = { min: 10, max: 10_000 };
const MARGIN_MM = { min: 0, max: 500 };
const GAP_MM = { min: 0, max: 100 };
const CLOTH_LENGTH_MM = { min: 10, max: 500_000 };
const REPEAT_MM = { min: 1, max: 2000 };
const PRICE = { min: 0, max: 100_000, unit: '' };
const COORDINATE_MM = { min: -20_000, max: 20_000 };
const TURN_DEGREES = { min: -360, max: 360, unit: 'degrees' };
const TILT_DEGREES = { min: 0, max: 10, unit: 'degrees' };

const NAME_LENGTH_MAX = 64;
const PIECES_MAX = 1000;
const CORNERS_MAX = 400;
const TURNS_MAX = 16;
/** As many as may lie on one cloth. */
const COUNT_MAX = 2000;
const TURNS_USUAL = [0, 180];

const POINT = field({ form: 'a point as [x, y] in mm' }, (found): Read<readonly [number, number]> => {
  const [x, y] = Array.isArray(found) && found.length === 2 ? (found as unknown[]) : [];
  const isInside = (value: unknown): value is number =>
    typeof value === 'number' && value >= COORDINATE_MM.min && value <= COORDINATE_MM.max;
  if (isInside(x) && isInside(y)) return { value: [x, y] };
  return { fault: wrongType(found, { form: 'a point as [x, y], both within 20,000 mm of the origin' }) };
});

const NUMBERED = index(Number.MAX_SAFE_INTEGER);
const NAMED = line(NAME_LENGTH_MAX);
const PIECE_NAME = either<string | number>(
  (found) => (typeof found === 'number' ? NUMBERED : NAMED),
  [NUMBERED, NAMED],
);

/** How pieces may lie on a cloth. */
export const CLOTH_RULES = {
  width: length(WIDTH_MM),
  selvedge: length(MARGIN_MM).optional(),
  endMargin: length(MARGIN_MM).optional(),
  gap: length(GAP_MM).optional(),
  nap: oneOf(['free', 'per-garment', 'one-way']).optional(),
  layup: oneOf(['single', 'folded', 'tubular']).optional(),
  lengthMax: length(CLOTH_LENGTH_MM).optional(),
  endAllowance: length(MARGIN_MM).optional(),
  repeatAlong: length(REPEAT_MM).optional(),
  repeatAcross: length(REPEAT_MM).optional(),
  pricePerMetre: number(PRICE).optional(),
};

/** How a piece may be turned. */
export const TURN_RULES = {
  turns: list(number(TURN_DEGREES), TURNS_MAX).optional(),
  tilt: number(TILT_DEGREES).optional(),
};

export const CLOTH_LENGTH = length(CLOTH_LENGTH_MM);

const CLOTH = fields(CLOTH_RULES);

const PIECE = fields({
  id: PIECE_NAME,
  outline: list(POINT, CORNERS_MAX),
  ...TURN_RULES,
  match: POINT.optional(),
});

const GARMENT = fields({
  reference: line(NAME_LENGTH_MAX),
  pieces: list(
    fields({
      piece: PIECE_NAME,
      plain: index(COUNT_MAX).optional(),
      mirrored: index(COUNT_MAX).optional(),
    }),
    PIECES_MAX,
  ),
});

const SENT_MARKER = fields({
  cloth: CLOTH,
  pieces: list(PIECE, PIECES_MAX),
  garments: list(GARMENT, PIECES_MAX),
});

/**
 * Read a marker request, or say everything that is wrong with its form.
 *
 * Shape      pieces by name with outline, turns (0 and 180 when left out), tilt and matched point; garments as lists of
 *            pieces, `plain` as drawn (1 when both counts are left out) and `mirrored` as mirror images: a pair is one
 *            of each. Whether it can be laid is for the planner to say.
 * Units      millimetres; lengths of the cloth may come as text with a unit, coordinates are numbers.
 */
export function readMarkerRequest(json: unknown): Parsed<MarkerRequest> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = SENT_MARKER.safeParse(json);
  if (parsed.success) return { ok: true, value: toRequest(parsed.data) };
  return { ok: false, problems: atMost(issuesToProblems(parsed.error.issues, json)) };
}

function toRequest({ cloth, pieces, garments }: z.output<typeof SENT_MARKER>): MarkerRequest {
  return {
    cloth: given(cloth) as MarkerRequest['cloth'],
    pieces: pieces.map(({ turns = TURNS_USUAL, ...piece }) => ({
      ...(given(piece) as Omit<MarkerRequest['pieces'][number], 'turns'>),
      turns,
    })),
    garments: garments.map(({ reference, pieces: wanted }) => ({
      reference,
      pieces: wanted.map(({ piece, plain, mirrored }) => ({
        piece,
        plain: plain ?? (mirrored === undefined ? 1 : 0),
        mirrored: mirrored ?? 0,
      })),
    })),
  };
}

/** Only the fields that were sent. */
function given(sent: object): object {
  return Object.fromEntries(Object.entries(sent).filter(([, value]) => value !== undefined));
}
